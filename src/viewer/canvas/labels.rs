//! Where names stand beside their points: none over another, and none over a point.

/// A name that wants a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// The point it belongs to.
    pub(super) at: [f32; 2],
    /// Its width and height.
    pub(super) size: [f32; 2],
    /// Whether it is shown even where it covers something.
    pub(super) must: bool,
}

/// An upright rectangle: its corners of least and greatest coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Block {
    /// The least coordinates.
    pub(super) least: [f32; 2],
    /// The greatest coordinates.
    pub(super) greatest: [f32; 2],
}

/// From a point to the near edge of its name.
const GAP: f32 = 11.0;
/// Half of the square around a point that names keep off.
const MARK: f32 = 7.0;

impl Block {
    fn of(least: [f32; 2], size: [f32; 2]) -> Self {
        Self { least, greatest: [least[0] + size[0], least[1] + size[1]] }
    }

    fn around(at: [f32; 2]) -> Self {
        Self::of([at[0] - MARK, at[1] - MARK], [2.0 * MARK, 2.0 * MARK])
    }

    fn meets(&self, other: &Self) -> bool {
        (0..2).all(|axis| self.least[axis] < other.greatest[axis] && other.least[axis] < self.greatest[axis])
    }

    fn is_within(&self, area: &Self) -> bool {
        (0..2).all(|axis| self.least[axis] >= area.least[axis] && self.greatest[axis] <= area.greatest[axis])
    }
}

/// Gives names their places: first those that must be shown, then the others where they fit without covering a
/// point or another name; `None` for those that fit nowhere. `taken` are places where none may stand.
pub(super) fn lay(
    wanted: &[Wanted],
    points: &[[f32; 2]],
    taken: &[Block],
    area: &Block,
) -> Vec<Option<Block>> {
    let marks: Vec<Block> = points.iter().map(|at| Block::around(*at)).collect();
    let mut laid: Vec<Option<Block>> = vec![None; wanted.len()];
    let mut used = taken.to_vec();
    let order = (0..wanted.len())
        .filter(|at| wanted[*at].must)
        .chain((0..wanted.len()).filter(|at| !wanted[*at].must));
    for at in order {
        let name = &wanted[at];
        let own = Block::around(name.at);
        let places = around(name);
        let free = places.iter().find(|place| {
            place.is_within(area)
                && !used.iter().any(|other| other.meets(place))
                && !marks.iter().any(|mark| *mark != own && mark.meets(place))
        });
        let place = free.or_else(|| {
            let beside_names =
                |place: &&Block| place.is_within(area) && !used.iter().any(|other| other.meets(place));
            let least_bad =
                places.iter().find(beside_names).or_else(|| places.iter().find(|it| it.is_within(area)));
            least_bad.filter(|_| name.must)
        });
        if let Some(place) = place {
            laid[at] = Some(*place);
            used.push(*place);
        }
    }
    laid
}

/// Where a name can stand: right, left, above and below, then at the corners.
fn around(name: &Wanted) -> [Block; 8] {
    let ([x, y], [width, height]) = (name.at, name.size);
    let (left, right) = (x - GAP - width, x + GAP);
    let (above, below) = (y - GAP - height, y + GAP);
    let (middle_x, middle_y) = (x - width / 2.0, y - height / 2.0);
    [
        [right, middle_y],
        [left, middle_y],
        [middle_x, above],
        [middle_x, below],
        [right - 3.0, above + 3.0],
        [right - 3.0, below - 3.0],
        [left + 3.0, above + 3.0],
        [left + 3.0, below - 3.0],
    ]
    .map(|least| Block::of(least, name.size))
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Block = Block { least: [0.0, 0.0], greatest: [200.0, 100.0] };

    fn name(x: f32, y: f32, must: bool) -> Wanted {
        Wanted { at: [x, y], size: [40.0, 10.0], must }
    }

    fn laid(wanted: &[Wanted]) -> Vec<Option<[f32; 2]>> {
        let points: Vec<_> = wanted.iter().map(|it| it.at).collect();
        lay(wanted, &points, &[], &AREA).iter().map(|it| it.map(|it| it.least)).collect()
    }

    #[test]
    fn a_name_stands_to_the_right_and_at_the_edge_to_the_left() {
        assert_eq!(laid(&[name(100.0, 50.0, false)]), [Some([111.0, 45.0])]);
        assert_eq!(laid(&[name(190.0, 50.0, false)]), [Some([139.0, 45.0])]);
    }

    #[test]
    fn a_name_gives_way_to_a_point_and_to_a_name_that_must_be_shown() {
        // The second point lies where the first name would stand; its own name has room to the right.
        assert_eq!(
            laid(&[name(60.0, 50.0, false), name(90.0, 50.0, false)]),
            [Some([9.0, 45.0]), Some([101.0, 45.0])]
        );
        // Two points on one another: the one that must be shown is laid first.
        let both = laid(&[name(100.0, 50.0, false), name(100.0, 50.0, true)]);
        assert_eq!(both, [Some([49.0, 45.0]), Some([111.0, 45.0])]);
    }

    #[test]
    fn a_name_without_room_is_left_out_unless_it_must_be_shown() {
        let narrow = Block { least: [0.0, 0.0], greatest: [60.0, 12.0] };
        let points = [[5.0, 6.0], [25.0, 6.0]];
        let lay = |must| lay(&[Wanted { at: points[0], size: [40.0, 10.0], must }], &points, &[], &narrow);
        assert_eq!(lay(false), [None]);
        assert_eq!(lay(true), [Some(Block { least: [16.0, 1.0], greatest: [56.0, 11.0] })]);
    }

    #[test]
    fn forty_names_never_cover_each_other() {
        let area = Block { least: [0.0, 0.0], greatest: [800.0, 700.0] };
        let wanted: Vec<_> = (0..40_u8)
            .map(|at| name(f32::from(at % 8) * 37.0 + 100.0, f32::from(at / 8) * 23.0 + 100.0, false))
            .collect();
        let points: Vec<_> = wanted.iter().map(|it| it.at).collect();
        let laid: Vec<_> = lay(&wanted, &points, &[], &area).into_iter().flatten().collect();
        assert!(laid.len() > 10);
        for (at, one) in laid.iter().enumerate() {
            assert!(laid[at + 1..].iter().all(|other| !one.meets(other)));
        }
    }
}
