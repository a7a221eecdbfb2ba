//! Agreement from cases: who is compared with whom, signs, and what must hold of any study.

use super::{changed, close, each_point};
use crate::properties::runs;
use crate::support::library;
use crestgauge::agreement::{
    Agreement, Between, Compared, Comparison, Component, NoAgreement, NotComparable, Pair, Sitting, Withheld,
    agree, signed,
};
use crestgauge::case::{Case, Landmark, Mark, Point, Side, State};
use crestgauge::editor::{NotTaken, own_placing};
use crestgauge::quantity::MillimetresPerPixel;
use proptest::prelude::*;
use serde_json::json;

/// Evenly spread within ±1, the same everywhere.
fn spread(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        2.0 * f64::from(u32::try_from(state >> 32).unwrap()) / f64::from(u32::MAX) - 1.0
    }
}

/// Cases of `films` teeth by two observers, twice each, with noise of up to 6 px on every point.
fn study(films: u64) -> Vec<(String, Case)> {
    let mut cases = Vec::new();
    for film in 0..films {
        let mut tooth = spread(film + 100);
        let mut original = changed(|case| case["film"]["sha256"] = json!(format!("{film:064}")));
        each_point(&mut original, |point| {
            point.x += 15.0 * tooth();
            point.y += 15.0 * tooth();
        });
        for (observer, seed) in [("anna", 1), ("ben", 2)] {
            for sitting in 0..2 {
                let mut noise = spread(1000 * seed + 10 * film + sitting);
                let mut case = original.clone();
                each_point(&mut case, |point| {
                    point.x += 6.0 * noise();
                    point.y += 6.0 * noise();
                });
                case.extra.insert("x-sitting".to_owned(), json!(sitting + 1));
                cases.push((observer.to_owned(), case));
            }
        }
    }
    cases
}

fn sittings(cases: &[(String, Case)]) -> Vec<Sitting> {
    let library = library();
    cases
        .iter()
        .enumerate()
        .map(|(index, (observer, case))| {
            Sitting::of(case, observer, &format!("{index:04}"), &library).expect("comparable")
        })
        .collect()
}

fn compare(cases: &[(String, Case)]) -> Agreement {
    agree(sittings(cases)).expect("something repeats")
}

fn table(agreement: &Agreement, between: Between, observer: Option<&str>) -> Comparison {
    let wanted = |it: &&Comparison| it.between == between && it.observer.as_deref() == observer;
    agreement.comparisons.iter().find(wanted).expect("the table").clone()
}

fn row<'a>(table: &'a Comparison, spoken: &str) -> &'a Compared {
    table.quantities.iter().find(|it| it.quantity.spoken() == spoken).unwrap_or_else(|| panic!("no {spoken}"))
}

fn only_pair(row: &Compared) -> &Pair {
    assert_eq!(row.pairs.len(), 1);
    &row.pairs[0]
}

/// Two teeth, mesial crest 10 and 14 px lower and 20 px further left by the second observer: 0.5 and 0.7 mm apical, 1 mm
/// mesial of the first; differences are first − second, apical and distal positive.
#[test]
fn differences_are_first_less_second_apical_and_distal_positive() {
    let at = |film: usize, x: f64, y: f64| {
        changed(|case| {
            case["film"]["sha256"] = json!(format!("{film:064}"));
            case["landmarks"]["crest.mesial"] = json!({"x": x, "y": y});
        })
    };
    let cases = [
        ("anna".to_owned(), at(1, 110.0, 160.0)),
        ("anna".to_owned(), at(2, 110.0, 160.0)),
        ("ben".to_owned(), at(1, 90.0, 170.0)),
        ("ben".to_owned(), at(2, 90.0, 174.0)),
    ];
    let agreement = compare(&cases);
    let table = table(&agreement, Between::Observers, None);
    assert_eq!(table.columns, ["anna", "ben"]);
    let along = only_pair(row(&table, "crest, mesial, along"));
    let bland_altman = along.bland_altman.given().expect("two pairs");
    close(bland_altman.bias.value, -0.6);
    close(bland_altman.sd, 0.02_f64.sqrt());
    close(along.dahlberg.given().expect("two pairs").error.value, ((0.25 + 0.49) / 4.0_f64).sqrt());
    let across = only_pair(row(&table, "crest, mesial, across")).bland_altman.given().expect("two pairs");
    close(across.bias.value, 1.0);
    // A deeper crest makes the way from the margin to it longer.
    let measured = only_pair(row(&table, "margin to crest, mesial")).bland_altman.given().expect("two pairs");
    close(measured.bias.value, -0.6);
    // One sitting each: nothing is known of an observer's own scatter.
    assert!(agreement.placing.is_empty() && agreement.comparisons.len() == 1);
}

