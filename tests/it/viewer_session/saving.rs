//! Names to save under, and what is there already.

use super::{Desk, label, sample};
use crestgauge::case::{Fdi, Landmark, RootName, Side, Sight, Stage, read};
use crestgauge::editor::{Edit, LandmarkAt};
use crestgauge::geometry::Position;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question};
use crestgauge::viewer::session::{Choosing, NoticeKind};
use std::path::Path;

fn proposed(driven: &super::Driven) -> &Path {
    match driven.question() {
        Some(Question::SaveName { name, .. }) => Path::new(name),
        other => panic!("no name is asked for: {other:?}"),
    }
}

#[test]
fn a_new_case_is_proposed_beside_its_film_with_its_tooth() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    driven.command(Command::Save);
    assert_eq!(proposed(&driven), desk.path("cases/film-102.case.json"));
    driven.answer(Answer::No);
    driven.take(Action::Edit(Edit::Fdi(Some(Fdi::parse("21").unwrap()))));
    driven.command(Command::Save);
    assert_eq!(proposed(&driven), desk.path("cases/film-102-21.case.json"));
    driven.answer(Answer::Yes);
    assert_eq!(driven.work().open.file(), Some(&*desk.path("cases/film-102-21.case.json")));
    assert!(!driven.work().open.has_unsaved_work());
    assert_eq!(driven.session.remembered.recent[0], desk.path("cases/film-102-21.case.json"));
    let notice = driven.session.notices.front().unwrap();
    assert_eq!((notice.kind, notice.text.as_str()), (NoticeKind::Done, "saved as film-102-21.case.json"));
    // The next save asks nothing, and "as" proposes the name it has.
    driven.take(label("a"));
    driven.command(Command::Save);
    assert!(driven.question().is_none() && !driven.work().open.is_changed());
    driven.command(Command::SaveAs);
    assert_eq!(proposed(&driven), desk.path("cases/film-102-21.case.json"));
}

/// What lies there is another case, such as the one that a recovered repeat began from.
#[test]
fn no_name_is_proposed_that_another_case_has() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    std::fs::write(desk.path("cases/film-102.case.json"), "another's").unwrap();
    driven.command(Command::Save);
    assert_eq!(proposed(&driven), desk.path("cases/film-102-2.case.json"));
    driven.answer(Answer::Yes);
    assert_eq!(std::fs::read_to_string(desk.path("cases/film-102.case.json")).unwrap(), "another's");
}

#[test]
fn a_name_without_ending_gets_it() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    for (typed, becomes) in [
        ("a", "a.case.json"),
        ("b.case", "b.case.case.json"),
        ("c.JSON", "c.JSON"),
        ("d.case.json", "d.case.json"),
    ] {
        driven.command(Command::SaveAs);
        driven.typed(&desk.path(typed));
        driven.answer(Answer::Yes);
        assert_eq!(driven.work().open.file(), Some(&*desk.path(becomes)));
        assert!(read(&desk.path(becomes)).is_ok());
    }
    driven.command(Command::SaveAs);
    driven.answer(Answer::Typed("  ".to_owned()));
    driven.answer(Answer::Yes);
    assert!(matches!(driven.question(), Some(Question::SaveName { why_not: Some(_), .. })));
}

#[test]
fn the_film_is_found_from_another_folder_and_is_not_opened_anew() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.command(Command::SaveAs);
    driven.typed(&desk.path("copy.case.json"));
    driven.answer(Answer::Yes);
    assert_eq!(driven.work().open.case().film.file.as_deref(), Some("cases/film-102.png"));
    assert!(driven.session.opening.is_none() && driven.film_width() == Some(1000));
}

