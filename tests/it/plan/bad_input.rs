//! What is wrong with a case, or missing from it.

use super::make::Tooth;
use super::{criteria, planned, planned_by};
use crate::command_line::{check_case, run};
use crate::support::case;
use crestgauge::case::{Verdict, Why, read_text};
use crestgauge::plan::{Plan, RecoveryOption};
use crestgauge::report::plan_words;
use serde_json::{Value, json};
use std::ffi::OsStr;

#[test]
fn a_reading_that_cannot_be_names_its_field_and_what_one_meets() {
    for (key, value, range) in [
        ("crown_thickness_mm", json!(-1), "1 to 2.5 mm"),
        ("interocclusal_space_mm", json!(99), "1 to 15 mm"),
        ("interocclusal_space_mm", json!({"value": -0.1}), "1 to 15 mm"),
    ] {
        let mut json = Tooth::exact().json();
        json["clinical"][key] = value;
        let error = read_text(&json.to_string()).unwrap_err().to_string();
        assert!(error.contains(key) && error.contains(range), "{error}");
    }
    let mut json = Tooth::exact().json();
    json["clinical"]["first_look"] = json!({"chamber_depth_mm": -2});
    let error = read_text(&json.to_string()).unwrap_err().to_string();
    assert!(error.contains("chamber_depth_mm") && error.contains("0 to 10 mm"), "{error}");
}

/// What can be, and is odd, is read, and a caution says so.
#[test]
fn an_odd_reading_is_a_caution() {
    let mut json = Tooth::exact().json();
    json["clinical"]["crown_thickness_mm"] = 4.0.into();
    let cautions = planned(&case(&json.to_string())).cautions;
    let odd: Vec<_> = cautions.iter().filter(|it| it.id == "reading_out_of_range").collect();
    assert_eq!(odd.len(), 1, "{cautions:?}");
    assert_eq!((odd[0].value, odd[0].limit), (Some(4.0), Some(2.5)));
}

#[test]
fn a_crown_as_thick_as_the_space_leaves_no_core() {
    let mut json = Tooth::exact().json();
    json["landmarks"].as_object_mut().unwrap().remove("core_top");
    json["clinical"]["interocclusal_space_mm"] = 1.8.into();
    let plan = planned(&case(&json.to_string()));
    assert_eq!(plan.core, None);
    assert!(plan.remarks.iter().any(|it| it.contains("no room for a core")), "{:?}", plan.remarks);
}

#[test]
fn the_first_look_takes_its_own_words_only() {
    for (finding, value, says) in [
        ("apex", json!("healed"), "did you mean \"healing\"?"),
        ("mobility", json!(4), "a whole number from 0 to 3"),
        ("walls_standing", json!(2.5), "a whole number from 0 to 4"),
        ("symptons", json!("none"), "did you mean \"symptoms\"?"),
    ] {
        let mut json = Tooth::exact().json();
        json["clinical"]["first_look"] = json!({finding: value});
        let error = read_text(&json.to_string()).unwrap_err().to_string();
        assert!(error.contains(says) && error.contains(finding), "{error}");
    }
    let mut json = Tooth::exact().json();
    json["clinical"]["smile_line"] = "hihg".into();
    let error = read_text(&json.to_string()).unwrap_err().to_string();
    assert!(error.contains("did you mean \"high\"?") && error.contains("/clinical/smile_line"), "{error}");
}

#[test]
fn an_unknown_drill_lists_the_near_ones() {
    let file = check_case("1-011");
    let ran = run([OsStr::new("plan"), file.as_os_str(), OsStr::new("--drill"), OsStr::new("pesso-2")]);
    assert_eq!((ran.exit, ran.out.as_str()), (2, ""));
    assert!(
        ran.err.contains("did you mean \"peeso-2\"?") && ran.err.contains("gates-glidden-size-1"),
        "{}",
        ran.err
    );
    // A drill the case names is a remark: another is proposed.
    let mut json = Tooth::exact().json();
    json["clinical"]["drill"] = "pesso-2".into();
    let plan = planned(&case(&json.to_string()));
    assert!(plan.remarks.iter().any(|it| it.contains("peeso-2")), "{:?}", plan.remarks);
    // A file is a reference object of the library, and no drill.
    let ran = run([OsStr::new("plan"), file.as_os_str(), OsStr::new("--drill"), OsStr::new("file-21")]);
    assert_eq!(ran.exit, 2);
}

