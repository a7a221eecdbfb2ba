//! Practice: a student's landmarks against a key, and how they come along.
//!
//! [`Key::of`] takes what a key knows out of a case, [`score()`] compares a case with it, [`learning_curves`] looks back
//! over what was scored before.

mod error;
mod history;
mod key;
mod landmarks;
mod score;
mod verdicts;

pub use error::{CanalError, InSd, PointError, SectionError, across_words, along_words};
pub use history::{
    Attempt, AttemptLandmark, CurvePoint, FORMAT as HISTORY_FORMAT, History, LearningCurve, RECENT, Unread,
    VERSION as HISTORY_VERSION, learning_curves, line, read_history,
};
pub use key::{Key, KeyRefused};
pub use landmarks::{Error, LandmarkScore, Outcome, Summed};
pub use score::{FORMAT, MeasurementError, NotScored, Score, VERSION, score};
pub use verdicts::{SetRight, VerdictChange};
