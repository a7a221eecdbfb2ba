//! Estimates: a value with its standard uncertainty, and a quotient that keeps its two parts.

use super::normal_cdf;

/// How many standard uncertainties a 95 % interval reaches to each side of the value, for a normal variable.
pub const COVERAGE_FACTOR: f64 = 1.959_964;

/// A value and its standard uncertainty (JCGM 100:2008, 2.3.1), both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The best value.
    pub value: f64,
    /// The standard uncertainty; never negative.
    pub sd: f64,
}

impl Estimate {
    /// The 95 % interval, value ± 1.959964 sd.
    pub fn interval(self) -> [f64; 2] {
        let half = COVERAGE_FACTOR * self.sd;
        [self.value - half, self.value + half]
    }

    /// The probability that the true value is at most `bound`, normal with no prior (JCGM 106:2012, 7).
    /// At sd 0 it is 1 or 0, and equality counts as at most.
    pub fn probability_at_most(self, bound: f64) -> f64 {
        if self.sd > 0.0 {
            normal_cdf((bound - self.value) / self.sd)
        } else {
            f64::from(self.value <= bound)
        }
    }

    /// The probability that the true value is below `bound`; differs from [`Self::probability_at_most`] only
    /// at sd 0, where equality does not count.
    pub fn probability_below(self, bound: f64) -> f64 {
        if self.sd > 0.0 { self.probability_at_most(bound) } else { f64::from(self.value < bound) }
    }
}

/// A quotient that remembers both its parts and how they vary together.
///
/// A quotient of normal variables is skewed, so a question about it is asked of `numerator − bound ×
/// denominator` instead, which is normal to first order. The bounds at which that probability is 2.5 % and
/// 97.5 % are Fieller's limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quotient {
    /// What stands above the fraction bar.
    pub numerator: f64,
    /// All that stands under the fraction bar.
    pub denominator: f64,
    /// Variance of the numerator.
    pub numerator_variance: f64,
    /// Variance of the denominator.
    pub denominator_variance: f64,
    /// Covariance of the two.
    pub covariance: f64,
}

impl Quotient {
    /// The estimate of numerator − `bound` × denominator: above 0 exactly where the quotient is above `bound`
    /// (for a positive denominator).
    pub fn excess_over(&self, bound: f64) -> Estimate {
        let variance = self.numerator_variance - 2.0 * bound * self.covariance
            + bound * bound * self.denominator_variance;
        Estimate { value: self.numerator - bound * self.denominator, sd: variance.max(0.0).sqrt() }
    }

    /// The relative standard uncertainty of the denominator; beyond 0.1 a first-order interval is doubtful.
    pub fn denominator_relative_sd(&self) -> f64 {
        self.denominator_variance.max(0.0).sqrt() / self.denominator.abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn certainty_counts_equality_as_the_definition_says() {
        let exact = Estimate { value: 3.0, sd: 0.0 };
        assert_eq!(exact.probability_at_most(3.0), 1.0);
        assert_eq!(exact.probability_below(3.0), 0.0);
        assert_eq!(exact.interval(), [3.0, 3.0]);
    }
}
