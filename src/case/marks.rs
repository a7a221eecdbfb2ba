//! What is known of landmarks: placed points, and landmarks hidden or absent.

use super::landmark::LandmarkId;
use crate::calibration::{Extra, Placed};
use crate::geometry::{Position, Square};
use crate::wording::words;
use schemars::JsonSchema;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

words! {
    /// Whether a point shows what is there or what is planned.
    State {
        /// What is there.
        Present: "present",
        /// What is planned.
        Planned: "planned",
    }
}

/// A placed point.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = super::schema::closed)]
pub struct Point {
    /// Pixels from the film's left edge.
    #[schemars(range(min = -1e6, max = 1e6))]
    pub x: f64,
    /// Pixels from the film's upper edge.
    #[schemars(range(min = -1e6, max = 1e6))]
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
    /// The user's own keys.
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
        /// The user's own keys.
        #[serde(flatten)]
        #[schemars(skip)]
        extra: Extra,
    },
    /// It does not exist.
    Absent {
        /// Why not.
        absent: String,
        /// The user's own keys.
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

    /// How many are placed.
    pub fn points(&self) -> usize {
        self.marks.values().filter(|mark| mark.point().is_some()).count()
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
