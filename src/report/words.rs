//! What numbers, verdicts, cautions and lacks are called: the words that reports and the window share.

use crate::calibration::MOST_SD;
use crate::case::{
    Case, Derived, Fdi, Lack, MeasurementRow, Reason, RowRef, ScaleRow, SharedAngle, State, Technique,
    Verdict, VerdictRow,
};
use crate::measure::{CATALOGUE, FEWEST_DRAWS, Question, Row, Source};
use crate::quantity::COVERAGE_FACTOR;
use crate::verdict::{Criteria, Criterion};
use crate::wording::{decimals, list, unsigned_zero};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// An interval whose middle lies further from the value than this part of its half width is shown by its ends.
const LEAST_SKEW: f64 = 0.1;
/// So many rows that lack the same thing are named; more are counted.
const MOST_NAMED: usize = 3;

/// A measurement's name as this tooth's dentist says it.
pub fn measurement_name(case: &Case, of: &RowRef) -> String {
    palatal(case, &of.spoken())
}

/// Lingual is called palatal in the upper jaw.
fn palatal(case: &Case, words: &str) -> String {
    if is_upper(case) { words.replace(", lingual", ", palatal") } else { words.to_owned() }
}

fn is_upper(case: &Case) -> bool {
    case.tooth.fdi.is_some_and(Fdi::is_upper)
}

/// The row of the catalogue a measurement's name belongs to.
pub fn catalogue_row(of: &RowRef) -> Option<&'static Row> {
    let id = of.id.split(['.', '@']).next()?;
    CATALOGUE.iter().find(|row| row.id == id && row.applies.is_root() == of.root.is_some())
}

/// A value with its 95 % interval, both rounded to the uncertainty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValueWords {
    /// The value: "9.81".
    pub value: String,
    /// Half the interval, "± 0.41", or where the value is not its middle its ends, "(9.40 to 10.52)".
    pub spread: String,
}

/// A measurement's value in words; `None` where it has none.
pub fn value_words(row: &MeasurementRow) -> Option<ValueWords> {
    let (value, [low, high]) = (row.value?, row.interval?);
    let half = (high - low) / 2.0;
    let digits = decimals(half);
    let number = |value: f64| unsigned_zero(format!("{value:.digits$}"));
    // Clipping and draws make intervals whose middle is not the value; a ± would tell the wrong ends.
    let is_symmetric = (f64::midpoint(low, high) - value).abs() <= LEAST_SKEW * half;
    let spread = if is_symmetric {
        format!("± {}", number(half))
    } else {
        format!("({} to {})", number(low), number(high))
    };
    Some(ValueWords { value: number(value), spread })
}

/// What most of a measurement's variance comes from, and its part of it; `None` where nothing is uncertain.
pub fn contributor(row: &MeasurementRow) -> Option<(Source, f64)> {
    let (source, share) = row.shares.iter().max_by(|(_, one), (_, other)| one.total_cmp(other))?;
    let source = Source::ALL.into_iter().find(|it| it.key() == source)?;
    Some((source, *share))
}

/// A part of a measurement's variance: "placing its points, 71 %".
pub fn share_words(source: Source, share: f64) -> String {
    let source = match source {
        Source::Placing => "placing the points",
        Source::Reference => "the known size of the reference",
        Source::Ratio => "the ratio of the two scales",
        Source::Magnification => "the magnification",
        Source::Parallax => "the depth of points, parallax",
        Source::Reading => "the reading at the chair",
    };
    if share < 0.005 { format!("{source}, under 1 %") } else { format!("{source}, {:.0} %", 100.0 * share) }
}

/// What is to be said of an interval that is not what it seems.
pub fn doubt_words(row: &MeasurementRow) -> Option<&'static str> {
    if row.draws_used.is_some_and(|used| used < FEWEST_DRAWS) {
        Some("first order")
    } else if row.first_order_doubtful && row.draws_used.is_none() {
        Some("doubtful")
    } else {
        None
    }
}

/// The shape and the word of a verdict, and of what is not judged.
pub const fn verdict_words(verdict: Option<Verdict>) -> (&'static str, &'static str) {
    match verdict {
        Some(Verdict::Meets) => ("\u{25a0}", Verdict::Meets.words()),
        Some(Verdict::FallsShort) => ("\u{25a1}", Verdict::FallsShort.words()),
        Some(Verdict::Undecided) => ("\u{25e7}", Verdict::Undecided.words()),
        Some(Verdict::DoesNotApply) => ("\u{2013}", Verdict::DoesNotApply.words()),
        None => ("\u{b7}", "for information"),
    }
}

