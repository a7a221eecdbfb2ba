//! What is carried to the chair.

use super::{Amount, RuleAt};
use schemars::JsonSchema;
use serde::Serialize;

/// A depth printed for an instrument's stop.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StopSetting {
    /// What the gauge is set to, mm, from stop to the instrument's very tip.
    pub set_mm: f64,
    /// Every rule at this setting, the stop's own uncertainty included.
    pub rules: Vec<RuleAt>,
}

/// What is carried to the chair.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Card {
    /// What the stop rests on, in words.
    pub stop_rests_on: Option<String>,
    /// Set at: the shortest depth that satisfies every rule, rounded up.
    pub set_at: Option<StopSetting>,
    /// Never beyond: the deepest, rounded down.
    pub never_beyond: Option<StopSetting>,
    /// To what the settings are rounded, mm.
    pub rounded_to_mm: Option<f64>,
    /// Half the 95 % interval of the depth, the setting of the stop included, mm.
    pub half_width_mm: Option<f64>,
    /// Standard uncertainty with which a stop is set, mm.
    pub stop_setting_sd_mm: f64,
    /// From the stop to the tip that the case plans, mm; none where it plans none.
    pub planned_tip_mm: Option<Amount>,
    /// Why there is no setting, or what to know of it.
    pub words: Vec<String>,
    /// The instruments it is for, in order.
    pub instruments: Vec<String>,
    /// What is always done.
    pub always: Vec<String>,
}
