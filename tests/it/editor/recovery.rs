//! Autosaving, and what is found of it later.

use super::{Desk, engine, names, sample, second, text};
use crestgauge::calibration::{Extra, Reference, Sphere};
use crestgauge::case::Replace;
use crestgauge::editor::{Autosaved, Edit, Meanwhile, OpenCase, Placing, Unsaved};
use crestgauge::geometry::Position;
use std::time::Duration;

const INTERVAL: Duration = Duration::from_secs(10);

fn label(text: &str) -> Edit {
    Edit::Label(Some(text.to_owned()))
}

fn half_placed(open: &mut OpenCase) {
    let ball = Sphere {
        points: Vec::new(),
        diameter_mm: Some(5.0),
        tolerance_mm: None,
        diameter_sd_mm: Some(0.1),
        object: None,
        extra: Extra::new(),
    };
    open.begin_placing(Placing::Reference(Box::new(Reference::Sphere(ball)))).unwrap();
    open.click(Position::new(0.1, 700.000_000_1), None).unwrap();
    open.click(Position::new(30.0, 1.0 / 3.0), None).unwrap();
}

/// Work that was put by and never saved: as after a crash.
fn crashed(desk: &Desk) -> OpenCase {
    let mut open = desk.open();
    open.apply(label("lost?")).unwrap();
    half_placed(&mut open);
    assert_eq!(open.autosave(second(100)).unwrap(), Autosaved::Written(desk.autosave()));
    open
}

#[test]
fn an_autosave_is_due_after_a_change_and_not_before_its_time() {
    let desk = Desk::new();
    let mut open = desk.open();
    assert!(!open.autosave_is_due(second(0), INTERVAL));
    open.apply(label("a")).unwrap();
    assert!(open.autosave_is_due(second(50), INTERVAL));
    open.autosave(second(50)).unwrap();
    assert!(!open.autosave_is_due(second(500), INTERVAL), "nothing new");
    open.apply(label("b")).unwrap();
    assert!(!open.autosave_is_due(second(59), INTERVAL));
    assert!(open.autosave_is_due(second(60), INTERVAL));
    assert!(open.autosave_is_due(second(3), INTERVAL), "a clock set back puts nothing off");
    // Back at the saved state there is nothing to keep.
    open.undo();
    open.undo();
    assert_eq!(open.autosave(second(60)).unwrap(), Autosaved::NothingUnsaved);
    assert_eq!(desk.files(), ["tooth.case.json"]);
}

#[test]
fn an_autosave_gives_everything_back() {
    let desk = Desk::new();
    let before = crashed(&desk);
    let unsaved = Unsaved::read(&desk.autosave()).unwrap();
    assert_eq!(text(&unsaved.case), text(before.case()));
    assert_eq!(unsaved.half_placed.as_ref().unwrap().points(), before.half_placed().unwrap().points());
    assert_eq!(unsaved.half_placed.as_ref().unwrap().what(), before.half_placed().unwrap().what());
    assert_eq!((unsaved.written, unsaved.case_file), (second(100), Some(desk.file().display().to_string())));
    assert_eq!(desk.on_disk(), sample(), "the case itself is untouched");
    assert!(!std::fs::read_to_string(desk.file()).unwrap().contains("700.0000001"));
}

#[test]
fn accepted_work_is_one_step() {
    let desk = Desk::new();
    let lost = crashed(&desk);
    let mut open = desk.open();
    assert_eq!((text(open.case()), open.is_changed()), (text(&sample()), false));
    let [offer] = open.offers() else { panic!("one offer") };
    assert_eq!((&offer.file, offer.meanwhile), (&desk.autosave(), Meanwhile::Unchanged));
    let file = offer.file.clone();
    assert!(open.accept(&file).unwrap().is_some());
    assert_eq!(text(open.case()), text(lost.case()));
    assert_eq!(open.half_placed().unwrap().points(), lost.half_placed().unwrap().points());
    assert!(open.is_changed() && open.offers().is_empty());
    assert_eq!(open.next_undo(), Some("recover unsaved work"));
    open.undo();
    assert_eq!((text(open.case()), open.half_placed()), (text(&sample()), None));
    assert!(!open.is_changed() && open.next_undo().is_none());
    open.redo();
    // The half-placed ball can be finished, and the save clears away what was put by.
    open.click(Position::new(60.0, 700.0), None).unwrap();
    open.complete_placing().unwrap();
    assert_eq!(open.accept(&file).unwrap(), None);
    open.save(Replace::No).unwrap();
    assert_eq!(desk.files(), ["tooth.case.json"]);
    assert_eq!(desk.on_disk().calibration.references.len(), 2);
    assert!(desk.open().offers().is_empty());
}

