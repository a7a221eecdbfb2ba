//! Verdicts: criteria with their sources, the probability that a tooth satisfies them, and what follows.

mod assess;
mod conformity;
mod criteria;
mod curve;
mod judge;

pub use assess::{PROGRAM, assess, rows};
pub use conformity::{Decision, MEETS, all as decide_all, at_least as decide_at_least, at_once};
pub use criteria::{Bound, Class, ClassEnd, Criteria, CriteriaError, Criterion};
pub use curve::{Curve, curve};
