//! Films: every expected value comes from outside the decoders under test.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "the helpers of tests may fail as loudly as the tests themselves"
)]

mod colour;
mod contrast;
mod day;
mod dicom;
mod exact;
mod hostile;
mod make;
mod orientation;
mod pitch;
mod public;

use crestgauge::caution::CautionKind;
use crestgauge::film::{self, Bounds, Film};

fn read(bytes: &[u8]) -> Film {
    film::read_bytes(bytes, &Bounds::default()).unwrap()
}

/// The cautions by kind, in a fixed order.
fn kinds(film: &Film) -> Vec<CautionKind> {
    let mut kinds: Vec<_> = film.cautions.iter().map(|caution| caution.kind).collect();
    kinds.sort_unstable();
    kinds
}
