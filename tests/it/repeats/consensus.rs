//! A consensus: means and their sd, what is left out, and what is no consensus.

use super::{changed, close, each_point};
use crate::properties::runs;
use crate::support::library;
use crestgauge::agreement::{
    Agreed, Consensus, LEAST_SD_PX, NoConsensus, NotComparable, Opinion, Sitting, WhyLeftOut, consensus,
};
use crestgauge::calibration::Placed;
use crestgauge::case::{Case, Landmark, LandmarkId, Mark, Point, RootName, Side};
use crestgauge::practice::Key;
use proptest::prelude::*;
use serde_json::{Value, json};

/// The upright tooth as `observer` placed it.
fn opinion(observer: &str, change: impl FnOnce(&mut Value)) -> Opinion {
    Opinion { observer: observer.to_owned(), name: format!("{observer}.case.json"), case: changed(change) }
}

/// Two who place everything, one 2 px beside the other.
fn two(first: impl FnOnce(&mut Value), second: impl FnOnce(&mut Value)) -> Vec<Opinion> {
    let mut both = vec![opinion("anna", first), opinion("ben", second)];
    each_point(&mut both[1].case, |point| point.x += 2.0);
    both
}

fn of(opinions: Vec<Opinion>) -> Consensus {
    consensus(opinions).expect("a consensus")
}

fn why(opinions: Vec<Opinion>) -> NoConsensus {
    consensus(opinions).expect_err("no consensus")
}

fn crest() -> LandmarkId {
    Landmark::Crest.on(Side::Mesial)
}

fn point(consensus: &Consensus, id: LandmarkId) -> Point {
    consensus
        .case
        .landmarks
        .point(id)
        .unwrap_or_else(|| panic!("no {id:?}: {:?}", consensus.left_out))
        .clone()
}

fn left_out(consensus: &Consensus, what: &str) -> Option<WhyLeftOut> {
    consensus.left_out.iter().find(|it| it.what == what).map(|it| it.why.clone())
}

fn agreed<'a>(consensus: &'a Consensus, what: &str) -> &'a Agreed {
    consensus.agreed.iter().find(|it| it.what == what).unwrap_or_else(|| panic!("no {what}"))
}

/// Mean of (110, 160), (113, 164), (116, 156) is (113, 160); squares of the ways from it are 9, 16 and 9 + 16, together 50,
/// over 2 axes of 2 degrees of freedom 12.5, over 3 placings 12.5/3.
#[test]
fn a_landmark_stands_at_the_mean_with_the_sd_of_that_mean() {
    let at =
        |x: f64, y: f64| move |case: &mut Value| case["landmarks"]["crest.mesial"] = json!({"x": x, "y": y});
    let found = of(vec![
        opinion("anna", at(110.0, 160.0)),
        opinion("ben", at(113.0, 164.0)),
        opinion("cleo", at(116.0, 156.0)),
    ]);
    let crest = point(&found, crest());
    close(crest.x, 113.0);
    close(crest.y, 160.0);
    close(crest.sd_px.expect("an sd"), (12.5_f64 / 3.0).sqrt());
    assert_eq!((crest.placed, crest.is_planned()), (None, false));
    let place = agreed(&found, "crest, mesial").place.clone().expect("placed");
    assert_eq!((place.farthest.as_str(), place.farthest_px), ("cleo", 5.0));
    // All have the margin on the very same pixel: that is no exact place.
    let margin = point(&found, Landmark::FinishLine.on(Side::Mesial));
    assert_eq!((margin.x, margin.y, margin.sd_px), (100.0, 100.0, Some(LEAST_SD_PX)));
    assert_eq!(found.case.consensus(), Some("anna, ben and cleo"));
    assert_eq!((found.case.label, found.case.clinical), (None, crestgauge::case::Clinical::default()));
}

