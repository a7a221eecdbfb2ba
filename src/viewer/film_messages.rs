//! What stands where a film would be: how far opening it has come, or why it cannot be shown.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::opening::Opening;
use super::practice::Ask;
use super::shown_film::FilmState;
use eframe::egui::{self, Rect, vec2};
use std::time::Duration;

/// How often progress is drawn anew.
const PROGRESS_INTERVAL: Duration = Duration::from_millis(100);
/// Opening that is over sooner is not told of: nobody could read it.
const UNNOTICED: Duration = Duration::from_millis(300);

/// Draws what is to be said over the film's part of the window, where there is anything.
pub(super) fn show(ui: &mut egui::Ui, rect: Rect, desk: &mut Desk<'_>) {
    let session = desk.session;
    if let Some(making) = &session.practice.making {
        if let Some(rest) = UNNOTICED.checked_sub(making.lasts()) {
            ui.request_repaint_after(rest);
        } else {
            boxed(ui, rect, |ui| {
                ui.heading(if making.is_made { "Making a film" } else { "Getting the film ready" });
                ui.label(if making.has_key {
                    "A few seconds; its key is put by where it is not seen."
                } else {
                    "A few seconds."
                });
                if ui.button("Give it up").clicked() {
                    desk.ask(Action::Practice(Ask::CancelMaking));
                }
            });
            ui.request_repaint_after(PROGRESS_INTERVAL);
        }
        return;
    }
    if let Some(opening) = &session.opening {
        if let Some(rest) = UNNOTICED.checked_sub(opening.lasts()) {
            ui.request_repaint_after(rest);
        } else {
            boxed(ui, rect, |ui| progress(ui, desk, opening));
            ui.request_repaint_after(PROGRESS_INTERVAL);
        }
        return;
    }
    match session.work.as_ref().map(|work| &work.film) {
        Some(FilmState::None) => boxed(ui, rect, |ui| {
            ui.heading("The case names no film");
            ui.label("Its landmarks, numbers and verdicts are all here; only the picture is not.");
            find(ui, desk);
        }),
        Some(FilmState::Failed(why)) => boxed(ui, rect, |ui| {
            ui.heading("The film cannot be shown");
            ui.label(why);
            ui.label("Its landmarks, numbers and verdicts are all here; only the picture is not.");
            find(ui, desk);
        }),
        Some(FilmState::Opening | FilmState::Shown(_)) | None => {}
    }
}

/// A box at the top of a part of the window, where it covers few landmarks.
fn boxed(ui: &mut egui::Ui, rect: Rect, add: impl FnOnce(&mut egui::Ui)) {
    let width = 440.0_f32.min(rect.width() - 32.0).max(120.0);
    let corner = egui::pos2(rect.center().x - width / 2.0, rect.top() + 12.0);
    let room = Rect::from_min_size(corner, vec2(width, (rect.bottom() - corner.y).max(40.0)));
    ui.scope_builder(egui::UiBuilder::new().max_rect(room), |ui| {
        egui::Frame::window(ui.style()).shadow(egui::Shadow::NONE).inner_margin(16.0).show(ui, |ui| {
            ui.set_width(width - 34.0);
            ui.spacing_mut().item_spacing.y = 8.0;
            add(ui);
        });
    });
}

fn progress(ui: &mut egui::Ui, desk: &mut Desk<'_>, opening: &Opening) {
    let step = opening.step();
    ui.heading(format!("Opening {}", opening.name()));
    let words = step.words();
    ui.label(words);
    let bar = ui.add(egui::ProgressBar::new(step.fraction()).desired_height(8.0));
    bar.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::ProgressIndicator, true, format!("opening: {words}"))
    });
    if ui.button("Cancel").clicked() {
        desk.ask(Action::CancelOpening);
    }
}

fn find(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    command(ui, desk, Command::FindFilm);
}

/// A button for a command.
fn command(ui: &mut egui::Ui, desk: &mut Desk<'_>, command: Command) {
    if ui.button(command.title()).on_hover_text(command.hint()).clicked() {
        desk.ask(Action::Command(command));
    }
}
