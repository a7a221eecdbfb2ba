//! Ferrule recovery against arithmetic from outside.

use super::make::Tooth;
use super::{close, planned};
use crate::support::case;
use crestgauge::case::{Site, Verdict};
use crestgauge::plan::{Plan, RecoveryOption, Way};
use crestgauge::report::{Style, plan_text, plan_words};
use serde_json::json;

fn option(plan: &Plan, way: Way) -> &RecoveryOption {
    plan.recovery.options.iter().find(|option| option.way == way).unwrap()
}

/// Crown to root after extrusion by E is C/(R - E), after taking away bone B it is (C + B)/(R - B): with C = 10, R = 14
/// and 3 mm, 10/11 = 0.91 and 13/11 = 1.18 (plain geometry; Grossmann & Sadan 2005 for what the ratio is).
#[test]
fn crown_to_root_after_extrusion_and_after_surgery() {
    // Wall 1.5 above the crest: 2 + 2.5 - 1.5 = 3. Crown 10 above the crest, apex 14 below it.
    let tooth = Tooth { crown: 9.0, crest: [1.0, 1.0], ferrule: [0.5, 0.5], root: 15.0, ..Tooth::exact() };
    let plan = planned(&tooth.case());
    let extrusion = option(&plan, Way::Extrusion);
    assert!(close(extrusion.extrusion_mm.unwrap(), 3.0));
    assert!(close(extrusion.crown_to_root.unwrap().value, 10.0 / 11.0));
    assert!(close(extrusion.root_in_bone_mm.unwrap().value, 11.0));
    // The space between the jaws is used up.
    assert!(close(extrusion.core_height_mm.unwrap().value, 4.5 - 3.0));
    let surgery = option(&plan, Way::Surgery);
    assert!(close(surgery.crown_to_root.unwrap().value, 13.0 / 11.0));
    assert!(close(surgery.core_height_mm.unwrap().value, 4.5));
    for option in [extrusion, surgery] {
        for site in option.sites.iter().filter(|it| matches!(it.site, Site::Mesial | Site::Distal)) {
            assert!(close(site.ferrule_mm.unwrap().value, 2.0));
            assert!(close(site.margin_to_crest_mm.unwrap().value, 2.5));
        }
        // Buccal and lingual were not sounded.
        assert_eq!(option.verdict, Some(Verdict::Undecided));
    }
    // Half of it each: (10 + 1.5)/(14 - 1.5 - 1.5).
    let both = option(&plan, Way::Both);
    assert!(close(both.crown_to_root.unwrap().value, 11.5 / 11.0));
    // The tip recommended now comes nearer the crest by the whole lift.
    let before = plan.marks.recommended.as_ref().unwrap().along_canal_mm - 0.5 - 1.0;
    assert!(close(both.sites[0].tip_beyond_crest_mm.unwrap().value, before - 3.0));
}

/// McLean 1998: without a post, 4.5 mm of sound tooth above the bone carry a crown (2.5 + 2).
#[test]
fn four_and_a_half_millimetres_above_the_bone_need_no_lift() {
    for (wall, lift) in [(4.5, 0.0), (3.0, 1.5), (5.0, -0.5)] {
        let mut tooth = Tooth::exact();
        let reading = json!({"value": wall, "sd": 0.3});
        tooth.clinical = json!({
            "wall_above_bone_mm": {"mesial": reading, "distal": reading, "buccal": reading, "lingual": reading},
            "ferrule_mm": {"buccal": 2.5, "lingual": 2.5},
        });
        let plan = planned(&tooth.case());
        for site in &plan.recovery.sites {
            // Sounding overrides the film, where 5.5 mm of wall stand above the crest.
            assert!(site.sounded);
            assert!(close(site.lift_needed_mm.unwrap().value, lift), "{site:?}");
        }
        let extruded = option(&plan, Way::Extrusion).extrusion_mm.unwrap();
        assert!(close(extruded, lift.max(0.0)));
    }
}

/// A cone of 7.0 mm at the margin and 13 mm long is 7 (1 - 3/13) = 5.4 mm wide 3 mm further down (upper central by
/// Wheeler; plain geometry). With a section 5 mm down that is 6 wide, 3 mm down it is 7 - 3/5 = 6.4 wide.
#[test]
fn the_root_is_narrower_at_the_new_margin() {
    let cone = Tooth {
        fdi: "21",
        root: 13.0,
        width: 7.0,
        ferrule: [-1.0, -1.0],
        sections: Vec::new(),
        ..Tooth::exact()
    };
    let width = |tooth: &Tooth| {
        option(&planned(&tooth.case()), Way::Extrusion).root_width_at_margin_mm.unwrap().value
    };
    assert!(close(width(&cone), 7.0 * (1.0 - 3.0 / 13.0)), "{}", width(&cone));
    let measured = Tooth { sections: vec![[5.0, 6.0, 0.6]], ..cone };
    assert!(close(width(&measured), 6.4), "{}", width(&measured));
}

