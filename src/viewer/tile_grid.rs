//! Which tiles of which reduction of a film are seen, and where. No drawing.

use super::toning::Texels;
use super::viewport::Viewport;
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

/// The level to show where a pixel of the film is `physical` physical pixels of the screen: the one whose pixels are
/// between a half and one physical pixel, so that nothing is softened and filtering two by two reaches all.
pub(super) fn level_for(physical: f64, levels: usize) -> usize {
    let mut level = 0;
    let mut physical = physical * 2.0;
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
    pub(super) fn texels(self, level_size: [u32; 2]) -> Texels {
        let start = [self.column, self.row].map(|at| at.saturating_mul(STEP));
        let from = start.map(|start| start.saturating_sub(BORDER));
        let end = |axis: fn([u32; 2]) -> u32| axis(start).saturating_add(STEP + BORDER).min(axis(level_size));
        let size = [end(|it| it[0]).saturating_sub(from[0]), end(|it| it[1]).saturating_sub(from[1])];
        Texels { from, size }
    }

    /// Where in its texture, 0 to 1, a place of the film lies.
    pub(super) fn within(self, texels: Texels, place: Position<Stored>) -> [f64; 2] {
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
                (of(on_screen.least) + of(on_screen.greatest)) / 2.0
            });
            Some((middle[0].hypot(middle[1]), tile))
        })
        .collect();
    tiles.sort_by(|(one, _), (other, _)| one.total_cmp(other));
    tiles.into_iter().map(|(_, tile)| tile).collect()
}
