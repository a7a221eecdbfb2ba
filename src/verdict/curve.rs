//! How a value lies about its bound: the normal density that the probability of a verdict is the area under.

use super::criteria::Bound;
use crate::measure::Value;

/// How many standard uncertainties a curve is drawn to each side.
const REACH_SD: f64 = 3.5;
/// Room beside a bound that lies further off, as a part of the whole.
const BESIDE_BOUND: f64 = 0.08;

/// A value's density against a bound. The area where it [meets](Curve::meets) the bound is the verdict's probability.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The value.
    pub value: f64,
    /// The standard uncertainty of the comparison: that of the value, and of a quotient that of numerator − bound ×
    /// denominator over the denominator, which the probability is taken from.
    pub sd: f64,
    /// Where the bound lies: one number, or both ends of a range.
    pub bounds: Vec<f64>,
    bound: Bound,
}

/// The curve of a value against a bound; `None` for classes, and for a value of which nothing is uncertain.
pub fn curve(value: &Value, bound: &Bound) -> Option<Curve> {
    let bounds = match bound {
        Bound::AtLeast(bound)
        | Bound::SitesAtLeast { value: bound, .. }
        | Bound::MoreThan(bound)
        | Bound::AtMost(bound)
        | Bound::LessThan(bound) => vec![*bound],
        Bound::Between(low, high) | Bound::Outside(low, high) => vec![*low, *high],
        Bound::Classes(_) => return None,
    };
    let mean = value.estimate.value;
    let nearest =
        bounds.iter().copied().min_by(|one, other| (one - mean).abs().total_cmp(&(other - mean).abs()))?;
    let sd = match &value.quotient {
        Some(quotient) => quotient.excess_over(nearest).sd / quotient.denominator,
        None => value.estimate.sd,
    };
    (sd.is_finite() && sd > 0.0).then(|| Curve { value: mean, sd, bounds, bound: bound.clone() })
}

impl Curve {
    /// From where to where it is drawn: all of the curve, and every bound.
    pub fn range(&self) -> [f64; 2] {
        let (low, high) = (self.value - REACH_SD * self.sd, self.value + REACH_SD * self.sd);
        let least = self.bounds.iter().copied().fold(low, f64::min);
        let most = self.bounds.iter().copied().fold(high, f64::max);
        let room = BESIDE_BOUND * (most - least);
        [if least < low { least - room } else { low }, if most > high { most + room } else { high }]
    }

    /// The density at a value, 1 at its highest.
    pub fn density(&self, at: f64) -> f64 {
        (-0.5 * ((at - self.value) / self.sd).powi(2)).exp()
    }

    /// Whether a value satisfies the bound.
    pub fn meets(&self, at: f64) -> bool {
        match self.bound {
            Bound::AtLeast(bound) | Bound::SitesAtLeast { value: bound, .. } => at >= bound,
            Bound::MoreThan(bound) => at > bound,
            Bound::AtMost(bound) => at <= bound,
            Bound::LessThan(bound) => at < bound,
            Bound::Between(low, high) => (low..=high).contains(&at),
            Bound::Outside(low, high) => at < low || at > high,
            Bound::Classes(_) => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::conformity::probability;
    use super::*;
    use crate::measure::{Source, Variances};
    use crate::quantity::{Estimate, Quotient};

    fn value(value: f64, sd: f64, quotient: Option<Quotient>) -> Value {
        let variances = Variances::only(Source::Placing, sd * sd);
        Value { estimate: Estimate { value, sd }, quotient, variances }
    }

    /// The part of the area under the curve where the bound is met, by the trapezium rule.
    fn area(curve: &Curve) -> f64 {
        let (low, step) = (curve.value - 8.0 * curve.sd, curve.sd / 500.0);
        let at = |index: u32| low + step * (f64::from(index) + 0.5);
        let sum = |counts: &dyn Fn(f64) -> bool| -> f64 {
            (0..8000).map(at).filter(|at| counts(*at)).map(|at| curve.density(at)).sum()
        };
        sum(&|at| curve.meets(at)) / sum(&|_| true)
    }

    #[test]
    fn the_area_where_the_bound_is_met_is_the_probability() {
        let length = value(2.3, 0.4, None);
        let quotient = Quotient {
            numerator: 9.0,
            denominator: 8.0,
            numerator_variance: 0.09,
            denominator_variance: 0.16,
            covariance: 0.06,
        };
        let ratio = value(9.0 / 8.0, 0.05, Some(quotient));
        for (value, bound) in [
            (&length, Bound::AtLeast(2.0)),
            (&length, Bound::MoreThan(2.6)),
            (&length, Bound::AtMost(2.1)),
            (&length, Bound::LessThan(3.0)),
            (&length, Bound::Between(2.0, 2.5)),
            (&length, Bound::Outside(2.0, 2.5)),
            (&length, Bound::SitesAtLeast { sites: 3, value: 1.5 }),
            (&ratio, Bound::AtLeast(1.0)),
            (&ratio, Bound::MoreThan(1.2)),
        ] {
            let curve = curve(value, &bound).expect("there is a curve");
            let probability = probability(value, &bound).expect("it is judged");
            assert!((area(&curve) - probability).abs() < 1e-3, "{bound:?}: {} {probability}", area(&curve));
        }
    }

    #[test]
    fn what_is_certain_and_what_falls_in_classes_has_no_curve() {
        assert_eq!(curve(&value(0.0, 0.0, None), &Bound::AtLeast(3.0)), None);
        assert_eq!(curve(&value(2.0, 0.3, None), &Bound::Classes(Vec::new())), None);
    }

    #[test]
    fn a_bound_far_off_is_within_the_range() {
        let curve = curve(&value(10.0, 0.1, None), &Bound::AtLeast(3.0)).expect("there is a curve");
        let [low, high] = curve.range();
        assert!(low < 3.0 && high > 10.3);
    }
}
