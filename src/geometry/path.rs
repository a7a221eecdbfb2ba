//! Lengths along a path whose first and last segment go on without end.

use super::{Direction, Displacement, Position, Space};
use crate::quantity::Scalar;

/// Two segments whose distances differ by less than this are equally near; the earlier one is taken.
const TIE: f64 = 1e-9;

/// A polyline with prolonged ends. Consecutive points must differ; a path of fewer than two points has no
/// segment, and every question to it is answered with `None`.
#[derive(Debug, Clone)]
pub struct Path<U: Space, S = f64> {
    segments: Vec<Segment<U, S>>,
}

#[derive(Debug, Clone, Copy)]
struct Segment<U: Space, S> {
    start: Position<U, S>,
    direction: Direction<U, S>,
    length: S,
    /// Length of the path before this segment.
    before: S,
    is_first: bool,
    is_last: bool,
}

/// The place on a path nearest to a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot<U: Space, S = f64> {
    /// Length along the path from its first point to this place; negative before the first point.
    pub arc: S,
    /// Direction of the segment the place is on.
    pub direction: Direction<U, S>,
    /// The place itself.
    pub place: Position<U, S>,
}

impl<U: Space, S: Scalar> Path<U, S> {
    /// The path through `points`; `None` with fewer than two points or two equal neighbours.
    pub fn through(points: impl IntoIterator<Item = Position<U, S>>) -> Option<Self> {
        let mut points = points.into_iter();
        let mut start = points.next()?;
        let mut before = S::constant(0.0);
        let mut segments: Vec<Segment<U, S>> = Vec::new();
        for end in points {
            let way: Displacement<U, S> = end.way_from(start);
            let length = way.length();
            let is_first = segments.is_empty();
            segments.push(Segment {
                start,
                direction: way.direction()?,
                length,
                before,
                is_first,
                is_last: false,
            });
            before = before + length;
            start = end;
        }
        segments.last_mut()?.is_last = true;
        Some(Self { segments })
    }

    /// The place `arc` along the path from its first point, the ends prolonged.
    pub fn at(&self, arc: S) -> Option<Position<U, S>> {
        let segment = self.segments.iter().find(|segment| {
            segment.is_last || arc.value() < segment.before.value() + segment.length.value()
        })?;
        let reach = arc - segment.before;
        Some(segment.start.moved(segment.direction.displacement().times(reach)))
    }

    /// The length along the path from its first point to each of its corners, both ends left out.
    pub fn corners(&self) -> impl Iterator<Item = S> {
        self.segments.iter().skip(1).map(|segment| segment.before)
    }

    /// The place on the path nearest to `place`, the ends prolonged; of two equally near, the earlier.
    pub fn nearest(&self, place: Position<U, S>) -> Option<Foot<U, S>> {
        let mut best: Option<(f64, Foot<U, S>)> = None;
        for segment in &self.segments {
            let foot = segment.foot(place);
            let distance = place.way_from(foot.place).length().value();
            if best.as_ref().is_none_or(|(least, _)| distance < least - TIE) {
                best = Some((distance, foot));
            }
        }
        best.map(|(_, foot)| foot)
    }
}

impl<U: Space, S: Scalar> Segment<U, S> {
    fn foot(&self, place: Position<U, S>) -> Foot<U, S> {
        let mut reach = place.way_from(self.start).along(self.direction);
        if reach.value() < 0.0 && !self.is_first {
            reach = S::constant(0.0);
        } else if reach.value() > self.length.value() && !self.is_last {
            reach = self.length;
        }
        Foot {
            arc: self.before + reach,
            direction: self.direction,
            place: self.start.moved(self.direction.displacement().times(reach)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Plane;

    fn at(x: f64, y: f64) -> Position<Plane> {
        Position::new(x, y)
    }

    /// (0,0) (3,4) (3,10) (11,16): 5 + 6 + 10 = 21, three Pythagorean segments.
    #[test]
    fn a_plain_polyline_has_the_length_of_its_segments() {
        let path = Path::through([at(0., 0.), at(3., 4.), at(3., 10.), at(11., 16.)]).expect("a path");
        let end = path.nearest(at(11., 16.)).expect("a foot").arc;
        assert!((end - 21.0).abs() < 1e-12);
    }

    #[test]
    fn both_ends_go_on_without_end() {
        let path = Path::through([at(0., 0.), at(2., 0.), at(2., 2.)]).expect("a path");
        assert!((path.nearest(at(-3., 1.)).expect("a foot").arc + 3.0).abs() < 1e-12);
        assert!((path.nearest(at(2.5, 7.)).expect("a foot").arc - 9.0).abs() < 1e-12);
    }

    #[test]
    fn a_place_along_a_path_is_where_its_foot_says() {
        let path = Path::through([at(0., 0.), at(3., 4.), at(3., 10.), at(11., 16.)]).expect("a path");
        assert_eq!(path.corners().collect::<Vec<_>>(), [5.0, 11.0]);
        for (arc, x, y) in
            [(-5.0, -3.0, -4.0), (2.5, 1.5, 2.0), (8.0, 3.0, 7.0), (21.0, 11.0, 16.0), (26.0, 15.0, 19.0)]
        {
            let place = path.at(arc).expect("a place");
            assert!(place.way_from(at(x, y)).length() < 1e-12, "{arc}: {place:?}");
            assert!((path.nearest(place).expect("a foot").arc - arc).abs() < 1e-12);
        }
    }

    #[test]
    fn a_tie_goes_to_the_earlier_segment() {
        let path = Path::through([at(0., 0.), at(2., 0.), at(2., 2.)]).expect("a path");
        let foot = path.nearest(at(1., 1.)).expect("a foot");
        assert!((foot.arc - 1.0).abs() < 1e-12);
    }

    #[test]
    fn no_path_without_two_different_points() {
        assert!(Path::through([at(1., 1.)]).is_none());
        assert!(Path::through([at(1., 1.), at(1., 1.)]).is_none());
    }
}
