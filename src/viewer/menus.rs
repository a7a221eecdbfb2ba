//! The menus, drawn from the table of commands.

use super::action::Action;
use super::app::Desk;
use super::command::{Command, Menu, keys_words};
use super::opening::names_told_apart;
use eframe::egui;

/// Draws the menus.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    egui::MenuBar::new().ui(ui, |ui| {
        for menu in Menu::ALL {
            ui.menu_button(menu.title(), |ui| {
                ui.set_min_width(260.0);
                for command in Command::ALL.iter().filter(|command| command.menu() == menu) {
                    item(ui, desk, *command);
                    if *command == Command::OpenSample {
                        recent(ui, desk);
                    }
                }
            });
        }
    });
}

fn item(ui: &mut egui::Ui, desk: &mut Desk<'_>, command: Command) {
    let mut button = egui::Button::new(command.title_now(desk.session));
    if let Some(keys) = command.shortcuts().first() {
        button = button.shortcut_text(keys_words(keys, ui.os().is_mac()));
    }
    let response = ui.add_enabled(command.is_enabled(desk.session), button).on_hover_text(command.hint());
    if response.clicked() {
        desk.ask(Action::Command(command));
        // A menu closes by itself only under the pointer, not where a screen reader presses.
        ui.close();
    }
}

fn recent(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    ui.menu_button("Open recent", |ui| {
        let remembered = &desk.session.remembered;
        for (file, name) in remembered.recent.iter().cloned().zip(names_told_apart(&remembered.recent)) {
            if ui.button(name).on_hover_text(file.display().to_string()).clicked() {
                desk.ask(Action::Open(file));
            }
        }
        if remembered.recent.is_empty() {
            ui.label("nothing opened yet");
        }
        ui.separator();
        let any = !remembered.recent.is_empty();
        if ui.add_enabled(any, egui::Button::new("Forget these")).clicked() {
            desk.ask(Action::ForgetRecent);
        }
        let mut remember = remembered.remember_recent;
        if ui.checkbox(&mut remember, "Remember what is opened").changed() {
            desk.ask(Action::RememberRecent(remember));
        }
    });
    ui.separator();
}
