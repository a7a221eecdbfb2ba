//! Post depth and drills, as text.

use super::super::sheet::{Sheet, number, size, with_spread};
use super::super::words::probability_words;
use super::{rule_title, verdict_words};
use crate::case::{Case, Strength, Verdict};
use crate::plan::{ChosenBy, Depth, DrillRow, End, Plan, RuleAt};
use crate::wording::{capital, list};

pub(super) fn depth(sheet: &mut Sheet, case: &Case, plan: &Plan) {
    let below = if case.roots.len() > 1 { "below the orifice" } else { "below the core base" };
    sheet.heading("HOW DEEP A POST?", &format!("{below}; every requirement with p 0.95 at least"));
    let marks = &plan.marks;
    for (name, mark) in [
        ("shortest allowed", &marks.shortest_allowed),
        ("all preferences met", &marks.all_preferences_met),
        ("deepest allowed", &marks.deepest_allowed),
        ("recommended", &marks.recommended),
    ] {
        match mark {
            Some(mark) => sheet.entry(name, &depth_words(mark)),
            None if plan.window.is_some() => sheet.entry(name, "no depth within the window"),
            None => {}
        }
    }
    if plan.window.is_some() {
        sheet.aside(24, &marks.why);
        for binding in &plan.binding {
            let end = match binding.end {
                End::Shortest => "not shorter for",
                End::Deepest => "not deeper for",
            };
            sheet.entry(end, rule_title(plan, &binding.rule));
        }
    } else {
        sheet.paragraph("  ", &format!("{}.", capital(&marks.why)));
    }
    if let Some(window) = plan.window.as_ref().filter(|window| !window.open.is_empty()) {
        let open: Vec<String> = window.open.iter().map(|id| rule_title(plan, id).to_owned()).collect();
        let words = format!("{}: not judged everywhere, so the window may be narrower", list(&open));
        sheet.entry("still open", &words);
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
        let words = format!(
            "{} to {}; {}; that ferrule: {}",
            depth_words(&alternative.from),
            depth_words(&alternative.to),
            alternative.words,
            alternative.ferrule.words()
        );
        sheet.entry("coronal of the crest", &words);
    }
}

fn depth_words(depth: &Depth) -> String {
    let post = depth.post_depth_mm.as_ref().map_or_else(
        || format!("{} mm along the canal", number(depth.along_canal_mm)),
        |post| format!("{} mm", with_spread(post)),
    );
    match &depth.stop_depth_mm {
        Some(stop) => format!("{post} (from the stop {} mm)", with_spread(stop)),
        None => post,
    }
}

/// A rule at a depth: information only where it is said what it comes to.
pub(super) fn rule_line(sheet: &mut Sheet, plan: &Plan, rule: &RuleAt) {
    let Some(row) = plan.rules.iter().find(|row| row.rule == rule.rule) else { return };
    let mut words = format!("{}: {}", row.title, row.bound);
    let mut beside = Vec::new();
    if let Some(probability) = rule.probability {
        beside.push(format!("p {}", probability_words(probability)));
    }
    if let Some(margin) = rule.margin_mm.as_ref().filter(|_| rule.verdict != Verdict::Meets) {
        let short = if margin.value < 0.0 { "short by" } else { "to spare" };
        let mut shown = *margin;
        shown.value = shown.value.abs();
        beside.push(format!("{short} {} mm", with_spread(&shown)));
    }
    if let Some(worst) = rule.worst.as_ref().filter(|_| rule.verdict != Verdict::Meets) {
        beside.push(worst.clone());
    }
    if !beside.is_empty() {
        words = format!("{words} ({})", beside.join("; "));
    }
    if !rule.not_known.is_empty() {
        words = format!("{words}; needs {}", list(&rule.not_known));
    }
    if row.strength != Strength::Information {
        words = format!("{words} [{}]", row.strength.words());
    }
    let verdict = if row.strength == Strength::Information {
        sheet.style.verdict(None)
    } else {
        verdict_words(sheet, rule.verdict)
    };
    let indent = 20;
    for (index, line) in
        crate::wording::wrapped(&words, super::super::sheet::WIDTH - indent).into_iter().enumerate()
    {
        let lead = if index == 0 { format!("  {verdict} ") } else { " ".repeat(indent) };
        sheet.line(&format!("{lead}{line}"));
    }
}

