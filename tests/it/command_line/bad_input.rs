//! What a new user gets wrong: one helpful line each, and the right exit code.

use super::{Ran, changed_case, check_case, program, run, sample_film};
use std::ffi::OsStr;
use std::path::Path;

/// One line on standard error, none on standard output, that holds every one of `says`.
fn one_line(ran: &Ran, exit: i32, says: &[&str]) {
    assert_eq!(ran.exit, exit, "{}", ran.err);
    assert_eq!(ran.out, "");
    assert_eq!(ran.err.trim_end().lines().count(), 1, "{}", ran.err);
    for say in says {
        assert!(ran.err.contains(say), "{:?} lacks {say:?}", ran.err);
    }
}

fn measure(file: &Path) -> Ran {
    run([OsStr::new("measure"), file.as_os_str()])
}

#[test]
fn a_typo_in_a_landmarks_name() {
    let (_folder, file) =
        changed_case(|text| text.replacen("\"finish_line.mesial\"", "\"finish_line.mesail\"", 1));
    one_line(
        &measure(&file),
        1,
        &[
            "tooth.case.json: ",
            "finish_line.mesail is not a landmark; did you mean \"finish_line.mesial\"?",
            "/landmarks/finish_line.mesail",
        ],
    );
}

#[test]
fn a_landmark_without_its_side_or_in_the_wrong_place() {
    let (_folder, file) = changed_case(|text| text.replacen("\"crest.mesial\"", "\"crest\"", 1));
    one_line(&measure(&file), 1, &["crest has two sides: write \"crest.mesial\" or \"crest.distal\""]);
    let (_folder, file) = changed_case(|text| text.replacen("\"core_top\"", "\"apex\"", 1));
    one_line(&measure(&file), 1, &["apex belongs to a root"]);
}

#[test]
fn a_misspelt_key_does_not_become_a_default() {
    let (_folder, file) = changed_case(|text| text.replacen("\"tolerance_mm\"", "\"tolerence_mm\"", 1));
    one_line(
        &measure(&file),
        1,
        &[
            "tolerence_mm is not known here; did you mean \"tolerance_mm\"?",
            "/calibration/references/0/tolerence_mm",
        ],
    );
    let (_folder, file) = changed_case(|text| text.replacen("\"placing_mm\"", "\"placing\"", 1));
    one_line(
        &measure(&file),
        1,
        &["placing is not known here; did you mean \"placing_mm\"?", "/uncertainty/placing"],
    );
}

#[test]
fn a_film_where_a_case_is_expected_and_the_reverse() {
    one_line(&measure(&sample_film()), 1, &["film-102.png: is a film, not a case", "crestgauge draft"]);
    let ran = run([OsStr::new("inspect"), check_case("1-000").as_os_str()]);
    one_line(&ran, 1, &["1-000.case.json: ", "crestgauge measure"]);
}

#[test]
fn a_folder_and_a_file_that_is_not_there() {
    let folder = tempfile::tempdir().unwrap();
    one_line(&measure(folder.path()), 1, &["is a folder; name the case files in it"]);
    one_line(&run([OsStr::new("inspect"), folder.path().as_os_str()]), 1, &["directory"]);
    one_line(
        &measure(&folder.path().join("nothing.case.json")),
        1,
        &["nothing.case.json: cannot be read: No such file"],
    );
}

#[test]
fn two_points_at_one_place_and_sizes_of_nothing() {
    let (_folder, file) = changed_case(|text| {
        let case: serde_json::Value = serde_json::from_str(&text).unwrap();
        let mut case = case;
        case["calibration"]["references"][0]["points"][1] =
            case["calibration"]["references"][0]["points"][0].clone();
        case.to_string()
    });
    one_line(&measure(&file), 1, &["lies on the point before it", "/calibration/references/0/points/1"]);
    for (pointer, value, says) in [
        ("length_mm", serde_json::json!(0), "is 0, but a size in mm is more than 0"),
        ("length_mm", serde_json::json!(-21), "is -21, but"),
        ("length_mm", serde_json::json!("21"), "is \"21\", but must be a number"),
        ("tolerance_mm", serde_json::json!(-0.5), "is -0.5, but an uncertainty is 0 or more"),
        ("kind", serde_json::json!("instrumnet"), "did you mean \"instrument\"?"),
        ("between", serde_json::json!("tip-stopp"), "did you mean \"tip-stop\"?"),
        ("length_mm", serde_json::Value::Null, "is null (leave the key out"),
    ] {
        let (_folder, file) = changed_case(|text| {
            let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
            case["calibration"]["references"][0][pointer] = value.clone();
            case.to_string()
        });
        one_line(&measure(&file), 1, &[says, &format!("/calibration/references/0/{pointer}")]);
    }
}

