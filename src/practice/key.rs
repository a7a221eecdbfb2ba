//! The key a case is scored against: what is known of a tooth, as a truth or as the consensus of experts.

use crate::calibration::{Library, Placed, Scale};
use crate::case::{Case, Landmarks, Mark, Point, Reason};
use crate::measure::{Draws, Measured, NoToothFrame, ToothFrame, UnknownObject, measure};

/// A key: a case reduced to what can be scored.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    pub(super) case: Case,
    pub(super) measured: Measured,
    pub(super) scale: Scale,
    pub(super) frame: ToothFrame,
    is_consensus: bool,
}

/// Why a case is no key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeyRefused {
    /// No point is a truth, and none a consensus.
    #[error(
        "is no key: none of its points is a truth (\"placed\": \"truth\") or a consensus with its own sd (\"sd_px\"); score against the truth of a synthetic film or a consensus of experts"
    )]
    NoTruth,
    /// It has no scale.
    #[error("gives no errors in mm: {}; add a reference to \"calibration\" in the key", .0.words())]
    NoScale(Reason),
    /// It has no along and across.
    #[error("gives no errors along and across the tooth: {0} (in the key)")]
    NoFrame(#[from] NoToothFrame),
    /// A reference names an unknown object.
    #[error(transparent)]
    UnknownObject(#[from] UnknownObject),
}

impl Key {
    /// The key in a case.
    ///
    /// A present point that carries `"placed": "truth"` is exact; one with its own `sd_px` is a consensus, uncertain by
    /// it. Any other point is no part of the key, and is not scored. A landmark marked hidden or absent is part of it.
    ///
    /// # Errors
    /// No point is a truth or a consensus, or the key has no scale or no tooth axis, or names an unknown object.
    pub fn of(case: &Case, library: &Library) -> Result<Self, KeyRefused> {
        let mut case = case.clone();
        let Known { truths, consensus } = reduce(&mut case);
        if truths + consensus == 0 {
            return Err(KeyRefused::NoTruth);
        }
        let measured = measure(&case, library, Draws::default())?;
        let scale = measured.scale.clone().map_err(KeyRefused::NoScale)?;
        let frame = ToothFrame::of(&case, &scale)?;
        Ok(Self { case, measured, scale, frame, is_consensus: consensus > 0 })
    }

    /// Whether any of its points is uncertain.
    pub fn is_consensus(&self) -> bool {
        self.is_consensus
    }

    /// The case, reduced to what is scored.
    pub fn case(&self) -> &Case {
        &self.case
    }
}

fn is_known(point: &Point) -> bool {
    !point.is_planned() && (point.placed == Some(Placed::Truth) || point.sd_px.is_some())
}

/// How many points of a key are known exactly, and how many by a consensus.
#[derive(Default)]
struct Known {
    truths: usize,
    consensus: usize,
}

/// Keeps what is known, and makes truths exact.
fn reduce(case: &mut Case) -> Known {
    let mut known = Known::default();
    let mut keep = |point: &mut Point| {
        let sd = *point.sd_px.get_or_insert(0.0);
        *(if sd > 0.0 { &mut known.consensus } else { &mut known.truths }) += 1;
    };
    let mut marks = |landmarks: &mut Landmarks| {
        landmarks.marks.retain(|_, mark| mark.point().is_none_or(is_known));
        for mark in landmarks.marks.values_mut() {
            if let Mark::Placed(point) = mark {
                keep(point);
            }
        }
    };
    marks(&mut case.landmarks);
    for root in &mut case.roots {
        marks(&mut root.landmarks);
    }
    for root in &mut case.roots {
        if !root.canal.iter().all(is_known) {
            root.canal.clear();
        }
        root.canal.iter_mut().for_each(&mut keep);
        root.sections.retain(|section| section.points.iter().all(is_known));
        root.sections.iter_mut().flat_map(|section| &mut section.points).for_each(&mut keep);
    }
    known
}
