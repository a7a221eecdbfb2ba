//! Reports of the open case: made and written by other threads, for the case as it stands.

use super::{Desk, label, second};
use crestgauge::report::{Audience, Day, Mark, Paper};
use crestgauge::viewer::FilmState;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question};
use crestgauge::viewer::remembered::Setting;
use crestgauge::viewer::reporting::Shows;
use crestgauge::viewer::session::Choosing;
use std::path::Path;

fn texts(driven: &super::Driven) -> Vec<String> {
    let made = driven.session.reporting.made().unwrap().as_ref().unwrap();
    let blocks = made.pages.iter().flat_map(|page| &page.blocks);
    let marks = blocks.flat_map(|block| &block.marks);
    marks
        .filter_map(|mark| match mark {
            Mark::Text(text) => Some(text.words.clone()),
            Mark::Path(_) | Mark::Picture(_) => None,
        })
        .collect()
}

fn until_made(driven: &mut super::Driven) {
    driven.until("pages are made", |session| {
        session.reporting.made().is_some() && !session.reporting.is_making()
    });
}

fn says(driven: &super::Driven, words: &str) -> bool {
    texts(driven).iter().any(|text| text.contains(words))
}

#[test]
fn the_last_pages_stay_until_new_ones_are_ready() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    assert!(driven.session.reporting.made().is_none(), "nothing is made that nobody sees");
    driven.command(Command::Report);
    until_made(&mut driven);
    driven.take(label("changed"));
    driven.tend();
    assert!(driven.session.reporting.is_making() && !says(&driven, "changed"));
    until_made(&mut driven);
    assert!(says(&driven, "changed"));
    driven.command(Command::Report);
    driven.take(label("changed again"));
    driven.tend();
    assert!(!driven.session.reporting.is_making(), "nor for whoever left them");
}

#[test]
fn without_a_day_chosen_it_is_today() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    // 2024-02-29 11:00 UTC, by `date -u -d @1709204400` of GNU coreutils: that day in every time zone but the easternmost.
    driven.now = second(1_709_204_400);
    driven.command(Command::Report);
    until_made(&mut driven);
    assert!(says(&driven, "2024-02-29"));
    driven.take(Action::ReportDay(Day::parse("2026-11-24").ok()));
    until_made(&mut driven);
    assert!(says(&driven, "2026-11-24"));
}

#[test]
fn another_case_begins_without_pages() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let mut driven = desk.with_case();
    driven.command(Command::Report);
    until_made(&mut driven);
    driven.take(Action::Page(2));
    driven.take(Action::Open(other));
    assert_eq!((driven.session.reporting.shows, driven.session.reporting.page), (None, 0));
    driven.command(Command::Picture);
    assert_eq!(driven.session.reporting.shows, Some(Shows::Picture));
}

#[test]
fn a_film_of_another_size_is_left_out_and_that_is_said() {
    let desk = Desk::new();
    let mut case = super::sample();
    (case.film.width_px, case.film.height_px, case.film.sha256) = (Some(500), Some(650), None);
    desk.write("cases/tooth.case.json", &case);
    let mut driven = desk.with_case();
    driven.command(Command::WriteReport);
    driven.typed(&desk.path("report.svg"));
    driven.answer(Answer::Yes);
    driven.until("it is written", |session| session.reporting.writes().is_none());
    let told: Vec<&str> = driven.session.notices.iter().map(|notice| notice.text.as_str()).collect();
    assert!(
        told.iter().any(|text| text.contains("another size than the one the case was placed on")),
        "{told:?}"
    );
    let text = std::fs::read_to_string(desk.path("report.svg")).unwrap();
    assert!(!text.contains("<image"), "points would lie beside what they mark");
}

#[test]
fn no_report_is_written_while_the_film_is_being_opened() {
    let desk = Desk::new();
    let mut driven = desk.start(Some(&desk.case()));
    assert!(matches!(driven.work().film, FilmState::Opening), "nobody tended yet");
    driven.command(Command::WriteReport);
    driven.typed(&desk.path("report.pdf"));
    driven.answer(Answer::Yes);
    assert!(matches!(driven.question(), Some(Question::ReportName { why_not: Some(_), .. })));
    assert!(!desk.path("report.pdf").exists());
}

