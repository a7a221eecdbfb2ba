//! Depths against arithmetic from outside, written out; the source stands beside each.

use super::make::Tooth;
use super::{close, criteria, ends, planned, planned_by};
use crestgauge::case::Verdict;
use crestgauge::plan::{ChosenBy, End};

/// McLean 1998, J Can Dent Assoc 64:782-7: supracrestal tissue attachment 2.5 + ferrule 2 + apical seal 4 + post in bone
/// = 8.5 mm + post, from the top of the sound wall to the end of the filling.
#[test]
fn the_length_budget_of_mclean() {
    let seal_of_four = criteria(&[(
        "measurement = \"seal_length\"\nat_least = 3.0",
        "measurement = \"seal_length\"\nat_least = 4.0",
    )]);
    for post in [4.0, 6.0, 7.5] {
        // Margin to crest 2.5, ferrule 2, root filling to the apex: the root below the margin is 2.5 + post + 4.
        let tooth = Tooth {
            ferrule: [2.0, 2.0],
            crest: [2.5, 2.5],
            root: 2.5 + post + 4.0,
            filling_short: 0.0,
            core: 3.0,
            sections: Vec::new(),
            ..Tooth::exact()
        };
        let plan = planned_by(&tooth.case(), &seal_of_four, None);
        let budget = 2.0 + 2.5 + 4.0 + post;
        let [_, deepest] = ends(&plan).expect("a window");
        assert!(close(deepest, budget - 4.0), "{post}: {deepest}");
        let mark = plan.marks.deepest_allowed.as_ref().unwrap();
        assert!(close(mark.post_depth_mm.unwrap().value, 4.5 + post), "{mark:?}");
        assert_eq!(plan.binding[1].end, End::Deepest);
        assert_eq!(plan.binding[1].rule, "apical_seal");
    }
}

/// An average upper central incisor has a crown of 10.5 and a root of 13 mm (Wheeler, as printed at
/// pocketdentistry.com, tooth traits of the permanent dentition). A post as long as the crown and a seal of 5 mm take
/// 10.5 + 5 = 15.5 mm of it: 2.5 mm too much, and 1 mm more for a filling that ends 1 mm short.
#[test]
fn an_average_upper_central_cannot_have_a_post_as_long_as_its_crown_and_a_seal_of_five() {
    let both_required = criteria(&[
        (
            "measurement = \"post_to_crown\"\nat_least = 1.0\nstrength = \"information\"",
            "measurement = \"post_to_crown\"\nat_least = 1.0\nstrength = \"requirement\"",
        ),
        (
            "measurement = \"seal_length\"\nat_least = 5.0\nstrength = \"preference\"",
            "measurement = \"seal_length\"\nat_least = 5.0\nstrength = \"requirement\"",
        ),
    ]);
    for (short, by) in [(0.0, 2.5), (1.0, 3.5)] {
        let tooth = Tooth {
            fdi: "21",
            crown: 10.5,
            root: 13.0,
            ferrule: [2.0, 2.0],
            filling_short: short,
            sections: Vec::new(),
            ..Tooth::exact()
        };
        let plan = planned_by(&tooth.case(), &both_required, None);
        assert_eq!(plan.window, None);
        // The seal of 3 that is required anyway is missed by 2 mm less.
        let sets: Vec<_> = plan.conflicts.iter().map(|it| (it.rules.join(" "), it.apart_mm)).collect();
        assert_eq!(sets.len(), 2, "{sets:?}");
        assert_eq!(sets[0].0, "post_as_long_as_the_crown apical_seal_wanted");
        assert!(close(sets[0].1, by), "{sets:?}");
        assert_eq!(sets[1].0, "post_as_long_as_the_crown apical_seal");
        assert!(close(sets[1].1, by - 2.0), "{sets:?}");
        // Giving up the length opens up to 5 above the filling's end; giving up either seal opens nothing, for the other
        // still stands in the way.
        assert_eq!(plan.relaxations.len(), 1, "{:?}", plan.relaxations);
        let without_length = &plan.relaxations[0];
        assert_eq!(without_length.without, "post_as_long_as_the_crown");
        assert!(close(without_length.to_mm, 2.0 + 13.0 - short - 5.0), "{without_length:?}");
        assert!(close(without_length.least_mm, by), "{without_length:?}");
        assert!(!without_length.warning.is_empty());
    }
}

