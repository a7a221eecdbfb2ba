//! Students against a key: errors with their signs, outcomes, and verdicts that differ.

use super::{changed, close, each_point, upright};
use crate::change::check_cases;
use crate::support::{case, library};
use crestgauge::calibration::Placed;
use crestgauge::case::{Case, Reason, Verdict};
use crestgauge::measure::NoToothFrame;
use crestgauge::practice::{
    Error, Key, KeyRefused, LandmarkScore, NotScored, Outcome, PointError, Score, score,
};
use crestgauge::verdict::Criteria;
use serde_json::{Value, json};

fn truth(mut case: Case) -> Case {
    each_point(&mut case, |point| {
        if !point.is_planned() {
            point.placed = Some(Placed::Truth);
            point.sd_px = None;
        }
    });
    case
}

fn key() -> Key {
    Key::of(&truth(case(&upright().to_string())), &library()).expect("a key")
}

fn scored(key: &Key, case: &Case) -> Score {
    score(key, case, &library(), &Criteria::default_set().expect("criteria")).expect("the same film")
}

fn of<'a>(score: &'a Score, landmark: &str) -> &'a LandmarkScore {
    score.landmarks.iter().find(|it| it.landmark == landmark).unwrap_or_else(|| panic!("no {landmark}"))
}

fn point<'a>(score: &'a Score, landmark: &str) -> &'a PointError {
    match &of(score, landmark).error {
        Error::Point(error) => error,
        other => panic!("{landmark}: {other:?}"),
    }
}

fn error_of(score: &Score, id: &str) -> f64 {
    let row = score.measurements.iter().find(|it| it.of.id == id).unwrap_or_else(|| panic!("no {id}"));
    row.error.unwrap_or_else(|| panic!("{id} has no error: {row:?}"))
}

/// 0.05 mm a pixel; apical is down, distal to the right.
#[test]
fn errors_are_case_less_key_apical_and_distal_positive() {
    let student = changed(|case| {
        case["landmarks"]["crest.mesial"] = json!({"x": 130.0, "y": 170.0});
        case["landmarks"]["crest.distal"] = json!({"x": 284.0, "y": 157.0});
    });
    let score = scored(&key(), &student);
    let mesial = point(&score, "crest.mesial");
    close(mesial.along_mm, 0.5);
    close(mesial.across_mm, 1.0);
    close(mesial.distance_mm, 1.25_f64.sqrt());
    assert_eq!((mesial.key_px, mesial.placed_px), ([110.0, 160.0], [130.0, 170.0]));
    assert_eq!(mesial.in_sd, None, "a truth has no sd to compare with");
    let distal = point(&score, "crest.distal");
    close(distal.along_mm, -0.4);
    close(distal.across_mm, -0.3);
    close(error_of(&score, "margin_to_crest.mesial"), 0.5);
    close(error_of(&score, "margin_to_crest.distal"), -0.4);
    close(error_of(&score, "ferrule_height.mesial"), 0.0);
    assert!(score.same_film_known && score.exchanged_sides.is_empty());
}

/// Mesial to the right: the same way on the film is now a way to mesial.
#[test]
fn distal_is_where_the_key_has_its_distal_points() {
    let mirrored = |x: f64, y: f64| json!({"x": 400.0 - x, "y": y});
    let turn = |case: &mut Value| {
        case["tooth"] = json!({"fdi": "11"});
        for mark in case["landmarks"].as_object_mut().expect("landmarks").values_mut() {
            *mark = mirrored(mark["x"].as_f64().expect("x"), mark["y"].as_f64().expect("y"));
        }
    };
    let key = Key::of(&truth(changed(turn)), &library()).expect("a key");
    let student = changed(|case| {
        turn(case);
        case["landmarks"]["crest.mesial"] = json!({"x": 300.0, "y": 160.0});
    });
    // The key has it at 290: 10 px to the right, away from the distal points.
    close(point(&scored(&key, &student), "crest.mesial").across_mm, -0.5);
}

