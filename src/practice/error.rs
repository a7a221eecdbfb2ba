//! How far a landmark lies from where the key has it.

use super::key::Key;
use crate::case::{Point, Section};
use crate::geometry::{BesideTooth, Displacement, Path, Position, Square};
use crate::quantity::{Millimetres, Pixels};
use serde::Serialize;

/// Where a point was placed, seen from where the key has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointError {
    /// Along the tooth axis, apical positive.
    pub along_mm: f64,
    /// Across it, distal positive.
    pub across_mm: f64,
    /// Straight.
    pub distance_mm: f64,
    /// The error in units of the combined standard uncertainty of key and placing, where the key is a consensus.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_sd: Option<InSd>,
    /// Where the key has it, px of the film.
    pub key_px: [f64; 2],
    /// Where it was placed.
    pub placed_px: [f64; 2],
}

/// An error in units of the combined standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InSd {
    /// The combined standard uncertainty: key, and placing, along the tooth.
    pub along_sd_mm: f64,
    /// The same across it.
    pub across_sd_mm: f64,
    /// Error over it, along.
    pub along: f64,
    /// Error over it, across.
    pub across: f64,
    /// Root of the sum of the squares of both.
    pub distance: f64,
}

impl PointError {
    /// `placed` seen from the key's point; `placing` is the standard uncertainty of placing where a point states none.
    pub(super) fn of(key: &Key, at: &Point, placed: &Point, aspect: f64, placing: Pixels) -> Self {
        let way = beside(key, at, placed, aspect);
        let (along_mm, across_mm) = (way.x, way.y);
        let key_sd = at.sd_px.unwrap_or(0.0);
        let own_sd = placed.sd_px.map_or(placing, Pixels);
        let [along_sd_mm, across_sd_mm] =
            key.frame.spread(Pixels(key_sd.hypot(own_sd.get()))).map(Millimetres::get);
        let in_sd = (key_sd > 0.0).then(|| {
            let (along, across) = (along_mm / along_sd_mm, across_mm / across_sd_mm);
            InSd { along_sd_mm, across_sd_mm, along, across, distance: along.hypot(across) }
        });
        Self {
            along_mm,
            across_mm,
            distance_mm: along_mm.hypot(across_mm),
            in_sd,
            key_px: [at.x, at.y],
            placed_px: [placed.x, placed.y],
        }
    }
}

/// The way from the key's point to the placed one.
fn beside(key: &Key, at: &Point, placed: &Point, aspect: f64) -> Displacement<BesideTooth> {
    key.frame.way(placed.squared(aspect).way_from(at.squared(key.case.film.aspect())))
}

/// How far a canal runs from the key's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CanalError {
    /// Root mean square distance of the key's canal from the placed one, whose ends go on straight.
    pub rms_mm: f64,
    /// The largest such distance.
    pub largest_mm: f64,
    /// Mean component across the tooth of the placed canal seen from the key's, distal positive.
    pub across_mm: f64,
    /// Length of the placed canal less that of the key's.
    pub length_error_mm: f64,
    /// The key's canal, px of the film.
    pub key_px: Vec<[f64; 2]>,
    /// The placed canal.
    pub placed_px: Vec<[f64; 2]>,
}

/// Between two of the places where canals are compared, mm.
const STEP_MM: f64 = 0.25;
/// No canal is compared at more places than this.
const MOST_STEPS: f64 = 4000.0;

impl CanalError {
    /// `None` where one of the two is no path.
    pub(super) fn of(key: &Key, at: &[Point], placed: &[Point], aspect: f64) -> Option<Self> {
        let places = |points: &[Point], aspect: f64| -> Vec<Position<BesideTooth>> {
            points.iter().map(|point| key.frame.place(point.squared(aspect))).collect()
        };
        let (key_places, own_places) = (places(at, key.case.film.aspect()), places(placed, aspect));
        let own = Path::through(own_places.iter().copied())?;
        let (mut squares, mut across, mut largest, mut count) = (0.0, 0.0, 0.0_f64, 0.0);
        let mut compare = |place: Position<BesideTooth>| {
            let Some(foot) = own.nearest(place) else { return };
            let way = foot.place.way_from(place);
            squares += way.dot(way);
            across += way.y;
            largest = largest.max(way.length());
            count += 1.0;
        };
        key_places.first().copied().map(&mut compare)?;
        for pair in key_places.windows(2) {
            let [from, to] = pair else { continue };
            let way = to.way_from(*from);
            let steps = (way.length() / STEP_MM).ceil().clamp(1.0, MOST_STEPS);
            let mut step = 1.0;
            while step <= steps {
                compare(from.moved(way.times(step / steps)));
                step += 1.0;
            }
        }
        let length = |places: &[Position<BesideTooth>]| -> f64 {
            places.windows(2).filter_map(|pair| Some(pair.last()?.way_from(*pair.first()?).length())).sum()
        };
        let pixels = |points: &[Point]| points.iter().map(|point| [point.x, point.y]).collect();
        Some(Self {
            rms_mm: (squares / count).sqrt(),
            largest_mm: largest,
            across_mm: across / count,
            length_error_mm: length(&own_places) - length(&key_places),
            key_px: pixels(at),
            placed_px: pixels(placed),
        })
    }
}

/// How far a section lies from the key's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SectionError {
    /// Its level: the middle of its points seen from the key's, along the tooth, apical positive.
    pub level_mm: f64,
    /// Root mean square of the four errors across the tooth.
    pub rms_across_mm: f64,
    /// The four points: outer wall, canal or post, canal or post, outer wall; mesial first.
    pub points: [PointError; 4],
}

impl SectionError {
    pub(super) fn of(key: &Key, at: &Section, placed: &Section, aspect: f64, placing: Pixels) -> Self {
        let points = std::array::from_fn(|index| {
            // Both arrays have four points, and the index is one of four.
            #[allow(clippy::indexing_slicing)]
            PointError::of(key, &at.points[index], &placed.points[index], aspect, placing)
        });
        let middle = |section: &Section, aspect: f64| -> Option<Position<Square>> {
            Position::mean(section.points.iter().map(|point| point.squared(aspect)))
        };
        let level_mm = middle(placed, aspect)
            .zip(middle(at, key.case.film.aspect()))
            .map_or(0.0, |(own, at)| key.frame.way(own.way_from(at)).x);
        let squares: f64 = points.iter().map(|point: &PointError| point.across_mm.powi(2)).sum();
        Self { level_mm, rms_across_mm: (squares / 4.0).sqrt(), points }
    }
}

/// A component along the tooth in words: "0.31 mm apical".
pub fn along_words(along_mm: f64) -> &'static str {
    if along_mm < 0.0 { "coronal" } else { "apical" }
}

/// A component across the tooth in words.
pub fn across_words(across_mm: f64) -> &'static str {
    if across_mm < 0.0 { "mesial" } else { "distal" }
}
