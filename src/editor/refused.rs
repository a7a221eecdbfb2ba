//! Why an edit, or a click of something half-placed, was not made.

use crate::case::{CaseError, ErrorKind, RootName};

/// Why an edit was refused. Nothing was changed; the sentence says what would mend it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditRefused {
    /// The case lists no root of this name.
    #[error("the case has no {} root; add the root first", .0.word())]
    NoRoot(RootName),
    /// A list has no entry where one was meant.
    #[error("there is no {what} {}; there are {count}, counted from 1", at + 1)]
    NoEntry {
        /// What the list holds, in words.
        what: &'static str,
        /// Which entry was meant, counted from 0.
        at: usize,
        /// How many entries there are.
        count: usize,
    },
    /// A point was to be moved that has no coordinates.
    #[error("{0} has no point to move; place it first")]
    NotPlaced(String),
    /// The case it would make is one that could not be read again from a file.
    #[error("{why}")]
    Unreadable {
        /// What is wrong with it, and what would mend it.
        why: String,
        /// RFC 6901 pointer of the value at fault.
        pointer: Option<String>,
    },
    /// The case it would make reads back from a file as another one.
    #[error("a value of this edit is not written as case files have it, and would read back as another one")]
    ReadsBackOtherwise,
    /// Nothing is being placed.
    #[error("nothing is being placed; choose a reference or a section to place first")]
    NothingHalfPlaced,
    /// A reference without points was to be clicked.
    #[error("a {0} reference has no points to click; add it as it is")]
    NothingToClick(&'static str),
    /// All points it takes are there already.
    #[error("all {0} points are placed; complete it, or take one back")]
    AllPlaced(usize),
    /// Points are missing.
    #[error("{placed} of {wanted} points are placed; click the others first")]
    PointsMissing {
        /// How many there are.
        placed: usize,
        /// How many it takes at the least.
        wanted: usize,
    },
    /// A point lies nowhere on a film.
    #[error("a point must lie within a million pixels of the film")]
    NoPlace,
}

impl From<CaseError> for EditRefused {
    fn from(error: CaseError) -> Self {
        let CaseError { kind, pointer, .. } = &error;
        let pointer = pointer.clone().filter(|_| matches!(kind, ErrorKind::Wrong(_)));
        Self::Unreadable { why: error.to_string(), pointer }
    }
}
