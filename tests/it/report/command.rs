//! `crestgauge report` as a user runs it.

use crate::command_line::{Ran, check_case, program, run};
use crestgauge::report::Day;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

fn report(case: &Path, output: &Path, further: &[&str]) -> Ran {
    let mut program = program();
    program.arg("report").arg(case).arg("-o").arg(output).args(further);
    program.output().expect("the program runs").into()
}

fn sample() -> PathBuf {
    super::root("tests/data/films-truth/film-102.case.json")
}

#[test]
fn every_ending_is_written() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, begins) in [
        ("pdf", &b"%PDF-1.7"[..]),
        ("png", b"\x89PNG"),
        ("svg", b"<?xml"),
        ("csv", b"case,tooth,root,id"),
        ("json", b"{\"format\":\"crestgauge.case\""),
        ("dcm", &[0; 128]),
    ] {
        let file = folder.path().join(format!("report.{ending}"));
        let ran = report(&sample(), &file, &["--date", "2026-11-24"]);
        assert_eq!((ran.exit, ran.err.as_str()), (0, ""), "{ending}");
        assert!(ran.out.contains("tooth 21"), "{}", ran.out);
        let bytes = fs::read(&file).unwrap();
        assert!(bytes.starts_with(begins), "{ending}");
        let name = b"film-102";
        assert!(!bytes.windows(name.len()).any(|part| part == name), "{ending} names the film's file");
    }
    let ran = report(&sample(), &folder.path().join("again.dcm"), &[]);
    assert!(ran.out.contains("the patient's attributes are empty"), "{}", ran.out);
    assert!(ran.out.contains("the film is no DICOM object"), "{}", ran.out);
}

#[test]
fn the_same_day_makes_the_same_file() {
    let folder = tempfile::tempdir().unwrap();
    let files = ["one.pdf", "two.pdf"].map(|name| folder.path().join(name));
    for file in &files {
        assert_eq!(report(&sample(), file, &["--date", "2026-11-24"]).exit, 0);
    }
    assert!(fs::read(&files[0]).unwrap() == fs::read(&files[1]).unwrap());
}

#[test]
fn nothing_is_written_over_without_being_asked() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.svg");
    fs::write(&file, "mine").unwrap();
    let ran = report(&check_case("1-011"), &file, &[]);
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("report.svg: exists") && ran.err.contains("--force"), "{}", ran.err);
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    let ran = report(&check_case("1-011"), &file, &["--force"]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    assert!(fs::read_to_string(&file).unwrap().contains("<svg"));
}

#[test]
fn neither_case_nor_film_is_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let (case, film) = (folder.path().join("tooth.json"), folder.path().join("film-102.png"));
    fs::copy(sample(), &case).unwrap();
    fs::copy(super::root("tests/data/films-truth/film-102.png"), &film).unwrap();
    for (output, says) in [(&case, "is the case itself"), (&film, "is the film itself")] {
        let before = fs::read(output).unwrap();
        let ran = report(&case, output, &["--force"]);
        assert_eq!(ran.exit, 1, "{}", ran.err);
        assert!(ran.err.contains(says), "{}", ran.err);
        assert!(fs::read(output).unwrap() == before);
    }
}

#[test]
fn an_unknown_ending_lists_the_known_ones() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["report.docx", "report"] {
        let ran = report(&sample(), &folder.path().join(name), &[]);
        assert_eq!(ran.exit, 2);
        assert!(ran.err.contains(".pdf, .png, .svg, .csv, .json and .dcm"), "{}", ran.err);
    }
    let ran = report(&sample(), &folder.path().join("report.csv"), &["--for", "patient"]);
    assert_eq!(ran.exit, 2);
    assert!(ran.err.contains("--for patient"), "{}", ran.err);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_wrong_day_or_audience_is_a_wrong_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let output = folder.path().join("report.pdf");
    for further in
        [["--date", "2026-02-30"], ["--date", "yesterday"], ["--for", "insurer"], ["--paper", "a5"]]
    {
        let ran = report(&sample(), &output, &further);
        assert_eq!(ran.exit, 2, "{}", ran.err);
        assert!(ran.err.contains(further[1]), "{}", ran.err);
    }
    assert_eq!(run(["report"]).exit, 2);
    assert!(!output.exists());
}

#[test]
fn without_a_film_the_report_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let case = folder.path().join("tooth.case.json");
    fs::copy(sample(), &case).unwrap();
    let ran = report(&case, &folder.path().join("report.pdf"), &[]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    assert!(ran.out.contains("without a picture of the film"), "{}", ran.out);
    let nothing = folder.path().join("nothing.case.json");
    fs::write(&nothing, r#"{"format": "crestgauge.case", "version": 1, "film": {}, "tooth": {}}"#).unwrap();
    let ran = report(&nothing, &folder.path().join("nothing.svg"), &[]);
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("there is nothing to draw"), "{}", ran.err);
    assert!(!folder.path().join("nothing.svg").exists());
    assert_eq!(report(&nothing, &folder.path().join("nothing.pdf"), &[]).exit, 0);
}

/// The day on a report is the one on the wall where the computer stands. Zones 25 hours apart never have the same day.
#[test]
fn without_a_date_it_is_the_day_of_this_computers_clock() {
    let folder = tempfile::tempdir().unwrap();
    let hour = Duration::from_hours(1);
    let written_in = |zone: &str| {
        let file = folder.path().join(format!("{zone}.dcm"));
        let mut program = program();
        program.arg("report").arg(sample()).arg("-o").arg(&file).env("TZ", zone);
        assert_eq!(Ran::from(program.output().unwrap()).exit, 0);
        fs::read(&file).unwrap()
    };
    let before = SystemTime::now();
    let (east, west) = (written_in("EAST-14"), written_in("WEST11"));
    let after = SystemTime::now();
    let has_one_of = |bytes: &[u8], moments: [SystemTime; 2]| {
        moments.iter().any(|moment| {
            let day = Day::of(*moment).to_string().replace('-', "");
            bytes.windows(day.len()).any(|part| part == day.as_bytes())
        })
    };
    assert!(has_one_of(&east, [before + 14 * hour, after + 14 * hour]));
    assert!(has_one_of(&west, [before - 11 * hour, after - 11 * hour]));
}