/// By numpy 2.4.6 (`mean(axis=0)`, `var(axis=0, ddof=1).mean()`), y times 1.25; anna counts once, with the mean of her two
/// sittings.
#[test]
fn observers_count_once_and_pixels_need_not_be_square() {
    let placings = [
        ("anna", 110.0, 160.0),
        ("anna", 112.5, 163.0),
        ("ben", 107.2, 158.4),
        ("cleo", 115.9, 166.1),
        ("dora", 109.3, 161.7),
    ];
    let opinions = placings.into_iter().enumerate().map(|(index, (observer, x, y))| Opinion {
        name: format!("{index}"),
        ..opinion(observer, |case| {
            case["film"]["pixel_aspect"] = json!(1.25);
            case["landmarks"]["crest.mesial"] = json!({"x": x, "y": y});
        })
    });
    let found = of(opinions.collect());
    let crest = point(&found, crest());
    close(crest.x, 110.912_5);
    close(crest.y, 161.925);
    close(crest.sd_px.expect("an sd"), 1.919_023_121_169_553_6);
    let agreed = agreed(&found, "crest, mesial");
    assert_eq!(agreed.n, 4);
    let place = agreed.place.as_ref().expect("placed");
    assert_eq!(place.farthest, "cleo");
    assert!((place.farthest_px - 7.218_760_82).abs() < 1e-8, "{}", place.farthest_px);
    assert_eq!(found.who, "anna (2 sittings), ben, cleo and dora");
}

/// By numpy 2.4.6 (`interp` over each course's own share of its length, at every share at which one of them has a point).
#[test]
fn a_canal_is_the_mean_at_equal_parts_of_its_length() {
    let canal = |points: &[[f64; 2]]| -> Value {
        points.iter().map(|[x, y]| json!({"x": x, "y": y})).collect::<Vec<_>>().into()
    };
    let by = |observer: &str, points: &[[f64; 2]]| {
        opinion(observer, |case| {
            case["film"]["pixel_aspect"] = json!(1.25);
            case["roots"][0]["canal"] = canal(points);
            case["landmarks"]["crest.mesial"]["x"] = json!(100 + observer.len());
        })
    };
    let found = of(vec![
        by("anna", &[[200.0, 120.0], [200.0, 300.0], [200.0, 480.0]]),
        by("ben", &[[204.0, 118.0], [201.0, 260.0], [196.0, 400.0], [198.0, 490.0]]),
        by("cleopatra", &[[198.0, 130.0], [203.0, 470.0]]),
    ]);
    let expected = [
        (200.666_666_666_666_66, 122.666_666_666_666_67, 3.509_906_614_775_448),
        (200.302_801_549_500_97, 259.058_883_596_801_9, 0.773_735_322_689_288_2),
        (199.976_100_268_854_9, 301.335_859_138_729_35, 1.200_867_671_988_204_8),
        (199.263_476_461_053_27, 393.553_371_214_124_47, 3.363_991_874_460_722_5),
        (200.333_333_333_333_34, 480.0, 5.205_499_228_913_806),
    ];
    let canal = &found.case.roots[0].canal;
    assert_eq!(canal.len(), expected.len());
    for (point, (x, y, sd)) in canal.iter().zip(expected) {
        close(point.x, x);
        close(point.y, y);
        close(point.sd_px.expect("an sd"), sd);
    }
    let place = agreed(&found, "canal").place.clone().expect("placed");
    close(place.sd_px, 5.205_499_228_913_806);
}

#[test]
fn a_section_is_the_mean_of_those_of_its_level() {
    let section = |level: &str, by: f64| {
        let points: Vec<Value> =
            [130.0, 180.0, 220.0, 270.0].iter().map(|x| json!({"x": x + by, "y": 300.0})).collect();
        json!({"level": level, "points": points})
    };
    let found = of(two(
        |case| case["roots"][0]["sections"] = json!([section("middle", 0.0), section("coronal", 0.0)]),
        |case| case["roots"][0]["sections"] = json!([section("apical", 0.0), section(" middle ", 4.0)]),
    ));
    let sections = &found.case.roots[0].sections;
    assert_eq!(sections.len(), 1);
    assert_eq!(sections[0].level.as_deref(), Some("middle"));
    // 2 px more by `two`: 6 px apart, s² = 18/2 pooled over both axes, over 2 placings.
    close(sections[0].points[0].x, 133.0);
    close(sections[0].points[0].sd_px.expect("an sd"), (18.0 / 2.0 / 2.0_f64).sqrt());
    let by = |who: &str| Some(WhyLeftOut::Alone(who.to_owned()));
    assert_eq!(left_out(&found, "section \"coronal\""), by("anna"));
    assert_eq!(left_out(&found, "section \"apical\""), by("ben"));
    let unnamed = of(two(
        |case| drop(case["roots"][0]["sections"][0].as_object_mut().expect("a section").remove("level")),
        |case| case["roots"][0]["sections"] = json!([section("middle", 0.0), section("middle", 1.0)]),
    ));
    assert_eq!(left_out(&unnamed, "sections"), Some(WhyLeftOut::NoLevel("anna".to_owned())));
    assert_eq!(left_out(&unnamed, "section \"middle\""), Some(WhyLeftOut::LevelTwice("ben".to_owned())));
    assert!(unnamed.case.roots[0].sections.is_empty());
}

