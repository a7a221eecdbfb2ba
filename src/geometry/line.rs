//! Two lines: the angle between them, and where a bearing from one place meets the other.

use super::{Direction, Displacement, Position, Space};
use crate::quantity::Scalar;

/// The angle between two ways, 0 to π radians, by atan2(|cross|, dot): exact near 0 and π, where an arc cosine
/// loses half its digits.
pub fn angle_between<U: Space, S: Scalar>(first: Displacement<U, S>, second: Displacement<U, S>) -> S {
    first.cross(second).abs().atan2(first.dot(second))
}

/// How far one has to go along `bearing`, after sliding along the line, to come from the line through `origin`
/// with direction `line` to `place`: β in place = origin + α·line + β·bearing.
///
/// `None` where line and bearing are parallel to within 1e-9 (|d × w| ≤ 1e-9 |d|).
pub fn crossing<U: Space, S: Scalar>(
    origin: Position<U, S>,
    line: Displacement<U, S>,
    bearing: Direction<U, S>,
    place: Position<U, S>,
) -> Option<S> {
    let denominator = line.cross(bearing.displacement());
    if denominator.value().abs() <= 1e-9 * line.length().value() {
        return None;
    }
    Some(line.cross(place.way_from(origin)) / denominator)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Plane;

    fn way(x: f64, y: f64) -> Displacement<Plane> {
        Displacement::new(x, y)
    }

    #[test]
    fn crossing_is_measured_along_the_bearing_not_square_to_the_line() {
        let bearing = way(1.0, 1.0).direction().expect("not of length 0");
        let beta = crossing(Position::new(0.0, 0.0), way(0.0, 1.0), bearing, Position::new(3.0, 100.0));
        assert!((beta.expect("not parallel") - 3.0 * 2.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn parallel_lines_never_cross() {
        let bearing = way(0.0, 1.0).direction().expect("not of length 0");
        assert_eq!(crossing(Position::new(0.0, 0.0), way(0.0, 2.0), bearing, Position::new(1.0, 1.0)), None);
    }
}
