//! Writing files: nothing lost, nothing written over unasked.

use super::{Ran, changed_case, program, run, sample_film};
use serde_json::{Value, json};
use std::ffi::OsStr;
use std::path::Path;

fn read(file: &Path) -> Value {
    serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap()
}

/// A case with keys nobody knows and keys of the user's own, in several places.
fn with_own_keys() -> (tempfile::TempDir, std::path::PathBuf) {
    changed_case(|text| {
        let mut case: Value = serde_json::from_str(&text).unwrap();
        case["series"] = json!({"visit": 3});
        case["x-clinic"] = json!("ours");
        case["film"]["exposure"] = json!("70 kV");
        case["landmarks"]["crest.mesial"]["x-doubt"] = json!(true);
        case["calibration"]["references"][0]["x-drawer"] = json!(4);
        case["roots"][0]["x-colour"] = json!("grey");
        case["measurements"] = json!([{"id": "seal_length", "value": 99}]);
        case.to_string()
    })
}

#[test]
fn saving_keeps_what_it_does_not_know_and_replaces_what_it_computes() {
    let (_folder, file) = with_own_keys();
    let before = read(&file);
    let ran = run([OsStr::new("measure"), file.as_os_str(), OsStr::new("--save"), OsStr::new("--json")]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    let after = read(&file);
    for key in ["film", "tooth", "calibration", "uncertainty", "landmarks", "roots", "series", "x-clinic"] {
        assert_eq!(before[key], after[key], "{key}");
    }
    assert!(after["measurements"].as_array().unwrap().len() > 30);
    let unknown: Vec<&str> = after["cautions"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|caution| caution["id"] == "unknown_key")
        .map(|caution| caution["about"][0].as_str().unwrap())
        .collect();
    assert_eq!(unknown, ["film/exposure", "series"]);
    // What was printed is what was saved, with the file's name added.
    let mut printed: Value = serde_json::from_str(&ran.out).unwrap();
    printed.as_object_mut().unwrap().remove("case_file").unwrap();
    assert_eq!(printed, after);
    // Saving again changes nothing.
    let bytes = std::fs::read(&file).unwrap();
    run([OsStr::new("measure"), file.as_os_str(), OsStr::new("--save")]);
    assert_eq!(std::fs::read(&file).unwrap(), bytes);
    assert_eq!(std::fs::read_dir(file.parent().unwrap()).unwrap().count(), 1, "no temporary file is left");
}

/// A full disk, as a limit on file size: the write fails, the old file stays, nothing is left behind.
#[cfg(unix)]
#[test]
fn a_failed_save_leaves_the_old_file() {
    let (folder, file) = with_own_keys();
    let bytes = std::fs::read(&file).unwrap();
    let line = format!(
        "trap '' XFSZ; ulimit -f 1; exec '{}' measure '{}' --save",
        env!("CARGO_BIN_EXE_crestgauge"),
        file.display()
    );
    let ran: Ran = std::process::Command::new("sh").args(["-c", &line]).output().unwrap().into();
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("cannot be saved") && ran.err.contains("unharmed"), "{}", ran.err);
    assert_eq!(ran.err.lines().count(), 1);
    assert_eq!(std::fs::read(&file).unwrap(), bytes);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

/// Root may write anywhere, so where the tests run as root the program runs as nobody.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_said_and_harms_nothing() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;
    let (folder, file) = with_own_keys();
    let bytes = std::fs::read(&file).unwrap();
    // A copy that anybody may run: the build folder may be closed to others.
    let copied = tempfile::tempdir().unwrap();
    let copy = copied.path().join("crestgauge");
    std::fs::copy(env!("CARGO_BIN_EXE_crestgauge"), &copy).unwrap();
    for (path, mode) in [(copied.path(), 0o755), (&copy, 0o755), (folder.path(), 0o555), (&file, 0o644)] {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    }
    let mut program = std::process::Command::new(&copy);
    program.args([OsStr::new("measure"), file.as_os_str(), OsStr::new("--save")]);
    if std::fs::metadata("/proc/self").is_ok_and(|about| about.uid() == 0) {
        program.uid(65_534).gid(65_534);
    }
    let ran: Ran = program.output().unwrap().into();
    std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(ran.exit, 1, "{}", ran.err);
    assert!(ran.err.contains("tooth.case.json: cannot be saved: permission denied"), "{}", ran.err);
    assert_eq!(ran.err.lines().count(), 1);
    assert_eq!(std::fs::read(&file).unwrap(), bytes);
}

#[test]
fn a_draft_is_measured_and_never_written_over_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("films").join("tooth.png");
    std::fs::create_dir(film.parent().unwrap()).unwrap();
    std::fs::copy(sample_film(), &film).unwrap();
    let film_bytes = std::fs::read(&film).unwrap();
    let case = folder.path().join("tooth.case.json");
    let draft = |more: &[&str]| -> Ran {
        program().arg("draft").arg(&film).arg("-o").arg(&case).args(more).output().unwrap().into()
    };
    let ran = draft(&["--tooth", "21", "--stage", "post_core"]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    let document = read(&case);
    assert_eq!(document["film"]["file"], "films/tooth.png");
    assert_eq!(
        document["film"]["sha256"],
        "38ec8c286e46a87a48eae38fbeb050ec9f58fd696002babea0e4c2b8d7a9a14e"
    );
    assert_eq!(
        (document["film"]["width_px"].as_u64(), document["film"]["height_px"].as_u64()),
        (Some(1000), Some(1300))
    );
    assert_eq!(document["tooth"]["fdi"], "21");
    let measured = run([OsStr::new("measure"), case.as_os_str()]);
    assert_eq!(measured.exit, 0, "{}", measured.err);
    let again = draft(&[]);
    assert_eq!(again.exit, 1);
    assert!(again.err.contains("exists already; add --force"), "{}", again.err);
    assert_eq!(read(&case), document);
    assert_eq!(draft(&["--force"]).exit, 0);
    assert_ne!(read(&case), document);
    // Not even when asked to.
    let onto_film: Ran =
        program().arg("draft").arg(&film).arg("-o").arg(&film).arg("--force").output().unwrap().into();
    assert_eq!(onto_film.exit, 1);
    assert_eq!(std::fs::read(&film).unwrap(), film_bytes);
}

#[test]
fn a_film_that_changed_or_went_away_is_a_caution_and_stops_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth");
    for name in ["film-102.png", "film-102.case.json"] {
        std::fs::copy(sample.join(name), folder.path().join(name)).unwrap();
    }
    let case = folder.path().join("film-102.case.json");
    let cautions = || -> Vec<String> {
        let ran = run([OsStr::new("measure"), case.as_os_str(), OsStr::new("--json")]);
        assert_eq!(ran.exit, 0, "{}", ran.err);
        let document: Value = serde_json::from_str(&ran.out).unwrap();
        document["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|it| it["id"].as_str().unwrap().to_owned())
            .collect()
    };
    let about_film =
        |ids: &[String]| ids.iter().filter(|id| id.starts_with("film_")).cloned().collect::<Vec<_>>();
    assert_eq!(about_film(&cautions()), Vec::<String>::new());
    image::GrayImage::new(900, 1300).save(folder.path().join("film-102.png")).unwrap();
    assert_eq!(about_film(&cautions()), ["film_changed", "film_size_differs"]);
    std::fs::remove_file(folder.path().join("film-102.png")).unwrap();
    assert_eq!(about_film(&cautions()), ["film_missing"]);
}
