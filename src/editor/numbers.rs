//! The numbers of the open case: what everything is computed with, and what came of it.

use crate::calibration::{Library, LibraryError};
use crate::case::{Case, Derived};
use crate::caution::Caution;
use crate::measure::{Draws, Measured, UnknownObject, measure_drawing_doubtful};
use crate::verdict::{Criteria, CriteriaError, rows};

/// What cases are measured and judged with.
#[derive(Debug, Clone)]
pub struct Engine {
    /// Reference objects.
    pub library: Library,
    /// What verdicts rest on.
    pub criteria: Criteria,
}

/// Why there is no engine.
#[derive(Debug, thiserror::Error)]
#[error(transparent)]
pub enum EngineError {
    /// The library of reference objects is at fault.
    Library(#[from] LibraryError),
    /// The criteria are.
    Criteria(#[from] CriteriaError),
}

impl Engine {
    /// The embedded library and criteria.
    ///
    /// # Errors
    /// Neither can fail in a program whose tests passed.
    pub fn embedded() -> Result<Self, EngineError> {
        Ok(Self { library: Library::embedded()?, criteria: Criteria::default_set()? })
    }

    /// Everything computed from a case. `noticed` are cautions from reading it and its film.
    ///
    /// # Errors
    /// A reference names an object that the library lacks.
    pub fn numbers(&self, case: &Case, noticed: &[Caution]) -> Result<Numbers, UnknownObject> {
        self.drawn_numbers(case, Draws::default(), noticed)
    }

    /// The same with Monte Carlo draws for the rows whose first-order interval is doubtful, the only ones whose draws are
    /// shown. What the others would draw takes many times the memory.
    ///
    /// # Errors
    /// As [`numbers`](Self::numbers).
    pub fn drawn_numbers(
        &self,
        case: &Case,
        draws: Draws,
        noticed: &[Caution],
    ) -> Result<Numbers, UnknownObject> {
        let (measured, has_drawn) = measure_drawing_doubtful(case, &self.library, draws)?;
        let draws = if has_drawn { draws } else { Draws::default() };
        let derived = rows(case, &measured, &self.criteria, draws, noticed);
        Ok(Numbers { measured, derived })
    }
}

/// Everything computed from a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbers {
    /// Measurements with their constructions, for drawing them; and the scale.
    pub measured: Measured,
    /// The rows as a file holds them: measurements, verdicts and cautions.
    pub derived: Derived,
}