#[test]
fn declined_work_stays_until_the_user_says_so() {
    let desk = Desk::new();
    let lost = crashed(&desk);
    let mut open = desk.open();
    assert!(open.decline(&desk.autosave()) && !open.decline(&desk.autosave()));
    open.apply(label("other work")).unwrap();
    let Autosaved::Written(own) = open.autosave(second(200)).unwrap() else { panic!("unsaved work") };
    assert_ne!(own, desk.autosave());
    open.apply(label("more of it")).unwrap();
    assert_eq!(open.autosave(second(300)).unwrap(), Autosaved::Written(own.clone()));
    let mut third = desk.open();
    let found: Vec<_> =
        third.offers().iter().map(|it| (it.file.clone(), it.unsaved.case.label.clone())).collect();
    let label = |text: &str| Some(text.to_owned());
    assert_eq!(found, [(own.clone(), label("more of it")), (desk.autosave(), label("lost?"))]);
    // Saving removes what is its own.
    open.save(Replace::No).unwrap();
    assert!(!own.exists());
    assert_eq!(text(&Unsaved::read(&desk.autosave()).unwrap().case), text(lost.case()));
    let mut fourth = desk.open();
    assert_eq!(fourth.offers()[0].meanwhile, Meanwhile::Changed);
    assert!(fourth.discard(&desk.autosave()).unwrap());
    assert!(!fourth.discard(&desk.file()).unwrap(), "only what was found can be deleted");
    assert_eq!(desk.files(), ["tooth.case.json"]);
    assert!(third.discard(&desk.autosave()).unwrap(), "gone already is as good as deleted");
}

#[test]
fn a_deliberate_close_leaves_nothing() {
    let desk = Desk::new();
    let mut open = crashed(&desk);
    open.remove_autosaves().unwrap();
    assert_eq!(desk.files(), ["tooth.case.json"]);
}

#[test]
fn an_autosave_that_only_was_not_removed_is_not_offered() {
    let desk = Desk::new();
    let mut open = desk.open();
    open.apply(label("saved")).unwrap();
    open.autosave(second(1)).unwrap();
    let kept = std::fs::read(desk.autosave()).unwrap();
    open.save(Replace::No).unwrap();
    std::fs::write(desk.autosave(), kept).unwrap();
    let mut open = desk.open();
    assert!(open.offers().is_empty());
    open.apply(label("more")).unwrap();
    open.save(Replace::No).unwrap();
    assert_eq!(desk.files(), ["tooth.case.json"]);
}

#[test]
fn what_cannot_be_read_is_said_and_left() {
    let desk = Desk::new();
    std::fs::write(desk.autosave(), "{\"format\": \"crestg").unwrap();
    let mut open = desk.open();
    assert!(open.offers().is_empty());
    let [spoiled] = open.spoiled() else { panic!("one") };
    assert!(spoiled.why.to_string().contains("no unsaved work"), "{}", spoiled.why);
    open.apply(label("work")).unwrap();
    let Autosaved::Written(own) = open.autosave(second(1)).unwrap() else { panic!("unsaved work") };
    assert_ne!(own, desk.autosave());
    assert!(open.discard(&desk.autosave()).unwrap() && open.spoiled().is_empty());
}

#[test]
fn without_a_file_work_is_kept_by_its_film() {
    let folder = tempfile::tempdir().unwrap();
    let state = folder.path().join("state");
    let begin =
        |films: &str| OpenCase::unfiled(sample(), folder.path().join(films), engine(), Some(state.clone()));
    let mut open = begin("films");
    open.apply(label("begun")).unwrap();
    let film = open.case().film.sha256.clone().unwrap();
    let Autosaved::Written(own) = open.autosave(second(7)).unwrap() else { panic!("unsaved work") };
    assert_eq!(own, state.join("unsaved").join(format!("{film}.unsaved")));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = std::fs::metadata(state.join("unsaved")).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o700, "a path can carry a patient's name");
    }
    // The film was moved meanwhile; its name in the new place wins.
    let mut again = begin("elsewhere");
    assert_eq!(again.offers().len(), 1);
    again.accept(&own).unwrap();
    assert_eq!(again.case().label.as_deref(), Some("begun"));
    // Another film's case, and another case on this film, are not bothered with it.
    let file = folder.path().join("other.case.json");
    again.save_as(&file, Replace::No).unwrap();
    assert!(names(&state.join("unsaved")).is_empty());
    open.apply(label("begun again")).unwrap();
    open.autosave(second(8)).unwrap();
    let other = OpenCase::open(&file, engine(), Some(state.clone())).unwrap();
    assert!(other.offers().is_empty());
    // Nowhere at all is said.
    let mut homeless = OpenCase::unfiled(sample(), folder.path().into(), engine(), None);
    homeless.apply(label("homeless")).unwrap();
    let why = homeless.autosave(second(1)).unwrap_err().to_string();
    assert!(why.contains("no folder to keep it in"), "{why}");
    assert!(homeless.autosave_is_due(second(1), INTERVAL), "it is tried again");
}

