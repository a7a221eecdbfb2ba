//! The probability that a measurement satisfies a bound, and the decision it leads to (JCGM 106:2012: a specific
//! probability of conformity, normal with no prior).

use super::criteria::{Bound, Class, ClassEnd};
use crate::case::Verdict;
use crate::measure::Value;

/// A bound counts as satisfied from this probability on.
pub const MEETS: f64 = 0.95;
/// And as not satisfied up to this one.
const FALLS_SHORT: f64 = 0.05;

/// The probability that the true value is at most `bound`, or below it where `strictly`.
///
/// Of a quotient the question is asked of numerator − bound × denominator against 0, because the quotient itself is
/// skewed.
fn probability_up_to(value: &Value, bound: f64, strictly: bool) -> f64 {
    let (estimate, bound) = match &value.quotient {
        Some(quotient) => (quotient.excess_over(bound), 0.0),
        None => (value.estimate, bound),
    };
    if strictly { estimate.probability_below(bound) } else { estimate.probability_at_most(bound) }
}

/// The probability that a value satisfies a bound; `None` for classes, which are not satisfied.
pub(super) fn probability(value: &Value, bound: &Bound) -> Option<f64> {
    let at_most = |bound| probability_up_to(value, bound, false);
    let below = |bound| probability_up_to(value, bound, true);
    let between = |low, high| (at_most(high) - below(low)).clamp(0.0, 1.0);
    Some(match bound {
        Bound::AtLeast(bound) | Bound::SitesAtLeast { value: bound, .. } => 1.0 - below(*bound),
        Bound::MoreThan(bound) => 1.0 - at_most(*bound),
        Bound::AtMost(bound) => at_most(*bound),
        Bound::LessThan(bound) => below(*bound),
        Bound::Between(low, high) => between(*low, *high),
        Bound::Outside(low, high) => 1.0 - between(*low, *high),
        Bound::Classes(_) => return None,
    })
}

/// The class a value falls in, and the probability that the true value does.
pub(super) fn class<'a>(value: &Value, classes: &'a [Class]) -> Option<(&'a str, f64)> {
    let up_to = |end: Option<ClassEnd>| match end {
        Some(ClassEnd::Below(end)) => probability_up_to(value, end, true),
        Some(ClassEnd::UpTo(end)) => probability_up_to(value, end, false),
        None => 1.0,
    };
    let holds = |end: Option<ClassEnd>| match end {
        Some(ClassEnd::Below(end)) => value.estimate.value < end,
        Some(ClassEnd::UpTo(end)) => value.estimate.value <= end,
        None => true,
    };
    let mut before = 0.0;
    for class in classes {
        let here = up_to(class.end);
        if holds(class.end) {
            return Some((&class.name, here - before));
        }
        before = here;
    }
    None
}

/// What the sites of a criterion come to. `None` stands for a site nobody knows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decision {
    /// The verdict.
    pub verdict: Verdict,
    /// The probability at the site the verdict hangs on: the worst known one, or of a count the last one needed.
    pub probability: Option<f64>,
    /// Index of the site with the least probability, or of the first unknown one where that keeps it undecided.
    pub worst: Option<usize>,
}

/// All sites must satisfy the bound; `None` is the probability of a site nobody knows.
pub fn all(probabilities: &[Option<f64>]) -> Decision {
    let least = probabilities
        .iter()
        .enumerate()
        .filter_map(|(index, probability)| probability.map(|probability| (index, probability)))
        .min_by(|(_, one), (_, other)| one.total_cmp(other));
    let unknown = probabilities.iter().position(Option::is_none);
    if let Some((worst, least)) = least.filter(|(_, least)| *least <= FALLS_SHORT) {
        return Decision { verdict: Verdict::FallsShort, probability: Some(least), worst: Some(worst) };
    }
    if unknown.is_some() || probabilities.is_empty() {
        return Decision { verdict: Verdict::Undecided, probability: None, worst: unknown };
    }
    let verdict = if at_once(probabilities.iter().flatten().copied()) >= MEETS {
        Verdict::Meets
    } else {
        Verdict::Undecided
    };
    Decision { verdict, probability: least.map(|(_, least)| least), worst: least.map(|(worst, _)| worst) }
}

/// The least probability that several bounds are satisfied at once, whatever their correlations: 1 − Σ(1 − p).
pub fn at_once(probabilities: impl IntoIterator<Item = f64>) -> f64 {
    let missing: f64 = probabilities.into_iter().map(|probability| 1.0 - probability).sum();
    (1.0 - missing).max(0.0)
}

