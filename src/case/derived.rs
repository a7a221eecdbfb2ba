//! What is computed from a case: plain rows, written beside the case on saving and never trusted on reading.

use super::landmark::LandmarkId;
use crate::caution::CautionRow;
use crate::quantity::Unit;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// How the rows came about.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Computed {
    /// The program and its version.
    pub program: String,
    /// Name and version of the criteria.
    pub criteria: String,
    /// SHA-256 of the criteria file.
    pub criteria_sha256: String,
    /// Monte Carlo draws; 0 for first order.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u64,
    /// The scale, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale: Option<ScaleRow>,
    /// What the rows share of the beam's angle, where there are draws.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shared_angle: Option<SharedAngle>,
}

/// The scale and what it is worth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScaleRow {
    /// mm per pixel along the axial direction.
    pub axial_mm_per_px: f64,
    /// Relative standard uncertainty of it.
    pub axial_relative_sd: f64,
    /// mm per pixel across it.
    pub transverse_mm_per_px: f64,
    /// Relative standard uncertainty of it.
    pub transverse_relative_sd: f64,
    /// Axial direction on the film with square pixels, degrees from x towards y.
    pub axial_angle_deg: f64,
    /// Where the axial direction comes from: `instrument` or `tooth_axis`.
    pub axial_direction_from: String,
    /// The references that made it.
    pub references: Vec<String>,
    /// Elongation (above 1) or foreshortening of the exposure, where both directions have references.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elongation: Option<f64>,
    /// The tilt that would explain it, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elongation_tilt_deg: Option<f64>,
    /// How far the references disagree, in standard uncertainties.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub disagreement_sd: Option<f64>,
}

/// The one vertical angle of the beam that all rows of a film share.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SharedAngle {
    /// Its standard uncertainty, degrees.
    pub angulation_deg: f64,
    /// The row that feels it most.
    pub most_affected: RowRef,
    /// That row's sd.
    pub sd: f64,
    /// The same with twice the angle.
    pub sd_at_twice_the_angle: f64,
}

/// A measurement by name.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, JsonSchema)]
pub struct RowRef {
    /// Its id with its site or section: `ferrule_height.mesial`, `wall.distal@0`.
    pub id: String,
    /// Its root; none for a measurement of the tooth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root: Option<String>,
}

impl RowRef {
    /// The name in lists: `post_depth (distal)`.
    pub fn listed(&self) -> String {
        match &self.root {
            Some(root) => format!("{} ({root})", self.id),
            None => self.id.clone(),
        }
    }

    /// The name in sentences: `wall.mesial@0` of the distal root is "wall, mesial, section 1, distal root".
    pub fn spoken(&self) -> String {
        let (rest, section) =
            self.id.split_once('@').map_or((self.id.as_str(), None), |(rest, section)| (rest, Some(section)));
        let mut words = rest.replace('_', " ").replace('.', ", ").replace("cej", "CEJ");
        if let Some(section) = section.and_then(|section| section.parse::<usize>().ok()) {
            words = format!("{words}, section {}", section + 1);
        }
        match self.root.as_deref().filter(|root| *root != "single") {
            Some(root) => format!("{words}, {root} root"),
            None => words,
        }
    }
}

/// Why a landmark is lacking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// Nobody placed it.
    NotPlaced,
    /// It exists and cannot be seen.
    Hidden,
    /// It does not exist.
    Absent,
}

impl Why {
    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NotPlaced => "not placed",
            Self::Hidden => "hidden",
            Self::Absent => "absent",
        }
    }
}

/// A landmark a measurement lacks.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, JsonSchema)]
pub struct Lack {
    /// Its key.
    pub landmark: String,
    /// Its root, for a root's landmark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root: Option<String>,
    /// Why it is lacking.
    pub why: Why,
}

impl Lack {
    /// For people: `apex of the distal root (hidden)`.
    pub fn words(&self) -> String {
        let name =
            LandmarkId::of_key(&self.landmark).map_or_else(|| self.landmark.clone(), LandmarkId::words);
        match self.root.as_deref() {
            None | Some("single") => format!("{name} ({})", self.why.words()),
            Some(root) => format!("{name} of the {root} root ({})", self.why.words()),
        }
    }
}

