//! Practice in the window: a film made for it, nothing shown before it is finished, then the truth beside one's own;
//! learning curves.

use crate::desk::{Desk, ENGINE, Window};
use crestgauge::case::{Case, Document, Mark, Point, Replace, save};
use crestgauge::editor::{Edit, LandmarkAt, ListChange, PointAt};
use crestgauge::phantom::{Amount, Difficulty, EXERCISE_WIRE, ToothKind, exercise};
use crestgauge::practice::{Outcome, read_history};
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::practice::{Ask, Source, Wishes};
use crestgauge::viewer::question::Question;
use crestgauge::viewer::remembered::{Scale, Setting};
use eframe::egui::{Key, Modifiers, Shape};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::num::NonZeroUsize;
use std::path::Path;

const SEED: u64 = 7;

pub(crate) fn easy() -> Difficulty {
    let little = Amount::Little;
    Difficulty { noise: little, angulation: little, bend: little, overlap: little }
}

/// The truth of the film that the window makes, out of the library.
pub(crate) fn truth() -> Case {
    exercise(ToothKind::Canine, easy(), SEED, NonZeroUsize::MIN, |digest| format!("{digest}.png"))
        .unwrap()
        .truth
}

/// Every landmark of a case that has one point or is said to be hidden or absent.
pub(crate) fn marks(case: &Case) -> Vec<(LandmarkAt, Mark)> {
    let of_tooth = case.landmarks.marks.iter().map(|(id, mark)| (LandmarkAt { root: None, id: *id }, mark));
    let of_roots = case.roots.iter().flat_map(|root| {
        let at = move |id| LandmarkAt { root: Some(root.name), id };
        root.landmarks.marks.iter().map(move |(id, mark)| (at(*id), mark))
    });
    of_tooth.chain(of_roots).map(|(at, mark)| (at, mark.clone())).collect()
}

impl Window {
    /// Asks for a canine that is easy to read, in the practice window.
    pub(crate) fn practise(&mut self) {
        self.choose(Command::Practise);
        for words in ["Noise: little", "Angulation: little", "Curved roots: little", "Overlap: little"] {
            self.click(words);
        }
        let wishes = Wishes { kind: ToothKind::Canine, ..self.session().remembered.practice.clone() };
        self.take(Action::Practice(Ask::Wish(Box::new(wishes))));
        self.harness.state_mut().session_mut().practice.next_seed = Some(SEED);
        self.click("Begin");
        self.until_placing();
    }

    pub(crate) fn until_placing(&mut self) {
        self.until("a film to be placed", |session| {
            session.work.as_ref().is_some_and(crestgauge::viewer::Work::hides_results)
                && session.practice.making.is_none()
        });
    }

    /// Places every landmark as the truth has it, moved by so many pixels across the film; those that are planned there are
    /// not placed.
    pub(crate) fn place_all(&mut self, truth: &Case, by: f64) {
        for (at, mark) in marks(truth) {
            let mark = match mark {
                Mark::Placed(point) if point.is_planned() => continue,
                Mark::Placed(point) => Mark::Placed(Point::at(point.x + by, point.y)),
                other => other,
            };
            self.harness.state_mut().session_mut().take(Action::Edit(Edit::Mark { at, mark: Some(mark) }));
        }
        self.settle();
    }
}

impl Window {
    /// Places most landmarks a little off, and leaves one out.
    pub(crate) fn place_some(&mut self) {
        let truth = truth();
        self.place_all(&truth, 6.0);
        let (at, _) = marks(&truth).into_iter().find(|(at, _)| at.id.key() == "apex").unwrap();
        self.take(Action::Edit(Edit::Mark { at, mark: None }));
    }
}

/// Everything a case holds that lies somewhere on the film, but for what gives the scale.
pub(crate) fn points_of(case: &Case) -> usize {
    case.points() - case.calibration.references.iter().map(|it| it.points().len()).sum::<usize>()
}

