//! Quantities to first order: a value with its derivative by every input of the case, so that what is computed from
//! several of them keeps what they share.

use crate::quantity::{Estimate, Quotient};

/// A quantity to first order.
///
/// It adds, multiplies and divides as numbers do, and each result still knows every input it depends on. Finished
/// estimates have lost that.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstOrder {
    value: f64,
    /// The derivative by each input times that input's standard uncertainty; none at the end counts as 0.
    parts: Vec<f64>,
    /// Variance of what nothing else depends on.
    own: f64,
}

impl FirstOrder {
    /// A quantity of which nothing is uncertain.
    pub const fn exact(value: f64) -> Self {
        Self { value, parts: Vec::new(), own: 0.0 }
    }

    /// A quantity that shares its uncertainty with nothing else.
    pub fn alone(value: f64, sd: f64) -> Self {
        Self { value, parts: Vec::new(), own: sd * sd }
    }

    pub(super) const fn of(value: f64, parts: Vec<f64>) -> Self {
        Self { value, parts, own: 0.0 }
    }

    /// The value.
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// The variance.
    pub fn variance(&self) -> f64 {
        self.shared_variance(self) + self.own
    }

    /// Value and standard uncertainty.
    pub fn estimate(&self) -> Estimate {
        Estimate { value: self.value, sd: self.variance().sqrt() }
    }

    /// The covariance that comes of shared inputs.
    pub fn shared_variance(&self, other: &Self) -> f64 {
        self.parts.iter().zip(&other.parts).map(|(one, other)| one * other).sum()
    }

    /// The part of each input: derivative times standard uncertainty.
    pub(super) fn parts(&self) -> &[f64] {
        &self.parts
    }

    /// Variance of what nothing else depends on.
    pub const fn own_variance(&self) -> f64 {
        self.own
    }

    /// The same quantity with a further uncertainty that nothing else shares.
    pub fn blurred(mut self, sd: f64) -> Self {
        self.own += sd * sd;
        self
    }

    /// `factor` times this and `other_factor` times another, with the value given.
    fn combined(&self, factor: f64, other: &Self, other_factor: f64, value: f64) -> Self {
        let longest = self.parts.len().max(other.parts.len());
        let part = |of: &Self, at: usize| of.parts.get(at).copied().unwrap_or_default();
        let parts = (0..longest).map(|at| factor * part(self, at) + other_factor * part(other, at)).collect();
        let own = factor * factor * self.own + other_factor * other_factor * other.own;
        Self { value, parts, own }
    }

    /// The sum.
    pub fn plus(&self, other: &Self) -> Self {
        self.combined(1.0, other, 1.0, self.value + other.value)
    }

    /// The difference.
    pub fn minus(&self, other: &Self) -> Self {
        self.combined(1.0, other, -1.0, self.value - other.value)
    }

    /// This many times the quantity.
    pub fn times(&self, factor: f64) -> Self {
        Self {
            value: factor * self.value,
            parts: self.parts.iter().map(|part| factor * part).collect(),
            own: factor * factor * self.own,
        }
    }

    /// The quantity and a number.
    pub fn shifted(mut self, by: f64) -> Self {
        self.value += by;
        self
    }

    /// The product.
    pub fn by(&self, other: &Self) -> Self {
        self.combined(other.value, other, self.value, self.value * other.value)
    }

    /// The quantity a part of the way to another; what is each one's own is taken as the same thing.
    pub fn toward(&self, other: &Self, part: f64) -> Self {
        let value = self.value + part * (other.value - self.value);
        let mut between = self.combined(1.0 - part, other, part, value);
        between.own = ((1.0 - part) * self.own.sqrt() + part * other.own.sqrt()).powi(2);
        between
    }

    /// The quotient; `None` over a denominator of 0.
    pub fn over(&self, other: &Self) -> Option<Self> {
        let value = self.value / other.value;
        value.is_finite().then(|| self.combined(1.0 / other.value, other, -value / other.value, value))
    }

    /// This quantity over another as a quotient that keeps both, so that a bound is asked of numerator − bound ×
    /// denominator.
    pub fn quotient(&self, denominator: &Self) -> Quotient {
        Quotient {
            numerator: self.value,
            denominator: denominator.value,
            numerator_variance: self.variance(),
            denominator_variance: denominator.variance(),
            covariance: self.shared_variance(denominator),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(value: f64, parts: &[f64]) -> FirstOrder {
        FirstOrder::of(value, parts.to_vec())
    }

    /// JCGM 100:2008, 5.2.2: with a shared input of sd 0.3 and own inputs of sd 0.4, a difference has
    /// √(0.4² + 0.4²), a sum √(0.6² + 0.4² + 0.4²).
    #[test]
    fn what_is_shared_cancels_in_a_difference_and_adds_up_in_a_sum() {
        let (one, other) = (length(5.0, &[0.3, 0.4]), length(3.0, &[0.3, 0.0, 0.4]));
        assert!((one.minus(&other).estimate().sd - 0.32_f64.sqrt()).abs() < 1e-12);
        assert!((one.plus(&other).estimate().sd - 0.68_f64.sqrt()).abs() < 1e-12);
    }

    /// JCGM 100:2008, 5.1.6: relative variances of independent factors add up, in a product as in a quotient.
    #[test]
    fn relative_variances_of_independent_factors_add_up() {
        let (one, other) = (length(10.0, &[0.1]), FirstOrder::alone(4.0, 0.08));
        for made in [one.by(&other), one.over(&other).expect("not over 0")] {
            let relative = made.estimate().sd / made.value();
            assert!((relative - (1e-4_f64 + 4e-4).sqrt()).abs() < 1e-12, "{relative}");
        }
        assert_eq!(one.over(&FirstOrder::exact(0.0)), None);
    }
}
