//! Closing, quitting and opening something else: work that is not saved is asked about first.

use super::{Desk, label};
use crestgauge::calibration::{Extra, Reference, Sphere};
use crestgauge::editor::Placing;
use crestgauge::geometry::Position;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question, Then};

#[test]
fn without_unsaved_work_nothing_is_asked() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.command(Command::Close);
    assert!(driven.is_empty() && driven.question().is_none() && !driven.session.quits);
    driven.take(Action::Open(desk.case()));
    driven.command(Command::Quit);
    assert!(driven.is_empty() && driven.session.quits);
}

#[test]
fn unsaved_work_is_asked_about_before_every_way_of_leaving() {
    let desk = Desk::new();
    let (film, case) = desk.another();
    let ways = [
        (Action::Command(Command::Close), Then::Close),
        (Action::Command(Command::Quit), Then::Quit),
        (Action::Command(Command::OpenSample), Then::OpenSample),
        (Action::Open(film.clone()), Then::Open(film)),
        (Action::Open(case.clone()), Then::Open(case)),
    ];
    let mut driven = desk.with_case();
    driven.take(label("work"));
    for (way, then) in ways {
        driven.take(way);
        assert_eq!(driven.question(), Some(&Question::Unsaved(then)));
        driven.answer(Answer::No);
        assert_eq!((driven.question(), driven.label(), driven.session.quits), (None, Some("work"), false));
    }
}

#[test]
fn saved_first_where_that_is_wanted() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("kept"));
    driven.command(Command::Quit);
    driven.answer(Answer::Yes);
    assert!(driven.session.quits && driven.is_empty());
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("kept"));
    assert!(desk.unsaved_files().is_empty());
}

#[test]
fn given_up_at_the_users_word() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("not wanted"));
    driven.until_put_by();
    assert_eq!(desk.unsaved_files().len(), 1);
    driven.command(Command::Close);
    driven.answer(Answer::GoOnWithout);
    assert!(driven.is_empty());
    assert!(desk.unsaved_files().is_empty(), "what was given up is not offered again");
    assert_eq!(desk.label_in("cases/tooth.case.json"), super::sample().label);
}

#[test]
fn a_save_that_fails_leaves_nothing_behind_it_undone() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    driven.take(label("no place for it"));
    driven.command(Command::Quit);
    driven.answer(Answer::Yes);
    driven.typed(&desk.path("no such folder/a.case.json"));
    driven.answer(Answer::Yes);
    let Some(Question::SaveName { why_not: Some(why), then, .. }) = driven.question() else {
        panic!("asked again")
    };
    assert!(why.contains("there is no folder"), "{why}");
    assert_eq!(then, &Some(Then::Quit));
    assert!(!driven.session.quits && driven.label() == Some("no place for it"));
    driven.typed(&desk.path("a.case.json"));
    driven.answer(Answer::Yes);
    assert!(driven.session.quits);
    assert_eq!(desk.label_in("a.case.json").as_deref(), Some("no place for it"));
}

#[test]
fn what_is_half_placed_is_asked_about_too() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    let ball = Sphere {
        points: Vec::new(),
        diameter_mm: Some(5.0),
        tolerance_mm: None,
        diameter_sd_mm: None,
        object: None,
        extra: Extra::new(),
    };
    let what = Placing::Reference(Box::new(Reference::Sphere(ball)));
    driven.take(Action::BeginPlacing { what, whole_at: None });
    driven.take(Action::Place(Position::new(10.0, 20.0)));
    driven.command(Command::Close);
    assert_eq!(driven.question(), Some(&Question::Unsaved(Then::Close)));
}

#[test]
fn the_same_case_opened_again_does_not_offer_what_was_just_given_up() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("given up"));
    driven.after(60);
    driven.take(Action::Open(desk.case()));
    driven.answer(Answer::GoOnWithout);
    assert!(driven.work().open.offers().is_empty());
    assert_eq!(driven.label(), super::sample().label.as_deref());
    assert!(desk.unsaved_files().is_empty());
}

#[test]
fn a_window_closed_while_something_is_asked_asks_anew() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("work"));
    driven.command(Command::SaveAs);
    driven.command(Command::Quit);
    assert_eq!(driven.question(), Some(&Question::Unsaved(Then::Quit)));
    driven.answer(Answer::GoOnWithout);
    assert!(driven.session.quits);
    // With nothing to lose it just ends.
    let mut driven = desk.with_case();
    driven.command(Command::OpenNamed);
    driven.command(Command::Quit);
    assert!(driven.session.quits && driven.question().is_none());
}
