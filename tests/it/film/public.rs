//! Public test pictures against what reference decoders find in them (tests/data/films/README.md says which).

use super::read;
use crestgauge::caution::CautionKind;
use crestgauge::film::{self, Bounds, FilmError};
use std::fs;
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/films")
}

struct Expected {
    name: String,
    width: u32,
    height: u32,
    bits: u8,
    grey_sha256: String,
}

fn table() -> Vec<Expected> {
    let text = fs::read_to_string(folder().join("expected.tsv")).unwrap();
    let row = |line: &str| {
        let [name, width, height, bits, grey_sha256] = line.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{line}");
        };
        Expected {
            name: name.to_owned(),
            width: width.parse().unwrap(),
            height: height.parse().unwrap(),
            bits: bits.parse().unwrap(),
            grey_sha256: grey_sha256.to_owned(),
        }
    };
    text.lines().map(row).collect()
}

#[test]
fn lossless_pictures_have_the_reference_decoders_values() {
    let mut compared = 0;
    for expected in table().iter().filter(|expected| expected.grey_sha256 != "-") {
        let name = &expected.name;
        let film = read(&fs::read(folder().join(name)).unwrap());
        let (width, height) = film.orientation.turned(film.picture.width(), film.picture.height());
        assert_eq!(
            (width, height, film.picture.bits()),
            (expected.width, expected.height, expected.bits),
            "{name}"
        );
        assert_eq!(film.grey_sha256.to_string(), expected.grey_sha256, "{name}");
        compared += 1;
    }
    assert!(compared > 30, "{compared} pictures compared");
}

/// Decoders of JPEG may round the cosine transform, the colour transform and the upsampling of colour their own
/// way. In grey pictures that is one level; where colour was stored at half the resolution it is more at the
/// edges of colours, and there the mean is what must agree.
#[test]
fn jpeg_pictures_are_near_the_reference_decoders_values() {
    for (name, most, mean) in [
        ("bmpsuite-rgb24.jpg", 2, 0.5),
        ("made-grey.jpg", 1, 0.1),
        ("made-progressive.jpg", 2, 0.5),
        ("libtiff-quad-tile.jpg.tiff", 2, 0.5),
    ] {
        let film = read(&fs::read(folder().join(name)).unwrap());
        let reference = read(&fs::read(folder().join(format!("{name}.grey.png"))).unwrap());
        assert_eq!(
            (film.picture.width(), film.picture.height(), film.picture.bits()),
            (reference.picture.width(), reference.picture.height(), 8)
        );
        let apart: Vec<u16> = film
            .picture
            .grey()
            .iter()
            .zip(reference.picture.grey())
            .map(|(ours, theirs)| ours.abs_diff(*theirs))
            .collect();
        let sum: u64 = apart.iter().map(|apart| u64::from(*apart)).sum();
        #[expect(clippy::cast_precision_loss, reason = "a few million at most")]
        let mean_apart = sum as f64 / apart.len() as f64;
        let most_apart = apart.iter().max().copied().unwrap();
        assert!(most_apart <= most, "{name}: at most {most_apart} apart, {mean_apart} in the mean");
        assert!(mean_apart <= mean, "{name}: {mean_apart} apart in the mean");
        assert!(film.cautions.iter().any(|caution| caution.kind == CautionKind::LossyCompression), "{name}");
    }
}

#[test]
fn public_pictures_cut_anywhere_are_errors_or_whole() {
    for expected in table() {
        let bytes = fs::read(folder().join(&expected.name)).unwrap();
        let whole = read(&bytes);
        let step = (bytes.len() / 40).max(1);
        for length in (0..bytes.len()).step_by(step) {
            match film::read_bytes(&bytes[..length], &Bounds::default()) {
                // What stands after the picture may be missing: values of tags, further pages, a run's end.
                Ok(film) => assert_eq!(film.picture, whole.picture, "{} cut to {length}", expected.name),
                Err(error) => {
                    let line = error.to_string();
                    assert!(!line.contains('\n') && !line.contains("gave up"), "{}: {line}", expected.name);
                }
            }
        }
        assert!(matches!(film::read_bytes(&bytes[..0], &Bounds::default()), Err(FilmError::Empty)));
    }
}