/// At least `wanted` sites must satisfy the bound, each by itself.
pub fn at_least(wanted: usize, probabilities: &[Option<f64>]) -> Decision {
    let meeting = probabilities.iter().flatten().filter(|probability| **probability >= MEETS).count();
    let failing = probabilities.iter().flatten().filter(|probability| **probability <= FALLS_SHORT).count();
    let verdict = if meeting >= wanted {
        Verdict::Meets
    } else if probabilities.len() - failing < wanted {
        Verdict::FallsShort
    } else {
        Verdict::Undecided
    };
    let mut known: Vec<f64> = probabilities.iter().flatten().copied().collect();
    known.sort_unstable_by(|one, other| other.total_cmp(one));
    // The site the count hangs on: the wanted-th best. A site that is not known could be better or worse.
    let probability = wanted.checked_sub(1).and_then(|place| known.get(place)).copied();
    let open = |probability: &Option<f64>| probability.is_none_or(|it| it > FALLS_SHORT && it < MEETS);
    Decision { verdict, probability, worst: probabilities.iter().position(open) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Variances;
    use crate::quantity::{Estimate, Quotient};

    fn value(value: f64, sd: f64) -> Value {
        Value { estimate: Estimate { value, sd }, quotient: None, variances: Variances::default() }
    }

    #[test]
    fn certainty_satisfies_equality_where_the_bound_includes_it() {
        let exact = value(3.0, 0.0);
        for (bound, expected) in [
            (Bound::AtLeast(3.0), 1.0),
            (Bound::MoreThan(3.0), 0.0),
            (Bound::AtMost(3.0), 1.0),
            (Bound::LessThan(3.0), 0.0),
            (Bound::Between(3.0, 4.0), 1.0),
            (Bound::Outside(3.0, 4.0), 0.0),
        ] {
            assert_eq!(probability(&exact, &bound), Some(expected), "{bound:?}");
        }
    }

    /// Fieller's limits are the bounds at which the probability is 2.5 % and 97.5 %. Reference: limits of 20/13.3
    /// with standard errors 0.16 and 0.11 and correlation 0.9 at t = 1.96, computed by formula and as roots of the
    /// quadratic: 1.49305766 and 1.51456347 (oracle B03 of the project's table of published and computed values).
    #[test]
    fn fiellers_limits_are_where_a_quotient_is_judged_at_2_5_and_97_5_per_cent() {
        let quotient = Quotient {
            numerator: 20.0,
            denominator: 13.3,
            numerator_variance: 0.16 * 0.16,
            denominator_variance: 0.11 * 0.11,
            covariance: 0.9 * 0.16 * 0.11,
        };
        let value = Value { quotient: Some(quotient), ..value(20.0 / 13.3, 0.005) };
        let outside = crate::quantity::normal_cdf(-1.96);
        let below = probability(&value, &Bound::AtMost(1.493_057_66)).expect("a bound");
        let above = probability(&value, &Bound::AtLeast(1.514_563_47)).expect("a bound");
        assert!((below - outside).abs() < 1e-7, "{below}");
        assert!((above - outside).abs() < 1e-7, "{above}");
    }

    #[test]
    fn several_sites_meet_together_and_fall_short_by_the_worst() {
        assert_eq!(all(&[Some(0.99), Some(0.98)]).verdict, Verdict::Meets);
        assert_eq!(all(&[Some(0.96), Some(0.96)]).verdict, Verdict::Undecided);
        let short = all(&[Some(0.99), Some(0.02), None]);
        assert_eq!((short.verdict, short.worst), (Verdict::FallsShort, Some(1)));
        assert_eq!(all(&[Some(1.0), None]).verdict, Verdict::Undecided);
        assert_eq!(all(&[]).verdict, Verdict::Undecided);
    }

    #[test]
    fn a_count_of_sites_is_met_reached_no_more_or_open() {
        assert_eq!(at_least(3, &[Some(0.99), Some(0.99), Some(0.95), None]).verdict, Verdict::Meets);
        assert_eq!(at_least(3, &[Some(0.01), Some(0.01), Some(0.99), None]).verdict, Verdict::FallsShort);
        let open = at_least(3, &[Some(0.01), Some(0.99), Some(0.99), None]);
        assert_eq!((open.verdict, open.worst), (Verdict::Undecided, Some(3)));
    }

    #[test]
    fn classes_share_the_whole_probability() {
        let classes = [
            Class { name: "straight".into(), end: Some(ClassEnd::UpTo(5.0)) },
            Class { name: "moderate".into(), end: Some(ClassEnd::UpTo(20.0)) },
            Class { name: "severe".into(), end: None },
        ];
        let whole: f64 = [1.0, 10.0, 30.0]
            .map(|at| class(&value(at, 0.0), &classes).map_or(0.0, |(_, probability)| probability))
            .iter()
            .sum();
        assert_eq!(whole, 3.0);
        assert_eq!(class(&value(5.0, 1.0), &classes).map(|(name, _)| name), Some("straight"));
    }
}
