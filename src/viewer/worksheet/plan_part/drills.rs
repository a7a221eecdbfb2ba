//! The drills of the library at the recommended depth, one of which is chosen.

use super::super::super::action::Action;
use super::super::super::app::Desk;
use super::super::rows::{aside, scrolled};
use super::title;
use crate::editor::Edit;
use crate::plan::{ChosenBy, DrillRow, Plan};
use crate::report::plan_words;
use crate::wording::capital;
use eframe::egui::{self, CollapsingHeader, Grid, RichText, ScrollArea};

/// Draws them.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, plan: &Plan) {
    let drills = &plan.drills;
    if drills.list.is_empty() {
        return;
    }
    title(ui, "Which drill?");
    let about = plan_words::about_drills(drills);
    if !about.is_empty() {
        ui.label(capital(&about));
    }
    let levels = levels(&drills.list);
    if levels.is_empty() {
        aside(ui, "What walls stay is shown once a depth is recommended and widths are placed near it.");
    } else {
        aside(ui, "At the recommended depth. What you chose, pressed again, gives way to the one proposed.");
    }
    for drill in &drills.list {
        line(ui, desk, drill);
    }
    if let Some(chosen) =
        drills.list.iter().find(|drill| drill.chosen_by.is_some() && !drill.levels.is_empty())
    {
        ui.label(capital(&plan_words::walls_left(chosen)));
        aside(ui, format!("drill by {}", chosen.source));
    }
    if !levels.is_empty() {
        CollapsingHeader::new("Drills level by level")
            .show(ui, |ui| level_by_level(ui, &drills.list, &levels));
    }
}

fn line(ui: &mut egui::Ui, desk: &mut Desk<'_>, drill: &DrillRow) {
    let notes = plan_words::drill_notes(drill);
    let name = plan_words::drill(drill);
    ui.horizontal_wrapped(|ui| {
        let radio = ui.radio(drill.chosen_by.is_some(), &name).on_hover_text(&drill.meaning);
        if radio.accessible_name(format!("drill {name}, {notes}")).clicked() {
            // The case's own choice is taken back by pressing it again.
            let own = drill.chosen_by == Some(ChosenBy::Case);
            desk.ask(Action::Edit(Edit::Drill((!own).then(|| drill.drill.clone()))));
        }
        let thinnest = plan_words::thinnest(drill);
        aside(ui, thinnest.map_or_else(|| notes.clone(), |thinnest| format!("{thinnest}; {notes}")));
    });
}

/// Every drill at every level.
fn level_by_level(ui: &mut egui::Ui, drills: &[DrillRow], levels: &[&str]) {
    aside(ui, "Thinner wall that stays, mm / part of the root's width.");
    let area = ScrollArea::horizontal().id_salt("drills");
    scrolled(ui, "every drill at every level; arrow keys move the table sideways", area, |ui| {
        Grid::new("drills").num_columns(1 + levels.len()).striped(true).show(ui, |ui| {
            ui.label("");
            for level in levels {
                ui.label(RichText::new(*level).strong());
            }
            ui.end_row();
            for drill in drills {
                ui.label(plan_words::drill(drill));
                for level in levels {
                    let level = drill.levels.iter().find(|it| it.level == **level);
                    ui.monospace(level.map_or_else(|| "\u{2013}".to_owned(), plan_words::drilled_level));
                }
                ui.end_row();
            }
        });
    });
}

/// The levels that are known, sections first.
fn levels(drills: &[DrillRow]) -> Vec<&str> {
    let mut levels: Vec<&str> = Vec::new();
    for level in drills.iter().flat_map(|drill| &drill.levels) {
        if !levels.contains(&level.level.as_str()) {
            levels.push(&level.level);
        }
    }
    levels.sort_by_key(|level| match *level {
        "shoulder" => (1, ""),
        "tip" => (2, ""),
        section => (0, section),
    });
    levels
}
