//! No number in a report but those the program computed.

use super::{DRAWS, Made, all_words, cases, root, setting};
use crate::support::{data, library};
use crestgauge::case::{Case, State, read_text};
use crestgauge::measure::Draws;
use crestgauge::plan::{Wish, plan};
use crestgauge::report::{Audience, Paper, case_json, pages, plan_json, tallies};
use crestgauge::verdict::{Criteria, assess};
use serde_json::Value;
use std::collections::BTreeSet;

/// Half a 95 % interval by the normal distribution (JCGM 100, table G.1: 1.960), to more digits.
const COVERAGE: f64 = 1.959_963_984_540_054;

/// A value and half its interval, by the rule written down in docs/reports.md: as few digits behind the point as leave
/// ten units or more of the last one in the half, at most four; the value with as many.
fn rounded(value: f64, half: f64) -> String {
    let units = |digits: i32| (half * 10_f64.powi(digits)).round();
    let fewest = (0..=4).find(|digits| units(*digits) >= 10.0).unwrap_or(4);
    let digits = if half > 0.0 { usize::try_from(fewest).unwrap() } else { 2 };
    let zero = |text: String| {
        text.strip_prefix('-').filter(|rest| rest.parse() == Ok(0.0)).map_or(text.clone(), str::to_owned)
    };
    format!("{} ± {}", zero(format!("{value:.digits$}")), zero(format!("{half:.digits$}")))
}

/// `measure --json` of a case, and the same by draws.
fn measured(case: &Case, draws: Draws) -> Value {
    let derived = assess(case, &library(), &Criteria::default_set().unwrap(), draws, &[]).unwrap();
    serde_json::from_str(&case_json(case, &derived, None).unwrap()).unwrap()
}

/// The rows of `measure --json`, the doubtful ones by draws.
fn rows(case: &Case) -> Vec<Value> {
    let of = |draws| measured(case, draws)["measurements"].as_array().unwrap().clone();
    let first = of(Draws::default());
    if !first.iter().any(|row| row["first_order_doubtful"] == true) {
        return first;
    }
    let drawn = of(DRAWS);
    let choose =
        |(first, drawn): (Value, Value)| if first["first_order_doubtful"] == true { drawn } else { first };
    first.into_iter().zip(drawn).map(choose).collect()
}

/// A row's value as it should be printed; none for a row without one.
fn printed(row: &Value) -> Option<String> {
    let value = row["value"].as_f64()?;
    let [low, high] = [row["interval"][0].as_f64()?, row["interval"][1].as_f64()?];
    let half = (high - low) / 2.0;
    if (f64::midpoint(low, high) - value).abs() <= 0.1 * half {
        return Some(rounded(value, half));
    }
    let digits = rounded(value, half).split(" ± ").next()?.split('.').nth(1).map_or(0, str::len);
    let number = |value: f64| {
        let text = format!("{value:.digits$}");
        text.strip_prefix('-').filter(|rest| rest.parse() == Ok(0.0)).map_or(text.clone(), str::to_owned)
    };
    Some(format!("{} ({} to {})", number(value), number(low), number(high)))
}

/// Every amount in a plan, and every reading in a case, as it could be printed.
fn amounts(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            if let (Some(value), sd) = (map.get("value").and_then(Value::as_f64), map.get("sd")) {
                let sd = sd.and_then(Value::as_f64).unwrap_or(0.5);
                for value in [value, value.abs()] {
                    found.insert(rounded(value, COVERAGE * sd));
                }
            }
            map.values().for_each(|value| amounts(value, found));
        }
        Value::Array(list) => list.iter().for_each(|value| amounts(value, found)),
        Value::Number(number) => {
            if let Some(value) = number.as_f64() {
                found.insert(rounded(value, COVERAGE * 0.5));
            }
        }
        _ => {}
    }
}

