//! The card for the chair, large enough to be read at arm's length.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::theme;
use super::worksheet::judged;
use crate::plan::{Plan, StopSetting};
use crate::report::{SAFETY, card_text, plan_words};
use crate::wording::capital;
use eframe::egui::{self, Align2, RichText, ScrollArea};

/// Sizes of type, points: figures, what is done, what is known.
const FIGURES: f32 = 64.0;
const LARGE: f32 = 24.0;
const READ: f32 = 17.0;

/// Draws it.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    let Some(work) = session.work.as_ref().filter(|work| !work.hides_results()) else { return };
    let planned = work.planned();
    let case = work.open.case();
    let mut open = true;
    let mut copied = None;
    let size = ui.content_rect().size();
    egui::Window::new("Card for the chair")
        .collapsible(false)
        .open(&mut open)
        .anchor(Align2::CENTER_CENTER, [0.0, 0.0])
        // As high as this card: a window that somebody sizes keeps what an earlier, longer one took.
        .auto_sized()
        .show(ui.ctx(), |ui| {
            ui.set_width((size.x * 0.75).min(900.0));
            let plan = match planned.as_ref() {
                Ok(planned) => planned.with_tip_of(case),
                Err(why) => {
                    ui.label(RichText::new(why.to_string()).size(LARGE));
                    return;
                }
            };
            ui.horizontal(|ui| {
                if ui.button("Copy the card").on_hover_text("as text, to be printed or kept").clicked() {
                    copied = Some(card_text(case, &plan));
                }
                ui.label(RichText::new("Escape closes it").color(theme::faint(ui.visuals().dark_mode)));
            });
            ui.separator();
            let room = (size.y - 150.0).max(200.0);
            // Another case's card is read from its beginning.
            let whole = ScrollArea::vertical().id_salt(work.opened).auto_shrink([false, true]);
            whole.max_height(room).show(ui, |ui| {
                super::keyboard::pages(ui);
                let tooth = case.tooth.fdi.map(|fdi| session.remembered.tooth_numbers.words(fdi));
                let tooth = tooth.unwrap_or_else(|| "not named".to_owned());
                let label = case.label.as_ref().map_or_else(String::new, |label| format!(", {label}"));
                ui.label(RichText::new(format!("Tooth {tooth}{label}")).size(LARGE).strong());
                card(ui, &plan);
            });
        });
    if let Some(words) = copied {
        desk.ask(Action::Copy(words));
    }
    if !open {
        desk.ask(Action::Command(Command::Card));
    }
}

fn card(ui: &mut egui::Ui, plan: &Plan) {
    let card = &plan.card;
    let caution = theme::caution(ui.visuals().dark_mode);
    if let Some(unsettled) = plan_words::not_settled(plan) {
        ui.label(RichText::new(format!("! {unsettled}")).size(READ).color(caution));
    }
    ui.label(RichText::new(format!("The stop rests on: {}", plan_words::stop_rests_on(plan))).size(LARGE));
    ui.add_space(8.0);
    match (&card.set_at, &card.never_beyond) {
        (Some(set_at), Some(never_beyond)) => {
            ui.columns(2, |columns| {
                for (ui, (name, setting)) in
                    columns.iter_mut().zip([("SET AT", set_at), ("NEVER BEYOND", never_beyond)])
                {
                    figure(ui, name, setting);
                }
            });
            for (at, instrument) in card.instruments.iter().enumerate() {
                let words = format!(
                    "{}  {instrument}: set at {:.1} mm, never beyond {:.1} mm",
                    at + 1,
                    set_at.set_mm,
                    never_beyond.set_mm
                );
                ui.label(RichText::new(words).size(READ + 2.0));
            }
        }
        _ => {
            ui.label(RichText::new("NO SETTING").size(FIGURES * 0.7).strong());
        }
    }
    ui.add_space(6.0);
    if let Some(elsewhere) = plan_words::planned_elsewhere(plan) {
        ui.label(RichText::new(format!("! {}", capital(&elsewhere))).size(LARGE - 3.0).color(caution));
    }
    if let Some(known) = plan_words::setting_known_to(plan) {
        ui.label(RichText::new(known).size(READ));
    }
    for words in &card.words {
        ui.label(RichText::new(format!("! {words}")).size(LARGE - 3.0).color(caution));
    }
    ui.add_space(6.0);
    for words in &card.always {
        ui.label(RichText::new(format!("\u{25a1} {words}")).size(LARGE - 3.0));
    }
    for (name, setting) in [("With the stop set", &card.set_at), ("At its farthest", &card.never_beyond)] {
        if let Some(setting) = setting {
            rules(ui, plan, name, setting);
        }
    }
    ui.add_space(6.0);
    ui.label(SAFETY);
}

fn figure(ui: &mut egui::Ui, name: &str, setting: &StopSetting) {
    ui.label(RichText::new(name).size(LARGE).strong());
    ui.label(RichText::new(format!("{:.1} mm", setting.set_mm)).size(FIGURES).strong());
}

/// The rules that matter at the chair, run again at a setting.
fn rules(ui: &mut egui::Ui, plan: &Plan, name: &str, setting: &StopSetting) {
    ui.add_space(8.0);
    ui.label(
        RichText::new(format!("{name}, {:.1} mm: every rule again", setting.set_mm)).size(READ).strong(),
    );
    for rule in setting.rules.iter().filter(|rule| plan_words::matters_at_the_chair(rule)) {
        if let Some(row) = plan.rules.iter().find(|row| row.rule == rule.rule) {
            judged(ui, Some(rule.verdict), |ui| {
                ui.label(RichText::new(plan_words::rule_at(row, rule)).size(READ - 2.0));
            });
        }
    }
}
