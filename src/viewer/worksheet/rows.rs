//! Rows of the worksheet: a name on the left, what is chosen or typed on the right.

use super::links::come_to;
use eframe::egui::{self, Align, Layout, RichText, vec2};

/// Width of the names, and the part of a narrow worksheet they take at the most.
const NAMES: f32 = 118.0;
const MOST_OF_WIDTH: f32 = 0.32;

/// A row.
pub(in crate::viewer) fn row(ui: &mut egui::Ui, name: &str, add: impl FnOnce(&mut egui::Ui)) {
    let names = NAMES.min(ui.available_width() * MOST_OF_WIDTH);
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(
            vec2(names, ui.spacing().interact_size.y),
            Layout::left_to_right(Align::Center).with_main_wrap(true),
            |ui| {
                ui.set_min_width(names);
                ui.label(name);
            },
        );
        ui.vertical(add);
    });
}

/// A choice among words, one of which, or none, is chosen. What is chosen anew goes to `take`.
pub(in crate::viewer) fn choice<T: Copy + PartialEq>(
    ui: &mut egui::Ui,
    name: &str,
    none: Option<&str>,
    all: &[(String, T)],
    chosen: Option<T>,
    take: impl FnOnce(Option<T>),
) {
    let mut now = chosen;
    let words = |wanted: T| all.iter().find(|(_, it)| *it == wanted).map(|(words, _)| words.as_str());
    let shown = chosen.and_then(words).or(none).unwrap_or("not stated");
    let combo = egui::ComboBox::from_id_salt(name)
        .selected_text(shown)
        .width(ui.available_width().min(240.0))
        .truncate()
        .show_ui(ui, |ui| {
            if let Some(none) = none
                && ui.selectable_label(chosen.is_none(), none).clicked()
            {
                now = None;
            }
            for (words, it) in all {
                if ui.selectable_label(chosen == Some(*it), words).clicked() {
                    now = Some(*it);
                }
            }
            if now != chosen {
                close_list(ui);
            }
        });
    if now != chosen {
        combo.response.request_focus();
    }
    come_to(ui, name, &combo.response);
    combo.response.accessible_name(format!("{name}: {shown}"));
    if now != chosen {
        take(now);
    }
}

/// Closes the list this stands in: a click of the pointer does that by itself, a key does not.
pub(super) fn close_list(ui: &egui::Ui) {
    ui.close();
}

/// What is said in passing.
pub(super) fn aside(ui: &mut egui::Ui, words: impl Into<String>) {
    let colour = super::super::theme::faint(ui.visuals().dark_mode);
    ui.label(RichText::new(words).small().color(colour));
}