#[test]
fn a_name_without_an_ending_is_pages_and_one_from_a_dialog_is_written_at_once() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    driven.take(Action::Set(Setting::Audience(Audience::Patient)));
    driven.take(Action::Set(Setting::Paper(Paper::Letter)));
    driven.command(Command::WriteReport);
    let Some(Question::ReportName { name, .. }) = driven.question() else { panic!("no name is asked for") };
    assert_eq!(Path::new(name), desk.path("cases/tooth-patient.pdf"));
    driven.typed(&desk.path("bare"));
    driven.answer(Answer::Yes);
    driven.until("it is written", |session| session.reporting.writes().is_none());
    assert!(std::fs::read(desk.path("bare.pdf")).unwrap().starts_with(b"%PDF"));
    driven.command(Command::WriteReport);
    driven.answer(Answer::Choose);
    assert_eq!(driven.session.choosing.take(), Some(Choosing::Report));
    let opened = Some(driven.work().opened);
    driven.session.chosen(Choosing::Report, opened, desk.path("chosen.png"));
    driven.until("it is written", |session| session.reporting.writes().is_none());
    assert!(std::fs::read(desk.path("chosen.png")).unwrap().starts_with(b"\x89PNG"));
}

/// Has a report written and quits at once.
fn quits_while_writing(desk: &Desk, name: &str) -> super::Driven {
    let mut driven = desk.with_case();
    driven.command(Command::WriteReport);
    driven.typed(&desk.path(name));
    driven.answer(Answer::Yes);
    assert!(driven.session.reporting.writes().is_some());
    driven.command(Command::Quit);
    assert!(!driven.session.quits && driven.session.work.is_some(), "what it comes to must be told");
    assert_eq!(driven.question(), Some(&Question::StillWriting(desk.path(name))));
    driven
}

#[test]
fn quitting_waits_for_a_file_that_is_being_written() {
    let desk = Desk::new();
    let mut driven = quits_while_writing(&desk, "last.pdf");
    driven.until("the program ends", |session| session.quits);
    assert!(
        driven.session.work.is_none() && std::fs::read(desk.path("last.pdf")).unwrap().ends_with(b"%%EOF")
    );
    let beside = std::fs::read_dir(desk.path(".")).unwrap();
    let names: Vec<String> = beside.map(|it| it.unwrap().file_name().into_string().unwrap()).collect();
    assert!(names.iter().all(|name| !name.contains("last.pdf.")), "nothing half-written: {names:?}");
}

#[test]
fn a_report_that_fails_keeps_the_program_from_quitting_and_says_why() {
    let desk = Desk::new();
    let mut driven = quits_while_writing(&desk, "nowhere/last.pdf");
    driven.until("why not", |session| matches!(session.question, Some(Question::ReportName { .. })));
    let Some(Question::ReportName { why_not: Some(why), .. }) = driven.question() else {
        panic!("no reason")
    };
    assert!(why.contains("last.pdf"), "{why}");
    assert!(!driven.session.quits && driven.session.work.is_some());
    driven.answer(Answer::No);
    driven.command(Command::Quit);
    assert!(driven.session.quits, "nothing is written any more");
}

#[test]
fn whoever_would_rather_stay_does() {
    let desk = Desk::new();
    let mut driven = quits_while_writing(&desk, "last.pdf");
    driven.answer(Answer::No);
    driven.until("it is written", |session| session.reporting.writes().is_none());
    assert!(!driven.session.quits && driven.session.work.is_some() && desk.path("last.pdf").exists());
}

/// A day that was typed is that of one case's report.
#[test]
fn the_next_case_has_today_on_its_reports_again() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let mut driven = desk.with_case();
    driven.take(Action::ReportDay(Day::parse("2026-11-24").ok()));
    driven.take(Action::Open(other));
    assert_eq!(driven.session.reporting.day, None);
}