#[test]
fn what_is_not_agreed_on_is_left_out_by_name() {
    let mark = |key: &'static str, mark: Value| move |case: &mut Value| case["landmarks"][key] = mark.clone();
    let hidden = || json!({"hidden": "overlap"});
    let placed = || json!({"x": 90.0, "y": 150.0});
    let peak = "bone peak, mesial";
    let names = |of: &[&str]| of.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>();
    for (first, second, expected) in [
        (
            placed(),
            hidden(),
            Some(WhyLeftOut::Disputed {
                placed: names(&["anna"]),
                hidden: names(&["ben"]),
                absent: names(&[]),
            }),
        ),
        (
            hidden(),
            json!({"absent": "none"}),
            Some(WhyLeftOut::Disputed {
                placed: names(&[]),
                hidden: names(&["anna"]),
                absent: names(&["ben"]),
            }),
        ),
        (
            placed(),
            json!({"x": 90.0, "y": 150.0, "state": "planned"}),
            Some(WhyLeftOut::Alone("anna".to_owned())),
        ),
        (hidden(), hidden(), None),
        (json!({"absent": "none"}), json!({"absent": "never was"}), None),
        (placed(), placed(), None),
    ] {
        let found =
            of(two(mark("bone_peak.mesial", first.clone()), mark("bone_peak.mesial", second.clone())));
        let id = Landmark::BonePeak.on(Side::Mesial);
        assert_eq!(left_out(&found, peak), expected, "{first} and {second}");
        assert_eq!(found.case.landmarks.marks.contains_key(&id), expected.is_none());
        match found.case.landmarks.marks.get(&id) {
            Some(Mark::Hidden { hidden, .. }) => assert_eq!(hidden, "overlap"),
            Some(Mark::Absent { absent, .. }) => assert_eq!(absent, "never was; none"),
            _ => {}
        }
    }
    let alone = of(two(mark("core_top", json!({"x": 200.0, "y": 50.0})), |_| ()));
    assert_eq!(left_out(&alone, "core top"), Some(WhyLeftOut::Alone("anna".to_owned())));
    assert_eq!(alone.left_out[0].to_string(), "core top: by anna alone; a consensus takes two");
}

/// Exchanged sides would have their mean in the middle of the tooth.
#[test]
fn what_is_drawn_the_other_way_round_is_left_out() {
    let found = of(two(
        |case| {
            case["landmarks"]["crest.mesial"] = json!({"x": 290.0, "y": 165.0});
            case["landmarks"]["crest.distal"] = json!({"x": 110.0, "y": 160.0});
            case["roots"][0]["canal"].as_array_mut().expect("a canal").reverse();
            case["roots"][0]["sections"][0]["points"].as_array_mut().expect("a section").reverse();
            case["calibration"]["references"][0]["points"].as_array_mut().expect("ends").reverse();
        },
        |_| (),
    ));
    let both = || Some(WhyLeftOut::OtherWayRound { one: "anna".to_owned(), other: "ben".to_owned() });
    for what in ["crest, mesial", "crest, distal", "canal", "section \"middle\""] {
        assert_eq!(left_out(&found, what), both(), "{what}");
    }
    assert_eq!(left_out(&found, "reference 1 of the scale"), Some(WhyLeftOut::Differs));
    assert!(found.case.landmarks.point(Landmark::FinishLine.on(Side::Mesial)).is_some());
    assert!(found.case.calibration.references.is_empty() && found.case.roots[0].canal.is_empty());
}

/// Who differs from one another need not differ from the first: 80 deg to either side of anna's way are 160 deg apart.
#[test]
fn any_two_of_whom_one_goes_the_other_way_are_found() {
    let distal = |x: f64, y: f64| {
        move |case: &mut Value| {
            case["landmarks"]["crest.mesial"] = json!({"x": 110.0, "y": 160.0});
            case["landmarks"]["crest.distal"] = json!({"x": 110.0 + x, "y": 160.0 + y});
        }
    };
    let found = of(vec![
        opinion("anna", distal(180.0, 0.0)),
        opinion("ben", distal(31.0, 177.0)),
        opinion("cleo", distal(31.0, -177.0)),
    ]);
    let both = Some(WhyLeftOut::OtherWayRound { one: "ben".to_owned(), other: "cleo".to_owned() });
    assert_eq!(left_out(&found, "crest, distal"), both);
}