/// Every "number ± number" and every "number (number to number)" in some words.
fn said(words: &str) -> Vec<String> {
    let words: Vec<&str> = words.split(' ').collect();
    let bare =
        |word: &str| word.trim_matches(|letter: char| !letter.is_ascii_digit() && letter != '-').to_owned();
    let number = |word: &str| Some(bare(word)).filter(|word| word.parse::<f64>().is_ok());
    let around = words
        .windows(3)
        .filter(|three| three[1] == "±")
        .filter_map(|three| Some(format!("{} ± {}", number(three[0])?, number(three[2])?)));
    let between = words.windows(4).filter(|four| four[1].starts_with('(') && four[2] == "to");
    let between = between.filter_map(|four| {
        Some(format!("{} ({} to {})", number(four[0])?, number(four[1])?, number(four[3])?))
    });
    around.chain(between).collect()
}

#[test]
fn every_number_in_a_report_is_one_the_program_measured_or_planned() {
    let mut checked = 0;
    for (name, text) in cases() {
        let made = Made::of(&text);
        let rows = rows(&made.case);
        let mut known: BTreeSet<String> = rows.iter().filter_map(printed).collect();
        let plan = plan(&made.case, &library(), &made.criteria, &Wish::default(), &[]).unwrap();
        amounts(&serde_json::from_str(&plan_json(&plan, "").unwrap()).unwrap(), &mut known);
        amounts(&serde_json::from_str::<Value>(&text).unwrap()["clinical"], &mut known);
        for (_, audience) in Audience::ALL {
            let words = all_words(&pages(&made.subject(), setting(*audience, Paper::A4)));
            for number in said(&words) {
                assert!(known.contains(&number), "{name}, {}: {number} was never computed", audience.word());
                checked += 1;
            }
        }
    }
    assert!(checked > 5_000, "{checked}");
}

#[test]
fn a_record_has_every_value_that_was_measured() {
    let mut checked = 0;
    for (name, text) in cases() {
        let made = Made::of(&text);
        let words = all_words(&pages(&made.subject(), setting(Audience::Record, Paper::A4)));
        for row in rows(&made.case) {
            let Some(value) = printed(&row) else { continue };
            assert!(words.contains(&value), "{name}: {} {value} is not in the record", row["id"]);
            checked += 1;
        }
    }
    assert!(checked > 2_000, "{checked}");
}

/// The rule of rounding against a hand-worked row: 0.64 has two digits, so the value has two behind the point.
#[test]
fn the_rule_of_rounding() {
    for (value, half, wanted) in [
        (1.5262, 0.6397, "1.53 ± 0.64"),
        (12.329, 0.996, "12.3 ± 1.0"),
        (-0.001, 0.2, "0.00 ± 0.20"),
        (1.1166, 0.0862, "1.117 ± 0.086"),
        (36.6, 29.03, "37 ± 29"),
        (2.0, 0.98, "2.0 ± 1.0"),
    ] {
        assert_eq!(rounded(value, half), wanted);
    }
    assert!(read_text("{}").is_err());
}

/// A rule that is short in two roots is short twice, and it is said where.
#[test]
fn of_several_roots_the_count_of_verdicts_names_each() {
    let named = |made: &Made| -> Vec<String> {
        let all = tallies(&made.derived, &made.criteria, State::Present);
        all.into_iter().flat_map(|tally| [tally.short_of, tally.open_of].concat()).collect()
    };
    let text = std::fs::read_to_string(data("check-cases/1-000.case.json")).unwrap();
    let two = Made::of(&text);
    let titles = named(&two);
    for root in [", mesial root", ", distal root"] {
        assert!(titles.iter().any(|title| title.ends_with(root)), "{root}: {titles:?}");
    }
    let one =
        named(&Made::of(&std::fs::read_to_string(root("sample-images/short-wall-21.case.json")).unwrap()));
    assert!(!one.is_empty() && !one.iter().any(|title| title.ends_with("single root")), "{one:?}");
}
