//! Which tiles of which reduction of a film are seen, and where. No drawing.

use super::viewport::Viewport;
use crate::film::Cut;
use crate::geometry::{Position, Stored};

/// Pixels of a level from tile to tile.
pub(super) const STEP: u32 = 1022;
/// Pixels a tile reaches into each neighbour, so that filtering finds there what it finds inside.
const BORDER: u32 = 1;

/// One tile of one level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct TileAt {
    /// 0 is the film itself, each next level half as large.
    pub(super) level: usize,
    /// Counted from the left.
    pub(super) column: u32,
    /// Counted from the top.
    pub(super) row: u32,
}

/// An upright rectangle of the film, stored pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    /// Its corner of least coordinates.
    pub(super) least: [f64; 2],
    /// Its corner of greatest coordinates.
    pub(super) greatest: [f64; 2],
}

/// The level to show where a pixel's width is `physical` physical pixels of the screen and its height `aspect` times
/// that: the one whose pixels are between a half and one physical pixel along their shorter side, so that nothing is
/// softened along it and filtering two by two reaches all.
pub(super) fn level_for(physical: f64, aspect: f64, levels: usize) -> usize {
    let mut level = 0;
    let mut physical = physical * aspect.min(1.0) * 2.0;
    while level + 1 < levels && physical <= 1.0 {
        level += 1;
        physical *= 2.0;
    }
    level
}

/// Pixels of the film for one pixel of a level.
pub(super) fn reduction(level: usize) -> f64 {
    // A film has some thirty levels at most.
    f64::from(1_u32 << level.min(31))
}

impl Part {
    /// The smallest that holds all that is seen in a view of a size, points. It may reach beyond the film.
    pub(super) fn seen(viewport: &Viewport, view: [f64; 2]) -> Self {
        let corners = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
            .map(|(x, y)| viewport.place(Position::new(x * view[0], y * view[1])));
        Self::around(corners.map(|corner| [corner.x, corner.y]))
    }

    fn around(corners: [[f64; 2]; 4]) -> Self {
        let least = corners.iter().fold([f64::MAX; 2], |[x, y], it| [x.min(it[0]), y.min(it[1])]);
        let greatest = corners.iter().fold([f64::MIN; 2], |[x, y], it| [x.max(it[0]), y.max(it[1])]);
        Self { least, greatest }
    }

    /// What both have in common; `None` where that is nothing.
    pub(super) fn shared(&self, other: &Self) -> Option<Self> {
        let least = [self.least[0].max(other.least[0]), self.least[1].max(other.least[1])];
        let greatest = [self.greatest[0].min(other.greatest[0]), self.greatest[1].min(other.greatest[1])];
        (least[0] < greatest[0] && least[1] < greatest[1]).then_some(Self { least, greatest })
    }

    /// Its corners, going round.
    pub(super) fn corners(&self) -> [Position<Stored>; 4] {
        let ([left, top], [right, bottom]) = (self.least, self.greatest);
        [(left, top), (right, top), (right, bottom), (left, bottom)].map(|(x, y)| Position::new(x, y))
    }
}

impl TileAt {
    /// The tile of the next level, half as large, that holds this one.
    pub(super) const fn coarser(self) -> Self {
        Self { level: self.level + 1, column: self.column / 2, row: self.row / 2 }
    }

    /// The part of a film of a size, stored pixels, that it shows.
    pub(super) fn part(self, film: [f64; 2]) -> Part {
        let step = f64::from(STEP) * reduction(self.level);
        let start = [self.column, self.row].map(|at| f64::from(at) * step);
        Part {
            least: start,
            // The last pixels of a level can reach beyond the film.
            greatest: [(start[0] + step).min(film[0]), (start[1] + step).min(film[1])],
        }
    }

