//! What is remembered from one run to the next: recent files and the theme, in a small file of the user's own.

use crate::case::{Replace, write_atomically};
use crate::editor::private_folder;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// The file's name in the state folder.
const FILE: &str = "viewer.json";
/// How many recent files are kept.
const MOST_RECENT: usize = 12;

/// What is remembered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Remembered {
    /// Films and cases opened last, newest first. File names can carry a patient's name, so this can be switched off.
    pub recent: Vec<PathBuf>,
    /// Whether recent files are remembered.
    pub remember_recent: bool,
    /// The theme.
    pub theme: Theme,
    /// Whether the strip for tone and turn is shown.
    pub shows_tone: bool,
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// As the system has it.
    #[default]
    System,
    /// Light.
    Light,
    /// Dark, which suits films.
    Dark,
}

impl Default for Remembered {
    fn default() -> Self {
        Self { recent: Vec::new(), remember_recent: true, theme: Theme::Dark, shows_tone: false }
    }
}

impl Remembered {
    /// What stands in the state folder, and whether this is the first time. What cannot be read counts as nothing:
    /// nothing of value stands there.
    pub fn read(state_folder: Option<&Path>) -> (Self, bool) {
        let text = state_folder.and_then(|folder| std::fs::read_to_string(folder.join(FILE)).ok());
        let is_first = text.is_none();
        (text.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default(), is_first)
    }

    /// Writes it to the state folder. Where that cannot be, it is forgotten at the end of this run, and no more.
    pub fn write(&self, state_folder: Option<&Path>) {
        let Some(folder) = state_folder else { return };
        if let Ok(text) = serde_json::to_string_pretty(self)
            && private_folder(folder).is_ok()
        {
            let _ = write_atomically(&folder.join(FILE), text.as_bytes(), Replace::Yes);
        }
    }

    /// Puts a file first among the recent ones.
    pub fn opened(&mut self, file: &Path) {
        self.recent.retain(|recent| recent != file);
        if self.remember_recent {
            self.recent.insert(0, file.to_path_buf());
            self.recent.truncate(MOST_RECENT);
        }
    }

    /// Switches remembering on or off; off also forgets.
    pub fn remember(&mut self, yes: bool) {
        self.remember_recent = yes;
        if !yes {
            self.recent.clear();
        }
    }
}