#[test]
fn nothing_of_the_truth_is_there_before_it_is_finished() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    let case = window.work().open.case().clone();
    assert_eq!(points_of(&case), 0);
    assert_eq!(case.label, None);
    assert!(!case.extra.keys().any(|key| key == "x-truth"), "{:?}", case.extra.keys().collect::<Vec<_>>());
    assert!(!case.calibration.references.is_empty(), "the scale is given");
    let said = format!("{:?}", case.film.file);
    assert!(said.contains("film-"), "{said}");
    // Neither numbers nor what leads to them.
    assert!(window.says("Practice: results after you finish"));
    for hidden in ["Measurements and verdicts", "Post depth and drill", "Ferrule recovery", "Read first"] {
        assert!(!window.says(hidden), "{hidden}");
    }
    for command in [Command::CopyTable, Command::CopyCsv, Command::Card, Command::NextFilm, Command::Again] {
        assert!(!command.is_enabled(window.session()), "{command:?}");
    }
    // A saved case holds nothing of it, and opened again it is still practice.
    let file = desk.path("own.case.json");
    window.take(Action::Command(Command::SaveAs));
    window.take(Action::SaveAs(file.clone()));
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(!text.contains("x-truth") && text.contains("x-practice"), "{text}");
    let places =
        marks(&truth()).into_iter().filter_map(|(_, mark)| mark.point().map(|point| [point.x, point.y]));
    // A round one, such as the middle of the film, can stand anywhere.
    let told: Vec<String> = places.flatten().map(|it| it.to_string()).filter(|it| it.len() > 8).collect();
    assert!(told.len() > 10 && !told.iter().any(|coordinate| text.contains(coordinate)), "{told:?}");
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(window.work().hides_results() && window.says("Practice: results after you finish"));
    // What lies beside the film is no case that a list would offer.
    let folder = desk.path("state/practice");
    let names: Vec<String> =
        folder.read_dir().unwrap().map(|it| it.unwrap().file_name().to_string_lossy().into_owned()).collect();
    assert!(!names.iter().any(|name| name.contains(".json")), "{names:?}");
}