/// The same average tooth by the default criteria: from the core base, 2 above the margin, the tip stands at 5.5 at
/// least (crest 3 below the margin, band 0.5), the seal of 3 ends it at 2 + 13 - 1 - 3 = 11, half of the root in bone is
/// 2 + 3 + (13 - 3)/2 = 10, and a seal of 5 would end it at 9: no depth meets every preference.
#[test]
fn an_average_upper_central_by_the_default_criteria() {
    let tooth = Tooth {
        fdi: "21",
        crown: 10.5,
        root: 13.0,
        ferrule: [2.0, 2.0],
        sections: Vec::new(),
        ..Tooth::exact()
    };
    let plan = planned(&tooth.case());
    let [shortest, deepest] = ends(&plan).expect("a window");
    assert!(close(shortest, 5.5) && close(deepest, 11.0), "{shortest} {deepest}");
    assert_eq!(plan.marks.all_preferences_met, None);
    let admits = |rule: &str| plan.rules.iter().find(|it| it.rule == rule).unwrap().admits_mm[0];
    assert!(close(admits("half_of_the_bone_supported_root")[0], 10.0));
    assert!(close(admits("apical_seal_wanted")[1], 9.0));
    assert!(close(admits("post_longer_than_the_core")[0], 4.5));
}

/// A ferrule that falls short: the shortest depth that also meets the preferences about length, here half of the root
/// in bone, 0.5 + 3 + (17 - 3)/2 = 10.5 below the core base.
#[test]
fn a_short_ferrule_asks_for_length() {
    let mut tooth = Tooth { ferrule: [0.5, 0.5], ..Tooth::exact() };
    let recommended = |tooth: &Tooth| planned(&tooth.case()).marks.recommended.unwrap().along_canal_mm;
    assert!(close(recommended(&tooth), 10.5), "{}", recommended(&tooth));
    tooth.ferrule = [2.5, 2.5];
    tooth.clinical = serde_json::json!({"ferrule_mm": {"buccal": {"value": 2.5, "sd": 0.01}, "lingual": {"value": 2.5, "sd": 0.01}}});
    // With a ferrule, the shortest: 2.5 + 3 + 0.5 below the core base, past the crest band.
    assert!(close(recommended(&tooth), 6.0), "{}", recommended(&tooth));
}

/// Design of the wall after drilling: wall - max(0, D - canal)/2 at a section, linear between sections. At 6 mm below
/// the margin the root is 5.0 and the canal 0.7 wide: walls 2.15; a drill of 0.9 leaves 2.05. Half way to the next
/// section the root is 4.6, the canal 0.6: walls 2.0, of which a tip of 0.7 takes 0.05.
#[test]
fn walls_after_drilling() {
    let tooth = Tooth::exact();
    let plan = planned_by(&tooth.case(), &criteria(&[]), Some("peeso-2"));
    let chosen = plan.drills.list.iter().find(|drill| drill.drill == "peeso-2").unwrap();
    assert_eq!(chosen.chosen_by, Some(ChosenBy::Asked));
    let depth = plan.drills.at_mm.unwrap();
    // Recommended: 2.5 + 3.5 = 6 below the core base is 3.5 below the margin, and no section within 1 mm.
    assert!(close(depth, 6.0));
    assert_eq!(chosen.walls, Verdict::Undecided);
    let coronal = chosen.levels.iter().find(|level| level.level == "section 1").unwrap();
    assert!(close(coronal.mesial_mm.value, (6.2 - 0.8) / 2.0 - (0.9 - 0.8) / 2.0), "{coronal:?}");
    assert!(close(coronal.share_of_root.value, 0.9 / 6.2));

    let near = Tooth { sections: vec![[3.0, 5.0, 0.7], [4.0, 4.6, 0.5]], ..tooth };
    let plan = planned_by(&near.case(), &criteria(&[]), Some("peeso-2"));
    let chosen = plan.drills.list.iter().find(|drill| drill.drill == "peeso-2").unwrap();
    let tip = chosen.levels.iter().find(|level| level.level == "tip").unwrap();
    assert!(close(tip.mesial_mm.value, (4.8 - 0.6) / 2.0 - (0.7 - 0.6) / 2.0), "{tip:?}");
    assert!(close(tip.drill_mm, 0.7));
    assert!(close(plan.drills.canal_at_tip_mm.unwrap().value, 0.6));
    // The canal is 0.6 wide there: the smallest drill at least as wide measures 0.7.
    let plan = planned(&near.case());
    let proposed = plan.drills.list.iter().find(|drill| drill.chosen_by == Some(ChosenBy::Proposed)).unwrap();
    assert_eq!(proposed.diameter_mm, 0.7);
}

