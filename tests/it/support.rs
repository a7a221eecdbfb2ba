//! What several tests need.

use crestgauge::calibration::Library;
use crestgauge::case::{Case, ReadCase, read_text};
use crestgauge::measure::{Draws, Measured, Measurement, measure};
use std::path::{Path, PathBuf};

/// A file under `tests/data`.
pub(crate) fn data(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(path)
}

pub(crate) fn text(path: &str) -> String {
    std::fs::read_to_string(data(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

pub(crate) fn case(text: &str) -> Case {
    let ReadCase { case, .. } = read_text(text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    case
}

pub(crate) fn library() -> Library {
    Library::embedded().expect("the embedded library is well-formed")
}

pub(crate) fn first_order(case: &Case) -> Measured {
    measure(case, &library(), Draws::default()).expect("every object is known")
}

/// `id` of a tooth's measurement, `id|root` of a root's.
pub(crate) fn key(measurement: &Measurement) -> String {
    match &measurement.of.root {
        Some(root) => format!("{}|{root}", measurement.of.id),
        None => measurement.of.id.clone(),
    }
}

/// The measurement of this key.
pub(crate) fn find<'a>(measured: &'a Measured, wanted: &str) -> &'a Measurement {
    measured.measurements.iter().find(|it| key(it) == wanted).unwrap_or_else(|| panic!("no row {wanted}"))
}
