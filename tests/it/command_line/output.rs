//! What the program prints: table, JSON, CSV, order, exit codes, pipes.

use super::{Ran, check_case, program, run, sample_film};
use serde_json::Value;
use std::ffi::OsStr;

fn json(line: &str) -> Value {
    serde_json::from_str(line).expect("JSON")
}

#[test]
fn the_sample_stands_under_its_banner_and_fits_80_columns() {
    let ran = run(["measure"]);
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    assert!(ran.out.starts_with("SAMPLE, NOT A PATIENT"));
    assert!(ran.out.contains("This is not a certified medical\ndevice."));
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
        assert!(!line.contains('\u{1b}'), "colour off a terminal: {line}");
    }
    for word in ["meets", "falls short", "undecided", "settled by: ", "± is half a 95 % interval"] {
        assert!(ran.out.contains(word), "{word}");
    }
}

#[test]
fn every_check_case_fits_80_columns() {
    for index in 0..24 {
        let ran = run([OsStr::new("measure"), check_case(&format!("1-{index:03}")).as_os_str()]);
        // The heading holds the path, whose length is the user's.
        for line in ran.out.lines().skip(1) {
            assert!(line.chars().count() <= 80, "case {index}: {line}");
        }
    }
}

#[test]
fn json_is_one_line_a_case_in_the_order_given_and_a_bad_case_stops_no_other() {
    let names = ["1-003", "nothing-here", "1-001", "1-002"];
    let paths: Vec<_> = names.iter().map(|name| check_case(name)).collect();
    let ran = run(paths
        .iter()
        .map(|path| path.as_os_str())
        .chain([OsStr::new("--json")])
        .collect::<Vec<_>>()
        .into_iter()
        .fold(vec![OsStr::new("measure")], |mut all, one| {
            all.push(one);
            all
        }));
    assert_eq!(ran.exit, 1);
    assert_eq!(ran.err.lines().count(), 1);
    let files: Vec<String> = ran
        .out
        .lines()
        .map(|line| json(line)["case_file"].as_str().unwrap().rsplit('/').next().unwrap().to_owned())
        .collect();
    assert_eq!(files, ["1-003.case.json", "1-001.case.json", "1-002.case.json"]);
}

#[test]
fn json_holds_the_whole_document() {
    let ran = run([OsStr::new("measure"), check_case("1-008").as_os_str(), OsStr::new("--json")]);
    let document = json(&ran.out);
    assert_eq!(document["format"], "crestgauge.case");
    assert_eq!(document["computed"]["criteria"], "default 1");
    let rows = document["measurements"].as_array().unwrap();
    let find = |id: &str, root: &str| rows.iter().find(|row| row["id"] == id && row["root"] == root).unwrap();
    // No root filling: a seal of 0 that falls short.
    let seal = find("seal_length", "distal");
    assert_eq!((seal["value"].as_f64(), seal["sd"].as_f64()), (Some(0.0), Some(0.0)));
    let verdict = |criterion: &str, root: &str| {
        document["verdicts"]
            .as_array()
            .unwrap()
            .iter()
            .find(|row| row["criterion"] == criterion && row["about"][0]["root"] == root)
            .unwrap_or_else(|| panic!("{criterion} {root}"))
    };
    assert_eq!(verdict("apical_seal", "distal")["verdict"], "falls_short");
    assert_eq!(verdict("filling_reaches_the_apex", "distal")["verdict"], "does_not_apply");
    let lacking = find("filling_length", "distal");
    assert_eq!(lacking["value"], Value::Null);
    assert_eq!(
        lacking["lacks"][0],
        serde_json::json!({"landmark": "filling_top", "root": "distal", "why": "absent"})
    );
    for row in rows.iter().filter(|row| !row["value"].is_null()) {
        let shares: f64 = row["shares"]
            .as_object()
            .map_or(1.0, |shares| shares.values().map(|it| it.as_f64().unwrap()).sum());
        assert!((shares - 1.0).abs() < 1e-9, "{row}");
    }
}

/// Reads one record of RFC 4180 after another.
fn records(text: &str) -> Vec<Vec<String>> {
    let mut records = vec![vec![String::new()]];
    let mut quoted = false;
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        match character {
            '"' if quoted && characters.peek() == Some(&'"') => {
                characters.next();
                records.last_mut().unwrap().last_mut().unwrap().push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => records.last_mut().unwrap().push(String::new()),
            '\r' if !quoted => {}
            '\n' if !quoted => records.push(vec![String::new()]),
            other => records.last_mut().unwrap().last_mut().unwrap().push(other),
        }
    }
    assert_eq!(records.pop().unwrap(), [""], "the last record ends its line too");
    records
}

