//! The mean of several placings of one point, and its standard uncertainty.

use super::AgreedPlace;
use crate::agreement::scatter::count;
use crate::case::Point;
use crate::geometry::{Position, Square};

/// No mean is stated surer than this, in widths of a pixel: what a film shows within a pixel is not told apart, and a value
/// within ± 1/2 has the standard uncertainty 1/√12 (JCGM 100:2008, F.2.2.1). Where all agree to the last digit, the
/// scatter alone would say that the place is exact.
pub const LEAST_SD_PX: f64 = 0.288_675_134_594_812_9;

/// Somebody's placing of a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placing<'a> {
    pub(super) who: &'a str,
    pub(super) at: Position<Square>,
}

/// Where several placed a point.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct MeanPlace {
    at: Position<Square>,
    pub(super) agreed: AgreedPlace,
}

impl MeanPlace {
    /// The mean of n placings, and its standard uncertainty on each axis, s/√n (JCGM 100:2008, 4.2.3), with both axes
    /// counted alike: s² = Σ ((x − x̄)² + (y − ȳ)²) / (2 (n − 1)). `None` of fewer than two.
    pub(super) fn of(placings: &[Placing<'_>]) -> Option<Self> {
        let [_, _, ..] = placings else { return None };
        let at = Position::mean(placings.iter().map(|placing| placing.at))?;
        let n = count(placings.len());
        let (mut squares, mut farthest_px, mut farthest) = (0.0, -1.0, "");
        for placing in placings {
            let way = placing.at.way_from(at);
            squares += way.dot(way);
            if way.length() > farthest_px {
                (farthest_px, farthest) = (way.length(), placing.who);
            }
        }
        let sd_px = (squares / (2.0 * (n - 1.0)) / n).sqrt().max(LEAST_SD_PX);
        Some(Self { at, agreed: AgreedPlace { sd_px, farthest_px, farthest: farthest.to_owned() } })
    }

    /// Where it lies in stored pixels.
    pub(super) fn stored(&self, pixel_aspect: f64) -> [f64; 2] {
        [self.at.x, self.at.y / pixel_aspect]
    }

    /// The point of a key.
    pub(super) fn point(&self, pixel_aspect: f64) -> Point {
        let [x, y] = self.stored(pixel_aspect);
        Point { sd_px: Some(self.agreed.sd_px), ..Point::at(x, y) }
    }
}

/// The least sure of several.
pub(super) fn least_sure<'a>(places: impl IntoIterator<Item = &'a MeanPlace>) -> Option<AgreedPlace> {
    places
        .into_iter()
        .map(|place| &place.agreed)
        .max_by(|one, other| one.sd_px.total_cmp(&other.sd_px))
        .cloned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placings<'a>(of: &[(&'a str, f64, f64)]) -> Vec<Placing<'a>> {
        of.iter().map(|(who, x, y)| Placing { who, at: Position::new(*x, *y) }).collect()
    }

    /// Mean (3, 4); from it (−3, 0), (0, 4), (3, −4), squares 9 + 16 + 25 = 50: s² = 50/4, s/√3 = √(50/12).
    #[test]
    fn a_mean_is_as_sure_as_its_placings_scatter() {
        let three = placings(&[("a", 0.0, 4.0), ("b", 3.0, 8.0), ("c", 6.0, 0.0)]);
        let mean = MeanPlace::of(&three).unwrap();
        assert_eq!(mean.stored(1.0), [3.0, 4.0]);
        assert!((mean.agreed.sd_px - (50.0_f64 / 12.0).sqrt()).abs() < 1e-12);
        assert_eq!((mean.agreed.farthest.as_str(), mean.agreed.farthest_px), ("c", 5.0));
        assert_eq!(mean.stored(2.0), [3.0, 2.0], "rows of pixels twice as high");
    }

    #[test]
    fn one_placing_has_no_mean_and_equal_ones_are_not_exact() {
        assert_eq!(MeanPlace::of(&placings(&[("a", 1.0, 2.0)])), None);
        let same = MeanPlace::of(&placings(&[("a", 1.0, 2.0), ("b", 1.0, 2.0)])).unwrap();
        assert_eq!(same.agreed.sd_px, LEAST_SD_PX);
        assert!((LEAST_SD_PX - 1.0 / 12.0_f64.sqrt()).abs() < 1e-16);
    }
}
