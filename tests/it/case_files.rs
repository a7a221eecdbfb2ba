//! Case files: what is written is read back, and what is not a case is refused without a panic.

use crate::change::check_cases;
use crate::properties::{runs, sound};
use crate::support::{library, text};
use crestgauge::case::{Document, ReadCase, read_text};
use crestgauge::measure::{Draws, measure};
use crestgauge::verdict::{Criteria, assess};
use proptest::prelude::*;
use serde_json::{Value, json};

fn check_case_text(number: usize) -> String {
    text(&format!("check-cases/1-{number:03}.case.json"))
}

#[test]
fn a_written_case_reads_back_equal() {
    let criteria = Criteria::default_set().unwrap();
    for case in check_cases() {
        let derived = assess(&case, &library(), &criteria, Draws::default(), &[]).unwrap();
        for derived in [None, Some(&derived)] {
            let document = Document { case: &case, derived, case_file: None };
            for written in
                [serde_json::to_string(&document).unwrap(), serde_json::to_string_pretty(&document).unwrap()]
            {
                let ReadCase { case: read, .. } = read_text(&written).unwrap();
                assert_eq!(read, case);
            }
        }
    }
}

/// The places of a document, as RFC 6901 pointers.
fn places(value: &Value, here: &str, found: &mut Vec<String>) {
    found.push(here.to_owned());
    match value {
        Value::Object(entries) => {
            for (key, value) in entries {
                places(value, &format!("{here}/{}", key.replace('~', "~0").replace('/', "~1")), found);
            }
        }
        Value::Array(entries) => {
            for (index, value) in entries.iter().enumerate() {
                places(value, &format!("{here}/{index}"), found);
            }
        }
        _ => {}
    }
}

/// Values that belong in no place of a case, or only in some.
fn any_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!({})),
        Just(json!([])),
        Just(json!({"x": 1.0, "y": 1e308})),
        Just(json!({"hidden": "", "absent": ""})),
        Just(json!([[], {}, null])),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-2000.0..2000.0f64).prop_map(Value::from),
        "[a-z_.\u{0}é/~]{0,12}".prop_map(Value::from),
    ]
}

/// Reads a text that may be a case; one that is must also be measurable.
fn read_and_measure(text: &str) {
    match read_text(text) {
        Ok(ReadCase { case, .. }) => {
            if let Ok(measured) = measure(&case, &library(), Draws::default()) {
                sound(&measured);
            }
        }
        Err(error) => assert!(!error.to_string().trim().is_empty()),
    }
}

proptest! {
    #![proptest_config(runs(600))]

    #[test]
    fn a_document_with_wrong_values_never_panics(
        number in 0..24usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any_value(), 0..3u8), 1..4),
    ) {
        let mut document: Value = serde_json::from_str(&check_case_text(number)).unwrap();
        for (which, value, how) in changes {
            let mut all = Vec::new();
            places(&document, "", &mut all);
            let place = which.get(&all);
            match (how, document.pointer_mut(place)) {
                (0, Some(Value::Object(entries))) => {
                    entries.insert("misspelt".to_owned(), value);
                }
                (1, Some(Value::Object(entries))) => {
                    if let Some(key) = entries.keys().next().cloned() {
                        entries.remove(&key);
                    }
                }
                (_, Some(found)) => *found = value,
                (_, None) => {}
            }
        }
        read_and_measure(&document.to_string());
    }

    #[test]
    fn a_text_with_wrong_characters_never_panics(
        number in 0..24usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<char>(), 0..3u8), 1..6),
    ) {
        let mut text: Vec<char> = check_case_text(number).chars().collect();
        for (which, character, how) in changes {
            let place = which.index(text.len());
            match how {
                0 => text[place] = character,
                1 => text.truncate(place.max(1)),
                _ => text.insert(place, character),
            }
        }
        read_and_measure(&text.into_iter().collect::<String>());
    }
}