#[test]
fn csv_has_its_header_and_verdicts_stand_apart() {
    let case = check_case("1-000");
    let measurements = records(&run([OsStr::new("measure"), OsStr::new("--csv"), case.as_os_str()]).out);
    assert_eq!(measurements[0].join(","), "case,tooth,root,id,value,sd,low,high,unit,state,lacks");
    assert!(measurements.iter().all(|record| record.len() == 11));
    let seal =
        measurements.iter().find(|record| record[2] == "mesial" && record[3] == "seal_length").unwrap();
    assert!((seal[4].parse::<f64>().unwrap() - 6.333_321_4).abs() < 1e-6);
    let verdicts = records(
        &run([OsStr::new("measure"), OsStr::new("--csv"), OsStr::new("verdicts"), case.as_os_str()]).out,
    );
    assert_eq!(verdicts[0][3], "criterion");
    assert!(verdicts.iter().skip(1).any(|record| record[3] == "apical_seal" && record[5] == "meets"));
    assert!(!verdicts.iter().any(|record| record[3] == "seal_length"));
}

#[test]
fn draws_repeat_with_their_seed() {
    let with = |seed: &str| {
        let case = check_case("1-012");
        let ran = run(["measure", case.to_str().unwrap(), "--json", "--draws", "2000", "--seed", seed]);
        assert_eq!(ran.exit, 0, "{}", ran.err);
        ran.out
    };
    assert_eq!(with("7"), with("7"));
    assert_ne!(with("7"), with("8"));
    let document = json(&with("7"));
    assert_eq!(
        (document["computed"]["draws"].as_u64(), document["computed"]["seed"].as_u64()),
        (Some(2000), Some(7))
    );
    let row = &document["measurements"][0];
    assert_eq!(row["draws_used"].as_u64(), Some(2000));
}

#[cfg(unix)]
#[test]
fn a_closed_pipe_ends_quietly() {
    let folder = tempfile::tempdir().unwrap();
    let status = folder.path().join("status");
    let line = format!(
        "{{ '{}' measure '{case}' '{case}' '{case}' --json; echo $? > '{}'; }} | true",
        env!("CARGO_BIN_EXE_crestgauge"),
        status.display(),
        case = check_case("1-000").display(),
    );
    let ran: Ran = std::process::Command::new("sh").args(["-c", &line]).output().unwrap().into();
    assert_eq!(ran.err, "");
    assert_eq!(std::fs::read_to_string(status).unwrap().trim(), "0");
}

#[test]
fn a_film_is_inspected_with_the_keys_of_the_contract() {
    let film = sample_film();
    let ran = run([OsStr::new("inspect"), film.as_os_str(), OsStr::new("--json"), film.as_os_str()]);
    assert_eq!((ran.exit, ran.out.lines().count()), (0, 2));
    let description = json(ran.out.lines().next().unwrap());
    let keys: Vec<_> = description.as_object().unwrap().keys().map(String::as_str).collect();
    let wanted = [
        "file",
        "format",
        "width_px",
        "height_px",
        "bits",
        "pitch_mm",
        "pitch_from",
        "magnification",
        "orientation",
        "frames",
        "sha256",
        "grey_sha256",
        "cautions",
    ];
    assert_eq!(keys, wanted);
    // The hash the film's makers wrote into its case.
    assert_eq!(description["sha256"], "38ec8c286e46a87a48eae38fbeb050ec9f58fd696002babea0e4c2b8d7a9a14e");
    assert_eq!(
        (description["width_px"].as_u64(), description["height_px"].as_u64()),
        (Some(1000), Some(1300))
    );
    let text = run([OsStr::new("inspect"), film.as_os_str()]);
    assert!(text.out.contains("1000 x 1300 px"), "{}", text.out);
}

#[test]
fn help_completions_and_manual_come_from_one_definition() {
    let names = ["measure", "inspect", "draft", "schema", "completions", "man"];
    let help = run(["--help"]);
    let manual = run(["man"]);
    let completions = run(["completions", "bash"]);
    for name in names {
        assert!(
            help.out.contains(name) && manual.out.contains(name) && completions.out.contains(name),
            "{name}"
        );
    }
    assert!(help.out.contains("not a certified medical device"));
    assert_eq!(run(["--version"]).out.trim(), concat!("crestgauge ", env!("CARGO_PKG_VERSION")));
    for shell in ["zsh", "fish", "elvish", "powershell"] {
        assert!(run(["completions", shell]).out.contains("crestgauge"), "{shell}");
    }
}

#[test]
fn without_a_window_the_program_names_what_it_can_do() {
    let ran: Ran = program().arg(sample_film()).output().unwrap().into();
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("crestgauge measure CASE"), "{}", ran.err);
}

/// Linux's full device stands for a full disk behind a redirection.
#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    for arguments in [&["measure"][..], &["schema"]] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let ran = program().args(arguments).stdout(full).output().unwrap();
        assert_eq!(ran.status.code(), Some(1), "{arguments:?}");
        assert!(String::from_utf8(ran.stderr).unwrap().contains("standard output: "), "{arguments:?}");
    }
}
