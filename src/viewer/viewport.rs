//! Where and how large a film is seen: all in f64, so that no zoom moves a landmark.
//!
//! The film lies on a plane of square pixels; the view shows that plane turned, mirrored and magnified around the
//! place that lies in the middle of the view. None of it touches a coordinate of the case.

use crate::geometry::{Displacement, Position, Space, Square, Stored};

/// Points of the screen, from the middle of the film's part of the window: x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct View;

impl Space for View {}

/// The least and the greatest magnification, in points of the screen for a pixel of the film.
const ZOOM: std::ops::RangeInclusive<f64> = 0.005..=64.0;

/// Part of the view that a film fills when it is fitted.
const FITTED: f64 = 0.98;
/// How much of the view the ground that is looked for takes.
const GROUND: f64 = 0.55;
/// The least ground, as a part of the film's longer side.
const LEAST_GROUND: f64 = 0.12;

/// How a film is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Viewport {
    /// What lies in the middle of the view.
    centre: Position<Square>,
    /// Points of the screen for one square pixel.
    zoom: f64,
    /// How far the film is turned, degrees clockwise, 0 to 360.
    turn_deg: f64,
    /// Whether left and right change places.
    mirrored: bool,
    /// Height of a stored pixel over its width.
    pixel_aspect: f64,
    /// Width and height of the film, stored pixels.
    film: [f64; 2],
    /// Width and height of the view, points.
    view: [f64; 2],
    /// Whether it keeps fitting when the view changes its size.
    fitted: bool,
}

impl Viewport {
    /// A view of a film, fitted.
    pub fn new(film_size: [u32; 2], pixel_aspect: f64) -> Self {
        let film = film_size.map(f64::from);
        let mut viewport = Self {
            centre: Position::new(0.0, 0.0),
            zoom: 1.0,
            turn_deg: 0.0,
            mirrored: false,
            pixel_aspect,
            film,
            view: [1.0, 1.0],
            fitted: true,
        };
        viewport.fit();
        viewport
    }

    /// The same view of a film of another shape; what lies in the middle stays there. A fitted film goes on fitting.
    pub fn reshape(&mut self, film_size: [u32; 2], pixel_aspect: f64) {
        let film = film_size.map(f64::from);
        if film == self.film && pixel_aspect == self.pixel_aspect {
            return;
        }
        let middle = self.place(Position::new(0.0, 0.0));
        (self.film, self.pixel_aspect) = (film, pixel_aspect);
        if self.fitted {
            self.fit();
        } else {
            self.centre = self.square_of(middle);
        }
    }

    /// Takes in how large the view is, points; a fitted film goes on fitting.
    pub fn resize(&mut self, view: [f64; 2]) {
        let view = view.map(|length| length.max(1.0));
        if view != self.view {
            self.view = view;
            if self.fitted {
                self.fit();
            }
        }
    }

    /// Whether the film is seen with left and right, and with top and bottom, the other way round than it is stored:
    /// mirrored, or turned by about half. A film that is turned by about a quarter is neither.
    pub fn is_reversed(&self) -> [bool; 2] {
        let corner = self.seen(Position::new(0.0, 0.0));
        let [rightwards, downwards] =
            [Position::new(1.0, 0.0), Position::new(0.0, 1.0)].map(|place| self.seen(place).way_from(corner));
        // Half a quarter to either side.
        let most = -std::f64::consts::FRAC_1_SQRT_2;
        [rightwards.x < most * rightwards.length(), downwards.y < most * downwards.length()]
    }

    /// How large the view is, points.
    pub const fn view_size(&self) -> [f64; 2] {
        self.view
    }

    /// Shows the whole film.
    pub fn fit(&mut self) {
        let [width, height] = self.squared_size();
        self.centre = Position::new(width / 2.0, height / 2.0);
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let seen = [width * cos.abs() + height * sin.abs(), width * sin.abs() + height * cos.abs()];
        let zoom = (self.view[0] / seen[0]).min(self.view[1] / seen[1]) * FITTED;
        self.zoom = zoom.clamp(*ZOOM.start(), *ZOOM.end());
        self.fitted = true;
    }