/// Two sittings 4 px apart along and 2 across: √(Σ (d²/2) over both axes, over 2) in pixels, 0.05 mm each.
#[test]
fn ones_own_placing_is_the_scatter_of_both_axes() {
    let cases: Vec<(String, Case)> = [(110.0, 160.0), (112.0, 164.0)]
        .into_iter()
        .map(|(x, y)| {
            let case = changed(|case| case["landmarks"]["crest.mesial"] = json!({"x": x, "y": y}));
            ("anna".to_owned(), case)
        })
        .collect();
    let agreement = compare(&cases);
    let crest =
        agreement.placing[0].landmarks.iter().find(|it| it.landmark == "crest.mesial").expect("placed twice");
    close(crest.sd_px.sd.value, 5.0_f64.sqrt());
    close(crest.placing_mm.sd.value, 0.05 * 5.0_f64.sqrt());
    assert_eq!((crest.placing_mm.n, crest.placing_mm.df), (1, 2));
    let table = table(&agreement, Between::Sittings, Some("anna"));
    assert_eq!(table.columns, ["sitting 1", "sitting 2"]);
    let along = only_pair(row(&table, "crest, mesial, along"));
    assert_eq!(along.bland_altman.withheld(), Some(Withheld::TooFewPairs { needs: 2, has: 1 }));
    assert_eq!(along.concordance.withheld(), Some(Withheld::CoordinateOrigin));
}

/// Three landmarks placed twice have 6 degrees of freedom and an sd that is uncertain by 1/√12 of itself; five have 10, but each
/// of them by itself 2, too few for an sd of its own.
#[test]
fn an_sd_is_taken_into_a_case_from_eight_degrees_of_freedom_on() {
    let taken = |keys: &[&str], sittings: u32| {
        let case = |sitting: u32| {
            changed(|case| {
                let landmarks = case["landmarks"].as_object_mut().expect("landmarks");
                landmarks.retain(|key, _| keys.contains(&key.as_str()));
                landmarks["finish_line.mesial"]["y"] = json!(100.0 + 4.0 * f64::from(sitting));
                case["roots"][0]["canal"] = json!([]);
                case["roots"][0]["sections"] = json!([]);
            })
        };
        let cases: Vec<(String, Case)> = (0..sittings).map(|at| ("anna".to_owned(), case(at))).collect();
        let placing = compare(&cases).placing[0].clone();
        own_placing(&cases[0].1, &placing, Some(MillimetresPerPixel(0.05)))
    };
    let margins = ["finish_line.mesial", "finish_line.distal", "crest.mesial", "crest.distal"];
    let few = taken(&margins[..2], 2).expect_err("6 are too few");
    let NotTaken::TooFewRepeats { df, uncertain, least_uncertain, more } = few else { panic!("{few}") };
    assert_eq!((df, more), (6, 1));
    close(uncertain, 1.0 / 12.0_f64.sqrt());
    close(least_uncertain, 0.25);
    assert!(
        few.to_string().contains("uncertain by 29 %") && few.to_string().ends_with("again 1 more time"),
        "{few}"
    );
    let all = taken(&margins, 2).expect("10 are enough");
    assert_eq!((all.of_its_own, all.of_all), (0, 5));
    // Five times, and 8 degrees of freedom at each: those that never moved are not exact.
    let often = taken(&margins, 5).expect("enough");
    assert_eq!((often.of_its_own, often.of_all), (1, 4));
}

#[test]
fn observers_and_sittings_are_what_the_case_says() {
    let case = changed(|case| {
        case["x-observer"] = json!(" an\u{1b}na ");
        case["x-sitting"] = json!(2);
    });
    let says = signed(&case);
    assert_eq!(says.observer.as_deref(), Some("anna"));
    let later = signed(&changed(|case| case["x-sitting"] = json!(10))).sitting;
    assert!(says.sitting < later, "2 comes before 10");
    assert_eq!(signed(&changed(|case| case["x-observer"] = json!([1]))).observer, None);
}

