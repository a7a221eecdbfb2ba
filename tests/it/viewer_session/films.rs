//! Opening films and cases.

use super::{Desk, label, sample};
use crestgauge::case::{Landmark, Side};
use crestgauge::caution::CautionKind;
use crestgauge::editor::LandmarkAt;
use crestgauge::geometry::Position;
use crestgauge::viewer::FilmState;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question, Then};
use crestgauge::viewer::remembered::{Setting, ToothNumbers};

#[test]
fn the_first_run_opens_the_sample_and_later_ones_do_not() {
    let desk = Desk::new();
    let mut first = desk.start(None);
    assert!(first.work().is_sample);
    first.until_film();
    assert_eq!((first.film_width(), first.work().open.has_unsaved_work()), (Some(900), false));
    assert!(first.session.remembered.recent.is_empty(), "the sample is no file of the user's");
    assert!(desk.start(None).is_empty());
    // Nor does it where the first thing ever opened was a film.
    let other = Desk::new();
    other.start(Some(&other.film())).until_film();
    assert!(other.start(None).is_empty());
}

#[test]
fn a_film_begins_a_case_of_its_own() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    assert!(driven.session.work.is_none() && driven.session.opening.is_some(), "in another thread");
    driven.until_film();
    let film = &driven.work().open.case().film;
    assert_eq!(
        (film.file.as_deref(), film.width_px, film.height_px),
        (Some("film-102.png"), Some(1000), Some(1300))
    );
    assert_eq!(film.sha256, sample().film.sha256);
    assert_eq!((driven.work().open.file(), driven.work().open.has_unsaved_work()), (None, false));
    assert_eq!(driven.session.remembered.recent, [desk.film()]);
    assert_eq!(driven.work().viewport.film_size(), [1000.0, 1300.0]);
}

#[test]
fn a_case_opens_at_once_and_its_film_follows() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.case()));
    assert!(matches!(driven.work().film, FilmState::Opening));
    assert_eq!(driven.work().open.case(), &sample());
    driven.until_film();
    assert!(driven.work().open.film_cautions().is_empty());
    assert_eq!(driven.session.remembered.recent, [desk.case()]);
}

#[test]
fn what_cannot_be_read_says_why_and_leaves_what_is_open() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    for (name, bytes, why) in [
        ("notes.png", &b"a letter"[..], "text, not a picture"),
        ("nothing.png", b"", "nothing.png"),
        ("cut.png", &std::fs::read(desk.film()).unwrap()[..5000], "cut.png"),
        ("broken.case.json", b"{\"format\": \"crestg", "broken.case.json"),
        ("future.case.json", b"{\"format\": \"crestgauge.case\", \"version\": 99}", "version"),
    ] {
        let file = desk.path(name);
        std::fs::write(&file, bytes).unwrap();
        driven.take(Action::Open(file));
        let told = driven.until_told();
        assert!(told.contains(why) && told.contains(name), "{name}: {told}");
        assert_eq!(
            (driven.work().open.file(), driven.film_width()),
            (Some(&*desk.case()), Some(1000)),
            "{name}"
        );
        driven.take(Action::DismissNotice);
    }
    driven.take(Action::Open(desk.path("nowhere.png")));
    assert!(driven.until_told().contains("nowhere.png"));
    assert_eq!(driven.session.remembered.recent, [desk.case()], "only what could be opened is remembered");
}

#[test]
fn a_film_too_large_is_refused_by_the_bounds() {
    let desk = Desk::new();
    let mut driven = super::Driven::new(crestgauge::viewer::Start {
        file: Some(desk.film()),
        engine: super::ENGINE.clone(),
        state_folder: None,
        bounds: crestgauge::film::Bounds { max_pixels: 1000, ..Default::default() },
    });
    let told = driven.until_told();
    assert!(told.contains("pixels"), "{told}");
    assert!(driven.is_empty());
}

#[test]
fn opening_is_given_up_on_request() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.take(Action::CancelOpening);
    assert!(driven.is_empty());
    driven.tend();
    assert!(driven.is_empty(), "what the other thread made of it is not taken in");
    // Of a case the case stays.
    driven.take(Action::Open(desk.case()));
    driven.take(Action::CancelOpening);
    driven.tend();
    assert_eq!(driven.failed(), Some("opening it was given up"));
    assert_eq!(driven.work().open.case(), &sample());
}

