//! Ferrule recovery, as text.

use super::super::sheet::{Sheet, number, size, with_spread};
use super::super::words::probability_words;
use super::site;
use crate::case::{Case, Strength, Verdict};
use crate::plan::{Amount, Plan, RecoveryOption, RecoverySite, SiteAfter, Way, WayVerdict};
use crate::wording::list;

pub(super) fn recovery(sheet: &mut Sheet, case: &Case, plan: &Plan) {
    let recovery = &plan.recovery;
    if recovery.sites.is_empty() {
        return;
    }
    sheet.heading(
        "WHAT A FERRULE WOULD TAKE",
        &format!(
            "wanted: ferrule {} mm, margin to crest {} mm",
            size(recovery.ferrule_wanted_mm),
            size(recovery.margin_to_crest_wanted_mm)
        ),
    );
    sheet.line(&format!(
        "  {:<10}{:>16}{:>20}{:>17}{:>14}",
        "mm", "ferrule now", "wall above crest", "lift needed", "margin down"
    ));
    for row in &recovery.sites {
        site_line(sheet, case, row);
    }
    let now = [
        ("crown to root", recovery.crown_to_root.as_ref(), ""),
        ("root in bone", recovery.root_in_bone_mm.as_ref(), " mm"),
        ("root at the margin", recovery.root_width_at_margin_mm.as_ref(), " mm wide"),
    ];
    let now = amounts(&now);
    if !now.is_empty() {
        sheet.paragraph("  as it is: ", &now);
    }
    if recovery.sites.iter().all(|site| site.lift_needed_mm.is_none()) {
        sheet.paragraph(
            "  ",
            "Of no site is it known how much wall stands above the bone: nothing can be reckoned yet.",
        );
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

fn amounts(amounts: &[(&str, Option<&Amount>, &str)]) -> String {
    let words: Vec<String> = amounts
        .iter()
        .filter_map(|(name, amount, unit)| Some(format!("{name} {}{unit}", with_spread((*amount)?))))
        .collect();
    words.join(", ")
}

fn site_line(sheet: &mut Sheet, case: &Case, row: &RecoverySite) {
    let shown = |amount: &Option<Amount>| amount.as_ref().map_or_else(|| "?".to_owned(), with_spread);
    let down = row.margin_down_mm.map_or_else(|| "?".to_owned(), number);
    // What has room to spare needs no lift; by how much is said in the signs.
    sheet.line(&format!(
        "  {:<10}{:>16}{:>20}{:>17}{:>14}",
        site(case, row.site.word()),
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
    let mut steps = Vec::new();
    if let Some(lift) = option.extrusion_mm.filter(|lift| *lift > 0.0) {
        steps.push(format!("tooth up {} mm", number(lift)));
    }
    let bone: Vec<String> = option
        .sites
        .iter()
        .filter(|it| it.bone_mm > 0.0)
        .map(|it| format!("{} {} mm", site(case, it.site.word()), number(it.bone_mm)))
        .collect();
    if !bone.is_empty() {
        steps.push(format!("bone away: {}", bone.join(", ")));
    }
    if option.way == Way::Both {
        steps.push(format!("extrusion takes {} of the lift", size(plan.recovery.extrusion_share)));
    }
    for weeks in &option.weeks {
        let range = if weeks.from == weeks.to {
            format!("{}", weeks.from)
        } else {
            format!("{} to {}", weeks.from, weeks.to)
        };
        let unit = if weeks.to == 1 { "week" } else { "weeks" };
        steps.push(format!("{} {range} {unit}", weeks.of));
    }
    if !steps.is_empty() {
        sheet.paragraph(INDENT, &steps.join("; "));
    }
    after(sheet, case, option);
    for verdict in &option.verdicts {
        verdict_line(sheet, case, verdict);
    }
    for words in &option.words {
        sheet.aside(INDENT.len(), words);
    }
}

const INDENT: &str = "                    ";

fn after(sheet: &mut Sheet, case: &Case, option: &RecoveryOption) {
    let by_site = |name: &str, of: fn(&SiteAfter) -> Option<&Amount>| {
        let words: Vec<String> = option
            .sites
            .iter()
            .filter_map(|it| Some(format!("{} {}", site(case, it.site.word()), with_spread(of(it)?))))
            .collect();
        (!words.is_empty()).then(|| format!("{name}: {}", words.join(", ")))
    };
    let lines = [
        by_site("margin to crest", |it| it.margin_to_crest_mm.as_ref()),
        by_site("the post's tip beyond the crest", |it| it.tip_beyond_crest_mm.as_ref()),
        by_site("crest to furcation", |it| it.crest_to_furcation_mm.as_ref()),
    ];
    for line in lines.into_iter().flatten() {
        sheet.paragraph(INDENT, &line);
    }
    let whole = amounts(&[
        ("crown to root", option.crown_to_root.as_ref(), ""),
        ("root in bone", option.root_in_bone_mm.as_ref(), " mm"),
        ("root at the new margin", option.root_width_at_margin_mm.as_ref(), " mm wide"),
        ("core", option.core_height_mm.as_ref(), " mm"),
        ("seal", option.seal_length_mm.as_ref(), " mm"),
    ]);
    if !whole.is_empty() {
        sheet.paragraph(INDENT, &whole);
    }
    if let Some([from, to]) = option.post_window_mm {
        let words = format!("a post then goes {} to {} mm down the canal", number(from), number(to));
        sheet.paragraph(INDENT, &words);
    }
}

fn verdict_line(sheet: &mut Sheet, case: &Case, verdict: &WayVerdict) {
    if verdict.verdict == Verdict::Meets && verdict.strength != Strength::Requirement {
        return;
    }
    let mut beside = Vec::new();
    if let Some(probability) = verdict.probability {
        beside.push(format!("p {}", probability_words(probability)));
    }
    if let Some(worst) = verdict.worst.as_deref().filter(|_| verdict.verdict != Verdict::Meets) {
        beside.push(site(case, worst).to_owned());
    }
    if !verdict.not_known.is_empty() {
        let sites: Vec<String> = verdict.not_known.iter().map(|it| site(case, it).to_owned()).collect();
        beside.push(format!("not known: {}", list(&sites)));
    }
    let beside = if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
    sheet.paragraph(
        INDENT,
        &format!("{}: {}{beside} [{}]", verdict.title, verdict.verdict.words(), verdict.strength.words()),
    );
}
