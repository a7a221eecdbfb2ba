//! Drills and the walls they leave.

use super::Amount;
use crate::case::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

/// How a drill came to be chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ChosenBy {
    /// It was asked for.
    Asked,
    /// The case names it.
    Case,
    /// It is the smallest at least as wide as the canal at the planned tip.
    Proposed,
}

/// A level a drill reaches.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DrilledLevel {
    /// Which level: `section 1`, `tip`, or `shoulder`, where the drill reaches its full width.
    pub level: String,
    /// How far above the tip, mm.
    pub above_tip_mm: f64,
    /// How wide the drill is there, mm.
    pub drill_mm: f64,
    /// The mesial wall that stays.
    pub mesial_mm: Amount,
    /// The distal wall that stays.
    pub distal_mm: Amount,
    /// The space over the width of the root.
    pub share_of_root: Amount,
}

/// A drill of the library at the planned depth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DrillRow {
    /// Its name in the library.
    pub drill: String,
    /// What it is.
    pub meaning: String,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// Where that comes from.
    pub source: String,
    /// Every level it reaches whose widths are known.
    pub levels: Vec<DrilledLevel>,
    /// Whether the walls it leaves are thick enough.
    pub walls: Verdict,
    /// The probability of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walls_probability: Option<f64>,
    /// Whether its space is no wider than the share of the root that is wanted.
    pub share: Verdict,
    /// Whether it is at least as wide as the canal at the planned tip.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fills_the_canal: Option<bool>,
    /// Whether it is wider than this kind of tooth usually takes.
    pub above_the_usual: bool,
    /// How it was chosen, if it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chosen_by: Option<ChosenBy>,
}

/// The drills of the library at one depth.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Drills {
    /// The depth they are shown at, along the canal, mm; none where nothing is recommended or known.
    pub at_mm: Option<f64>,
    /// The canal's width at that tip.
    pub canal_at_tip_mm: Option<Amount>,
    /// The widest drill this tooth usually takes, mm.
    pub usual_most_mm: Option<f64>,
    /// On whose word.
    pub usual_source: Option<String>,
    /// Which drill the window is reckoned with.
    pub chosen: Option<String>,
    /// The drills.
    pub list: Vec<DrillRow>,
}
