//! Everything a report of a case says, computed once: work that another thread can do.

use super::numbers::{Engine, Numbers};
use super::open_case::OpenCase;
use crate::case::{Case, Derived};
use crate::caution::{Caution, CautionKind};
use crate::measure::{Draws, Measured};
use crate::plan::{NoPlan, Plan, Wish, plan};
use std::sync::Arc;

/// What intervals are drawn with where the first-order one is doubtful.
pub const DRAWS: Draws = Draws { count: 20_000, seed: 1 };

/// A case with everything a report says of it, its film apart.
#[derive(Debug, Clone)]
pub struct ForReport {
    /// The case.
    pub case: Case,
    /// What it was measured and judged with.
    pub engine: Arc<Engine>,
    /// Its measurements with their constructions, for drawing them.
    pub measured: Measured,
    /// Its rows.
    pub derived: Derived,
    /// Its plan.
    pub plan: Plan,
}

impl ForReport {
    /// Everything a report says of a case. `noticed` are cautions from reading it and its film; what names a file of
    /// theirs is left out, for a file's name can carry a patient's.
    ///
    /// # Errors
    /// A reference names an object that the library lacks.
    pub fn of(case: Case, engine: Arc<Engine>, noticed: &[Caution]) -> Result<Self, NoPlan> {
        let noticed: Vec<Caution> = noticed.iter().cloned().map(without_a_name).collect();
        let Numbers { measured, derived } = engine.drawn_numbers(&case, DRAWS, &noticed)?;
        let plan = plan(&case, &engine.library, &engine.criteria, &Wish::default(), &noticed)?;
        Ok(Self { case, engine, measured, derived, plan })
    }
}

impl OpenCase {
    /// Everything a report says of the case as it stands.
    ///
    /// # Errors
    /// As for [`ForReport::of`].
    pub fn for_report(&self) -> impl FnOnce() -> Result<ForReport, NoPlan> + Send + use<> {
        let (case, engine, noticed) = (self.case.clone(), self.shared_engine(), self.noticed());
        move || ForReport::of(case, engine, &noticed)
    }
}

/// A caution without the name of a file.
fn without_a_name(caution: Caution) -> Caution {
    if caution.kind == CautionKind::FilmMissing {
        return Caution {
            detail: Some("it is not where the case says, or cannot be read".to_owned()),
            ..caution
        };
    }
    caution
}
