//! What comes before any depth: what to settle, a core without a post, and the core.

use super::Amount;
use crate::case::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

/// Why something stands on the list of what to settle first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SettleState {
    /// What was found asks for it.
    Red,
    /// Nobody looked.
    Blank,
}

/// Something to settle before a post is planned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Settle {
    /// What it is about: a key of `clinical.first_look`, a measurement, or `root`.
    pub about: String,
    /// Red or blank.
    pub state: SettleState,
    /// In words: what to do, or what to ask.
    pub words: String,
    /// The measurement it rests on, where it rests on one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    /// The probability that it is so, where it is measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
}

/// What speaks for a core without a post.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WithoutPost {
    /// Enough walls stand.
    SpeaksForIt,
    /// It has to be weighed.
    ToBeWeighed,
    /// The core would have little to hold on.
    LittleToHoldOn,
    /// Walls standing are not known.
    NotKnown,
}

/// Whether a post is needed at all: a core without one.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CoreWithoutPost {
    /// What speaks for it.
    pub outlook: WithoutPost,
    /// Walls standing, 0 to 4.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walls_standing: Option<u8>,
    /// Depth of the pulp chamber.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chamber_depth_mm: Option<Amount>,
    /// In words.
    pub words: String,
    /// On whose word.
    pub source: String,
}

/// Where the core's height comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CoreFrom {
    /// The core on the film.
    Built,
    /// `clinical.planned_core_height_mm`.
    Planned,
    /// The interocclusal space less the crown's thickness.
    SpaceLessCrown,
}

/// The core a post is planned for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Core {
    /// Its height.
    pub height_mm: Amount,
    /// Where that comes from.
    pub from: CoreFrom,
    /// Ferrule and core together, at the lower of the two sides on the film.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abutment_mm: Option<Amount>,
    /// How high an abutment is wanted, mm.
    pub abutment_wanted_mm: f64,
    /// Whether it is that high; a preference.
    pub abutment: Verdict,
    /// The probability of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abutment_probability: Option<f64>,
}
