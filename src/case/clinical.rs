//! What was read at the chair, and what is planned there.

use super::first_look::FirstLook;
use super::tooth::Site;
use crate::calibration::Extra;
use crate::wording::words;
use schemars::JsonSchema;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

words! {
    /// What a reading was taken with.
    Instrument {
        /// A periodontal probe.
        Probe: "probe",
        /// A calliper.
        Calliper: "calliper",
    }
}

words! {
    /// How much of the teeth and gum a smile shows.
    SmileLine {
        /// The margin of the gum shows.
        High: "high",
        /// Most of the crowns show, the gum's margin hardly.
        Average: "average",
        /// Little of the crowns shows.
        Low: "low",
    }
}

impl SmileLine {
    /// What is asked, for people.
    pub const QUESTION: &str = "how much of teeth and gum does a smile show?";
}

/// A reading with its uncertainty.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
pub struct Reading {
    /// The value, mm.
    #[schemars(range(min = 0.0, max = 60.0))]
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
    /// What was found before any number.
    #[serde(skip_serializing_if = "FirstLook::is_empty")]
    #[schemars(schema_with = "super::schema::first_look", default)]
    pub first_look: FirstLook,
    /// How much of the gum a smile shows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub smile_line: Option<SmileLine>,
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
