//! Blinded rounds of repeats: each film again and again, whatever is opened meanwhile.

use crate::desk::{Desk, Window};
use crate::practice::{points_of, teachers_folder, wish};
use crestgauge::case::{Fdi, Mark, Point};
use crestgauge::editor::{Edit, LandmarkAt};
use crestgauge::quantity::Day;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::practice::Ask;
use crestgauge::viewer::question::{Answer, Question};
use eframe::egui::{Key, Modifiers};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::Command as Program;
use std::time::SystemTime;

#[test]
fn a_round_that_is_ended_keeps_the_placing_in_hand() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let folder = teachers_folder(&desk);
    wish(&mut window, &folder);
    window.take(Action::Practice(Ask::BeginRound));
    window.until_placing();
    let at =
        LandmarkAt { root: None, id: crestgauge::case::Landmark::Crest.on(crestgauge::case::Side::Mesial) };
    let mark = Some(Mark::Placed(Point::at(120.0, 240.0)));
    window.take(Action::Edit(Edit::Mark { at, mark }));
    window.take(Action::Practice(Ask::EndRound));
    window.click("End it here");
    assert!(window.session().work.is_none());
    let kept: Vec<_> = desk
        .path("state/rounds")
        .read_dir()
        .unwrap()
        .flat_map(|round| round.unwrap().path().read_dir().unwrap())
        .map(|file| file.unwrap().path())
        .filter(|file| file.to_string_lossy().ends_with(".case.json"))
        .collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    let case = crestgauge::case::read(&kept[0]).unwrap().case;
    assert_eq!(points_of(&case), 1);
}

#[test]
fn a_round_gives_each_film_again_and_ends_in_their_agreement() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let folder = teachers_folder(&desk);
    wish(&mut window, &folder);
    window.take(Action::Practice(Ask::BeginRound));
    for number in 1..=4_u32 {
        window.until("the placing", |session| {
            let practice = session.work.as_ref().and_then(|work| work.practice.as_ref());
            practice.and_then(|it| it.placing.as_ref()).is_some_and(|it| it.number == number as usize)
        });
        assert!(window.says(&format!("Round: placing {number} of 4")));
        let case = window.work().open.case().clone();
        assert_eq!((points_of(&case), case.label.clone()), (0, None));
        let truth = ["hard-apex", "deep-defect"]
            .iter()
            .map(|name| folder.join(format!("{name}.case.json")))
            .map(|file| crestgauge::case::read(&file).unwrap().case)
            .find(|truth| truth.film.sha256 == case.film.sha256)
            .unwrap();
        window.place_all(&truth, f64::from(number));
        window.click("Keep this placing and go on");
    }
    window.until("the agreement", |session| session.agreement.outcome.is_some());
    let agreement = window.session().agreement.agreement().expect("they agree or not").clone();
    assert_eq!((agreement.cases, agreement.films), (4, 2));
    assert_eq!(agreement.observers.len(), 1);
    assert_eq!(agreement.observers[0].teeth_repeated, 2);
    assert!(window.says("me with themselves") && window.says("4 cases of 2 teeth on 2 films by me"));
}

impl Window {
    /// Begins a round over a folder of two films, each twice.
    pub(crate) fn begin_round(&mut self, desk: &Desk) {
        let folder = teachers_folder(desk);
        wish(self, &folder);
        self.take(Action::Practice(Ask::BeginRound));
        self.until_placing();
    }

    fn number(&self) -> Option<usize> {
        self.session().work.as_ref()?.practice.as_ref()?.placing.as_ref().map(|placing| placing.number)
    }

    /// Keeps the placing, and waits for the next.
    fn keep(&mut self, next: usize) {
        self.finish_placing();
        self.until("the next placing", |session| session.work.is_some());
        assert_eq!(self.number(), Some(next));
    }
}

/// The files of a round's folder.
fn kept(desk: &Desk) -> Vec<PathBuf> {
    let round = desk.path("state/rounds").read_dir().unwrap().next().unwrap().unwrap().path();
    let files = round.read_dir().unwrap().map(|file| file.unwrap().path());
    files.filter(|file| file.to_string_lossy().ends_with(".case.json")).collect()
}

