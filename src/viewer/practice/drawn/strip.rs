//! The strip over the worksheet while a case is placed for practice: what is not shown, and how it ends.

use crate::phantom::EXERCISE_WIRE;
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use crate::viewer::practice::Ask;
use crate::viewer::theme;
use eframe::egui::{self, RichText};

/// Draws it, where there is anything to practise.
pub(in crate::viewer) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    let Some(practice) = session.work.as_ref().and_then(|work| work.practice.as_ref()) else { return };
    let colour = theme::to_do(ui.visuals().dark_mode);
    egui::Frame::new().stroke(egui::Stroke::new(1.5, colour)).corner_radius(4).inner_margin(6).show(ui, |ui| {
        ui.set_width(ui.available_width());
        match (&practice.placing, &practice.compared) {
            (Some(placing), _) => {
                let words = format!("Round: placing {} of {}", placing.number, placing.of);
                ui.label(RichText::new(words).strong().color(colour));
                ui.label(
                    "Nothing tells which film this is, and no earlier point is shown. Measurements, verdicts and plan come \
                     after the round.",
                );
                ui.horizontal_wrapped(|ui| {
                    command(ui, desk, Command::FinishPlacing);
                    if ui.button("End the round").on_hover_text("what was kept so far is compared").clicked() {
                        desk.ask(Action::Practice(Ask::EndRound));
                    }
                });
            }
            (None, None) if !practice.can_be_finished() => {
                ui.label(RichText::new("Practice: the key is gone").strong().color(colour));
                ui.label(
                    "The key that was put by for this case is not there any more, so that it cannot be compared, and its results stay \
                     unseen. What was placed is all here. Open the film by itself for a case that shows its results.",
                );
            }
            (None, None) => {
                ui.label(RichText::new("Practice: results after you finish").strong().color(colour));
                ui.label(
                    "Measurements, verdicts, cautions and plan are not shown until then. What cannot be seen is right when it \
                     is marked hidden.",
                );
                if session.work.as_ref().is_some_and(|work| work.open.case().calibration.references.is_empty()) {
                    ui.label(format!(
                        "The scale is yours to place: what is of known size on the film, on a made one a wire of {} mm beside \
                         the tooth.",
                        EXERCISE_WIRE.get()
                    ));
                }
                ui.horizontal_wrapped(|ui| command(ui, desk, Command::FinishPlacing));
            }
            (None, Some(_)) => {
                ui.horizontal_wrapped(|ui| {
                    ui.label(RichText::new("Practice").strong().color(colour));
                    for (shows, words) in [(true, "Comparison"), (false, "Worksheet")] {
                        let button = egui::Button::selectable(practice.shows_comparison == shows, words);
                        if ui.add(button.frame_when_inactive(true)).clicked() {
                            desk.ask(Action::Practice(Ask::ShowComparison(shows)));
                        }
                    }
                    command(ui, desk, Command::NextPractice);
                });
            }
        }
    });
    ui.add_space(4.0);
}

/// A button for a command.
fn command(ui: &mut egui::Ui, desk: &mut Desk<'_>, command: Command) {
    let title = command.title_now(desk.session);
    if ui.button(title).on_hover_text(command.hint()).clicked() {
        desk.ask(Action::Command(command));
    }
}
