//! What practice keeps: which key belongs to which case, whether it was compared, and of what, however it is opened again.

use crate::desk::{Desk, Window};
use crate::practice::{marks, points_of, teachers_folder, truth, wish};
use crestgauge::case::{Case, Document, Fdi, Replace, read, save};
use crestgauge::editor::Edit;
use crestgauge::quantity::Day;
use crestgauge::viewer::AUTOSAVE_INTERVAL;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::practice::Ask;
use crestgauge::viewer::question::{Answer, Question};
use crestgauge::viewer::reporting::Shows;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

impl Window {
    fn save_as(&mut self, file: &Path) {
        self.take(Action::Command(Command::SaveAs));
        self.take(Action::SaveAs(file.to_path_buf()));
    }

    fn compared(&self) -> crestgauge::viewer::practice::Compared {
        (*self.work().practice.clone().unwrap().compared.expect("it was compared")).clone()
    }

    fn begin_of(&mut self, folder: &Path) {
        wish(self, folder);
        self.take(Action::Practice(Ask::Begin));
        self.until("an answer", |session| session.practice.making.is_none());
    }
}

/// A finished film's truth is known; placed again, its case shows nothing, and does not either when it is opened another time.
#[test]
fn a_film_that_is_placed_again_keeps_its_truth_even_when_it_is_opened_another_time() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_all(&truth(), 4.0);
    window.finish_placing();
    assert!(!window.work().hides_results());
    let older = window.work().open.file().unwrap().to_path_buf();
    window.take(Action::Command(Command::Again));
    window.click("Keep its scale");
    assert!(window.work().hides_results());
    assert_eq!(points_of(window.work().open.case()), 0);
    window.place_all(&truth(), 8.0);
    let file = desk.path("again.case.json");
    window.take(Action::Command(Command::SaveAs));
    window.take(Action::SaveAs(file.clone()));
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(window.work().hides_results() && window.says("Practice: results after you finish"));
    // Neither pages nor card tell it meanwhile.
    for command in [Command::Report, Command::Picture, Command::Card] {
        assert!(!command.is_enabled(window.session()), "{command:?}");
    }
    // The older one stays what it is: compared.
    window.take(Action::Open(older));
    window.until_film();
    assert!(!window.work().hides_results());
    assert!(window.compared().kept.contains("compared before"));
}

/// A teacher's folder with one film and a key for each of two teeth on it.
fn two_teeth(desk: &Desk) -> PathBuf {
    let folder = teachers_folder(desk);
    std::fs::remove_file(folder.join("deep-defect.case.json")).unwrap();
    let mut other = read(&folder.join("hard-apex.case.json")).unwrap().case;
    other.tooth.fdi = Fdi::parse(if other.tooth.fdi == Fdi::parse("13").ok() { "23" } else { "13" }).ok();
    let file = folder.join("other-tooth.case.json");
    save(&file, &Document { case: &other, derived: None, case_file: None }, Replace::No).unwrap();
    folder
}

#[test]
fn two_teeth_on_one_film_keep_each_its_own_key() {
    let desk = Desk::new();
    let folder = two_teeth(&desk);
    let mut window = desk.window(None);
    let mut teeth = Vec::new();
    for name in ["one.case.json", "two.case.json"] {
        window.begin_of(&folder);
        teeth.push(window.work().open.case().tooth.fdi);
        window.save_as(&desk.path(name));
    }
    assert_ne!(teeth[0], teeth[1]);
    for (name, tooth) in ["one.case.json", "two.case.json"].into_iter().zip(teeth) {
        window.take(Action::Open(desk.path(name)));
        window.until_film();
        assert!(window.work().hides_results() && window.work().open.case().tooth.fdi == tooth);
        window.finish_placing();
        assert!(!window.compared().score.landmarks.is_empty(), "{:?}", window.session().notices);
        assert!(!window.work().hides_results());
    }
    // The second did not make the first one unseen again.
    window.take(Action::Open(desk.path("one.case.json")));
    window.until_film();
    assert!(!window.work().hides_results());
}