#[test]
fn a_case_that_cannot_be_opened_costs_a_round_nothing() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    window.keep(2);
    let broken = desk.path("broken.case.json");
    std::fs::write(&broken, "{").unwrap();
    window.take(Action::Open(broken));
    assert!(window.says("broken.case.json") && window.says("Round: placing 2 of 4"));
    window.take(Action::Open(desk.path("no-film.png")));
    window.until("it is not there", |session| session.opening.is_none());
    window.keep(3);
    assert_eq!(kept(&desk).len(), 2);
}

#[test]
fn a_case_that_is_opened_in_a_round_ends_it_and_what_was_kept_stays() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    window.keep(2);
    window.take(Action::Open(desk.case_without_film()));
    assert!(window.session().practice.round.is_none() && window.work().practice.is_none());
    assert!(window.says("the round was left; 1 placings stay in"));
    assert!(!Command::FinishPlacing.is_enabled(window.session()));
    assert_eq!(kept(&desk).len(), 1);
    // So does one that is opened while the next film is made ready.
    let film = desk.film();
    window.take(Action::Practice(Ask::BeginRound));
    window.until_placing();
    let session = window.harness.state_mut().session_mut();
    session.take(Action::Command(Command::FinishPlacing));
    session.take(Action::Answer(Answer::Yes));
    assert!(session.practice.making.is_some());
    session.take(Action::Open(film.clone()));
    window.until("the film is open, and nothing is made ready any more", |session| {
        session.opening.is_none() && session.practice.making.is_none()
    });
    assert!(window.session().practice.round.is_none());
    assert_eq!(window.work().open.case().film.file.as_deref(), Some("film-102.png"));
}

#[test]
fn a_round_that_cannot_begin_leaves_the_one_that_goes_on() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    let empty = desk.path("empty");
    std::fs::create_dir(&empty).unwrap();
    wish(&mut window, &empty);
    window.take(Action::Practice(Ask::BeginRound));
    window.until("an answer", |session| session.practice.making.is_none());
    assert!(window.says("holds no case that names a film"));
    window.keep(2);
    // One that can takes its place.
    wish(&mut window, &desk.path("teacher"));
    window.take(Action::Practice(Ask::BeginRound));
    window.until("the new round", |session| session.practice.making.is_none());
    assert_eq!(window.number(), Some(1));
    assert!(window.says("the round was left; 1 placings stay in"));
}

/// A repeat of a case beside it is the same film and tooth; another tooth on that film is another case.
#[test]
fn two_cases_of_one_tooth_on_one_film_count_as_one() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let folder = teachers_folder(&desk);
    let first = crestgauge::case::read(&folder.join("hard-apex.case.json")).unwrap().case;
    desk.write("teacher/hard-apex-2.case.json", &first);
    let mut by_its_place = first.clone();
    by_its_place.film.sha256 = None;
    desk.write("teacher/hard-apex-3.case.json", &by_its_place);
    let mut other_tooth = first;
    other_tooth.tooth.fdi = Fdi::parse("13").ok();
    desk.write("teacher/another-tooth.case.json", &other_tooth);
    wish(&mut window, &folder);
    for seed in 0..6 {
        window.harness.state_mut().session_mut().practice.next_seed = Some(seed);
        window.take(Action::Practice(Ask::BeginRound));
        window.until("a placing", |session| session.practice.making.is_none());
        assert!(window.says("Round: placing 1 of 6"));
        let round = window.session().practice.round.as_ref().unwrap();
        let files: BTreeSet<_> = round.order().map(|(file, _)| file.clone()).collect();
        let of_one = files.iter().filter(|file| file.to_string_lossy().contains("hard-apex"));
        assert_eq!((files.len(), of_one.count()), (3, 1), "{files:?}");
        window.take(Action::Practice(Ask::EndRound));
        window.click("End it here");
    }
}

#[test]
fn a_film_that_cannot_be_used_is_passed_over_and_said() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let folder = teachers_folder(&desk);
    std::fs::write(folder.join("hard-apex.png"), "no film").unwrap();
    wish(&mut window, &folder);
    window.take(Action::Practice(Ask::BeginRound));
    for _ in 0..2 {
        window.until_placing();
        window.finish_placing();
    }
    window.until("the round is over", |session| session.practice.round.is_none());
    let told = &window.session().notices;
    assert!(told.iter().any(|it| it.text.contains("hard-apex.png is another one")), "{told:?}");
    assert_eq!(kept(&desk).len(), 2);
}

