//! What a plan says, as plain rows: for the table, for JSON and its schema, and for a window.

use crate::case::{Lack, RootName, Site, Strength, Verdict};
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

/// A rule at one depth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleAt {
    /// Which rule.
    pub rule: String,
    /// How much weight it carries.
    pub strength: Strength,
    /// Whether it is satisfied.
    pub verdict: Verdict,
    /// The probability that it is, over all its places at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
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

/// A place on the film, stored pixels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct OnFilm {
    /// Pixels from the left edge.
    pub x: f64,
    /// Pixels from the upper edge.
    pub y: f64,
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
    /// Depths along the canal it admits within the root, mm, each from and to.
    pub admits_mm: Vec<[f64; 2]>,
    /// Whether some of its places could not be judged.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schemars(default)]
    pub incomplete: bool,
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
    /// Why there is no setting, or what to know of it.
    pub words: Vec<String>,
    /// The instruments it is for, in order.
    pub instruments: Vec<String>,
    /// What is always done.
    pub always: Vec<String>,
}

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
    /// How far down the root the margin has to go, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_down_mm: Option<f64>,
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
