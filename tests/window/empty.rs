//! The window while no case is open.

use crate::desk::{Desk, Window};
use crestgauge::report::SAFETY;
use crestgauge::viewer::question::Question;
use eframe::egui;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[test]
fn it_says_what_the_program_is_for_and_how_to_begin() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    assert!(window.says("root-filled tooth") && window.shows(SAFETY));
    assert!(window.says("dropped onto this window"));
    assert!(!window.shows("Opened last"));
    window.click("Open by name…");
    assert!(matches!(window.session().question, Some(Question::OpenName { .. })));
    window.click("Open nothing");
    window.click("Open the sample");
    assert!(window.work().is_sample);
    window.until_film();
    assert!(window.says("SAMPLE, NOT A PATIENT"));
}

#[test]
fn what_was_opened_last_opens_again() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    drop(desk.window(Some(&file)));
    let mut window = desk.window(None);
    assert!(window.shows("Opened last"));
    window.click("tooth.case.json");
    assert_eq!(window.work().open.file(), Some(&*file));
    // In the menu too, where it can be forgotten.
    window.click("File");
    window.click("Open recent");
    window.click("Forget these");
    assert!(window.session().remembered.recent.is_empty());
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

#[test]
fn a_dropped_film_opens() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.harness.input_mut().dropped_files.push(Arc::new(Dropped(desk.film())));
    window.until_film();
    assert_eq!(window.work().open.case().film.file.as_deref(), Some("film-102.png"));
}

#[test]
fn the_keyboard_begins_in_the_worksheet_of_what_was_opened_from_here() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.click("Open the sample");
    window.until_film();
    window.press(egui::Modifiers::NONE, egui::Key::F6);
    let begins = window.focused().unwrap_or_default();
    assert!(begins.contains("Film and tooth"), "{begins}");
    window.press(egui::Modifiers::NONE, egui::Key::F6);
    assert_eq!(window.focused().as_deref(), Some("film"));
}

#[test]
fn of_several_dropped_files_the_first_opens_and_the_others_are_told_of() {
    let desk = Desk::new();
    let other = desk.case_without_film();
    let mut window = desk.window(None);
    for file in [other.clone(), desk.film()] {
        window.harness.input_mut().dropped_files.push(Arc::new(Dropped(file)));
    }
    window.settle();
    assert_eq!(window.work().open.file(), Some(&*other));
    assert!(window.says("1 more file was dropped"));
    // A film is there a moment later; what was said meanwhile still stands.
    let mut window = desk.window(None);
    for file in [desk.film(), other] {
        window.harness.input_mut().dropped_files.push(Arc::new(Dropped(file)));
    }
    window.until_film();
    assert!(window.says("1 more file was dropped"));
}

#[test]
fn what_is_dragged_over_the_window_is_told_what_becomes_of_it() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    let file = |name: &str| egui::HoveredFile { path: Some(desk.path(name)), ..Default::default() };
    let says = |window: &mut Window, names: &[&str]| {
        window.harness.input_mut().hovered_files = names.iter().map(|name| file(name)).collect();
        // What comes up is measured in one frame and seen in the next.
        window.harness.step();
        window.harness.step();
        window.drawn()
    };
    assert!(says(&mut window, &["a.png"]).contains("Let go to open a.png"));
    assert!(says(&mut window, &["a.png", "b.png"]).contains("Let go to open a.png, the first of 2"));
    window.harness.input_mut().hovered_files.clear();
    window.label_case("changed");
    window.press(egui::Modifiers::COMMAND, egui::Key::W);
    assert!(window.session().question.is_some());
    assert!(says(&mut window, &["a.png"]).contains("Answer what is asked first"));
    assert!(!says(&mut window, &[]).contains("Answer what is asked first"));
}

#[test]
fn a_bad_file_says_why_in_the_window() {
    let desk = Desk::new();
    for (name, bytes, why) in [
        ("letter.png", &b"a letter"[..], "text, not a picture"),
        ("cut.png", &std::fs::read(desk.film()).unwrap()[..5000], "cut.png"),
        ("broken.case.json", b"{\"format\": ", "broken.case.json"),
    ] {
        std::fs::write(desk.path(name), bytes).unwrap();
        let mut window = desk.window(Some(&desk.path(name)));
        window.until("a notice", |session| !session.notices.is_empty());
        assert!(window.shows("Problem:") && window.says(why), "{name}");
        window.click("Dismiss");
        assert!(!window.shows("Problem:") && window.shows("Open by name…"));
    }
}

/// What a program that was killed left is gone on with at one press.
#[test]
fn unsaved_work_is_gone_on_with_at_one_press() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    let mut window = desk.window(Some(&file));
    window.label_case("begun");
    window.until_put_by();
    drop(window);
    let mut window = desk.window(None);
    assert!(window.shows("Unsaved work was found"));
    window.harness.get_by_label_contains("go on with").click();
    window.settle();
    assert_eq!(window.work().open.case().label.as_deref(), Some("begun"));
    assert!(!window.shows("Take it in"));
}
