//! What stands behind a verdict, in words: its criterion and on whose word, what it was judged by, and where the
//! uncertainty comes from. No drawing.

use crate::case::{Case, Derived, Strength, VerdictRow};
use crate::measure::{Measured, Measurement};
use crate::report::{ValueWords, measurement_name, probability_words, share_words, value_words};
use crate::verdict::{Criterion, Curve, curve};

/// What stands behind a verdict.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct VerdictDetail {
    /// The criterion and how much it weighs.
    pub(super) criterion: String,
    /// On whose word.
    pub(super) source: String,
    /// What it was judged by; `None` where nothing is measured yet.
    pub(super) judged_by: Option<JudgedBy>,
    /// What would settle it.
    pub(super) settled_by: Option<String>,
}

/// The measurement a verdict hangs on, against the bound.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct JudgedBy {
    /// Its name: of several sites that of the worst.
    pub(super) name: String,
    /// Its value with its interval and unit, as it stands among the numbers.
    pub(super) value: String,
    /// The bound in words.
    pub(super) bound: String,
    /// How probable it is that the bound is met.
    pub(super) probability: String,
    /// The same as a curve; `None` where nothing is uncertain, or for classes.
    pub(super) curve: Option<Curve>,
    /// Where the variance comes from, the largest part first.
    pub(super) shares: Vec<String>,
}

/// What stands behind a verdict.
pub(super) fn detail(
    case: &Case,
    (derived, measured): (&Derived, &Measured),
    row: &VerdictRow,
    criterion: &Criterion,
    settled_by: Option<String>,
) -> VerdictDetail {
    let strength = match criterion.strength {
        Strength::Requirement => "a requirement: a tooth that falls short needs something done",
        Strength::Preference => "a preference: better so",
        Strength::Information => "for information, not judged",
    };
    VerdictDetail {
        criterion: format!("{} is {strength}", criterion.title),
        source: criterion.source.clone(),
        judged_by: judged_by(case, (derived, measured), row, criterion),
        settled_by,
    }
}

fn judged_by(
    case: &Case,
    (derived, measured): (&Derived, &Measured),
    row: &VerdictRow,
    criterion: &Criterion,
) -> Option<JudgedBy> {
    let of = row.worst.as_ref().or_else(|| row.about.first())?;
    let measurement: &Measurement = measured.measurements.iter().find(|it| it.of == *of)?;
    let value = measurement.result.as_ref().ok()?;
    let unit = measurement.row.unit.suffix();
    let ValueWords { value: shown, spread } =
        value_words(derived.measurements.iter().find(|row| row.of == *of)?)?;
    let mut shares: Vec<_> = value.variances.shares().collect();
    shares.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let name = measurement_name(case, of);
    Some(JudgedBy {
        name: if row.worst.is_some() { format!("{name}, the least sure") } else { name },
        value: format!("{shown} {spread} {unit}").trim_end().to_owned(),
        bound: criterion.bound.in_unit(unit),
        probability: format!("p {}", probability_words(row.probability?)),
        curve: curve(value, &criterion.bound),
        shares: shares.into_iter().map(|(source, share)| share_words(source, share)).collect(),
    })
}
