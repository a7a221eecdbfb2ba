//! What the program is, what to be careful of, and whose work it is made of.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::theme;
use crate::report::SAFETY;
use eframe::egui::{self, Align2, Grid, RichText, ScrollArea};

/// The fonts in the program, by the names the library of the window has for them, with their licences.
const FONTS: &[(&str, &str, &str)] = &[
    ("Ubuntu-Light", "Ubuntu Light", "Ubuntu Font Licence 1.0"),
    ("Hack", "Hack", "MIT, parts under the Bitstream Vera licence"),
    ("egui-icons", "icons of egui, out of emoji-icon-font", "MIT"),
];

/// Draws it.
pub(super) fn show(ui: &egui::Ui, desk: &mut Desk<'_>) {
    let mut open = true;
    let height = (ui.content_rect().height() - 120.0).max(120.0);
    theme::window("About crestgauge")
        .open(&mut open)
        .default_width(480.0)
        .pivot(Align2::CENTER_CENTER)
        .default_pos(ui.content_rect().center())
        .show(ui.ctx(), |ui| ScrollArea::vertical().max_height(height).show(ui, what));
    if !open {
        desk.ask(Action::Command(Command::About));
    }
}

fn what(ui: &mut egui::Ui) {
    super::keyboard::pages(ui);
    ui.label(format!("crestgauge {}", env!("CARGO_PKG_VERSION")));
    ui.label(env!("CARGO_PKG_DESCRIPTION"));
    ui.separator();
    ui.label(RichText::new("What to be careful of").strong());
    ui.label(SAFETY);
    ui.separator();
    ui.label(RichText::new("Licences").strong());
    ui.label("Free software under MIT or Apache-2.0, at your choice. It connects to no network.");
    ui.label("Fonts in it:");
    Grid::new("fonts").num_columns(2).show(ui, |ui| {
        for (_, font, licence) in FONTS {
            ui.label(*font);
            ui.label(*licence);
            ui.end_row();
        }
    });
    ui.label("The libraries in it and their licences are listed in docs/licences.md.");
    ui.label(
        "Colours: the set of Okabe and Ito (2008), which people with any kind of colour vision can tell apart.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_font_in_the_program_is_named_with_its_licence() {
        let bundled: BTreeSet<String> = egui::FontDefinitions::default().font_data.into_keys().collect();
        let named: BTreeSet<String> = FONTS.iter().map(|(name, ..)| (*name).to_owned()).collect();
        assert_eq!(named, bundled);
    }
}
