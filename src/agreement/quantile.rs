//! Quantiles of the distributions that intervals of repeat statistics rest on.

use crate::quantity::COVERAGE_FACTOR;
use statrs::distribution::{ChiSquared, ContinuousCDF as _, FisherSnedecor, StudentsT};

/// What lies above a 95 % interval, and as much below it.
const TAIL: f64 = 0.025;

/// The quantile below which 97.5 % of a standard normal variable lie.
pub(super) const Z: f64 = COVERAGE_FACTOR;

/// The 97.5 % quantile of Student's t.
pub(super) fn t(df: f64) -> Option<f64> {
    finite(StudentsT::new(0.0, 1.0, df).ok()?.inverse_cdf(1.0 - TAIL))
}

/// The 2.5 % and 97.5 % quantiles of χ².
pub(super) fn chi_squared(df: f64) -> Option<[f64; 2]> {
    let distribution = ChiSquared::new(df).ok()?;
    Some([finite(distribution.inverse_cdf(TAIL))?, finite(distribution.inverse_cdf(1.0 - TAIL))?])
}

/// The 97.5 % quantile of F.
pub(super) fn f(numerator_df: f64, denominator_df: f64) -> Option<f64> {
    finite(FisherSnedecor::new(numerator_df, denominator_df).ok()?.inverse_cdf(1.0 - TAIL))
}

fn finite(quantile: f64) -> Option<f64> {
    quantile.is_finite().then_some(quantile)
}
