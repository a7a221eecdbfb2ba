//! The case: one tooth on one film, as a person fills it in. What is computed from it stands in
//! [`derived`](super::derived).

use super::landmark::LandmarkId;
use super::tooth::{Fdi, FilmSide, RootName, Site};
use crate::calibration::{Extra, Placed, Reference};
use crate::geometry::{Position, Square};
use schemars::JsonSchema;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$variant_doc:meta])* $variant:ident: $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$variant_doc])* $variant),+ }

        impl $name {
            /// Every choice with its word in files.
            pub const ALL: &'static [(&'static str, Self)] = &[$(($word, Self::$variant)),+];

            /// The word in files.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }
    };
}

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

words! {
    /// Whether a point shows what is there or what is planned.
    State {
        /// What is there.
        Present: "present",
        /// What is planned.
        Planned: "planned",
    }
}

words! {
    /// What a reading was taken with.
    Instrument {
        /// A periodontal probe.
        Probe: "probe",
        /// A calliper.
        Calliper: "calliper",
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
    #[schemars(extend("exclusiveMinimum" = 0))]
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
    #[schemars(range(min = 0.0))]
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
    #[schemars(range(min = 0.0))]
    pub placing_mm: Option<f64>,
    /// Standard uncertainty of a point's depth before or behind the canal plane, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub parallax_depth_mm: Option<f64>,
    /// Standard uncertainty of the beam's vertical angle, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 60.0))]
    pub angulation_deg: Option<f64>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A placed point.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Point {
    /// Pixels from the film's left edge.
    pub x: f64,
    /// Pixels from the film's upper edge.
    pub y: f64,
    /// Standard uncertainty of placing, each axis, in widths of a pixel; 0 means exact.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub sd_px: Option<f64>,
    /// Present, or planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<State>,
    /// How it was placed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub placed: Option<Placed>,
    /// Landmarks a planned point moves with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_from: Option<Vec<String>>,
    /// Keys not known here.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl Point {
    /// A present point placed by hand.
    pub fn at(x: f64, y: f64) -> Self {
        Self { x, y, sd_px: None, state: None, placed: None, planned_from: None, extra: Extra::new() }
    }

    /// Where it lies once pixels are made square.
    pub fn squared(&self, pixel_aspect: f64) -> Position<Square> {
        Position::new(self.x, self.y * pixel_aspect)
    }

    /// Whether it shows what is planned.
    pub fn is_planned(&self) -> bool {
        self.state == Some(State::Planned)
    }
}

/// What is known of a landmark.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Mark {
    /// It has coordinates.
    Placed(Point),
    /// It exists and cannot be seen.
    Hidden {
        /// Why not.
        hidden: String,
        /// Keys not known here.
        #[serde(flatten)]
        #[schemars(skip)]
        extra: Extra,
    },
    /// It does not exist.
    Absent {
        /// Why not.
        absent: String,
        /// Keys not known here.
        #[serde(flatten)]
        #[schemars(skip)]
        extra: Extra,
    },
}

impl Mark {
    /// The point, where there is one.
    pub fn point(&self) -> Option<&Point> {
        match self {
            Self::Placed(point) => Some(point),
            Self::Hidden { .. } | Self::Absent { .. } => None,
        }
    }

    /// Whether it is known not to exist.
    pub fn is_absent(&self) -> bool {
        matches!(self, Self::Absent { .. })
    }
}

/// Landmarks by name, in the order of the table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Landmarks {
    /// What is known of each; one not in the map is not placed.
    pub marks: BTreeMap<LandmarkId, Mark>,
    /// The user's own keys.
    pub extra: Extra,
}

impl Landmarks {
    /// The point of a landmark, where it is placed.
    pub fn point(&self, id: LandmarkId) -> Option<&Point> {
        self.marks.get(&id).and_then(Mark::point)
    }
}

impl Serialize for Landmarks {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.marks.len() + self.extra.len()))?;
        for (id, mark) in &self.marks {
            map.serialize_entry(id.key(), mark)?;
        }
        for (key, value) in &self.extra {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
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

fn landmarks_empty(landmarks: &Landmarks) -> bool {
    landmarks.marks.is_empty() && landmarks.extra.is_empty()
}

/// A reading with its uncertainty.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
pub struct Reading {
    /// The value, mm.
    #[schemars(range(min = 0.0))]
    pub value: f64,
    /// Its standard uncertainty, mm.
    #[schemars(range(min = 0.0))]
    pub sd: Option<f64>,
    /// What it was read with.
    pub by: Option<Instrument>,
    /// The user's own keys.
    #[schemars(skip)]
    pub extra: Extra,
}

impl Reading {
    /// The standard uncertainty: stated, else 0.2 mm by a calliper and 0.5 mm otherwise (common practice).
    pub fn sd(&self) -> f64 {
        self.sd.unwrap_or(if self.by == Some(Instrument::Calliper) { 0.2 } else { 0.5 })
    }
}

impl Serialize for Reading {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.sd.is_none() && self.by.is_none() && self.extra.is_empty() {
            return serializer.serialize_f64(self.value);
        }
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("value", &self.value)?;
        if let Some(sd) = self.sd {
            map.serialize_entry("sd", &sd)?;
        }
        if let Some(by) = self.by {
            map.serialize_entry("by", &by)?;
        }
        for (key, value) in &self.extra {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

/// Readings by site.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sites {
    /// The readings, by site.
    pub readings: BTreeMap<Site, Reading>,
    /// The user's own keys.
    pub extra: Extra,
}

impl Serialize for Sites {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for (site, reading) in &self.readings {
            map.serialize_entry(site.word(), reading)?;
        }
        for (key, value) in &self.extra {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

impl Sites {
    fn is_empty(&self) -> bool {
        self.readings.is_empty() && self.extra.is_empty()
    }
}

/// What was read at the chair, and what is planned there.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(transform = super::schema::closed)]
pub struct Clinical {
    /// Probed height of sound wall above the margin, buccal and lingual, mm.
    #[serde(skip_serializing_if = "Sites::is_empty")]
    #[schemars(schema_with = "super::schema::probed_sites", default)]
    pub ferrule_mm: Sites,
    /// Probed wall thickness, buccal and lingual, mm.
    #[serde(skip_serializing_if = "Sites::is_empty")]
    #[schemars(schema_with = "super::schema::probed_sites", default)]
    pub wall_mm: Sites,
    /// Height of sound wall above the bone by sounding, mm.
    #[serde(skip_serializing_if = "Sites::is_empty")]
    #[schemars(schema_with = "super::schema::all_sites", default)]
    pub wall_above_bone_mm: Sites,
    /// Depth of the sulcus, mm.
    #[serde(skip_serializing_if = "Sites::is_empty")]
    #[schemars(schema_with = "super::schema::all_sites", default)]
    pub sulcus_mm: Sites,
    /// Planned height of the core, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "super::schema::reading", default)]
    pub planned_core_height_mm: Option<Reading>,
    /// Planned length of the crown, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "super::schema::reading", default)]
    pub planned_crown_length_mm: Option<Reading>,
    /// Space from the core base to the opposing tooth, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "super::schema::reading", default)]
    pub interocclusal_space_mm: Option<Reading>,
    /// Thickness of the crown over the core, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "super::schema::reading", default)]
    pub crown_thickness_mm: Option<Reading>,
    /// What the instrument's stop rests on, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stop_reference_name: Option<String>,
    /// The drill for the post space, by its name in the library.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drill: Option<String>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl Case {
    /// Whether the tooth has several roots: it has when the case lists several.
    pub fn has_several_roots(&self) -> bool {
        self.roots.len() > 1
    }
}