/// The sd of the key and that of the placing, 4 and 3 px, make 5 px or 0.25 mm.
#[test]
fn against_a_consensus_errors_are_in_units_of_the_combined_sd() {
    let consensus = changed(|case| {
        case["x-consensus"] = json!("anna and ben");
        case["landmarks"]["crest.mesial"]["sd_px"] = json!(4.0);
        for key in ["finish_line.mesial", "finish_line.distal"] {
            case["landmarks"][key]["sd_px"] = json!(1.0);
        }
        case["roots"][0]["landmarks"]["apex"]["sd_px"] = json!(1.0);
    });
    let key = Key::of(&consensus, &library()).expect("a key");
    assert!(key.is_consensus());
    let student = changed(|case| {
        case["landmarks"]["crest.mesial"] = json!({"x": 110.0, "y": 170.0, "sd_px": 3.0});
    });
    let score = scored(&key, &student);
    let in_sd = point(&score, "crest.mesial").in_sd.expect("a consensus");
    close(in_sd.along_sd_mm, 0.25);
    close(in_sd.along, 2.0);
    close(in_sd.across, 0.0);
    close(in_sd.distance, 2.0);
    // What carries no sd is no part of the key.
    assert!(score.landmarks.iter().all(|it| it.landmark != "crest.distal"));
    let row = score.measurements.iter().find(|it| it.of.id == "margin_to_crest.mesial").expect("a row");
    assert!(row.in_sd.is_some_and(|in_sd| in_sd > 0.0));
}

/// One's own repeats give points an sd, too: beside a truth they are no part of a key, and a truth with one stays exact.
#[test]
fn without_experts_an_sd_makes_no_consensus() {
    let mixed = changed(|case| {
        case["landmarks"]["crest.mesial"]["sd_px"] = json!(4.0);
        for key in ["finish_line.mesial", "finish_line.distal"] {
            case["landmarks"][key]["placed"] = json!("truth");
            case["landmarks"][key]["sd_px"] = json!(2.0);
        }
        case["roots"][0]["landmarks"]["apex"]["placed"] = json!("truth");
    });
    let key = Key::of(&mixed, &library()).expect("a key");
    assert!(!key.is_consensus());
    let score = scored(&key, &changed(|_| ()));
    assert!(score.landmarks.iter().all(|it| it.landmark != "crest.mesial"));
    assert_eq!(point(&score, "finish_line.mesial").in_sd, None);
}

#[test]
fn every_outcome_has_its_word() {
    let mark = |mark: Value| move |case: &mut Value| case["landmarks"]["bone_peak.mesial"] = mark.clone();
    let placed = json!({"x": 90.0, "y": 150.0});
    let hidden = json!({"hidden": "overlap"});
    let absent = json!({"absent": "none"});
    let planned = json!({"x": 90.0, "y": 150.0, "state": "planned"});
    for (in_key, by_student, outcome) in [
        (&placed, Some(&placed), Outcome::Placed),
        (&placed, None, Outcome::Missed),
        (&placed, Some(&hidden), Outcome::WronglyHidden),
        (&placed, Some(&absent), Outcome::WronglyAbsent),
        (&placed, Some(&planned), Outcome::WronglyPlanned),
        (&hidden, Some(&hidden), Outcome::RightlyHidden),
        (&hidden, Some(&placed), Outcome::WronglyPlaced),
        (&hidden, Some(&absent), Outcome::WronglyAbsent),
        (&hidden, None, Outcome::Missed),
        (&absent, Some(&absent), Outcome::RightlyAbsent),
        (&absent, Some(&placed), Outcome::WronglyPlaced),
        (&absent, Some(&hidden), Outcome::WronglyHidden),
    ] {
        let key = Key::of(&truth(changed(mark(in_key.clone()))), &library()).expect("a key");
        let student = changed(|case| {
            if let Some(by_student) = by_student {
                mark(by_student.clone())(case);
            }
        });
        let score = scored(&key, &student);
        let found = of(&score, "bone_peak.mesial");
        assert_eq!(found.outcome, outcome, "{in_key} and {by_student:?}");
        assert_eq!(found.error == Error::None {}, outcome != Outcome::Placed);
    }
}

