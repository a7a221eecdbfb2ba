//! Edits one at a time: names, gestures, refusals, selection, what counts as changed.

use super::{text, unfiled};
use crate::support::find;
use crestgauge::calibration::{Extra, Reference, Scan};
use crestgauge::case::{Fdi, Landmark, Mark, Point, Reading, RootName, Side, Site, State};
use crestgauge::editor::{
    Edit, EditRefused, Effect, LandmarkAt, ListChange, OpenCase, PointAt, Selection, SiteReading,
    UncertaintyOf,
};
use crestgauge::geometry::{Position, Stored};

const CREST: PointAt = PointAt::Landmark(LandmarkAt { root: None, id: Landmark::Crest.on(Side::Mesial) });

fn to(x: f64, y: f64) -> Position<Stored> {
    Position::new(x, y)
}

fn crest_to(x: f64, y: f64) -> Edit {
    Edit::Move { point: CREST, to: to(x, y) }
}

fn steps(open: &mut OpenCase) -> usize {
    let mut count = 0;
    while open.next_undo().is_some() {
        open.undo();
        count += 1;
    }
    count
}

#[test]
fn an_undo_names_its_step() {
    let planned = |x, y| Mark::Placed(Point { state: Some(State::Planned), ..Point::at(x, y) });
    let finish_line = Landmark::FinishLine.on(Side::Mesial);
    let reading = Reading { value: 1.5, sd: None, by: None, extra: Extra::new() };
    let scan = Scan { dpi: 600.0, magnification: None, magnification_sd: None, extra: Extra::new() };
    let mut open = unfiled();
    for (edit, name) in [
        (Edit::tooth_mark(finish_line, None), "delete finish line, mesial"),
        (Edit::tooth_mark(finish_line, Mark::Placed(Point::at(1.0, 2.0))), "place finish line, mesial"),
        (Edit::tooth_mark(finish_line, Mark::Placed(Point::at(1.0, 3.0))), "move finish line, mesial"),
        (Edit::tooth_mark(finish_line, planned(1.0, 3.0)), "mark as planned: finish line, mesial"),
        (
            Edit::tooth_mark(finish_line, Mark::Placed(Point::at(1.0, 3.0))),
            "mark as present: finish line, mesial",
        ),
        (
            Edit::tooth_mark(finish_line, Mark::Hidden { hidden: "crown".into(), extra: Extra::new() }),
            "hide finish line, mesial",
        ),
        (
            Edit::tooth_mark(finish_line, Mark::Absent { absent: "no".into(), extra: Extra::new() }),
            "mark as absent: finish line, mesial",
        ),
        (crest_to(5.0, 6.0), "move crest, mesial"),
        (Edit::Fdi(Some(Fdi::parse("36").unwrap())), "name tooth 36"),
        (Edit::RootName { root: RootName::Single, name: RootName::Distal }, "rename single root to distal"),
        (Edit::root_mark(RootName::Distal, Landmark::Apex, None), "delete apex, distal root"),
        (Edit::no_root_filling(RootName::Distal), "no root filling"),
        (
            Edit::SiteReading { of: SiteReading::Ferrule, site: Site::Lingual, reading: Some(reading) },
            "set ferrule, lingual",
        ),
        (
            Edit::References(ListChange::Insert { at: 1, item: Box::new(Reference::Scan(scan)) }),
            "add scan as reference",
        ),
        (Edit::References(ListChange::Remove { at: 1 }), "remove reference 2"),
        (
            Edit::Canal { root: RootName::Distal, change: ListChange::Whole(Vec::new()) },
            "delete canal, distal root",
        ),
        (Edit::Label(Some("again".to_owned())), "set label"),
    ] {
        let effects = open.apply(edit.clone()).unwrap_or_else(|why| panic!("{edit:?}: {why}"));
        assert!(effects.contains(&Effect::Case), "{edit:?}");
        assert_eq!(open.next_undo(), Some(name));
        open.undo();
        assert_eq!(open.next_redo(), Some(name));
        open.redo();
    }
}

