//! The numbers beside the case: always those of the case as it stands.

use super::{Desk, Driven, ENGINE, label};
use crate::support::{case, data};
use crestgauge::case::{Case, Landmark, Side};
use crestgauge::editor::{LandmarkAt, PointAt};
use crestgauge::geometry::Position;
use crestgauge::measure::{Draws, measure};
use crestgauge::viewer::action::{Action, Handle};
use crestgauge::viewer::command::Command;
use std::time::Duration;

/// A case with an interval that its first order says too little of.
fn doubtful() -> Case {
    let cases = std::fs::read_dir(data("check-cases")).unwrap();
    let mut files: Vec<_> = cases.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
        .iter()
        .filter(|file| file.to_str().unwrap().ends_with(".case.json"))
        .map(|file| case(&std::fs::read_to_string(file).unwrap()))
        .find(|case| {
            let numbers = ENGINE.numbers(case, &[]);
            numbers.is_ok_and(|it| it.derived.measurements.iter().any(|row| row.first_order_doubtful))
        })
        .expect("some check case has one")
}

fn with_doubts(desk: &Desk) -> Driven {
    let mut case = doubtful();
    case.film.file = None;
    desk.write("cases/doubtful.case.json", &case);
    desk.start(Some(&desk.path("cases/doubtful.case.json")))
}

#[test]
fn they_follow_every_change() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    let point = PointAt::Landmark(LandmarkAt { root: None, id: Landmark::FinishLine.on(Side::Mesial) });
    for step in 0..20 {
        let to = Position::new(300.0 + f64::from(step), 500.0 + f64::from(step) / 3.0);
        driven.take(Action::Move { point: Handle::Case(point), to });
        let fresh = ENGINE.numbers(driven.work().open.case(), driven.work().open.film_cautions()).unwrap();
        assert_eq!(driven.work().numbers.as_ref().as_ref().unwrap(), &fresh);
    }
    for command in [Command::Undo, Command::Undo, Command::Redo] {
        driven.command(command);
        let fresh = ENGINE.numbers(driven.work().open.case(), &[]).unwrap();
        assert_eq!(driven.work().numbers.as_ref().as_ref().unwrap(), &fresh);
    }
}

#[test]
fn doubtful_intervals_are_drawn_once_the_case_stands_still() {
    let desk = Desk::new();
    let mut driven = with_doubts(&desk);
    let wait = driven.tend().expect("to be called again");
    assert!(driven.work().drawn.is_none());
    driven.now += wait;
    driven.until("drawn", |session| session.work.as_ref().is_some_and(|work| work.drawn.is_some()));
    let (revision, drawn) = driven.work().drawn.clone().unwrap();
    assert_eq!(revision, driven.work().open.revision());
    let (count, seed) = (drawn.derived.computed.draws, drawn.derived.computed.seed);
    let expected = ENGINE.drawn_numbers(driven.work().open.case(), Draws { count, seed }, &[]).unwrap();
    assert_eq!(*drawn, expected);
    assert!(count >= 10_000);
    // Those that are shown, and no others: each as it is where every row is drawn, and the rest by first order.
    let all = measure(driven.work().open.case(), &ENGINE.library, Draws { count, seed }).unwrap();
    let mut doubtful = 0;
    for (row, with_all) in drawn.measured.measurements.iter().zip(&all.measurements) {
        doubtful += usize::from(row.first_order_is_doubtful());
        let expected = if row.first_order_is_doubtful() { with_all.drawn } else { None };
        assert_eq!((&row.of, row.drawn), (&with_all.of, expected));
    }
    assert!((1..drawn.measured.measurements.len()).contains(&doubtful), "some are doubtful: {doubtful}");
    // Once is enough, and a change makes them old.
    assert_eq!(driven.after(60), None);
    driven.take(label("changed"));
    assert!(driven.work().drawn.is_none());
}

#[test]
fn nothing_is_drawn_while_it_moves() {
    let desk = Desk::new();
    let mut driven = with_doubts(&desk);
    for step in 0..10 {
        driven.take(label(&step.to_string()));
        driven.now += Duration::from_millis(100);
        driven.tend();
        assert!(driven.work().drawn.is_none());
    }
    driven.take(Action::BeginGesture);
    driven.after(10);
    driven.after(10);
    assert!(driven.work().drawn.is_none());
    driven.take(Action::EndGesture);
    driven.until("drawn", |session| session.work.as_ref().is_some_and(|work| work.drawn.is_some()));
}

#[test]
fn no_tone_changes_a_number_a_coordinate_or_the_film() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.until_film();
    let grey = |driven: &Driven| driven.work().film.shown().unwrap().film.picture.digest();
    let (case, numbers) = (driven.work().open.case().clone(), driven.work().numbers.clone());
    let (bytes, digest) = (std::fs::read(desk.film()).unwrap(), grey(&driven));
    let plain = driven.work().tone;
    for command in [Command::LocalContrast, Command::Sharpen, Command::Compare, Command::Invert] {
        driven.command(command);
    }
    let tone = driven.work().tone;
    assert!(tone.local_contrast.is_on && tone.sharpening.is_on && driven.work().compares);
    assert_eq!(driven.work().open.case(), &case);
    assert_eq!(driven.work().numbers, numbers);
    assert!(!driven.work().open.is_changed());
    assert_eq!((std::fs::read(desk.film()).unwrap(), grey(&driven)), (bytes, digest));
    driven.command(Command::ResetTone);
    driven.command(Command::Compare);
    assert_eq!(driven.work().tone, plain);
    assert!(!driven.work().compares);
}
