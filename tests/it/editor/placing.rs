//! What is half-placed.

use super::{Desk, second, text, unfiled};
use crestgauge::calibration::{Between, Extra, Instrument, Placed, Reference, Scan, Width};
use crestgauge::case::RootName;
use crestgauge::editor::{Edit, EditRefused, Effect, OpenCase, Placing};
use crestgauge::geometry::Position;

fn instrument(length_mm: Option<f64>) -> Placing {
    Placing::Reference(Box::new(Reference::Instrument(Instrument {
        points: Vec::new(),
        length_mm,
        tolerance_mm: Some(0.25),
        length_sd_mm: None,
        between: Some(Between::TipStop),
        object: None,
        extra: Extra::new(),
    })))
}

fn click(open: &mut OpenCase, x: f64, y: f64) {
    open.click(Position::new(x, y), Some(Placed::Snapped)).unwrap();
}

fn points(open: &OpenCase) -> Option<usize> {
    open.half_placed().map(|half| half.points().len())
}

#[test]
fn points_are_undone_in_order_with_everything_else() {
    let mut open = unfiled();
    let start = text(open.case());
    open.begin_placing(instrument(Some(21.0))).unwrap();
    assert_eq!(open.next_undo(), None, "beginning is no step");
    click(&mut open, 10.0, 10.0);
    open.apply(Edit::Label(Some("between".into()))).unwrap();
    click(&mut open, 20.0, 400.0);
    assert_eq!((points(&open), open.next_undo()), (Some(2), Some("point 2 of the instrument reference")));
    assert_eq!(open.undo(), [Effect::HalfPlaced]);
    assert_eq!((points(&open), open.next_undo()), (Some(1), Some("set label")));
    open.undo();
    open.undo();
    assert_eq!((points(&open), text(open.case()), open.is_changed()), (Some(0), start, false));
    for _ in 0..3 {
        open.redo();
    }
    assert_eq!(points(&open), Some(2));
    assert_eq!(open.case().calibration.references.len(), 1, "it is no part of the case");
}

#[test]
fn what_is_complete_is_one_edit() {
    let mut open = unfiled();
    open.begin_placing(instrument(Some(21.0))).unwrap();
    click(&mut open, 10.0, 10.0);
    let missing = EditRefused::PointsMissing { placed: 1, wanted: 2 };
    assert_eq!(open.complete_placing(), Err(missing));
    open.apply(Edit::Label(Some("between".into()))).unwrap();
    click(&mut open, 20.0, 400.0);
    assert!(!open.half_placed().unwrap().takes_no_more(), "a curved file takes more");
    let effects = open.complete_placing().unwrap();
    assert_eq!(effects, [Effect::Case, Effect::HalfPlaced]);
    let added = open.case().calibration.references.last().unwrap().clone();
    assert_eq!((added.points().len(), added.points()[1].y), (2, 400.0));
    assert_eq!(added.points()[0].placed, Some(Placed::Snapped));
    assert_eq!((points(&open), open.next_undo()), (None, Some("add instrument as reference")));
    open.undo();
    assert_eq!((open.case().calibration.references.len(), points(&open)), (1, None));
    assert_eq!(open.next_undo(), Some("set label"));
    open.undo();
    assert_eq!(open.next_undo(), None, "single points are no steps any more");
    open.redo();
    open.redo();
    assert_eq!(open.case().calibration.references.last(), Some(&added));
}

#[test]
fn a_section_takes_four_points_of_a_root_that_is_there() {
    let mut open = unfiled();
    let root = RootName::Single;
    let before = open.case().roots[0].sections.len();
    open.begin_placing(Placing::Section { root, level: Some("middle".into()) }).unwrap();
    for x in [1.0, 2.0, 3.0, 4.0] {
        assert!(!open.half_placed().unwrap().takes_no_more());
        click(&mut open, x, 500.0);
    }
    assert!(open.half_placed().unwrap().takes_no_more());
    assert_eq!(open.click(Position::new(5.0, 5.0), None), Err(EditRefused::AllPlaced(4)));
    open.begin_gesture();
    for y in 0..50 {
        open.move_click(3, Position::new(4.0, 500.0 + f64::from(y))).unwrap();
    }
    open.end_gesture();
    open.undo();
    assert_eq!(open.half_placed().unwrap().points()[3].y, 500.0, "a drag is one step here too");
    open.complete_placing().unwrap();
    let section = open.case().roots[0].sections.last().unwrap();
    assert_eq!((open.case().roots[0].sections.len(), section.points[2].x), (before + 1, 3.0));
    assert_eq!(section.level.as_deref(), Some("middle"));
    open.begin_placing(Placing::Section { root: RootName::Palatal, level: None }).unwrap();
    for x in [1.0, 2.0, 3.0, 4.0] {
        click(&mut open, x, 500.0);
    }
    assert_eq!(open.complete_placing(), Err(EditRefused::NoRoot(RootName::Palatal)));
    assert_eq!(points(&open), Some(4), "it stays to be mended");
}

#[test]
fn what_cannot_be_placed_is_refused() {
    let mut open = unfiled();
    assert_eq!(open.click(Position::new(1.0, 1.0), None), Err(EditRefused::NothingHalfPlaced));
    assert_eq!(open.complete_placing(), Err(EditRefused::NothingHalfPlaced));
    let scan = Scan { dpi: 600.0, magnification: None, magnification_sd: None, extra: Extra::new() };
    let scan = Placing::Reference(Box::new(Reference::Scan(scan)));
    assert_eq!(open.begin_placing(scan), Err(EditRefused::NothingToClick("scan")));
    assert_eq!(open.begin_placing(instrument(Some(f64::NAN))), Err(EditRefused::ReadsBackOtherwise));
    open.begin_placing(instrument(None)).unwrap();
    assert_eq!(open.click(Position::new(f64::NAN, 1.0), None), Err(EditRefused::NoPlace));
    click(&mut open, 1.0, 1.0);
    click(&mut open, 1.0, 300.0);
    let why = open.complete_placing().unwrap_err();
    assert!(why.to_string().contains("give the known size"), "{why}");
    assert_eq!(points(&open), Some(2));
}

#[test]
fn a_cancelled_one_is_dropped_and_an_undo_brings_it_back() {
    let desk = Desk::new();
    let mut open = desk.open();
    open.begin_placing(instrument(Some(21.0))).unwrap();
    click(&mut open, 10.0, 10.0);
    assert!(!open.is_changed() && open.has_unsaved_work());
    open.autosave(second(1)).unwrap();
    assert!(desk.autosave().exists());
    assert_eq!(open.cancel_placing(), [Effect::HalfPlaced]);
    assert_eq!((points(&open), open.has_unsaved_work()), (None, false));
    open.autosave(second(2)).unwrap();
    assert!(!desk.autosave().exists());
    open.undo();
    assert_eq!(points(&open), Some(1));
    // Beginning something else drops it likewise.
    let width = Width {
        points: Vec::new(),
        diameter_mm: Some(1.0),
        tolerance_mm: None,
        diameter_sd_mm: None,
        object: None,
        extra: Extra::new(),
    };
    open.begin_placing(Placing::Reference(Box::new(Reference::Width(width)))).unwrap();
    assert_eq!(
        (points(&open), open.next_undo()),
        (Some(0), Some("drop the half-placed instrument reference"))
    );
}
