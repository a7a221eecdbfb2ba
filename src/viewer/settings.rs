//! The settings: how the program looks on this screen. They change nothing of a case.

use super::action::Action;
use super::app::Desk;
use super::command::{Command, keys_words};
use super::dialogs::Beginning;
use super::remembered::{Scale, Setting, Theme, ToothNumbers};
use super::theme;
use crate::case::Fdi;
use eframe::egui::{self, Align2, Id, RichText, ScrollArea};

/// Draws them; the keyboard begins at the theme that is chosen.
pub(super) fn show(ui: &egui::Ui, desk: &mut Desk<'_>, beginning: Beginning) {
    let mut open = true;
    let height = (ui.content_rect().height() - 120.0).max(120.0);
    theme::window(ui.ctx(), "Settings")
        // The keyboard stays on the button that changes the size.
        .id(Id::unique("Settings"))
        .open(&mut open)
        .default_width(380.0)
        .pivot(Align2::CENTER_CENTER)
        .default_pos(ui.content_rect().center())
        .show(ui.ctx(), |ui| {
            ScrollArea::vertical().max_height(height).show(ui, |ui| {
                themes(ui, desk, beginning);
                ui.add_space(8.0);
                scale(ui, desk);
                ui.add_space(8.0);
                teeth(ui, desk);
                ui.add_space(8.0);
                recent(ui, desk);
            });
        });
    if !open {
        desk.ask(Action::Command(Command::Settings));
    }
}

fn themes(ui: &mut egui::Ui, desk: &mut Desk<'_>, beginning: Beginning) {
    ui.label(RichText::new("Theme").strong());
    let now = desk.session.remembered.theme;
    for (theme, words) in [
        (Theme::Dark, "Dark, which suits films"),
        (Theme::Light, "Light"),
        (Theme::System, "As the system has it"),
    ] {
        let radio = ui.radio(now == theme, words);
        if theme == now {
            beginning.at(&radio);
        }
        if radio.clicked() {
            desk.ask(Action::Set(Setting::Theme(theme)));
        }
    }
}

fn scale(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let now = desk.session.remembered.scale;
    ui.label(RichText::new(format!("Size of letters and controls: {} %", now.percent())).strong());
    ui.horizontal_wrapped(|ui| {
        for (command, changes) in [
            (Command::InterfaceSmaller, now != now.smaller()),
            (Command::InterfaceLarger, now != now.larger()),
            (Command::InterfaceUsual, now != Scale::default()),
        ] {
            let hint = command.shortcuts().first().map(|keys| keys_words(keys, ui.os().is_mac()));
            let button = ui.add_enabled(changes, egui::Button::new(command.title()));
            if button.on_hover_text(hint.unwrap_or_default()).clicked() {
                desk.ask(Action::Command(command));
            }
        }
    });
}

fn teeth(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    ui.label(RichText::new("Tooth numbers on the screen").strong());
    // The upper right first molar, which no two numberings count alike.
    let example = Fdi::all().find(|fdi| fdi.quadrant() == 1 && fdi.position() == 6);
    for (numbers, words) in
        [(ToothNumbers::Fdi, "FDI, by ISO 3950"), (ToothNumbers::Universal, "Universal, 1 to 32")]
    {
        let short = example.map(|fdi| numbers.short(fdi)).unwrap_or_default();
        let words = format!("{words}; the upper right first molar is {short}");
        if ui.radio(desk.session.remembered.tooth_numbers == numbers, words).clicked() {
            desk.ask(Action::Set(Setting::ToothNumbers(numbers)));
        }
    }
    ui.label("Files, copies and reports keep the numbers of ISO 3950.");
}

fn recent(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    ui.label(RichText::new("Recent files").strong());
    let mut remember = desk.session.remembered.remember_recent;
    if ui.checkbox(&mut remember, "Remember what is opened").changed() {
        desk.ask(Action::RememberRecent(remember));
    }
    ui.label("A file's name can carry a patient's; switched off, what was remembered is forgotten, too.");
}
