//! The line at the foot of the window: what is under the pointer, and how the film is seen.

use super::app::Desk;
use super::canvas::Canvas;
use crate::wording::unsigned_zero;
use eframe::egui;

/// Draws the line.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, canvas: &Canvas) {
    ui.horizontal(|ui| {
        let Some(work) = &desk.session.work else {
            ui.label("no case is open");
            return;
        };
        if let Some(place) = canvas.pointer().or(work.cursor) {
            ui.monospace(format!("x {:8.1}  y {:8.1} px", place.x, place.y));
            let grey =
                work.film.shown().and_then(|film| film.film.picture.at(whole(place.x)?, whole(place.y)?));
            ui.monospace(
                grey.map_or_else(|| "grey     \u{2013}".to_owned(), |grey| format!("grey {grey:5}")),
            );
        }
        let scale =
            work.numbers.as_ref().as_ref().ok().and_then(|numbers| numbers.derived.computed.scale.as_ref());
        match scale {
            Some(scale) => ui.label(format!("{:.5} mm/px along the tooth", scale.axial_mm_per_px)),
            None => ui.label("no scale yet"),
        };
        let percent = 100.0 * work.viewport.zoom() / desk.session.points_per_pixel;
        ui.label(format!("seen at {} %", unsigned_zero(format!("{percent:.0}"))));
        let turn = work.viewport.turn_deg();
        if turn > 0.0 {
            ui.label(format!("turned {turn:.1} deg"));
        }
        if work.viewport.is_mirrored() {
            ui.label("mirrored");
        }
    });
}

/// The pixel a coordinate lies in.
fn whole(coordinate: f64) -> Option<u32> {
    let inside = (0.0..f64::from(u32::MAX)).contains(&coordinate);
    // Within the range of u32.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    inside.then_some(coordinate as u32)
}
