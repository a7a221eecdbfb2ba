//! The key a case is scored against: what is known of a tooth, as a truth or as the consensus of experts.

use crate::calibration::{Library, Placed, Scale};
use crate::case::{CONSENSUS_KEY, Case, Landmarks, Mark, Point, Reason};
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
    /// No point is a truth, and none has an sd of its own.
    #[error(
        "is no key: none of its points is a truth (\"placed\": \"truth\") or part of a consensus (\"{CONSENSUS_KEY}\" in the case, \"sd_px\" in the point); score against the truth of a synthetic film, or make a consensus by `crestgauge agreement EXPERT… --consensus KEY`"
    )]
    NoTruth,
    /// Points have an sd of their own, and nothing says that they are a consensus.
    #[error(
        "is no key: its points carry an sd of their own (\"sd_px\"), and so do those of anybody who takes their own repeats into a case; nothing says that experts agreed on them. Make a consensus by `crestgauge agreement EXPERT… --consensus KEY`, or where it is one, say who agreed: \"{CONSENSUS_KEY}\": \"anna and ben\" (at the top level of the key)"
    )]
    NoConsensus,
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
    /// A present point that carries `"placed": "truth"` is exact. One with its own `sd_px` is uncertain by it, where the
    /// case says that it is a consensus; one's own repeats give points an sd, too, and make nobody an expert. Any other
    /// point is no part of the key, and is not scored. A landmark marked hidden or absent is part of it.
    ///
    /// # Errors
    /// No point is a truth or a consensus, or the key has no scale or no tooth axis, or names an unknown object.
    pub fn of(case: &Case, library: &Library) -> Result<Self, KeyRefused> {
        let mut case = case.clone();
        let Known { truths, consensus, unsaid } = reduce(&mut case);
        if truths + consensus == 0 {
            return Err(if unsaid > 0 { KeyRefused::NoConsensus } else { KeyRefused::NoTruth });
        }
        let measured = measure(&case, library, Draws::default())?;
        let scale = measured.scale.clone().map_err(KeyRefused::NoScale)?;
        let frame = ToothFrame::of(&case, &scale)?;
        Ok(Self { case, measured, scale, frame, is_consensus: consensus > 0 })
    }

    /// Whether any of its points is known by a consensus.
    pub fn is_consensus(&self) -> bool {
        self.is_consensus
    }

    /// The case, reduced to what is scored.
    pub fn case(&self) -> &Case {
        &self.case
    }
}

/// How many points of a key are known exactly, how many by a consensus, and how many have an sd and no consensus to
/// stand for it.
#[derive(Debug, Default)]
struct Known {
    truths: usize,
    consensus: usize,
    unsaid: usize,
}

impl Known {
    /// Whether a point is part of the key; a truth is made exact.
    fn take(&mut self, point: &mut Point, is_consensus: bool) -> bool {
        if point.is_planned() {
            return false;
        }
        if point.placed == Some(Placed::Truth) {
            point.sd_px = Some(0.0);
            self.truths += 1;
            return true;
        }
        let has_sd = point.sd_px.is_some();
        *(if is_consensus { &mut self.consensus } else { &mut self.unsaid }) += usize::from(has_sd);
        has_sd && is_consensus
    }

    /// Whether all of several are; a part of a canal or section is nothing to score.
    fn take_all(&mut self, points: &mut [Point], is_consensus: bool) -> bool {
        let mut of_these = Self::default();
        let mut all = true;
        for point in points {
            all &= of_these.take(point, is_consensus);
        }
        self.unsaid += of_these.unsaid;
        if all {
            self.truths += of_these.truths;
            self.consensus += of_these.consensus;
        }
        all
    }
}

/// Keeps what is known.
fn reduce(case: &mut Case) -> Known {
    let is_consensus = case.consensus().is_some();
    let mut known = Known::default();
    let mut marks = |landmarks: &mut Landmarks| {
        landmarks.marks.retain(|_, mark| match mark {
            Mark::Placed(point) => known.take(point, is_consensus),
            Mark::Hidden { .. } | Mark::Absent { .. } => true,
        });
    };
    marks(&mut case.landmarks);
    for root in &mut case.roots {
        marks(&mut root.landmarks);
    }
    for root in &mut case.roots {
        if !known.take_all(&mut root.canal, is_consensus) {
            root.canal.clear();
        }
        root.sections.retain_mut(|section| known.take_all(&mut section.points, is_consensus));
    }
    known
}