#[test]
fn replacing_a_file_needs_a_second_yes() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let before = std::fs::read(&other).unwrap();
    let mut driven = desk.with_case();
    driven.take(label("mine"));
    for way in 0..2 {
        // Typed, or by a dialog of the system, which has asked by itself.
        if way == 0 {
            driven.command(Command::SaveAs);
            driven.typed(&other);
            driven.answer(Answer::Yes);
        } else {
            driven.take(Action::SaveAs(other.clone()));
        }
        let Some(Question::SaveName { exists: Some(exists), .. }) = driven.question() else {
            panic!("asked")
        };
        assert_eq!(exists, &other);
        assert_eq!(std::fs::read(&other).unwrap(), before);
        driven.answer(Answer::No);
        assert_eq!(
            (std::fs::read(&other).unwrap(), driven.work().open.file()),
            (before.clone(), Some(&*desk.case()))
        );
    }
    // Another name typed meanwhile takes the yes back.
    driven.take(Action::SaveAs(other.clone()));
    driven.typed(&desk.path("cases/third.case.json"));
    driven.typed(&other);
    driven.answer(Answer::Yes);
    assert!(matches!(driven.question(), Some(Question::SaveName { exists: Some(_), .. })));
    assert_eq!(std::fs::read(&other).unwrap(), before);
    driven.answer(Answer::Yes);
    assert_eq!(desk.label_in("cases/other.case.json").as_deref(), Some("mine"));
    assert!(driven.question().is_none());
}

#[test]
fn the_own_name_typed_is_a_plain_save() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("mine"));
    driven.command(Command::SaveAs);
    driven.answer(Answer::Yes);
    assert!(driven.question().is_none() && !driven.work().open.is_changed());
    // Which notices what another program did.
    driven.take(label("mine again"));
    let mut theirs = sample();
    theirs.label = Some("theirs".to_owned());
    desk.write("cases/tooth.case.json", &theirs);
    driven.command(Command::SaveAs);
    driven.answer(Answer::Yes);
    assert_eq!(driven.question(), Some(&Question::ChangedOnDisk { then: None }));
    assert_eq!(desk.label_in("cases/tooth.case.json").as_deref(), Some("theirs"));
}

#[test]
fn a_dialog_of_the_system_answers_what_was_asked() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.film()));
    driven.until_film();
    driven.take(label("chosen"));
    driven.command(Command::Quit);
    driven.answer(Answer::Yes);
    driven.answer(Answer::Choose);
    assert_eq!(driven.session.choosing, Some(Choosing::Save));
    assert!(
        matches!(driven.question(), Some(Question::SaveName { .. })),
        "it stays, should nothing be chosen"
    );
    let of = driven.session.work.as_ref().map(|work| work.opened);
    driven.session.chosen(Choosing::Save, of, desk.path("chosen"));
    assert!(driven.session.quits, "what was to come after it comes");
    assert_eq!(desk.label_in("chosen.case.json").as_deref(), Some("chosen"));
}

#[test]
fn what_a_dialog_of_the_system_answers_counts_for_the_case_it_was_asked_for() {
    let desk = Desk::new();
    let (_, other_case) = desk.another();
    let mut driven = desk.with_case();
    let first = driven.session.work.as_ref().map(|work| work.opened);
    driven.take(label("changed"));
    driven.command(Command::SaveAs);
    driven.answer(Answer::Choose);
    driven.answer(Answer::No);
    // The dialog is still open, and answered after the question was called off.
    driven.session.chosen(Choosing::Save, first, desk.path("late.case.json"));
    assert!(!desk.path("late.case.json").exists() && driven.work().open.is_changed());
    assert!(driven.told().unwrap().contains("late.case.json"));
    // Meanwhile another case was opened: neither its film nor its file is meant.
    driven.command(Command::Undo);
    driven.take(Action::Open(other_case));
    driven.until_film();
    driven.session.chosen(Choosing::Film, first, desk.film());
    driven.command(Command::SaveAs);
    driven.session.chosen(Choosing::Save, first, desk.path("late.case.json"));
    driven.tend();
    assert!(driven.session.opening.is_none() && driven.film_width() == Some(40));
    assert!(!desk.path("late.case.json").exists() && !driven.work().open.is_changed());
    // A file to open is meant whatever is open.
    driven.answer(Answer::No);
    driven.session.chosen(Choosing::Open, first, desk.case());
    driven.until_film();
    assert_eq!(driven.film_width(), Some(1000));
}

