//! Repeated cases: agreement of observers, and students against a key.

mod agreement;
mod commands;
mod consensus;
mod history;
mod practice;

use crate::support::case;
use crestgauge::case::{Case, Point};
use serde_json::{Value, json};

/// 0.05 mm a pixel both ways: an upright tooth, mesial to the left, its apex 400 px below the margin.
pub(crate) fn upright() -> Value {
    json!({
        "format": "crestgauge.case",
        "version": 1,
        "film": {"sha256": "0".repeat(64), "width_px": 500, "height_px": 700, "technique": "paralleling"},
        "tooth": {"fdi": "21", "mesial_is": "left"},
        "calibration": {"references": [
            {"kind": "instrument", "points": [{"x": 200.0, "y": 100.0}, {"x": 200.0, "y": 500.0}], "length_mm": 20.0}
        ]},
        "landmarks": {
            "wall_top.mesial": {"x": 105.0, "y": 60.0}, "wall_top.distal": {"x": 295.0, "y": 60.0},
            "finish_line.mesial": {"x": 100.0, "y": 100.0}, "finish_line.distal": {"x": 300.0, "y": 100.0},
            "crest.mesial": {"x": 110.0, "y": 160.0}, "crest.distal": {"x": 290.0, "y": 165.0}
        },
        "roots": [{
            "name": "single",
            "landmarks": {"apex": {"x": 200.0, "y": 500.0}},
            "canal": [{"x": 200.0, "y": 120.0}, {"x": 200.0, "y": 300.0}, {"x": 200.0, "y": 480.0}],
            "sections": [{"level": "middle", "points": [
                {"x": 130.0, "y": 300.0}, {"x": 180.0, "y": 300.0}, {"x": 220.0, "y": 300.0}, {"x": 270.0, "y": 300.0}
            ]}]
        }],
        "clinical": {}
    })
}

/// The upright tooth, changed.
pub(crate) fn changed(change: impl FnOnce(&mut Value)) -> Case {
    let mut document = upright();
    change(&mut document);
    case(&document.to_string())
}

/// Every point of the tooth, references left out.
pub(crate) fn each_point(case: &mut Case, mut change: impl FnMut(&mut Point)) {
    for mark in case.landmarks.marks.values_mut() {
        if let crestgauge::case::Mark::Placed(point) = mark {
            change(point);
        }
    }
    for root in &mut case.roots {
        for mark in root.landmarks.marks.values_mut() {
            if let crestgauge::case::Mark::Placed(point) = mark {
                change(point);
            }
        }
        root.canal.iter_mut().for_each(&mut change);
        root.sections.iter_mut().flat_map(|section| &mut section.points).for_each(&mut change);
    }
}

pub(crate) fn close(one: f64, other: f64) {
    assert!((one - other).abs() < 1e-9, "{one}, not {other}");
}
