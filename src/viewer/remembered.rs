//! What is remembered from one run to the next: recent files and settings, in a small file of the user's own.

use super::practice::Wishes;
use crate::case::{Fdi, Replace, write_atomically};
use crate::editor::private_folder;
use crate::report::{Audience, Paper};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::path::{Path, PathBuf};

/// The file's name in the state folder.
const FILE: &str = "viewer.json";
/// How many recent files are kept.
const MOST_RECENT: usize = 12;

/// What is remembered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Remembered {
    /// Films and cases opened last, newest first. File names can carry a patient's name, so this can be switched off.
    pub recent: Vec<PathBuf>,
    /// Whether recent files are remembered.
    pub remember_recent: bool,
    /// The theme.
    pub theme: Theme,
    /// How large letters and controls are.
    pub scale: Scale,
    /// How teeth are numbered on the screen.
    pub tooth_numbers: ToothNumbers,
    /// Whether the strip for tone and turn is shown.
    pub shows_tone: bool,
    /// Whether the view goes to where the next landmark is likely to be.
    pub follows_next: bool,
    /// Whom reports are for.
    pub audience: Audience,
    /// What they are printed on.
    pub paper: Paper,
    /// What is wished for of practice.
    pub practice: Wishes,
}

/// One thing of how the program looks, or of what it makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setting {
    /// The theme.
    Theme(Theme),
    /// The size of letters and controls.
    Scale(Scale),
    /// How teeth are numbered on the screen.
    ToothNumbers(ToothNumbers),
    /// Whom reports are for.
    Audience(Audience),
    /// What they are printed on.
    Paper(Paper),
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// As the system has it.
    System,
    /// Light.
    Light,
    /// Dark, which suits films.
    #[default]
    Dark,
}

/// How large letters and controls are, in percent of what the system asks for: one of [`Scale::STEPS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u16", into = "u16")]
pub struct Scale(u16);

impl Scale {
    /// The sizes there are, percent.
    pub const STEPS: [u16; 11] = [75, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300];

    /// The next larger one, or the largest.
    #[must_use]
    pub fn larger(self) -> Self {
        Self(Self::STEPS.into_iter().find(|step| *step > self.0).unwrap_or(self.0))
    }

    /// The next smaller one, or the smallest.
    #[must_use]
    pub fn smaller(self) -> Self {
        Self(Self::STEPS.into_iter().rfind(|step| *step < self.0).unwrap_or(self.0))
    }

    /// In percent.
    pub const fn percent(self) -> u16 {
        self.0
    }

    /// As a factor.
    pub fn factor(self) -> f32 {
        f32::from(self.0) / 100.0
    }
}

impl Default for Scale {
    fn default() -> Self {
        Self(100)
    }
}

impl TryFrom<u16> for Scale {
    type Error = String;

    fn try_from(percent: u16) -> Result<Self, String> {
        let is_step = Self::STEPS.contains(&percent);
        is_step.then_some(Self(percent)).ok_or_else(|| format!("{percent} % is none of the sizes there are"))
    }
}

impl From<Scale> for u16 {
    fn from(scale: Scale) -> Self {
        scale.0
    }
}

/// How teeth are numbered on the screen. Files, copies and reports always number them by ISO 3950.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToothNumbers {
    /// Two digits by ISO 3950, as the FDI has them.
    #[default]
    Fdi,
    /// 1 to 32, by the Universal/National System.
    Universal,
}

impl ToothNumbers {
    /// A tooth in words. Most Universal numbers are those of another tooth by ISO 3950, so they never stand alone.
    pub fn words(self, fdi: Fdi) -> String {
        match self {
            Self::Fdi => fdi.to_string(),
            Self::Universal => format!("{} Universal (FDI {fdi})", fdi.universal()),
        }
    }

    /// A tooth's number, where it is said beside it which numbers these are.
    pub fn short(self, fdi: Fdi) -> String {
        match self {
            Self::Fdi => fdi.to_string(),
            Self::Universal => fdi.universal().to_string(),
        }
    }
}

impl Default for Remembered {
    fn default() -> Self {
        Self {
            recent: Vec::new(),
            remember_recent: true,
            theme: Theme::default(),
            scale: Scale::default(),
            tooth_numbers: ToothNumbers::default(),
            shows_tone: false,
            follows_next: false,
            audience: Audience::Record,
            paper: Paper::A4,
            practice: Wishes::default(),
        }
    }
}

impl Remembered {
    /// What stands in the state folder, and whether this is the first time. What cannot be read is as it was at first,
    /// one by one: a setting that another version wrote takes no other with it.
    pub fn read(state_folder: Option<&Path>) -> (Self, bool) {
        let text = state_folder.and_then(|folder| std::fs::read_to_string(folder.join(FILE)).ok());
        let is_first = text.is_none();
        let kept: Map<String, Value> =
            text.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default();
        (Self::of(&kept), is_first)
    }

    fn of(kept: &Map<String, Value>) -> Self {
        let first = Self::default();
        let recent = kept.get("recent").and_then(Value::as_array).into_iter().flatten();
        Self {
            recent: recent.filter_map(Value::as_str).map(PathBuf::from).take(MOST_RECENT).collect(),
            remember_recent: one(kept, "remember_recent", first.remember_recent),
            theme: one(kept, "theme", first.theme),
            scale: one(kept, "scale", first.scale),
            tooth_numbers: one(kept, "tooth_numbers", first.tooth_numbers),
            shows_tone: one(kept, "shows_tone", first.shows_tone),
            follows_next: one(kept, "follows_next", first.follows_next),
            audience: one(kept, "audience", first.audience),
            paper: one(kept, "paper", first.paper),
            practice: one(kept, "practice", first.practice),
        }
    }

    /// Takes a setting.
    pub const fn set(&mut self, setting: Setting) {
        match setting {
            Setting::Theme(theme) => self.theme = theme,
            Setting::Scale(scale) => self.scale = scale,
            Setting::ToothNumbers(numbers) => self.tooth_numbers = numbers,
            Setting::Audience(audience) => self.audience = audience,
            Setting::Paper(paper) => self.paper = paper,
        }
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

/// One of what was kept, or as it was at first.
fn one<T: DeserializeOwned>(kept: &Map<String, Value>, name: &str, first: T) -> T {
    kept.get(name).and_then(|value| T::deserialize(value).ok()).unwrap_or(first)
}