#[test]
fn the_sample_is_saved_as_a_copy_with_its_film() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("copies")).unwrap();
    let mut driven = desk.start(None);
    driven.until_film();
    driven.take(label("my copy"));
    driven.command(Command::Save);
    assert!(proposed(&driven).is_absolute() && proposed(&driven).ends_with("short-wall-21-21.case.json"));
    driven.typed(&desk.path("copies/mine"));
    driven.answer(Answer::Yes);
    let film = std::fs::read(desk.path("copies/short-wall-21.png")).unwrap();
    assert_eq!(film, crestgauge::case::SAMPLE_FILM);
    assert_eq!(driven.work().open.case().film.file.as_deref(), Some("short-wall-21.png"));
    assert!(driven.work().is_sample, "a copy of the sample is no patient either");
    let mut again = desk.start(Some(&desk.path("copies/mine.case.json")));
    again.until_film();
    assert!(again.work().is_sample && again.work().open.film_cautions().is_empty());
    assert_eq!(again.label(), Some("my copy"));
}

#[test]
fn what_was_done_is_told_for_a_while() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(label("a"));
    driven.command(Command::Save);
    driven.take(label("b"));
    driven.command(Command::Save);
    assert_eq!(driven.session.notices.len(), 1, "old news goes");
    let wait = driven.tend().expect("to be called again");
    driven.now += wait.saturating_sub(std::time::Duration::from_millis(1));
    driven.tend();
    assert_eq!(driven.session.notices.len(), 1);
    driven.now += std::time::Duration::from_millis(1);
    assert_eq!(driven.tend(), None);
    assert!(driven.session.notices.is_empty());
    // A problem stays, and is told once.
    driven.session.problem("no".to_owned());
    driven.session.problem("no".to_owned());
    driven.after(1_000);
    assert_eq!(driven.session.notices.len(), 1);
}

#[test]
fn what_was_done_with_a_case_is_no_longer_told_once_another_is_open() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let mut driven = desk.with_case();
    driven.take(label("a"));
    driven.command(Command::Save);
    assert!(driven.session.notices.iter().any(|notice| notice.kind == NoticeKind::Done));
    driven.take(Action::Open(other.clone()));
    assert_eq!(driven.work().open.file(), Some(&*other));
    assert!(driven.session.notices.is_empty(), "{:?}", driven.session.notices);
}

/// What is planned is a decision: only one that was asked for is aimed at, and the next is not.
#[test]
fn placing_what_is_planned_aims_at_no_other_that_is_planned() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(Action::Edit(Edit::Stage(Some(Stage::Filled))));
    let tip = LandmarkAt { root: Some(RootName::Single), id: Landmark::PostTip.id() };
    let head = LandmarkAt { id: Landmark::PostHead.id(), ..tip };
    for at in [tip, head] {
        driven.take(Action::Edit(Edit::Mark { at, mark: None }));
    }
    driven.take(Action::Aim(Some(Target::Landmark(head))));
    driven.take(Action::Place(Position::new(300.0, 400.0)));
    assert!(head.mark(driven.work().open.case()).is_some());
    let aim = driven.work().aim;
    let plans = matches!(aim, Some(Target::Landmark(at)) if at.id.landmark().sight(Some(Stage::Filled)) == Sight::ToPlan);
    assert!(!plans, "{aim:?}");
}

/// Forwards leads to what is to be placed and passes over the rest; backwards retraces that.
#[test]
fn going_back_retraces_the_steps_forwards() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    let wanted = [
        LandmarkAt { root: None, id: Landmark::WallTop.on(Side::Mesial) },
        LandmarkAt { root: None, id: Landmark::Crest.on(Side::Distal) },
        LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() },
    ];
    for at in wanted {
        driven.take(Action::Edit(Edit::Mark { at, mark: None }));
    }
    driven.take(Action::Aim(Some(Target::Landmark(wanted[0]))));
    for (command, at) in [
        (Command::Next, wanted[1]),
        (Command::Next, wanted[2]),
        (Command::Previous, wanted[1]),
        (Command::Previous, wanted[0]),
    ] {
        driven.command(command);
        assert_eq!(driven.work().aim, Some(Target::Landmark(at)));
    }
}
