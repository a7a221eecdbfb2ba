//! What `plan` prints: every number of the text is in the JSON, and the JSON satisfies its schema.

use super::make::Tooth;
use crate::command_line::{check_case, run};
use crestgauge::plan::schema;
use serde_json::Value;
use std::path::Path;

/// Every number of a document, those in its texts too, and half of every interval.
fn numbers(value: &Value, found: &mut Vec<f64>) {
    match value {
        Value::Number(number) => found.extend(number.as_f64()),
        Value::String(text) => found.extend(tokens(text).into_iter().map(|(number, _)| number)),
        Value::Array(items) => {
            if let [low, high] = items.as_slice()
                && let (Some(low), Some(high)) = (low.as_f64(), high.as_f64())
            {
                found.push((high - low) / 2.0);
            }
            for item in items {
                numbers(item, found);
            }
        }
        Value::Object(entries) => {
            // Of many things a caution is about, three are named and the rest counted.
            let about = entries.get("about").and_then(Value::as_array).map_or(0, Vec::len);
            found.extend(u32::try_from(about.saturating_sub(3)).map(f64::from));
            for item in entries.values() {
                numbers(item, found);
            }
        }
        Value::Null | Value::Bool(_) => {}
    }
}

/// The numbers of a text with how many digits stand behind the point.
fn tokens(text: &str) -> Vec<(f64, usize)> {
    let mut found = Vec::new();
    let mut token = String::new();
    for it in text.chars().chain([' ']) {
        if it.is_ascii_digit() || (it == '.' && !token.is_empty()) {
            token.push(it);
        } else {
            let number = token.trim_end_matches('.');
            if let Ok(value) = number.parse::<f64>() {
                found.push((value, number.split_once('.').map_or(0, |(_, digits)| digits.len())));
            }
            token.clear();
        }
    }
    found
}

/// What every plan says without a number of its own: the probability demanded, walls of a tooth, the ends of p.
const STANDING: [f64; 7] = [0.95, 95.0, 4.0, 0.999, 0.001, 3.0, 0.0];

fn check(file: &Path) {
    let json = run([Path::new("plan"), file, Path::new("--json")]);
    assert_eq!(json.exit, 0, "{}", json.err);
    assert_eq!(json.out.trim_end().lines().count(), 1);
    let document: Value = serde_json::from_str(&json.out).unwrap();
    let mut known = STANDING.to_vec();
    numbers(&document, &mut known);
    let case: Value = serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap();
    if let Some(label) = case.get("label") {
        numbers(label, &mut known);
    }
    let text = run([Path::new("plan"), file]).out;
    for line in text.lines() {
        assert!(line.chars().count() <= 80 || line.contains(".case.json"), "{line}");
        for (number, digits) in tokens(line) {
            let unit = 10f64.powi(i32::try_from(digits).unwrap());
            let is_it = |known: &f64| {
                ((known.abs() * unit).round() - (number * unit).round()).abs() < 1.001
                    && (known.abs() - number).abs() <= 0.5001 / unit
            };
            assert!(known.iter().any(is_it), "{number} of {line:?} is not in the JSON of {}", file.display());
        }
    }
}