/// What answers a question of the job, on what is there or on what is planned: values, and verdicts with their criteria.
pub(super) struct Answers<'a> {
    pub(super) values: Vec<&'a MeasurementRow>,
    pub(super) verdicts: Vec<(&'a VerdictRow, &'a Criterion)>,
}

/// Gathers what answers a question.
pub(super) fn answers<'a>(
    question: Question,
    state: State,
    derived: &'a Derived,
    criteria: &'a Criteria,
) -> Answers<'a> {
    let values = derived.measurements.iter().filter(|row| {
        row.value.is_some()
            && row.state == Some(state)
            && catalogue_row(&row.of).is_some_and(|it| it.question == question)
    });
    let verdicts = derived
        .verdicts
        .iter()
        .filter_map(|verdict| Some((verdict, criteria.list.iter().find(|it| it.id == verdict.criterion)?)))
        .filter(|(_, criterion)| criterion.rows.first().is_some_and(|row| row.question == question))
        // A verdict without any value yet is about what is there.
        .filter(|(verdict, _)| verdict.state.unwrap_or(State::Present) == state)
        .filter(|(verdict, _)| verdict.verdict.is_some() || verdict.probability.is_some());
    Answers { values: values.collect(), verdicts: verdicts.collect() }
}

/// A verdict in a sentence: "ferrule: at least 1.5 mm (p 0.53; worst: ferrule height, mesial) [requirement]".
pub(super) fn judged_words(case: &Case, verdict: &VerdictRow, criterion: &Criterion) -> String {
    let mut words = claim_words(verdict, criterion);
    if let Some(sureness) = sureness_words(case, verdict) {
        let _ = write!(words, " ({sureness})");
    }
    if verdict.verdict.is_some() {
        let _ = write!(words, " [{}]", criterion.strength.words());
    }
    words
}

/// Which root a verdict is about, after what is judged: ", mesial root"; nothing of a tooth with one.
pub(super) fn of_root(verdict: &VerdictRow, criterion: &Criterion) -> String {
    let root = verdict.about.first().and_then(|about| about.root.as_deref());
    let named = root.filter(|root| criterion.is_of_root() && *root != "single");
    named.map_or_else(String::new, |root| format!(", {root} root"))
}

/// What is judged, against what: "apical seal: at least 3 mm, distal root".
pub fn claim_words(verdict: &VerdictRow, criterion: &Criterion) -> String {
    let unit = criterion.rows.first().map_or("", |row| row.unit.suffix());
    let found = verdict.class.clone().unwrap_or_else(|| criterion.bound.in_unit(unit));
    let mut words = format!("{}: {found}", criterion.title);
    words.push_str(&of_root(verdict, criterion));
    // A criterion over one site says which; over several, which is the worst.
    if verdict.verdict.is_none()
        && let [only] = verdict.about.as_slice()
        && let Some((_, site)) = only.id.split_once('.')
    {
        let _ = write!(words, ", {site}");
    }
    words
}

/// How sure a verdict is: "p 0.53; worst: ferrule height, mesial". `None` where nothing is measured yet.
pub fn sureness_words(case: &Case, verdict: &VerdictRow) -> Option<String> {
    let mut words = format!("p {}", probability_words(verdict.probability?));
    if let Some(worst) = verdict.worst.as_ref().filter(|_| verdict.verdict != Some(Verdict::Meets)) {
        let _ = write!(words, "; worst: {}", measurement_name(case, worst));
    }
    Some(words)
}

/// What would settle a verdict, as this tooth's dentist says it.
pub fn settled_words(case: &Case, verdict: &VerdictRow) -> Option<String> {
    let words = verdict.settled_by.as_deref()?;
    Some(if is_upper(case) { words.replace("lingual", "palatal") } else { words.to_owned() })
}

/// A probability as one reads it: never a bare 0 or 1 for what is only nearly so.
pub fn probability_words(probability: f64) -> String {
    match probability {
        _ if probability > 0.999 => "> 0.999".to_owned(),
        _ if probability < 0.001 => "< 0.001".to_owned(),
        _ if (0.945..0.95).contains(&probability) || !(0.01..=0.995).contains(&probability) => {
            format!("{probability:.3}")
        }
        _ => format!("{probability:.2}"),
    }
}

