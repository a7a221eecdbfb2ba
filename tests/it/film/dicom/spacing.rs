//! Where a pitch holds: PS3.3, 10.7.1, as a table of cases.

use super::super::{kinds, read};
use super::make::{Set, text};
use crestgauge::case::{Begun, draft};
use crestgauge::caution::CautionKind::{self, *};
use crestgauge::film::PitchFrom;
use serde_json::{Value, json};

const SPACING: (u16, u16) = (0x28, 0x30);
const ASPECT: (u16, u16) = (0x28, 0x34);
const TYPE: (u16, u16) = (0x28, 0xa02);
const DESCRIPTION: (u16, u16) = (0x28, 0xa04);
const IMAGER: (u16, u16) = (0x18, 0x1164);
const SCANNED: (u16, u16) = (0x18, 0x2010);
const FACTOR: (u16, u16) = (0x18, 0x1114);
const DETECTOR: (u16, u16) = (0x18, 0x1110);
const PATIENT: (u16, u16) = (0x18, 0x1111);

fn set(stated: &[((u16, u16), &str)]) -> Set {
    stated.iter().fold(Set::film(3, 2, &[0; 6]), |set, (tag, value)| {
        let representation = match *tag {
            TYPE => "CS",
            DESCRIPTION => "LO",
            ASPECT => "IS",
            _ => "DS",
        };
        set.with(*tag, text(*tag, representation, value))
    })
}

struct Case {
    stated: &'static [((u16, u16), &'static str)],
    /// Across, down.
    pitch: Option<([f64; 2], PitchFrom)>,
    magnification: Option<f64>,
    cautions: &'static [CautionKind],
    /// The reference that a draft proposes.
    reference: Option<&'static str>,
}

/// The order of values, row spacing first, is in every one: 0.03 down, 0.02 across.
const CASES: &[Case] = &[
    // Nothing stated.
    Case { stated: &[], pitch: None, magnification: None, cautions: &[], reference: None },
    // At the receptor.
    Case {
        stated: &[(IMAGER, "0.03\\0.02")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[],
        reference: Some("receptor"),
    },
    // The same value as at the receptor: not calibrated.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (SPACING, "0.0300\\2e-2")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[],
        reference: Some("receptor"),
    },
    // Another value, and no word on how.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (SPACING, "0.0285\\0.019")],
        pitch: Some(([0.019, 0.0285], PitchFrom::DicomCalibrated)),
        magnification: Some(1.0),
        cautions: &[PitchCalibrated],
        reference: Some("receptor"),
    },
    Case {
        stated: &[(SPACING, "0.0285\\0.019"), (TYPE, "GEOMETRY"), (DESCRIPTION, "as the makers see fit")],
        pitch: Some(([0.019, 0.0285], PitchFrom::DicomGeometry)),
        magnification: Some(1.0),
        cautions: &[PitchCalibrated],
        reference: Some("receptor"),
    },
    // Calibrated, though the value is that at the receptor; the stated magnification belongs to the other.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (SPACING, "0.03\\0.02"), (TYPE, "FIDUCIAL"), (FACTOR, "1.08")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomFiducial)),
        magnification: Some(1.0),
        cautions: &[PitchCalibrated],
        reference: Some("receptor"),
    },
    // Alone: it cannot be determined.
    Case {
        stated: &[(SPACING, "0.03\\0.02"), (FACTOR, "1.08")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomUnknownPlane)),
        magnification: None,
        cautions: &[PitchPlaneUnknown],
        reference: Some("receptor"),
    },
    // A film that was scanned.
    Case {
        stated: &[(SCANNED, "0.03\\0.02"), (SPACING, "0.03\\0.02")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomScanned)),
        magnification: None,
        cautions: &[],
        reference: Some("scan"),
    },
    Case {
        stated: &[(SCANNED, "0.03\\0.02"), (SPACING, "0.0285\\0.019")],
        pitch: Some(([0.019, 0.0285], PitchFrom::DicomCalibrated)),
        magnification: Some(1.0),
        cautions: &[PitchCalibrated],
        reference: Some("receptor"),
    },
    // Magnification as stated, by the distances (400 / 380: oracle H10), and both.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (FACTOR, "1.08")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: Some(1.08),
        cautions: &[],
        reference: Some("receptor"),
    },
    Case {
        stated: &[(IMAGER, "0.02\\0.02"), (DETECTOR, "400"), (PATIENT, "380")],
        pitch: Some(([0.02, 0.02], PitchFrom::DicomImager)),
        magnification: Some(1.052_631_578_947_368_4),
        cautions: &[],
        reference: Some("receptor"),
    },
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (FACTOR, "1.2"), (DETECTOR, "400"), (PATIENT, "380")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: Some(1.2),
        cautions: &[MagnificationStatementsDiffer],
        reference: Some("receptor"),
    },
    // None of these is a magnification.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (FACTOR, "0.95")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[MagnificationMalformed],
        reference: Some("receptor"),
    },
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (DETECTOR, "400"), (PATIENT, "0")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[MagnificationMalformed],
        reference: Some("receptor"),
    },
    // Zero, one value, three, negative, words: refused, and the other statement counts.
    Case {
        stated: &[(SPACING, "0.000\\0.000")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(SPACING, "0.02")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(SPACING, "1\\1\\1")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(IMAGER, "-0.02\\0.02")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(IMAGER, "nan\\inf")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(IMAGER, "0,02\\0,02")],
        pitch: None,
        magnification: None,
        cautions: &[PitchMalformed],
        reference: None,
    },
    Case {
        stated: &[(SPACING, "0\\0"), (IMAGER, "0.03\\0.02")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[PitchMalformed],
        reference: Some("receptor"),
    },
    // A calibration of no known type counts as none.
    Case {
        stated: &[(SPACING, "0.03\\0.02"), (TYPE, "GUESS")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomUnknownPlane)),
        magnification: None,
        cautions: &[PitchMalformed, PitchPlaneUnknown],
        reference: Some("receptor"),
    },
    // 96 dpi, by nobody.
    Case {
        stated: &[(SPACING, "0.264583\\0.264583")],
        pitch: None,
        magnification: None,
        cautions: &[PitchNotMeasured, PitchPlaneUnknown],
        reference: None,
    },
    // An aspect ratio that contradicts the spacing.
    Case {
        stated: &[(IMAGER, "0.03\\0.02"), (ASPECT, "1\\1")],
        pitch: Some(([0.02, 0.03], PitchFrom::DicomImager)),
        magnification: None,
        cautions: &[PitchStatementsDiffer],
        reference: Some("receptor"),
    },
];

