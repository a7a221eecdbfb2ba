//! Sections laid square to the canal: after its first click, the other three points lie on a line across the root.
//!
//! Square is meant on the film with its pixels made square. The two scales of a film differ by a few percent, which
//! turns the line by under a degree, far inside the 10 degrees past which a section is cautioned against.

use crate::case::{Case, Landmark, Landmarks, Root, RootName, Side};
use crate::geometry::{Direction, Displacement, Path, Position, Square, Stored};

/// The line that a section through a place lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SquareSection {
    origin: Position<Square>,
    across: Direction<Square>,
    pixel_aspect: f64,
}

impl SquareSection {
    /// The line through `first` square to the canal where it is nearest, its ends prolonged; without a canal of two
    /// points square to the root's axis: from the middle of the finish line (else of the CEJ), in a tooth with
    /// several roots from the root's orifice, to the apex; else from the post's head to its tip. `None` where nothing
    /// of that is placed.
    pub fn through(case: &Case, root: RootName, first: Position<Stored>) -> Option<Self> {
        let pixel_aspect = case.film.aspect();
        let origin = squared(first, pixel_aspect);
        let root = case.roots.iter().find(|it| it.name == root)?;
        let canal = Path::through(root.canal.iter().map(|point| point.squared(pixel_aspect)));
        let along = match canal.and_then(|canal| canal.nearest(origin)) {
            Some(foot) => foot.direction,
            None => axis(case, root)?,
        };
        Some(Self { origin, across: along.quarter_turn(), pixel_aspect })
    }

    /// The place on the line nearest to a place.
    pub fn nearest(&self, place: Position<Stored>) -> Position<Stored> {
        self.at(squared(place, self.pixel_aspect).way_from(self.origin).along(self.across))
    }

    /// The same within a film of this width and height, stored pixels: where the line leaves the film, its last place
    /// on it. For a line whose first point lies beside the film, the place of the film nearest to that.
    pub fn nearest_within(&self, place: Position<Stored>, film: [f64; 2]) -> Position<Stored> {
        let wanted = squared(place, self.pixel_aspect).way_from(self.origin).along(self.across);
        let way = self.across.displacement();
        let of = |origin: f64, step: f64, length: f64| {
            if step.abs() < 1e-12 {
                return [f64::NEG_INFINITY, f64::INFINITY];
            }
            let ends = [-origin / step, (length - origin) / step];
            [ends[0].min(ends[1]), ends[0].max(ends[1])]
        };
        let x = of(self.origin.x, way.x, film[0]);
        let y = of(self.origin.y, way.y, film[1] * self.pixel_aspect);
        let on = self.at(wanted.min(x[1].min(y[1])).max(x[0].max(y[0])));
        // Rounding must not leave the film either.
        Position::new(on.x.clamp(0.0, film[0].max(0.0)), on.y.clamp(0.0, film[1].max(0.0)))
    }

    /// The places on the line so many pixels to either side of its first point.
    pub fn ends(&self, reach: f64) -> [Position<Stored>; 2] {
        [self.at(-reach), self.at(reach)]
    }

    fn at(&self, distance: f64) -> Position<Stored> {
        let way: Displacement<Square> = self.across.displacement().times(distance);
        let place = self.origin.moved(way);
        Position::new(place.x, place.y / self.pixel_aspect)
    }
}

fn squared(place: Position<Stored>, pixel_aspect: f64) -> Position<Square> {
    Position::new(place.x, place.y * pixel_aspect)
}

/// The axis of a root.
fn axis(case: &Case, root: &Root) -> Option<Direction<Square>> {
    let aspect = case.film.aspect();
    let own = |landmark: Landmark| Some(root.landmarks.point(landmark.id())?.squared(aspect));
    let orifice = if case.roots.len() > 1 {
        own(Landmark::Orifice).or_else(|| root.canal.first().map(|point| point.squared(aspect)))
    } else {
        None
    };
    let middle = |landmark| middle(&case.landmarks, landmark, aspect);
    let coronal = orifice.or_else(|| middle(Landmark::FinishLine)).or_else(|| middle(Landmark::Cej));
    let between =
        |from: Option<Position<Square>>, to: Option<Position<Square>>| to?.way_from(from?).direction();
    between(coronal, own(Landmark::Apex)).or_else(|| between(own(Landmark::PostHead), own(Landmark::PostTip)))
}

