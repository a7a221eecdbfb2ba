//! A depth is judged as measuring and judging the same tip, planned on the film, would judge it.

use super::criteria;
use crate::change::check_cases;
use crate::support::library;
use crestgauge::case::{Case, Landmark, Mark, Point, State};
use crestgauge::measure::Draws;
use crestgauge::plan::{Depths, Wish, depths, plan};
use crestgauge::verdict::assess;

/// The case with its tip planned where the depths say.
fn with_tip(case: &Case, depths: &Depths, depth: f64, root: usize) -> Case {
    let mut case = case.clone();
    let place = depths.on_film(depth).expect("on the canal");
    let marks = &mut case.roots[root].landmarks.marks;
    marks.remove(&Landmark::PostHead.id());
    let tip = Point { state: Some(State::Planned), ..Point::at(place.x, place.y) };
    marks.insert(Landmark::PostTip.id(), Mark::Placed(tip));
    case
}

#[test]
fn rules_at_a_depth_are_the_verdicts_on_a_tip_planned_there() {
    let (criteria, library) = (criteria(&[]), library());
    let (mut compared, mut cases) = (0, 0);
    for case in check_cases() {
        for root in 0..case.roots.len() {
            let name = case.roots[root].name;
            let wish = Wish { root: Some(name), ..Wish::default() };
            let Some(depths) = depths(&case, &library, &criteria, &wish).unwrap() else { continue };
            cases += 1;
            for part in [0.13, 0.5, 0.77, 0.95] {
                let depth = part * depths.end_of_root();
                let tip = with_tip(&case, &depths, depth, root);
                let derived = assess(&tip, &library, &criteria, Draws::default(), &[]).unwrap();
                for rule in depths.rules_at(depth) {
                    let verdicts: Vec<_> = derived
                        .verdicts
                        .iter()
                        .filter(|it| it.criterion == rule.rule)
                        .filter(|it| it.about.iter().all(|about| about.root.as_deref() == Some(name.word())))
                        .collect();
                    if let ([verdict], Some(probability)) = (verdicts.as_slice(), rule.worst_probability)
                        && let Some(expected) = verdict.probability.filter(|_| verdict.about.len() == 1)
                    {
                        // Over one place both are the same; over two they are at least what is left of both.
                        assert!(rule.probability.is_some_and(|both| both <= probability + 1e-12), "{rule:?}");
                        assert!((probability - expected).abs() < 1e-6, "{rule:?} {verdict:?} at {depth}");
                        compared += 1;
                    }
                }
            }
        }
    }
    assert!(cases > 30 && compared > 500, "{cases} {compared}");
}

/// A place on the canal and the depth there belong together, so that a dragged tip stays where it is dropped.
#[test]
fn a_depth_is_found_again_from_its_place_on_the_film() {
    let (criteria, library) = (criteria(&[]), library());
    for case in check_cases() {
        let Some(depths) = depths(&case, &library, &criteria, &Wish::default()).unwrap() else { continue };
        for part in [0.0, 0.4, 1.0] {
            let depth = part * depths.end_of_root();
            let place = depths.on_film(depth).unwrap();
            assert!((depths.nearest(place.x, place.y).unwrap() - depth).abs() < 1e-6);
        }
    }
}

/// Where a rule is said to be not judged, something is named that would judge it; where it is not said, nothing is.
#[test]
fn depths_that_are_not_judged_are_those_that_need_something() {
    let (criteria, library) = (criteria(&[]), library());
    let (mut open, mut settled) = (0, 0);
    for case in check_cases() {
        for root in &case.roots {
            let wish = Wish { root: Some(root.name), ..Wish::default() };
            let plan = plan(&case, &library, &criteria, &wish, &[]).unwrap();
            let Some(depths) = depths(&case, &library, &criteria, &wish).unwrap() else { continue };
            for part in [0.03, 0.21, 0.48, 0.77, 0.96] {
                let depth = part * depths.end_of_root();
                for (row, rule) in plan.rules.iter().zip(depths.rules_at(depth)) {
                    assert_eq!(row.rule, rule.rule);
                    let near = |end: &f64| (end - depth).abs() < 1e-3;
                    if row.unjudged_mm.iter().flatten().any(near) {
                        continue;
                    }
                    let is_open = row.unjudged_mm.iter().any(|[from, to]| (*from..=*to).contains(&depth));
                    assert_eq!(
                        is_open,
                        !rule.not_known.is_empty(),
                        "{} at {depth}: {row:?} {rule:?}",
                        root.name.word()
                    );
                    *(if is_open { &mut open } else { &mut settled }) += 1;
                }
            }
        }
    }
    assert!(open > 200 && settled > 1_000, "{open} {settled}");
}
