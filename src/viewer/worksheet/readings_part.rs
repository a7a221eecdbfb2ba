//! What is read at the chair, and what is planned there.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::work::Work;
use super::film_part::some;
use super::number_field::{Field, number, propose, text};
use super::rows::{aside, choice, row};
use crate::calibration::{Extra, ObjectKind};
use crate::case::{Case, Fdi, Instrument, Reading, Site};
use crate::editor::{Edit, SiteReading, ToothReading};
use crate::wording::capital;
use eframe::egui::{self, RichText};

/// Room for a value, its uncertainty and what it was taken with, side by side.
const ALL_IN_ONE: f32 = 255.0;

/// The name of the field that says what the stop rests on.
pub(super) const STOP_NAME: &str = "what the instrument's stop rests on";

/// The name of the field of a reading.
pub(super) fn reading_name(case: &Case, of: SiteReading, site: Site) -> String {
    format!("{}, {}", of.words(), site_word(case, site))
}

/// Draws the part.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    aside(
        ui,
        "What a film cannot show is read at the chair, never guessed. Comma or point; empty is not known.",
    );
    for of in SiteReading::ALL {
        ui.add_space(4.0);
        ui.label(RichText::new(capital(of.words())).strong()).on_hover_text(meaning(*of));
        for site in of.sites() {
            let held = of.value(case).readings.get(site);
            let name = reading_name(case, *of, *site);
            row(ui, &capital(site_word(case, *site)), |ui| {
                reading(ui, &name, held, &mut |reading| {
                    propose(desk, work, Edit::SiteReading { of: *of, site: *site, reading })
                });
            });
        }
    }
    ui.add_space(4.0);
    ui.label(RichText::new("Of the whole tooth").strong());
    for of in ToothReading::ALL {
        row(ui, &capital(of.words()), |ui| {
            reading(ui, of.words(), of.value(case).as_ref(), &mut |reading| {
                propose(desk, work, Edit::ToothReading { of: *of, reading })
            });
        });
    }
    row(ui, "Stop rests on", |ui| {
        let field = Field { name: STOP_NAME, hint: "such as palatal cusp", unit: "", width: 200.0 };
        text(ui, field, case.clinical.stop_reference_name.as_deref().unwrap_or_default(), |typed| {
            propose(desk, work, Edit::StopReferenceName(some(typed)))
        });
    });
    row(ui, "Drill", |ui| drill(ui, desk, work));
}

fn meaning(of: SiteReading) -> &'static str {
    match of {
        SiteReading::Ferrule => "probed height of sound wall above the margin",
        SiteReading::Wall => "probed thickness of the wall",
        SiteReading::WallAboveBone => "height of sound wall above the bone, by sounding",
        SiteReading::Sulcus => "depth of the sulcus",
    }
}

/// A site as this tooth's dentist calls it.
fn site_word(case: &Case, site: Site) -> &'static str {
    match site {
        Site::Lingual if case.tooth.fdi.is_some_and(Fdi::is_upper) => "palatal",
        site => site.word(),
    }
}

/// A reading with what it was taken with and its uncertainty.
fn reading(
    ui: &mut egui::Ui,
    name: &str,
    held: Option<&Reading>,
    take: &mut dyn FnMut(Option<Reading>) -> Result<(), String>,
) {
    ui.push_id(name, |ui| {
        let is_wide = ui.available_width() > ALL_IN_ONE;
        match held {
            None => value_read(ui, name, held, take),
            Some(reading) if is_wide => {
                ui.horizontal_top(|ui| {
                    value_read(ui, name, held, take);
                    how_read(ui, name, reading, take);
                });
            }
            Some(reading) => {
                value_read(ui, name, held, take);
                ui.horizontal_top(|ui| how_read(ui, name, reading, take));
            }
        }
    });
}

fn value_read(
    ui: &mut egui::Ui,
    name: &str,
    held: Option<&Reading>,
    take: &mut dyn FnMut(Option<Reading>) -> Result<(), String>,
) {
    let field = Field { name, hint: "not read", unit: "mm", width: 64.0 };
    number(ui, field, held.map(|held| held.value), |value| {
        take(value.map(|value| match held {
            Some(held) => Reading { value, ..held.clone() },
            None => Reading { value, sd: None, by: None, extra: Extra::new() },
        }))
    });
}

/// How sure a reading is, and what it was taken with.
fn how_read(
    ui: &mut egui::Ui,
    name: &str,
    held: &Reading,
    take: &mut dyn FnMut(Option<Reading>) -> Result<(), String>,
) {
    let sd_name = format!("standard uncertainty of {name}");
    let hint = format!("sd {}", held.sd());
    let field = Field { name: &sd_name, hint: &hint, unit: "", width: 52.0 };
    number(ui, field, held.sd, |sd| take(Some(Reading { sd, ..held.clone() })));
    ui.scope(|ui| {
        ui.set_max_width(88.0);
        let all = Instrument::ALL.iter().map(|(word, it)| ((*word).to_owned(), *it)).collect::<Vec<_>>();
        choice(ui, &format!("{name}, read with"), Some("by\u{2026}"), &all, held.by, |by| {
            // A choice of the list is never refused.
            let _ = take(Some(Reading { by, ..held.clone() }));
        });
    });
}

fn drill(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let drills: Vec<(String, &str)> = work
        .open
        .engine()
        .library
        .objects()
        .iter()
        .filter(|object| object.kind == ObjectKind::Drill)
        .map(|object| (object.meaning.clone(), object.name.as_str()))
        .collect();
    let now = work.open.case().clinical.drill.as_deref();
    choice(ui, "Drill for the post space", Some("not chosen"), &drills, now, |drill| {
        desk.ask(Action::Edit(Edit::Drill(drill.map(str::to_owned))));
    });
}
