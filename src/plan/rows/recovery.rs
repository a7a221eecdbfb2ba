//! Ferrule recovery: the sites, the ways, and what each leaves.

use super::Amount;
use crate::case::{Site, Strength, Verdict};
use schemars::JsonSchema;
use serde::Serialize;

/// A site of the ferrule recovery.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RecoverySite {
    /// Which site.
    pub site: Site,
    /// Height of sound wall above the margin now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ferrule_mm: Option<Amount>,
    /// Height of sound wall above the crest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_above_crest_mm: Option<Amount>,
    /// Whether that was sounded.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schemars(default)]
    pub sounded: bool,
    /// The lift it needs; not clipped, below 0 where there is room to spare.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift_needed_mm: Option<Amount>,
    /// How far down the root the margin has to go; not clipped, below 0 where there is more ferrule than is wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_down_mm: Option<Amount>,
    /// What is lacking to know it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lacks: Option<String>,
}

/// A way to recover the ferrule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// The margin goes deeper, within the sulcus.
    SulcusOnly,
    /// The tooth is extruded.
    Extrusion,
    /// Bone is taken away.
    Surgery,
    /// Both, shared.
    Both,
    /// The tooth is lifted by surgery.
    SurgicalExtrusion,
    /// The tooth is taken out.
    Extraction,
}

/// A site after a way was gone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SiteAfter {
    /// Which site.
    pub site: Site,
    /// Bone taken away there, mm.
    pub bone_mm: f64,
    /// The ferrule it comes to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ferrule_mm: Option<Amount>,
    /// From margin to crest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_to_crest_mm: Option<Amount>,
    /// From the crest down to the tip of the post there is, else of the one recommended now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tip_beyond_crest_mm: Option<Amount>,
    /// From the crest to the furcation, in teeth that have one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crest_to_furcation_mm: Option<Amount>,
}

/// A verdict on a way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WayVerdict {
    /// Which criterion.
    pub criterion: String,
    /// In words.
    pub title: String,
    /// How much weight it carries.
    pub strength: Strength,
    /// The verdict.
    pub verdict: Verdict,
    /// The probability; of several sites that of the worst known one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// The site it is the probability of, where there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<String>,
    /// The sites nobody knows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub not_known: Vec<String>,
}

/// Weeks, as a range.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Weeks {
    /// Of what.
    pub of: String,
    /// At least.
    pub from: u32,
    /// At most.
    pub to: u32,
}

/// One way to recover the ferrule, and what it leaves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RecoveryOption {
    /// Which way.
    pub way: Way,
    /// In words.
    pub title: String,
    /// What the requirements say of it; null where there is no arithmetic.
    pub verdict: Option<Verdict>,
    /// How far the tooth is extruded, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extrusion_mm: Option<f64>,
    /// The sites after it.
    pub sites: Vec<SiteAfter>,
    /// Tooth outside the bone over root inside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_to_root: Option<Amount>,
    /// Root left in bone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root_in_bone_mm: Option<Amount>,
    /// Width of the root at the new margin.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root_width_at_margin_mm: Option<Amount>,
    /// Height of the core.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub core_height_mm: Option<Amount>,
    /// Root filling left below the post.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seal_length_mm: Option<Amount>,
    /// Where a post is to be planned: the depths along the canal that satisfy every requirement after it, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub post_window_mm: Option<[f64; 2]>,
    /// The verdicts.
    pub verdicts: Vec<WayVerdict>,
    /// How long it takes.
    pub weeks: Vec<Weeks>,
    /// What it does to neighbours and gum line, and what to know.
    pub words: Vec<String>,
}

/// What is said of a way that lifts nothing.
pub const NO_LIFT: &str = "no lift is needed at the sites that are known";

impl RecoveryOption {
    /// Whether it lifts and removes nothing, because no site that is known wants it. A margin that goes deeper lifts
    /// nothing by its nature and never counts as this.
    pub fn needs_no_lift(&self) -> bool {
        let is_reckoned = self.verdict.is_some() && !self.sites.is_empty();
        let moves =
            self.extrusion_mm.is_some_and(|by| by > 0.0) || self.sites.iter().any(|it| it.bone_mm > 0.0);
        self.way != Way::SulcusOnly && is_reckoned && !moves
    }
}

/// What it takes to recover a ferrule.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Recovery {
    /// The ferrule wanted, mm.
    pub ferrule_wanted_mm: f64,
    /// The distance wanted from margin to crest, mm.
    pub margin_to_crest_wanted_mm: f64,
    /// The share of the lift that extrusion takes where both ways are gone, 0 to 1.
    pub extrusion_share: f64,
    /// The sites.
    pub sites: Vec<RecoverySite>,
    /// Crown to root as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_to_root: Option<Amount>,
    /// Root in bone as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root_in_bone_mm: Option<Amount>,
    /// Width of the root at the margin as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root_width_at_margin_mm: Option<Amount>,
    /// The ways; none is called best.
    pub options: Vec<RecoveryOption>,
    /// What to know of all of them.
    pub words: Vec<String>,
}
