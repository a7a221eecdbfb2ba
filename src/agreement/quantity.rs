//! What can be compared: a landmark's place along or across the tooth, and a measurement.

use crate::case::{LandmarkId, RowRef, Site};
use crate::measure::{CATALOGUE, Measurement};
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
    /// A measurement.
    Measurement(MeasurementName),
}

/// A measurement by its id, in the order of the catalogue, of sections and of sites.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct MeasurementName {
    row: usize,
    section: Option<usize>,
    site: Option<Site>,
    /// The id with site or section.
    pub id: String,
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
    /// A measurement's quantity.
    pub(super) fn measurement(of: &Measurement) -> Self {
        let row = CATALOGUE.iter().position(|row| std::ptr::eq(row, of.row)).unwrap_or(CATALOGUE.len());
        let Measurement { section, site, .. } = *of;
        Self::Measurement(MeasurementName { row, section, site, id: of.of.id.clone() })
    }

    /// Its name in files: `crest.mesial`, `ferrule_height.mesial`.
    pub fn id(&self) -> &str {
        match self {
            Self::Place(landmark, _) => landmark.key(),
            Self::Measurement(name) => &name.id,
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
            Self::Measurement(name) => CATALOGUE.get(name.row).map_or(Unit::One, |row| row.unit),
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
            Self::Measurement(name) => map.serialize_entry("measurement", &name.id)?,
        }
        map.serialize_entry("unit", &self.unit())?;
        map.end()
    }
}
