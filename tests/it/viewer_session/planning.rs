//! Planning in the window: the plan is the library's, a planned tip keeps to its canal and is one step of undo a drag,
//! and a post that is there is never overwritten silently.

use super::{ENGINE, sample};
use crate::support::case;
use crestgauge::case::{Case, Landmark, Mark, Point, RootName};
use crestgauge::editor::{Edit, LandmarkAt, OpenCase, PointAt};
use crestgauge::film::Bounds;
use crestgauge::geometry::{Displacement, Position};
use crestgauge::plan::{Wish, depths, plan};
use crestgauge::viewer::action::{Action, Handle};
use crestgauge::viewer::planning::TipKind;
use crestgauge::viewer::{Session, Start, Work};
use std::path::PathBuf;
use std::sync::Arc;

fn canine() -> Case {
    case(include_str!("../../data/plans/canine-23.case.json"))
}

fn session_of(case: Case) -> Session {
    let start = Start {
        file: Some(PathBuf::new()),
        engine: ENGINE.clone(),
        state_folder: None,
        bounds: Bounds::default(),
    };
    let mut session = Session::new(start, || {});
    session.work = Some(Work::new(OpenCase::unfiled(case, PathBuf::new(), ENGINE.clone(), None)));
    session
}

fn work(session: &Session) -> &Work {
    session.work.as_ref().unwrap()
}

fn tip() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::PostTip.id() }
}

fn handle() -> Handle {
    Handle::Case(PointAt::Landmark(tip()))
}

/// Plans the tip at a depth, as the worksheet asks for it.
fn plan_at(session: &mut Session, depth: f64) {
    let planned = work(session).planned();
    let edit = planned.as_ref().as_ref().unwrap().plan_tip(work(session).open.case(), depth).unwrap();
    session.take(Action::Edit(edit));
}

fn depth(session: &Session) -> f64 {
    let planned = work(session).planned();
    planned.as_ref().as_ref().unwrap().placed_tip(work(session).open.case()).unwrap().depth
}

#[test]
fn the_plan_shown_is_the_library_s() {
    for case in [canine(), sample()] {
        let session = session_of(case.clone());
        let planned = work(&session).planned();
        let planned = planned.as_ref().as_ref().unwrap();
        let wish = Wish::default();
        assert_eq!(planned.plan, plan(&case, &ENGINE.library, &ENGINE.criteria, &wish, &[]).unwrap());
        let depths = depths(&case, &ENGINE.library, &ENGINE.criteria, &wish).unwrap().unwrap();
        for at in [0.0, 3.0, 7.5, 12.0] {
            assert_eq!(planned.rules_at(at), depths.rules_at(at));
        }
    }
}

#[test]
fn the_invented_canine_has_a_window_and_a_card() {
    let session = session_of(canine());
    let planned = work(&session).planned();
    let plan = &planned.as_ref().as_ref().unwrap().plan;
    let window = plan.window.as_ref().expect("a window");
    // Between core (6.5 - 2.0 = 4.5 mm) and seal (16 - 3 mm below the margin, 15.5 below the core base), each guarded.
    assert!(window.from_mm > 4.5 && window.to_mm < 15.5 && window.from_mm < window.to_mm, "{window:?}");
    assert!(plan.card.set_at.is_some() && plan.card.never_beyond.is_some(), "{:?}", plan.card.words);
    assert!(plan.settle.is_empty(), "{:?}", plan.settle);
}

#[test]
fn a_dragged_tip_keeps_to_its_canal_moves_the_rules_and_is_one_step() {
    let mut session = session_of(canine());
    let before = work(&session).open.case().clone();
    plan_at(&mut session, 7.0);
    assert!((depth(&session) - 7.0).abs() < 1e-6);
    assert_eq!(work(&session).open.next_undo(), Some("plan post tip"));
    let after_planning = work(&session).open.case().clone();
    let kept = work(&session).planned();
    let rules = |session: &Session| {
        let planned = work(session).planned();
        planned.as_ref().as_ref().unwrap().rules_at(depth(session))
    };
    let rules_before = rules(&session);
    session.take(Action::BeginGesture);
    for y in [480.0, 500.0, 540.0] {
        let planned = work(&session).planned();
        // Far beside the canal.
        let to = Position::new(200.0, y);
        let planned = planned.as_ref().as_ref().unwrap();
        let to = planned.on_canal(work(&session).open.case(), handle(), to).unwrap();
        session.take(Action::Move { point: handle(), to });
        let at = planned.depths.as_ref().unwrap().on_film(depth(&session)).unwrap();
        let place = PointAt::Landmark(tip()).position(work(&session).open.case()).unwrap();
        assert!((place.x - at.x).abs() < 1e-6 && (place.y - at.y).abs() < 1e-6, "it lies on the canal");
    }
    session.take(Action::EndGesture);
    assert_ne!(rules(&session), rules_before);
    assert!(Arc::ptr_eq(&kept, &work(&session).planned()), "the plan is not made anew while the tip moves");
    assert_eq!(work(&session).open.next_undo(), Some("move post tip"));
    session.work.as_mut().unwrap().open.undo();
    assert_eq!(*work(&session).open.case(), after_planning);
    session.work.as_mut().unwrap().open.undo();
    assert_eq!(*work(&session).open.case(), before);
}

