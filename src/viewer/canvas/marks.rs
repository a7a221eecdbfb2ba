//! What lies on the film: marks, and the lines between them.

use super::handles::{self, Spot};
use super::sheet::Sheet;
use crate::viewer::Work;
use crate::viewer::theme;
use eframe::egui::{self, Color32, Stroke};

/// Draws what lies on the film.
pub(super) fn draw(painter: &egui::Painter, sheet: &Sheet<'_>, work: &Work, spots: &[Spot]) {
    let selected = handles::selected(work);
    for spot in spots {
        let at = sheet.seen(spot.at);
        painter.circle_stroke(at, 5.0, Stroke::new(4.0, Color32::from_black_alpha(180)));
        let colour = if Some(spot.handle) == selected { Color32::WHITE } else { theme::ORANGE };
        if spot.planned {
            painter.circle_stroke(at, 5.0, Stroke::new(1.5, colour));
        } else {
            painter.circle_filled(at, 4.0, colour);
        }
    }
}