#[test]
fn what_was_compared_stays_so_however_much_is_undone() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_all(&truth(), 4.0);
    window.finish_placing();
    let file = window.work().open.file().unwrap().to_path_buf();
    while window.work().open.next_undo().is_some() {
        window.take(Action::Command(Command::Undo));
    }
    assert_eq!(points_of(window.work().open.case()), 0);
    window.take(Action::Command(Command::Save));
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(!window.work().hides_results());
}

/// Unsaved work from before the end is taken over after it: the truth was seen all the same.
#[test]
fn work_from_before_the_comparison_does_not_make_it_unseen() {
    let desk = Desk::new();
    let file = desk.path("own.case.json");
    let mut window = desk.window(None);
    window.practise();
    window.save_as(&file);
    window.place_some();
    window.until_put_by();
    window.harness.state_mut().session_mut().tend(SystemTime::now() + 2 * AUTOSAVE_INTERVAL);
    window.until_put_by();
    let put_by = desk.path(".own.case.json.unsaved");
    let unsaved = std::fs::read(&put_by).unwrap();
    window.finish_placing();
    assert!(!put_by.exists() && !window.work().hides_results());
    drop(window);
    std::fs::write(&put_by, unsaved).unwrap();
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.take(Action::TakeOffer(put_by));
    assert_eq!(window.work().open.next_undo(), Some("recover unsaved work"));
    assert!(!window.work().hides_results());
    window.take(Action::Command(Command::Save));
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(!window.work().hides_results());
}

#[test]
fn a_case_changed_after_it_was_compared_says_so_and_keeps_its_score() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_all(&truth(), 4.0);
    window.finish_placing();
    let score = window.compared().score;
    let changed = "The case was changed since it was compared. This compares what was placed before.";
    assert!(!window.says(changed));
    let (at, _) = marks(&truth()).into_iter().find(|(at, _)| at.id.key() == "apex").unwrap();
    window.take(Action::Edit(Edit::Mark { at, mark: None }));
    assert!(window.says(changed));
    assert_eq!(window.compared().score, score);
    // A label is not placed.
    window.take(Action::Command(Command::Undo));
    window.label_case("mine");
    assert!(!window.says(changed));
    window.take(Action::Command(Command::Redo));
    window.take(Action::Edit(Edit::Mark { at, mark: None }));
    let file = desk.path("elsewhere.case.json");
    window.save_as(&file);
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.click("Comparison");
    assert!(window.says(changed));
    assert_eq!(window.compared().score, score);
    // Where what was compared is gone, that is said instead.
    drop(window);
    remove(&desk.path("state/practice"), "compared");
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.click("Comparison");
    assert!(window.says("what was placed then was not kept here"));
    let apex = window.compared().score.landmarks.into_iter().find(|line| line.landmark == "apex").unwrap();
    assert_eq!(apex.outcome, crestgauge::practice::Outcome::Missed);
}

/// A synchronised folder brings back the copy from before the comparison: the truth was seen all the same.
#[test]
fn an_older_copy_that_is_taken_over_does_not_make_a_case_unseen() {
    let desk = Desk::new();
    let file = desk.path("own.case.json");
    let mut window = desk.window(None);
    window.practise();
    window.place_some();
    window.save_as(&file);
    let older = std::fs::read(&file).unwrap();
    window.finish_placing();
    std::fs::write(&file, older).unwrap();
    window.label_case("mine");
    window.take(Action::Command(Command::Save));
    window.click("Take over what is there");
    assert!(window.work().open.case().label.is_none() && !window.work().hides_results());
    window.take(Action::Command(Command::Save));
    drop(window);
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(!window.work().hides_results());
    assert!(window.compared().kept.contains("compared before"));
}

