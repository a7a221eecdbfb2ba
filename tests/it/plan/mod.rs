//! Plans: against arithmetic from outside, against measuring itself, and what must hold of any.

mod bad_input;
mod chair;
pub(crate) mod make;
mod outside;
mod printed;
mod properties;
mod recovered;
mod same_as_measuring;

use crate::support::library;
use crestgauge::case::Case;
use crestgauge::plan::{Plan, Wish, plan};
use crestgauge::verdict::Criteria;

/// The default criteria, changed as text.
pub(crate) fn criteria(changes: &[(&str, &str)]) -> Criteria {
    let mut text = include_str!("../../../src/verdict/default.toml").to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from:?} is not in the criteria");
        text = text.replacen(from, to, 1);
    }
    Criteria::parse("changed", &text).expect("criteria")
}

pub(crate) fn planned_by(case: &Case, criteria: &Criteria, drill: Option<&str>) -> Plan {
    let wish = Wish { drill: drill.map(str::to_owned), ..Wish::default() };
    plan(case, &library(), criteria, &wish, &[]).expect("a plan")
}

pub(crate) fn planned(case: &Case) -> Plan {
    planned_by(case, &Criteria::default_set().unwrap(), None)
}

/// Near enough for an end found by halving in a tooth with next to no uncertainty: a scale is never surer than 1e-6.
pub(crate) fn close(one: f64, other: f64) -> bool {
    (one - other).abs() < 2e-4
}

/// Both ends of the window, along the canal from the core base.
pub(crate) fn ends(plan: &Plan) -> Option<[f64; 2]> {
    plan.window.as_ref().map(|window| [window.from_mm, window.to_mm])
}
