//! Files that are dragged over the window, and dropped on it.

use super::action::Action;
use super::app::Desk;
use super::opening::file_name;
use eframe::egui::{self, Align2, Area, Id, Order, RichText};

/// Takes in what was dropped: the first is opened. Gives what is to be said of the others.
pub(super) fn take(context: &egui::Context, desk: &mut Desk<'_>) -> Option<String> {
    let dropped = context.input(|input| input.raw.dropped_files.clone());
    let (first, others) = dropped.split_first()?;
    desk.ask(Action::Open(first.path().to_path_buf()));
    let files = if others.len() == 1 { "file was" } else { "files were" };
    (!others.is_empty())
        .then(|| format!("{} more {files} dropped; one is opened at a time, the first", others.len()))
}

/// Says over everything what becomes of what is dragged over the window.
pub(super) fn show(context: &egui::Context, desk: &Desk<'_>) {
    let hovered = context.input(|input| input.raw.hovered_files.clone());
    let Some(first) = hovered.first() else { return };
    let name = first.path.as_deref().map_or_else(|| "it".to_owned(), file_name);
    let words = if desk.session.question.is_some() {
        "Answer what is asked first; then drop it again".to_owned()
    } else if hovered.len() > 1 {
        format!("Let go to open {name}, the first of {}", hovered.len())
    } else {
        format!("Let go to open {name}")
    };
    let area = Area::new(Id::unique("dragged over the window")).order(Order::Tooltip);
    area.anchor(Align2::CENTER_CENTER, [0.0, 0.0]).interactable(false).show(context, |ui| {
        egui::Frame::popup(ui.style()).inner_margin(16).show(ui, |ui| {
            ui.label(RichText::new(words).strong().size(16.0));
        });
    });
}