#[test]
fn other_references_of_nothing() {
    for (reference, says) in [
        (r#"{"kind": "receptor", "pitch_mm": [0, 0.03]}"#, "0 is 0, but a pitch"),
        (r#"{"kind": "receptor", "pitch_mm": [0.03]}"#, "takes 2 numbers"),
        (r#"{"kind": "receptor", "pitch_mm": [0.03, 0.03], "magnification": 0}"#, "magnification is 0"),
        (r#"{"kind": "scan", "dpi": 0}"#, "dpi is 0"),
        (
            r#"{"kind": "sphere", "diameter_mm": 5, "points": [{"x": 1, "y": 1}, {"x": 2, "y": 2}, {"x": 3, "y": 3}]}"#,
            "the points lie on one line",
        ),
        (
            r#"{"kind": "sphere", "diameter_mm": 5, "points": [{"x": 1, "y": 1}, {"x": 2, "y": 2}]}"#,
            "at least 3",
        ),
        (r#"{"kind": "width", "points": [{"x": 1, "y": 1}, {"x": 2, "y": 2}]}"#, "diameter_mm is missing"),
        (
            r#"{"kind": "width", "object": "peso-2", "points": [{"x": 1, "y": 1}, {"x": 2, "y": 2}]}"#,
            "did you mean \"peeso-2\"?",
        ),
    ] {
        let (_folder, file) = changed_case(|text| {
            let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
            case["calibration"]["references"] = serde_json::from_str(&format!("[{reference}]")).unwrap();
            case.to_string()
        });
        let ran = measure(&file);
        one_line(&ran, 1, &[says]);
    }
}

#[test]
fn a_case_without_calibration_says_how_to_calibrate() {
    let (_folder, file) = changed_case(|text| {
        let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
        case.as_object_mut().unwrap().remove("calibration");
        case["clinical"]["ferrule_mm"] = serde_json::json!({"buccal": 2.0});
        case.to_string()
    });
    let ran = measure(&file);
    assert_eq!(ran.exit, 0);
    assert!(ran.out.contains("To calibrate, add a reference"), "{}", ran.out);
    // What was probed needs no film.
    assert!(ran.out.contains("ferrule height, buccal"), "{}", ran.out);
    assert!(!ran.out.contains("ferrule height, mesial   "), "{}", ran.out);
}

#[test]
fn files_that_are_no_cases() {
    let folder = tempfile::tempdir().unwrap();
    for (text, says) in [
        ("", "is empty"),
        ("{", "is not well-formed JSON"),
        ("[]", "is JSON, but no case"),
        (r#"{"format": "crestgauge.case", "version": 2}"#, "was written by a newer crestgauge"),
        (r#"{"format": "crestgauge.case"}"#, "has no \"version\""),
        (r#"{"format": "crestgauge.case", "version": 1, "version": 1}"#, "the key \"version\" stands twice"),
        (r#"{"format": "crestgauge.case", "version": 1, "tooth": {"fdi": "55"}}"#, "a deciduous tooth"),
        (
            r#"{"format": "crestgauge.case", "version": 1, "tooth": {"fdi": 21}}"#,
            "must be text in quotes (at /tooth/fdi)",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "landmarks": {"core_top": {"x": 1e999, "y": 1}}}"#,
            "number out of range",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "roots": [{"name": "single"}, {"name": "single"}]}"#,
            "names another root already (at /roots/1/name)",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "roots": [{"name": "single", "landmarks": {"filling_top": {"absent": "none"}}}]}"#,
            "filling_top is absent, but filling_tip is not",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "roots": [{"name": "single", "canal": [{"x": 1, "y": 1}, {"x": 1, "y": 1}]}]}"#,
            "lies on the canal point before it",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "clinical": {"ferrule_mm": {"palatal": 2}}}"#,
            "is written \"lingual\"",
        ),
        (
            r#"{"format": "crestgauge.case", "version": 1, "clinical": {"planned_core_height_mm": -3}}"#,
            "is -3, but must be 0 to 60 mm",
        ),
    ] {
        let file = folder.path().join("it.case.json");
        std::fs::write(&file, text).unwrap();
        one_line(&measure(&file), 1, &["it.case.json: ", says]);
    }
    std::fs::write(folder.path().join("it.case.json"), [0xff, 0xfe, 0x00]).unwrap();
    one_line(&measure(&folder.path().join("it.case.json")), 1, &["is not UTF-8 text"]);
}

#[test]
fn pictures_that_are_none() {
    let folder = tempfile::tempdir().unwrap();
    let rtf = folder.path().join("film.png");
    std::fs::write(&rtf, br"{\rtf1\ansi not a film}").unwrap();
    one_line(&run([OsStr::new("inspect"), rtf.as_os_str()]), 1, &["film.png: ", "RTF"]);
    // A little-endian TIFF whose header promises 40,000 x 40,000 pixels of 16 bits: 3.2 GB.
    let tiff = folder.path().join("huge.tif");
    let mut bytes = b"II*\0\x08\0\0\0\x06\0".to_vec();
    for (tag, kind, value) in [
        (256_u16, 4_u16, 40_000_u32),
        (257, 4, 40_000),
        (258, 3, 16),
        (262, 3, 1),
        (273, 4, 8),
        (279, 4, 3_200_000_000),
    ] {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(1_u32.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend([0; 4]);
    std::fs::write(&tiff, bytes).unwrap();
    one_line(&run([OsStr::new("inspect"), tiff.as_os_str()]), 1, &["huge.tif: ", "--max-pixels"]);
}

#[cfg(unix)]
#[test]
fn a_path_that_is_not_utf_8_is_a_path_all_the_same() {
    use std::os::unix::ffi::OsStrExt as _;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(OsStr::from_bytes(b"caf\xe9.case.json"));
    std::fs::copy(check_case("1-011"), &file).unwrap();
    let ran = run([OsStr::new("measure"), file.as_os_str(), OsStr::new("--json")]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    assert!(ran.out.contains("crestgauge.case"));
    let film = folder.path().join(OsStr::from_bytes(b"caf\xe9.png"));
    std::fs::copy(sample_film(), &film).unwrap();
    let output = folder.path().join("new.case.json");
    let ran = run([OsStr::new("draft"), film.as_os_str(), OsStr::new("-o"), output.as_os_str()]);
    one_line(&ran, 1, &["the film's path is not UTF-8"]);
    assert!(!output.exists());
}

#[test]
fn options_that_need_a_case_and_words_that_are_none() {
    for option in ["--json", "--csv", "--save"] {
        one_line(&run(["measure", option]), 2, &["needs a case", option]);
    }
    one_line(&run(["measure", "*.no-such.case.json", "--json"]), 1, &["the pattern matched nothing"]);
    one_line(
        &run(["mesure"]),
        2,
        &["\"mesure\" is neither a command nor an existing file; did you mean `crestgauge measure`?"],
    );
    let ran = run(["measure", "--draw", "5"]);
    assert_eq!(ran.exit, 2);
    assert!(ran.err.contains("--draws"), "{}", ran.err);
}

#[test]
fn criteria_and_references_with_mistakes_name_file_row_and_field() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("ours.toml");
    let with = |option: &str, text: &str| {
        std::fs::write(&file, text).unwrap();
        run([OsStr::new("measure"), check_case("1-011").as_os_str(), OsStr::new(option), file.as_os_str()])
    };
    let object =
        "[[object]]\nname = \"our-post\"\nkind = \"drill\"\nmeaning = \"a post\"\nsource = \"measured\"\n";
    one_line(&with("--references", object), 1, &["ours.toml: row 1 (our-post): `diameter_mm` is missing"]);
    one_line(
        &with("--references", &format!("{object}diameter_m = 1.0\n")),
        1,
        &["row 1 (our-post)", "diameter_m"],
    );
    one_line(
        &with("--references", &format!("{object}diameter_mm = \"1.0\"\n")),
        1,
        &["row 1 (our-post)", "diameter_mm"],
    );
    one_line(&with("--references", "a = "), 1, &["ours.toml: "]);
    assert_eq!(with("--references", &format!("{object}diameter_mm = 1.4\n")).exit, 0);
    let header = "name = \"ours\"\nversion = 1\n";
    let criterion = "[[criterion]]\nid = \"seal\"\ntitle = \"seal\"\nstrength = \"requirement\"\nsource = \"common practice\"\n";
    for (text, says) in [
        (
            format!("{header}{criterion}measurement = \"seal_lenght\"\nat_least = 4.0\n"),
            "did you mean \"seal_length\"?",
        ),
        (format!("{header}{criterion}measurement = \"seal_length\"\n"), "has no bound"),
        (
            format!("{header}{criterion}measurement = \"seal_length\"\nat_least = 4.0\nat_most = 5.0\n"),
            "more than one bound",
        ),
        (format!("{header}{criterion}measurement = \"seal_length\"\nat_leest = 4.0\n"), "at_leest"),
    ] {
        one_line(&with("--criteria", &text), 1, &["ours.toml: criterion 1 (seal): ", says]);
    }
    let ours =
        with("--criteria", &format!("{header}{criterion}measurement = \"seal_length\"\nat_least = 4.0\n"));
    assert_eq!(ours.exit, 0);
    assert!(ours.out.contains("Criteria: ours 1"), "{}", ours.out);
}

#[test]
fn a_hostile_file_name_cannot_write_to_the_terminal() {
    let ran: Ran = program().args(["measure", "\u{1b}]0;gotcha\u{7}.case.json"]).output().unwrap().into();
    assert_eq!(ran.exit, 1);
    assert!(!ran.err.contains('\u{1b}'), "{:?}", ran.err);
}
