//! The film and the tooth on it.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::shown_film::FilmState;
use super::super::theme;
use super::super::work::Work;
use super::links::come_to;
use super::number_field::{Field, propose, text};
use super::rows::{aside, choice, row};
use super::tooth_picker;
use crate::calibration::Extra;
use crate::case::{Fdi, FilmSide, Landmarks, Root, RootName, Stage, Technique};
use crate::editor::{Edit, ListChange, asks_for_post_root};
use crate::film::Pitch;
use crate::wording::capital;
use eframe::egui::{self, RichText};

/// The names of controls that links go to.
pub(super) const STAGE: &str = "Stage of treatment";
pub(super) const TECHNIQUE: &str = "Technique";

/// The name of the control that says that the post is in a root.
pub(super) fn post_is_in(root: RootName) -> String {
    format!("post is in the {} root", root.word())
}

/// What a stage is called.
pub(super) fn stage_words(stage: Stage) -> &'static str {
    match stage {
        Stage::Assessment => "assessment, before treatment",
        Stage::WorkingLength => "working length, instrument in place",
        Stage::Filled => "filled, after the root filling",
        Stage::PostSpace => "post space prepared",
        Stage::PostCore => "post and core in place",
        Stage::Crowned => "crowned",
        Stage::Recall => "recall, at a later visit",
    }
}

fn technique_words(technique: Technique) -> &'static str {
    match technique {
        Technique::Paralleling => "paralleling",
        Technique::Bisecting => "bisecting the angle",
        Technique::Unknown => "not known",
    }
}

/// Draws the part.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    if work.is_of_round() {
        aside(ui, "Which film this is, is not told in a round.");
    } else {
        facts(ui, work);
    }
    row(ui, "Tooth", |ui| tooth_picker::show(ui, desk, work));
    let stages: Vec<_> =
        Stage::ALL.iter().map(|(_, stage)| (stage_words(*stage).to_owned(), *stage)).collect();
    row(ui, "Stage", |ui| {
        choice(ui, STAGE, Some("not stated"), &stages, case.film.stage, |stage| {
            desk.ask(Action::Edit(Edit::Stage(stage)));
        });
    });
    let techniques: Vec<_> =
        Technique::ALL.iter().map(|(_, it)| (technique_words(*it).to_owned(), *it)).collect();
    row(ui, "Technique", |ui| {
        choice(ui, TECHNIQUE, Some("not stated"), &techniques, case.film.technique, |technique| {
            desk.ask(Action::Edit(Edit::Technique(technique)));
        });
    });
    row(ui, "Mesial lies", |ui| mesial(ui, desk, work));
    row(ui, "Taken on", |ui| {
        let field = Field { name: "Date of the film", hint: "YYYY-MM-DD", unit: "", width: 110.0 };
        text(ui, field, case.film.date.as_deref().unwrap_or_default(), |typed| {
            propose(desk, work, Edit::Date(some(typed)))
        });
    });
    row(ui, "Label", |ui| {
        let field =
            Field { name: "Label, no patient's name", hint: "no patient's name", unit: "", width: 220.0 };
        text(ui, field, case.label.as_deref().unwrap_or_default(), |typed| {
            propose(desk, work, Edit::Label(some(typed)))
        });
    });
    roots(ui, desk, work);
}

/// What was typed, or nothing.
pub(super) fn some(typed: &str) -> Option<String> {
    (!typed.is_empty()).then(|| typed.to_owned())
}

/// What a film states of its pixels, as the reference made from it says it: a receptor its pitch, a picture file dots per
/// inch.
fn pitch_words(pitch: Pitch) -> String {
    let [across, down] = [pitch.across.get(), pitch.down.get()];
    let pitch_of = if (across - down).abs() < 1e-9 {
        format!("a pitch of {across:.4} mm")
    } else {
        format!("a pitch of {across:.4} x {down:.4} mm")
    };
    if pitch.from.of_receptor() { pitch_of } else { format!("{:.2} dpi, {pitch_of}", 25.4 / across) }
}

fn facts(ui: &mut egui::Ui, work: &Work) {
    match &work.film {
        FilmState::Shown(film) => {
            let film = &film.film;
            let (width, height) = (film.picture.width(), film.picture.height());
            let stated = film.pitch.map_or_else(|| "no pitch".to_owned(), pitch_words);
            let bits = film.picture.bits();
            let words = format!("Film of {width} x {height} px, {bits} bit grey; states {stated}");
            aside(ui, words);
        }
        FilmState::Failed(why) => {
            let colour = theme::caution(ui.visuals().dark_mode);
            ui.label(RichText::new(format!("The film cannot be shown: {why}")).color(colour));
        }
        FilmState::Opening => aside(ui, "The film is being opened."),
        FilmState::None => aside(ui, "The case names no film."),
    }
}

