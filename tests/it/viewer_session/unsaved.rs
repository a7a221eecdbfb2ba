//! Autosaves, and unsaved work found on opening.

use super::{Desk, label};
use crestgauge::viewer::AUTOSAVE_INTERVAL;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use std::path::PathBuf;
use std::time::Duration;

/// What a program that was killed leaves.
fn killed(desk: &Desk) -> PathBuf {
    let mut driven = desk.with_case();
    driven.take(label("lost?"));
    driven.until_put_by();
    drop(driven);
    let file = desk.path("cases/.tooth.case.json.unsaved");
    assert!(file.exists());
    file
}

#[test]
fn unsaved_work_is_put_by_at_once_and_then_every_few_seconds() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    assert_eq!(driven.tend(), None, "nothing to wait for");
    driven.take(label("a"));
    driven.until_put_by();
    let put_by = || std::fs::read_to_string(desk.path("cases/.tooth.case.json.unsaved")).unwrap();
    assert!(put_by().contains("\"a\""));
    driven.take(label("b"));
    let wait = driven.tend().expect("to be called again");
    assert!(wait <= AUTOSAVE_INTERVAL && put_by().contains("\"a\""));
    driven.now += AUTOSAVE_INTERVAL;
    driven.until_put_by();
    assert_eq!(driven.tend(), None);
    assert!(put_by().contains("\"b\""));
    // Taken back, there is nothing to keep.
    driven.command(Command::Undo);
    driven.command(Command::Undo);
    driven.after(60);
    driven.until_put_by();
    assert!(desk.unsaved_files().is_empty());
}

#[test]
fn a_save_removes_what_was_put_by() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("a"));
    driven.tend();
    assert!(driven.work().open.is_autosaving());
    driven.command(Command::Save);
    assert!(desk.unsaved_files().is_empty());
}

#[test]
fn taken_in() {
    let desk = Desk::new();
    let file = killed(&desk);
    let mut driven = desk.with_case();
    assert_eq!((driven.label(), driven.work().open.offers().len()), (super::sample().label.as_deref(), 1));
    driven.take(Action::TakeOffer(file.clone()));
    assert_eq!(driven.label(), Some("lost?"));
    assert!(driven.work().open.is_changed() && driven.work().open.offers().is_empty());
    assert!(
        driven.film_width() == Some(1000) && driven.session.opening.is_none(),
        "it lies on the same film"
    );
    driven.command(Command::Save);
    assert!(!file.exists());
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("lost?"));
}

#[test]
fn left_it_is_offered_again() {
    let desk = Desk::new();
    let file = killed(&desk);
    let mut driven = desk.with_case();
    driven.take(Action::LeaveOffer(file.clone()));
    assert!(driven.work().open.offers().is_empty() && file.exists());
    driven.take(label("other work"));
    driven.after(60);
    driven.until_put_by();
    driven.command(Command::Save);
    driven.command(Command::Close);
    assert!(file.exists());
    assert_eq!(desk.with_case().work().open.offers().len(), 1);
}

#[test]
fn deleted_it_is_gone() {
    let desk = Desk::new();
    let file = killed(&desk);
    let mut driven = desk.with_case();
    driven.take(Action::DeleteOffer(file.clone()));
    assert!(driven.work().open.offers().is_empty() && !file.exists());
    assert_eq!(driven.told(), None);
}

#[test]
fn what_cannot_be_read_of_it_is_said() {
    let desk = Desk::new();
    std::fs::write(killed(&desk), "{\"format\": ").unwrap();
    let driven = desk.with_case();
    let told = driven.told().unwrap();
    assert!(told.contains(".tooth.case.json.unsaved") && told.contains("cannot be read"), "{told}");
}

#[test]
fn work_on_a_film_without_a_case_is_kept_and_offered_by_the_film() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    driven.take(label("begun"));
    driven.until_put_by();
    assert_eq!(desk.unsaved_files().len(), 1);
    drop(driven);
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    let file = driven.work().open.offers()[0].file.clone();
    driven.take(Action::TakeOffer(file));
    assert_eq!(driven.label(), Some("begun"));
}

#[test]
fn work_on_the_sample_is_kept_too() {
    let desk = Desk::new();
    let mut driven = desk.start(None);
    driven.take(label("practice"));
    driven.until_put_by();
    assert_eq!((driven.told(), desk.unsaved_files().len()), (None, 1));
    drop(driven);
    let mut driven = desk.start(None);
    driven.command(Command::OpenSample);
    assert_eq!(driven.work().open.offers().len(), 1);
}

