//! `crestgauge phantom` as a user runs it.

use crate::command_line::{Ran, run};
use crestgauge::case::{self, Landmark, Mark, Side, State};
use crestgauge::film::{self, Bounds, Film, Format};
use std::fs;
use std::path::Path;

/// The command, on a film of few pixels.
fn phantom(output: &Path, more: &[&str]) -> Ran {
    let mut words =
        vec!["phantom", "-o", output.to_str().unwrap(), "--width", "68", "--height", "90", "--pitch", "0.4"];
    words.extend(more);
    run(words)
}

fn read(file: &Path) -> Film {
    film::read(file, &Bounds::default()).unwrap()
}

#[test]
fn a_film_and_its_case_are_written_and_fit() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("one.png");
    let ran = phantom(&file, &["--seed", "7", "--tooth", "46"]);
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    let written = case::read(&folder.path().join("one.case.json")).unwrap();
    assert!(written.cautions.is_empty(), "{:?}", written.cautions);
    assert!(case::check_film(&written.case, folder.path(), &Bounds::default()).is_empty());
    assert!(written.case.extra.contains_key("x-truth"));
    assert_eq!(run(["measure", folder.path().join("one.case.json").to_str().unwrap()]).exit, 0);
    let again = folder.path().join("again.png");
    phantom(&again, &["--seed", "7", "--tooth", "46"]);
    assert_eq!(fs::read(&file).unwrap(), fs::read(&again).unwrap());
}

#[test]
fn every_format_has_the_same_picture_and_states_its_scale() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    for name in ["a.png", "a.dcm", "b.tif"] {
        let ran = phantom(&path(name), &["--seed", "3", "--force"]);
        assert_eq!(ran.exit, 0, "{name}: {}", ran.err);
    }
    let (png, dicom, tiff) = (read(&path("a.png")), read(&path("a.dcm")), read(&path("b.tif")));
    assert_eq!([png.format, dicom.format, tiff.format], [Format::Png, Format::Dicom, Format::Tiff]);
    assert_eq!((png.picture.bits(), dicom.picture.bits(), tiff.picture.bits()), (12, 12, 16));
    assert_eq!(png.picture.grey(), dicom.picture.grey());
    for (grey, spread) in png.picture.grey().iter().zip(tiff.picture.grey()) {
        assert!((f64::from(*grey) / 4095.0 - f64::from(*spread) / 65_535.0).abs() < 1e-5);
    }
    for film in [&png, &dicom, &tiff] {
        let pitch = film.pitch.unwrap();
        assert!((pitch.across.get() - 0.4).abs() < 1e-4 && (pitch.down.get() - 0.4).abs() < 1e-4);
    }
    // 400 mm to the receptor, 12 mm of them behind the tooth.
    assert_eq!(dicom.magnification, Some(1.031));
}

#[test]
fn a_scanned_film_states_its_resolution_and_so_does_its_case() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("scan.tif");
    let ran = run(["phantom", "-o", file.to_str().unwrap(), "--dpi", "100", "--bits", "8"]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    let film = read(&file);
    assert_eq!((film.picture.width(), film.picture.height(), film.picture.bits()), (106, 142, 8));
    assert!((film.pitch.unwrap().across.get() - 0.254).abs() < 1e-6);
    let text = fs::read_to_string(folder.path().join("scan.case.json")).unwrap();
    let case: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(case["calibration"]["references"][0], serde_json::json!({"kind": "scan", "dpi": 100.0}));
}

#[test]
fn what_exists_is_not_replaced_unless_it_is_wished() {
    let folder = tempfile::tempdir().unwrap();
    let (film, case) = (folder.path().join("x.png"), folder.path().join("x.case.json"));
    fs::write(&case, "mine").unwrap();
    let ran = phantom(&film, &[]);
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("x.case.json: exists") && ran.err.contains("--force"), "{}", ran.err);
    assert!(!film.exists());
    assert_eq!(fs::read_to_string(&case).unwrap(), "mine");
    assert_eq!(phantom(&film, &["--force"]).exit, 0);
    assert_ne!(fs::read_to_string(&case).unwrap(), "mine");
}

