//! What is drawn of a root point by point: its canal, and widths across it.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::work::Work;
use super::film_part::some;
use super::number_field::{Field, propose, text};
use super::rows::{aside, row};
use crate::case::{Root, RootName, Section};
use crate::editor::{Edit, ListChange};
use crate::wording::capital;
use eframe::egui::{self, Button, CollapsingHeader};

/// What a control does, by the name of the root where a tooth has several: no two controls go by one name.
fn of_root(what: &str, root: RootName) -> String {
    match root {
        RootName::Single => what.to_owned(),
        name => format!("{what}, {} root", name.word()),
    }
}

/// Draws the canal and the sections of a root.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, root: &Root) {
    CollapsingHeader::new(of_root("Canal and sections", root.name)).id_salt(("root", root.name)).show(
        ui,
        |ui| {
            row(ui, "Canal", |ui| canal(ui, desk, work, root));
            row(ui, "Sections", |ui| sections(ui, desk, work, root));
            let says_so = ui
                .button("No root filling in it")
                .on_hover_text("both its ends are absent; the seal is then nothing")
                .accessible_name(of_root("No root filling in it", root.name));
            if says_so.clicked() {
                desk.ask(Action::Edit(Edit::no_root_filling(root.name)));
            }
        },
    );
}

fn canal(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, root: &Root) {
    let name = root.name;
    let is_aimed_at = work.aim == Some(Target::CanalPoint(name));
    aside(
        ui,
        match root.canal.len() {
            0 => "Not drawn: lengths run straight from point to point.".to_owned(),
            1 => "1 point; a canal takes two or more.".to_owned(),
            count => format!("{count} points, coronal to apical."),
        },
    );
    ui.horizontal_wrapped(|ui| {
        let words = match (is_aimed_at, root.canal.is_empty()) {
            (true, _) => "Click along it on the film; press here when done",
            (false, true) => "Draw it",
            (false, false) => "Go on with it",
        };
        let button = ui.add(Button::selectable(is_aimed_at, words).frame_when_inactive(true));
        if button.accessible_name(of_root(words, name)).clicked() {
            desk.ask(Action::Aim((!is_aimed_at).then_some(Target::CanalPoint(name))));
        }
        let clears = of_root("clear the canal", name);
        if !root.canal.is_empty() && ui.button("Clear").accessible_name(clears).clicked() {
            desk.ask(Action::Edit(Edit::Canal { root: name, change: ListChange::Whole(Vec::new()) }));
        }
    });
}

fn sections(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, root: &Root) {
    for (at, section) in root.sections.iter().enumerate() {
        ui.push_id(at, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.label(format!("{}", at + 1));
                let name = of_root(&format!("Level of section {}", at + 1), root.name);
                let field = Field { name: &name, hint: "level, such as middle", unit: "", width: 130.0 };
                text(ui, field, section.level.as_deref().unwrap_or_default(), |typed| {
                    let item = Box::new(Section { level: some(typed), ..section.clone() });
                    propose(
                        desk,
                        work,
                        Edit::Sections { root: root.name, change: ListChange::Replace { at, item } },
                    )
                });
                let removes = of_root(&format!("remove section {}", at + 1), root.name);
                if ui.button("Remove").accessible_name(removes).clicked() {
                    desk.ask(Action::Edit(Edit::Sections {
                        root: root.name,
                        change: ListChange::Remove { at },
                    }));
                }
            });
        });
    }
    let add = ui.button("Add a section").on_hover_text("its widths, clicked square to the canal");
    if add.accessible_name(of_root("Add a section", root.name)).clicked() {
        desk.ask(Action::begin_section(root.name));
    }
    aside(ui, capital("click outer wall, canal or post, canal or post, outer wall; mesial first."));
}