#[test]
fn hidden_to_one_and_placed_by_another_is_disputed() {
    let mut cases = study(3);
    for (_, case) in cases.iter_mut().filter(|(observer, _)| observer == "ben").take(2) {
        let id = Landmark::Crest.on(Side::Distal);
        let hidden = Mark::Hidden { hidden: "overlap".to_owned(), extra: serde_json::Map::new() };
        case.landmarks.marks.insert(id, hidden);
    }
    let table = table(&compare(&cases), Between::Observers, None);
    let crest = table.visibility.iter().find(|it| it.landmark == "crest.distal").expect("seen twice");
    assert_eq!((crest.placed, crest.unseen, crest.disputed), (2, 0, 1));
    assert_eq!(row(&table, "crest, distal, along").n, 2);
}

#[test]
fn what_is_planned_is_no_observation() {
    let mut cases = study(2);
    for (_, case) in &mut cases {
        let id = Landmark::PostTip.id();
        let mut point = Point::at(200.0, 300.0);
        point.state = Some(State::Planned);
        case.roots[0].landmarks.marks.insert(id, Mark::Placed(point));
    }
    let agreement = compare(&cases);
    for table in &agreement.comparisons {
        assert!(
            table.quantities.iter().all(|it| !it.quantity.id().starts_with("post")),
            "a plan was compared"
        );
    }
}

#[test]
fn cases_that_repeat_nothing_are_refused_with_the_reason() {
    let film = |film: usize, tooth: &str| {
        let case = changed(|case| {
            case["film"]["sha256"] = json!(format!("{film:064}"));
            case["tooth"]["fdi"] = json!(tooth);
        });
        ("anna".to_owned(), case)
    };
    let why = |cases: &[(String, Case)]| agree(sittings(cases)).expect_err("nothing repeats");
    assert_eq!(why(&[film(1, "21")]), NoAgreement::TooFewCases(1));
    assert_eq!(why(&[film(1, "21"), film(2, "21")]), NoAgreement::DifferentFilms { cases: 2, films: 2 });
    assert_eq!(why(&[film(1, "21"), film(1, "22")]), NoAgreement::DifferentTeeth { cases: 2, films: 1 });
    let bare = |key: &str| {
        let only = key.to_owned();
        let case = changed(|case| {
            case["landmarks"] = json!({only: {"x": 100.0, "y": 100.0}});
            case["roots"] = json!([]);
        });
        ("anna".to_owned(), case)
    };
    assert_eq!(why(&[bare("crest.mesial"), bare("cej.distal")]), NoAgreement::NothingInCommon);
    let nameless = changed(|case| drop(case["film"].as_object_mut().expect("an object").remove("sha256")));
    assert_eq!(Sitting::of(&nameless, "anna", "", &library()), Err(NotComparable::NoFilm));
}

#[test]
fn a_copy_of_a_case_is_said_to_be_no_repeat() {
    let cases = study(1);
    let copied = vec![cases[0].clone(), cases[0].clone(), cases[1].clone()];
    let named = ["anna, sitting 1", "anna, sitting 2"].map(str::to_owned);
    assert_eq!(compare(&copied).identical, [named]);
    assert!(compare(&cases).identical.is_empty());
}

/// Two teeth with both sittings and one with three: the third sitting has no partner, and is left out of the columns.
#[test]
fn as_many_sittings_are_compared_as_leave_the_most_repeats() {
    let mut cases: Vec<_> = study(3).into_iter().filter(|(observer, _)| observer == "anna").collect();
    cases.push(cases[0].clone());
    each_point(&mut cases[6].1, |point| point.x += 1.0);
    let agreement = compare(&cases);
    assert_eq!(agreement.observers[0].teeth_repeated, 3);
    assert_eq!(table(&agreement, Between::Sittings, Some("anna")).columns.len(), 2);
}

fn differences(table: &Comparison, spoken: &str) -> (f64, f64, [f64; 2]) {
    let it = only_pair(row(table, spoken)).bland_altman.given().expect("enough pairs");
    (it.bias.value, it.sd, [it.lower.limit.value, it.upper.limit.value])
}

