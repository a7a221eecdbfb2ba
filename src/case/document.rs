//! The case: one tooth on one film, as a person fills it in. What is computed from it stands in
//! [`derived`](super::derived).

use super::clinical::Clinical;
use super::landmark::Landmark;
use super::marks::{Landmarks, Point};
use super::tooth::{Fdi, FilmSide, RootName};
use crate::calibration::{Extra, Reference};
use crate::wording::words;
use schemars::JsonSchema;
use serde::Serialize;

words! {
    /// When in the treatment a film was taken; it decides what can be seen.
    Stage {
        /// Before treatment.
        Assessment: "assessment",
        /// With an instrument at working length.
        WorkingLength: "working_length",
        /// After the root filling.
        Filled: "filled",
        /// With the post space prepared.
        PostSpace: "post_space",
        /// With post and core.
        PostCore: "post_core",
        /// With the crown.
        Crowned: "crowned",
        /// At a later visit.
        Recall: "recall",
    }
}

words! {
    /// How the film was aimed.
    Technique {
        /// Receptor parallel to the tooth, beam square to both.
        Paralleling: "paralleling",
        /// Beam square to the bisector of tooth and receptor.
        Bisecting: "bisecting",
        /// Not known.
        Unknown: "unknown",
    }
}

/// One tooth on one film.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The film.
    pub film: Film,
    /// The tooth.
    pub tooth: Tooth,
    /// Free text; no patient name is wanted.
    pub label: Option<String>,
    /// What gives the scale.
    pub calibration: Calibration,
    /// Uncertainties that win over the defaults.
    pub uncertainty: Uncertainty,
    /// Landmarks of the tooth.
    pub landmarks: Landmarks,
    /// Roots.
    pub roots: Vec<Root>,
    /// What was read at the chair.
    pub clinical: Clinical,
    /// Keys not known here, kept and written back.
    pub extra: Extra,
}

/// The film a case lies on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Film {
    /// Path of the film, relative to the case.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// SHA-256 of the film's bytes, lower hex.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(regex(pattern = "^[0-9a-f]{64}$"))]
    pub sha256: Option<String>,
    /// Width in pixels, after orientation.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1))]
    pub width_px: Option<u32>,
    /// Height in pixels, after orientation.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1))]
    pub height_px: Option<u32>,
    /// Height of a pixel over its width; 1 where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 10.0))]
    pub pixel_aspect: Option<f64>,
    /// When it was taken, `YYYY-MM-DD`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(regex(pattern = r"^\d{4}-\d{2}-\d{2}$"))]
    pub date: Option<String>,
    /// When in the treatment it was taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// How it was aimed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub technique: Option<Technique>,
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl Film {
    /// Height of a pixel over its width.
    pub fn aspect(&self) -> f64 {
        self.pixel_aspect.unwrap_or(1.0)
    }
}

/// Which tooth.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Tooth {
    /// Two digits by ISO 3950; left out in a draft.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fdi: Option<Fdi>,
    /// Where mesial lies on the film; as seen from in front where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mesial_is: Option<FilmSide>,
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl Tooth {
    /// Where mesial lies on the film: stated, else as seen from in front, else not known.
    pub fn mesial_is(&self) -> Option<FilmSide> {
        self.mesial_is.or_else(|| self.fdi.map(Fdi::mesial_seen_from_in_front))
    }
}

/// What gives the scale.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Calibration {
    /// The references.
    #[schemars(default)]
    pub references: Vec<Reference>,
    /// Standard uncertainty of the ratio of transverse to axial scale, nominally 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub ratio_sd: Option<f64>,
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Uncertainties that win over what technique and tooth imply.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(transform = super::schema::closed)]
pub struct Uncertainty {
    /// Standard uncertainty of placing a point, each axis, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 5.0))]
    pub placing_mm: Option<f64>,
    /// Standard uncertainty of a point's depth before or behind the canal plane, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 20.0))]
    pub parallax_depth_mm: Option<f64>,
    /// Standard uncertainty of the beam's vertical angle, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 20.0))]
    pub angulation_deg: Option<f64>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Widths across a root at one level.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Section {
    /// Which level, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<String>,
    /// Outer wall, canal or post, canal or post, outer wall; mesial first.
    #[schemars(length(min = 4, max = 4))]
    pub points: [Point; 4],
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// One root.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Root {
    /// Its name.
    pub name: RootName,
    /// Whether a post is in it or planned for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub post_here: Option<bool>,
    /// Its landmarks.
    #[serde(skip_serializing_if = "landmarks_empty")]
    #[schemars(schema_with = "super::schema::root_landmarks", default)]
    pub landmarks: Landmarks,
    /// The canal, coronal to apical.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub canal: Vec<Point>,
    /// Widths by level.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub sections: Vec<Section>,
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl Root {
    /// Whether a post is in it: an end of one is seen, and not only planned.
    pub fn holds_post(&self) -> bool {
        let ends = [Landmark::PostHead, Landmark::PostTip].map(Landmark::id);
        ends.iter().filter_map(|end| self.landmarks.point(*end)).any(|end| !end.is_planned())
    }

    /// How many points it has on the film.
    fn points(&self) -> usize {
        self.landmarks.points() + self.canal.len() + 4 * self.sections.len()
    }
}

impl Case {
    /// How many points it has on the film: landmarks, canals, sections and references.
    pub fn points(&self) -> usize {
        let roots: usize = self.roots.iter().map(Root::points).sum();
        let references: usize = self.calibration.references.iter().map(|it| it.points().len()).sum();
        self.landmarks.points() + roots + references
    }
}

fn landmarks_empty(landmarks: &Landmarks) -> bool {
    landmarks.marks.is_empty() && landmarks.extra.is_empty()
}