/// With every site sounded and room to spare, a way meets the requirements; with a short root none does.
#[test]
fn a_way_meets_or_no_way_does() {
    let mut tooth = Tooth::exact();
    let reading = |value: f64| json!({"value": value, "sd": 0.1});
    tooth.clinical = json!({
        "wall_above_bone_mm": {"mesial": reading(6.0), "distal": reading(6.0), "buccal": reading(4.0), "lingual": reading(6.0)},
        "ferrule_mm": {"buccal": reading(2.5), "lingual": reading(3.0)},
        "smile_line": "high", "drill": "peeso-2",
    });
    let plan = planned(&tooth.case());
    // Buccally 4 - 2.5 = 1.5 mm are left from margin to crest, and 2 are required.
    assert_eq!(option(&plan, Way::SulcusOnly).verdict, Some(Verdict::FallsShort));
    let extrusion = option(&plan, Way::Extrusion);
    assert_eq!(extrusion.verdict, Some(Verdict::Undecided), "{:?}", extrusion.verdicts);
    // A post planned after it keeps 0.5 off a crest 0.5 mm nearer: 0.5 deeper, and as deep as before.
    let [from, to] = extrusion.post_window_mm.expect("a post fits");
    let before = plan.window.as_ref().unwrap();
    assert!(close(from, before.from_mm + 0.5) && close(to, before.to_mm), "{from} {to} {before:?}");
    assert!(extrusion.words.iter().any(|words| words.contains("the smile shows it")));
    for way in [Way::SurgicalExtrusion, Way::Extraction] {
        assert_eq!(option(&plan, way).verdict, None);
    }
    tooth.clinical["ferrule_mm"]["buccal"] = reading(2.0);
    let surgery = planned(&tooth.case());
    let surgery = option(&surgery, Way::Surgery);
    assert!(close(surgery.sites[2].bone_mm, 0.5));
    assert_eq!(surgery.verdict, Some(Verdict::Meets), "{:?}", surgery.verdicts);
    assert_eq!(surgery.weeks.len(), 1);
}

/// What satisfies a requirement that nobody can judge is not known: without a section or without a drill no wall is judged,
/// and without the crest of one side the tip is kept off the other alone.
#[test]
fn a_way_meets_nothing_that_is_not_judged() {
    let mut tooth = Tooth::exact();
    let reading = |value: f64| json!({"value": value, "sd": 0.1});
    tooth.clinical = json!({
        "wall_above_bone_mm": {"mesial": reading(6.0), "distal": reading(6.0), "buccal": reading(6.0), "lingual": reading(6.0)},
        "ferrule_mm": {"buccal": reading(3.0), "lingual": reading(3.0)},
        "drill": "peeso-2",
    });
    let of = |plan: &Plan| {
        let surgery = option(plan, Way::Surgery);
        let fits = surgery.verdicts.iter().find(|it| it.criterion == "post_fits").unwrap();
        (fits.verdict, surgery.verdict, surgery.post_window_mm.is_some())
    };
    assert_eq!(of(&planned(&tooth.case())), (Verdict::Meets, Some(Verdict::Meets), true));
    let no_sections = Tooth { sections: Vec::new(), ..tooth.clone() };
    let open = (Verdict::Undecided, Some(Verdict::Undecided), true);
    assert_eq!(of(&planned(&no_sections.case())), open);
    // No section is near the depth recommended, and so no drill is proposed.
    let mut no_drill = tooth.clone();
    no_drill.clinical.as_object_mut().unwrap().remove("drill");
    assert_eq!(of(&planned(&no_drill.case())), open);
    let mut json = tooth.json();
    json["landmarks"].as_object_mut().unwrap().remove("crest.distal");
    let (fits, ..) = of(&planned(&case(&json.to_string())));
    assert_eq!(fits, Verdict::Undecided);
}

/// A way that lifts nothing still cuts the margin as deep as the ferrule wants it, and its verdict has its reasons.
#[test]
fn what_lifts_nothing_still_says_what_is_cut_and_why() {
    let mut tooth = Tooth { ferrule: [1.0, 1.0], crest: [4.0, 4.0], ..Tooth::exact() };
    let reading = |value: f64| json!({"value": value, "sd": 0.1});
    tooth.clinical = json!({
        "wall_above_bone_mm": {"buccal": reading(6.0), "lingual": reading(6.0)},
        "ferrule_mm": {"buccal": reading(3.0), "lingual": reading(3.0)},
    });
    let case = tooth.case();
    let plan = planned(&case);
    let surgery = option(&plan, Way::Surgery);
    assert!(surgery.needs_no_lift());
    let steps = plan_words::steps(&case, &plan.recovery, surgery);
    assert!(steps.contains("margin deeper: mesial 1.00 mm, distal 1.00 mm"), "{steps}");
    let text = plan_text("a tooth", &case, &plan, Style::Plain);
    let block =
        text.split("crown lengthening by surgery").nth(1).unwrap().split("extrusion and").next().unwrap();
    for words in ["ferrule: meets", "margin to crest: mesial 3.00", "[requirement]"] {
        assert!(block.contains(words), "{words}: {block}");
    }
    // Where nothing is cut deeper either, what it leaves is what there is.
    let deep = Tooth { ferrule: [2.5, 2.5], ..tooth };
    let (case, plan) = (deep.case(), planned(&deep.case()));
    assert!(!plan_words::steps(&case, &plan.recovery, option(&plan, Way::Surgery)).contains("margin"));
}