/// The middle between a landmark's mesial and distal point.
fn middle(landmarks: &Landmarks, landmark: Landmark, aspect: f64) -> Option<Position<Square>> {
    let on = |side| Some(landmarks.point(landmark.on(side))?.squared(aspect));
    Some(on(Side::Mesial)?.middle(on(Side::Distal)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Mark, Point};

    fn case(aspect: Option<f64>) -> Case {
        let mut case = crate::case::film_102();
        case.film.pixel_aspect = aspect;
        case.roots.truncate(1);
        case.landmarks.marks.clear();
        case.roots[0].landmarks.marks.clear();
        case.roots[0].canal.clear();
        case
    }

    fn at(x: f64, y: f64) -> Position<Stored> {
        Position::new(x, y)
    }

    fn near(one: Position<Stored>, other: Position<Stored>) {
        assert!(one.way_from(other).length() < 1e-9, "{one:?} is not {other:?}");
    }

    /// The canal goes straight down and then by (3, 4): square to the second part is (4, -3) / 5.
    #[test]
    fn points_fall_square_onto_a_line_across_the_nearest_part_of_the_canal() {
        let mut case = case(None);
        let root = case.roots[0].name;
        case.roots[0].canal =
            [(0.0, 0.0), (0.0, 100.0), (30.0, 140.0)].map(|(x, y)| Point::at(x, y)).to_vec();
        let upper = SquareSection::through(&case, root, at(-20.0, 50.0)).expect("there is a canal");
        near(upper.nearest(at(17.0, 63.0)), at(17.0, 50.0));
        // Beyond the last point the canal goes on: (60, 180) lies on it, and (-4, 3) times 5 beside it.
        let lower = SquareSection::through(&case, root, at(40.0, 195.0)).expect("there is a canal");
        near(lower.nearest(at(80.0 + 3.0, 165.0 + 4.0)), at(80.0, 165.0));
    }

    /// Square to a canal that goes straight down the line is level; square to one by (3, 4) it goes by (4, -3).
    #[test]
    fn a_point_that_falls_onto_the_line_stays_on_the_film() {
        let mut case = case(None);
        let root = case.roots[0].name;
        case.roots[0].canal = [(0.0, 0.0), (0.0, 100.0)].map(|(x, y)| Point::at(x, y)).to_vec();
        let level = SquareSection::through(&case, root, at(20.0, 50.0)).expect("there is a canal");
        near(level.nearest_within(at(90.0, 63.0), [60.0, 200.0]), at(60.0, 50.0));
        near(level.nearest_within(at(-7.0, 63.0), [60.0, 200.0]), at(0.0, 50.0));
        near(level.nearest_within(at(33.0, 63.0), [60.0, 200.0]), at(33.0, 50.0));
        case.roots[0].canal = [(0.0, 0.0), (30.0, 40.0)].map(|(x, y)| Point::at(x, y)).to_vec();
        let slanting = SquareSection::through(&case, root, at(20.0, 15.0)).expect("there is a canal");
        // From (20, 15) by (4, -3) to the film's upper edge.
        near(slanting.nearest_within(at(400.0, 0.0), [200.0, 200.0]), at(40.0, 0.0));
    }

    /// With pixels twice as high as wide, a canal by (2, 1) on the film goes by (2, 2): square to it is (2, -2),
    /// which is (2, -1) on the film.
    #[test]
    fn pixels_that_are_not_square_are_made_so_first() {
        let mut case = case(Some(2.0));
        let root = case.roots[0].name;
        case.roots[0].canal = [(0.0, 0.0), (20.0, 10.0)].map(|(x, y)| Point::at(x, y)).to_vec();
        let line = SquareSection::through(&case, root, at(10.0, 5.0)).expect("there is a canal");
        let [first, last] = line.ends(8.0_f64.sqrt());
        near(first, at(12.0, 4.0));
        near(last, at(8.0, 6.0));
        near(line.nearest(at(12.0, 4.0)), at(12.0, 4.0));
    }

    #[test]
    fn without_a_canal_the_axis_serves_and_without_that_nothing() {
        let mut case = case(None);
        let root = case.roots[0].name;
        let first = at(10.0, 60.0);
        assert_eq!(SquareSection::through(&case, root, first), None);
        let placed = |x, y| Mark::Placed(Point::at(x, y));
        case.roots[0].landmarks.marks.insert(Landmark::PostHead.id(), placed(0.0, 0.0));
        case.roots[0].landmarks.marks.insert(Landmark::PostTip.id(), placed(50.0, 0.0));
        let by_post = SquareSection::through(&case, root, first).expect("a post");
        near(by_post.nearest(at(90.0, 7.0)), at(10.0, 7.0));
        case.landmarks.marks.insert(Landmark::FinishLine.on(Side::Mesial), placed(-5.0, 0.0));
        case.landmarks.marks.insert(Landmark::FinishLine.on(Side::Distal), placed(5.0, 0.0));
        case.roots[0].landmarks.marks.insert(Landmark::Apex.id(), placed(0.0, 200.0));
        let by_axis = SquareSection::through(&case, root, first).expect("an axis");
        near(by_axis.nearest(at(90.0, 7.0)), at(90.0, 60.0));
    }
}