    /// The pixels its texture holds, of a level of a size.
    pub(super) fn texels(self, level_size: [u32; 2]) -> Cut {
        let start = [self.column, self.row].map(|at| at.saturating_mul(STEP));
        let from = start.map(|start| start.saturating_sub(BORDER));
        let end = |axis: fn([u32; 2]) -> u32| axis(start).saturating_add(STEP + BORDER).min(axis(level_size));
        let size = [end(|it| it[0]).saturating_sub(from[0]), end(|it| it[1]).saturating_sub(from[1])];
        Cut { from, size }
    }

    /// Where in its texture, 0 to 1, a place of the film lies.
    pub(super) fn within(self, texels: Cut, place: Position<Stored>) -> [f64; 2] {
        let reduction = reduction(self.level);
        [
            (place.x / reduction - f64::from(texels.from[0])) / f64::from(texels.size[0]),
            (place.y / reduction - f64::from(texels.from[1])) / f64::from(texels.size[1]),
        ]
    }
}

/// The tiles of a level that are seen in a view of a size, points, those in the middle first.
pub(super) fn tiles_seen(viewport: &Viewport, view: [f64; 2], level: usize) -> Vec<TileAt> {
    let film = viewport.film_size();
    let whole = Part { least: [0.0; 2], greatest: film };
    let Some(seen) = Part::seen(viewport, view).shared(&whole) else { return Vec::new() };
    let step = f64::from(STEP) * reduction(level);
    // The film's coordinates, not negative, over a step, are far within u32.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
    let span = |axis: usize| {
        let of = |corner: [f64; 2]| corner.get(axis).copied().unwrap_or(0.0) / step;
        (of(seen.least).floor() as u32)..(of(seen.greatest).ceil() as u32)
    };
    let mut tiles: Vec<(f64, TileAt)> = span(1)
        .flat_map(|row| span(0).map(move |column| TileAt { level, column, row }))
        .filter_map(|tile| {
            let corners = tile.part(film).corners().map(|corner| viewport.seen(corner));
            let on_screen = Part::around(corners.map(|corner| [corner.x, corner.y]));
            let half = view.map(|length| length / 2.0);
            // Two rectangles meet where they meet along the sides of the one and along the sides of the other.
            on_screen.shared(&Part { least: half.map(|it| -it), greatest: half })?;
            let middle = [0, 1].map(|axis: usize| {
                let of = |corner: [f64; 2]| corner.get(axis).copied().unwrap_or(0.0);
                f64::midpoint(of(on_screen.least), of(on_screen.greatest))
            });
            Some((middle[0].hypot(middle[1]), tile))
        })
        .collect();
    tiles.sort_by(|(one, _), (other, _)| one.total_cmp(other));
    tiles.into_iter().map(|(_, tile)| tile).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Displacement;
    use proptest::prelude::*;

    #[test]
    fn the_level_shown_has_pixels_between_a_half_and_one_physical_pixel() {
        let expected = [(8.0, 0), (1.0, 0), (0.51, 0), (0.5, 1), (0.26, 1), (0.25, 2), (0.001, 4)];
        for (physical, level) in expected {
            assert_eq!(level_for(physical, 1.0, 5), level, "{physical}");
            // Rows of half the height lie closer; those of twice the height leave the width to decide.
            assert_eq!(level_for(2.0 * physical, 0.5, 5), level, "{physical}");
            assert_eq!(level_for(physical, 2.0, 5), level, "{physical}");
        }
        assert_eq!(level_for(0.001, 1.0, 1), 0);
    }

    #[test]
    fn a_tile_holds_its_pixels_and_one_of_each_neighbour() {
        let tile = TileAt { level: 1, column: 1, row: 0 };
        let texels = tile.texels([2500, 600]);
        assert_eq!(texels, Cut { from: [1021, 0], size: [1024, 600] });
        // The last column of 5,001 pixels halved to 2,501 is half a pixel of the level wide on the film.
        let last = TileAt { level: 1, column: 2, row: 0 };
        assert_eq!(last.part([5001.0, 1200.0]), Part { least: [4088.0, 0.0], greatest: [5001.0, 1200.0] });
        assert_eq!(last.texels([2501, 600]), Cut { from: [2043, 0], size: [458, 600] });
    }

    #[test]
    fn the_middle_of_a_pixel_is_the_middle_of_its_texel() {
        for (level, column, x) in [(0, 0, 0_u32), (0, 1, 1022), (0, 2, 2600), (1, 1, 1500)] {
            let tile = TileAt { level, column, row: 0 };
            let texels = tile.texels([3000, 10]);
            let [u, _] = tile.within(texels, Position::new((f64::from(x) + 0.5) * reduction(level), 0.0));
            let texel = u * f64::from(texels.size[0]) + f64::from(texels.from[0]);
            assert!((texel - f64::from(x) - 0.5).abs() < 1e-9, "{tile:?}: {texel}");
        }
    }

    #[test]
    fn a_coarser_tile_holds_the_finer_ones_it_stands_for() {
        let film = [9000.0, 7000.0];
        for (column, row) in [(0, 0), (3, 2), (7, 6), (8, 5)] {
            let tile = TileAt { level: 0, column, row };
            let (fine, coarse) = (tile.part(film), tile.coarser().part(film));
            assert_eq!(fine.shared(&coarse), Some(fine), "{tile:?}");
        }
    }

    #[test]
    fn nothing_is_drawn_of_a_film_that_is_moved_out_of_sight() {
        let mut viewport = Viewport::new([3000, 2000], 1.0);
        viewport.resize([800.0, 600.0]);
        viewport.zoom_to(1.0, Position::new(0.0, 0.0));
        viewport.pan(Displacement::new(5000.0, 0.0));
        assert_eq!(tiles_seen(&viewport, [800.0, 600.0], 0), []);
    }

    #[test]
    fn tiles_beside_a_slanting_view_are_left_out() {
        let mut viewport = Viewport::new([20_000, 20_000], 1.0);
        viewport.resize([4000.0, 100.0]);
        viewport.zoom_to(1.0, Position::new(0.0, 0.0));
        viewport.turn_to(45.0);
        // The upright rectangle around a slanting strip of 4,000 points holds at least 9 tiles.
        let seen = tiles_seen(&viewport, [4000.0, 100.0], 0);
        assert!((3..9).contains(&seen.len()), "{seen:?}");
    }

    proptest! {
        #[test]
        fn every_place_that_is_seen_lies_in_one_tile(
            width in 1..9000_u32, height in 1..9000_u32, aspect in 0.5..2.0, zoom in 0.02..3.0, turn in 0.0..360.0,
            mirrored: bool, pan_x in -900.0..900.0, pan_y in -900.0..900.0, level in 0..4_usize,
            x in -450.0..450.0, y in -350.0..350.0,
        ) {
            let view = [900.0, 700.0];
            let mut viewport = Viewport::new([width, height], aspect);
            viewport.resize(view);
            viewport.turn_to(turn);
            if mirrored {
                viewport.mirror();
            }
            viewport.zoom_to(zoom, Position::new(0.0, 0.0));
            viewport.pan(Displacement::new(pan_x, pan_y));
            let place = viewport.place(Position::new(x, y));
            let film = viewport.film_size();
            let is_on_film = (0.0..film[0]).contains(&place.x) && (0.0..film[1]).contains(&place.y);
            let visible = Part::seen(&viewport, view);
            let covering = tiles_seen(&viewport, view, level)
                .into_iter()
                .filter_map(|tile| tile.part(film).shared(&visible))
                .filter(|part| {
                    let within = |at: f64, axis: usize| part.least[axis] <= at && at < part.greatest[axis];
                    within(place.x, 0) && within(place.y, 1)
                })
                .count();
            prop_assert_eq!(covering, usize::from(is_on_film), "{:?}", place);
        }
    }
}