#[test]
fn another_film_given_up_or_unreadable_does_not_cost_the_case_its_own() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    let mut driven = desk.start(Some(&desk.case()));
    driven.take(Action::Open(other));
    driven.take(Action::CancelOpening);
    driven.until_film();
    assert_eq!(driven.film_width(), Some(1000));
    let mut driven = desk.start(Some(&desk.case()));
    driven.take(Action::Open(desk.path("nowhere.png")));
    driven.until_told();
    driven.until_film();
    assert_eq!(driven.film_width(), Some(1000));
}

#[test]
fn a_film_that_is_not_there_is_said_found_and_kept() {
    let desk = Desk::new();
    let moved = desk.path("moved.png");
    std::fs::rename(desk.film(), &moved).unwrap();
    let mut driven = desk.start(Some(&desk.case()));
    driven.until("it failed", |session| {
        session.work.as_ref().is_some_and(|work| matches!(work.film, FilmState::Failed(_)))
    });
    assert!(driven.failed().unwrap().contains("film-102.png"), "{:?}", driven.failed());
    assert!(driven.told().is_none(), "it stands where the film would be");
    let is_missed = |driven: &super::Driven| {
        let numbers = driven.work().numbers.as_ref().as_ref().unwrap();
        numbers.derived.cautions.iter().any(|it| it.id == CautionKind::FilmMissing.id())
    };
    assert!(is_missed(&driven) && !driven.work().open.is_changed());
    driven.take(Action::FindFilm(moved));
    driven.until_film();
    assert_eq!(driven.work().open.case().film.file.as_deref(), Some("../moved.png"));
    assert_eq!(driven.work().open.case().film.sha256, sample().film.sha256);
    assert!(!is_missed(&driven) && driven.work().open.is_changed());
    // An undo names the lost film again, and so it is missed again.
    driven.command(Command::Undo);
    driven.until("it failed", |session| {
        session.work.as_ref().is_some_and(|work| matches!(work.film, FilmState::Failed(_)))
    });
    driven.command(Command::Redo);
    driven.until_film();
    driven.command(Command::Save);
    let mut again = desk.with_case();
    again.tend();
    assert!(!is_missed(&again));
}

#[test]
fn a_film_of_another_shape_is_seen_anew() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    let mut driven = desk.start(None);
    driven.until_film();
    driven.take(Action::FindFilm(other.clone()));
    // The points of the case were placed on another film: that is not passed over.
    driven.until("it is asked", |session| session.question.is_some());
    let Some(Question::OtherFilm { points, why }) = driven.question() else {
        panic!("{:?}", driven.question())
    };
    assert!(*points > 20 && why.contains("SHA-256") && why.contains("40 px"), "{points} {why}");
    driven.answer(Answer::No);
    assert!(!driven.work().open.is_changed() && driven.film_width() == Some(900));
    driven.take(Action::FindFilm(other));
    driven.until("it is asked", |session| session.question.is_some());
    driven.answer(Answer::Yes);
    driven.until("the other", |session| {
        session
            .work
            .as_ref()
            .and_then(|work| work.film.shown())
            .is_some_and(|it| it.film.picture.width() == 40)
    });
    assert_eq!(driven.work().viewport.film_size(), [40.0, 30.0]);
    assert!(!driven.work().is_sample);
    driven.command(Command::Undo);
    driven.until("the first", |session| {
        session
            .work
            .as_ref()
            .and_then(|work| work.film.shown())
            .is_some_and(|it| it.film.picture.width() == 900)
    });
    assert_eq!(driven.work().viewport.film_size(), [900.0, 1200.0]);
    assert!(driven.work().is_sample);
}

#[test]
fn a_film_that_changed_is_cautioned_about() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    std::fs::copy(other, desk.film()).unwrap();
    let driven = desk.with_case();
    let cautions: Vec<_> = driven.work().open.film_cautions().iter().map(|it| it.kind).collect();
    assert!(cautions.contains(&CautionKind::FilmChanged) && cautions.contains(&CautionKind::FilmSizeDiffers));
}