#[test]
fn spacing_is_told_apart_as_the_standard_does() {
    for Case { stated, pitch, magnification, cautions, reference } in CASES {
        let film = read(&set(stated).file());
        let found = film.pitch.map(|pitch| ([pitch.across.get(), pitch.down.get()], pitch.from));
        assert_eq!(found, *pitch, "{stated:x?}");
        assert_eq!(film.magnification, *magnification, "{stated:x?}");
        let mut expected = cautions.to_vec();
        expected.sort_unstable();
        assert_eq!(kinds(&film), expected, "{stated:x?}");
        let case = draft("film.dcm", &film.description(), &Begun::default());
        let references = serde_json::to_value(&case.calibration.references).unwrap();
        let Some(kind) = reference else {
            assert_eq!(references, json!([]), "{stated:x?}");
            continue;
        };
        let proposed = &references[0];
        assert_eq!(proposed["kind"], *kind, "{stated:x?}");
        assert_eq!(proposed.get("magnification").and_then(Value::as_f64), *magnification);
        let from = proposed["x-from"].as_str().unwrap();
        assert!(from.starts_with("DICOM ") && from.contains("Pixel Spacing"), "{from}");
        assert_eq!(from.contains("magnification is 1"), *magnification == Some(1.0), "{from}");
        if *kind == "receptor" {
            assert_eq!(proposed["pitch_mm"], json!(pitch.unwrap().0));
        } else {
            assert_eq!(proposed["dpi"], json!(1270.0));
        }
        assert_eq!(case.film.pixel_aspect.is_some(), pitch.unwrap().0[0] != pitch.unwrap().0[1]);
    }
}

#[test]
fn an_aspect_without_a_pitch_reaches_the_case() {
    let film = read(&set(&[(ASPECT, "3\\2")]).file());
    assert_eq!((film.pitch, film.pixel_aspect), (None, Some(1.5)));
    assert_eq!(draft("film.dcm", &film.description(), &Begun::default()).film.pixel_aspect, Some(1.5));
    for malformed in ["0\\1", "1", "1\\0", "1.5\\1", "one\\two"] {
        let film = read(&set(&[(ASPECT, malformed)]).file());
        assert_eq!((film.pixel_aspect, &kinds(&film)[..]), (None, &[PitchMalformed][..]), "{malformed}");
    }
}

/// The distance of a single row from the next may be 0 (10.7.1.3).
#[test]
fn a_single_row_needs_no_distance() {
    let film = read(&Set::two_pixels().text(IMAGER, "DS", "0\\0.02").file());
    assert_eq!(film.pitch.map(|pitch| (pitch.across.get(), pitch.down.get())), Some((0.02, 0.02)));
}

#[test]
fn the_day_of_the_film_reaches_the_case_where_it_is_one() {
    let acquisition = (8, 0x22);
    let content = (8, 0x23);
    for (stated, expected) in [
        (&[(acquisition, "20261124")][..], Some("2026-11-24")),
        (&[(content, "20240229")], Some("2024-02-29")),
        (&[(acquisition, "20261131"), (content, "20261123")], Some("2026-11-23")),
        (&[(acquisition, "2026.11.24")], None),
        (&[(acquisition, "20230229")], None),
        (&[((8, 0x20), "20261124")], None),
        (&[], None),
    ] {
        let set = stated.iter().fold(Set::two_pixels(), |set, (tag, day)| set.text(*tag, "DA", day));
        let film = read(&set.file());
        assert_eq!(film.date.as_deref(), expected, "{stated:?}");
        let case = draft("film.dcm", &film.description(), &Begun::default());
        assert_eq!(case.film.date.as_deref(), expected, "{stated:?}");
    }
}
