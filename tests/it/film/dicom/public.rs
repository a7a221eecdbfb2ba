//! Public test films and films made with known values (tests/data/dicom/README.md says which).

use super::super::read;
use crate::support::{data, text};
use crestgauge::caution::CautionKind;
use crestgauge::film::{self, Bounds, Film, Format, Polarity};
use std::fs;

fn bytes(name: &str) -> Vec<u8> {
    fs::read(data(&format!("dicom/{name}"))).unwrap()
}

struct Expected {
    name: String,
    size: (u32, u32),
    bits: u8,
    grey_sha256: String,
}

fn table(name: &str) -> Vec<Expected> {
    let row = |line: &str| {
        let [name, width, height, bits, grey_sha256] = line.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{line}");
        };
        Expected {
            name: name.to_owned(),
            size: (width.parse().unwrap(), height.parse().unwrap()),
            bits: bits.parse().unwrap(),
            grey_sha256: grey_sha256.to_owned(),
        }
    };
    text(&format!("dicom/{name}")).lines().map(row).collect()
}

fn check(expected: &Expected) -> Film {
    let film = read(&bytes(&expected.name));
    let found = ((film.picture.width(), film.picture.height()), film.picture.bits());
    assert_eq!(found, (expected.size, expected.bits), "{}", expected.name);
    assert_eq!(film.format, Format::Dicom);
    if expected.grey_sha256 != "-" {
        assert_eq!(film.grey_sha256.to_string(), expected.grey_sha256, "{}", expected.name);
    }
    film
}

#[test]
fn films_of_known_values_are_read_exactly() {
    let table = table("made.tsv");
    assert!(table.len() > 45, "{}", table.len());
    for expected in &table {
        let film = check(expected);
        let inverted = expected.name.contains("monochrome1");
        assert_eq!(film.polarity == Polarity::WhiteIsZero, inverted, "{}", expected.name);
        let frames = if expected.name.contains("two-frames") { 2 } else { 1 };
        assert_eq!(film.frames, frames, "{}", expected.name);
        let first_only = film.cautions.iter().any(|it| it.kind == CautionKind::FirstFrameOnly);
        assert_eq!(first_only, frames == 2, "{}", expected.name);
    }
}

#[test]
fn public_films_have_the_reference_decoders_values() {
    let table = table("expected.tsv");
    let exact: Vec<_> = table.iter().filter(|expected| expected.grey_sha256 != "-").collect();
    assert!(exact.len() >= 20, "{}", exact.len());
    for expected in exact {
        check(expected);
    }
}

/// Two decoders of JPEG may round differently: one level apart at most, and few pixels so.
#[test]
fn public_lossy_films_are_within_a_level_of_the_reference_decoder() {
    let table = table("expected.tsv");
    let lossy: Vec<_> = table.iter().filter(|expected| expected.grey_sha256 == "-").collect();
    assert!(lossy.len() >= 8, "{}", lossy.len());
    for expected in lossy {
        let film = check(expected);
        let reference = bytes(&expected.name.replace(".dcm", ".grey"));
        assert_eq!(reference.len(), film.picture.grey().len());
        let apart =
            film.picture.grey().iter().zip(&reference).map(|(ours, it)| ours.abs_diff(u16::from(*it)));
        assert!(apart.clone().max().unwrap() <= 1, "{}", expected.name);
        let pixels_apart = apart.filter(|apart| *apart > 0).count();
        assert!(pixels_apart * 10 <= reference.len(), "{}: {pixels_apart} pixels", expected.name);
        assert!(film.cautions.iter().any(|it| it.kind == CautionKind::LossyCompression), "{}", expected.name);
    }
}

#[test]
fn what_is_no_film_or_not_read_is_named() {
    let mend = "export it without compression, or as 16-bit PNG or TIFF";
    let kind = |what: &str| format!("is a DICOM of a kind that cannot be read exactly ({what}): {mend}");
    for (name, line) in [
        ("JPGExtended", kind("lossy JPEG of 12 bits")),
        ("MR_small_jpeg_ls_lossless", kind("transfer syntax JPEG-LS Lossless Image Compression")),
        ("SC_rgb_jls_lossy_line", kind("transfer syntax JPEG-LS Lossy (Near-Lossless) Image Compression")),
        ("SC_rgb_rle_32bit", kind("Bits Allocated 32, neither 8 nor 16")),
        ("MR_truncated", "ends before its DICOM picture does: copy it again from where it came".to_owned()),
        (
            "reportsi",
            "is a DICOM structured report, which holds findings and no film: name the film it is about"
                .to_owned(),
        ),
        (
            "rtplan",
            "is a DICOM object without pixel data, so no film: name the file with the radiograph in it"
                .to_owned(),
        ),
        (
            "DICOMDIR-empty",
            "is a DICOMDIR, which lists films and holds none: name one of the films it lists".to_owned(),
        ),
    ] {
        let error = film::read_bytes(&bytes(&format!("pydicom-{name}.dcm")), &Bounds::default()).unwrap_err();
        assert_eq!(error.to_string(), line, "{name}");
    }
}

#[test]
fn the_size_alone_is_that_of_the_whole() {
    for expected in table("made.tsv").iter().chain(&table("expected.tsv")) {
        let header = film::header_of_bytes(&bytes(&expected.name), &Bounds::default()).unwrap();
        assert_eq!((header.width, header.height), expected.size, "{}", expected.name);
    }
}

/// A film cut anywhere is an error in one line. Only what stands behind the picture may be missing.
#[test]
fn films_cut_anywhere_are_errors() {
    let small = |expected: &Expected| bytes(&expected.name).len() < 30_000;
    for expected in table("made.tsv").iter().chain(&table("expected.tsv")).filter(|it| small(it)) {
        let whole = bytes(&expected.name);
        let picture = read(&whole).picture;
        let every = if expected.name.starts_with("made-12") { 1 } else { 61 };
        for length in (0..whole.len()).step_by(every) {
            match film::read_bytes(&whole[..length], &Bounds::default()) {
                Ok(film) => {
                    assert_eq!(film.picture, picture, "{} cut to {length}", expected.name);
                    assert!(expected.name.starts_with("pydicom-"), "{} cut to {length}", expected.name);
                }
                Err(error) => {
                    let line = error.to_string();
                    assert!(!line.contains('\n') && !line.contains("gave up"), "{}: {line}", expected.name);
                }
            }
        }
    }
}
