//! The chairside card.

use super::make::Tooth;
use super::{close, planned};
use crestgauge::case::{Strength, Verdict, read_text};
use serde_json::json;

/// With nothing uncertain but the setting of the stop (0.25 mm), 95 % takes 1.645 × 0.25 = 0.411 mm at the seal, and at
/// the crest, which is kept off on two sides at once, 97.5 % on each: 1.960 × 0.25 = 0.490 (factors of JCGM 100:2008,
/// table G.2). The stop rests 2.5 above the margin, as high as the core base: 6.0 + 0.490 = 6.490 is rounded up to 6.5, and
/// the seal ends at 2.5 + 17 - 1 - 3 = 15.5, less 0.411 = 15.089, down to 15.0.
#[test]
fn settings_keep_a_stops_own_uncertainty_from_every_rule() {
    let tooth = Tooth { sections: Vec::new(), ..Tooth::exact() };
    let card = planned(&tooth.case()).card;
    assert_eq!(card.rounded_to_mm, Some(0.5));
    assert!(close(card.set_at.as_ref().unwrap().set_mm, 6.5));
    assert!(close(card.never_beyond.as_ref().unwrap().set_mm, 15.0));
    assert!((card.half_width_mm.unwrap() - 1.959_964 * 0.25).abs() < 1e-4);
    assert_eq!(card.stop_rests_on.as_deref(), Some("distal wall, prepared"));
    let seal = card.never_beyond.unwrap().rules.into_iter().find(|rule| rule.rule == "apical_seal").unwrap();
    // Half a millimetre to spare over 0.25: Φ(2) = 0.97725.
    assert!((seal.probability.unwrap() - 0.977_25).abs() < 1e-4, "{seal:?}");
}

/// A bent canal that nobody placed would be passed over in silence.
#[test]
fn a_canal_of_which_only_the_ends_are_known_is_said_to_be_taken_as_straight() {
    let text = include_str!("../../data/plans/canine-23.case.json");
    let says = |change: &dyn Fn(&mut serde_json::Value)| {
        let mut case: serde_json::Value = serde_json::from_str(text).unwrap();
        change(&mut case["roots"][0]);
        let card = planned(&read_text(&case.to_string()).unwrap().case).card;
        card.words.iter().any(|words| words.contains("the canal is taken as straight"))
    };
    assert!(!says(&|_| {}), "it is placed");
    let without = |root: &mut serde_json::Value| {
        root["canal"] = json!([]);
        root["landmarks"].as_object_mut().unwrap().remove("curve_start");
    };
    assert!(says(&without));
    let ruled_out = |root: &mut serde_json::Value| {
        without(root);
        root["landmarks"]["curve_start"] = json!({"absent": "straight canal"});
    };
    assert!(!says(&ruled_out), "somebody looked");
}

/// A window from 6.490 to 2.5 + 7.6 - 3 - 0.411 = 6.689 still holds a half millimetre. With the crest 3.1 below the margin
/// and a root of 7.7 it runs from 6.590 to 6.789: only tenths lie in it. From 6.510 to 6.589 lies not even one.
#[test]
fn a_window_narrower_than_a_stop_can_be_set() {
    let card = |crest: f64, root: f64| {
        let tooth =
            Tooth { crest: [crest; 2], root, filling_short: 0.0, sections: Vec::new(), ..Tooth::exact() };
        planned(&tooth.case()).card
    };
    let narrower = "window narrower than a stop can be set".to_owned();
    let halves = card(3.0, 7.6);
    assert_eq!(halves.rounded_to_mm, Some(0.5));
    assert_eq!((halves.set_at.unwrap().set_mm, halves.never_beyond.unwrap().set_mm), (6.5, 6.5));
    assert!(!halves.words.contains(&narrower));
    let tenths = card(3.1, 7.7);
    assert_eq!(tenths.rounded_to_mm, Some(0.1));
    assert!((tenths.set_at.unwrap().set_mm - 6.6).abs() < 1e-9);
    assert!((tenths.never_beyond.unwrap().set_mm - 6.7).abs() < 1e-9);
    assert!(tenths.words.contains(&narrower));
    let crossed = card(3.02, 7.5);
    assert!(crossed.set_at.is_none() && crossed.never_beyond.is_none());
    assert!(crossed.words.contains(&narrower));
}

