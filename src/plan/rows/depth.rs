//! Depths and the rules they are held against.

use super::{Amount, OnFilm};
use crate::case::{Strength, Verdict};
use schemars::JsonSchema;
use serde::Serialize;

/// A rule at one depth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleAt {
    /// Which rule.
    pub rule: String,
    /// How much weight it carries.
    pub strength: Strength,
    /// Whether it is satisfied.
    pub verdict: Verdict,
    /// How probable it is at least, over all its known places at once: 1 less the chance of each to fall short (the
    /// inequality of Bonferroni). Several places in doubt bring it to 0, whatever each is worth; depths are admitted by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// The probability at the worst place alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_probability: Option<f64>,
    /// What is left over at the worst place, mm; below 0 where it is short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_mm: Option<Amount>,
    /// The worst place, where there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<String>,
    /// What it would take to judge it everywhere.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub not_known: Vec<String>,
}

/// A depth the post can have.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Depth {
    /// Along the canal from where the post starts to hold, mm, by the scale as it stands.
    pub along_canal_mm: f64,
    /// Where the tip lies on the film.
    pub tip: OnFilm,
    /// `post_depth`: below the core base, of a root of several below its orifice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub post_depth_mm: Option<Amount>,
    /// From the stop reference to the tip, along the straight coronal canal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stop_depth_mm: Option<Amount>,
    /// Every rule at this depth.
    pub rules: Vec<RuleAt>,
}

/// The depths that satisfy every requirement, each with a probability of at least 95 %.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Window {
    /// The shortest, along the canal, mm.
    pub from_mm: f64,
    /// The deepest, along the canal, mm.
    pub to_mm: f64,
    /// Requirements that could not be judged everywhere in it; it may be narrower than it looks.
    pub open: Vec<String>,
}

/// The marks of the scale of depths.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Marks {
    /// The shortest depth that satisfies every requirement.
    pub shortest_allowed: Option<Depth>,
    /// The shortest that also satisfies every preference about depth.
    pub all_preferences_met: Option<Depth>,
    /// The deepest that satisfies every requirement.
    pub deepest_allowed: Option<Depth>,
    /// The depth recommended.
    pub recommended: Option<Depth>,
    /// Why that one, or why none.
    pub why: String,
}

/// An end of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum End {
    /// The coronal end: what keeps the post from being shorter.
    Shortest,
    /// The apical end: what keeps it from being deeper.
    Deepest,
}

/// The rule that stands at an end of the window.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Binding {
    /// Which end.
    pub end: End,
    /// Which rule; `root` where it is the root itself.
    pub rule: String,
}

/// A rule and the depths it admits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleRow {
    /// Its id: that of the criterion, or of a rule of planning itself.
    pub rule: String,
    /// In words.
    pub title: String,
    /// What is asked, in words.
    pub bound: String,
    /// How much weight it carries.
    pub strength: Strength,
    /// Which end of the window it limits.
    pub limits: End,
    /// Whether anything is known of it; where not, it admits nothing because nobody knows.
    pub judged: bool,
    /// Depths along the canal it admits within the root, mm, each from and to.
    pub admits_mm: Vec<[f64; 2]>,
    /// Depths within the root at which some of its places cannot be judged, mm, each from and to: what it admits there it
    /// admits by the other places alone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub unjudged_mm: Vec<[f64; 2]>,
    /// On whose word.
    pub source: String,
}

/// A smallest set of requirements that no depth satisfies together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Conflict {
    /// The rules.
    pub rules: Vec<String>,
    /// By how many mm they miss one another along the canal; of one rule alone, by how many mm it is missed.
    pub apart_mm: f64,
    /// Of one rule alone that no depth satisfies: what is left over at the best depth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_best_mm: Option<Amount>,
    /// In words.
    pub words: String,
}

/// What giving up one requirement would open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Relaxation {
    /// The rule given up.
    pub without: String,
    /// By how many mm it has to give way before anything opens.
    pub least_mm: f64,
    /// Given up wholly, the shortest depth that opens, along the canal, mm.
    pub from_mm: f64,
    /// The deepest, along the canal, mm.
    pub to_mm: f64,
    /// The same as `post_depth`, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub post_depth_mm: Option<[f64; 2]>,
    /// What it costs.
    pub warning: String,
}

/// A tip coronal of the crest: shown, never recommended.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CoronalAlternative {
    /// The shortest such depth.
    pub from: Depth,
    /// The deepest such depth.
    pub to: Depth,
    /// Whether the ferrule it needs is there.
    pub ferrule: Verdict,
    /// What it needs and costs, in words.
    pub words: String,
}
