//! What the program is, what to be careful of, and whose work it is made of. Who has the program has the licences with it: all
//! of them are in it.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::theme;
use crate::report::SAFETY;
use eframe::egui::{self, Align2, CollapsingHeader, RichText, ScrollArea};

/// A font in the program.
struct Font {
    name: &'static str,
    licence: &'static str,
    /// The licence itself, as it came with the font.
    text: &'static str,
}

const FONTS: &[Font] = &[
    Font {
        name: "Ubuntu Light",
        licence: "Ubuntu Font Licence 1.0",
        text: include_str!("licences/ubuntu-light.txt"),
    },
    Font {
        name: "Hack",
        licence: "MIT, parts under the Bitstream Vera licence",
        text: include_str!("licences/hack.txt"),
    },
    Font {
        name: "egui icons, out of emoji-icon-font",
        licence: "MIT",
        text: include_str!("licences/egui-icons.txt"),
    },
    Font {
        name: "DejaVu Sans Condensed, in reports",
        licence: "Bitstream Vera licence, changes in the public domain",
        text: include_str!("../report/fonts/LICENCE.txt"),
    },
];

/// What the program itself is under: either of them, at the user's choice.
const OWN: &[(&str, &str)] =
    &[("MIT", include_str!("../../LICENSE-MIT")), ("Apache-2.0", include_str!("../../LICENSE-APACHE"))];

/// Where it stands which libraries are in the program.
const LIBRARIES: &str = include_str!("../../docs/licences.md");

/// The libraries in the program, each with the licence its package states.
fn libraries() -> impl Iterator<Item = (&'static str, &'static str)> {
    let (_, list) = LIBRARIES.split_once("<!-- made by docs/licences -->").unwrap_or_default();
    let rows = list.lines().filter_map(|line| line.strip_prefix("| ")?.strip_suffix(" |")?.split_once(" | "));
    rows.filter(|(library, _)| *library != "library")
}

/// Draws it.
pub(super) fn show(ui: &egui::Ui, desk: &mut Desk<'_>) {
    let mut open = true;
    let height = (ui.content_rect().height() - 120.0).max(120.0);
    theme::window(ui.ctx(), "About crestgauge")
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
    for (name, text) in OWN {
        CollapsingHeader::new(format!("The licence {name}")).show(ui, |ui| ui.label(*text));
    }
    ui.label("Fonts in it, each with its licence:");
    for font in FONTS {
        CollapsingHeader::new(format!("{}: {}", font.name, font.licence)).show(ui, |ui| ui.label(font.text));
    }
    CollapsingHeader::new("Libraries in it, each with its licence").show(ui, |ui| {
        ui.label("Where there is a choice, one of them suffices.");
        for (library, licence) in libraries() {
            ui.label(format!("{library}: {licence}"));
        }
    });
    ui.label(
        "Colours: after the set of Okabe and Ito (2008), which people with any kind of colour vision can tell apart. Where words \
         would not stand out enough from their ground, blue, vermilion, yellow and orange are darkened or lightened.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_licences_and_every_library_are_in_the_program() {
        let [(_, mit), (_, apache)] = OWN else { panic!("there are two") };
        assert!(
            mit.contains("Permission is hereby granted") && apache.contains("END OF TERMS AND CONDITIONS")
        );
        let listed = include_str!("../../Cargo.lock");
        let mut count = 0;
        for (library, licence) in libraries() {
            let (name, version) = library.split_once(' ').unwrap_or_default();
            let locked = format!("name = \"{name}\"\nversion = \"{version}\"");
            assert!(listed.contains(&locked) && !licence.trim().is_empty(), "{library}: {licence}");
            count += 1;
        }
        assert!(count > 300, "{count}");
    }

    #[test]
    fn every_font_in_the_program_is_named_with_its_licence() {
        for key in egui::FontDefinitions::default().font_data.into_keys() {
            let name = key.replace('-', " ");
            assert!(FONTS.iter().any(|font| font.name.starts_with(&name)), "{key}");
        }
        // Each text is a licence, and not an empty file.
        for font in FONTS {
            assert!(font.text.to_lowercase().contains("permission"), "{}", font.name);
        }
    }
}