#[test]
fn the_command_line_itself() {
    let ran = run(["plan", "--json"]);
    assert_eq!((ran.exit, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("--json needs a case"), "{}", ran.err);
    let file = check_case("1-011");
    let ran = run([OsStr::new("plan"), file.as_os_str(), OsStr::new("--root"), OsStr::new("distal")]);
    assert_eq!(ran.exit, 2);
    assert!(ran.err.contains("no distal root; it has single"), "{}", ran.err);
    let ran = run([OsStr::new("plan"), file.as_os_str(), OsStr::new("--extrusion-share"), OsStr::new("1.5")]);
    assert_eq!(ran.exit, 2);
    let ran = run(["plan", "no-such.case.json"]);
    assert_eq!(ran.exit, 1);
    assert!(ran.err.starts_with("no-such.case.json"), "{}", ran.err);
}

/// Almost nothing is placed: exactly what is missing is listed, and what can be given is.
#[test]
fn a_plan_lists_what_it_needs_and_gives_what_it_can() {
    let mut json = Tooth::exact().json();
    let marks = json["roots"][0]["landmarks"].as_object_mut().unwrap();
    marks.remove("apex");
    marks.remove("filling_tip");
    marks.insert("orifice".to_owned(), json!({"hidden": "under the metal"}));
    let plan = planned(&case(&json.to_string()));
    assert_eq!(plan.window, None);
    let needed: Vec<(&str, Why)> = plan
        .needs
        .iter()
        .filter_map(|need| need.landmark.as_ref())
        .map(|lack| (lack.landmark.as_str(), lack.why))
        .collect();
    for wanted in [("apex", Why::NotPlaced), ("filling_tip", Why::NotPlaced), ("orifice", Why::Hidden)] {
        assert!(needed.contains(&wanted), "{wanted:?} {needed:?}");
    }
    assert!(!needed.iter().any(|(landmark, _)| *landmark == "filling_top" || *landmark == "core_base"));
    // The ferrule does not rest on them.
    assert!(
        plan.recovery.sites[0].lift_needed_mm.is_some()
            || plan.needs.iter().any(|it| it.wanted_for.contains(&"ferrule recovery".to_owned()))
    );

    let empty = planned(&case(r#"{"format": "crestgauge.case", "version": 1}"#));
    assert!(empty.marks.why.contains("nothing can be measured in mm"));
    assert!(empty.needs.iter().any(|need| need.words.contains("no reference gives a scale")));
    assert!(empty.needs.iter().any(|need| need.words.contains("a root")));
    assert!(!empty.settle.is_empty() && empty.card.set_at.is_none());
}

/// A rule of which nothing is known may exclude any depth: what the seal alone admits is no window, and no stop is set by
/// it. The sample without one side of its margin has no axis square to it, and so no crest, core or post in mm.
#[test]
fn where_a_requirement_cannot_be_judged_no_depth_is_given() {
    let text = include_str!("../../../sample-images/short-wall-21.case.json");
    let whole: Value = serde_json::from_str(text).unwrap();
    let before = planned(&case(text));
    assert!(before.window.is_some() && before.card.set_at.is_some());
    for gone in ["crest", "core_base", "finish_line"] {
        let mut json = whole.clone();
        let marks = json["landmarks"].as_object_mut().unwrap();
        marks.retain(|name, _| !name.starts_with(gone));
        let plan = planned(&case(&json.to_string()));
        let marks = &plan.marks;
        assert!(plan.window.is_none(), "without {gone}: {:?}", plan.window);
        assert!(marks.shortest_allowed.is_none() && marks.recommended.is_none(), "without {gone}: {marks:?}");
        assert!(
            plan.card.set_at.is_none() && plan.card.never_beyond.is_none(),
            "without {gone}: {:?}",
            plan.card
        );
        assert!(!plan.card.words.is_empty() && !marks.why.is_empty(), "without {gone}");
        assert!(plan.conflicts.is_empty(), "nothing is known to exclude anything: {:?}", plan.conflicts);
        let none = |option: &RecoveryOption| option.post_window_mm.is_none();
        assert!(plan.recovery.options.iter().all(none), "without {gone}: {:?}", plan.recovery.options);
        assert_eq!(plan.coronal_alternative, None, "without {gone}");
        for option in &plan.recovery.options {
            let fits = post_fits(option);
            assert!(fits.is_none_or(|it| it == Verdict::Undecided), "without {gone}: {option:?}");
        }
    }
    // What excludes one another already is said, whatever else cannot be judged: under the crown nobody sees the core.
    let plan = planned(&case(include_str!("../../../sample-images/bone-loss-36.case.json")));
    assert!(plan.rules.iter().any(|rule| !rule.unjudged_mm.is_empty()), "{:?}", plan.rules);
    assert!(!plan.conflicts.is_empty() && plan.window.is_none(), "{:?}", plan.marks);
    // One side of the crest still says something of depths, and is too little for a setting.
    let mut json = whole;
    json["landmarks"].as_object_mut().unwrap().remove("crest.distal");
    let plan = planned(&case(&json.to_string()));
    assert!(plan.window.is_some() && plan.card.set_at.is_none(), "{:?}", plan.card);
    assert!(plan.card.words.iter().any(|words| words.starts_with("no setting before")), "{:?}", plan.card);
}

/// Whether a post can be planned after a way, where that is asked.
fn post_fits(option: &RecoveryOption) -> Option<Verdict> {
    option.verdicts.iter().find(|it| it.criterion == "post_fits").map(|it| it.verdict)
}

/// No depth coronal of the crest either, while a requirement cannot be judged.
#[test]
fn no_depth_coronal_of_the_crest_before_all_is_judged() {
    let mut json = Tooth::exact().json();
    assert!(planned(&case(&json.to_string())).coronal_alternative.is_some());
    json["landmarks"].as_object_mut().unwrap().remove("core_base");
    let plan = planned(&case(&json.to_string()));
    assert!(plan.marks.why.contains("before these are judged"), "{:?}", plan.marks);
    assert_eq!(plan.coronal_alternative, None);
}

/// Requirements that exclude one another do so whatever else cannot be judged: no post fits, and nothing that could
/// still be placed gives a setting.
#[test]
fn what_is_known_to_exclude_every_depth_is_said_before_what_is_not_judged() {
    let mut json = Tooth::exact().json();
    for end in ["filling_top", "filling_tip"] {
        json["roots"][0]["landmarks"][end] = json!({"absent": "no root filling"});
    }
    for gone in ["core_base", "stop_reference"] {
        json["landmarks"].as_object_mut().unwrap().remove(gone);
        let plan = planned(&case(&json.to_string()));
        assert_eq!(plan.conflicts[0].rules, ["apical_seal"]);
        assert_eq!(plan.card.words, ["no setting: no depth is admissible"], "without {gone}");
        let fits: Vec<Verdict> = plan.recovery.options.iter().filter_map(post_fits).collect();
        assert_eq!(fits, [Verdict::FallsShort; 4], "without {gone}");
        assert!(plan.recovery.words[0].contains("no way with arithmetic meets"), "{:?}", plan.recovery.words);
    }
}

/// A wall too thin where the post starts excludes every depth; what lies beyond the last section nobody needs to know.
#[test]
fn a_rule_that_admits_nothing_is_told_from_one_that_is_not_judged() {
    let tooth = Tooth { sections: vec![[-2.0, 2.0, 0.8]], ..Tooth::exact() };
    let plan = planned_by(&tooth.case(), &criteria(&[]), Some("peeso-2"));
    let words = |plan: &Plan, rule: &str| {
        let row = plan.rules.iter().find(|it| it.rule == rule).unwrap();
        (row.judged, row.admits_mm.is_empty(), row.unjudged_mm.is_empty(), plan_words::admits(row))
    };
    let nothing = (true, true, false, "admits no depth in this root".to_owned());
    assert_eq!(words(&plan, "dentine_wall_on_the_film"), nothing);
    let plan = planned(&Tooth { sections: Vec::new(), ..Tooth::exact() }.case());
    let not_judged = (false, true, false, "not judged yet".to_owned());
    assert_eq!(words(&plan, "dentine_wall_on_the_film"), not_judged);
    // Two sections 2 mm apart leave one depth between them, which is no stretch: "from 7.50 to 7.50".
    let canine = include_str!("../../data/plans/canine-23.case.json");
    let (.., canine) = words(&planned(&case(canine)), "dentine_wall_on_the_film");
    let ends: Vec<&str> = canine.split(" mm").flat_map(|part| part.split(" and ")).collect();
    let alike =
        |part: &str| part.rsplit(' ').next().is_some_and(|to| part.ends_with(&format!("{to} to {to}")));
    assert!(canine.contains("not judged") && !ends.iter().any(|part| alike(part)), "{canine}");
    // One side of the crest is judged at every depth, the rule as a whole at none.
    let mut json = Tooth::exact().json();
    json["landmarks"].as_object_mut().unwrap().remove("crest.distal");
    let (judged, .., words) = words(&planned(&case(&json.to_string())), "tip_off_the_crest");
    assert!(judged && words.contains("not judged at every place from 0"), "{words}");
}

/// Without the crest on one side the rule is open, and the other side still counts.
#[test]
fn a_rule_with_a_side_missing_still_counts_the_other() {
    let mut json = Tooth::exact().json();
    json["landmarks"].as_object_mut().unwrap().remove("crest.distal");
    let plan = planned(&case(&json.to_string()));
    let window = plan.window.expect("a window");
    assert!(window.open.contains(&"tip_off_the_crest".to_owned()), "{window:?}");
    assert!((window.from_mm - 6.0).abs() < 2e-4, "{window:?}");
    let rule = plan.rules.iter().find(|it| it.rule == "tip_off_the_crest").unwrap();
    assert!(!rule.unjudged_mm.is_empty());
    // No root filling is a seal of 0: nothing to leave behind.
    let mut json = Tooth::exact().json();
    for end in ["filling_top", "filling_tip"] {
        json["roots"][0]["landmarks"][end] = json!({"absent": "no root filling"});
    }
    let plan = planned(&case(&json.to_string()));
    assert_eq!(plan.conflicts[0].rules, ["apical_seal"]);
    assert!((plan.conflicts[0].apart_mm - 3.0).abs() < 1e-9, "{:?}", plan.conflicts);
}
