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
use crestgauge::film::{self, Bounds, Film, FilmError};
use std::io::Cursor;
use std::path::Path;
use std::sync::atomic::AtomicBool;

fn read(bytes: &[u8]) -> Film {
    film::read_bytes(bytes, &Bounds::default()).unwrap()
}

/// The cautions by kind, in a fixed order.
fn kinds(film: &Film) -> Vec<CautionKind> {
    let mut kinds: Vec<_> = film.cautions.iter().map(|caution| caution.kind).collect();
    kinds.sort_unstable();
    kinds
}

/// How far a decoder goes on that has begun is tested beside it.
#[test]
fn a_film_that_was_given_up_before_it_is_read_is_said_to_be_so_whatever_its_format() {
    let still_wanted = AtomicBool::new(false);
    let given_up = AtomicBool::new(true);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    let grey = image::GrayImage::from_fn(40, 30, |x, y| image::Luma([u8::try_from(x + y).unwrap()]));
    let made = [
        image::ImageFormat::Png,
        image::ImageFormat::Jpeg,
        image::ImageFormat::Tiff,
        image::ImageFormat::Bmp,
    ]
    .map(|format| {
        let mut bytes = Cursor::new(Vec::new());
        grey.write_to(&mut bytes, format).unwrap();
        (format!("{format:?}"), bytes.into_inner())
    });
    let lossless = "dicom/made-lossless-16-1.dcm";
    let of_dicom = (lossless.to_owned(), std::fs::read(folder.join(lossless)).unwrap());
    for (name, bytes) in made.into_iter().chain([of_dicom]) {
        let film = film::read_bytes_unless(&bytes, &Bounds::default(), &still_wanted);
        assert_eq!(film.unwrap(), read(&bytes), "{name}");
        let refused = film::read_bytes_unless(&bytes, &Bounds::default(), &given_up);
        assert!(matches!(refused, Err(FilmError::GivenUp)), "{name}: {refused:?}");
    }
}