#[test]
fn a_tip_dragged_beyond_the_root_stays_in_it_and_other_points_are_free() {
    let mut session = session_of(canine());
    plan_at(&mut session, 99.0);
    let planned = work(&session).planned();
    let planned = planned.as_ref().as_ref().unwrap();
    let end = planned.depths.as_ref().unwrap().end_of_root();
    assert!((depth(&session) - end).abs() < 1e-6);
    let apex = LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() };
    let other = Handle::Case(PointAt::Landmark(apex));
    let case = work(&session).open.case();
    assert_eq!(planned.on_canal(case, other, Position::new(1.0, 1.0)), None);
}

#[test]
fn keys_move_the_tip_by_tenths_along_the_canal() {
    let mut session = session_of(canine());
    plan_at(&mut session, 7.0);
    let step = |session: &Session, x: f64, y: f64| {
        let planned = work(session).planned();
        let case = work(session).open.case();
        let planned = planned.as_ref().as_ref().unwrap();
        planned.stepped(case, handle(), Displacement::new(x, y)).unwrap()
    };
    for (way, wanted) in [((0.0, 1.0), 7.1), ((0.0, 1.0), 7.2), ((0.0, -1.0), 7.1), ((0.0, 0.1), 7.11)] {
        let to = step(&session, way.0, way.1);
        session.take(Action::Move { point: handle(), to });
        assert!((depth(&session) - wanted).abs() < 1e-6, "{} instead of {wanted}", depth(&session));
    }
    let to = step(&session, 1.0, 0.0);
    session.take(Action::Move { point: handle(), to });
    assert!((depth(&session) - 7.11).abs() < 1e-6, "a key across the canal moves nothing");
}

#[test]
fn a_post_that_is_there_gives_way_only_in_a_step_of_its_own() {
    let mut session = session_of(sample());
    let before = work(&session).open.case().clone();
    let planned = work(&session).planned();
    let planned = planned.as_ref().as_ref().unwrap();
    assert!(planned.has_post(&before));
    assert_eq!(planned.placed_tip(&before).unwrap().kind, TipKind::There);
    assert_eq!(planned.on_canal(&before, handle(), Position::new(400.0, 700.0)), None, "it moves freely");
    plan_at(&mut session, 8.0);
    assert_eq!(work(&session).open.next_undo(), Some("plan a new post"));
    let case = work(&session).open.case();
    let head = LandmarkAt { id: Landmark::PostHead.id(), ..tip() };
    assert_eq!(head.mark(case), None);
    assert!(tip().mark(case).and_then(Mark::point).is_some_and(Point::is_planned));
    session.work.as_mut().unwrap().open.undo();
    assert_eq!(*work(&session).open.case(), before);
}

#[test]
fn the_share_of_a_lift_is_taken_and_kept_within_its_ends() {
    let mut session = session_of(sample());
    let up = |session: &Session| {
        let planned = work(session).planned();
        let recovery = planned.as_ref().as_ref().unwrap().plan.recovery.clone();
        let both = recovery.options.iter().find(|it| it.way == crestgauge::plan::Way::Both).unwrap();
        (recovery.extrusion_share, both.extrusion_mm.unwrap())
    };
    let (half, at_half) = up(&session);
    assert_eq!(half, 0.5);
    session.take(Action::ShareExtrusion(0.25));
    let (_, at_quarter) = up(&session);
    assert!((at_quarter - at_half / 2.0).abs() < 1e-12);
    session.take(Action::ShareExtrusion(7.0));
    assert_eq!(up(&session).0, 1.0);
    assert_eq!(work(&session).open.next_undo(), None, "it is asked of the plan, not of the case");
}

#[test]
fn another_change_of_the_case_makes_the_plan_anew() {
    let mut session = session_of(canine());
    let before = work(&session).planned();
    session.take(Action::Edit(Edit::Drill(Some("peeso-4".to_owned()))));
    let after = work(&session).planned();
    assert!(!Arc::ptr_eq(&before, &after));
    let chosen = after.as_ref().as_ref().unwrap().plan.drills.chosen.clone();
    assert_eq!(chosen.as_deref(), Some("peeso-4"));
}