#[test]
fn finished_it_shows_each_error_as_the_library_has_it_and_keeps_the_attempt() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    let truth = truth();
    window.place_all(&truth, 4.0);
    // One landmark by hand: aimed at, and placed by a press on the film.
    let (at, mark) =
        marks(&truth).into_iter().find(|(at, _)| at.id.key() == "apex").expect("a canine has an apex");
    let Mark::Placed(apex) = mark else { panic!("the apex is seen") };
    window.take(Action::Edit(Edit::Mark { at, mark: None }));
    window.take(Action::Aim(Some(Target::Landmark(at))));
    let there = window.seen(crestgauge::geometry::Position::new(apex.x + 4.0, apex.y));
    window.harness.hover_at(there);
    window.settle();
    window.button(there, true, Modifiers::NONE);
    window.button(there, false, Modifiers::NONE);
    window.settle();
    assert!(PointAt::Landmark(at).position(window.work().open.case()).is_some());
    let case = window.work().open.case().clone();

    window.finish_placing();
    let key = crestgauge::practice::Key::of(&truth, &ENGINE.library).unwrap();
    let expected = crestgauge::practice::score(&key, &case, &ENGINE.library, &ENGINE.criteria).unwrap();
    let practice = window.work().practice.clone().unwrap();
    let compared = practice.compared.clone().expect("it was compared");
    assert_eq!(compared.score.landmarks, expected.landmarks);
    assert_eq!(compared.score.verdicts, expected.verdicts);
    assert!(!window.work().hides_results() && practice.shows_comparison);
    // The table says it in words, and pointing at a line lights its vector.
    let line = expected.landmarks.iter().position(|line| line.landmark == "apex").unwrap();
    let summed = expected.landmarks[line].error.summed().unwrap();
    let word = if summed.across_mm < 0.0 { "mesial" } else { "distal" };
    assert!((summed.distance_mm - 4.0 * 0.045).abs() < 0.03, "{summed:?}");
    let words = format!("{:.2} {word}", summed.across_mm.abs());
    let name = window
        .harness
        .query_all_by_label_contains("Apex")
        .filter_map(|node| node.accesskit_node().label())
        .find(|label| label.contains(&words))
        .unwrap_or_else(|| panic!("no line says {words}"));
    window.harness.get_by_label(&name).hover();
    window.settle();
    assert_eq!(window.work().practice.as_ref().unwrap().pointed, Some(line));
    // The attempt stands in the history, and the case beside its film.
    let history = std::fs::read_to_string(desk.path("state/practice.jsonl")).unwrap();
    let history = read_history(&history);
    assert_eq!((history.attempts.len(), history.unread.len()), (1, 0));
    assert_eq!(history.attempts[0].student, "me");
    assert_eq!(
        history.attempts[0].landmarks.len(),
        compared.score.landmarks.iter().filter(|line| line.counts()).count()
    );
    assert!(!window.work().open.has_unsaved_work());
    // The worksheet has the numbers now.
    window.click("Worksheet");
    assert!(window.says("Measurements and verdicts"));
    window.click("Comparison");
    // The next film begins unasked.
    window.harness.state_mut().session_mut().practice.next_seed = Some(SEED + 1);
    window.press(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::E);
    window.until_placing();
    assert_ne!(window.work().open.case().film.sha256, case.film.sha256);
    window.take(Action::Command(Command::Curves));
    assert!(window.says("me: 1 attempt"));
    assert!(window.shows("Apex") && window.says("Of 1 time: 1 placed."));
    // The window is called as its command is, and its plot says its points.
    assert!(window.shows("Learning curves"));
    assert!(window.says(&format!("errors one after the other, mm: {:.2}", summed.distance_mm)));
}

#[test]
fn what_cannot_be_seen_is_right_when_it_is_marked_hidden() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    let truth = truth();
    window.place_all(&truth, 0.0);
    window.click("Finish and compare");
    let compared = window.work().practice.clone().unwrap().compared.unwrap();
    for line in compared.score.landmarks.iter().filter(|line| !line.landmark.starts_with("sections")) {
        // Canal and sections were not placed here.
        if line.landmark == "canal" {
            assert_eq!(line.outcome, Outcome::Missed);
            continue;
        }
        assert!(line.outcome.is_right(), "{line:?}");
        if let Some(error) = line.error.summed() {
            assert!(error.distance_mm < 1e-9, "{line:?}");
        }
    }
}

/// What is left counts as missed and stays in the history: one key must not do that.
#[test]
fn finishing_with_landmarks_left_asks_first() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    let compared = |window: &Window| window.work().practice.as_ref().unwrap().compared.is_some();
    window.press(Modifiers::COMMAND, Key::Enter);
    let Some(Question::Finish { open }) = window.session().question else { panic!("it is asked") };
    assert!(open > 5, "{open}");
    assert!(window.says("would count as missed"));
    // The keyboard begins at what destroys nothing.
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.session().question.is_none() && !compared(&window));
    window.press(Modifiers::COMMAND, Key::Enter);
    window.click("Compare all the same");
    assert!(compared(&window));
}