/// What a caution is about: a measurement or landmark as the dentist says it, else a place in the case.
pub fn about_words(case: &Case, about: &str) -> String {
    if about.contains('/') {
        return place_words(about);
    }
    let (id, root) = match about.strip_suffix(')').and_then(|about| about.split_once(" (")) {
        Some((id, root)) => (id, Some(root.to_owned())),
        None => (about, None),
    };
    measurement_name(case, &RowRef { id: id.to_owned(), root })
}

/// A place in the case file as people call it; one that has no other name stays as it is.
fn place_words(place: &str) -> String {
    let reference = place.strip_prefix("calibration/references/").and_then(|at| at.parse::<usize>().ok());
    match (reference, place) {
        (Some(at), _) => format!("reference {}", at + 1),
        (None, "tooth/fdi") => "tooth".to_owned(),
        (None, "tooth/mesial_is") => "side of mesial".to_owned(),
        (None, _) if place.starts_with("film/") => "film".to_owned(),
        (None, _) => place.to_owned(),
    }
}

/// All that a caution is about, the first few by name: "root length; curvature"; empty for the whole case.
pub fn all_about_words(case: &Case, about: &[String]) -> String {
    let about: Vec<String> = about.iter().map(|about| about_words(case, about)).collect();
    match about.as_slice() {
        [one, two, three, rest @ ..] if !rest.is_empty() => {
            format!("{one}; {two}; {three}; and {} more", rest.len())
        }
        few => few.join("; "),
    }
}

/// What was not measured, by what is lacking.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lacking<'a> {
    /// By landmark, that which most rows lack first.
    pub by_landmark: Vec<(&'a Lack, Vec<&'a RowRef>)>,
    /// By another reason in words.
    pub by_reason: BTreeMap<&'static str, Vec<&'a RowRef>>,
}

/// Groups what was not measured by what is lacking.
pub fn lacking(rows: &[MeasurementRow]) -> Lacking<'_> {
    let mut lacking = Lacking::default();
    for row in rows {
        for lack in &row.lacks {
            match lacking.by_landmark.iter_mut().find(|(known, _)| *known == lack) {
                Some((_, rows)) => rows.push(&row.of),
                None => lacking.by_landmark.push((lack, vec![&row.of])),
            }
        }
        if let Some(reason) = row.reason {
            lacking.by_reason.entry(Reason::words(reason)).or_default().push(&row.of);
        }
    }
    lacking.by_landmark.sort_by_key(|(_, rows)| std::cmp::Reverse(rows.len()));
    lacking
}

/// A few measurements by name, more by their number.
pub fn rows_words(case: &Case, rows: &[&RowRef]) -> String {
    if rows.len() > MOST_NAMED {
        return format!("{} measurements", rows.len());
    }
    list(&rows.iter().map(|of| measurement_name(case, of)).collect::<Vec<_>>())
}

/// A relative standard uncertainty as half a 95 % interval in percent: "± 2.2 %".
pub fn percent_words(relative_sd: f64) -> String {
    format!("± {:.1} %", 100.0 * COVERAGE_FACTOR * relative_sd)
}

/// The tooth and its roots: "tooth 21, one root".
pub(super) fn tooth_words(case: &Case) -> String {
    let tooth = case.tooth.fdi.map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    let roots: Vec<_> = case.roots.iter().map(|root| root.name.word().to_owned()).collect();
    match roots.len() {
        0 => format!("{tooth}, no root listed"),
        1 => format!("{tooth}, one root"),
        count => format!("{tooth}, {count} roots ({})", list(&roots)),
    }
}

/// What is known of a film but its file's name: size, stage, technique, day.
pub(super) fn film_facts(case: &Case) -> Vec<String> {
    let film = &case.film;
    let mut words = Vec::new();
    if let (Some(width), Some(height)) = (film.width_px, film.height_px) {
        words.push(format!("{width} x {height} px"));
    }
    words.extend(film.stage.map(|stage| stage.word().replace('_', " ")));
    words.extend(film.technique.map(|technique| match technique {
        Technique::Unknown => "technique unknown".to_owned(),
        known => format!("{} technique", known.word()),
    }));
    words.extend(film.date.clone());
    words
}

