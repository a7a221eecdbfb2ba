//! The structured report read back by DCMTK, a general-purpose DICOM toolkit. What `pydicom` and `highdicom` make of it
//! is written down in tests/data/report.

use super::{Made, setting};
use crestgauge::film::Bounds;
use crestgauge::film::Picture;
use crestgauge::film::dicom::{FilmIdentifiers, NewFilm, encode, identifiers};
use crestgauge::quantity::Millimetres;
use crestgauge::report::{Audience, Ending, Paper, written};
use std::process::Command;

/// A DICOM film of nobody.
fn film() -> Vec<u8> {
    let picture = Picture::new(4, 4, 12, vec![7; 16]).unwrap();
    let pitch = Millimetres(0.02);
    encode(&NewFilm { picture: &picture, across: pitch, down: pitch, magnification: None, inverted: false })
        .unwrap()
}

fn film_identifiers() -> FilmIdentifiers {
    identifiers(&film(), &Bounds::default()).unwrap().unwrap()
}

fn report(made: &Made, film: Option<&FilmIdentifiers>) -> Vec<u8> {
    written(&made.subject(), setting(Audience::Record, Paper::A4), Ending::Dcm, film).unwrap().bytes
}

/// What a tool prints of the report; the tool must not complain.
fn printed(tool: &str, options: &[&str], bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.dcm");
    std::fs::write(&file, bytes).unwrap();
    let ran = Command::new(tool).args(options).arg(&file).output();
    let ran = ran.unwrap_or_else(|error| panic!("{tool}: {error}; tests/run installs it"));
    let err = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(
        ran.status.success() && !err.lines().any(|line| line.starts_with("E:") || line.starts_with("F:")),
        "{err}"
    );
    String::from_utf8(ran.stdout).unwrap()
}

#[test]
fn a_toolkit_reads_every_value_with_its_unit() {
    let made = Made::film_102();
    let identifiers = film_identifiers();
    let text = printed("dsrdump", &["+Pc"], &report(&made, Some(&identifiers)));
    for row in made.derived.measurements.iter().filter(|row| row.value.is_some()) {
        let line = text
            .lines()
            .find(|line| {
                line.contains("contains NUM") && line.contains(&format!("({},99CRESTGAUGE", row.of.id))
            })
            .unwrap_or_else(|| panic!("{} is not in the report:\n{text}", row.of.id));
        let value: f64 = line.split("=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
        assert!((value - row.value.unwrap()).abs() < 1e-8, "{line}");
        assert!(line.contains(&format!("({},UCUM", row.unit.code())), "{line}");
    }
    // The mandatory rows of TID 1500, 1204, 1002, 1600 and 1501.
    for part in [
        "CONTAINER:(126000,DCM,\"Imaging Measurement Report\")=SEPARATE",
        "has concept mod CODE:(121049,DCM,\"Language of Content Item and Descendants\")=(en,RFC5646",
        "has obs context CODE:(121005,DCM,\"Observer Type\")=(121007,DCM,\"Device\")",
        "has obs context UIDREF:(121012,DCM,\"Device Observer UID\")",
        "has concept mod CODE:(121058,DCM,\"Procedure reported\")=(1290849002,SCT,\"Dental radiography\")",
        "contains CONTAINER:(111028,DCM,\"Image Library\")=SEPARATE",
        "contains CONTAINER:(126200,DCM,\"Image Library Group\")=SEPARATE",
        "has acq context CODE:(121139,DCM,\"Modality\")=(IO,DCM,\"Intra-oral Radiography\")",
        "contains CONTAINER:(126010,DCM,\"Imaging Measurements\")=SEPARATE",
        "contains CONTAINER:(125007,DCM,\"Measurement Group\")=SEPARATE",
        "has obs context TEXT:(112039,DCM,\"Tracking Identifier\")",
        "has obs context UIDREF:(112040,DCM,\"Tracking Unique Identifier\")",
        "has concept mod CODE:(363698007,SCT,\"Finding Site\")=(424399000,SCT",
        "inferred from SCOORD:(121112,DCM,\"Source of Measurement\")=(POLYLINE",
        "selected from IMAGE:",
    ] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
}

#[test]
fn the_film_is_referred_to_by_its_own_identifiers_and_nobody_is_named() {
    let made = Made::film_102();
    let film = film_identifiers();
    let text = printed("dcmdump", &["+L"], &report(&made, Some(&film)));
    for identifier in [&film.class, &film.instance, &film.study, &film.series] {
        assert!(text.contains(identifier) || text.contains("=DigitalIntraOralXRay"), "{identifier}:\n{text}");
    }
    for empty in [
        "PatientName",
        "PatientID",
        "PatientBirthDate",
        "PatientSex",
        "AccessionNumber",
        "ReferringPhysicianName",
    ] {
        let line =
            text.lines().find(|line| line.ends_with(empty)).unwrap_or_else(|| panic!("{empty} is missing"));
        assert!(line.contains("(no value available)"), "{line}");
    }
    assert!(!text.contains("film-102"));
    // Made identifiers are 2.25. and 128 bits; the study is the film's.
    let value = |name: &str| {
        let line = text.lines().find(|line| line.starts_with("(00") && line.ends_with(name)).unwrap();
        line.split('[').nth(1).unwrap().split(']').next().unwrap().to_owned()
    };
    assert_eq!(value("StudyInstanceUID"), film.study);
    for made in ["SOPInstanceUID", "SeriesInstanceUID"] {
        let digits = value(made).strip_prefix("2.25.").unwrap().to_owned();
        assert!(digits.parse::<u128>().is_ok(), "{digits}");
        assert_ne!(value(made), film.series);
    }
}

#[test]
fn without_a_dicom_film_there_is_no_image_and_the_study_is_new() {
    let made = Made::film_102();
    let text = printed("dsrdump", &["+Pc"], &report(&made, None));
    assert!(!text.contains("IMAGE:") && !text.contains("SCOORD"));
    assert!(text.contains("ferrule height, mesial"));
}

#[test]
fn what_other_toolkits_read_has_the_same_values() {
    let made = Made::film_102();
    let printed = crate::support::text("report/read_back.txt");
    let rows: Vec<_> = made.derived.measurements.iter().filter(|row| row.value.is_some()).collect();
    for row in &rows {
        let wanted = format!("  {} {:.6} {};", row.of.id, row.value.unwrap(), row.unit.code());
        assert!(printed.lines().any(|line| line.starts_with(&wanted)), "{wanted}");
    }
    assert_eq!(printed.lines().filter(|line| line.starts_with("  ")).count(), rows.len());
}

#[test]
fn other_days_and_other_cases_are_other_objects() {
    let made = Made::film_102();
    let other = crestgauge::report::Setting {
        date: crestgauge::report::Day::parse("2026-11-25").unwrap(),
        ..setting(Audience::Record, Paper::A4)
    };
    let one = report(&made, None);
    let next = written(&made.subject(), other, Ending::Dcm, None).unwrap().bytes;
    let uid = |bytes: &[u8]| {
        let text = printed("dcmdump", &["+L", "+P", "SOPInstanceUID"], bytes);
        text.lines().next().unwrap().to_owned()
    };
    assert_ne!(uid(&one), uid(&next));
}

#[test]
fn a_film_without_identifiers_is_none_to_refer_to() {
    assert!(identifiers(b"no film", &Bounds::default()).is_err());
}
