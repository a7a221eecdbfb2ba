//! Post depth and drills, as text.

use super::super::sheet::Sheet;
use super::words;
use crate::case::{Case, Strength};
use crate::plan::{DrillRow, Plan, RuleAt};
use crate::wording::capital;

pub(super) fn depth(sheet: &mut Sheet, case: &Case, plan: &Plan) {
    let below = words::depth_from(case.roots.len() > 1);
    sheet.heading("HOW DEEP A POST?", &format!("{below}; every requirement with p 0.95 at least"));
    let marks = &plan.marks;
    for (name, mark) in [
        ("shortest allowed", &marks.shortest_allowed),
        ("all preferences met", &marks.all_preferences_met),
        ("deepest allowed", &marks.deepest_allowed),
        ("recommended", &marks.recommended),
    ] {
        match mark {
            Some(mark) => sheet.entry(name, &words::depth(mark)),
            None if plan.window.is_some() => sheet.entry(name, "no depth within the window"),
            None => {}
        }
    }
    if plan.window.is_some() {
        sheet.aside(24, &marks.why);
        for binding in &plan.binding {
            sheet.entry(words::not_beyond(binding.end), words::rule_title(plan, &binding.rule));
        }
    } else {
        sheet.paragraph("  ", &format!("{}.", capital(&marks.why)));
    }
    if let Some(open) = words::still_open(plan) {
        sheet.entry("still open", &open);
    }
    if let Some(recommended) = &marks.recommended {
        sheet.line("");
        sheet.line("  at the recommended depth");
        for rule in &recommended.rules {
            rule_line(sheet, plan, rule);
        }
    }
    nothing_admissible(sheet, plan);
    if let Some(alternative) = &plan.coronal_alternative {
        sheet.line("");
        sheet.entry("coronal of the crest", &words::coronal(alternative));
    }
}

/// A rule at a depth: information only where it is said what it comes to.
pub(super) fn rule_line(sheet: &mut Sheet, plan: &Plan, rule: &RuleAt) {
    let Some(row) = plan.rules.iter().find(|row| row.rule == rule.rule) else { return };
    let verdict = (row.strength != Strength::Information).then_some(rule.verdict);
    sheet.judged(verdict, &words::rule_at(row, rule));
}

fn nothing_admissible(sheet: &mut Sheet, plan: &Plan) {
    if plan.conflicts.is_empty() {
        return;
    }
    sheet.line("");
    sheet.line("  what stands in the way");
    for conflict in &plan.conflicts {
        sheet.paragraph("  \u{25a1} ", &words::conflict(conflict));
    }
    if plan.relaxations.is_empty() {
        sheet.paragraph("    ", words::NOTHING_OPENS);
        return;
    }
    sheet.line("  what giving up one requirement would open");
    for relaxation in &plan.relaxations {
        sheet.paragraph("    ", &words::relaxation(plan, relaxation));
    }
}

/// The columns a drill's name and diameter take.
const NAME: usize = 28;
/// As many levels fit beside them.
const LEVELS: usize = 4;

pub(super) fn drills(sheet: &mut Sheet, plan: &Plan) {
    let drills = &plan.drills;
    if drills.at_mm.is_none() || drills.list.iter().all(|drill| drill.levels.is_empty()) {
        return;
    }
    sheet.heading("WHICH DRILL?", "thinner wall that stays, mm / part of the root's width");
    let about = words::about_drills(drills);
    if !about.is_empty() {
        sheet.paragraph("  ", &about);
    }
    let levels = levels(&drills.list);
    let cells = cells(levels.iter().map(String::clone));
    sheet.line(&format!("  {:<NAME$}{cells}", ""));
    for drill in &drills.list {
        drill_line(sheet, drill, &levels);
    }
    if let Some(chosen) = drills.list.iter().find(|drill| drill.chosen_by.is_some()) {
        sheet.paragraph("  ", &words::walls_left(chosen));
        sheet.aside(2, &format!("drill by {}", chosen.source));
    }
}

/// The cells of a row, each in its column.
fn cells(cells: impl Iterator<Item = String>) -> String {
    cells.fold(String::new(), |row, cell| row + &format!("{cell:>12}"))
}

/// The levels shown: those nearest the tip.
fn levels(drills: &[DrillRow]) -> Vec<String> {
    let mut levels: Vec<String> = Vec::new();
    for level in drills.iter().flat_map(|drill| &drill.levels) {
        if !levels.contains(&level.level) {
            levels.push(level.level.clone());
        }
    }
    levels.sort_by_key(|level| match level.as_str() {
        "shoulder" => (1, String::new()),
        "tip" => (2, String::new()),
        section => (0, section.to_owned()),
    });
    let hidden = levels.len().saturating_sub(LEVELS);
    levels.split_off(hidden)
}

fn drill_line(sheet: &mut Sheet, drill: &DrillRow, levels: &[String]) {
    let cells = cells(levels.iter().map(|level| {
        drill
            .levels
            .iter()
            .find(|it| it.level == *level)
            .map_or_else(|| "\u{2013}".to_owned(), words::drilled_level)
    }));
    let mark = if drill.chosen_by.is_some() { ">" } else { " " };
    let name = words::typed_drill(drill);
    sheet.line(&format!("{mark} {name:<NAME$}{cells}"));
    sheet.aside(4, &words::drill_notes(drill));
}
