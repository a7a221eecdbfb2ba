//! Where the film lies in the window: between its places and the points of the screen.

use crate::geometry::{Position, Stored};
use crate::viewer::viewport::{View, Viewport};
use eframe::egui::{Pos2, Rect, pos2};

/// The film's part of the window and how the film is seen in it.
#[derive(Debug, Clone, Copy)]
pub(in crate::viewer) struct Sheet<'a> {
    /// The part of the window.
    pub(super) rect: Rect,
    /// How the film is seen.
    pub(super) viewport: &'a Viewport,
}

impl Sheet<'_> {
    /// A point of the window as seen from the middle of the view.
    pub(super) fn view(&self, at: Pos2) -> Position<View> {
        let middle = self.rect.center();
        Position::new(f64::from(at.x) - f64::from(middle.x), f64::from(at.y) - f64::from(middle.y))
    }

    /// The place of the film under a point of the window.
    pub(super) fn place(&self, at: Pos2) -> Position<Stored> {
        self.viewport.place(self.view(at))
    }

    /// Where in the window a place of the film is seen.
    pub(in crate::viewer) fn seen(&self, place: Position<Stored>) -> Pos2 {
        let middle = self.rect.center();
        let seen = self.viewport.seen(place);
        pos2(screen(f64::from(middle.x) + seen.x), screen(f64::from(middle.y) + seen.y))
    }

    /// Whether a place lies on the film.
    pub(super) fn is_on_film(&self, place: Position<Stored>) -> bool {
        let [width, height] = self.viewport.film_size();
        (0.0..=width).contains(&place.x) && (0.0..=height).contains(&place.y)
    }
}

/// The last step before painting.
pub(super) fn screen(length: f64) -> f32 {
    // Far outside every screen this only loses digits nobody sees.
    #[allow(clippy::cast_possible_truncation)]
    {
        length as f32
    }
}
