//! What must hold of any plan.

use super::make::Tooth;
use super::{criteria, ends, planned_by};
use crate::properties::runs;
use crestgauge::case::{Strength, Verdict};
use crestgauge::plan::{Plan, RuleAt, Way};
use proptest::prelude::*;

const SLACK_MM: f64 = 1e-6;

fn any_tooth() -> impl Strategy<Value = Tooth> {
    (
        (9.0..20.0f64, 0.2..3.0f64, 0.2..3.0f64, 0.5..5.0f64, 0.5..5.0f64),
        (2.0..7.0f64, 0.0..2.5f64, 0.02..0.4f64, 0.5..9.0f64, 0.0..6.0f64),
        prop::collection::vec((1.0..14.0f64, 2.6..7.0f64, 0.3..1.3f64), 0..4),
    )
        .prop_map(
            |(
                (root, mesial, distal, crest_mesial, crest_distal),
                (core, short, length_sd, sd_px, beam),
                walls,
            )| {
                Tooth {
                    root,
                    ferrule: [mesial, distal],
                    crest: [crest_mesial, crest_distal],
                    core,
                    filling_short: short,
                    length_sd,
                    sd_px: Some(sd_px),
                    angulation: beam,
                    sections: walls
                        .into_iter()
                        .filter(|(down, ..)| *down < root)
                        .map(|(down, width, canal)| [down, width, canal])
                        .collect(),
                    ..Tooth::exact()
                }
            },
        )
}

fn plan_of(tooth: &Tooth, changes: &[(&str, &str)]) -> Plan {
    planned_by(&tooth.case(), &criteria(changes), Some("peeso-2"))
}

/// `inner` lies within `outer`.
fn within(inner: Option<[f64; 2]>, outer: Option<[f64; 2]>) -> bool {
    match (inner, outer) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some([from, to]), Some([outer_from, outer_to])) => {
            from >= outer_from - SLACK_MM && to <= outer_to + SLACK_MM
        }
    }
}

fn satisfied(rules: &[RuleAt]) -> bool {
    rules.iter().filter(|rule| rule.strength == Strength::Requirement).all(|rule| {
        rule.probability.is_none_or(|it| it >= 0.95 - 1e-9) && rule.verdict != Verdict::FallsShort
    })
}

proptest! {
    #![proptest_config(runs(150))]

    /// What is printed for a stop satisfies every rule itself, and so do the marks.
    #[test]
    fn a_printed_depth_satisfies_its_own_rules(tooth in any_tooth()) {
        let plan = plan_of(&tooth, &[]);
        for setting in [&plan.card.set_at, &plan.card.never_beyond].into_iter().flatten() {
            prop_assert!(satisfied(&setting.rules), "{setting:?}");
            let steps = setting.set_mm / plan.card.rounded_to_mm.unwrap();
            prop_assert!((steps - steps.round()).abs() < 1e-9);
        }
        let marks = &plan.marks;
        for mark in [&marks.shortest_allowed, &marks.deepest_allowed, &marks.recommended].into_iter().flatten() {
            prop_assert!(satisfied(&mark.rules), "{mark:?}");
        }
        if let (Some(set), Some(never)) = (&plan.card.set_at, &plan.card.never_beyond) {
            prop_assert!(set.set_mm <= never.set_mm);
        }
        prop_assert_eq!(plan.window.is_some(), plan.marks.recommended.is_some());
        if plan.window.is_none() {
            prop_assert!(!plan.conflicts.is_empty());
        }
    }

    /// Knowing more never takes an admissible depth away.
    #[test]
    fn a_smaller_uncertainty_never_shrinks_a_window(tooth in any_tooth(), part in 0.1..0.95f64, which in 0..3usize) {
        let before = ends(&plan_of(&tooth, &[]));
        let mut surer = tooth;
        match which {
            0 => surer.sd_px = surer.sd_px.map(|sd| sd * part),
            1 => surer.length_sd *= part,
            _ => surer.angulation *= part,
        }
        // A window of several stretches shows the first, which can grow towards the crown.
        let after = ends(&plan_of(&surer, &[]));
        prop_assert!(within(before, after), "{before:?} {after:?}");
    }

    /// Asking for more never admits more.
    #[test]
    fn a_more_demanding_criterion_never_widens_a_window(tooth in any_tooth(), which in 0..4usize) {
        let change = [
            ("measurement = \"seal_length\"\nat_least = 3.0", "measurement = \"seal_length\"\nat_least = 3.7"),
            ("measurement = \"wall.*@*\"\nat_least = 1.25", "measurement = \"wall.*@*\"\nat_least = 1.5"),
            ("outside = [-0.5, 0.5]", "outside = [-0.9, 0.9]"),
            ("more_than = 1.0", "more_than = 1.2"),
        ][which];
        let (before, after) = (ends(&plan_of(&tooth, &[])), ends(&plan_of(&tooth, &[change])));
        prop_assert!(within(after, before), "{before:?} {after:?}");
    }

    /// More wall never asks for more lift, whichever way.
    #[test]
    fn more_ferrule_never_asks_for_more_lift(tooth in any_tooth(), more in 0.0..2.0f64, side in 0..2usize) {
        let mut taller = tooth.clone();
        taller.ferrule[side] += more;
        let (before, after) = (plan_of(&tooth, &[]), plan_of(&taller, &[]));
        for (before, after) in before.recovery.sites.iter().zip(&after.recovery.sites) {
            if let (Some(before), Some(after)) = (before.lift_needed_mm, after.lift_needed_mm) {
                prop_assert!(after.value <= before.value + SLACK_MM);
            }
        }
        for way in [Way::Extrusion, Way::Surgery, Way::Both] {
            let lift = |plan: &Plan| {
                let option = plan.recovery.options.iter().find(|it| it.way == way).unwrap();
                let bone: f64 = option.sites.iter().map(|site| site.bone_mm).sum();
                (option.extrusion_mm.unwrap_or_default(), bone)
            };
            let ((up, bone), (up_after, bone_after)) = (lift(&before), lift(&after));
            prop_assert!(up_after <= up + SLACK_MM && (way == Way::Both || bone_after <= bone + SLACK_MM));
        }
    }
}
