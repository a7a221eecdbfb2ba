//! A point on its way: it keeps its distance from the pointer, and goes at a tenth of the speed where asked.

use crate::geometry::{Displacement, Position, Stored};
use crate::viewer::action::{Handle, Target};

/// How much slower a slow drag is.
const SLOW: f64 = 0.1;

/// A point that is being dragged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Drag {
    /// Which point.
    pub(super) handle: Handle,
    /// What was aimed at, where the press placed the point.
    pub(super) placed_for: Option<Target>,
    /// Where the point was put last.
    pub(super) left_at: Position<Stored>,
    /// Where the drag has come to; it may lie beside the film.
    to: Position<Stored>,
}

impl Drag {
    /// A point that begins to be dragged from where it lies.
    pub(super) const fn of(handle: Handle, at: Position<Stored>, placed_for: Option<Target>) -> Self {
        Self { handle, placed_for, left_at: at, to: at }
    }

    /// Takes in how far the pointer went.
    pub(super) fn go(&mut self, way: Displacement<Stored>, slowly: bool) {
        self.to = self.to.moved(if slowly { way.times(SLOW) } else { way });
    }

    /// Where the point lies now: never beside the film.
    pub(super) fn place(&self, film: [f64; 2]) -> Position<Stored> {
        onto(self.to, film)
    }
}

/// The nearest place on a film of this size.
pub(super) fn onto(place: Position<Stored>, film: [f64; 2]) -> Position<Stored> {
    Position::new(place.x.clamp(0.0, film[0].max(0.0)), place.y.clamp(0.0, film[1].max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(x: f64, y: f64) -> Displacement<Stored> {
        Displacement::new(x, y)
    }

    #[test]
    fn a_drag_keeps_its_distance_and_is_slow_where_asked() {
        let mut drag = Drag::of(Handle::Clicked(0), Position::new(10.0, 20.0), None);
        drag.go(way(5.0, -4.0), false);
        drag.go(way(10.0, 10.0), true);
        assert_eq!(drag.place([100.0, 100.0]), Position::new(16.0, 17.0));
    }

    #[test]
    fn a_point_stays_on_the_film_and_comes_back_with_the_pointer() {
        let mut drag = Drag::of(Handle::Clicked(0), Position::new(10.0, 20.0), None);
        drag.go(way(-15.0, 0.0), false);
        assert_eq!(drag.place([100.0, 100.0]), Position::new(0.0, 20.0));
        drag.go(way(7.0, 0.0), false);
        assert_eq!(drag.place([100.0, 100.0]), Position::new(2.0, 20.0));
    }
}