/// Nobody is led to the canal, and the stage of the film may not show the rest: what is left of these is no failing.
#[test]
fn only_what_a_film_of_this_stage_asks_for_can_be_missed() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.finish_placing();
    let compared = window.work().practice.clone().unwrap().compared.unwrap();
    let case = window.work().open.case();
    let asked: Vec<LandmarkAt> = crestgauge::editor::landmarks(case)
        .into_iter()
        .filter(|(_, sight)| *sight == crestgauge::case::Sight::Asked)
        .map(|(at, _)| at)
        .collect();
    let counted: Vec<_> = compared.score.landmarks.iter().filter(|line| line.counts()).collect();
    assert!(counted.iter().all(|line| line.outcome == Outcome::Missed), "nothing was placed: {counted:?}");
    assert!(counted.len() < compared.score.landmarks.len());
    for line in &counted {
        let is_it = |at: &LandmarkAt| {
            at.id.key() == line.landmark
                && at.root.map(crestgauge::case::RootName::word) == line.root.as_deref()
        };
        assert!(asked.iter().any(is_it), "{line:?}");
    }
    assert!(window.says(&format!("{} missed", counted.len())));
    assert!(window.says("Not counted, because a film of this stage does not ask for them"));
    assert!(window.says("left, and not asked for"));
    let history = std::fs::read_to_string(desk.path("state/practice.jsonl")).unwrap();
    assert_eq!(read_history(&history).attempts[0].landmarks.len(), counted.len());
}

#[test]
fn a_scale_that_is_not_given_is_placed_too_and_a_comparison_is_read_by_the_keyboard() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let wishes = Wishes { scale_is_given: false, ..Wishes::default() };
    window.take(Action::Practice(Ask::Wish(Box::new(wishes))));
    window.practise();
    assert!(window.work().open.case().calibration.references.is_empty());
    assert!(window.says(&format!("a wire of {} mm", EXERCISE_WIRE.get())));
    window.place_all(&truth(), 0.0);
    window.finish_placing();
    let compared = window.work().practice.clone().unwrap().compared.unwrap();
    // Errors of landmarks are in the key's scale; measurements of the case need its own.
    let length = |line: &&crestgauge::practice::MeasurementError| line.of.id == "root_length";
    assert_eq!(compared.score.measurements.iter().find(length).unwrap().value, None);
    window.press(Modifiers::NONE, Key::F6);
    assert_eq!(window.work().practice.as_ref().unwrap().pointed, Some(0));
    window.press(Modifiers::NONE, Key::Tab);
    assert_eq!(window.work().practice.as_ref().unwrap().pointed, Some(1));
}

/// A line that counts is of the key's film: what the student makes of stage and roots changes nothing.
#[test]
fn no_edit_of_the_case_takes_a_landmark_out_of_the_count() {
    let counted = |change: &dyn Fn(&mut Window)| {
        let desk = Desk::new();
        let mut window = desk.window(None);
        window.practise();
        change(&mut window);
        window.finish_placing();
        let compared = window.work().practice.clone().unwrap().compared.unwrap();
        compared.score.landmarks.iter().filter(|line| line.counts()).cloned().collect::<Vec<_>>()
    };
    let as_it_came = counted(&|_| {});
    assert!(as_it_came.len() > 5);
    let without_root =
        counted(&|window| window.take(Action::Edit(Edit::Roots(ListChange::Remove { at: 0 }))));
    assert_eq!(without_root, as_it_came);
    let at_another_stage = counted(&|window| window.take(Action::Edit(Edit::Stage(None))));
    assert_eq!(at_another_stage, as_it_came);
}