/// The scale, what it comes from and how sure it is.
pub(super) fn scale_words(scale: &ScaleRow) -> String {
    format!(
        "{:.5} mm/px along the tooth ({}), {:.5} across it ({}), from {}; axial direction from {}",
        scale.axial_mm_per_px,
        percent_words(scale.axial_relative_sd),
        scale.transverse_mm_per_px,
        percent_words(scale.transverse_relative_sd),
        list(&scale.references),
        direction_words(scale),
    )
}

/// What is said where there is no scale.
pub(super) const NO_SCALE: &str = "none: nothing on the film can be measured in mm (see below)";

/// What the rows share of the beam's angle, where there are draws.
pub(super) fn shared_angle_words(case: &Case, shared: &SharedAngle) -> String {
    format!(
        "One vertical angle of the beam is common to all rows (sd {} deg). Were it twice that, the first-order ± of {} \
         would be {:.2} instead of {:.2} mm.",
        shared.angulation_deg,
        measurement_name(case, &shared.most_affected),
        COVERAGE_FACTOR * shared.sd_at_twice_the_angle,
        COVERAGE_FACTOR * shared.sd,
    )
}

/// What the signs beside a value mean.
pub(super) const SIGNS: &str = "± is half a 95 % interval, p the probability of the bound";

/// Where the axial direction of a scale comes from.
pub fn direction_words(scale: &ScaleRow) -> &'static str {
    if scale.axial_direction_from == "instrument" { "the instrument" } else { "the tooth" }
}

/// What references of both directions say of the exposure: how far it lengthens or shortens the tooth.
pub fn distortion_words(scale: &ScaleRow) -> Option<String> {
    let (ratio, tilt, apart) = (scale.elongation?, scale.elongation_tilt_deg?, scale.disagreement_sd?);
    let how = if ratio >= 1.0 {
        format!("{ratio:.3} times too long")
    } else {
        format!("at {ratio:.3} of its length")
    };
    // What differs by more is cautioned about.
    let within = if apart <= MOST_SD { ", no further than their uncertainty has them" } else { "" };
    Some(format!(
        "the tooth is projected {how}, as by a tilt of {tilt:.0} deg; references {apart:.1} sd apart{within}"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_in_the_file_is_called_as_people_call_it() {
        let case = crate::case::film_102();
        for (about, words) in [
            ("calibration/references/1", "reference 2"),
            ("film/sha256", "film"),
            ("tooth/mesial_is", "side of mesial"),
            ("notes/x", "notes/x"),
            ("wall.lingual", "wall, palatal"),
            ("apex (distal)", "apex, distal root"),
        ] {
            assert_eq!(about_words(&case, about), words);
        }
    }

    #[test]
    fn the_largest_share_is_named() {
        let case = crate::case::film_102();
        let engine = |case: &Case| {
            let library = crate::calibration::Library::embedded().unwrap();
            let criteria = Criteria::default_set().unwrap();
            crate::verdict::assess(case, &library, &criteria, crate::measure::Draws::default(), &[]).unwrap()
        };
        for row in engine(&case).measurements.iter().filter(|row| !row.shares.is_empty()) {
            let most = row.shares.values().copied().fold(0.0, f64::max);
            let (source, share) = contributor(row).unwrap();
            let words = share_words(source, share);
            assert!(words.ends_with(&format!(", {:.0} %", 100.0 * most)), "{words}, {most}");
        }
    }

    #[test]
    fn a_skewed_interval_is_told_by_its_ends() {
        let row = |value: f64, interval: [f64; 2]| MeasurementRow {
            of: RowRef { id: "curvature".to_owned(), root: None },
            value: Some(value),
            sd: Some(1.0),
            interval: Some(interval),
            unit: crate::quantity::Unit::Degree,
            from: Vec::new(),
            state: None,
            shares: BTreeMap::new(),
            first_order_doubtful: false,
            draws_used: None,
            lacks: Vec::new(),
            reason: None,
        };
        let words =
            |row: MeasurementRow| value_words(&row).map(|ValueWords { value, spread }| (value, spread));
        assert_eq!(words(row(4.0, [2.04, 5.96])), Some(("4.0".to_owned(), "± 2.0".to_owned())));
        assert_eq!(words(row(4.0, [0.0, 10.0])), Some(("4.0".to_owned(), "(0.0 to 10.0)".to_owned())));
        assert_eq!(words(MeasurementRow { value: None, ..row(4.0, [0.0, 1.0]) }), None);
    }
}
