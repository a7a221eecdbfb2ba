//! A film on the screen as tiles: only what is seen is toned, at the size it is seen at.

use super::shown_film::ShownFilm;
use super::viewport::Viewport;
use crate::film::Tone;
use eframe::egui;

/// The tiles on the screen.
#[derive(Default)]
pub(super) struct Tiles {}

impl Tiles {
    /// Draws what is seen of a film into a part of the window.
    pub(super) fn paint(
        &mut self,
        _painter: &egui::Painter,
        _rect: egui::Rect,
        _viewport: &Viewport,
        _film: &ShownFilm,
        _tone: Tone,
    ) {
    }
}