/// Common practice as Goodacre's chapter in Baba (ed.) has it: 7 mm in the distal root of a lower molar, none in the
/// mesial one.
#[test]
fn molars_have_a_usual_depth_and_roots_that_are_not_advised() {
    let mut json =
        Tooth { fdi: "36", root: 14.0, ferrule: [3.0, 3.0], crest: [1.0, 1.0], ..Tooth::exact() }.json();
    let mut other = json["roots"][0].clone();
    json["roots"][0]["name"] = "distal".into();
    other["name"] = "mesial".into();
    other["post_here"] = false.into();
    json["roots"].as_array_mut().unwrap().push(other);
    json["landmarks"]["furcal_crest"] = json["landmarks"]["crest.mesial"].clone();
    let plan = planned(&crate::support::case(&json.to_string()));
    let mark = plan.marks.deepest_allowed.as_ref().expect("a window");
    assert!(close(mark.post_depth_mm.unwrap().value, 7.0), "{mark:?}");
    assert_eq!(plan.binding[1].rule, "usual_depth_in_a_molar");
    assert!(plan.settle.iter().all(|row| row.about != "root"));
    json["roots"][0]["post_here"] = false.into();
    json["roots"][1]["post_here"] = true.into();
    let plan = planned(&crate::support::case(&json.to_string()));
    let advice = plan.settle.iter().find(|row| row.about == "root").expect("advice");
    assert!(advice.words.contains("not advised"), "{advice:?}");
}

/// Where no core is built its height is the space between the jaws less the crown: 7 - 2 = 5, with
/// √(0.5² + 0.5²) = 0.707 (JCGM 100:2008, 5.1.2).
#[test]
fn a_core_that_is_not_built_fills_the_space_the_crown_leaves() {
    let mut json = Tooth::exact().json();
    json["landmarks"].as_object_mut().unwrap().remove("core_top");
    json["clinical"]["interocclusal_space_mm"] = 7.0.into();
    let plan = planned(&crate::support::case(&json.to_string()));
    let core = plan.core.expect("a core");
    assert_eq!(core.height_mm.value, 5.0);
    assert!((core.height_mm.sd - 0.5_f64.hypot(0.5)).abs() < 1e-12);
    // Longer than such a core with 95 %: 5 + 1.645 × 0.707 = 6.163.
    let admits = &plan.rules.iter().find(|it| it.rule == "post_longer_than_the_core").unwrap().admits_mm[0];
    assert!((admits[0] - (5.0 + 1.644_854 * 0.5_f64.hypot(0.5))).abs() < 2e-4, "{admits:?}");
}

/// A tip coronal of the crest band keeps 0.5 off it: 2.5 + 5 - 0.5 = 7 below the core base with the crest 5 below the
/// margin, and beyond a core of 4.5.
#[test]
fn a_tip_coronal_of_the_crest_is_an_alternative() {
    let tooth = Tooth { crest: [5.0, 5.0], ..Tooth::exact() };
    let plan = planned(&tooth.case());
    let alternative = plan.coronal_alternative.expect("an alternative");
    assert!(close(alternative.from.along_canal_mm, 4.5) && close(alternative.to.along_canal_mm, 7.0));
    // Mesial and distal are known, buccal and lingual are not: two of the three sites are not enough to decide.
    assert_eq!(alternative.ferrule, Verdict::Undecided);
    assert!(close(plan.marks.recommended.unwrap().along_canal_mm, 8.0));
}

/// A wall of 1.2 at 6 mm below the margin is too thin for any drill, and a drill that goes on passes it: nothing deeper
/// is admitted again, though no section tells of walls there. Canal and root are as in [`walls_after_drilling`] above it.
#[test]
fn a_wall_that_is_too_thin_ends_the_window_for_good() {
    let tooth = Tooth { sections: vec![[2.0, 6.2, 0.8], [6.0, 3.1, 0.7]], ..Tooth::exact() };
    let plan = planned_by(&tooth.case(), &criteria(&[]), Some("peeso-2"));
    let wall = plan.rules.iter().find(|rule| rule.rule == "dentine_wall_on_the_film").unwrap();
    assert_eq!(wall.admits_mm.len(), 1, "{wall:?}");
    // The wall of 1.2 stands 8.5 below the core base; nearer than 1 mm to it walls are in proportion between the two.
    assert!(wall.admits_mm[0][1] < 8.5 && wall.admits_mm[0][1] > 7.5, "{wall:?}");
    assert_eq!(plan.marks.all_preferences_met, None);
}