#[test]
fn a_film_arrives_after_the_drag_and_after_the_question() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    let mut driven = desk.with_case();
    driven.take(Action::BeginGesture);
    driven.take(Action::Open(other));
    // Ready, and not taken in.
    let _ = driven.woken.recv_timeout(std::time::Duration::from_mins(1));
    driven.tend();
    assert_eq!(driven.film_width(), Some(1000));
    driven.take(Action::EndGesture);
    driven.command(Command::OpenNamed);
    driven.tend();
    assert_eq!(driven.film_width(), Some(1000));
    driven.answer(Answer::No);
    driven.tend();
    assert_eq!(driven.film_width(), Some(40));
}

#[test]
fn work_done_while_a_film_is_opened_is_asked_about() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    let mut driven = desk.with_case();
    driven.take(Action::Open(other.clone()));
    driven.take(label("meanwhile"));
    driven.until("a question", |session| session.question.is_some());
    assert_eq!(driven.question(), Some(&Question::Unsaved(Then::Open(other.clone()))));
    assert_eq!(driven.label(), Some("meanwhile"));
    driven.answer(Answer::No);
    driven.tend();
    assert_eq!((driven.label(), driven.film_width()), (Some("meanwhile"), Some(1000)));
    driven.take(Action::Open(other));
    driven.answer(Answer::GoOnWithout);
    driven.until("the other", |session| {
        session
            .work
            .as_ref()
            .and_then(|work| work.film.shown())
            .is_some_and(|it| it.film.picture.width() == 40)
    });
    assert!(driven.question().is_none() && !driven.work().open.has_unsaved_work());
}

#[test]
fn opened_by_name() {
    let desk = Desk::new();
    let mut driven = desk.with_nothing();
    driven.command(Command::OpenNamed);
    driven.typed(&desk.path("cases/nothing.png"));
    driven.answer(Answer::Yes);
    let Some(Question::OpenName { why_not: Some(why), .. }) = driven.question() else {
        panic!("still asked")
    };
    assert!(why.contains("nothing.png"), "{why}");
    // While it is asked nothing else begins.
    driven.command(Command::OpenSample);
    driven.take(Action::Open(desk.film()));
    assert!(driven.is_empty() && matches!(driven.question(), Some(Question::OpenName { .. })));
    driven.typed(&desk.case());
    driven.answer(Answer::Yes);
    driven.until_film();
    assert_eq!(driven.work().open.file(), Some(&*desk.case()));
}

#[test]
fn placing_aims_on_and_keeps_the_coordinates_it_is_given() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    let wanted = sample();
    let cej = LandmarkAt { root: None, id: Landmark::Cej.on(Side::Mesial) };
    driven.take(Action::Aim(Some(Target::Landmark(cej))));
    let place = Position::new(1.0 / 3.0, 1_299.999_999_999_9);
    driven.take(Action::Place(place));
    let point = cej.mark(driven.work().open.case()).and_then(|mark| mark.point().cloned()).unwrap();
    assert_eq!((point.x, point.y), (place.x, place.y));
    assert_ne!(driven.work().aim, Some(Target::Landmark(cej)), "on to the next");
    assert_ne!(driven.work().open.case(), &wanted);
}

#[test]
fn what_is_opened_is_newer_than_a_wish_for_the_next_film() {
    let desk = Desk::new();
    let (other, _) = desk.another();
    let folder = desk.path("dropped");
    std::fs::create_dir(&folder).unwrap();
    let dropped = folder.join("dropped.png");
    std::fs::copy(&other, &dropped).unwrap();
    let mut driven = desk.with_case();
    driven.command(Command::NextFilm);
    // Before the folder is looked through another film is dropped.
    driven.take(Action::Open(dropped.clone()));
    driven.until("a film is open", |session| {
        let is_other = session.work.as_ref().is_some_and(|work| work.open.file().is_none());
        session.opening.is_none() && is_other
    });
    for _ in 0..20 {
        driven.tend();
    }
    assert_eq!(driven.work().open.case().film.file.as_deref(), Some("dropped.png"));
    assert!(driven.session.opening.is_none());
}

#[test]
fn what_is_still_open_is_told_in_the_numbers_that_were_chosen() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(Action::Set(Setting::ToothNumbers(ToothNumbers::Universal)));
    driven.take(Action::Open(desk.path("cases/nowhere.case.json")));
    let tooth = driven.work().open.case().tooth.fdi.unwrap();
    let told = driven.until_told();
    assert!(told.contains(&ToothNumbers::Universal.words(tooth)), "{told}");
}
