//! Ferrule recovery, as text.

use super::super::sheet::{Sheet, with_spread};
use super::words;
use crate::case::Case;
use crate::plan::{Amount, Plan, RecoveryOption, RecoverySite};

pub(super) fn recovery(sheet: &mut Sheet, case: &Case, plan: &Plan) {
    let recovery = &plan.recovery;
    if recovery.sites.is_empty() {
        return;
    }
    sheet.heading("WHAT A FERRULE WOULD TAKE", &words::ferrule_wanted(recovery));
    sheet.line(&format!(
        "  {:<10}{:>14}{:>18}{:>16}{:>17}",
        "mm", "ferrule now", "wall above crest", "lift needed", "margin apically"
    ));
    for row in &recovery.sites {
        site_line(sheet, case, row);
    }
    let now = words::as_it_is(recovery);
    if !now.is_empty() {
        sheet.paragraph("  as it is: ", &now);
    }
    if recovery.sites.iter().all(|site| site.lift_needed_mm.is_none()) {
        sheet.paragraph("  ", words::NO_SITE_KNOWN);
        return;
    }
    for option in &recovery.options {
        option_block(sheet, case, plan, option);
    }
    sheet.line("");
    for words in &recovery.words {
        sheet.aside(2, words);
    }
}

fn site_line(sheet: &mut Sheet, case: &Case, row: &RecoverySite) {
    let shown = |amount: &Option<Amount>| amount.as_ref().map_or_else(|| "?".to_owned(), with_spread);
    let down = row.margin_down_mm.as_ref().map_or_else(|| "?".to_owned(), words::margin_apically);
    let needs_none = row.lift_needed_mm.as_ref().filter(|lift| lift.value <= 0.0);
    sheet.line(&format!(
        "  {:<10}{:>14}{:>18}{:>16}{:>17}",
        words::site(case, row.site.word()),
        shown(&row.ferrule_mm),
        shown(&row.wall_above_crest_mm),
        if needs_none.is_some() { "none".to_owned() } else { shown(&row.lift_needed_mm) },
        down
    ));
    let mut notes = Vec::new();
    if row.sounded {
        notes.push("sounded".to_owned());
    }
    if let Some(lift) = needs_none {
        notes.push(format!("lift needed: {}", words::lift(lift)));
    }
    if let Some(lacks) = &row.lacks {
        notes.push(format!("lacks: {lacks}"));
    }
    if !notes.is_empty() {
        sheet.aside(12, &notes.join("; "));
    }
}

fn option_block(sheet: &mut Sheet, case: &Case, plan: &Plan, option: &RecoveryOption) {
    sheet.line("");
    sheet.title(option.verdict, &option.title);
    let steps = words::steps(case, &plan.recovery, option);
    let lines = (!steps.is_empty()).then_some(steps).into_iter();
    // The tooth as it is stands before the ways; what the verdict rests on stands nowhere else.
    let is_told = words::leaves_it_as_it_is(&plan.recovery, option);
    let after = if is_told { Vec::new() } else { after(case, option) };
    for line in lines.chain(after).chain(verdicts(case, option)) {
        sheet.paragraph(INDENT, &line);
    }
    for words in &option.words {
        sheet.aside(INDENT.len(), words);
    }
}

const INDENT: &str = "                    ";

/// What a way leaves, a sentence each.
pub(in crate::report) fn after(case: &Case, option: &RecoveryOption) -> Vec<String> {
    let mut lines = words::sites_after(case, option);
    let whole = words::tooth_after(option);
    if !whole.is_empty() {
        lines.push(whole);
    }
    lines.extend(words::post_after(option));
    lines
}

/// The verdicts on a way that are to be read, a sentence each.
pub(in crate::report) fn verdicts(case: &Case, option: &RecoveryOption) -> Vec<String> {
    option.verdicts.iter().filter_map(|verdict| words::way_verdict(case, verdict)).collect()
}
