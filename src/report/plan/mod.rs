//! A plan for people, 80 columns wide, and as one line of JSON. Nothing here computes.

mod chair;
mod depth;
pub(super) mod recovery;
pub mod words;

use super::Style;
use super::sheet::{Line, Sheet};
use super::text::{SAFETY, cautions_text};
use crate::case::Case;
use crate::plan::{Plan, SettleState};
use serde_json::{Map, Value};

/// A plan as one line of JSON, the case's file name first.
///
/// # Errors
/// None that a plan can cause; the signature is the serialiser's.
pub fn plan_json(plan: &Plan, case_file: &str) -> serde_json::Result<String> {
    let mut all = Map::new();
    all.insert("case_file".to_owned(), Value::from(case_file));
    if let Value::Object(rest) = serde_json::to_value(plan)? {
        all.extend(rest);
    }
    serde_json::to_string(&all)
}

/// A plan as text.
pub fn plan_text(name: &str, case: &Case, plan: &Plan, style: Style) -> String {
    let mut sheet = Sheet::default();
    needed(&mut sheet, plan);
    depth::depth(&mut sheet, case, plan);
    depth::drills(&mut sheet, plan);
    chair::card(&mut sheet, plan);
    recovery::recovery(&mut sheet, case, plan);
    needs(&mut sheet, plan);
    foot(&mut sheet, plan);
    head(name, case, plan, style) + &sheet.text(style)
}

/// What a page sets in type of a plan: what to settle, whether a post is needed, how deep it goes.
pub(super) fn depth_lines(case: &Case, plan: &Plan) -> Vec<Line> {
    let mut sheet = Sheet::default();
    needed(&mut sheet, plan);
    depth::depth(&mut sheet, case, plan);
    sheet.into_lines()
}

/// The card for the chair.
pub(super) fn card_lines(plan: &Plan) -> Vec<Line> {
    let mut sheet = Sheet::default();
    chair::card(&mut sheet, plan);
    sheet.into_lines()
}

fn head(name: &str, case: &Case, plan: &Plan, style: Style) -> String {
    let tooth =
        plan.tooth.as_ref().map_or_else(|| "a tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    let root = match plan.root {
        Some(root) if case.roots.len() > 1 => format!(", {} root", root.word()),
        Some(_) => String::new(),
        None => ", no root listed".to_owned(),
    };
    let mut sheet = Sheet::default();
    sheet.line(&style.heading(&format!("{name}: plan for {tooth}{root}")));
    if let Some(label) = &case.label {
        sheet.paragraph("label    ", label);
    }
    for remark in &plan.remarks {
        sheet.paragraph("  ! ", remark);
    }
    sheet.text(style) + &cautions_text(case, &plan.cautions, style)
}

/// What comes before any depth.
fn needed(sheet: &mut Sheet, plan: &Plan) {
    settle(sheet, plan);
    needed_at_all(sheet, plan);
}

fn settle(sheet: &mut Sheet, plan: &Plan) {
    if plan.settle.is_empty() {
        return;
    }
    sheet.heading("SETTLE BEFORE PLANNING A POST", "");
    for row in plan.settle.iter().filter(|row| row.state == SettleState::Red) {
        sheet.paragraph("  \u{25a1} ", &words::settle(row));
    }
    let blank: Vec<String> = plan
        .settle
        .iter()
        .filter(|row| row.state == SettleState::Blank)
        .map(|row| row.words.trim_end_matches('?').to_owned())
        .collect();
    if !blank.is_empty() {
        sheet.paragraph("  \u{25e7} ", &format!("not looked at yet: {}", blank.join("; ")));
    }
}

fn needed_at_all(sheet: &mut Sheet, plan: &Plan) {
    sheet.heading("IS A POST NEEDED?", "");
    let row = &plan.core_without_a_post;
    sheet.entry("core without a post", &words::without_a_post(row));
    sheet.aside(24, &format!("by {}", row.source));
    if let Some(core) = &plan.core {
        sheet.entry("core", &words::core(core));
        sheet.entry("abutment", &words::abutment(core));
    }
}

fn needs(sheet: &mut Sheet, plan: &Plan) {
    if plan.needs.is_empty() {
        return;
    }
    sheet.heading("NEEDED AND NOT THERE", "");
    for need in &plan.needs {
        let what = match &need.reading {
            Some(key) => format!("{} (clinical/{key})", need.words),
            None => need.words.clone(),
        };
        sheet.paragraph("  ", &format!("{what}: {}", words::wanted_for(need)));
    }
}

fn foot(sheet: &mut Sheet, plan: &Plan) {
    sheet.line("");
    sheet.aside(
        0,
        "± is half a 95 % interval, p the probability of the bound. Weeks, settings and what is common practice come \
         from memory where no source stands beside them; local rules go before them.",
    );
    sheet.aside(0, &format!("Criteria: {}; {}.", plan.criteria, plan.program));
    sheet.paragraph("", SAFETY);
}

/// The card for the chair by itself, as text.
pub fn card_text(case: &Case, plan: &Plan) -> String {
    let mut sheet = Sheet::default();
    sheet.line(&whose(case, plan));
    if let Some(unsettled) = words::not_settled(plan) {
        sheet.paragraph("! ", &unsettled);
    }
    chair::card(&mut sheet, plan);
    sheet.line("");
    sheet.paragraph("", SAFETY);
    sheet.text(Style::Plain)
}

/// Ferrule recovery by itself, as text.
pub fn recovery_text(case: &Case, plan: &Plan) -> String {
    let mut sheet = Sheet::default();
    sheet.line(&whose(case, plan));
    recovery::recovery(&mut sheet, case, plan);
    foot(&mut sheet, plan);
    sheet.text(Style::Plain)
}

/// Whose it is that stands by itself: the tooth, the root of several, the label.
fn whose(case: &Case, plan: &Plan) -> String {
    let tooth =
        plan.tooth.as_ref().map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    let root = plan.root.filter(|_| case.roots.len() > 1);
    let root = root.map_or_else(String::new, |root| format!(", {} root", root.word()));
    let label = case.label.as_ref().map_or_else(String::new, |label| format!(", {label}"));
    format!("{tooth}{root}{label}")
}
