//! Another program and the file of the open case.

use super::{Desk, label, sample};
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question, Then};

const CHANGED: Question = Question::ChangedOnDisk { then: None };

fn theirs(desk: &Desk) {
    let mut theirs = sample();
    theirs.label = Some("theirs, and longer".to_owned());
    desk.write("cases/tooth.case.json", &theirs);
}

/// A session whose case differs from what another program wrote meanwhile.
fn contested(desk: &Desk) -> super::Driven {
    let mut driven = desk.with_case();
    driven.take(label("mine"));
    driven.tend();
    theirs(desk);
    driven
}

#[test]
fn it_is_noticed_while_somebody_is_at_work_and_asked_once() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    driven.tend();
    assert_eq!(driven.question(), None, "the disk is not looked at with every frame");
    driven.after(2);
    assert_eq!(driven.question(), Some(&CHANGED));
    driven.answer(Answer::No);
    driven.after(2);
    assert_eq!((driven.question(), driven.label()), (None, Some("mine")));
    // A save asks anew.
    driven.command(Command::Save);
    assert_eq!(driven.question(), Some(&CHANGED));
}

#[test]
fn nobody_is_asked_in_the_middle_of_a_drag() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    driven.take(Action::BeginGesture);
    driven.after(5);
    assert_eq!(driven.question(), None);
    driven.take(Action::EndGesture);
    driven.after(5);
    assert_eq!(driven.question(), Some(&CHANGED));
}

#[test]
fn saved_over() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    driven.command(Command::Quit);
    driven.answer(Answer::Yes);
    assert_eq!(driven.question(), Some(&Question::ChangedOnDisk { then: Some(Then::Quit) }));
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("theirs, and longer"));
    driven.answer(Answer::Yes);
    assert!(driven.session.quits);
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("mine"));
}

#[test]
fn taken_over_and_an_undo_brings_the_own_work_back() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    driven.command(Command::Quit);
    driven.answer(Answer::Yes);
    driven.answer(Answer::TakeOver);
    assert_eq!(driven.label(), Some("theirs, and longer"));
    assert!(!driven.session.quits, "it is looked at before anything else");
    assert!(!driven.work().open.is_changed() && driven.question().is_none());
    driven.command(Command::Undo);
    assert_eq!(driven.label(), Some("mine"));
    driven.command(Command::Save);
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("mine"));
}

#[test]
fn under_another_name() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    driven.command(Command::Close);
    driven.answer(Answer::Yes);
    driven.answer(Answer::OtherName);
    assert!(matches!(driven.question(), Some(Question::SaveName { then: Some(Then::Close), .. })));
    driven.typed(&desk.path("cases/mine.case.json"));
    driven.answer(Answer::Yes);
    assert!(driven.is_empty());
    assert_eq!(desk.label_in("cases/mine.case.json").as_deref(), Some("mine"));
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("theirs, and longer"));
}

#[test]
fn what_cannot_be_taken_over_is_said() {
    let desk = Desk::new();
    let mut driven = contested(&desk);
    std::fs::write(desk.case(), "no case any more").unwrap();
    driven.command(Command::Save);
    driven.answer(Answer::TakeOver);
    assert!(driven.told().unwrap().contains("tooth.case.json"), "{:?}", driven.told());
    assert_eq!((driven.label(), driven.work().open.is_changed()), (Some("mine"), true));
}

#[test]
fn a_file_that_is_gone_is_said_once_and_saved_again() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.tend();
    std::fs::remove_file(desk.case()).unwrap();
    driven.after(2);
    assert!(driven.told().unwrap().contains("gone"));
    driven.take(Action::DismissNotice);
    driven.after(2);
    assert_eq!(driven.told(), None);
    driven.command(Command::Save);
    assert_eq!(desk.label_in("cases/tooth.case.json"), sample().label);
}