#[test]
fn every_number_printed_is_in_the_json() {
    let folder = tempfile::tempdir().unwrap();
    for (index, tooth) in teeth().into_iter().enumerate() {
        let file = folder.path().join(format!("{index}.case.json"));
        std::fs::write(&file, tooth.json().to_string()).unwrap();
        check(&file);
    }
    for name in ["1-000", "2-004", "2-005", "2-009"] {
        check(&check_case(name));
    }
    check(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth/film-102.case.json"));
}

/// A window, none, a drill that is proposed, and a setting that is not printed.
fn teeth() -> Vec<Tooth> {
    vec![
        Tooth::placed(),
        Tooth { sections: vec![[3.0, 5.5, 0.8], [4.5, 5.0, 0.7]], ..Tooth::placed() },
        Tooth { root: 11.0, core: 7.0, ..Tooth::placed() },
        Tooth { length_sd: 1.5, ..Tooth::placed() },
        Tooth { ferrule: [0.3, 0.8], crest: [1.5, 2.0], ..Tooth::placed() },
    ]
}

#[test]
fn what_is_printed_satisfies_the_schema() {
    let validator = jsonschema::validator_for(&schema()).expect("the schema is well-formed");
    for name in ["1-000", "1-003", "1-020", "2-004", "2-005", "2-014"] {
        let ran = run([Path::new("plan"), &check_case(name), Path::new("--json")]);
        let document: Value = serde_json::from_str(&ran.out).unwrap();
        let faults: Vec<String> = validator.iter_errors(&document).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
        for key in ["window", "marks", "binding", "conflicts", "relaxations", "drills", "card", "recovery"] {
            assert!(document.get(key).is_some(), "{name} has no {key}");
        }
    }
    let mut bad: Value =
        serde_json::from_str(&run([Path::new("plan"), &check_case("1-000"), Path::new("--json")]).out)
            .unwrap();
    bad["marks"] = Value::from(1);
    assert!(!validator.is_valid(&bad));
}

#[test]
fn the_sample_stands_under_its_banner() {
    let ran = run(["plan"]);
    assert_eq!(ran.exit, 0);
    assert!(ran.out.starts_with("SAMPLE, NOT A PATIENT"));
    for heading in ["IS A POST NEEDED?", "HOW DEEP A POST?", "AT THE CHAIR", "WHAT A FERRULE WOULD TAKE"] {
        assert!(ran.out.contains(heading), "{heading}");
    }
    assert!(
        ran.out.contains("not a certified medical device")
            || ran.out.contains("not a certified medical\ndevice")
    );
    assert!(!ran.out.to_lowercase().contains("post required"));
}

/// A card is for the recommended depth. Where the case plans its tip elsewhere, the card says by how much.
#[test]
fn a_tip_that_is_planned_elsewhere_is_named_on_the_card() {
    let folder = tempfile::tempdir().unwrap();
    let text = include_str!("../../data/plans/canine-23.case.json");
    let planned = |share: f64| -> (Value, String) {
        let mut case: Value = serde_json::from_str(text).unwrap();
        let ends = &case["roots"][0]["canal"];
        let (from, to) = (&ends[0], &ends[2]);
        let between = |key: &str| {
            let (from, to) = (from[key].as_f64().unwrap(), to[key].as_f64().unwrap());
            from + (to - from) * share
        };
        let tip = serde_json::json!({"x": between("x"), "y": between("y"), "state": "planned"});
        case["roots"][0]["landmarks"]["post_tip"] = tip;
        let file = folder.path().join("tooth.case.json");
        std::fs::write(&file, case.to_string()).unwrap();
        let json = run([Path::new("plan"), &file, Path::new("--json")]);
        let text = run([Path::new("plan"), &file]);
        (serde_json::from_str(&json.out).unwrap(), text.out.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let words = "these settings are for the recommended depth, not for that tip";
    let (json, text) = planned(0.2);
    let set_at = json["card"]["set_at"]["set_mm"].as_f64().unwrap();
    let tip = json["card"]["planned_tip_mm"]["value"].as_f64().unwrap();
    assert!(set_at - tip > 1.0, "{set_at} {tip}");
    assert!(
        text.contains(words) && text.contains(&format!("{:.1} mm less far than SET AT", set_at - tip)),
        "{text}"
    );
    // A tip where the stop is set to needs no word. A stop's depth goes by the canal's straight line, as the share does here.
    let per_share = (planned(0.4).0["card"]["planned_tip_mm"]["value"].as_f64().unwrap() - tip) / 0.2;
    let (json, text) = planned(0.2 + (set_at - tip) / per_share);
    assert!((json["card"]["planned_tip_mm"]["value"].as_f64().unwrap() - set_at).abs() < 0.5);
    assert!(!text.contains(words), "{text}");
    // The recommended depth itself is never said to be another one than the card's.
    let recommended = json["marks"]["recommended"]["stop_depth_mm"]["value"].as_f64().unwrap();
    let (json, text) = planned(0.2 + (recommended - tip) / per_share);
    let there = json["card"]["planned_tip_mm"]["value"].as_f64().unwrap();
    assert!((there - recommended).abs() < 0.05, "{there} {recommended}");
    assert!(!text.contains(words), "{text}");
    let deeper = format!("is the recommended depth, {there:.2}");
    assert_eq!(text.contains(&deeper), set_at - there > 0.5, "{set_at} {there}: {text}");
    // And one beyond what is allowed is told so.
    let most = json["card"]["never_beyond"]["set_mm"].as_f64().unwrap();
    let (_, text) = planned(0.2 + (most + 1.0 - tip) / per_share);
    assert!(text.contains("1.0 mm beyond NEVER BEYOND"), "{text}");
}
