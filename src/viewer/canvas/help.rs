//! What pointer and keys do on the film, as data for the list of shortcuts.

use super::line::Line;
use eframe::egui::{self, RichText, Sense, vec2};

/// What is done, and what it does.
pub(super) const ON_FILM: &[(&str, &str)] = &[
    ("Click", "places what is named above the film; with nothing to place, selects a point or nothing"),
    ("Hold the click", "moves what was just placed, under the loupe, until it is let go"),
    ("Double-click or Enter", "ends a canal, a curved instrument, a sphere"),
    ("Drag a point", "moves it; it keeps its distance from the pointer"),
    ("Shift or Alt while dragging", "a tenth of the speed; a section's point leaves its line"),
    ("Drag the film", "moves the film; with Space held or the middle button also over points"),
    ("Wheel or pinch", "magnifies at the pointer"),
    ("Right drag", "window and level"),
    ("Right click on a point", "its menu: hidden, absent, planned, again, delete"),
    ("Arrow keys", "move the selected point by a pixel; with something to place, the cursor"),
    ("Shift + arrow keys", "the same by a tenth of a pixel"),
    ("Ctrl + arrow keys", "the same by ten pixels"),
    ("Enter", "shows the cursor where one is to look, or in the middle; once it is seen, places there"),
    ("Escape", "undoes a drag, puts down what is to be placed, selects nothing, leaves the film"),
    (
        "Point at a number",
        "shows on the film what it measures, its ± as a band, and rings around what that mostly comes from",
    ),
    ("Point at a point", "lights the numbers that use it, and shows within how far it was placed (1 sd)"),
    ("Copy, while the scratch ruler is laid", "its length, with its unit"),
];

/// Lists it.
pub(super) fn show(ui: &mut egui::Ui) {
    ui.label(RichText::new("On the film").strong());
    egui::Grid::new("on the film").num_columns(2).max_col_width(330.0).striped(true).show(ui, |ui| {
        for (what, does) in ON_FILM {
            ui.label(RichText::new(*what).monospace());
            ui.add(egui::Label::new(*does).wrap());
            ui.end_row();
        }
    });
    ui.label(RichText::new("Lines on the film").strong());
    egui::Grid::new("lines on the film").num_columns(2).show(ui, |ui| {
        for line in Line::ALL {
            let (rect, _) = ui.allocate_exact_size(vec2(72.0, 16.0), Sense::hover());
            ui.painter().rect_filled(rect, 2.0, super::BESIDE_FILM);
            line.draw(
                ui.painter(),
                &[rect.left_center() + vec2(5.0, 0.0), rect.right_center() - vec2(5.0, 0.0)],
            );
            ui.label(line.words());
            ui.end_row();
        }
    });
}
