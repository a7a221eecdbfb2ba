//! The film's part of the window: the picture, what lies on it, and the pointer and keyboard that place it.

use super::app::Desk;
use super::tiles::Tiles;
use crate::geometry::{Position, Stored};
use eframe::egui;

/// The name of the film's part of the window.
pub(super) const CANVAS: &str = "film";

/// What the film's part of the window keeps from frame to frame.
#[derive(Default)]
pub(super) struct Canvas {
    tiles: Tiles,
    pointer: Option<Position<Stored>>,
}

impl Canvas {
    /// The place of the film under the pointer.
    pub(super) const fn pointer(&self) -> Option<Position<Stored>> {
        self.pointer
    }
}

/// Draws the film's part of the window and takes in what the pointer does there.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let rect = ui.available_rect_before_wrap();
    let Some(work) = &desk.session.work else {
        super::empty::show(ui, desk);
        return;
    };
    if let Some(film) = work.film.shown() {
        canvas.tiles.paint(ui.painter(), rect, &work.viewport, film, work.tone);
    }
}

/// What the pointer and keys do on the film, for the list of shortcuts.
pub(super) fn help(_ui: &mut egui::Ui) {}
