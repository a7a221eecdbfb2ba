//! Values and standard uncertainties against an independent implementation of the design (tests/data/check-cases).

use crate::support::{case, data, first_order, key, text};
use crestgauge::measure::Missing;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn check(name: &str) {
    let measured = first_order(&case(&text(&format!("check-cases/{name}.case.json"))));
    let expected: Value = serde_json::from_str(&text(&format!("check-cases/{name}.expected.json"))).unwrap();
    match &measured.scale {
        Ok(scale) => {
            for (ours, theirs) in [(scale.axial(), "k_axial"), (scale.transverse(), "k_transverse")] {
                let theirs = expected[theirs].as_f64().unwrap();
                assert!((ours.get() / theirs - 1.0).abs() < 1e-9, "{name}: scale {} {theirs}", ours.get());
            }
        }
        Err(reason) => assert!(expected["k_axial"].is_null(), "{name}: no scale: {reason:?}"),
    }
    let ours: BTreeMap<String, (f64, f64)> =
        measured.measurements.iter().filter_map(|it| Some((key(it), (it.value()?, it.sd()?)))).collect();
    let rows = expected["measurements"].as_object().unwrap();
    for (id, row) in rows {
        let (value, sd) = (row["value"].as_f64().unwrap(), row["sd"].as_f64().unwrap());
        let &(our_value, our_sd) = ours.get(id).unwrap_or_else(|| panic!("{name}: {id} has no value"));
        let tolerance = (1e-6 * value.abs()).max(1e-7);
        assert!((our_value - value).abs() <= tolerance, "{name}: {id} is {our_value}, expected {value}");
        assert!((our_sd - sd).abs() <= 0.01 * sd + 1e-9, "{name}: sd of {id} is {our_sd}, expected {sd}");
    }
    let extra: Vec<_> = ours.keys().filter(|id| !rows.contains_key(*id)).collect();
    assert!(extra.is_empty(), "{name}: values where none is expected: {extra:?}");
}

/// Rows without a value: the landmarks they lack, in order and with why, or the reason.
fn check_what_is_missing(name: &str) {
    let expected: Value = serde_json::from_str(&text(&format!("check-cases/{name}.expected.json"))).unwrap();
    let measured = first_order(&case(&text(&format!("check-cases/{name}.case.json"))));
    let ours: BTreeMap<String, Value> = measured
        .measurements
        .iter()
        .filter_map(|it| {
            let missing = match it.result.as_ref().err()? {
                Missing::Landmarks(lacks) => json!({"lacks": lacks}),
                Missing::Reason(reason) => json!({"reason": reason}),
            };
            Some((key(it), missing))
        })
        .collect();
    let theirs = expected["null"].as_object().expect("these cases say what is missing");
    for (id, missing) in theirs {
        assert_eq!(ours.get(id), Some(missing), "{name}: {id}");
    }
    assert_eq!(ours.len(), theirs.len(), "{name}: {ours:?}");
}

fn names(series: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(data("check-cases"))
        .unwrap()
        .filter_map(|entry| {
            entry.unwrap().file_name().to_str()?.strip_suffix(".case.json").map(str::to_owned)
        })
        .filter(|name| name.starts_with(series))
        .collect();
    names.sort();
    names
}

#[test]
fn the_24_check_cases_of_the_first_independent_program() {
    let names = names("1-");
    assert_eq!(names.len(), 24);
    for name in &names {
        check(name);
    }
}

/// Every fallback, kind of reference, root name and reason that the first 24 leave out.
#[test]
fn the_60_check_cases_of_the_second_independent_program() {
    let names = names("2-");
    assert_eq!(names.len(), 60);
    for name in &names {
        check(name);
        check_what_is_missing(name);
    }
}