/// Nobody chose these films, and their names tell nobody anything; what was placed on one is found again all the same.
#[test]
fn films_made_for_practice_are_no_recent_ones_and_what_was_put_by_is_offered() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_some();
    let placed = points_of(window.work().open.case());
    window.until_put_by();
    window.harness.state_mut().session_mut().tend(SystemTime::now() + 2 * AUTOSAVE_INTERVAL);
    window.until_put_by();
    assert!(window.session().remembered.recent.is_empty());
    // The program is killed.
    drop(window);
    let mut window = desk.window(None);
    let [waiting] = window.session().waiting.as_slice() else { panic!("{:?}", window.session().waiting) };
    let film = waiting.opens.clone().expect("its film is found");
    assert!(film.starts_with(desk.path("state/practice")), "{}", film.display());
    assert!(window.says("Unsaved work was found"));
    window.harness.get_by_label_contains("go on with no label").click();
    window.settle();
    window.until_film();
    assert_eq!(points_of(window.work().open.case()), placed);
    assert!(window.work().hides_results() && window.says("Practice: results after you finish"));
    assert!(window.session().remembered.recent.is_empty());
    window.finish_placing();
    assert!(!window.work().hides_results());
    drop(window);
    // One that an earlier version remembered goes.
    let old = format!("{{\"recent\": [{:?}, {:?}]}}", film, desk.film());
    std::fs::write(desk.path("state/viewer.json"), old).unwrap();
    assert_eq!(desk.window(None).session().remembered.recent, [desk.film()]);
}

#[test]
fn the_name_proposed_for_a_practised_case_is_one_that_people_understand() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    let tooth = window.work().open.case().tooth.fdi.unwrap();
    let before = SystemTime::now();
    let mut names = Vec::new();
    for label in [None, Some("Monday: two")] {
        if let Some(label) = label {
            window.label_case(label);
        }
        window.take(Action::Command(Command::SaveAs));
        let Some(Question::SaveName { name, .. }) = &window.session().question else {
            panic!("no name is asked")
        };
        names.push(Path::new(name).file_name().unwrap().to_string_lossy().into_owned());
        window.take(Action::Answer(Answer::No));
    }
    let days = [before, SystemTime::now()].map(Day::here);
    for (name, begins) in names.iter().zip(["practice", "Monday-two"]) {
        let is_it = |day: &Day| *name == format!("{begins}-{tooth}-{day}.case.json");
        assert!(days.iter().any(is_it), "{name}");
    }
}

/// Removes every file of a folder with this ending.
fn remove(folder: &Path, ending: &str) {
    let files = folder.read_dir().unwrap().map(|file| file.unwrap().path());
    let files: Vec<_> = files.filter(|file| file.extension().is_some_and(|it| it == ending)).collect();
    assert!(!files.is_empty(), "{ending}");
    for file in files {
        std::fs::remove_file(file).unwrap();
    }
}

#[test]
fn without_its_key_an_unfinished_case_shows_nothing_and_says_why() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_some();
    let file = desk.path("own.case.json");
    window.save_as(&file);
    let case = window.work().open.case().clone();
    drop(window);
    remove(&desk.path("state/practice"), "key");
    // Nor do cases whose mark names no key.
    let marked = |mark: serde_json::Value| {
        let mut case = case.clone();
        case.extra.insert("x-practice".to_owned(), mark);
        case
    };
    let files = [
        file,
        desk.write("old.case.json", &marked(true.into())),
        desk.write("path.case.json", &marked("../viewer".into())),
    ];
    for file in files {
        let mut window = desk.window(Some(&file));
        window.until_film();
        assert!(window.work().hides_results(), "{}", file.display());
        assert!(window.says("Practice: the key is gone") && !window.says("Measurements and verdicts"));
        assert!(!Command::FinishPlacing.is_enabled(window.session()));
        window.finish_placing();
        assert!(window.work().hides_results());
    }
}

#[test]
fn without_its_key_a_compared_case_is_a_case_like_any_other() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.practise();
    window.place_some();
    window.finish_placing();
    let file = window.work().open.file().unwrap().to_path_buf();
    drop(window);
    remove(&desk.path("state/practice"), "key");
    let mut window = desk.window(Some(&file));
    window.until_film();
    assert!(
        window
            .says("the comparison of this case cannot be shown again: the key it was compared with is gone")
    );
    assert!(window.work().practice.is_none() && window.says("Measurements and verdicts"));
    // Placed again there is nothing to compare it with, and nothing is hidden.
    window.take(Action::Command(Command::Again));
    window.click("Keep its scale");
    assert!(!window.work().hides_results());
    assert!(!window.work().open.case().extra.keys().any(|key| key.starts_with("x-practice")));
}

