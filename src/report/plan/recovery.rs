//! Ferrule recovery, as text.

use super::super::sheet::{Sheet, number, with_spread};
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
        "  {:<10}{:>16}{:>20}{:>17}{:>14}",
        "mm", "ferrule now", "wall above crest", "lift needed", "margin down"
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
    let down = row.margin_down_mm.map_or_else(|| "?".to_owned(), number);
    // What has room to spare needs no lift; by how much is said in the signs.
    sheet.line(&format!(
        "  {:<10}{:>16}{:>20}{:>17}{:>14}",
        words::site(case, row.site.word()),
        shown(&row.ferrule_mm),
        shown(&row.wall_above_crest_mm),
        shown(&row.lift_needed_mm),
        down
    ));
    let mut notes = Vec::new();
    if row.sounded {
        notes.push("sounded".to_owned());
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
    let verdict = option.verdict.map(|verdict| sheet.style.verdict(Some(verdict)));
    let title = sheet.style.heading(&option.title);
    match verdict {
        Some(verdict) => sheet.line(&format!("  {verdict} {title}")),
        None => sheet.line(&format!("  {:<17} {title}", "")),
    }
    let steps = words::steps(case, &plan.recovery, option);
    if !steps.is_empty() {
        sheet.paragraph(INDENT, &steps);
    }
    after(sheet, case, option);
    for verdict in option.verdicts.iter().filter_map(|verdict| words::way_verdict(case, verdict)) {
        sheet.paragraph(INDENT, &verdict);
    }
    for words in &option.words {
        sheet.aside(INDENT.len(), words);
    }
}

const INDENT: &str = "                    ";

fn after(sheet: &mut Sheet, case: &Case, option: &RecoveryOption) {
    for line in words::sites_after(case, option) {
        sheet.paragraph(INDENT, &line);
    }
    let whole = words::tooth_after(option);
    if !whole.is_empty() {
        sheet.paragraph(INDENT, &whole);
    }
    if let Some(words) = words::post_after(option) {
        sheet.paragraph(INDENT, &words);
    }
}