proptest! {
    #![proptest_config(runs(12))]

    /// The shift moves every point of one observer: measurements do not feel it, places only in their bias, by 0.05 mm a
    /// pixel. All teeth stand upright, so that the way on the film is the same beside each.
    #[test]
    fn shifting_one_observer_changes_bias_alone(right in -30.0..30.0f64, down in -30.0..30.0f64) {
        let mut cases = study(5);
        let straight = changed(|_| ());
        for (_, case) in &mut cases {
            case.roots[0].landmarks = straight.roots[0].landmarks.clone();
            for (id, mark) in &straight.landmarks.marks {
                if id.landmark() == Landmark::FinishLine {
                    case.landmarks.marks.insert(*id, mark.clone());
                }
            }
        }
        let mut shifted = cases.clone();
        for (_, case) in shifted.iter_mut().filter(|(observer, _)| observer == "ben") {
            each_point(case, |point| {
                point.x += right;
                point.y += down;
            });
        }
        let (old, new) = (compare(&cases), compare(&shifted));
        let [was, is] = [&old, &new].map(|it| table(it, Between::Observers, None));
        for (one, other) in was.quantities.iter().zip(&is.quantities) {
            let spoken = one.quantity.spoken();
            let (bias, sd, limits) = differences(&was, &spoken);
            let (new_bias, new_sd, new_limits) = differences(&is, &spoken);
            prop_assert!((sd - new_sd).abs() < 1e-9, "{spoken}: sd {sd} became {new_sd}");
            let moved = new_bias - bias;
            let expected = match one.quantity.component() {
                None => 0.0,
                Some(Component::Along) => -0.05 * down,
                Some(Component::Across) => -0.05 * right,
            };
            prop_assert!((moved - expected).abs() < 1e-9, "{spoken}: bias moved by {moved}, not {expected}");
            for (limit, new_limit) in limits.iter().zip(new_limits) {
                prop_assert!((new_limit - limit - moved).abs() < 1e-9);
            }
            prop_assert_eq!(&one.complete, &other.complete);
        }
        let [was, is] = [&old, &new].map(|it| table(it, Between::Sittings, Some("ben")));
        for (one, other) in was.quantities.iter().zip(&is.quantities) {
            let sd = |it: &Compared| it.within.given().expect("repeats").sd.value;
            prop_assert!((sd(one) - sd(other)).abs() < 1e-9);
        }
    }

    #[test]
    fn the_order_of_cases_changes_nothing(order in Just((0..16).collect::<Vec<usize>>()).prop_shuffle()) {
        let given = sittings(&study(4));
        let shuffled: Vec<Sitting> = order.iter().map(|index| given[*index].clone()).collect();
        prop_assert_eq!(shuffled.len(), given.len());
        prop_assert_eq!(agree(given), agree(shuffled));
    }
}

#[test]
fn swapping_observers_flips_signs_and_nothing_else() {
    let cases = study(6);
    let swapped: Vec<(String, Case)> = cases
        .iter()
        .map(|(observer, case)| (if observer == "anna" { "ben" } else { "anna" }.to_owned(), case.clone()))
        .collect();
    let [was, is] = [&cases, &swapped].map(|cases| table(&compare(cases), Between::Observers, None));
    for (one, other) in was.quantities.iter().zip(&is.quantities) {
        let spoken = one.quantity.spoken();
        let (bias, sd, [low, high]) = differences(&was, &spoken);
        let (new_bias, new_sd, [new_low, new_high]) = differences(&is, &spoken);
        for (one, other) in [(bias, -new_bias), (sd, new_sd), (low, -new_high), (high, -new_low)] {
            close(one, other);
        }
        let within = |it: &Compared| it.within.given().expect("repeats").sd.value;
        close(within(one), within(other));
        if let (Some(one), Some(other)) = (one.intraclass.given(), other.intraclass.given()) {
            for ((_, one), (_, other)) in one.named().into_iter().zip(other.named()) {
                close(one.given().expect("spread").value, other.given().expect("spread").value);
            }
            let lin = |it: &Compared| only_pair(it).concordance.given().expect("pairs").coefficient.value;
            close(lin(row(&was, &spoken)), lin(row(&is, &spoken)));
        }
    }
    assert!(was.quantities.iter().any(|it| it.intraclass.given().is_some()), "no correlation was compared");
}
