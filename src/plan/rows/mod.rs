//! What a plan says, as plain rows: for the table, for JSON and its schema, and for a window.

mod chair;
mod depth;
mod drills;
mod first;
mod recovery;

pub use chair::{Card, StopSetting};
pub use depth::{
    Binding, Conflict, CoronalAlternative, Depth, End, Marks, Relaxation, RuleAt, RuleRow, Window,
};
pub use drills::{ChosenBy, DrillRow, DrilledLevel, Drills};
pub use first::{Core, CoreFrom, CoreWithoutPost, Settle, SettleState, WithoutPost};
pub use recovery::{NO_LIFT, Recovery, RecoveryOption, RecoverySite, SiteAfter, Way, WayVerdict, Weeks};

use crate::case::{Lack, RootName};
use crate::caution::CautionRow;
use crate::measure::FirstOrder;
use crate::quantity::{COVERAGE_FACTOR, Estimate};
use schemars::JsonSchema;
use serde::Serialize;

/// A length in mm, or a ratio, with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Amount {
    /// The value.
    pub value: f64,
    /// Standard uncertainty.
    pub sd: f64,
    /// 95 % interval.
    pub interval: [f64; 2],
}

impl From<Estimate> for Amount {
    fn from(estimate: Estimate) -> Self {
        Self { value: estimate.value, sd: estimate.sd, interval: estimate.interval() }
    }
}

impl From<&FirstOrder> for Amount {
    fn from(quantity: &FirstOrder) -> Self {
        quantity.estimate().into()
    }
}

impl Amount {
    /// Half the 95 % interval.
    pub fn half_width(&self) -> f64 {
        COVERAGE_FACTOR * self.sd
    }
}

/// A place on the film, stored pixels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct OnFilm {
    /// Pixels from the left edge.
    pub x: f64,
    /// Pixels from the upper edge.
    pub y: f64,
}

/// Something a plan would need.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Need {
    /// In words.
    pub words: String,
    /// The landmark, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub landmark: Option<Lack>,
    /// The key under `clinical`, where it is a reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<String>,
    /// What it is needed for.
    pub wanted_for: Vec<String>,
}

/// A plan for one root of a tooth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Plan {
    /// The program and its version.
    pub program: String,
    /// Name and version of the criteria.
    pub criteria: String,
    /// SHA-256 of the criteria file.
    pub criteria_sha256: String,
    /// The tooth, two digits by ISO 3950.
    pub tooth: Option<String>,
    /// The root planned for.
    pub root: Option<RootName>,
    /// What to settle before a post is planned.
    pub settle: Vec<Settle>,
    /// A core without a post.
    pub core_without_a_post: CoreWithoutPost,
    /// The core.
    pub core: Option<Core>,
    /// The admissible depths; null where there are none, or where too little is known.
    pub window: Option<Window>,
    /// The marks.
    pub marks: Marks,
    /// The rule at each end of the window.
    pub binding: Vec<Binding>,
    /// Every rule.
    pub rules: Vec<RuleRow>,
    /// Where nothing is admissible: the smallest sets of requirements that exclude one another.
    pub conflicts: Vec<Conflict>,
    /// Where nothing is admissible: what giving up one requirement would open.
    pub relaxations: Vec<Relaxation>,
    /// A tip coronal of the crest.
    pub coronal_alternative: Option<CoronalAlternative>,
    /// The drills of the library.
    pub drills: Drills,
    /// What is carried to the chair.
    pub card: Card,
    /// What it takes to recover a ferrule.
    pub recovery: Recovery,
    /// What is needed and not there.
    pub needs: Vec<Need>,
    /// What to know of the readings and choices this rests on.
    pub remarks: Vec<String>,
    /// Cautions on the numbers.
    pub cautions: Vec<CautionRow>,
}
