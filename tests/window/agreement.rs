//! Agreement in the window: tables and plots as the library has them, files for a thesis, and one's own placing in a case.

use crate::desk::{Desk, Window, sample};
use crestgauge::agreement::{Sitting, agree};
use crestgauge::case::{Case, Landmark, LandmarkId, Mark, Point, Side};
use crestgauge::practice::Key;
use crestgauge::report::{Style, agreement_plots, agreement_text};
use crestgauge::viewer::action::Action;
use crestgauge::viewer::agreement::{Ask, Look, Written};
use crestgauge::viewer::command::Command;

/// The sample placed once more, its landmarks moved by a few pixels each in a way of their own.
pub(crate) fn placed_again(sitting: u64) -> Case {
    let mut case = sample();
    case.extra.insert("x-observer".to_owned(), "anna".into());
    case.extra.insert("x-sitting".to_owned(), sitting.into());
    let mut step = 0.0;
    let mut move_one = |mark: &mut Mark| {
        if let Mark::Placed(point) = mark {
            step += 1.0;
            let by = f64::from(u32::try_from(sitting).unwrap()) * (1.0 + step % 5.0);
            *point = Point { x: point.x + by * (step % 2.0), y: point.y - by, sd_px: None, ..point.clone() };
        }
    };
    case.landmarks.marks.values_mut().for_each(&mut move_one);
    case.roots.iter_mut().flat_map(|root| root.landmarks.marks.values_mut()).for_each(&mut move_one);
    case
}

impl Window {
    /// Compares three sittings of the sample.
    pub(crate) fn compare_sittings(&mut self, desk: &Desk) {
        self.compare(desk, (1..=3).map(placed_again));
    }

    fn compare(&mut self, desk: &Desk, sittings: impl Iterator<Item = Case>) {
        std::fs::create_dir_all(desk.path("anna")).unwrap();
        for (sitting, case) in (1..).zip(sittings) {
            desk.write(&format!("anna/{sitting}.case.json"), &case);
        }
        self.choose(Command::Agreement);
        self.take(Action::Agreement(Ask::Folder(desk.path("anna").display().to_string())));
        self.click("Compare");
        self.until("the agreement", |session| session.agreement.outcome.is_some());
    }
}

impl Window {
    /// Compares two sittings of three teeth.
    pub(crate) fn compare_teeth(&mut self, desk: &Desk) {
        std::fs::create_dir_all(desk.path("anna")).unwrap();
        for (film, digest) in [("a", "1"), ("b", "2"), ("c", "3")] {
            for sitting in 1..=2_u64 {
                let mut case = placed_again(sitting * digest.parse::<u64>().unwrap());
                case.film.sha256 = Some(digest.repeat(64));
                case.extra.insert("x-sitting".to_owned(), sitting.into());
                desk.write(&format!("anna/{film}{sitting}.case.json"), &case);
            }
        }
        self.take(Action::Agreement(Ask::Folder(desk.path("anna").display().to_string())));
        self.take(Action::Agreement(Ask::Read));
        self.until("the agreement", |session| session.agreement.outcome.is_some());
    }
}

fn expected(sittings: u64) -> crestgauge::agreement::Agreement {
    let library = &crate::desk::ENGINE.library;
    let sittings =
        (1..=sittings).map(|at| Sitting::of(&placed_again(at), "anna", &at.to_string(), library).unwrap());
    agree(sittings.collect()).unwrap()
}

#[test]
fn tables_and_plots_are_the_librarys() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.compare_sittings(&desk);
    let expected = expected(3);
    let found = window.session().agreement.agreement().unwrap().clone();
    assert_eq!(found.comparisons, expected.comparisons);
    assert!(window.says("anna with themselves"));
    // One tooth has no limits of agreement: the reason stands in their place.
    assert!(window.says("needs 2 pairs of readings, there is 1") && window.says("There is no plot"));
    assert!(window.says("a coordinate has no spread between teeth of its own"));
    window.take(Action::Agreement(Ask::Look(Look { quantity: 1, ..Look::default() })));
    assert_eq!(window.session().agreement.look.quantity, 1);
    window.take(Action::Agreement(Ask::Look(Look { comparison: 9, quantity: 999, pair: 9 })));
    assert!(window.session().agreement.comparison().is_some(), "what is not there is not looked at");
    window.press_called("Write tables as text");
    let text = std::fs::read_to_string(desk.path("anna/agreement.txt")).unwrap();
    assert_eq!(text, agreement_text(&found, Style::Plain));
    window.press_called("Write tables as text");
    assert!(window.shows("Problem:"), "what is there is not replaced");
}

