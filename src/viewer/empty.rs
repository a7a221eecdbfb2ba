//! What is shown while no case is open: what the program is for, and how to begin.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::opening::names_told_apart;
use super::theme;
use crate::quantity::Day;
use crate::report::SAFETY;
use eframe::egui::{self, RichText};

/// Width of the text, points.
const WIDTH: f32 = 560.0;

/// Draws it in the middle of what is left of the window.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let faint = theme::faint(ui.visuals().dark_mode);
    // What lies behind the film is dark in both themes, for the film's sake.
    ui.painter().rect_filled(ui.max_rect(), 0.0, ui.visuals().panel_fill);
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let width = WIDTH.min(ui.available_width() - 32.0);
        ui.add_space((ui.available_height() * 0.12).max(16.0));
        ui.horizontal(|ui| {
            ui.add_space(((ui.available_width() - width) / 2.0).max(16.0));
            ui.vertical(|ui| {
                ui.set_width(width);
                ui.heading("crestgauge");
                ui.label(
                    "Measures a root-filled tooth on a periapical film: can it carry a post, a core and a crown? \
                     Every number comes with how far it may be wrong.",
                );
                ui.add_space(12.0);
                ui.horizontal_wrapped(|ui| {
                    for command in [Command::Open, Command::OpenNamed, Command::OpenSample, Command::Practise] {
                        let button = egui::Button::new(command.title()).min_size(egui::vec2(0.0, 30.0));
                        if ui.add(button).on_hover_text(command.hint()).clicked() {
                            desk.ask(Action::Command(command));
                        }
                    }
                });
                ui.label(RichText::new("A film or a case can also be dropped onto this window.").color(faint));
                waiting(ui, desk);
                recent(ui, desk);
                ui.add_space(18.0);
                ui.separator();
                ui.label(RichText::new(SAFETY).color(faint));
            });
        });
    });
}

/// Unsaved work, each with what opens it: there it is offered, and never taken in unasked.
fn waiting(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    if session.waiting.is_empty() {
        return;
    }
    ui.add_space(12.0);
    let colour = theme::caution(ui.visuals().dark_mode);
    ui.label(RichText::new("Unsaved work was found").strong().color(colour));
    let opens: Vec<_> = session.waiting.iter().filter_map(|waiting| waiting.opens.clone()).collect();
    let names = opens.iter().zip(names_told_apart(&opens));
    for (at, waiting) in session.waiting.iter().enumerate() {
        let case = &waiting.unsaved.case;
        let label = case.label.as_deref().unwrap_or("no label");
        let numbers = session.remembered.tooth_numbers;
        let tooth = case
            .tooth
            .fdi
            .map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {}", numbers.words(fdi)));
        let words = format!("{label}, {tooth}, put by on {}", Day::here(waiting.unsaved.written));
        ui.push_id(("waiting", at), |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.label(&words);
                if let Some(file) = &waiting.opens {
                    let button = ui.button("Go on").on_hover_text(file.display().to_string());
                    let name = names.clone().find(|(it, _)| *it == file).map(|(_, name)| name);
                    let name = name.unwrap_or_default();
                    if button.accessible_name(format!("go on with {words}, {name}")).clicked() {
                        desk.ask(Action::GoOn { opens: file.clone(), unsaved: waiting.file.clone() });
                    }
                } else {
                    let film = case.film.file.as_deref().unwrap_or("its film");
                    ui.label(format!("Open {film} to go on."));
                }
            });
        });
    }
}

fn recent(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let remembered = &desk.session.remembered;
    if remembered.recent.is_empty() {
        return;
    }
    ui.add_space(12.0);
    ui.label(RichText::new("Opened last").strong());
    for (file, name) in remembered.recent.iter().cloned().zip(names_told_apart(&remembered.recent)) {
        if ui.link(name).on_hover_text(file.display().to_string()).clicked() {
            desk.ask(Action::Open(file));
        }
    }
}
