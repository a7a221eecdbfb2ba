//! The strip under the film: how grey values are shown, and how far the film is turned.

mod histogram;

use super::action::{Action, Look};
use super::app::Desk;
use super::command::Command;
use super::shown_film::ShownFilm;
use super::theme;
use super::work::Work;
use crate::film::{GAMMA, LOCAL_LIMIT, LocalContrast, LookFrom, SHARPENING, Sharpening, Tone, Window};
use eframe::egui::accesskit::Role;
use eframe::egui::{self, ScrollArea, WidgetInfo};
use histogram::{Bins, histogram};
use std::ops::RangeInclusive;

/// A histogram narrower than this cannot be read, points.
const LEAST: f32 = 110.0;
/// Width of what sets window, gamma and angle, points.
const CONTROLS: f32 = 330.0;
/// Width of what sets local contrast and sharpening, points.
const DETAIL: f32 = 262.0;
/// The least and the greatest blur that sharpening is offered with, pixels.
const BLUR: RangeInclusive<f64> = 0.5..=5.0;
/// The name of the blur's field.
const BLUR_NAME: &str = "blur that sharpening compares with, pixels shown";

/// What the strip keeps from frame to frame.
#[derive(Default)]
pub(super) struct TonePanel {
    bins: Option<(u64, Bins)>,
}

impl TonePanel {
    /// Draws the strip, where it is wanted.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>) {
        if !desk.session.remembered.shows_tone {
            return;
        }
        let Some(work) = &desk.session.work else { return };
        egui::Panel::bottom("tone").resizable(false).show(ui, |ui| {
            ui.add_space(2.0);
            match work.film.shown() {
                Some(film) => self.tone(ui, desk, work, film),
                None => {
                    ui.label("no film is shown");
                }
            }
            ui.add_space(2.0);
        });
    }

    fn tone(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, film: &ShownFilm) {
        if self.bins.as_ref().is_none_or(|(serial, _)| *serial != film.serial) {
            self.bins = Some((film.serial, Bins::of(&film.histogram, &film.first_look)));
        }
        let room = ui.available_width();
        let is_wide = room > LEAST + CONTROLS + DETAIL;
        if room > LEAST + CONTROLS {
            let controls = if is_wide { CONTROLS + DETAIL } else { CONTROLS };
            ui.horizontal(|ui| {
                self.histogram(ui, desk, work, film, room - controls);
                ui.add_space(8.0);
                ui.vertical(|ui| {
                    controls_of(ui, desk, work, film);
                    if !is_wide {
                        detail_of(ui, desk, work);
                    }
                });
                if is_wide {
                    ui.vertical(|ui| detail_of(ui, desk, work));
                }
            });
        } else {
            // Letters are large or the window is small: one below the other, and the film keeps its room.
            let most = ui.content_rect().height() / 3.0;
            ScrollArea::vertical().max_height(most).auto_shrink([false, true]).show(ui, |ui| {
                self.histogram(ui, desk, work, film, room - 12.0);
                controls_of(ui, desk, work, film);
                detail_of(ui, desk, work);
            });
        }
    }

    fn histogram(&self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, film: &ShownFilm, width: f32) {
        if let Some((_, bins)) = &self.bins {
            histogram(ui, desk, work.tone, film, bins, width.clamp(LEAST, 720.0));
        }
    }
}

fn controls_of(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, film: &ShownFilm) {
    let tone = work.tone;
    let look = &film.first_look;
    ui.horizontal_wrapped(|ui| {
        let window = tone.window_or(look);
        let (mut low, mut high) = (window.low, window.high);
        ui.label("Window");
        let speed = (window.width() / 200.0).max(0.1);
        let changed = number(ui, &mut low, "window from grey value", speed);
        ui.label("to");
        let changed = number(ui, &mut high, "window to grey value", speed) || changed;
        if changed {
            let window = Window::between(low, high, look.largest());
            desk.ask(Action::Tone(Tone { window: Some(window), ..tone }));
        }
        let from = match (tone.window, look.from()) {
            (Some(_), _) => "set by hand",
            (None, LookFrom::File) => "as the film asks",
            (None, LookFrom::GreyValues) => "by the grey values",
        };
        ui.label(egui::RichText::new(from).color(theme::faint(ui.visuals().dark_mode)));
    });
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Gamma");
        let mut gamma = tone.gamma;
        ui.spacing_mut().slider_width = 90.0;
        let slider =
            egui::Slider::new(&mut gamma, GAMMA).logarithmic(true).fixed_decimals(2).custom_parser(decimal);
        let slider = ui.add(slider).labelled_by(label.id).on_hover_text("above 1 darker, below 1 lighter");
        if slider.changed() && gamma != tone.gamma {
            desk.ask(Action::Tone(Tone { gamma, ..tone }));
        }
        let mut inverted = tone.inverted;
        if ui.checkbox(&mut inverted, "Invert").on_hover_text(Command::Invert.hint()).changed() {
            desk.ask(Action::Command(Command::Invert));
        }
    });
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Turn");
        let mut turn = work.viewport.turn_deg();
        let drag = egui::DragValue::new(&mut turn)
            .speed(0.25)
            .fixed_decimals(1)
            .suffix(" deg")
            .update_while_editing(false)
            .custom_parser(decimal);
        let hint = "turns the picture clockwise, never a coordinate; drag, or click and type";
        if ui.add_sized([72.0, 20.0], drag).labelled_by(label.id).on_hover_text(hint).changed() {
            desk.ask(Action::Look(Look::TurnTo(turn)));
        }
        let reset = ui.add_enabled(tone != Tone::default(), egui::Button::new("Reset tone"));
        if reset.on_hover_text(Command::ResetTone.hint()).clicked() {
            desk.ask(Action::Command(Command::ResetTone));
        }
        if ui.button("Hide strip").on_hover_text(Command::ToneStrip.hint()).clicked() {
            desk.ask(Action::Command(Command::ToneStrip));
        }
    });
}