fn nothing_admissible(sheet: &mut Sheet, plan: &Plan) {
    if plan.conflicts.is_empty() {
        return;
    }
    sheet.line("");
    sheet.line("  what stands in the way");
    for conflict in &plan.conflicts {
        let by = match (conflict.rules.len(), &conflict.at_best_mm) {
            (1, Some(best)) => {
                format!(
                    "at best {} mm to spare, where 95 % would take {} mm more",
                    with_spread(best),
                    number(conflict.apart_mm)
                )
            }
            _ => format!("by {} mm", number(conflict.apart_mm)),
        };
        sheet.paragraph("  \u{25a1} ", &format!("{}: {by}", conflict.words));
    }
    if plan.relaxations.is_empty() {
        sheet.paragraph("    ", "giving up one requirement alone opens nothing");
        return;
    }
    sheet.line("  what giving up one requirement would open");
    for relaxation in &plan.relaxations {
        let [from, to] = relaxation.post_depth_mm.unwrap_or([relaxation.from_mm, relaxation.to_mm]);
        let words = format!(
            "\"{}\", if it gives way by more than {} mm; given up wholly: {} to {} mm. Warning: {}",
            rule_title(plan, &relaxation.without),
            number(relaxation.least_mm),
            number(from),
            number(to),
            relaxation.warning
        );
        sheet.paragraph("    ", &words);
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
    let mut words = Vec::new();
    if let Some(canal) = &drills.canal_at_tip_mm {
        words.push(format!("canal at the planned tip {} mm wide", with_spread(canal)));
    }
    if let (Some(most), Some(source)) = (drills.usual_most_mm, &drills.usual_source) {
        words.push(format!("this tooth usually takes {} mm at most ({source})", size(most)));
    }
    if !words.is_empty() {
        sheet.paragraph("  ", &words.join("; "));
    }
    let levels = levels(&drills.list);
    let cells = cells(levels.iter().map(String::clone));
    sheet.line(&format!("  {:<NAME$}{cells}", ""));
    for drill in &drills.list {
        drill_line(sheet, drill, &levels);
    }
    if let Some(chosen) = drills.list.iter().find(|drill| drill.chosen_by.is_some()) {
        let walls: Vec<String> = chosen
            .levels
            .iter()
            .map(|level| {
                format!(
                    "{} mesial {}, distal {} mm",
                    level.level,
                    with_spread(&level.mesial_mm),
                    with_spread(&level.distal_mm)
                )
            })
            .collect();
        sheet.paragraph("  ", &format!("walls with {}: {}", chosen.drill, walls.join("; ")));
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
        drill.levels.iter().find(|it| it.level == *level).map_or_else(
            || "\u{2013}".to_owned(),
            |level| {
                let thinner = level.mesial_mm.value.min(level.distal_mm.value);
                format!("{}/{}", number(thinner), number(level.share_of_root.value))
            },
        )
    }));
    let mut notes = vec![format!("walls: {}", drill.walls.words())];
    if drill.fills_the_canal == Some(false) {
        notes.push("narrower than the canal".to_owned());
    }
    if drill.above_the_usual {
        notes.push("wider than usual here".to_owned());
    }
    match drill.chosen_by {
        Some(ChosenBy::Asked) => notes.push("asked for".to_owned()),
        Some(ChosenBy::Case) => notes.push("the case's".to_owned()),
        Some(ChosenBy::Proposed) => notes.push("proposed: the smallest as wide as the canal".to_owned()),
        None => {}
    }
    let mark = if drill.chosen_by.is_some() { ">" } else { " " };
    let name = format!("{} {} mm", drill.drill, size(drill.diameter_mm));
    sheet.line(&format!("{mark} {name:<NAME$}{cells}"));
    sheet.aside(4, &notes.join("; "));
}
