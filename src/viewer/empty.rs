//! What is shown while no case is open: what the program is for, and how to begin.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::opening::file_name;
use super::theme;
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
                recent(ui, desk);
                ui.add_space(18.0);
                ui.separator();
                ui.label(RichText::new(SAFETY).color(faint));
            });
        });
    });
}

fn recent(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let remembered = &desk.session.remembered;
    if remembered.recent.is_empty() {
        return;
    }
    ui.add_space(12.0);
    ui.label(RichText::new("Opened last").strong());
    for file in remembered.recent.clone() {
        if ui.link(file_name(&file)).on_hover_text(file.display().to_string()).clicked() {
            desk.ask(Action::Open(file));
        }
    }
}
