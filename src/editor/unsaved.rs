//! The file of an autosave: unsaved work, half-placed things included, and what it was begun from.

use super::half_placed::{HalfPlaced, Placing};
use crate::calibration::ReferencePoint;
use crate::case::{Case, CaseError, Document, read_text};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// What `format` says in the file of an autosave.
const FORMAT: &str = "crestgauge.unsaved";
/// The version written and read here.
const VERSION: u64 = 1;

/// Unsaved work as an autosave holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Unsaved {
    /// When it was written, to the second.
    pub written: SystemTime,
    /// Path of the case, where it had a file; for people, and to find it again.
    pub case_file: Option<String>,
    /// Digest of that file as it was opened or last saved, lower hex.
    pub opened_sha256: Option<String>,
    /// The case.
    pub case: Case,
    /// What was half-placed.
    pub half_placed: Option<HalfPlaced>,
}

/// Why the file of an autosave gives nothing back.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum UnsavedError {
    /// It cannot be read from the disk.
    #[error("cannot be read: {0}")]
    Unreadable(#[from] std::io::Error),
    /// It holds no unsaved work.
    #[error("holds no unsaved work of crestgauge: {0}")]
    NotUnsaved(String),
    /// A newer program wrote it.
    #[error(
        "was written by a newer crestgauge (version {0}; this one reads version {VERSION}); please update"
    )]
    Newer(u64),
    /// The case in it is at fault.
    #[error("the case in it {0}")]
    Case(CaseError),
}

#[derive(Serialize)]
struct Writing<'a> {
    format: &'static str,
    version: u64,
    written_unix_s: u64,
    #[serde(skip_serializing_if = "Option::is_none")]
    case_file: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    opened_sha256: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    half_placed: Option<WritingHalf<'a>>,
    case: Document<'a>,
}

#[derive(Serialize)]
struct WritingHalf<'a> {
    placing: &'a Placing,
    points: &'a [ReferencePoint],
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Reading {
    #[serde(rename = "format")]
    _format: String,
    #[serde(rename = "version")]
    _version: u64,
    written_unix_s: u64,
    case_file: Option<String>,
    opened_sha256: Option<String>,
    half_placed: Option<ReadingHalf>,
    case: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReadingHalf {
    placing: Placing,
    points: Vec<ReferencePoint>,
}

impl Unsaved {
    /// The file's text.
    pub(super) fn to_text(&self) -> serde_json::Result<String> {
        let since = self.written.duration_since(UNIX_EPOCH).unwrap_or(Duration::ZERO);
        let half_placed =
            self.half_placed.as_ref().map(|half| WritingHalf { placing: &half.what, points: &half.points });
        serde_json::to_string_pretty(&Writing {
            format: FORMAT,
            version: VERSION,
            written_unix_s: since.as_secs(),
            case_file: self.case_file.as_deref(),
            opened_sha256: self.opened_sha256.as_deref(),
            half_placed,
            case: Document { case: &self.case, derived: None, case_file: None },
        })
    }

    /// Reads the file of an autosave.
    ///
    /// # Errors
    /// Anything that keeps it from being understood whole.
    pub fn read(file: &Path) -> Result<Self, UnsavedError> {
        Self::from_text(&std::fs::read_to_string(file)?)
    }

    fn from_text(text: &str) -> Result<Self, UnsavedError> {
        let not_unsaved = |error: serde_json::Error| UnsavedError::NotUnsaved(error.to_string());
        let value: Value = serde_json::from_str(text).map_err(not_unsaved)?;
        if value.get("format").and_then(Value::as_str) != Some(FORMAT) {
            return Err(UnsavedError::NotUnsaved(format!("it has no \"format\": {FORMAT:?}")));
        }
        match value.get("version").and_then(Value::as_u64) {
            Some(VERSION) => {}
            Some(newer) if newer > VERSION => return Err(UnsavedError::Newer(newer)),
            _ => return Err(UnsavedError::NotUnsaved("its version is not known".to_owned())),
        }
        let read: Reading = serde_json::from_value(value).map_err(not_unsaved)?;
        let case = read_text(&read.case.to_string()).map_err(UnsavedError::Case)?.case;
        let written = UNIX_EPOCH
            .checked_add(Duration::from_secs(read.written_unix_s))
            .ok_or_else(|| UnsavedError::NotUnsaved("it was written at no time".to_owned()))?;
        let half_placed =
            read.half_placed.map(|ReadingHalf { placing, points }| HalfPlaced::recovered(placing, points));
        let half_placed = half_placed
            .transpose()
            .map_err(|why| UnsavedError::NotUnsaved(format!("what is half-placed in it: {why}")))?;
        Ok(Self { written, case_file: read.case_file, opened_sha256: read.opened_sha256, case, half_placed })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> String {
        Unsaved::from_text(text).expect_err(text).to_string()
    }

    #[test]
    fn what_is_not_understood_is_said() {
        let whole = |version: u64, more: &str| {
            format!(
                r#"{{"format": "crestgauge.unsaved", "version": {version}, "written_unix_s": 1, {more}
                    "case": {{"format": "crestgauge.case", "version": 1, "tooth": {{"fdi": "21"}}}}}}"#
            )
        };
        assert!(Unsaved::from_text(&whole(1, "")).is_ok());
        for (text, says) in [
            (String::new(), "no unsaved work"),
            ("{}".to_owned(), "\"format\""),
            (whole(1, "").replace("\"21\"", "\"99\""), "no tooth"),
            (whole(2, ""), "newer"),
            (whole(0, ""), "version is not known"),
            (whole(1, r#""surprise": 1,"#), "surprise"),
            (whole(1, r#""half_placed": {"placing": {"section": {"root": "nine"}}, "points": []},"#), "nine"),
            (
                whole(
                    1,
                    r#""half_placed": {"placing": {"section": {"root": "single"}}, "points": [{"x": 1, "y": 1e9}]},"#,
                ),
                "million pixels",
            ),
        ] {
            assert!(refused(&text).contains(says), "{text}: {}", refused(&text));
        }
    }
}