/// A disk may be slow: whatever it does, the latest work is what stands there in the end.
#[test]
fn autosaves_of_another_thread_come_one_after_the_other() {
    let desk = Desk::new();
    let mut open = desk.open();
    let (send, ended) = std::sync::mpsc::channel();
    for count in 1..=50_u64 {
        open.apply(label(&count.to_string())).unwrap();
        let send = send.clone();
        open.begin_autosave(second(count), move || send.send(count).unwrap());
        assert!(open.is_autosaving());
    }
    let kept = loop {
        match open.take_autosaved() {
            Some(came_to) => break came_to.unwrap(),
            None => std::thread::yield_now(),
        }
    };
    assert_eq!(kept, Autosaved::Written(desk.autosave()));
    assert!(!open.is_autosaving() && open.take_autosaved().is_none(), "it is told once");
    assert!(!open.autosave_is_due(second(1000), INTERVAL));
    assert_eq!(Unsaved::read(&desk.autosave()).unwrap().case.label.as_deref(), Some("50"));
    assert_eq!(desk.files(), [".tooth.case.json.unsaved", "tooth.case.json"]);
    drop(send);
    // Each says so after it was taken in, and so not always before the next one does.
    let mut ended: Vec<u64> = ended.iter().collect();
    ended.sort_unstable();
    assert_eq!(ended, (1..=50).collect::<Vec<_>>(), "each says that it ended");
}

#[test]
fn what_changes_while_an_autosave_is_written_is_due_again() {
    let desk = Desk::new();
    let mut open = desk.open();
    open.apply(label("a")).unwrap();
    open.begin_autosave(second(0), || ());
    open.apply(label("b")).unwrap();
    while open.take_autosaved().is_none() {
        std::thread::yield_now();
    }
    assert_eq!(Unsaved::read(&desk.autosave()).unwrap().case.label.as_deref(), Some("a"));
    assert!(open.autosave_is_due(second(10), INTERVAL));
}

/// Work that was saved or given up must not come back by an autosave that was still on its way.
#[test]
fn a_save_and_a_close_wait_for_an_autosave_that_is_being_written() {
    let desk = Desk::new();
    for count in 0..20 {
        let mut open = desk.open();
        open.apply(label(&count.to_string())).unwrap();
        open.begin_autosave(second(0), || ());
        if count % 2 == 0 {
            open.save(Replace::No).unwrap();
        } else {
            open.remove_autosaves().unwrap();
        }
        assert_eq!(desk.files(), ["tooth.case.json"]);
        assert!(open.take_autosaved().is_none(), "it is no longer needed, whatever it came to");
    }
}

/// A program that ends, and a window that dies, leave a whole autosave.
#[test]
fn whoever_drops_a_case_waits_for_its_autosave() {
    let desk = Desk::new();
    let mut open = desk.open();
    open.apply(label("kept")).unwrap();
    open.begin_autosave(second(0), || ());
    drop(open);
    assert_eq!(Unsaved::read(&desk.autosave()).unwrap().case.label.as_deref(), Some("kept"));
    assert_eq!(desk.files(), [".tooth.case.json.unsaved", "tooth.case.json"]);
}

#[test]
fn an_autosave_of_another_thread_that_fails_is_told_and_due_again() {
    let desk = Desk::new();
    let mut open = OpenCase::unfiled(sample(), std::path::PathBuf::new(), engine(), None);
    open.apply(label("a")).unwrap();
    open.begin_autosave(second(0), || ());
    let told = loop {
        match open.take_autosaved() {
            Some(came_to) => break came_to.unwrap_err().to_string(),
            None => std::thread::yield_now(),
        }
    };
    assert!(told.contains("could not be put by"), "{told}");
    assert!(open.autosave_is_due(second(1), INTERVAL));
    assert_eq!(desk.files(), ["tooth.case.json"]);
}