#[test]
fn plots_are_written_where_there_are_limits() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.compare_teeth(&desk);
    let (name, plot) = window.session().agreement.plot().expect("three teeth have limits");
    // Whoever does not see it has its numbers.
    assert!(plot.says.contains("limits of agreement") && window.says(&plot.says), "{}", plot.says);
    window.take(Action::Agreement(Ask::OutFolder(desk.path("plots").display().to_string())));
    window.take(Action::Agreement(Ask::Write(Written::Plots)));
    assert_eq!(std::fs::read_to_string(desk.path("plots").join(name)).unwrap(), plot.svg());
    let comparisons = &window.session().agreement.agreement().unwrap().comparisons;
    let count: usize = comparisons.iter().map(|it| agreement_plots(it).len()).sum();
    assert_eq!(desk.path("plots").read_dir().unwrap().count(), count);
}

#[test]
fn ones_own_placing_goes_into_the_open_case_as_one_step() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    let before = window.work().open.case().clone();
    window.compare(&desk, (1..=5).map(placed_again));
    let placing = expected(5).placing[0].clone();
    assert!(placing.landmarks.iter().any(|row| row.placing_mm.df == 8), "just enough for an own sd");
    let scale =
        window.work().numbers.as_ref().as_ref().unwrap().measured.scale.as_ref().unwrap().axial().get();
    window.press_called("Use as placing sd in the open case: anna");
    let case = window.work().open.case();
    assert_eq!(case.uncertainty.placing_mm, Some(placing.placing_mm.sd.value));
    for (id, mark) in &case.landmarks.marks {
        let Mark::Placed(point) = mark else { continue };
        let row = placing.landmarks.iter().find(|row| row.landmark == id.key());
        if let Some(row) = row.filter(|_| !point.is_planned()) {
            let expected = row.placing_mm.sd.value / scale;
            assert!((point.sd_px.unwrap() - expected).abs() < 1e-12, "{id:?}");
        }
    }
    assert_eq!(window.work().open.next_undo(), Some("take one's own placing"));
    window.take(Action::Command(Command::Undo));
    assert_eq!(*window.work().open.case(), before);
}

/// Three sittings give a landmark 4 degrees of freedom, and all together plenty.
#[test]
fn a_landmark_repeated_too_rarely_reckons_with_the_placing_of_all() {
    let desk = Desk::new();
    let mut case = sample();
    case.film.file = None;
    case.film.sha256 = None;
    for mark in case.landmarks.marks.values_mut() {
        if let Mark::Placed(point) = mark {
            point.sd_px = Some(9.0);
        }
    }
    let mut window = desk.window(Some(&desk.write("open.case.json", &case)));
    window.compare_sittings(&desk);
    let placing = expected(3).placing[0].clone();
    window.press_called("Use as placing sd in the open case: anna");
    assert!(window.says("with an own one at 0 landmarks") && window.says("have none of their own"));
    let case = window.work().open.case();
    assert_eq!(case.uncertainty.placing_mm, Some(placing.placing_mm.sd.value));
    let repeated = |id: &LandmarkId| placing.landmarks.iter().any(|row| row.landmark == id.key());
    for (id, mark) in case.landmarks.marks.iter().filter(|(id, _)| repeated(id)) {
        let Some(point) = mark.point().filter(|point| !point.is_planned()) else { continue };
        assert_eq!(point.sd_px, None, "{id:?}");
    }
}

#[test]
fn a_placing_from_too_few_repeats_is_refused_with_how_many_would_do() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    // Three landmarks, as few as an axis takes, once again each: 6 degrees of freedom.
    window.compare(
        &desk,
        (1..=2).map(|sitting| {
            let mut case = placed_again(sitting);
            let keep = [Landmark::FinishLine.on(Side::Mesial), Landmark::FinishLine.on(Side::Distal)];
            case.landmarks.marks.retain(|id, _| keep.contains(id));
            for root in &mut case.roots {
                root.landmarks.marks.retain(|id, _| *id == Landmark::Apex.id());
            }
            case
        }),
    );
    window.press_called("Use as placing sd in the open case: anna");
    assert!(window.says("the repeats have 6 degrees of freedom") && window.says("by 29 %"));
    assert!(window.says("place landmarks again 1 more time"));
    assert_eq!(window.work().open.next_undo(), None);
}