/// Local contrast, sharpening, and the comparison with the film's own tone.
fn detail_of(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let tone = work.tone;
    ui.spacing_mut().slider_width = 80.0;
    ui.horizontal_wrapped(|ui| {
        let LocalContrast { is_on, mut limit } = tone.local_contrast;
        let checkbox = switch(ui, desk, is_on, Command::LocalContrast);
        let slider = egui::Slider::new(&mut limit, LOCAL_LIMIT).fixed_decimals(1).custom_parser(decimal);
        let hint = "at most so many times the contrast; 1 changes nothing";
        let slider = ui.add_enabled(is_on, slider).labelled_by(checkbox.id).on_hover_text(hint);
        if slider.changed() && limit != tone.local_contrast.limit {
            desk.ask(Action::Tone(Tone { local_contrast: LocalContrast { is_on, limit }, ..tone }));
        }
    });
    ui.horizontal_wrapped(|ui| {
        let Sharpening { is_on, mut amount, mut sigma } = tone.sharpening;
        let checkbox = switch(ui, desk, is_on, Command::Sharpen);
        let slider = egui::Slider::new(&mut amount, SHARPENING).fixed_decimals(1).custom_parser(decimal);
        let hint = "how many times the difference from a blurred copy is added";
        let slider = ui.add_enabled(is_on, slider).labelled_by(checkbox.id).on_hover_text(hint);
        let blur = egui::DragValue::new(&mut sigma)
            .speed(0.05)
            .range(BLUR)
            .fixed_decimals(1)
            .suffix(" px")
            .update_while_editing(false)
            .custom_parser(decimal);
        let blur = ui.add_enabled(is_on, blur);
        blur.widget_info(|| WidgetInfo::labeled(Role::SpinButton, is_on, BLUR_NAME));
        let blur = blur.on_hover_text(BLUR_NAME);
        let sharpening = Sharpening { is_on, amount, sigma };
        if (slider.changed() || blur.changed()) && sharpening != tone.sharpening {
            desk.ask(Action::Tone(Tone { sharpening, ..tone }));
        }
    });
    ui.horizontal_wrapped(|ui| {
        let button = ui.add(egui::Button::new(Command::Compare.title()).selected(work.compares));
        if button.on_hover_text(Command::Compare.hint()).clicked() {
            desk.ask(Action::Command(Command::Compare));
        }
        let keys = Command::Compare.shortcuts().first().map(|keys| ui.format_shortcut(keys));
        let hold = format!("or hold {}", keys.unwrap_or_default());
        ui.label(egui::RichText::new(hold).color(theme::faint(ui.visuals().dark_mode)));
    });
}

/// A box that switches something on and off.
fn switch(ui: &mut egui::Ui, desk: &mut Desk<'_>, mut is_on: bool, command: Command) -> egui::Response {
    let checkbox = ui.checkbox(&mut is_on, command.title()).on_hover_text(command.hint());
    if checkbox.changed() {
        desk.ask(Action::Command(command));
    }
    checkbox
}

/// A grey value to drag or type; whether it changed.
fn number(ui: &mut egui::Ui, value: &mut f64, name: &str, speed: f64) -> bool {
    let drag = egui::DragValue::new(value)
        .speed(speed)
        .fixed_decimals(0)
        .update_while_editing(false)
        .custom_parser(decimal);
    let response = ui.add_sized([58.0, 20.0], drag);
    response.widget_info(|| WidgetInfo::labeled(Role::SpinButton, true, name));
    response.on_hover_text(name).changed()
}

/// A number as people type it: with a decimal point or comma, with or without its unit.
pub(super) fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let bare = ["deg", "px", "%"].into_iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text);
    let text = bare.trim_end().replace(',', ".");
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_type_them() {
        let read = ["12,5 deg", " -7.25", "90deg", "62,5 %", "1,5px"].map(decimal);
        assert_eq!(read, [Some(12.5), Some(-7.25), Some(90.0), Some(62.5), Some(1.5)]);
        assert_eq!(["", "inf", "NaN", "1.2.3", "%"].map(decimal), [None; 5]);
    }
}