/// A straight canal 10 px off to the right and 20 px longer: 0.5 mm distal everywhere, 1 mm longer.
#[test]
fn canals_are_compared_by_distance_and_length() {
    let student = changed(|case| {
        case["roots"][0]["canal"] = json!([{"x": 210.0, "y": 110.0}, {"x": 210.0, "y": 490.0}]);
    });
    let score = scored(&key(), &student);
    let Error::Canal(error) = &of(&score, "canal").error else { panic!("no canal") };
    close(error.rms_mm, 0.5);
    close(error.largest_mm, 0.5);
    close(error.across_mm, 0.5);
    close(error.length_error_mm, 1.0);
    let without = changed(|case| case["roots"][0]["canal"] = json!([]));
    assert_eq!(of(&scored(&key(), &without), "canal").outcome, Outcome::Missed);
}

/// The section 20 px lower, its outer walls 4 px further out each: 1 mm apical, (−0.2, 0, 0, 0.2) mm across.
#[test]
fn sections_are_compared_across_and_by_level() {
    let student = changed(|case| {
        let points = [126.0, 180.0, 220.0, 274.0].map(|x| json!({"x": x, "y": 320.0}));
        case["roots"][0]["sections"] = json!([{"level": "middle", "points": points}]);
    });
    let score = scored(&key(), &student);
    let Error::Section(error) = &of(&score, "sections@0").error else { panic!("no section") };
    close(error.level_mm, 1.0);
    for (point, across) in error.points.iter().zip([-0.2, 0.0, 0.0, 0.2]) {
        close(point.across_mm, across);
    }
    close(error.rms_across_mm, 0.02_f64.sqrt());
    close(error_of(&score, "root_width@0"), 0.4);
    let elsewhere = changed(|case| case["roots"][0]["sections"][0]["level"] = json!("apical"));
    assert_eq!(of(&scored(&key(), &elsewhere), "sections@0").outcome, Outcome::Missed);
}

#[test]
fn exchanged_sides_are_noticed() {
    let student = changed(|case| {
        let landmarks = case["landmarks"].as_object_mut().expect("landmarks");
        let (mesial, distal) = (landmarks["crest.mesial"].clone(), landmarks["crest.distal"].clone());
        landmarks.insert("crest.mesial".to_owned(), distal);
        landmarks.insert("crest.distal".to_owned(), mesial);
    });
    assert_eq!(scored(&key(), &student).exchanged_sides, ["crest"]);
}

/// A wall top 40 px too low leaves no ferrule on that side: the verdict turns, and that landmark alone turns it back.
#[test]
fn a_verdict_that_differs_names_the_landmark_that_would_set_it_right() {
    let student = changed(|case| case["landmarks"]["wall_top.mesial"]["y"] = json!(100.0));
    let score = scored(&key(), &student);
    let changes: Vec<_> = score
        .verdicts
        .iter()
        .filter(|change| change.about.iter().any(|about| about.id == "ferrule_height.mesial"))
        .collect();
    assert!(!changes.is_empty());
    for change in &changes {
        let by: Vec<&str> = change.set_right_by.iter().map(|it| it.landmark).collect();
        assert!(by.contains(&"wall_top.mesial"), "{change:?}");
    }
    assert!(changes.iter().any(|change| change.case == Some(Verdict::FallsShort)), "{changes:?}");
}

/// A reference of another length changes every measurement and no place; the scale alone sets the verdicts right.
#[test]
fn a_wrong_scale_is_named_as_such() {
    let student = changed(|case| case["calibration"]["references"][0]["length_mm"] = json!(10.0));
    let score = scored(&key(), &student);
    for it in &score.landmarks {
        close(it.error.summed().expect("placed").distance_mm, 0.0);
    }
    close(error_of(&score, "margin_to_crest.mesial"), -1.5);
    assert!(!score.verdicts.is_empty());
    for change in &score.verdicts {
        assert!(change.set_right_by.iter().any(|it| it.landmark == "calibration"), "{change:?}");
    }
}

