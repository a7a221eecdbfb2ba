//! The card for the chair, as text.

use super::super::sheet::Sheet;
use super::depth::rule_line;
use super::words;
use crate::plan::{Plan, StopSetting};

pub(super) fn card(sheet: &mut Sheet, plan: &Plan) {
    let card = &plan.card;
    sheet.heading("AT THE CHAIR", "from the stop to the instrument's very tip");
    sheet.entry("the stop rests on", words::stop_rests_on(plan));
    for (name, setting) in [("SET AT", &card.set_at), ("NEVER BEYOND", &card.never_beyond)] {
        if let Some(setting) = setting {
            sheet.entry(name, &format!("{:.1} mm", setting.set_mm));
        }
    }
    if let Some(elsewhere) = words::planned_elsewhere(plan) {
        sheet.entry("", &elsewhere);
    }
    if let Some(known) = words::setting_known_to(plan) {
        sheet.entry("", &known);
    }
    for words in &card.words {
        sheet.entry("", words);
    }
    if card.set_at.is_some() {
        sheet.entry("instruments", &card.instruments.join(", then "));
        at_setting(sheet, plan, "with the stop set", card.set_at.as_ref());
        at_setting(sheet, plan, "with the stop at its farthest", card.never_beyond.as_ref());
    }
    sheet.list("always", &card.always);
}

/// The requirements at a setting, and what of the rest is not met.
fn at_setting(sheet: &mut Sheet, plan: &Plan, name: &str, setting: Option<&StopSetting>) {
    let Some(setting) = setting else { return };
    sheet.line(&format!("  {name}"));
    for rule in &setting.rules {
        if words::matters_at_the_chair(rule) {
            rule_line(sheet, plan, rule);
        }
    }
}
