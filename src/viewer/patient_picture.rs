//! The patient's drawing over the whole screen, to turn the screen around with; it can stand on its head for somebody
//! opposite.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::paper::{self, Films, Laid};
use eframe::egui::{self, Button, Color32, Frame, Key, Margin, Rect, RichText, vec2};

/// What turns it.
pub(super) const TURN: Key = Key::T;

/// Draws it.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, films: &mut Films) {
    let reporting = &desk.session.reporting;
    let foot = Frame::new().fill(ui.visuals().panel_fill).inner_margin(Margin::symmetric(10, 5));
    egui::Panel::bottom("under the patient's drawing").frame(foot).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            if ui.button("Leave the drawing").on_hover_text("Escape").clicked() {
                desk.ask(Action::Command(Command::Picture));
            }
            let turn =
                ui.add(Button::selectable(reporting.is_turned, "Turn it around").frame_when_inactive(true));
            if turn.on_hover_text("for somebody who sits opposite").clicked() {
                desk.ask(Action::TurnPicture);
            }
            ui.label("Escape leaves it, T turns it for somebody opposite.");
        });
    });
    egui::CentralPanel::no_frame().show(ui, |ui| {
        let rect = ui.available_rect_before_wrap();
        ui.painter().rect_filled(rect, 0.0, Color32::WHITE);
        let shape = f64::from(rect.width() / rect.height().max(1.0));
        if (reporting.shape_of_screen - shape).abs() > 1e-6 {
            desk.ask(Action::ShapeOfScreen(shape));
        }
        match reporting.made() {
            Some(Ok(drawing)) => {
                let Some(page) = drawing.pages.first() else { return };
                let (wide, high) = (page.width.get(), page.height.get());
                let per_mm = (f64::from(rect.width()) / wide).min(f64::from(rect.height()) / high);
                // As large as the screen.
                #[expect(clippy::cast_possible_truncation, reason = "see above")]
                let size = vec2((wide * per_mm) as f32, (high * per_mm) as f32);
                let sheet = Rect::from_center_size(rect.center(), size);
                paper::show(ui, page, &Laid { rect: sheet, per_mm, is_turned: reporting.is_turned }, films);
            }
            Some(Err(why)) => {
                ui.label(RichText::new(format!("There is no drawing: {why}")).color(Color32::BLACK));
            }
            None => {
                ui.label(RichText::new("The drawing is being made.").color(Color32::BLACK));
            }
        }
    });
    let turns = desk.session.question.is_none()
        && ui.input(|input| input.key_pressed(TURN) && input.modifiers.is_none());
    if turns {
        desk.ask(Action::TurnPicture);
    }
}