#[test]
fn film_tooth_roots_and_scale_are_what_all_say() {
    let found = of(two(
        |case| {
            case["film"]["date"] = json!("2026-11-24");
            case["film"]["stage"] = json!("filled");
            case["label"] = json!("one's own");
            case["x-truth"] = json!({"apex": [1, 2]});
            case["roots"].as_array_mut().expect("roots").push(json!({"name": "palatal"}));
        },
        |case| {
            case["film"]["stage"] = json!("crowned");
            case["film"]["date"] = json!("2026-11-24");
            case["calibration"]["references"][0]["points"][1] = json!({"x": 200.0, "y": 506.0});
        },
    ));
    let film = &found.case.film;
    assert_eq!((film.date.as_deref(), film.stage, film.file.as_deref()), (Some("2026-11-24"), None, None));
    assert_eq!(film.sha256, Some("0".repeat(64)));
    assert_eq!(left_out(&found, "the film's stage"), Some(WhyLeftOut::Differs));
    assert_eq!(left_out(&found, "the palatal root"), Some(WhyLeftOut::Differs));
    let roots: Vec<RootName> = found.case.roots.iter().map(|root| root.name).collect();
    assert_eq!(roots, [RootName::Single]);
    assert_eq!(found.case.extra.keys().collect::<Vec<_>>(), ["x-consensus"], "a truth beside it is nobody's");
    // The instrument is the same, and its ends are placings: 500 and 506, s² = 18/2, over 2.
    let [from, to] = found.case.calibration.references[0].points() else { panic!("two ends") };
    assert_eq!((from.x, from.y, from.sd_px), (200.0, 100.0, Some(LEAST_SD_PX)));
    assert_eq!((to.x, to.y), (200.0, 503.0));
    close(to.sd_px.expect("an sd"), (18.0 / 2.0 / 2.0_f64).sqrt());
    let other_length =
        of(two(|case| case["calibration"]["references"][0]["length_mm"] = json!(19.0), |_| ()));
    assert_eq!(left_out(&other_length, "reference 1 of the scale"), Some(WhyLeftOut::Differs));
    // A scale that is given stays as it was given.
    let given = of(two(|_| (), |_| ()));
    assert_eq!(given.case.calibration, changed(|_| ()).calibration);
    assert_eq!(given.left_out, []);
}

#[test]
fn one_observers_sittings_count_by_themselves() {
    let mut opinions = two(|_| (), |_| ());
    opinions[1].observer = "anna".to_owned();
    let found = of(opinions);
    assert_eq!(found.who, "2 sittings of anna");
    close(point(&found, crest()).x, 111.0);
    close(point(&found, crest()).sd_px.expect("an sd"), (2.0 / 2.0 / 2.0_f64).sqrt());
}