/// A round is long work: it does not end by one press beside the button that was meant.
#[test]
fn a_round_with_placings_to_come_asks_before_it_ends() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    window.keep(2);
    let asked = "1 of 4 placings are kept; the rest is not placed.";
    window.click("End the round");
    assert!(window.says(asked));
    // The keyboard lies on the answer that loses nothing.
    window.press(Modifiers::NONE, Key::Enter);
    assert!(!window.says(asked) && window.session().practice.round.is_some());
    window.click("End the round");
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.number(), Some(2));
    // So does giving up the next film.
    let session = window.harness.state_mut().session_mut();
    session.take(Action::Command(Command::FinishPlacing));
    session.take(Action::Answer(Answer::Yes));
    session.take(Action::Practice(Ask::CancelMaking));
    assert_eq!(session.question, Some(Question::EndRound { kept: 2, of: 4 }));
    session.take(Action::Answer(Answer::No));
    window.until("the next placing", |session| session.work.is_some());
    window.keep(4);
    // In the last one what is placed is kept, and nothing is to be asked.
    window.click("End the round");
    assert!(window.says("3 of 4 placings are kept"), "nothing is placed in it yet");
    window.press(Modifiers::NONE, Key::Tab);
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.session().practice.round.is_none());
    assert_eq!(kept(&desk).len(), 3);
}

#[test]
fn the_last_placing_of_a_round_ends_it_unasked_once_it_is_begun() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    for next in 2..=4 {
        window.keep(next);
    }
    window.label_case("begun");
    window.take(Action::Practice(Ask::EndRound));
    assert!(window.session().question.is_none() && window.session().practice.round.is_none());
    assert_eq!(kept(&desk).len(), 4);
}

#[test]
fn a_placing_that_is_saved_is_called_by_its_number() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.begin_round(&desk);
    assert!(window.session().practice.making.is_none());
    window.label_case("begun");
    window.take(Action::Command(Command::Close));
    window.click("Save");
    let Some(Question::SaveName { name, .. }) = &window.session().question else {
        panic!("no name is asked")
    };
    assert!(name.ends_with("placing-001.case.json"), "{name}");
}

#[test]
fn of_a_round_no_key_is_told_of() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    wish(&mut window, &teachers_folder(&desk));
    for (ask, has_key) in [(Ask::BeginRound, false), (Ask::Begin, true)] {
        let session = window.harness.state_mut().session_mut();
        session.take(Action::Practice(ask.clone()));
        let making = session.practice.making.as_ref().expect("a film is made ready");
        assert_eq!(making.has_key, has_key, "{ask:?}");
        window.until("it is there", |session| session.practice.making.is_none());
    }
}

#[test]
fn the_folder_of_a_round_is_said_wherever_films_come_from() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.choose(Command::Practise);
    assert!(window.shows("Folder of cases"), "it is typed beside the round");
    wish(&mut window, &desk.path("teacher"));
    assert!(window.says("the one above: teacher"));
    wish(&mut window, std::path::Path::new(" "));
    assert!(window.says("the one above, once it is named"));
}

/// In this zone, where one is set: which day it is here stands in the folder's name. Zones 25 hours apart never have the same day.
#[test]
fn a_round_is_named_by_the_day_of_this_computers_clock() {
    const HERE: &str = "CRESTGAUGE_TEST_IN_ZONE";
    if std::env::var_os(HERE).is_none() {
        for zone in ["EAST-14", "WEST11"] {
            let mut program = Program::new(std::env::current_exe().unwrap());
            program.args(["--exact", "rounds::a_round_is_named_by_the_day_of_this_computers_clock"]);
            let ran = program.env("TZ", zone).env(HERE, "1").output().unwrap();
            assert!(ran.status.success(), "{zone}: {}", String::from_utf8_lossy(&ran.stdout));
            assert!(String::from_utf8_lossy(&ran.stdout).contains("1 passed"), "{zone}");
        }
        return;
    }
    let desk = Desk::new();
    let mut window = desk.window(None);
    let before = SystemTime::now();
    window.begin_round(&desk);
    let days = [before, SystemTime::now()].map(Day::here);
    let folder = window.session().practice.round.as_ref().unwrap().folder.display().to_string();
    assert!(days.iter().any(|day| folder.ends_with(&format!("round-{day}-1"))), "{folder}, {days:?}");
}
