//! Forms of average teeth: `phantom/teeth.toml`, beside the lengths of [`average`].

use crate::case::Fdi;
use crate::measure::average;
use serde::Deserialize;

const TEETH: &str = include_str!("../../phantom/teeth.toml");

/// The form of an average tooth, mm.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AverageForm {
    jaw: String,
    positions: Vec<u8>,
    pub(super) width: f64,
    pub(super) depth: f64,
    pub(super) cervix_depth: f64,
    pub(super) cej: [f64; 2],
    pub(super) furcation: Option<f64>,
    pub(super) roots: Vec<AverageRoot>,
    #[serde(skip)]
    pub(super) crown_length: f64,
    #[serde(skip)]
    pub(super) root_length: f64,
    #[serde(skip)]
    pub(super) cervix: f64,
}

/// The form of an average root; see the head of the file for what each number is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AverageRoot {
    pub(super) name: String,
    #[serde(default)]
    pub(super) x: f64,
    #[serde(default)]
    pub(super) y: f64,
    #[serde(default = "whole_neck")]
    pub(super) half: [f64; 2],
    #[serde(default)]
    pub(super) shorter: f64,
    pub(super) lean: [f64; 2],
    pub(super) bend: [f64; 2],
    pub(super) towards: Towards,
}

/// The side a root usually bends to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Towards {
    Mesial,
    Distal,
    Buccal,
    Lingual,
}

impl Towards {
    /// Degrees from distal towards lingual.
    pub(super) const fn bearing_deg(self) -> f64 {
        match self {
            Self::Distal => 0.0,
            Self::Lingual => 90.0,
            Self::Mesial => 180.0,
            Self::Buccal => 270.0,
        }
    }
}

const fn whole_neck() -> [f64; 2] {
    [0.5, 0.5]
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    tooth: Vec<AverageForm>,
}

/// The average tooth of this designation. A third molar has the lengths of the second: there is no average worth the
/// name.
pub(super) fn average_form(fdi: Fdi) -> Option<AverageForm> {
    let file: File = toml::from_str(TEETH).ok()?;
    let jaw = if fdi.is_upper() { "upper" } else { "lower" };
    let form = file.tooth.into_iter().find(|it| it.jaw == jaw && it.positions.contains(&fdi.position()))?;
    let known =
        average(fdi).or_else(|| average(Fdi::parse(if fdi.is_upper() { "17" } else { "37" }).ok()?))?;
    Some(AverageForm {
        crown_length: known.crown.get(),
        root_length: known.root.get(),
        cervix: known.cervix.get(),
        ..form
    })
}