#[test]
fn what_is_nobodys_own_placing_makes_no_consensus() {
    let names = |first: &str, other: &str| (first.to_owned(), other.to_owned());
    assert_eq!(why(vec![opinion("anna", |_| ())]), NoConsensus::TooFewCases(1));
    let (one, other) = names("anna.case.json", "ben.case.json");
    let copies = vec![opinion("anna", |_| ()), opinion("ben", |_| ())];
    assert_eq!(why(copies), NoConsensus::Copies { one: one.clone(), other: other.clone() });
    let other_film = |case: &mut Value| case["film"]["sha256"] = json!("1".repeat(64));
    assert_eq!(
        why(two(|_| (), other_film)),
        NoConsensus::OtherFilm { name: other.clone(), first: one.clone() }
    );
    let other_tooth = |case: &mut Value| case["tooth"]["fdi"] = json!("22");
    assert_eq!(
        why(two(|_| (), other_tooth)),
        NoConsensus::OtherTooth { name: other.clone(), first: one.clone() }
    );
    let aspect = |case: &mut Value| case["film"]["pixel_aspect"] = json!(1.1);
    assert_eq!(why(two(|_| (), aspect)), NoConsensus::OtherGrid { name: other.clone(), first: one });
    let nameless = |case: &mut Value| drop(case["film"].as_object_mut().expect("a film").remove("sha256"));
    assert_eq!(why(two(|_| (), nameless)), NoConsensus::NoFilm(other.clone()));
    let is_one = |case: &mut Value| case["x-consensus"] = json!("cleo and dora");
    assert_eq!(why(two(|_| (), is_one)), NoConsensus::IsConsensus(other.clone()));
    let mut truth = two(|_| (), |_| ());
    each_point(&mut truth[1].case, |point| point.placed = Some(Placed::Truth));
    assert_eq!(why(truth), NoConsensus::IsTruth(other));
    let bare = |key: &'static str| {
        move |case: &mut Value| {
            case["landmarks"] = json!({key: {"x": 100.0, "y": 100.0}});
            case["roots"] = json!([]);
        }
    };
    let nothing = why(two(bare("crest.mesial"), bare("cej.distal")));
    assert!(nothing.to_string().contains("crest, mesial: by anna alone"), "{nothing}");
    // Nor is a consensus anybody's sitting.
    let key = of(two(|_| (), |_| ())).case;
    assert_eq!(Sitting::of(&key, "anna", "", &library()), Err(NotComparable::IsConsensus));
}

/// `count` observers, everything off by up to 6 px.
fn panel(count: usize, offsets: &[f64]) -> Vec<Opinion> {
    let mut offsets = offsets.iter().cycle();
    (0..count)
        .map(|index| {
            let mut it = opinion(&format!("observer {index}"), |_| ());
            each_point(&mut it.case, |point| {
                point.x += offsets.next().expect("without end");
                point.y += offsets.next().expect("without end");
            });
            it
        })
        .collect()
}

fn every_point(case: &Case) -> Vec<Point> {
    let mut all = Vec::new();
    each_point(&mut case.clone(), |point| all.push(point.clone()));
    all
}

proptest! {
    #![proptest_config(runs(24))]

    #[test]
    fn the_order_of_cases_changes_nothing(
        offsets in prop::collection::vec(-6.0..6.0f64, 97),
        order in Just((0..5).collect::<Vec<usize>>()).prop_shuffle(),
    ) {
        let given = panel(5, &offsets);
        let shuffled: Vec<Opinion> = order.iter().map(|index| given[*index].clone()).collect();
        prop_assert_eq!(consensus(given), consensus(shuffled));
    }

    /// Moving everybody by the same way moves the consensus by it, and makes nothing less or more sure.
    #[test]
    fn a_common_shift_moves_the_consensus(
        offsets in prop::collection::vec(-6.0..6.0f64, 97),
        right in -30.0..30.0f64,
        down in -30.0..30.0f64,
    ) {
        let given = panel(3, &offsets);
        let mut moved = given.clone();
        for it in &mut moved {
            each_point(&mut it.case, |point| {
                point.x += right;
                point.y += down;
            });
        }
        let (was, is) = (every_point(&of(given).case), every_point(&of(moved).case));
        prop_assert_eq!(was.len(), is.len());
        for (one, other) in was.iter().zip(&is) {
            prop_assert!((other.x - one.x - right).abs() < 1e-9 && (other.y - one.y - down).abs() < 1e-9);
            let (sd, new_sd) = (one.sd_px.expect("an sd"), other.sd_px.expect("an sd"));
            prop_assert!((sd - new_sd).abs() < 1e-9);
            prop_assert!(sd >= LEAST_SD_PX);
        }
    }

    /// A consensus is a key, whose every landmark lies within what its observers span.
    #[test]
    fn a_consensus_is_a_key_between_its_observers(offsets in prop::collection::vec(-6.0..6.0f64, 97)) {
        let given = panel(4, &offsets);
        let found = of(given.clone());
        let key = Key::of(&found.case, &library()).expect("a key");
        prop_assert!(key.is_consensus());
        for (id, mark) in &found.case.landmarks.marks {
            let at = mark.point().expect("placed");
            let placed: Vec<&Point> = given.iter().filter_map(|it| it.case.landmarks.point(*id)).collect();
            prop_assert!(placed.iter().any(|it| it.x <= at.x) && placed.iter().any(|it| it.x >= at.x));
            prop_assert!(placed.iter().any(|it| it.y <= at.y) && placed.iter().any(|it| it.y >= at.y));
        }
    }
}
