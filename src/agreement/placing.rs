//! How surely an observer places a landmark again: what can stand in a case in place of the default.

use super::gather::{Gathered, PlacedPoint};
use super::scatter::{Within, within};
use serde::Serialize;

/// Fewer degrees of freedom are too few for an sd that is to stand in place of another. An sd of ν degrees of freedom is
/// itself uncertain by about 1/√(2ν) of its value (JCGM 100:2008, E.4.3): by half after one repeat, whose two axes have
/// ν = 2; by a quarter at these 8, which five placings of one landmark have, or two of four landmarks.
pub const LEAST_DF: usize = 8;

/// The standard uncertainty of placing, from repeated sittings of one observer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placing {
    /// Whose; none for all who repeated, each against themselves.
    pub observer: Option<String>,
    /// Over all landmarks: for `uncertainty.placing_mm`.
    pub placing_mm: Within,
    /// By landmark: for a point's `sd_px`.
    pub landmarks: Vec<LandmarkPlacing>,
}

/// The standard uncertainty of placing one landmark, each axis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LandmarkPlacing {
    /// The landmark.
    pub landmark: &'static str,
    /// In mm beside the tooth.
    pub placing_mm: Within,
    /// In widths of a pixel on these films: for a point's `sd_px` on films of the same pitch.
    pub sd_px: Within,
}

/// The placing of every observer who repeated, and of all of them together where they are several.
pub(super) fn placing(gathered: &Gathered) -> Vec<Placing> {
    let each = gathered
        .observers
        .iter()
        .enumerate()
        .filter_map(|(index, observer)| of(gathered, Some(index), Some(observer.name.clone())));
    let mut all: Vec<Placing> = each.collect();
    if all.len() > 1 {
        all.extend(of(gathered, None, None));
    }
    all
}

fn of(gathered: &Gathered, observer: Option<usize>, name: Option<String>) -> Option<Placing> {
    let mut landmarks = Vec::new();
    let mut every = Vec::new();
    for (landmark, points) in &gathered.points {
        let mut millimetres = Components::default();
        let mut pixels = Components::default();
        for group in
            points.chunk_by(|one, other| (one.subject, one.observer) == (other.subject, other.observer))
        {
            let wanted = |point: &PlacedPoint| observer.is_none_or(|one| point.observer == one);
            if group.len() < 2 || !group.iter().all(wanted) {
                continue;
            }
            millimetres.add(group, |point| [point.beside.x, point.beside.y]);
            pixels.add(group, |point| [point.stored.x, point.stored.y]);
        }
        if let (Some(placing_mm), Some(sd_px)) = (millimetres.within(), pixels.within()) {
            landmarks.push(LandmarkPlacing { landmark: landmark.key(), placing_mm, sd_px });
        }
        every.extend(millimetres.groups);
    }
    let placing_mm = Components { groups: every }.within()?;
    Some(Placing { observer: name, placing_mm, landmarks })
}

/// Both coordinates of repeated points, each group of repeats about a mean of its own.
#[derive(Default)]
struct Components {
    groups: Vec<Vec<f64>>,
}

impl Components {
    fn add(&mut self, group: &[PlacedPoint], of: impl Fn(&PlacedPoint) -> [f64; 2]) {
        for axis in 0..2 {
            self.groups.push(group.iter().filter_map(|point| of(point).get(axis).copied()).collect());
        }
    }

    /// The standard deviation of one axis, the two counted alike.
    fn within(&self) -> Option<Within> {
        let mut within = within(self.groups.iter().map(Vec::as_slice)).ok()?;
        within.n /= 2;
        Some(within)
    }
}