/// Every check case as its own key: no error, and no verdict that differs.
#[test]
fn a_key_scores_itself_without_error() {
    let mut keys = 0;
    for case in check_cases() {
        let Ok(key) = Key::of(&truth(case.clone()), &library()) else { continue };
        keys += 1;
        let score = scored(&key, &case);
        for it in &score.landmarks {
            assert!(it.outcome.is_right(), "{it:?}");
            if let Some(error) = it.error.summed() {
                assert!(error.distance_mm < 1e-9 && error.along_mm.abs() < 1e-9, "{it:?}");
            }
        }
        for it in &score.measurements {
            // Where planned points were taken out of the key, an axis may come from elsewhere.
            assert!(it.error.is_none_or(|error| error.abs() < 1e-6) || it.planned, "{it:?}");
        }
        assert!(score.verdicts.is_empty(), "{:?}", score.verdicts);
    }
    assert!(keys > 10, "only {keys} check cases made a key");
}

#[test]
fn what_is_no_key_says_so() {
    let refused = |case: &Case| Key::of(case, &library()).expect_err("no key");
    assert_eq!(refused(&case(&upright().to_string())), KeyRefused::NoTruth);
    let mut repeated = changed(|_| ());
    each_point(&mut repeated, |point| point.sd_px = Some(3.0));
    assert_eq!(refused(&repeated), KeyRefused::NoConsensus);
    assert!(KeyRefused::NoConsensus.to_string().contains("\"x-consensus\": \"anna and ben\""));
    let no_scale = truth(changed(|case| case["calibration"]["references"] = json!([])));
    assert_eq!(refused(&no_scale), KeyRefused::NoScale(Reason::NoScale));
    let no_axis = truth(changed(|case| {
        case["landmarks"] = json!({"crest.mesial": {"x": 110.0, "y": 160.0}});
        case["roots"] = json!([]);
    }));
    assert_eq!(refused(&no_axis), KeyRefused::NoFrame(NoToothFrame::NoAxis));
}

#[test]
fn another_film_or_tooth_is_not_scored() {
    let criteria = Criteria::default_set().expect("criteria");
    let why = |case: &Case| score(&key(), case, &library(), &criteria).expect_err("not the same");
    let other_film = changed(|case| case["film"]["sha256"] = json!("1".repeat(64)));
    assert!(matches!(why(&other_film), NotScored::OtherFilm { .. }));
    let other_tooth = changed(|case| case["tooth"]["fdi"] = json!("22"));
    assert!(matches!(why(&other_tooth), NotScored::OtherTooth { .. }));
    let other_size = changed(|case| {
        case["film"] = json!({"width_px": 250, "height_px": 700});
    });
    assert!(matches!(why(&other_size), NotScored::OtherSize { .. }));
    let nameless = changed(|case| drop(case["film"].as_object_mut().expect("an object").remove("sha256")));
    assert!(!scored(&key(), &nameless).same_film_known);
}

/// Experts who differ on the root of the post leave it unsaid in their key, and whoever leaves the post's tip missed it all the same.
#[test]
fn a_post_whose_root_nobody_says_can_be_missed() {
    let tooth = |tip: Value| {
        changed(|case| {
            case["film"]["stage"] = json!("post_core");
            case["tooth"]["fdi"] = json!("36");
            let root =
                |name: &str, x: f64| json!({"name": name, "landmarks": {"apex": {"x": x, "y": 500.0}}});
            case["roots"] = json!([root("mesial", 150.0), root("distal", 250.0)]);
            if !tip.is_null() {
                case["roots"][1]["landmarks"]["post_tip"] = tip;
            }
        })
    };
    let key = Key::of(&truth(tooth(json!({"x": 250.0, "y": 300.0}))), &library()).expect("a key");
    let score = scored(&key, &tooth(Value::Null));
    let tip = of(&score, "post_tip");
    assert_eq!((tip.outcome, tip.counts(), tip.words()), (Outcome::Missed, true, "missed"));
}