fn mesial(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    let sides = [
        ("on the left of the film".to_owned(), FilmSide::Left),
        ("on the right of the film".to_owned(), FilmSide::Right),
    ];
    let usual = match case.tooth.fdi.map(Fdi::mesial_seen_from_in_front) {
        Some(FilmSide::Left) => "as seen from in front: left",
        Some(FilmSide::Right) => "as seen from in front: right",
        None => "as seen from in front",
    };
    choice(ui, "Where mesial lies", Some(usual), &sides, case.tooth.mesial_is, |side| {
        desk.ask(Action::Edit(Edit::MesialIs(side)));
    });
    let [is_reversed, _] = work.viewport.is_reversed();
    if is_reversed {
        let how = if work.viewport.is_mirrored() { "mirrored" } else { "turned" };
        aside(ui, format!("on the film as it is stored; {how} here"));
    }
}

/// A root of which nothing is known but its name.
pub(super) fn bare_root(name: RootName) -> Root {
    Root {
        name,
        post_here: None,
        landmarks: Landmarks::default(),
        canal: Vec::new(),
        sections: Vec::new(),
        extra: Extra::new(),
    }
}

fn roots(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    ui.add_space(4.0);
    ui.label(RichText::new("Roots").strong());
    let free: Vec<_> = RootName::ALL
        .iter()
        .filter(|(_, name)| case.roots.iter().all(|root| root.name != *name))
        .map(|(word, name)| ((*word).to_owned(), *name))
        .collect();
    if asks_for_post_root(case) {
        ui.horizontal_wrapped(|ui| {
            ui.label("Which root is the post in? Tick it.");
            // A space that is prepared is there for one.
            let may_be_none = case.film.stage != Some(Stage::PostSpace);
            if may_be_none
                && ui
                    .button("There is no post")
                    .on_hover_text("its head and tip are absent in every root")
                    .clicked()
            {
                desk.ask(Action::Edit(Edit::no_post(case.roots.iter().map(|root| root.name))));
            }
        });
    }
    for (at, root) in case.roots.iter().enumerate() {
        ui.push_id(at, |ui| {
            ui.horizontal_wrapped(|ui| {
                let word = root.name.word();
                let mut names = free.clone();
                names.insert(0, (word.to_owned(), root.name));
                ui.scope(|ui| {
                    ui.set_max_width(130.0);
                    let of = format!("Name of root {}", at + 1);
                    choice(ui, &of, None, &names, Some(root.name), |name| {
                        if let Some(name) = name {
                            desk.ask(Action::Edit(Edit::RootName { root: root.name, name }));
                        }
                    });
                });
                let mut here = root.post_here == Some(true);
                let tick = ui
                    .checkbox(&mut here, "post is here")
                    .on_hover_text("a post is in this root, or planned for it");
                let name = post_is_in(root.name);
                let tick = tick.accessible_name(&name);
                come_to(ui, &name, &tick);
                if tick.changed() {
                    let post_here = here.then_some(true);
                    desk.ask(Action::Edit(Edit::PostHere { root: root.name, post_here }));
                }
                let remove =
                    ui.button("Remove").on_hover_text("with all that is placed of it; undo brings it back");
                if remove.accessible_name(format!("remove the {word} root")).clicked() {
                    desk.ask(Action::Edit(Edit::Roots(ListChange::Remove { at })));
                }
            });
        });
    }
    ui.horizontal_wrapped(|ui| {
        if let Some(fdi) = case.tooth.fdi.filter(|_| case.roots.is_empty()) {
            let usual: Vec<Root> = fdi.usual_roots().iter().map(|name| bare_root(*name)).collect();
            let words = crate::wording::list(
                &usual.iter().map(|root| root.name.word().to_owned()).collect::<Vec<_>>(),
            );
            if ui.button(format!("Add the usual: {words}")).clicked() {
                desk.ask(Action::Edit(Edit::Roots(ListChange::Whole(usual))));
            }
        }
        choice(ui, "Add a root", Some("add a root\u{2026}"), &free, None, |name| {
            if let Some(name) = name {
                let change = ListChange::Insert { at: case.roots.len(), item: Box::new(bare_root(name)) };
                desk.ask(Action::Edit(Edit::Roots(change)));
            }
        });
    });
    if case.roots.is_empty() {
        aside(ui, capital("landmarks of a root can be placed once it is listed."));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::PitchFrom;
    use crate::quantity::Millimetres;

    #[test]
    fn a_file_states_dots_per_inch_and_a_receptor_its_pitch() {
        let words = |from: PitchFrom| {
            let pitch = Millimetres(0.045);
            pitch_words(Pitch { across: pitch, down: pitch, from })
        };
        assert_eq!(words(PitchFrom::TiffResolution), "564.44 dpi, a pitch of 0.0450 mm");
        assert_eq!(words(PitchFrom::DicomImager), "a pitch of 0.0450 mm");
    }
}
