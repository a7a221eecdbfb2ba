//! Teeth whose every length is known: straight, upright on the film, 0.02 mm a pixel.

use crate::support::case;
use crestgauge::case::Case;
use serde_json::{Map, Value, json};

const MM_PER_PX: f64 = 0.02;

/// A tooth by its lengths in mm, heights counted from the margin.
#[derive(Debug, Clone)]
pub(crate) struct Tooth {
    pub(crate) fdi: &'static str,
    /// From the edge to the margin.
    pub(crate) crown: f64,
    /// From the margin to the apex.
    pub(crate) root: f64,
    /// From the margin up to the walls' tops; the core base stands at the lower.
    pub(crate) ferrule: [f64; 2],
    /// From the margin down to the crest.
    pub(crate) crest: [f64; 2],
    /// Height of the core.
    pub(crate) core: f64,
    /// From the margin down to the filling's top.
    pub(crate) filling_top: f64,
    /// From the filling's tip to the apex.
    pub(crate) filling_short: f64,
    /// Width of the root at the margin.
    pub(crate) width: f64,
    /// Sections: depth below the margin, root's width, canal's width.
    pub(crate) sections: Vec<[f64; 3]>,
    /// Standard uncertainty of placing, px; `None` for the default.
    pub(crate) sd_px: Option<f64>,
    /// Standard uncertainty of the instrument's length, mm.
    pub(crate) length_sd: f64,
    /// Standard uncertainty of the beam's angle, degrees.
    pub(crate) angulation: f64,
    /// What stands under `clinical`.
    pub(crate) clinical: Value,
}

impl Tooth {
    /// An upper canine with room for everything, and nothing uncertain.
    pub(crate) fn exact() -> Self {
        Self {
            fdi: "23",
            crown: 10.0,
            root: 17.0,
            ferrule: [2.5, 2.5],
            crest: [3.0, 3.0],
            core: 4.5,
            filling_top: 0.0,
            filling_short: 1.0,
            width: 7.0,
            sections: vec![[2.0, 6.2, 0.8], [6.0, 5.0, 0.7], [10.0, 4.2, 0.5]],
            sd_px: Some(0.0),
            length_sd: 0.0,
            angulation: 0.0,
            clinical: json!({"stop_reference_name": "distal wall, prepared"}),
        }
    }

    /// The same as placed by hand on a film with an instrument.
    pub(crate) fn placed() -> Self {
        Self { sd_px: None, length_sd: 0.1, angulation: 5.0, ..Self::exact() }
    }

    pub(crate) fn case(&self) -> Case {
        case(&self.json().to_string())
    }

    fn at(&self, across: f64, down: f64) -> Value {
        let mut point = json!({"x": 500.0 + across / MM_PER_PX, "y": 600.0 + down / MM_PER_PX});
        if let Some(sd) = self.sd_px {
            point["sd_px"] = sd.into();
        }
        point
    }

    pub(crate) fn json(&self) -> Value {
        let half = self.width / 2.0;
        let mut landmarks = Map::new();
        let mut sides = |key: &str, down: [f64; 2]| {
            landmarks.insert(format!("{key}.mesial"), self.at(-half, down[0]));
            landmarks.insert(format!("{key}.distal"), self.at(half, down[1]));
        };
        let lower = self.ferrule[0].min(self.ferrule[1]);
        sides("finish_line", [0.0, 0.0]);
        sides("wall_top", self.ferrule.map(|height| -height));
        sides("crest", self.crest);
        for (key, down) in
            [("crown_edge", -self.crown), ("core_top", -lower - self.core), ("core_base", -lower)]
        {
            landmarks.insert(key.to_owned(), self.at(0.0, down));
        }
        landmarks.insert("stop_reference".to_owned(), self.at(2.0, -lower));
        let sections: Vec<Value> = self
            .sections
            .iter()
            .map(|[down, root, canal]| {
                let points: Vec<Value> = [-root / 2.0, -canal / 2.0, canal / 2.0, root / 2.0]
                    .iter()
                    .map(|across| self.at(*across, *down))
                    .collect();
                json!({"points": points})
            })
            .collect();
        json!({
            "format": "crestgauge.case", "version": 1,
            "film": {"stage": "filled", "technique": "paralleling"},
            "tooth": {"fdi": self.fdi, "mesial_is": "left"},
            "calibration": {
                "references": [{"kind": "instrument", "points": [self.at(1.0, -9.0), self.at(1.0, 12.0)],
                                "length_mm": 21.0, "length_sd_mm": self.length_sd, "between": "tip-stop"}],
                "ratio_sd": if self.sd_px == Some(0.0) { 0.0 } else { 0.03 },
            },
            "uncertainty": {"angulation_deg": self.angulation},
            "landmarks": landmarks,
            "roots": [{
                "name": "single", "post_here": true,
                "landmarks": {
                    "orifice": self.at(0.0, 0.5), "filling_top": self.at(0.0, self.filling_top),
                    "filling_tip": self.at(0.0, self.root - self.filling_short), "apex": self.at(0.0, self.root),
                    "curve_start": {"absent": "straight canal"},
                },
                "canal": [self.at(0.0, 0.0), self.at(0.0, self.root)],
                "sections": sections,
            }],
            "clinical": self.clinical,
        })
    }
}
