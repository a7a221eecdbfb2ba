//! What a report is about, and how it is wanted.

use super::drawing::Shades;
use crate::case::{Case, Derived, SAMPLE_BANNER, sample};
use crate::measure::Measured;
use crate::plan::Plan;
use crate::quantity::Day;
use crate::verdict::Criteria;
use std::sync::Arc;

/// A case with everything computed from it.
#[derive(Debug, Clone)]
pub struct Subject<'a> {
    /// The case.
    pub case: &'a Case,
    /// Its measurements with their constructions, for drawing them.
    pub measured: &'a Measured,
    /// Its rows.
    pub derived: &'a Derived,
    /// What the verdicts rest on.
    pub criteria: &'a Criteria,
    /// Its plan.
    pub plan: &'a Plan,
    /// Its film as it is looked at; none where it is not at hand.
    pub film: Option<Arc<Shades>>,
}

impl Subject<'_> {
    /// What stands over every page of the built-in sample.
    pub(super) fn banner(&self) -> Option<&'static str> {
        let stated = self.case.film.sha256.as_ref()?;
        let sample = sample().ok()?.case.film.sha256?;
        (*stated == sample).then_some(SAMPLE_BANNER)
    }
}

crate::wording::words! {
    /// Whom pages are for.
    Audience {
        /// Whoever keeps the record.
        Record: "record",
        /// The patient.
        Patient: "patient",
        /// Whoever fills the root and prepares it.
        Endodontist: "endodontist",
    }
}

crate::wording::words! {
    /// A size of paper.
    Paper {
        /// 210 by 297 mm (ISO 216).
        A4: "a4",
        /// 8.5 by 11 inches.
        Letter: "letter",
    }
}

/// How pages are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Setting {
    /// Whom they are for.
    pub audience: Audience,
    /// What they are printed on.
    pub paper: Paper,
    /// The day they are made.
    pub date: Day,
}

/// Why a report cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PictureFailed {
    /// It has no pixels, or more than can be drawn.
    #[error("the picture would be too large to be drawn")]
    TooLarge,
    /// Nothing is placed, and there is no film.
    #[error("there is nothing to draw: no film is at hand and no landmark is placed")]
    NothingToDraw,
    /// The writer would not have it.
    #[error("the report could not be written: {0}")]
    Encoder(String),
}