/// Why a measurement has no value, other than a lacking landmark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// No reference gives a scale.
    NoScale,
    /// Neither an instrument nor the tooth gives an axial direction.
    NoAxis,
    /// The crest line runs along the axis.
    Parallel,
    /// All that stands under the fraction bar is below 0.5 mm.
    DenominatorSmall,
    /// The canal curves by less than 5 degrees.
    #[serde(rename = "below_5_deg")]
    Below5Deg,
    /// A direction or reference is shorter than 1e-9.
    Degenerate,
}

impl Reason {
    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoScale => "no reference gives a scale",
            Self::NoAxis => "neither an instrument nor the tooth gives an axial direction",
            Self::Parallel => "the crest line runs along the axis",
            Self::DenominatorSmall => "what it is divided by is below 0.5 mm",
            Self::Below5Deg => "the canal curves by less than 5 deg",
            Self::Degenerate => "a direction has no length",
        }
    }
}

/// One measurement.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasurementRow {
    /// Which measurement.
    #[serde(flatten)]
    pub of: RowRef,
    /// Its value; null where it cannot be made.
    pub value: Option<f64>,
    /// Standard uncertainty.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<f64>,
    /// 95 % interval.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval: Option<[f64; 2]>,
    /// UCUM code.
    #[schemars(with = "String")]
    pub unit: Unit,
    /// Landmarks used, in the order of the landmark table, then `clinical` where a reading was used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub from: Vec<String>,
    /// Present, or planned where any point or reading used is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<super::State>,
    /// Share of the variance by source; those of 0 are left out, the rest sum to 1.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(default)]
    pub shares: BTreeMap<String, f64>,
    /// Whether the first-order interval is doubtful; Monte Carlo replaces it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schemars(default)]
    pub first_order_doubtful: bool,
    /// Draws that gave a value, where Monte Carlo was run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draws_used: Option<u32>,
    /// The landmarks it lacks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub lacks: Vec<Lack>,
    /// Why it has no value, where no landmark is lacking.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Reason>,
}

/// What a criterion says of this tooth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// With a probability of at least 95 %.
    Meets,
    /// It satisfies the bound with a probability of at most 5 %.
    FallsShort,
    /// Neither.
    Undecided,
    /// The thing judged does not exist.
    DoesNotApply,
}

impl Verdict {
    /// The word for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::FallsShort => "falls short",
            Self::Undecided => "undecided",
            Self::DoesNotApply => "does not apply",
        }
    }
}

/// How much weight a criterion carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Strength {
    /// A tooth that falls short needs something done.
    Requirement,
    /// Better so.
    Preference,
    /// Shown, not judged.
    Information,
}

impl Strength {
    /// The word for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Requirement => "requirement",
            Self::Preference => "preference",
            Self::Information => "information",
        }
    }
}

/// One verdict.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VerdictRow {
    /// Id of the criterion.
    pub criterion: String,
    /// How much weight it carries.
    pub strength: Strength,
    /// The measurements it is about.
    pub about: Vec<RowRef>,
    /// The verdict; null for information, which is not judged.
    pub verdict: Option<Verdict>,
    /// Probability that the bound is satisfied; over several sites that of the worst known one, and of a count of
    /// sites that of the last one needed. Several sites meet a bound only where 1 − Σ(1 − p) is at least 0.95.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// Which class the value falls in, for information in classes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// The site or section with the least probability, where there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<RowRef>,
    /// Present, or planned where it rests on a planned point or reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<super::State>,
    /// What would settle an undecided verdict.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settled_by: Option<String>,
}

/// All that is computed from a case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Derived {
    /// How it came about.
    pub computed: Computed,
    /// The measurements.
    pub measurements: Vec<MeasurementRow>,
    /// The verdicts.
    pub verdicts: Vec<VerdictRow>,
    /// The cautions.
    pub cautions: Vec<CautionRow>,
}

/// The keys of a case file that are derived: written on saving, skipped on reading.
pub const DERIVED_KEYS: [&str; 4] = ["computed", "measurements", "verdicts", "cautions"];
