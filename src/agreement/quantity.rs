//! What can be compared: a landmark's place along or across the tooth, and a measurement.

use crate::case::{LandmarkId, RowRef};
use crate::measure::{CATALOGUE, Row};
use crate::quantity::Unit;
use crate::wording::words;
use serde::Serialize;
use serde::ser::SerializeMap as _;

words! {
    /// Which component of a place.
    Component {
        /// Along the tooth axis; apical is positive.
        Along: "along",
        /// Square to it; distal is positive.
        Across: "across",
    }
}

/// What is compared. A root's landmarks and measurements are compared over all roots alike: each root is one more tooth
/// to read.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// A component of a landmark's place, mm.
    Place(LandmarkId, Component),
    /// A measurement: its place in the catalogue, and its id with site or section.
    Measurement(usize, String),
}

impl PartialOrd for Component {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Component {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (*self as u8).cmp(&(*other as u8))
    }
}

impl Quantity {
    /// The measurement of this row and name.
    pub(super) fn measurement(row: &Row, of: &RowRef) -> Self {
        let place = CATALOGUE.iter().position(|known| std::ptr::eq(known, row)).unwrap_or(CATALOGUE.len());
        Self::Measurement(place, of.id.clone())
    }

    /// Its name in files: `crest.mesial`, `ferrule_height.mesial`.
    pub fn id(&self) -> &str {
        match self {
            Self::Place(landmark, _) => landmark.key(),
            Self::Measurement(_, id) => id,
        }
    }

    /// A name in files as one says it: `crest.mesial` is "crest, mesial".
    pub fn words_of(id: &str) -> String {
        RowRef { id: id.to_owned(), root: None }.spoken()
    }

    /// Its name in sentences.
    pub fn spoken(&self) -> String {
        let name = Self::words_of(self.id());
        match self {
            Self::Place(_, component) => format!("{name}, {}", component.word()),
            Self::Measurement(..) => name,
        }
    }

    /// Which component, of a landmark's place.
    pub fn component(&self) -> Option<Component> {
        match self {
            Self::Place(_, component) => Some(*component),
            Self::Measurement(..) => None,
        }
    }

    /// Its unit.
    pub fn unit(&self) -> Unit {
        match self {
            Self::Place(..) => Unit::Millimetre,
            Self::Measurement(row, _) => CATALOGUE.get(*row).map_or(Unit::One, |row| row.unit),
        }
    }
}

/// As `{"landmark": "crest.mesial", "component": "along", "unit": "mm"}` or `{"measurement": …, "unit": …}`.
impl Serialize for Quantity {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        match self {
            Self::Place(landmark, component) => {
                map.serialize_entry("landmark", landmark.key())?;
                map.serialize_entry("component", component)?;
            }
            Self::Measurement(_, id) => map.serialize_entry("measurement", id)?,
        }
        map.serialize_entry("unit", &self.unit())?;
        map.end()
    }
}
