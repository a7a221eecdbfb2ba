//! A case scored against a key.

use super::key::Key;
use super::landmarks::{LandmarkScore, exchanged_sides, landmarks};
use super::verdicts::{VerdictChange, changes};
use crate::calibration::{LEAST_PLACING_PX, Library};
use crate::case::{Case, Lack, Reason, RowRef, State};
use crate::measure::{Assumptions, Draws, Measured, Measurement, Missing, Source, UnknownObject, measure};
use crate::quantity::{Pixels, Unit};
use crate::verdict::Criteria;
use serde::Serialize;

/// What `format` says in a score's JSON.
pub const FORMAT: &str = "crestgauge.score";
/// The version of that JSON.
pub const VERSION: u64 = 1;

/// A case scored against a key.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Score {
    /// Whether both name the same film; false where one of them names none.
    pub same_film_known: bool,
    /// The key's landmarks, and what became of each.
    pub landmarks: Vec<LandmarkScore>,
    /// The key's measurements, and the error of each.
    pub measurements: Vec<MeasurementError>,
    /// The verdicts that are not the key's.
    pub verdicts: Vec<VerdictChange>,
    /// Landmarks whose mesial and distal points look exchanged.
    pub exchanged_sides: Vec<&'static str>,
}

/// The error of one measurement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeasurementError {
    /// Which measurement.
    #[serde(flatten)]
    pub of: RowRef,
    /// Its unit.
    pub unit: Unit,
    /// By the key.
    pub key: f64,
    /// By the case; null where it cannot be made there.
    pub value: Option<f64>,
    /// Value less key.
    pub error: Option<f64>,
    /// The error over the combined standard uncertainty that placing brings into both, where the key is a consensus.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_sd: Option<f64>,
    /// The landmarks the case lacks for it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lacks: Vec<Lack>,
    /// Why it has no value otherwise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Reason>,
    /// Whether the case has it only as planned, which is no error of placing.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub planned: bool,
}

/// Why a case cannot be scored.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotScored {
    /// It lies on another film.
    #[error("lies on another film than the key: \"sha256\" {} there, {} here (in /film/sha256)", short(.key), short(.case))]
    OtherFilm {
        /// The key's digest.
        key: String,
        /// The case's.
        case: String,
    },
    /// Its film has another size.
    #[error("lies on a film of {} x {} px, the key on one of {} x {} px; coordinates cannot be compared (in /film)", case[0], case[1], key[0], key[1])]
    OtherSize {
        /// The key's width and height.
        key: [u32; 2],
        /// The case's.
        case: [u32; 2],
    },
    /// It is of another tooth.
    #[error("is of tooth {case}, the key of tooth {key} (in /tooth/fdi)")]
    OtherTooth {
        /// The key's tooth.
        key: String,
        /// The case's.
        case: String,
    },
    /// A reference names an unknown object.
    #[error(transparent)]
    UnknownObject(#[from] UnknownObject),
}

/// The beginning of a digest.
fn short(digest: &str) -> String {
    digest.chars().take(12).chain(['…']).collect()
}

/// Scores a case against a key.
///
/// # Errors
/// The case is of another film or tooth, or names an unknown object.
pub fn score(key: &Key, case: &Case, library: &Library, criteria: &Criteria) -> Result<Score, NotScored> {
    let same_film_known = same_film(&key.case, case)?;
    let own = measure(case, library, Draws::default())?;
    let placing = Assumptions::of(case).placing.get() / key.scale.axial().get();
    Ok(Score {
        same_film_known,
        landmarks: landmarks(key, case, Pixels(placing.max(LEAST_PLACING_PX))),
        measurements: measurements(key, &own),
        verdicts: changes(key, case, library, criteria)?,
        exchanged_sides: exchanged_sides(key, case),
    })
}

fn same_film(key: &Case, case: &Case) -> Result<bool, NotScored> {
    if let (Some(key), Some(case)) = (key.tooth.fdi, case.tooth.fdi)
        && key != case
    {
        return Err(NotScored::OtherTooth { key: key.to_string(), case: case.to_string() });
    }
    if let (Some(key), Some(case)) = (&key.film.sha256, &case.film.sha256) {
        if key != case {
            return Err(NotScored::OtherFilm { key: key.clone(), case: case.clone() });
        }
        return Ok(true);
    }
    let size = |case: &Case| Some([case.film.width_px?, case.film.height_px?]);
    if let (Some(key), Some(case)) = (size(key), size(case))
        && key != case
    {
        return Err(NotScored::OtherSize { key, case });
    }
    Ok(false)
}

/// What was read off the film in both.
fn measurements(key: &Key, own: &Measured) -> Vec<MeasurementError> {
    key.measured
        .measurements
        .iter()
        .filter(|it| !it.from.is_empty() && !it.uses_reading)
        .filter_map(|it| {
            let mine = own.measurements.iter().find(|mine| mine.of == it.of);
            Some(error(it, it.value()?, mine, key.is_consensus()))
        })
        .collect()
}

fn error(key: &Measurement, at: f64, own: Option<&Measurement>, is_consensus: bool) -> MeasurementError {
    let planned = own.is_some_and(|own| own.state == State::Planned);
    let value = own.filter(|_| !planned).and_then(Measurement::value);
    let error = value.map(|value| value - at);
    let placing = |it: &Measurement| it.result.as_ref().ok().map(|value| value.variances.of(Source::Placing));
    let sd = own.and_then(placing).zip(placing(key)).map(|(own, key)| (own + key).sqrt());
    let (lacks, reason) = match own.map(|own| &own.result) {
        Some(Err(Missing::Landmarks(lacks))) => (lacks.clone(), None),
        Some(Err(Missing::Reason(reason))) => (Vec::new(), Some(*reason)),
        _ => (Vec::new(), None),
    };
    MeasurementError {
        of: key.of.clone(),
        unit: key.row.unit,
        key: at,
        value,
        error,
        in_sd: error.zip(sd.filter(|sd| is_consensus && *sd > 0.0)).map(|(error, sd)| error / sd),
        lacks,
        reason,
        planned,
    }
}
