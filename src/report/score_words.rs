//! A score's lines in words, for the text and for the window.

use crate::case::{RowRef, Verdict};
use crate::practice::{Error, LandmarkScore, MeasurementError, Outcome, SetRight, Summed, VerdictChange};
use crate::verdict::Criteria;
use crate::wording::list;

/// How many landmarks are placed or marked as in the key, what became of the others, and how far off the placed ones lie: of
/// those that count.
pub fn outcomes_words(landmarks: &[LandmarkScore]) -> String {
    let counted = || landmarks.iter().filter(|it| it.counts());
    let right = counted().filter(|it| it.outcome.is_right()).count();
    // How well a point lies is told by its error, not by this count.
    let mut parts = vec![format!("{right} of {} placed or marked as in the key", counted().count())];
    for (_, outcome) in Outcome::ALL.iter().filter(|(_, outcome)| !outcome.is_right()) {
        let count = counted().filter(|it| it.outcome == *outcome).count();
        if count > 0 {
            parts.push(format!("{count} {}", outcome.words()));
        }
    }
    let points: Vec<Summed> = landmarks
        .iter()
        .filter(|it| matches!(it.error, Error::Point(_)))
        .filter_map(|it| it.error.summed())
        .collect();
    if !points.is_empty() {
        let rms = |of: fn(&Summed) -> f64| {
            // A tooth has a few dozen landmarks.
            #[allow(clippy::cast_precision_loss)]
            let mean = points.iter().map(|error| of(error).powi(2)).sum::<f64>() / points.len() as f64;
            mean.sqrt()
        };
        // Many landmarks are levels: where along a wall they were clicked is no error of a depth.
        parts.push(format!(
            "rms error of points {:.2} mm along the tooth, {:.2} mm across it",
            rms(|error| error.along_mm),
            rms(|error| error.across_mm)
        ));
    }
    parts.join("; ")
}

/// Which landmarks do not count, and why; `None` where all do.
pub fn not_counted_words(landmarks: &[LandmarkScore]) -> Option<String> {
    let left: Vec<String> = landmarks
        .iter()
        .filter(|line| !line.counts())
        .map(|line| scored_name(&line.landmark, line.root.as_deref()))
        .collect();
    (!left.is_empty()).then(|| {
        format!(
            "Not counted, because a film of this stage does not ask for them and they were left: {}.",
            list(&left)
        )
    })
}

/// What a line of a score is about: "crest, mesial", "coronal section".
pub fn scored_name(id: &str, root: Option<&str>) -> String {
    let spoken = RowRef { id: id.to_owned(), root: root.map(str::to_owned) }.spoken();
    // `sections@0` is one section, not one of several kinds.
    spoken.strip_prefix("sections, ").map(str::to_owned).unwrap_or(spoken)
}

/// Why a measurement of the key cannot be made by the case.
pub fn unmeasured_words(row: &MeasurementError) -> String {
    if row.planned {
        return "only as planned".to_owned();
    }
    let lacks: Vec<String> = row.lacks.iter().map(crate::case::Lack::words).collect();
    match (row.reason, lacks.is_empty()) {
        (_, false) => format!("lacks {}", list(&lacks)),
        (Some(reason), true) => reason.words().to_owned(),
        (None, true) => "no such root or section".to_owned(),
    }
}

/// The same in a few words, where more than one thing is lacking: the first, and how many more; `None` where [`unmeasured_words`]
/// are few.
pub fn unmeasured_in_short(row: &MeasurementError) -> Option<String> {
    match row.lacks.as_slice() {
        [first, _, ..] if !row.planned => {
            Some(format!("lacks {} and {} more", first.words(), row.lacks.len() - 1))
        }
        _ => None,
    }
}

/// The criterion whose verdict differs, and what it is about where that is one thing.
pub fn changed_criterion(change: &VerdictChange, criteria: &Criteria) -> String {
    let title = criteria.list.iter().find(|it| it.id == change.criterion).map(|it| it.title.clone());
    let about = match change.about.as_slice() {
        [only] => format!(" ({})", only.spoken()),
        _ => change
            .about
            .first()
            .and_then(|about| about.root.as_deref())
            .filter(|root| *root != "single")
            .map(|root| format!(" ({root} root)"))
            .unwrap_or_default(),
    };
    format!("{}{about}", title.unwrap_or_else(|| change.criterion.clone()))
}

/// A verdict or class in words; "none" where there is none.
pub fn scored_verdict(verdict: Option<Verdict>, class: Option<&str>) -> String {
    match (class, verdict) {
        (Some(class), _) => class.to_owned(),
        (None, Some(verdict)) => verdict.words().to_owned(),
        (None, None) => "none".to_owned(),
    }
}

/// Which single correction would set a verdict right.
pub fn set_right_words(by: &[SetRight]) -> String {
    if by.is_empty() {
        return "takes more than one correction".to_owned();
    }
    let names: Vec<String> = by
        .iter()
        .map(|it| match it.landmark {
            "calibration" => "the scale".to_owned(),
            landmark => scored_name(landmark, it.root),
        })
        .collect();
    format!("set right by the key's {}", names.join("; or "))
}
