//! The plan: how deep a post can go, which rules say so, which drill, and what carries it to the chair.

mod axis;
mod drills;
mod window_bar;

use super::super::action::Action;
use super::super::app::Desk;
use super::super::command::Command;
use super::super::planning::{Planned, TipKind};
use super::super::theme;
use super::super::work::Work;
use super::links::Goes;
use super::progress::Part;
use super::results_part::judged;
use super::rows::aside;
use crate::case::{SAMPLE_BANNER, Strength, Verdict};
use crate::plan::{Depths, Plan, RuleAt, RuleRow};
use crate::report::{Style, plan_text, plan_words};
use crate::wording::capital;
use axis::Axis;
use eframe::egui::{self, RichText};

/// Draws the part; gives the part a link goes to.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) -> Option<Part> {
    let planned = work.planned();
    let planned = match planned.as_ref() {
        Ok(planned) => planned,
        Err(why) => {
            ui.label(why.to_string());
            return None;
        }
    };
    let plan = &planned.plan;
    for remark in &plan.remarks {
        ui.label(RichText::new(format!("! {remark}")).color(theme::caution(ui.visuals().dark_mode)));
    }
    let goes = needs(ui, desk, work, plan);
    needed_at_all(ui, plan);
    title(ui, "How deep a post?");
    match &planned.depths {
        Some(depths) => {
            window_bar::show(ui, desk, work, planned, depths);
            nothing_admissible(ui, plan);
            rules(ui, work, planned, depths);
        }
        None => {
            ui.label(capital(&plan.marks.why));
        }
    }
    if let Some(alternative) = &plan.coronal_alternative {
        title(ui, "Coronal of the crest");
        ui.label(capital(&plan_words::coronal(alternative)));
    }
    drills::show(ui, desk, plan);
    title(ui, "At the chair");
    match (&plan.card.set_at, &plan.card.never_beyond) {
        (Some(set_at), Some(never_beyond)) => {
            let words = format!("Set at {:.1} mm, never beyond {:.1} mm", set_at.set_mm, never_beyond.set_mm);
            ui.label(RichText::new(words).strong());
            aside(
                ui,
                "For the recommended depth; where the planned tip stands on the film changes nothing of it.",
            );
            if let Some(known) = plan_words::setting_known_to(plan) {
                aside(ui, known);
            }
        }
        _ => {
            for words in &plan.card.words {
                ui.label(capital(words));
            }
        }
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button("Show the card").on_hover_text(Command::Card.hint()).clicked() {
            desk.ask(Action::Command(Command::Card));
        }
        if ui.button("Copy the plan as text").on_hover_text("all of it, ferrule recovery too").clicked() {
            let case = work.open.case();
            let name = case.label.as_deref().unwrap_or("no label");
            let words = plan_text(name, case, &planned.with_tip_of(case), Style::Plain);
            desk.ask(Action::Copy(under_banner(work, words)));
        }
    });
    goes
}

/// What is copied; of the sample under its banner.
pub(super) fn under_banner(work: &Work, words: String) -> String {
    if work.is_sample { format!("{SAMPLE_BANNER}\n\n{words}") } else { words }
}

pub(super) fn title(ui: &mut egui::Ui, words: &str) {
    ui.add_space(8.0);
    ui.label(RichText::new(words).strong().size(15.0));
}

/// What is missing, each a link to where it is placed or read.
fn needs(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, plan: &Plan) -> Option<Part> {
    if plan.needs.is_empty() {
        return None;
    }
    let mut part = None;
    title(ui, "Needed and not there");
    for (at, need) in plan.needs.iter().enumerate() {
        ui.push_id(("need", at), |ui| {
            ui.horizontal_wrapped(|ui| {
                let goes = Goes::to(work, need);
                // Measurements ask for some of the same in words of their own.
                let name = format!("{} {}, for the plan", goes.verb(), need.words);
                if ui.button(capital(&need.words)).accessible_name(name).clicked() {
                    part = goes.follow(ui, desk);
                }
                aside(ui, plan_words::wanted_for(need));
            });
        });
    }
    part
}

/// First of all: whether a post is needed.
fn needed_at_all(ui: &mut egui::Ui, plan: &Plan) {
    title(ui, "Is a post needed?");
    let row = &plan.core_without_a_post;
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Core without a post").strong());
        ui.label(plan_words::without_a_post(row));
    });
    aside(ui, format!("by {}", row.source));
    if let Some(core) = &plan.core {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("Core").strong());
            ui.label(plan_words::core(core));
        });
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("Abutment").strong());
            ui.label(plan_words::abutment(core));
        });
    }
}

fn nothing_admissible(ui: &mut egui::Ui, plan: &Plan) {
    if plan.conflicts.is_empty() {
        return;
    }
    title(ui, "What stands in the way");
    for conflict in &plan.conflicts {
        ui.label(format!("\u{25a1} {}", capital(&plan_words::conflict(conflict))));
    }
    if plan.relaxations.is_empty() {
        ui.label(capital(plan_words::NOTHING_OPENS));
        return;
    }
    ui.label(RichText::new("What giving up one requirement would open").strong());
    for relaxation in &plan.relaxations {
        let words = plan_words::relaxation(plan, relaxation);
        ui.label(RichText::new(words).color(theme::caution(ui.visuals().dark_mode)));
    }
}

/// Every rule with the depths it admits, and how it stands at the tip.
fn rules(ui: &mut egui::Ui, work: &Work, planned: &Planned, depths: &Depths) {
    title(ui, "Rule by rule");
    let tip = planned.tip(work.open.case());
    let at = tip.map(|tip| planned.rules_at(tip.depth)).unwrap_or_default();
    let line = match tip.map(|tip| tip.kind) {
        Some(TipKind::There) => {
            "The line and the words: what a new post would get with its tip where the tip of the post that is there \
             stands. The post that is there is judged by its verdicts, which know how surely its tip was placed."
        }
        Some(TipKind::Planned) => "The line: the tip that is planned.",
        Some(TipKind::Recommended) => "The line: the recommended depth.",
        None => "",
    };
    aside(
        ui,
        format!(
            "Filled: the depths a rule admits, to where p reaches 0.95. Hatched: the depths at which some or all of it is \
             not judged. {line}"
        ),
    );
    for row in &planned.plan.rules {
        let here = at.iter().find(|rule| rule.rule == row.rule);
        rule(ui, row, here, depths, tip.map(|tip| tip.depth));
    }
}

fn rule(ui: &mut egui::Ui, row: &RuleRow, here: Option<&RuleAt>, depths: &Depths, tip: Option<f64>) {
    let is_judged = row.strength != Strength::Information;
    let verdict = here.map(|here| here.verdict).filter(|_| is_judged);
    ui.add_space(3.0);
    judged(ui, verdict, |ui| {
        ui.label(format!("{}: {}", capital(&row.title), row.bound));
        let weight = if is_judged { format!("{}; ", row.strength.words()) } else { String::new() };
        let beside = here.map(plan_words::beside_rule).filter(|words| !words.is_empty());
        let admits = plan_words::admits(row);
        aside(
            ui,
            format!("{weight}{}", beside.map_or_else(|| admits.clone(), |it| format!("{it}; {admits}"))),
        );
        aside(ui, format!("on the word of: {}", row.source));
    });
    let axis = Axis::make(ui, 9.0, depths.end_of_root());
    axis.stretches(ui, &row.admits_mm, theme::verdict(Some(Verdict::Meets), ui.visuals().dark_mode));
    axis.hatched(ui, &row.unjudged_mm);
    if let Some(tip) = tip {
        axis.tip(ui, tip);
    }
}