#[test]
fn where_nothing_can_be_put_by_it_is_said_once_and_tried_again() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    // A file stands where the folder is wanted: not even root can write there.
    std::fs::write(desk.state().join("unsaved"), "in the way").unwrap();
    driven.take(label("a"));
    driven.until_told();
    assert_eq!(driven.tend(), Some(AUTOSAVE_INTERVAL));
    assert!(driven.told().unwrap().contains("could not be put by"));
    driven.take(Action::DismissNotice);
    driven.now += Duration::from_secs(1);
    assert!(driven.tend().is_some_and(|wait| wait <= AUTOSAVE_INTERVAL), "no storm of tries");
    driven.after(60);
    driven.until_put_by();
    assert_eq!(driven.told(), None, "it was told");
    std::fs::remove_file(desk.state().join("unsaved")).unwrap();
    driven.after(60);
    driven.until_put_by();
    assert_eq!(desk.unsaved_files().len(), 1);
}

/// After a program was killed the next one says so before anything is opened.
#[test]
fn what_a_killed_program_left_is_listed_before_anything_is_opened() {
    let desk = Desk::new();
    let file = killed(&desk);
    let mut driven = desk.start(None);
    let [waiting] = driven.session.waiting.as_slice() else { panic!("{:?}", driven.session.waiting) };
    assert_eq!((&waiting.file, waiting.opens.as_deref()), (&file, Some(&*desk.case())));
    assert_eq!(waiting.unsaved.case.label.as_deref(), Some("lost?"));
    driven.take(Action::Open(desk.case()));
    driven.until_film();
    assert_eq!(driven.work().open.offers().len(), 1);
    driven.take(Action::TakeOffer(file));
    driven.command(Command::Save);
    driven.command(Command::Close);
    assert!(driven.session.waiting.is_empty(), "it is saved: {:?}", driven.session.waiting);
}

/// One press: it is taken in, and an undo shows the case as it was saved.
#[test]
fn whoever_goes_on_with_it_has_it_taken_in() {
    let desk = Desk::new();
    let unsaved = killed(&desk);
    let mut driven = desk.start(None);
    driven.take(Action::GoOn { opens: desk.case(), unsaved });
    assert_eq!((driven.label(), driven.work().open.offers().len()), (Some("lost?"), 0));
    assert!(driven.work().open.is_changed());
    driven.command(Command::Undo);
    assert_eq!(driven.label(), super::sample().label.as_deref());
}

/// Where the case was saved by somebody else since, that is said first.
#[test]
fn work_on_a_case_that_changed_since_is_only_offered() {
    let desk = Desk::new();
    let unsaved = killed(&desk);
    let mut later = super::sample();
    later.label = Some("later".to_owned());
    desk.write("cases/tooth.case.json", &later);
    let mut driven = desk.start(None);
    driven.take(Action::GoOn { opens: desk.case(), unsaved });
    assert_eq!((driven.label(), driven.work().open.offers().len()), (Some("later"), 1));
}

/// Whoever asked to go on with one thing and then opens another gets that as it was saved.
#[test]
fn going_on_that_came_to_nothing_is_forgotten() {
    let desk = Desk::new();
    let unsaved = killed(&desk);
    let mut driven = desk.start(None);
    driven.take(Action::GoOn { opens: desk.path("cases/gone.case.json"), unsaved });
    assert!(driven.told().is_some());
    driven.take(Action::Open(desk.case()));
    assert_eq!((driven.label(), driven.work().open.offers().len()), (super::sample().label.as_deref(), 1));
}

/// Of a film that has no case yet the work stands in the state folder.
#[test]
fn work_on_a_film_without_a_case_is_listed_with_its_film() {
    let desk = Desk::new();
    let (film, _) = desk.another();
    let mut driven = desk.start(Some(&film));
    driven.until_film();
    driven.take(label("begun"));
    driven.until_put_by();
    drop(driven);
    let mut driven = desk.start(None);
    let [waiting] = driven.session.waiting.as_slice() else { panic!("{:?}", driven.session.waiting) };
    assert_eq!(waiting.opens.as_deref(), Some(&*film));
    assert_eq!(waiting.unsaved.case.label.as_deref(), Some("begun"));
    let unsaved = waiting.file.clone();
    driven.take(Action::GoOn { opens: film, unsaved });
    driven.until_film();
    assert_eq!((driven.label(), driven.work().open.offers().len()), (Some("begun"), 0));
}