#[test]
fn wrong_words_are_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("x.png");
    for (words, says) in [
        (&["--tooth", "55"][..], "deciduous"),
        (&["--tooth", "19"], "no tooth"),
        (&["--post-depth", "25"], "the root's length below the orifice"),
        (&["--canal-width", "0"], "the canal's width is 0"),
        (&["--ball", "-3"], "the ball's diameter is -3"),
        (&["--root", "palatal"], "the 21 has no palatal root; it has single"),
        (&["--stage", "someday"], "post_core"),
        (&["--kilovolts", "120"], "50 to 70 kV"),
        (&["--vertical", "80"], "-45 to 45 deg"),
        (&["--quanta", "NaN"], "quanta is NaN"),
        (&["--ball", "3", "--wire", "10"], "cannot be used with"),
    ] {
        let ran = phantom(&file, words);
        assert_eq!(ran.exit, 2, "{words:?}: {}", ran.err);
        assert!(ran.err.contains(says), "{words:?}: {}", ran.err);
    }
    let nothing = run(["phantom", "-o", file.to_str().unwrap(), "--width", "0"]);
    assert!(nothing.exit == 2 && nothing.err.contains("the film's width is 0"), "{}", nothing.err);
    let ending = phantom(&folder.path().join("x.bmp"), &[]);
    assert!(ending.exit == 2 && ending.err.contains(".png, .tif or .dcm"), "{}", ending.err);
    let scan = run(["phantom", "-o", folder.path().join("x.dcm").to_str().unwrap(), "--dpi", "300"]);
    assert!(scan.exit == 2 && scan.err.contains("--dpi"), "{}", scan.err);
    let nowhere = phantom(&folder.path().join("no/such/x.png"), &[]);
    assert!(nowhere.exit == 1 && nowhere.err.contains("no folder"), "{}", nowhere.err);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn what_the_chair_adds_and_what_is_planned_stands_in_the_case() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("chair.png");
    let options = ["--stage", "filled", "--at-chair", "--planned-depth", "9"];
    let ran = phantom(&file, &options);
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    let case = case::read(&folder.path().join("chair.case.json")).unwrap().case;
    let is_planned =
        |mark: Option<&Mark>| mark.and_then(Mark::point).map(|point| point.state == Some(State::Planned));
    for side in Side::BOTH {
        assert_eq!(
            is_planned(case.landmarks.marks.get(&Landmark::FinishLine.on(side))),
            Some(false),
            "the margin is cut"
        );
    }
    assert_eq!(is_planned(case.landmarks.marks.get(&Landmark::CoreTop.id())), Some(true));
    let root = &case.roots[0];
    assert_eq!(is_planned(root.landmarks.marks.get(&Landmark::PostTip.id())), Some(true));
    assert_eq!(root.post_here, Some(true));
    let depth =
        case.extra["x-truth"]["values"].as_array().unwrap().iter().find(|it| it["id"] == "post_depth");
    assert!((depth.unwrap()["value"].as_f64().unwrap() - 9.0).abs() < 0.05, "{depth:?}");
    for (sites, per_mm) in [
        (&case.clinical.ferrule_mm, 2.0),
        (&case.clinical.wall_mm, 10.0),
        (&case.clinical.wall_above_bone_mm, 2.0),
    ] {
        assert_eq!(sites.readings.len(), 2);
        for reading in sites.readings.values() {
            let steps = reading.value * per_mm;
            assert!((steps - steps.round()).abs() < 1e-9, "{reading:?} is finer than it can be read");
        }
    }
    assert!(case.clinical.stop_reference_name.is_some());

    for (more, said) in [
        (&["--planned-depth", "9"][..], "a planned post needs a stage before post and core"),
        (
            &["--stage", "filled", "--planned-depth", "25"],
            "the planned depth (25.00 mm) does not go with the canal's length",
        ),
    ] {
        let ran = phantom(&folder.path().join("refused.png"), more);
        assert_eq!(ran.exit, 2);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    assert!(!folder.path().join("refused.png").exists());
}