#[test]
fn a_comparison_is_read_whole_by_the_keyboard_and_copied_as_text() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.finish_placing();
    // What a measurement lacks is said in short, and whole where it is pressed; a screen reader has it whole at once.
    let compared = window.work().practice.clone().unwrap().compared.unwrap();
    let row = compared.score.measurements.iter().find(|row| row.lacks.len() > 2).expect("nothing was placed");
    let whole = crestgauge::report::unmeasured_words(row);
    let height = |window: &Window| {
        let rows = window.harness.query_all_by_label_contains(&whole).map(|node| node.rect().height());
        rows.fold(0.0_f32, f32::max)
    };
    let folded = height(&window);
    let called = window.harness.query_all_by_label_contains(&whole).next().unwrap();
    let called = called.accesskit_node().label().unwrap();
    window.press_called(&called);
    assert!(height(&window) > folded, "{folded}");
    // The foot lies below the last button.
    let foot = |window: &Window| {
        let nodes = window.harness.query_all_by_label(crestgauge::report::SAFETY);
        nodes.map(|node| node.rect().bottom()).fold(f32::INFINITY, f32::min)
    };
    let screen = window.harness.ctx.content_rect();
    assert!(foot(&window) > screen.bottom());
    for _ in 0..20 {
        window.press(Modifiers::NONE, Key::PageDown);
    }
    assert!(foot(&window) <= screen.bottom(), "{} in {screen:?}", foot(&window));
    for _ in 0..20 {
        window.press(Modifiers::NONE, Key::PageUp);
    }
    window.harness.get_by_label("Copy the comparison").click();
    let copied = window.copied().expect("it lies on the clipboard");
    for words in ["me: tooth", "against a truth", "LANDMARKS", "MEASUREMENTS", "Not counted"] {
        assert!(copied.contains(words), "{words}: {copied}");
    }
    assert!(!copied.contains("film-") && !copied.contains(&desk.path("").display().to_string()), "{copied}");
}

/// Names of roots and sites are long, and letters can be large.
#[test]
fn names_in_a_comparison_are_never_cut_short() {
    fn cut(shape: &Shape, right_of: f32, found: &mut Vec<String>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| cut(shape, right_of, found)),
            Shape::Text(text) if text.galley.elided && text.pos.x > right_of => {
                found.push(text.galley.text().to_owned());
            }
            _ => {}
        }
    }
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.finish_placing();
    window.take(Action::Set(Setting::Scale(Scale::try_from(200).unwrap())));
    for _ in 0..8 {
        window.settle();
        let mut found = Vec::new();
        let film = window.film().right();
        window.harness.output().shapes.iter().for_each(|clipped| cut(&clipped.shape, film, &mut found));
        assert!(found.is_empty(), "{found:?}");
        window.press(Modifiers::NONE, Key::PageDown);
    }
}

/// Two cases of invented films with their truth, as a teacher's folder has them.
pub(crate) fn teachers_folder(desk: &Desk) -> std::path::PathBuf {
    let folder = desk.path("teacher");
    std::fs::create_dir(&folder).unwrap();
    for (name, seed) in [("hard-apex", 21), ("deep-defect", 22)] {
        let made =
            exercise(ToothKind::Incisor, easy(), seed, NonZeroUsize::MIN, |_| format!("{name}.png")).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), &made.film).unwrap();
        let file = folder.join(format!("{name}.case.json"));
        save(&file, &Document { case: &made.truth, derived: None, case_file: None }, Replace::No).unwrap();
    }
    folder
}

pub(crate) fn wish(window: &mut Window, folder: &Path) {
    let wishes = Wishes {
        source: Source::Folder,
        folder: folder.display().to_string(),
        ..window.session().remembered.practice.clone()
    };
    window.take(Action::Practice(Ask::Wish(Box::new(wishes))));
}

#[test]
fn a_folders_films_come_under_names_that_tell_nothing() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    let folder = teachers_folder(&desk);
    wish(&mut window, &folder);
    let mut films = Vec::new();
    for _ in 0..2 {
        window.take(Action::Practice(Ask::Begin));
        window.until_placing();
        let case = window.work().open.case();
        let name = case.film.file.clone().unwrap();
        assert!(name.starts_with("film-") && !name.contains("apex") && !name.contains("defect"), "{name}");
        assert_eq!(points_of(case), 0);
        films.push(case.film.sha256.clone());
    }
    assert_ne!(films[0], films[1], "each comes once before one comes again");
    let empty = desk.path("empty");
    std::fs::create_dir(&empty).unwrap();
    wish(&mut window, &empty);
    window.take(Action::Practice(Ask::Begin));
    window.until("an answer", |session| session.practice.making.is_none());
    assert!(window.says("holds no case with a truth or a consensus"));
}