#[test]
fn the_consensus_becomes_a_key_that_is_scored_against() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    for (sitting, observer) in (1..).zip(["anna", "ben", "cleo"]) {
        std::fs::create_dir_all(desk.path(observer)).unwrap();
        let mut case = placed_again(sitting);
        case.extra.insert("x-observer".to_owned(), observer.into());
        if observer != "anna" {
            case.landmarks.marks.remove(&Landmark::Crest.on(Side::Mesial));
        }
        for mark in case
            .landmarks
            .marks
            .values_mut()
            .chain(case.roots.iter_mut().flat_map(|root| root.landmarks.marks.values_mut()))
        {
            if let Mark::Placed(point) = mark {
                point.placed = None;
            }
        }
        desk.write(&format!("{observer}/tooth.case.json"), &case);
    }
    window.choose(Command::Agreement);
    window.take(Action::Agreement(Ask::Folder(desk.path("").display().to_string())));
    window.take(Action::Agreement(Ask::Read));
    window.until("the agreement", |session| session.agreement.outcome.is_some());
    window.take(Action::Agreement(Ask::OutFolder(desk.path("keys").display().to_string())));
    window.press_called("Write the consensus as a key");
    assert!(window.says("agreed on by anna, ben and cleo"));
    window.take(Action::DismissNotice);
    assert!(window.says("consensus.case.json: not part of the key: crest, mesial: by anna alone"));
    let case = crestgauge::case::read(&desk.path("keys/consensus.case.json")).unwrap().case;
    let key = Key::of(&case, &crate::desk::ENGINE.library).unwrap();
    assert!(key.is_consensus());
    // What is there is not replaced.
    window.press_called("Write the consensus as a key");
    assert!(window.says("wrote consensus-2.case.json"));
    // A key that lies among the cases is none of them.
    window.take(Action::Agreement(Ask::OutFolder(String::new())));
    window.press_called("Write the consensus as a key");
    window.take(Action::Agreement(Ask::Read));
    window.until("the agreement", |session| session.agreement.outcome.is_some());
    assert!(window.says("it is a consensus"), "it is left out of what is compared");
    window.press_called("Write the consensus as a key");
    assert!(window.says("consensus-2.case.json in") && window.says("agreed on by anna, ben and cleo"));
    assert_eq!(
        crestgauge::case::read(&desk.path("consensus-2.case.json")).unwrap().case.landmarks,
        case.landmarks
    );
}

#[test]
fn a_key_is_of_one_tooth() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.compare_teeth(&desk);
    window.take(Action::Agreement(Ask::WriteKey));
    assert!(window.says("the cases are of 3 teeth, and a key is of one tooth on one film"));
    assert!(!desk.path("anna/consensus.case.json").exists());
}

#[test]
fn without_a_scale_no_placing_is_taken() {
    let desk = Desk::new();
    let mut case = sample();
    case.film.file = None;
    case.film.sha256 = None;
    case.calibration.references.clear();
    let mut window = desk.window(Some(&desk.write("bare.case.json", &case)));
    window.compare_sittings(&desk);
    window.press_called("Use as placing sd in the open case: anna");
    assert!(window.says("the case has no scale yet"));
    assert_eq!(window.work().open.next_undo(), None);
}

#[test]
fn cases_that_repeat_nothing_say_so() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    desk.write("one.case.json", &sample());
    window.take(Action::Agreement(Ask::Folder(desk.path("").display().to_string())));
    window.take(Action::Agreement(Ask::Read));
    window.until("an answer", |session| session.agreement.outcome.is_some());
    assert!(window.says("Nothing is compared: agreement needs at least two cases"));
}

/// A case takes no placing beyond 5 mm, and says so; nothing is said to be taken then.
#[test]
fn a_placing_that_the_case_refuses_is_said_and_not_taken() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    std::fs::create_dir_all(desk.path("anna")).unwrap();
    for sitting in [1, 900] {
        desk.write(&format!("anna/{sitting}.case.json"), &placed_again(sitting));
    }
    window.take(Action::Agreement(Ask::Folder(desk.path("anna").display().to_string())));
    window.take(Action::Agreement(Ask::Read));
    window.until("the agreement", |session| session.agreement.outcome.is_some());
    let placing = window.session().agreement.agreement().unwrap().placing[0].placing_mm.sd.value;
    assert!(placing > 5.0, "{placing}");
    let before = window.work().open.case().clone();
    window.take(Action::Agreement(Ask::TakePlacing(0)));
    assert_eq!(*window.work().open.case(), before);
    assert!(window.says("placing_mm") && !window.says("the case reckons with"));
}

/// Whatever folder is typed for the next comparison, the tables that are shown go where their cases came from.
#[test]
fn files_go_where_the_cases_that_are_shown_came_from() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.compare_sittings(&desk);
    window.take(Action::Agreement(Ask::Folder(desk.path("elsewhere").display().to_string())));
    window.take(Action::Agreement(Ask::Write(Written::Text)));
    assert!(desk.path("anna/agreement.txt").exists());
    assert!(!desk.path("elsewhere").exists());
}