/// The cases of a teacher's folder, each changed.
fn change_keys(folder: &Path, change: impl Fn(&mut Case)) {
    for name in ["hard-apex", "deep-defect"] {
        let file = folder.join(format!("{name}.case.json"));
        let mut case = read(&file).unwrap().case;
        change(&mut case);
        save(&file, &Document { case: &case, derived: None, case_file: None }, Replace::Yes).unwrap();
    }
}

#[test]
fn a_key_that_names_no_digest_has_the_comparison_say_so() {
    let desk = Desk::new();
    let folder = teachers_folder(&desk);
    change_keys(&folder, |case| case.film.sha256 = None);
    let mut window = desk.window(None);
    window.begin_of(&folder);
    assert!(window.work().open.case().film.sha256.is_some(), "the film that is placed on is known");
    window.finish_placing();
    assert!(!window.compared().score.same_film_known);
    assert!(window.says("make sure it is the same one"));
}

#[test]
fn a_key_for_a_film_of_another_size_is_refused() {
    let desk = Desk::new();
    let folder = teachers_folder(&desk);
    change_keys(&folder, |case| case.film.width_px = Some(100));
    let mut window = desk.window(None);
    window.begin_of(&folder);
    assert!(window.session().work.is_none());
    let told = &window.session().notices;
    assert!(told.iter().any(|it| it.text.contains("hard-apex.case.json: the film measures")), "{told:?}");
    assert!(window.says("one of another size"));
    assert!(!desk.path("state/practice").exists(), "nothing of it is kept");
}

#[test]
fn nothing_that_shows_results_stays_open_over_a_film_to_practise_on() {
    let desk = Desk::new();
    let folder = teachers_folder(&desk);
    let placed = desk.path("placed.case.json");
    let mut window = desk.window(None);
    window.begin_of(&folder);
    window.save_as(&placed);
    let shown = |window: &Window, command: Command| match command {
        Command::Card => window.says("Copy the card"),
        _ => window.session().reporting.shows.is_some(),
    };
    for command in [Command::Card, Command::Report, Command::Picture] {
        for opens_a_file in [false, true] {
            let mut window = desk.window(Some(&desk.write("canine.case.json", &crate::planning::canine())));
            window.take(Action::Command(command));
            assert!(shown(&window, command), "{command:?}");
            if opens_a_file {
                window.take(Action::Open(placed.clone()));
                window.until_film();
            } else {
                window.begin_of(&folder);
            }
            assert!(window.work().hides_results());
            assert!(!shown(&window, command), "{command:?}, {opens_a_file}");
            // Nor does asking for it show it.
            window.take(Action::Command(command));
            assert!(!shown(&window, command), "{command:?}, {opens_a_file}");
        }
    }
    assert_eq!(window.session().reporting.shows, None::<Shows>);
}

#[test]
fn a_case_opened_while_a_film_is_made_ready_stays_open() {
    let desk = Desk::new();
    let folder = teachers_folder(&desk);
    let mut window = desk.window(None);
    wish(&mut window, &folder);
    let said = "the film to practise on was given up, because something else was opened meanwhile";
    let case = desk.case_without_film();
    for film in [false, true] {
        let session = window.harness.state_mut().session_mut();
        session.take(Action::Practice(Ask::Begin));
        assert!(session.practice.making.is_some());
        session.take(Action::Open(if film { desk.film() } else { case.clone() }));
        window.until("nothing goes on any more", |session| {
            session.practice.making.is_none() && session.opening.is_none()
        });
        assert!(window.work().practice.is_none() && window.says(said), "{film}");
        assert_eq!(window.work().open.file().is_some(), !film);
    }
}

#[test]
fn work_that_goes_on_while_a_film_is_made_ready_stays_open() {
    let desk = Desk::new();
    let folder = teachers_folder(&desk);
    let mut window = desk.window(Some(&desk.case_without_film()));
    wish(&mut window, &folder);
    let session = window.harness.state_mut().session_mut();
    session.take(Action::Practice(Ask::Begin));
    session.take(Action::Edit(Edit::Label(Some("work".to_owned()))));
    window.until("an answer", |session| session.practice.making.is_none());
    assert!(window.says("work on the open case went on meanwhile"));
    assert_eq!(window.work().open.case().label.as_deref(), Some("work"));
}
