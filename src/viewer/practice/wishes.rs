//! What is wished for of practice. It outlives a run.

use crate::phantom::{Difficulty, ToothKind};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// Where films to practise on come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// Made for the purpose.
    #[default]
    Made,
    /// A folder of cases with their truth or an experts' consensus.
    Folder,
}

/// What is wished for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Wishes {
    /// Where films come from.
    pub source: Source,
    /// Which teeth are made.
    pub kind: ToothKind,
    /// How hard made films are to read.
    pub difficulty: Difficulty,
    /// Whether the film's scale is given; else it is placed, too.
    pub scale_is_given: bool,
    /// The folder of cases, as it is typed.
    pub folder: String,
    /// Who practises, as it stands in the history and in placings.
    pub student: String,
    /// The file of the history, as it is typed; empty for the usual one.
    pub history: String,
    /// How often a round gives each film.
    pub repeats: u8,
    /// Where a round puts its placings, as it is typed; empty for the usual place.
    pub round_folder: String,
}

impl Default for Wishes {
    fn default() -> Self {
        Self {
            source: Source::default(),
            kind: ToothKind::Any,
            difficulty: Difficulty::default(),
            scale_is_given: true,
            folder: String::new(),
            student: "me".to_owned(),
            history: String::new(),
            repeats: 2,
            round_folder: String::new(),
        }
    }
}

/// The fewest and the most times a round gives each film.
pub(super) const REPEATS: std::ops::RangeInclusive<u8> = 2..=10;

impl Wishes {
    /// Who practises; somebody always does.
    pub(super) fn student(&self) -> String {
        let student: String = self.student.chars().filter(|it| !it.is_control()).collect();
        let student = student.trim();
        if student.is_empty() { "me".to_owned() } else { student.to_owned() }
    }

    /// The file of the history: the one named, else the one in the state folder.
    pub fn history_file(&self, state_folder: Option<&Path>) -> Option<PathBuf> {
        let named = self.history.trim();
        if named.is_empty() {
            state_folder.map(|folder| folder.join("practice.jsonl"))
        } else {
            Some(PathBuf::from(named))
        }
    }
}
