//! What is held by the pointer while something else happens: saving, an undo, a question, another case.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Landmark, RootName};
use crestgauge::editor::{LandmarkAt, PointAt};
use crestgauge::geometry::{Displacement, Position, Stored};
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::Answer;
use eframe::egui::{Event, Key, Modifiers, Vec2, vec2};

fn apex() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() }
}

impl Window {
    /// Presses the film at a place and holds it.
    fn hold(&mut self, place: Position<Stored>) -> eframe::egui::Pos2 {
        let at = self.seen(place);
        self.harness.event(Event::PointerMoved(at));
        self.button(at, true, Modifiers::NONE);
        self.settle();
        at
    }

    /// Moves the pointer while it holds something.
    fn carry(&mut self, from: eframe::egui::Pos2, by: Vec2) {
        self.harness.event(Event::PointerMoved(from + by));
        self.settle();
    }

    fn apex(&self) -> Option<Position<Stored>> {
        PointAt::Landmark(apex()).position(self.work().open.case())
    }
}

/// The sample in a file of its own, without its apex, which is aimed at.
fn aiming(desk: &Desk) -> Window {
    let mut case = sample();
    (case.film.file, case.film.sha256) = (None, None);
    case.roots[0].landmarks.marks.remove(&apex().id);
    let file = desk.write("tooth.case.json", &case);
    let mut window = desk.window(Some(&file));
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window
}

const PLACE: Position<Stored> = Position::new(300.0, 850.0);

#[test]
fn saving_while_a_click_is_held_cancels_nothing() {
    let desk = Desk::new();
    let mut window = aiming(&desk);
    let at = window.hold(PLACE);
    let next = window.work().aim;
    assert!(window.apex().is_some() && next != Some(Target::Landmark(apex())));
    window.press(Modifiers::COMMAND, Key::S);
    assert!(!window.work().open.has_unsaved_work());
    assert_eq!(window.work().aim, next, "what was placed is not placed again");
    let before = window.apex().unwrap();
    window.carry(at, vec2(20.0, 10.0));
    let zoom = window.work().viewport.zoom();
    let way = window.apex().unwrap().way_from(before);
    assert!((way.x - 20.0 / zoom).abs() < 0.1 && (way.y - 10.0 / zoom).abs() < 0.1, "{way:?}");
    window.button(at + vec2(20.0, 10.0), false, Modifiers::NONE);
    window.settle();
    assert!(!window.work().open.in_gesture());
    window.press(Modifiers::COMMAND, Key::Z);
    assert_eq!(window.apex(), Some(before), "the way after saving is a step of its own");
}

#[test]
fn an_undo_while_a_click_is_held_takes_the_point_back_and_aims_at_it_again() {
    let desk = Desk::new();
    let mut window = aiming(&desk);
    let at = window.hold(PLACE);
    window.press(Modifiers::COMMAND, Key::Z);
    assert_eq!((window.apex(), window.work().aim), (None, Some(Target::Landmark(apex()))));
    window.carry(at, vec2(20.0, 10.0));
    window.button(at + vec2(20.0, 10.0), false, Modifiers::NONE);
    window.settle();
    assert_eq!(window.apex(), None);
    assert!(window.session().notices.is_empty(), "{:?}", window.session().notices);
}

#[test]
fn escape_while_a_click_is_held_takes_the_point_back() {
    let desk = Desk::new();
    let mut window = aiming(&desk);
    window.hold(PLACE);
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!((window.apex(), window.work().aim), (None, Some(Target::Landmark(apex()))));
}

#[test]
fn a_point_is_not_carried_on_while_something_is_asked() {
    let desk = Desk::new();
    let mut window = aiming(&desk);
    let at = window.hold(PLACE);
    window.press(Modifiers::COMMAND, Key::W);
    assert!(window.session().question.is_some());
    let before = window.apex();
    assert!(before.is_some());
    window.carry(at, vec2(40.0, 40.0));
    assert_eq!(window.apex(), before);
    window.take(Action::Answer(Answer::No));
    window.carry(at, vec2(50.0, 50.0));
    assert_eq!(window.apex(), before, "what was let go is not taken up again");
}

#[test]
fn what_is_held_of_one_case_moves_nothing_of_the_next() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    let place = window.apex().unwrap();
    let at = window.hold(place);
    window.carry(at, vec2(10.0, 0.0));
    assert_ne!(window.apex(), Some(place));
    let other = desk.write("other.case.json", &{
        let mut case = sample();
        (case.film.file, case.film.sha256) = (None, None);
        case
    });
    window.press(Modifiers::COMMAND, Key::Z);
    assert!(!window.work().open.has_unsaved_work() && window.apex() == Some(place));
    window.take(Action::Open(other.clone()));
    assert_eq!(window.session().question, None);
    assert_eq!(window.work().open.file(), Some(other.as_path()));
    window.carry(at, vec2(30.0, 30.0));
    assert_eq!(window.apex(), Some(place));
    assert!(!window.work().open.has_unsaved_work());
}

#[test]
fn shift_slows_a_drag_as_alt_does() {
    let desk = Desk::new();
    for held in [Modifiers::SHIFT, Modifiers::ALT] {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.take(Action::Command(Command::FullSize));
        let place = window.apex().unwrap();
        window.take(Action::Look(crestgauge::viewer::action::Look::Centre(place)));
        let at = window.hold(place);
        window.harness.event(Event::ModifiersChanged(held));
        window.carry(at, vec2(40.0, -20.0));
        let way = window.apex().unwrap().way_from(place);
        let expected: Displacement<Stored> = Displacement::new(4.0, -2.0);
        assert!((way.x - expected.x).abs() < 0.01 && (way.y - expected.y).abs() < 0.01, "{held:?}: {way:?}");
        window.harness.event(Event::ModifiersChanged(Modifiers::NONE));
        window.button(at + vec2(40.0, -20.0), false, Modifiers::NONE);
    }
}