#[test]
fn a_drag_is_one_step_however_long() {
    let mut open = unfiled();
    let start = text(open.case());
    open.begin_gesture();
    for step in 0..1000 {
        open.apply(crest_to(340.0 + f64::from(step) / 10.0, 590.0)).unwrap();
    }
    assert_eq!(open.end_gesture(), []);
    let end = text(open.case());
    assert_eq!((open.next_undo(), open.in_gesture()), (Some("move crest, mesial"), false));
    open.undo();
    assert_eq!((text(open.case()), open.next_undo()), (start.clone(), None));
    open.redo();
    assert_eq!(text(open.case()), end);
    // Several things in one gesture are one step too, whatever their order.
    open.begin_gesture();
    for edit in [crest_to(1.0, 1.0), Edit::Label(Some("a".into())), crest_to(2.0, 2.0), Edit::Label(None)] {
        open.apply(edit).unwrap();
    }
    // An undo during a gesture takes the gesture back.
    open.undo();
    assert_eq!(text(open.case()), end);
    assert_eq!(steps(&mut open), 1);
    assert_eq!(text(open.case()), start);
}

#[test]
fn a_gesture_that_comes_to_nothing_adds_no_step() {
    let mut open = unfiled();
    let start = text(open.case());
    open.apply(crest_to(300.0, 300.0)).unwrap();
    open.undo();
    // Cancelled.
    open.begin_gesture();
    open.apply(crest_to(1.0, 1.0)).unwrap();
    assert_eq!(open.cancel_gesture(), [Effect::Case, Effect::SavedState]);
    assert_eq!(text(open.case()), start);
    // There and back again.
    let crest = open.case().landmarks.point(Landmark::Crest.on(Side::Mesial)).cloned().unwrap();
    open.begin_gesture();
    open.apply(crest_to(1.0, 1.0)).unwrap();
    open.apply(crest_to(crest.x, crest.y)).unwrap();
    open.end_gesture();
    // Nothing at all, and what is so already.
    open.begin_gesture();
    open.end_gesture();
    assert_eq!(open.apply(crest_to(crest.x, crest.y)), Ok(Vec::new()));
    assert_eq!(open.apply(Edit::Label(open.case().label.clone())), Ok(Vec::new()));
    assert_eq!((open.next_undo(), open.next_redo()), (None, Some("move crest, mesial")));
    assert_eq!((text(open.case()), open.is_changed()), (start, false));
}

#[test]
fn refused_edits_change_nothing_and_say_what_would_mend_them() {
    let crest = |mark| Edit::tooth_mark(Landmark::Crest.on(Side::Mesial), Some(mark));
    let mut open = unfiled();
    open.apply(Edit::Label(Some("undone".into()))).unwrap();
    open.undo();
    let before = text(open.case());
    let absent = || Mark::Absent { absent: "none".into(), extra: Extra::new() };
    let single = RootName::Single;
    let scan = Scan { dpi: 0.0, magnification: None, magnification_sd: None, extra: Extra::new() };
    for (edit, says) in [
        (crest(Mark::Placed(Point::at(f64::NAN, 1.0))), "must be a number"),
        (crest(Mark::Placed(Point::at(1e7, 1.0))), "must be -1000000 to 1000000 px"),
        (Edit::tooth_mark(Landmark::Crest.id(), absent()), "has two sides"),
        (Edit::tooth_mark(Landmark::Apex.id(), absent()), "put it under \"roots\""),
        (Edit::root_mark(single, Landmark::Canal, absent()), "stands beside \"landmarks\""),
        (Edit::root_mark(single, Landmark::FillingTop, absent()), "both are absent"),
        (Edit::root_mark(RootName::Palatal, Landmark::Apex, absent()), "add the root first"),
        (Edit::Date(Some("24.11.2026".into())), "YYYY-MM-DD"),
        (Edit::RatioSd(Some(-0.1)), "0 to 1"),
        (Edit::Uncertainty { of: UncertaintyOf::Angulation, value: Some(90.0) }, "0 to 20 deg"),
        (
            Edit::SiteReading {
                of: SiteReading::Ferrule,
                site: Site::Mesial,
                reading: Some(Reading { value: 1.0, sd: None, by: None, extra: Extra::new() }),
            },
            "measured on the film",
        ),
        (Edit::References(ListChange::Remove { at: 7 }), "no reference 8; there are 1"),
        (
            Edit::References(ListChange::Insert { at: 0, item: Box::new(Reference::Scan(scan)) }),
            "dots per inch is more than 0",
        ),
        (
            Edit::Canal { root: single, change: ListChange::Whole(vec![Point::at(1.0, 1.0); 2]) },
            "delete one of the two",
        ),
        (
            Edit::Move {
                point: PointAt::Landmark(LandmarkAt { root: None, id: Landmark::Furcation.id() }),
                to: to(1.0, 1.0),
            },
            "place it first",
        ),
        (
            Edit::Several {
                name: "half of it".into(),
                edits: vec![Edit::Label(Some("made".into())), Edit::Date(Some("never".into()))],
            },
            "YYYY-MM-DD",
        ),
        (
            Edit::FilmLink(Box::new(crestgauge::editor::FilmLink {
                sha256: Some("A".repeat(64)),
                ..Default::default()
            })),
            "read back as another",
        ),
    ] {
        let why = open.apply(edit.clone()).expect_err(&format!("{edit:?}"));
        assert!(why.to_string().contains(says), "{edit:?}: {why}");
    }
    assert_eq!(
        open.apply(Edit::Date(Some("2026".into()))),
        Err(EditRefused::Unreadable {
            why: "date is \"2026\", but a date is YYYY-MM-DD (at /film/date)".to_owned(),
            pointer: Some("/film/date".to_owned())
        })
    );
    assert_eq!(text(open.case()), before);
    assert_eq!((open.next_undo(), open.next_redo()), (None, Some("set label")));
}

