//! Sittings turned round: for every quantity, all its readings in order.

use super::compare::Observer;
use super::quantity::{Component, Quantity};
use super::sitting::{Seen, Sitting};
use crate::case::{LandmarkId, RootName};
use crate::geometry::{BesideTooth, Position, Square};
use crate::measure::ToothFrame;
use std::collections::{BTreeMap, BTreeSet};

/// What was read: a tooth on a film, or one of its roots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Subject {
    tooth: usize,
    root: Option<RootName>,
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reading {
    pub(super) subject: Subject,
    pub(super) observer: usize,
    /// Which sitting of this observer on this tooth, from 0.
    pub(super) sitting: usize,
    pub(super) value: f64,
}

/// One placed point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PlacedPoint {
    pub(super) subject: Subject,
    pub(super) observer: usize,
    pub(super) stored: Position<Square>,
    pub(super) beside: Position<BesideTooth>,
}

/// All readings by what was read; each list is ordered by subject, observer and sitting.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) observers: Vec<Observer>,
    /// For each observer, how often each tooth was read.
    pub(super) sittings: Vec<Vec<usize>>,
    pub(super) readings: BTreeMap<Quantity, Vec<Reading>>,
    /// 1 where a landmark was placed, 0 where it was said to be hidden or absent.
    pub(super) seen: BTreeMap<LandmarkId, Vec<Reading>>,
    pub(super) points: BTreeMap<LandmarkId, Vec<PlacedPoint>>,
    pub(super) teeth_without_axis: usize,
    /// Sittings of one tooth that hold the very same points.
    pub(super) identical: Vec<[String; 2]>,
}

/// Gathers sittings that are sorted by target, observer and order.
pub(super) fn gather(sittings: &[Sitting]) -> Gathered {
    let names: BTreeSet<&str> = sittings.iter().map(|sitting| sitting.observer.as_str()).collect();
    let index: BTreeMap<&str, usize> = names.iter().enumerate().map(|(index, name)| (*name, index)).collect();
    let mut gathered = Gathered {
        observers: names
            .iter()
            .map(|name| Observer { name: (*name).to_owned(), cases: 0, teeth: 0, teeth_repeated: 0 })
            .collect(),
        sittings: vec![Vec::new(); names.len()],
        ..Gathered::default()
    };
    for (tooth, of_tooth) in sittings.chunk_by(|one, other| one.target == other.target).enumerate() {
        let frames: Vec<ToothFrame> = of_tooth.iter().filter_map(|sitting| sitting.frame).collect();
        let frame = ToothFrame::mean(&frames);
        gathered.teeth_without_axis += usize::from(frame.is_none());
        gathered.identical.extend(identical(of_tooth));
        for by_observer in of_tooth.chunk_by(|one, other| one.observer == other.observer) {
            let Some(observer) = by_observer.first().and_then(|it| index.get(it.observer.as_str())) else {
                continue;
            };
            if let Some(row) = gathered.observers.get_mut(*observer) {
                row.cases += by_observer.len();
                row.teeth += 1;
                row.teeth_repeated += usize::from(by_observer.len() > 1);
            }
            if let Some(counts) = gathered.sittings.get_mut(*observer) {
                counts.push(by_observer.len());
            }
            for (sitting, it) in by_observer.iter().enumerate() {
                gathered.take(it, At { tooth, observer: *observer, sitting }, frame.as_ref());
            }
        }
    }
    gathered.order();
    gathered
}

/// Sittings of one tooth whose every point lies exactly where another has it.
fn identical(of_tooth: &[Sitting]) -> Vec<[String; 2]> {
    let mut first: BTreeMap<Vec<[u64; 2]>, String> = BTreeMap::new();
    let mut found = Vec::new();
    let by_observer = of_tooth.chunk_by(|one, other| one.observer == other.observer);
    for (number, sitting) in by_observer.flat_map(|sittings| (1..).zip(sittings)) {
        let points: Vec<[u64; 2]> = sitting
            .places
            .values()
            .filter_map(|seen| match seen {
                Seen::Placed(at) => Some([at.x.to_bits(), at.y.to_bits()]),
                Seen::Unseen => None,
            })
            .collect();
        if points.is_empty() {
            continue;
        }
        let called = sitting.called(number);
        match first.get(&points) {
            Some(known) => found.push([known.clone(), called]),
            None => drop(first.insert(points, called)),
        }
    }
    found
}

/// Where in the order a sitting stands.
#[derive(Clone, Copy)]
struct At {
    tooth: usize,
    observer: usize,
    sitting: usize,
}

impl Gathered {
    fn take(&mut self, it: &Sitting, At { tooth, observer, sitting }: At, frame: Option<&ToothFrame>) {
        let reading = |root, value| Reading { subject: Subject { tooth, root }, observer, sitting, value };
        for ((landmark, root), seen) in &it.places {
            let placed = match seen {
                Seen::Placed(_) => 1.0,
                Seen::Unseen => 0.0,
            };
            self.seen.entry(*landmark).or_default().push(reading(*root, placed));
            let (Seen::Placed(stored), Some(frame)) = (seen, frame) else { continue };
            let beside = frame.place(*stored);
            let point =
                PlacedPoint { subject: Subject { tooth, root: *root }, observer, stored: *stored, beside };
            self.points.entry(*landmark).or_default().push(point);
            for (component, value) in [(Component::Along, beside.x), (Component::Across, beside.y)] {
                let quantity = Quantity::Place(*landmark, component);
                self.readings.entry(quantity).or_default().push(reading(*root, value));
            }
        }
        for ((quantity, root), value) in &it.values {
            let reading = reading(*root, *value);
            match self.readings.get_mut(quantity) {
                Some(readings) => readings.push(reading),
                None => {
                    self.readings.insert(quantity.clone(), vec![reading]);
                }
            }
        }
    }

    /// Puts roots of one tooth together, and counts coordinates from the middle of a tooth's own readings: where the
    /// film begins is of no account.
    fn order(&mut self) {
        for readings in self.readings.values_mut().chain(self.seen.values_mut()) {
            readings.sort_by_key(|it| (it.subject, it.observer, it.sitting));
        }
        for points in self.points.values_mut() {
            points.sort_by_key(|it| (it.subject, it.observer));
        }
        for (quantity, readings) in &mut self.readings {
            if quantity.component().is_some() {
                for of_one in readings.chunk_by_mut(|one, other| one.subject == other.subject) {
                    let middle = super::scatter::mean(of_one.iter().map(|it| it.value));
                    for reading in of_one {
                        reading.value -= middle;
                    }
                }
            }
        }
    }
}
