//! Published and independently computed values (tests/data/oracles.json) against the program's own code. Each check
//! names its source; `status` in the data says whether the value was read there, comes from memory, or is computed.

mod agreement;
mod canal;
mod circles;
mod projection;
mod uncertainty;

use crate::support::{case, text};
use crestgauge::case::Case;
use serde_json::{Value, json};

/// One entry of the table.
pub(crate) struct Oracle(pub(crate) Value);

impl Oracle {
    /// The entry whose id begins with this letter and number.
    pub(crate) fn of(number: &str) -> Self {
        let entries: Vec<Value> = serde_json::from_str(&text("oracles.json")).unwrap();
        let begins = |entry: &Value| entry["id"].as_str().unwrap().split('_').next() == Some(number);
        Self(entries.into_iter().find(begins).unwrap_or_else(|| panic!("no oracle {number}")))
    }

    pub(crate) fn number(&self, pointer: &str) -> f64 {
        let found = self.0.pointer(pointer).and_then(Value::as_f64);
        found.unwrap_or_else(|| panic!("{}: no number at {pointer}", self.0["id"]))
    }

    pub(crate) fn given(&self, path: &str) -> f64 {
        self.number(&format!("/inputs/{path}"))
    }

    pub(crate) fn expected(&self, path: &str) -> f64 {
        self.number(&format!("/expected/{path}"))
    }

    /// The tolerance of the entry, or of the expected value where each has its own.
    pub(crate) fn tolerance(&self, path: &str) -> f64 {
        let of_all = self.0["tolerance"].as_f64();
        let first = path.split('/').next().unwrap_or(path);
        of_all.unwrap_or_else(|| self.number(&format!("/tolerance/{first}")))
    }

    /// A list of rows of numbers among the inputs.
    pub(crate) fn rows(&self, path: &str) -> Vec<Vec<f64>> {
        let rows = self.0["inputs"][path].as_array().unwrap();
        rows.iter().map(numbers).collect()
    }

    /// A list of numbers, `inputs/x` or `expected/angle_deg`.
    pub(crate) fn list(&self, pointer: &str) -> Vec<f64> {
        numbers(self.0.pointer(&format!("/{pointer}")).unwrap_or_else(|| panic!("nothing at {pointer}")))
    }

    pub(crate) fn agrees(&self, ours: f64, path: &str) {
        let (expected, tolerance) = (self.expected(path), self.tolerance(path));
        assert!(
            (ours - expected).abs() <= tolerance,
            "{} ({}): {path} is {ours}, expected {expected} within {tolerance}",
            self.0["id"],
            self.0["source"]
        );
    }
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|it| it.as_f64().unwrap()).collect()
}

/// A film of a single-rooted tooth with nothing on it but what is given here; no parallax, and exact placing
/// unless a point states its own.
fn film(references: &Value, landmarks: &Value, root_landmarks: &Value, canal: &Value) -> Case {
    let document = json!({
        "format": "crestgauge.case",
        "version": 1,
        "film": {},
        "tooth": {"fdi": "11"},
        "calibration": {"references": references, "ratio_sd": 0.0},
        "uncertainty": {"parallax_depth_mm": 0.0},
        "landmarks": landmarks,
        "roots": [{"name": "single", "landmarks": root_landmarks, "canal": canal}],
        "clinical": {}
    });
    case(&document.to_string())
}

/// A point placed with this standard uncertainty in each axis, px.
fn point(x: f64, y: f64, sd_px: f64) -> Value {
    json!({"x": x, "y": y, "sd_px": sd_px})
}

fn exact(x: f64, y: f64) -> Value {
    point(x, y, 0.0)
}
