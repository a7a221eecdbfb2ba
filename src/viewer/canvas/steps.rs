//! How far a key moves a point or the cursor.

use super::drag::onto;
use crate::geometry::{Displacement, Position, Stored};
use crate::viewer::viewport::Viewport;

/// How far one press of an arrow key goes, pixels of the film.
pub(super) const fn length(tenth: bool, ten: bool) -> f64 {
    match (tenth, ten) {
        (true, _) => 0.1,
        (false, true) => 10.0,
        (false, false) => 1.0,
    }
}

/// The way on the film that so many pixels to the right and down on the screen are: at any turn, mirrored or not.
pub(super) fn way(viewport: &Viewport, right: f64, down: f64) -> Displacement<Stored> {
    let along = |x: f64, y: f64| {
        let way = viewport.way(Displacement::new(x, y));
        let length = way.length().max(f64::MIN_POSITIVE);
        // At quarter turns a sine of 1e-16 must not creep into coordinates.
        let tidy = |component: f64| (component / length * 1e9).round() / 1e9;
        Displacement::new(tidy(way.x), tidy(way.y))
    };
    let (x, y): (Displacement<Stored>, Displacement<Stored>) = (along(1.0, 0.0), along(0.0, 1.0));
    Displacement::new(x.x * right + y.x * down, x.y * right + y.y * down)
}

/// A place moved by a way, kept on the film. Ten tenths are one pixel to the last digit.
pub(super) fn moved(place: Position<Stored>, way: Displacement<Stored>, film: [f64; 2]) -> Position<Stored> {
    let tidy = |coordinate: f64| (coordinate * 1e6).round() / 1e6;
    let to = onto(place.moved(way), film);
    let keep = |before: f64, after: f64| if (before - after).abs() < 1e-12 { before } else { tidy(after) };
    Position::new(keep(place.x, to.x), keep(place.y, to.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn right_on_the_screen_is_right_at_every_turn() {
        let mut viewport = Viewport::new([1000, 800], 1.0);
        viewport.resize([500.0, 400.0]);
        assert_eq!(way(&viewport, 1.0, 0.0), Displacement::new(1.0, 0.0));
        // A quarter clockwise: what was up is now to the right.
        viewport.turn_to(90.0);
        assert_eq!(way(&viewport, 1.0, 0.0), Displacement::new(0.0, -1.0));
        assert_eq!(way(&viewport, 0.0, 1.0), Displacement::new(1.0, 0.0));
        viewport.turn_to(0.0);
        viewport.mirror();
        assert_eq!(way(&viewport, 2.0, 3.0), Displacement::new(-2.0, 3.0));
    }

    #[test]
    fn ten_tenths_are_a_pixel() {
        let film = [1000.0, 800.0];
        let mut place = Position::new(700.123_456_789, 300.0);
        for _ in 0..10 {
            place = moved(place, Displacement::new(0.0, length(true, false)), film);
        }
        assert_eq!(place, Position::new(700.123_456_789, 301.0));
        assert_eq!(moved(place, Displacement::new(400.0, 0.0), film), Position::new(1000.0, 301.0));
    }
}