#[test]
fn an_undo_back_to_the_saved_state_is_clean() {
    let mut open = unfiled();
    assert!(!open.is_changed());
    assert_eq!(open.apply(crest_to(1.0, 1.0)).unwrap(), [Effect::Case, Effect::SavedState]);
    assert_eq!(open.apply(crest_to(2.0, 1.0)).unwrap(), [Effect::Case]);
    assert!(open.is_changed());
    open.undo();
    assert_eq!(open.undo(), [Effect::Case, Effect::SavedState]);
    assert!(!open.is_changed());
    assert_eq!(open.undo(), []);
}

#[test]
fn what_is_selected_is_there_and_is_no_step() {
    let mut open = unfiled();
    let apex = Selection::Landmark(LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() });
    assert_eq!(open.select(Some(apex)), [Effect::Selection]);
    assert_eq!(open.select(Some(apex)), []);
    assert_eq!(open.next_undo(), None);
    let gone = open.apply(Edit::Roots(ListChange::Remove { at: 0 })).unwrap();
    assert_eq!(gone, [Effect::Case, Effect::Selection, Effect::SavedState]);
    assert_eq!(open.select(Some(apex)), []);
    assert_eq!(open.select(Some(Selection::Reference(0))), [Effect::Selection]);
    assert_eq!(open.select(Some(Selection::Reference(1))), [Effect::Selection]);
    assert_eq!(open.selection(), None);
}

#[test]
fn numbers_follow_the_case_and_not_the_frames() {
    let mut open = unfiled();
    let root_length = |open: &mut OpenCase| {
        let numbers = open.numbers().unwrap();
        find(&numbers.measured, "root_length|single").value()
    };
    let before = root_length(&mut open);
    let first: *const _ = std::ptr::from_ref(open.numbers().unwrap().derived.measurements.as_slice());
    assert!(std::ptr::eq(first, open.numbers().unwrap().derived.measurements.as_slice()), "computed once");
    open.apply(Edit::root_mark(RootName::Single, Landmark::Apex, None)).unwrap();
    assert!(before.is_some() && root_length(&mut open).is_none());
    open.undo();
    assert_eq!(root_length(&mut open), before);
}

#[test]
fn a_case_without_roots_says_what_every_number_lacks() {
    let mut open = unfiled();
    open.apply(Edit::Roots(ListChange::Whole(Vec::new()))).unwrap();
    let numbers = open.numbers().unwrap();
    for row in &numbers.derived.measurements {
        assert_eq!(row.value.is_none(), row.reason.is_some() || !row.lacks.is_empty(), "{row:?}");
    }
    let bone_loss = numbers.derived.measurements.iter().find(|row| row.of.id == "bone_loss.mesial").unwrap();
    assert_eq!((bone_loss.lacks[0].landmark.as_str(), &bone_loss.lacks[0].root), ("apex", &None));
}
