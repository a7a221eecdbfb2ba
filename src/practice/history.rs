//! A student's history: one line of JSON for every case scored, in a file the student owns.
//!
//! Lines are only ever appended. A line that cannot be read, such as the last one of a file that was cut short, costs
//! nothing but itself.

use super::landmarks::Outcome;
use super::score::Score;
use crate::case::{LandmarkId, Owner};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// What `format` says in a line.
pub const FORMAT: &str = "crestgauge.practice";
/// The version of a line.
pub const VERSION: u64 = 1;
/// How many of the latest errors a learning curve looks back on.
pub const RECENT: usize = 5;

/// One case scored.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Attempt {
    /// What this line is.
    pub format: String,
    /// Its version.
    pub version: u64,
    /// When it was scored, as handed in: RFC 3339, UTC.
    pub when: String,
    /// Who placed the landmarks.
    pub student: String,
    /// SHA-256 of the film, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub film_sha256: Option<String>,
    /// The tooth, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tooth: Option<String>,
    /// SHA-256 of the key's file.
    pub key_sha256: String,
    /// SHA-256 of the case's file: the same case scored twice is one attempt.
    pub case_sha256: String,
    /// What became of each landmark.
    pub landmarks: Vec<AttemptLandmark>,
}

/// What became of one landmark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AttemptLandmark {
    /// Its key.
    pub landmark: String,
    /// Its root, for a root's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub root: Option<String>,
    /// What became of it.
    pub outcome: Outcome,
    /// Along the tooth, apical positive; none where nothing was placed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_mm: Option<f64>,
    /// Across it, distal positive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across_mm: Option<f64>,
    /// Straight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_mm: Option<f64>,
}

impl AttemptLandmark {
    /// The landmarks of a score that count.
    pub fn of(score: &Score) -> Vec<Self> {
        score
            .landmarks
            .iter()
            .filter(|it| it.counts())
            .map(|it| {
                let error = it.error.summed();
                Self {
                    landmark: it.landmark.clone(),
                    root: it.root.clone(),
                    outcome: it.outcome,
                    along_mm: error.map(|error| error.along_mm),
                    across_mm: error.map(|error| error.across_mm),
                    distance_mm: error.map(|error| error.distance_mm),
                }
            })
            .collect()
    }
}

/// A history as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct History {
    /// The attempts, in the order of the lines.
    pub attempts: Vec<Attempt>,
    /// Lines that could not be read.
    pub unread: Vec<Unread>,
}

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} cannot be read and is left alone: {why}")]
pub struct Unread {
    /// Which line, from 1.
    pub line: usize,
    /// Why not.
    pub why: String,
}

/// An attempt as one line, with its end.
///
/// # Errors
/// None that an attempt can cause; the signature is the serialiser's.
pub fn line(attempt: &Attempt) -> serde_json::Result<String> {
    serde_json::to_string(attempt).map(|line| line + "\n")
}

/// Reads a history. Keys not known here are passed over, and a line of another format or of a later version counts as
/// not read.
pub fn read_history(text: &str) -> History {
    let mut history = History::default();
    for (index, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let why = match serde_json::from_str::<Attempt>(line) {
            Ok(attempt) if attempt.format != FORMAT => format!("its format is {:?}", attempt.format),
            Ok(attempt) if attempt.version > VERSION => format!("its version is {}", attempt.version),
            Ok(attempt) => {
                history.attempts.push(attempt);
                continue;
            }
            Err(error) => error.to_string(),
        };
        history.unread.push(Unread { line: index + 1, why });
    }
    history
}

/// How one landmark was placed over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LearningCurve {
    /// The landmark; roots, and levels of sections, count together.
    pub landmark: String,
    /// One for each time it was to be placed, oldest first.
    pub points: Vec<CurvePoint>,
}

/// One time a landmark was to be placed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurvePoint {
    /// When.
    pub when: String,
    /// What became of it.
    pub outcome: Outcome,
    /// How far it lay off, where it was placed.
    pub distance_mm: Option<f64>,
    /// Root mean square of the distances of the latest [`RECENT`] times it was placed, this one included.
    pub recent_rms_mm: Option<f64>,
}

/// A student's learning curves by landmark, in the order of the landmark table; landmarks not known here stand last. A case scored twice against one key counts once,
/// the first time.
pub fn learning_curves(attempts: &[Attempt], student: &str) -> Vec<LearningCurve> {
    let mut seen = BTreeSet::new();
    let mut curves: BTreeMap<&str, Vec<CurvePoint>> = BTreeMap::new();
    for attempt in attempts.iter().filter(|attempt| attempt.student == student) {
        if !seen.insert((&attempt.case_sha256, &attempt.key_sha256)) {
            continue;
        }
        for it in &attempt.landmarks {
            let landmark = it.landmark.split('@').next().unwrap_or(&it.landmark);
            let points = curves.entry(landmark).or_default();
            let latest = points.iter().rev().filter_map(|point| point.distance_mm).take(RECENT - 1);
            let (squares, count) = latest
                .chain(it.distance_mm)
                .fold((0.0, 0.0), |(squares, count), distance| (squares + distance * distance, count + 1.0));
            let recent_rms_mm = it.distance_mm.map(|_| (squares / f64::max(count, 1.0)).sqrt());
            points.push(CurvePoint {
                when: attempt.when.clone(),
                outcome: it.outcome,
                distance_mm: it.distance_mm,
                recent_rms_mm,
            });
        }
    }
    let order: BTreeMap<&str, usize> = [Owner::Tooth, Owner::Root]
        .into_iter()
        .flat_map(LandmarkId::all)
        .enumerate()
        .map(|(index, id)| (id.key(), index))
        .collect();
    let mut curves: Vec<_> = curves.into_iter().collect();
    curves.sort_by_key(|(landmark, _)| order.get(landmark).copied().unwrap_or(usize::MAX));
    curves
        .into_iter()
        .map(|(landmark, points)| LearningCurve { landmark: landmark.to_owned(), points })
        .collect()
}