    /// Shows these places, with room around them; never so large that one loses one's way.
    pub fn show_ground(&mut self, places: &[Position<Stored>]) {
        let seen: Vec<Position<View>> = places.iter().map(|place| self.seen(*place)).collect();
        let ends = |of: &dyn Fn(&Position<View>) -> f64| {
            let values = || seen.iter().map(of);
            [values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max)]
        };
        let ([left, right], [top, bottom]) = (ends(&|at| at.x), ends(&|at| at.y));
        if seen.is_empty() {
            return;
        }
        let middle = self.place(Position::new(f64::midpoint(left, right), f64::midpoint(top, bottom)));
        let [width, height] = self.squared_size();
        let least = LEAST_GROUND * width.max(height) * self.zoom;
        let across = (self.view[0] / (right - left).max(least)).min(self.view[1] / (bottom - top).max(least));
        self.zoom_to(self.zoom * across * GROUND, Position::new(0.0, 0.0));
        self.centre_on(middle);
    }

    /// Whether the whole film is shown, whatever the size of the view.
    pub const fn is_fitted(&self) -> bool {
        self.fitted
    }

    /// Points of the screen for one pixel's width.
    pub const fn zoom(&self) -> f64 {
        self.zoom
    }

    /// How far the film is turned, degrees clockwise, 0 up to 360.
    pub const fn turn_deg(&self) -> f64 {
        self.turn_deg
    }

    /// Whether left and right have changed places.
    pub const fn is_mirrored(&self) -> bool {
        self.mirrored
    }

    /// Magnifies to `zoom` points a pixel; what lies at `at` stays there.
    pub fn zoom_to(&mut self, zoom: f64, at: Position<View>) {
        let under = self.squared(at);
        self.zoom = zoom.clamp(*ZOOM.start(), *ZOOM.end());
        self.fitted = false;
        self.put(under, at);
    }

    /// Magnifies by a factor; what lies at `at` stays there.
    pub fn zoom_by(&mut self, factor: f64, at: Position<View>) {
        self.zoom_to(self.zoom * factor, at);
    }

    /// Moves the film along with the pointer.
    pub fn pan(&mut self, by: Displacement<View>) {
        let to = Position::new(by.x, by.y);
        let middle = self.centre;
        self.fitted = false;
        self.put(middle, to);
    }

    /// Brings a place into the middle.
    pub fn centre_on(&mut self, place: Position<Stored>) {
        self.centre = self.square_of(place);
        self.fitted = false;
    }

    /// Turns the film clockwise around the middle of the view, as it is seen.
    pub fn turn_by(&mut self, degrees: f64) {
        self.turn_to(self.turn_deg + if self.mirrored { -degrees } else { degrees });
    }

    /// Turns the film to an angle.
    pub fn turn_to(&mut self, degrees: f64) {
        self.turn_deg = degrees.rem_euclid(360.0);
        // -1e-20 comes out as 360.
        if self.turn_deg >= 360.0 {
            self.turn_deg = 0.0;
        }
        if self.fitted {
            self.fit();
        }
    }

    /// Changes left and right as they are seen.
    pub const fn mirror(&mut self) {
        self.mirrored = !self.mirrored;
    }

    /// Where a place of the film is seen.
    pub fn seen(&self, place: Position<Stored>) -> Position<View> {
        let way = self.square_of(place).way_from(self.centre);
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let (x, y) = (way.x * cos - way.y * sin, way.x * sin + way.y * cos);
        let x = if self.mirrored { -x } else { x };
        Position::new(x * self.zoom, y * self.zoom)
    }

    /// Which place of the film is seen at a point of the view.
    pub fn place(&self, seen: Position<View>) -> Position<Stored> {
        let square = self.squared(seen);
        Position::new(square.x, square.y / self.pixel_aspect)
    }

    /// What a way on the screen is on the film.
    pub fn way(&self, seen: Displacement<View>) -> Displacement<Stored> {
        self.place(Position::new(seen.x, seen.y)).way_from(self.place(Position::new(0.0, 0.0)))
    }

    /// The smallest upright rectangle of the film, stored pixels, that holds all that is seen: its corners of least
    /// and greatest coordinates. It may reach beyond the film.
    pub fn visible(&self) -> [Position<Stored>; 2] {
        let [half_width, half_height] = self.view.map(|length| length / 2.0);
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| self.place(Position::new(x * half_width, y * half_height)));
        let least = corners.iter().fold([f64::MAX; 2], |[x, y], it| [x.min(it.x), y.min(it.y)]);
        let greatest = corners.iter().fold([f64::MIN; 2], |[x, y], it| [x.max(it.x), y.max(it.y)]);
        [Position::new(least[0], least[1]), Position::new(greatest[0], greatest[1])]
    }

    /// Width and height of the film, stored pixels.
    pub const fn film_size(&self) -> [f64; 2] {
        self.film
    }

    /// Height of a stored pixel over its width.
    pub const fn pixel_aspect(&self) -> f64 {
        self.pixel_aspect
    }

    fn squared_size(&self) -> [f64; 2] {
        [self.film[0], self.film[1] * self.pixel_aspect]
    }

    fn square_of(&self, place: Position<Stored>) -> Position<Square> {
        Position::new(place.x, place.y * self.pixel_aspect)
    }

    /// The way, on the squared grid, that a way on the screen is.
    fn unturned(&self, seen: Displacement<View>) -> Displacement<Square> {
        let x = if self.mirrored { -seen.x } else { seen.x };
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let (x, y) = (x / self.zoom, seen.y / self.zoom);
        Displacement::new(x * cos + y * sin, y * cos - x * sin)
    }

    fn squared(&self, seen: Position<View>) -> Position<Square> {
        self.centre.moved(self.unturned(Displacement::new(seen.x, seen.y)))
    }

    /// Brings a place of the squared grid to a point of the view.
    fn put(&mut self, place: Position<Square>, at: Position<View>) {
        let way = self.unturned(Displacement::new(at.x, at.y));
        self.centre = Position::new(place.x - way.x, place.y - way.y);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 200 by 100 pixels of a film turned by a quarter are 100 wide and 200 high on the screen: 0.55 of 400 points
    /// for 200 pixels are 1.1 points a pixel.
    #[test]
    fn ground_is_shown_in_the_middle_at_any_turn() {
        let mut viewport = Viewport::new([1000, 800], 1.0);
        viewport.resize([600.0, 400.0]);
        viewport.turn_to(90.0);
        viewport.show_ground(&[Position::new(100.0, 300.0), Position::new(300.0, 400.0)]);
        assert!((viewport.zoom() - 1.1).abs() < 1e-9, "{}", viewport.zoom());
        let middle = viewport.seen(Position::new(200.0, 350.0));
        assert!(middle.x.abs() < 1e-6 && middle.y.abs() < 1e-6, "{middle:?}");
        // A single place still shows where on the film it is: 0.12 of 1000 pixels.
        viewport.show_ground(&[Position::new(500.0, 500.0)]);
        assert!((viewport.zoom() - 400.0 / 120.0 * 0.55).abs() < 1e-9, "{}", viewport.zoom());
    }
    #[test]
    fn other_pixels_keep_what_lies_in_the_middle_and_a_fitted_film_fitted() {
        let mut viewport = Viewport::new([1000, 800], 1.0);
        viewport.resize([600.0, 400.0]);
        viewport.turn_to(30.0);
        viewport.mirror();
        viewport.zoom_to(2.0, Position::new(10.0, 20.0));
        let middle = viewport.place(Position::new(0.0, 0.0));
        viewport.reshape([1000, 800], 0.5);
        assert!(near(viewport.place(Position::new(0.0, 0.0)), middle));
        assert_eq!((viewport.zoom(), viewport.pixel_aspect(), viewport.is_mirrored()), (2.0, 0.5, true));
        let mut fresh = Viewport::new([1000, 800], 0.5);
        fresh.resize([600.0, 400.0]);
        let mut fitted = Viewport::new([300, 300], 1.0);
        fitted.resize([600.0, 400.0]);
        fitted.reshape([1000, 800], 0.5);
        assert_eq!(fitted, fresh);
    }

    use proptest::prelude::*;

    fn near(one: Position<Stored>, other: Position<Stored>) -> bool {
        one.way_from(other).length() < 1e-6
    }

    proptest! {
        #[test]
        fn a_place_is_seen_where_it_is_found_again(
            x in -100.0..5000.0, y in -100.0..5000.0, turn in -720.0..720.0_f64, mirrored: bool,
            zoom in 0.01..40.0, aspect in 0.5..2.0, pan_x in -900.0..900.0, pan_y in -900.0..900.0,
        ) {
            let mut viewport = Viewport::new([3000, 2000], aspect);
            viewport.resize([900.0, 700.0]);
            viewport.turn_to(turn);
            if mirrored {
                viewport.mirror();
            }
            viewport.zoom_to(zoom, Position::new(20.0, -30.0));
            viewport.pan(Displacement::new(pan_x, pan_y));
            let place = Position::new(x, y);
            prop_assert!(near(viewport.place(viewport.seen(place)), place));
        }

        #[test]
        fn what_is_under_the_pointer_stays_there(
            at_x in -400.0..400.0, at_y in -300.0..300.0, factor in 0.2..5.0, turn in 0.0..360.0, mirrored: bool,
        ) {
            let mut viewport = Viewport::new([1300, 1700], 1.0);
            viewport.resize([900.0, 700.0]);
            viewport.turn_to(turn);
            if mirrored {
                viewport.mirror();
            }
            let at = Position::new(at_x, at_y);
            let before = viewport.place(at);
            viewport.zoom_by(factor, at);
            prop_assert!(near(viewport.place(at), before));
        }
    }

    #[test]
    fn a_fitted_film_is_seen_whole_at_any_angle() {
        for turn in [0.0, 30.0, 90.0, 200.0] {
            let mut viewport = Viewport::new([1000, 1300], 1.0);
            viewport.resize([640.0, 480.0]);
            viewport.turn_to(turn);
            for (x, y) in [(0.0, 0.0), (1000.0, 0.0), (1000.0, 1300.0), (0.0, 1300.0)] {
                let seen = viewport.seen(Position::new(x, y));
                assert!(seen.x.abs() <= 320.0 && seen.y.abs() <= 240.0, "{turn}: {seen:?}");
            }
            viewport.resize([320.0, 480.0]);
            assert!(viewport.seen(Position::new(1000.0, 1300.0)).x.abs() <= 160.0);
        }
    }

    #[test]
    fn a_turn_is_clockwise_as_it_is_seen_mirrored_or_not() {
        for mirrored in [false, true] {
            let mut viewport = Viewport::new([100, 100], 1.0);
            viewport.resize([100.0, 100.0]);
            if mirrored {
                viewport.mirror();
            }
            let top = viewport.place(Position::new(0.0, -40.0));
            viewport.turn_by(90.0);
            let seen = viewport.seen(top);
            assert!(seen.x > 30.0 && seen.y.abs() < 1e-6, "{mirrored}: {seen:?}");
        }
    }
}
