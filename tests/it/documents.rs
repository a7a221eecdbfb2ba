//! Documents that are made from the program stay equal to it. `CRESTGAUGE_WRITE_DOCUMENTS=1 cargo test documents`
//! writes them anew.

use crate::command_line::run;
use crate::support::library;
use crestgauge::case::{Owner, schema};
use crestgauge::report;
use crestgauge::verdict::Criteria;
use std::fs;
use std::path::{Path, PathBuf};

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn read(name: &str) -> String {
    fs::read_to_string(path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn write_wanted() -> bool {
    std::env::var_os("CRESTGAUGE_WRITE_DOCUMENTS").is_some()
}

/// The part of a document between its marker and the next `<!-- end -->` must be `made`.
fn part(name: &str, marker: &str, made: &str) {
    let document = read(name);
    let begin = format!("<!-- made from the program: {marker} -->\n");
    let start =
        document.find(&begin).unwrap_or_else(|| panic!("{name} has no marker {marker:?}")) + begin.len();
    let end = start
        + document[start..].find("<!-- end -->").unwrap_or_else(|| panic!("{name}: {marker} has no end"));
    if write_wanted() {
        fs::write(path(name), format!("{}{made}{}", &document[..start], &document[end..])).unwrap();
    } else {
        assert!(&document[start..end] == made, "{name}: {marker} is out of date; {HOW}");
    }
}

const HOW: &str = "run `CRESTGAUGE_WRITE_DOCUMENTS=1 cargo test documents` and look at the difference";

#[test]
fn tables_of_the_documents() {
    part("docs/case.md", "tooth landmarks", &report::landmarks_markdown(Owner::Tooth));
    part("docs/case.md", "root landmarks", &report::landmarks_markdown(Owner::Root));
    part("docs/landmarks.md", "definitions", &report::definitions_markdown());
    part("docs/case.md", "measurements", &report::catalogue_markdown());
    part("docs/criteria.md", "criteria", &report::criteria_markdown(&Criteria::default_set().unwrap()));
    part("docs/references.md", "reference objects", &report::library_markdown(&library()));
    part("docs/references.md", "limits", &report::limits_markdown(&library()));
    part("docs/case.md", "first look", &report::first_look_markdown());
}

/// What the README shows is what the program prints: the sample's first question and its foot.
#[test]
fn the_readme_shows_what_the_program_prints() {
    let printed = run(["measure"]).out;
    let end = printed.find("\nIs the margin clear").expect("the second question");
    part("README.md", "the sample", &format!("```text\n$ crestgauge measure\n{}...\n```\n", &printed[..end]));
}

#[test]
fn the_schema_in_the_documents_is_the_programs() {
    let made = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    assert_eq!(run(["schema"]).out, made);
    if write_wanted() {
        fs::write(path("docs/case.schema.json"), &made).unwrap();
    }
    assert!(read("docs/case.schema.json") == made, "docs/case.schema.json is out of date; {HOW}");
}

#[test]
fn the_schema_of_plans_in_the_documents_is_the_programs() {
    let made = serde_json::to_string_pretty(&crestgauge::plan::schema()).unwrap() + "\n";
    if write_wanted() {
        fs::write(path("docs/plan.schema.json"), &made).unwrap();
    }
    assert!(read("docs/plan.schema.json") == made, "docs/plan.schema.json is out of date; {HOW}");
}

#[test]
fn cases_and_what_is_printed_of_them_satisfy_the_schema() {
    let validator = jsonschema::validator_for(&schema()).expect("the schema is well-formed");
    let check = |name: &str, text: &str| {
        let document = serde_json::from_str(text).unwrap();
        let faults: Vec<String> = validator
            .iter_errors(&document)
            .map(|fault| format!("{}: {fault}", fault.instance_path()))
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
    };
    let mut files: Vec<PathBuf> =
        fs::read_dir(path("tests/data/check-cases")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.to_string_lossy().ends_with(".case.json"));
    files.push(path("tests/data/films-truth/film-102.case.json"));
    for file in files {
        check(&file.display().to_string(), &fs::read_to_string(&file).unwrap());
        for more in [&["--json"][..], &["--json", "--draws", "100"]] {
            let ran = run([&["measure", file.to_str().unwrap()], more].concat());
            check(&format!("measure {}", file.display()), &ran.out);
        }
    }
}

/// A schema that takes everything would pass the test above.
#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let good: serde_json::Value =
        serde_json::from_str(&read("tests/data/films-truth/film-102.case.json")).unwrap();
    assert!(validator.is_valid(&good));
    for (pointer, value) in [
        ("/landmarks/crest", serde_json::json!({"x": 1, "y": 1})),
        ("/tooth/fdi", serde_json::json!("55")),
        ("/calibration/references/0/kind", serde_json::json!("ruler")),
        ("/calibration/references/0/length_mm", serde_json::json!(0)),
        ("/calibration/references/0/lenght_mm", serde_json::json!(21)),
        ("/landmarks/crest.mesial/stat", serde_json::json!("planned")),
        ("/uncertainty/placing", serde_json::json!(0.1)),
        ("/clinical/ferrule_mm/palatal", serde_json::json!(2)),
        ("/clinical/smile_line", serde_json::json!("wide")),
        ("/clinical/first_look", serde_json::json!({"apex": "healed"})),
        ("/clinical/first_look", serde_json::json!({"mobility": 7})),
        ("/film/stage", serde_json::json!("postcore")),
        ("/roots/0/name", serde_json::json!("middle")),
    ] {
        let mut bad = good.clone();
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        let parent = bad.pointer_mut(parent).unwrap();
        parent[key] = value;
        assert!(!validator.is_valid(&bad), "{pointer}");
        assert!(crestgauge::case::read_text(&bad.to_string()).is_err(), "{pointer}");
    }
}