/// An instrument whose length is known to 1 mm leaves a depth of 13 mm uncertain by 13/21 × 1.96 mm: no setting, and
/// the film that would give one.
#[test]
fn no_setting_where_the_depth_is_not_known() {
    let tooth = Tooth { length_sd: 1.0, ..Tooth::placed() };
    let card = planned(&tooth.case()).card;
    assert!(card.set_at.is_none() && card.never_beyond.is_none());
    assert!(card.half_width_mm.unwrap() > 1.0);
    let words = card.words.join(" ");
    assert!(words.contains("no setting") && words.contains("its length read off a gauge"), "{words}");
    assert!(card.always.iter().any(|always| always.contains("before the canal is widened")));
}

/// Without a section near the tip the wall is not judged, and the card says so.
#[test]
fn what_is_not_judged_stands_beside_the_setting() {
    let tooth = Tooth { sections: vec![[12.0, 4.0, 0.5]], ..Tooth::exact() };
    let plan = planned(&tooth.case());
    assert_eq!(plan.window.as_ref().unwrap().open, ["dentine_wall_on_the_film"]);
    let set = plan.card.set_at.expect("a setting");
    let wall = set.rules.iter().find(|rule| rule.rule == "dentine_wall_on_the_film").unwrap();
    assert_eq!((wall.verdict, wall.strength), (Verdict::Undecided, Strength::Requirement));
    assert!(wall.not_known.iter().any(|words| words.contains("section within 1 mm")), "{wall:?}");
    assert!(plan.card.words.iter().any(|words| words.contains("dentine wall")));
    assert!(plan.needs.iter().any(|need| need.words.contains("a section within 1 mm")));
}

/// Anything red or blank stands on top.
#[test]
fn what_is_red_or_blank_is_to_be_settled() {
    let tooth = Tooth {
        filling_short: 2.5,
        clinical: json!({"first_look": {"mobility": 2, "apex": "present", "symptoms": "none", "caries_risk": "moderate"}}),
        ..Tooth::exact()
    };
    let plan = planned(&tooth.case());
    let red: Vec<&str> = plan
        .settle
        .iter()
        .filter(|row| row.state == crestgauge::plan::SettleState::Red)
        .map(|row| row.about.as_str())
        .collect();
    assert_eq!(red, ["apex", "mobility", "filling_short_of_apex"]);
    assert!(plan.settle.iter().any(|row| row.words.contains("review or retreat first")));
    let blank = |about: &str| plan.settle.iter().any(|row| row.about == about);
    assert!(blank("grinding") && !blank("symptoms") && !blank("caries_risk"));
    assert!(!blank("furcation_class"), "a canine has no furcation");
}

/// Film 102 shows a post: what is set on a card is for another one.
#[test]
fn a_card_for_a_root_that_holds_a_post_says_so_first() {
    let film_102 = include_str!("../../data/films-truth/film-102.case.json");
    let card = planned(&read_text(film_102).unwrap().case).card;
    assert!(
        card.words.first().is_some_and(|words| words.starts_with("a post is in this root")),
        "{:?}",
        card.words
    );
    // A post's head says it as well as its tip: the tip may be hidden by metal.
    let mut json = Tooth::exact().json();
    json["roots"][0]["landmarks"]["post_head"] = json!({"x": 500.0, "y": 480.0});
    let card = planned(&read_text(&json.to_string()).unwrap().case).card;
    assert!(card.words.iter().any(|words| words.contains("a post is in this root")), "{:?}", card.words);
    let card = planned(&Tooth::exact().case()).card;
    assert!(!card.words.iter().any(|words| words.contains("a post is in this root")), "{:?}", card.words);
}

/// Nobody can tell how deep a chamber is that a core fills.
#[test]
fn the_depth_of_the_chamber_is_asked_until_a_core_is_in_it() {
    for (stage, is_asked) in
        [("filled", true), ("post_space", true), ("post_core", false), ("crowned", false), ("recall", false)]
    {
        let mut json = Tooth::exact().json();
        json["film"]["stage"] = stage.into();
        let plan = planned(&read_text(&json.to_string()).unwrap().case);
        let blank = plan.settle.iter().any(|row| row.about == "chamber_depth_mm");
        let reading =
            |need: &crestgauge::plan::Need| need.reading.as_deref() == Some("first_look/chamber_depth_mm");
        assert_eq!((blank, plan.needs.iter().any(reading)), (is_asked, is_asked), "{stage}");
    }
}
