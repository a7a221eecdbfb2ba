//! The range one meets each reading in, to name it where a reading is refused and to notice one that is odd. From
//! memory of common practice; none of it refuses a reading.

use super::clinical::{Clinical, Reading, Sites};
use super::first_look::Finding;

/// A reading with the range one meets it in, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Plausible {
    /// Its key under `clinical`, with its site.
    pub key: String,
    /// Its value, mm.
    pub value: f64,
    /// The least one meets, mm.
    pub least: f64,
    /// The most one meets, mm.
    pub most: f64,
}

/// Key, least and most, mm.
const RANGES: [(&str, f64, f64); 9] = [
    ("ferrule_mm", 0.0, 8.0),
    ("wall_mm", 0.2, 6.0),
    ("wall_above_bone_mm", 0.0, 12.0),
    ("sulcus_mm", 0.0, 12.0),
    ("planned_core_height_mm", 1.0, 12.0),
    ("planned_crown_length_mm", 3.0, 16.0),
    ("interocclusal_space_mm", 1.0, 15.0),
    ("crown_thickness_mm", 1.0, 2.5),
    ("chamber_depth_mm", 0.0, 10.0),
];

/// The range of a key under `clinical` or `clinical.first_look`, mm.
pub(super) fn range(key: &str) -> Option<[f64; 2]> {
    RANGES.iter().find(|(it, ..)| *it == key).map(|(_, least, most)| [*least, *most])
}

/// Every reading of a case with the range one meets it in.
pub fn readings(clinical: &Clinical) -> Vec<Plausible> {
    let mut readings = Vec::new();
    let mut add = |key: &str, site: Option<&str>, reading: &Reading| {
        if let Some([least, most]) = range(key) {
            let key = site.map_or_else(|| key.to_owned(), |site| format!("{key}/{site}"));
            readings.push(Plausible { key, value: reading.value, least, most });
        }
    };
    let by_site: [(&str, &Sites); 4] = [
        ("ferrule_mm", &clinical.ferrule_mm),
        ("wall_mm", &clinical.wall_mm),
        ("wall_above_bone_mm", &clinical.wall_above_bone_mm),
        ("sulcus_mm", &clinical.sulcus_mm),
    ];
    for (key, sites) in by_site {
        for (site, reading) in &sites.readings {
            add(key, Some(site.word()), reading);
        }
    }
    let of_the_tooth = [
        ("planned_core_height_mm", clinical.planned_core_height_mm.as_ref()),
        ("planned_crown_length_mm", clinical.planned_crown_length_mm.as_ref()),
        ("interocclusal_space_mm", clinical.interocclusal_space_mm.as_ref()),
        ("crown_thickness_mm", clinical.crown_thickness_mm.as_ref()),
        ("chamber_depth_mm", clinical.first_look.depth(Finding::ChamberDepth)),
    ];
    for (key, reading) in of_the_tooth {
        if let Some(reading) = reading {
            add(key, None, reading);
        }
    }
    readings
}
