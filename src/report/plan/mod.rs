//! A plan for people, 80 columns wide, and as one line of JSON. Nothing here computes.

mod chair;
mod depth;
mod recovery;

use super::Style;
use super::sheet::{Sheet, size, with_spread};
use super::text::{SAFETY, cautions_text};
use super::words::probability_words;
use crate::case::{Case, Fdi, Verdict};
use crate::plan::{Core, CoreFrom, Plan, SettleState, WithoutPost};
use crate::wording::list;
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
    let mut sheet = Sheet::new(style);
    head(&mut sheet, name, case, plan);
    settle(&mut sheet, plan);
    needed_at_all(&mut sheet, plan);
    depth::depth(&mut sheet, case, plan);
    depth::drills(&mut sheet, plan);
    chair::card(&mut sheet, plan);
    recovery::recovery(&mut sheet, case, plan);
    needs(&mut sheet, plan);
    foot(&mut sheet, plan);
    sheet.text
}

fn head(sheet: &mut Sheet, name: &str, case: &Case, plan: &Plan) {
    let tooth =
        plan.tooth.as_ref().map_or_else(|| "a tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    let root = match plan.root {
        Some(root) if case.roots.len() > 1 => format!(", {} root", root.word()),
        Some(_) => String::new(),
        None => ", no root listed".to_owned(),
    };
    let heading = sheet.style.heading(&format!("{name}: plan for {tooth}{root}"));
    sheet.line(&heading);
    if let Some(label) = &case.label {
        sheet.paragraph("label    ", label);
    }
    for remark in &plan.remarks {
        sheet.paragraph("  ! ", remark);
    }
    let cautions = cautions_text(case, &plan.cautions, sheet.style);
    sheet.text.push_str(&cautions);
}

fn settle(sheet: &mut Sheet, plan: &Plan) {
    if plan.settle.is_empty() {
        return;
    }
    sheet.heading("SETTLE BEFORE PLANNING A POST", "");
    for row in plan.settle.iter().filter(|row| row.state == SettleState::Red) {
        let mut words = row.words.clone();
        if let (Some(amount), Some(probability)) = (&row.amount, row.probability) {
            words = format!("{words} ({} mm, p {})", with_spread(amount), probability_words(probability));
        }
        sheet.paragraph("  \u{25a1} ", &words);
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
    let outlook = match row.outlook {
        WithoutPost::SpeaksForIt => "speaks for it",
        WithoutPost::ToBeWeighed => "to be weighed",
        WithoutPost::LittleToHoldOn => "little to hold on",
        WithoutPost::NotKnown => "not known",
    };
    let mut parts = vec![outlook.to_owned()];
    if let Some(walls) = row.walls_standing {
        parts.push(format!("{walls} of 4 walls standing"));
    }
    if let Some(chamber) = &row.chamber_depth_mm {
        parts.push(format!("chamber {} mm deep", with_spread(chamber)));
    }
    let words = if row.outlook == WithoutPost::NotKnown {
        row.words.clone()
    } else {
        format!("{}: {}", parts.join(", "), row.words)
    };
    sheet.entry("core without a post", &words);
    sheet.aside(24, &format!("by {}", row.source));
    if let Some(core) = &plan.core {
        core_entry(sheet, core);
    }
}

fn core_entry(sheet: &mut Sheet, core: &Core) {
    let from = match core.from {
        CoreFrom::Built => "as it is on the film",
        CoreFrom::Planned => "as planned",
        CoreFrom::SpaceLessCrown => "planned: the interocclusal space less the crown's thickness",
    };
    sheet.entry("core", &format!("{} mm high, {from}", with_spread(&core.height_mm)));
    let wanted = size(core.abutment_wanted_mm);
    let words = match (&core.abutment_mm, core.abutment_probability) {
        (Some(abutment), Some(probability)) => format!(
            "{} mm of ferrule and core; at least {wanted} mm is wanted (common practice): {} (p {})",
            with_spread(abutment),
            core.abutment.words(),
            probability_words(probability)
        ),
        _ => format!("at least {wanted} mm of ferrule and core is wanted (common practice): undecided"),
    };
    sheet.entry("abutment", &words);
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
        sheet.paragraph("  ", &format!("{what}: for {}", list(&need.wanted_for)));
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

/// The name of a rule, for people.
fn rule_title<'p>(plan: &'p Plan, id: &'p str) -> &'p str {
    if id == "root" {
        return "the root itself";
    }
    plan.rules.iter().find(|rule| rule.rule == id).map_or(id, |rule| rule.title.as_str())
}

/// A site as this tooth's dentist says it.
fn site<'w>(case: &Case, word: &'w str) -> &'w str {
    if word == "lingual" && case.tooth.fdi.is_some_and(Fdi::is_upper) { "palatal" } else { word }
}

/// A verdict's mark and word, without its column.
fn verdict_words(sheet: &Sheet, verdict: Verdict) -> String {
    sheet.style.verdict(Some(verdict))
}
