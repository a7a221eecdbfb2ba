//! What is asked, by name, with pointer and keyboard.

use crate::desk::{Desk, Window};
use crestgauge::case::read_text;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use eframe::egui::{Key, Modifiers, ViewportCommand, ViewportEvent, ViewportId};

fn changed(desk: &Desk) -> Window {
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.label_case("work");
    // Where the keyboard usually is when something is asked.
    window.press(Modifiers::NONE, Key::F6);
    if !window.harness.ctx.memory(|memory| memory.has_focus(eframe::egui::Id::unique("film"))) {
        window.press(Modifiers::NONE, Key::F6);
    }
    window
}

fn label_in(desk: &Desk, name: &str) -> Option<String> {
    read_text(&std::fs::read_to_string(desk.path(name)).unwrap()).unwrap().case.label
}

#[test]
fn closing_asks_by_name() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    window.press(Modifiers::COMMAND, Key::W);
    assert!(window.shows("The case is not saved") && window.says("before closing"));
    window.click("Stay here");
    assert!(window.session().question.is_none() && window.work().open.is_changed());
    window.press(Modifiers::COMMAND, Key::W);
    window.press(Modifiers::NONE, Key::Escape);
    assert!(window.session().question.is_none(), "Esc changes nothing");
    window.press(Modifiers::COMMAND, Key::W);
    window.click("Go on without saving");
    assert!(window.session().work.is_none());
    assert_eq!(label_in(&desk, "tooth.case.json"), crate::desk::sample().label);
}

#[test]
fn the_keyboard_alone_saves_and_closes() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    window.press(Modifiers::COMMAND, Key::W);
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.session().work.is_none(), "Enter takes the answer that loses nothing");
    assert_eq!(label_in(&desk, "tooth.case.json").as_deref(), Some("work"));
}

#[test]
fn the_window_closes_only_once_work_is_settled() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    let close = |window: &mut Window| {
        let viewports = &mut window.harness.input_mut().viewports;
        viewports.entry(ViewportId::ROOT).or_default().events.push(ViewportEvent::Close);
        window.harness.step();
        let commands: Vec<_> = window
            .harness
            .output()
            .viewport_output
            .values()
            .flat_map(|output| output.commands.clone())
            .collect();
        let viewports = &mut window.harness.input_mut().viewports;
        viewports.entry(ViewportId::ROOT).or_default().events.clear();
        commands.iter().any(|command| matches!(command, ViewportCommand::CancelClose))
    };
    assert!(close(&mut window), "the window stays");
    window.settle();
    assert!(window.says("before quitting"));
    window.click("Stay here");
    assert!(close(&mut window));
    window.settle();
    window.click("Go on without saving");
    assert!(window.session().quits);
    assert!(!close(&mut window), "now it may close");
}

#[test]
fn a_name_is_typed_and_a_file_replaced_only_on_a_second_answer() {
    let desk = Desk::new();
    let other = desk.write("other.case.json", &crate::desk::sample());
    let mut window = changed(&desk);
    window.press(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::S);
    assert!(window.shows("Name of the case's file"));
    // What is proposed is replaced by what is typed; the keyboard is there already.
    window.press(Modifiers::COMMAND, Key::A);
    window.type_text(other.to_str().unwrap());
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.says("exists. Replace it?"));
    window.press(Modifiers::NONE, Key::Enter);
    window.press(Modifiers::NONE, Key::Enter);
    assert_ne!(
        label_in(&desk, "other.case.json").as_deref(),
        Some("work"),
        "Enter pressed twice replaces nothing"
    );
    window.click("Replace");
    assert_eq!(label_in(&desk, "other.case.json").as_deref(), Some("work"));
    assert!(window.shows("saved as other.case.json"));
}

#[test]
fn without_a_dialog_of_the_system_names_are_typed() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.press(Modifiers::COMMAND, Key::O);
    assert!(window.says("offers no dialog"));
    window.type_text(desk.film().to_str().unwrap());
    window.press(Modifiers::NONE, Key::Enter);
    window.until_film();
    window.label_case("work");
    window.press(Modifiers::COMMAND, Key::S);
    window.click("Choose a place…");
    assert!(window.says("offers no dialog"));
    window.click("Save");
    assert_eq!(label_in(&desk, "film-102.case.json").as_deref(), Some("work"));
}

#[test]
fn another_programs_change_is_asked_about_by_name() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    let mut theirs = crate::desk::sample();
    theirs.label = Some("theirs, and longer".to_owned());
    theirs.film.file = None;
    desk.write("tooth.case.json", &theirs);
    window.press(Modifiers::COMMAND, Key::S);
    assert!(window.shows("Another program changed the case's file"));
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(
        label_in(&desk, "tooth.case.json").as_deref(),
        Some("theirs, and longer"),
        "Enter decides nothing"
    );
    window.press(Modifiers::COMMAND, Key::S);
    window.click("Take over what is there");
    assert_eq!(window.work().open.case().label.as_deref(), Some("theirs, and longer"));
    assert!(window.says("Undo brings yours back"));
}

#[test]
fn unsaved_work_is_offered_by_name() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    drop(changed(&desk));
    for (answer, label, is_left) in
        [("Leave it", None, true), ("Take it in", Some("work"), true), ("Delete it", None, false)]
    {
        let mut window = desk.window(Some(&file));
        assert!(window.says("Unsaved work was found"));
        window.click(answer);
        assert!(!window.says("Unsaved work was found"));
        let expected = label.map(str::to_owned).or(crate::desk::sample().label);
        assert_eq!(window.work().open.case().label, expected, "{answer}");
        assert_eq!(desk.path(".tooth.case.json.unsaved").exists(), is_left, "{answer}");
    }
}

#[test]
fn nothing_behind_a_question_can_be_used() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    window.take(Action::Command(Command::Quit));
    window.press(Modifiers::COMMAND, Key::Z);
    assert!(window.work().open.is_changed());
    window.click("File");
    assert!(!window.shows("Save as…"), "no menu opens");
    assert!(
        window.session().question.is_none() && !window.session().quits,
        "a click beside it changes nothing"
    );
}

#[test]
fn an_enter_too_many_destroys_nothing_another_program_wrote() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    let mut theirs = crate::desk::sample();
    theirs.label = Some("theirs, and longer".to_owned());
    theirs.film.file = None;
    desk.write("tooth.case.json", &theirs);
    window.press(Modifiers::COMMAND, Key::W);
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.shows("Another program changed the case's file"), "one question follows another");
    window.press(Modifiers::NONE, Key::Enter);
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(label_in(&desk, "tooth.case.json").as_deref(), Some("theirs, and longer"));
    assert_eq!(window.work().open.case().label.as_deref(), Some("work"), "nothing is lost here either");
}

#[test]
fn tab_goes_round_the_answers_and_the_keyboard_goes_back_to_the_film() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    window.press(Modifiers::COMMAND, Key::W);
    let focused = |window: &Window| window.harness.ctx.memory(eframe::egui::Memory::focused);
    let mut seen = Vec::new();
    for _ in 0..6 {
        let Some(id) = focused(&window) else {
            window.press(Modifiers::NONE, Key::Tab);
            continue;
        };
        if !seen.contains(&id) {
            seen.push(id);
        }
        window.press(Modifiers::NONE, Key::Tab);
    }
    assert_eq!(seen.len(), 3, "every answer can be reached");
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(focused(&window), Some(eframe::egui::Id::unique("film")));
}

#[test]
fn what_is_still_being_typed_is_saved_too() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    let mut window = desk.window(Some(&file));
    window.open_part("Film and tooth");
    window.type_into("Label, no patient's name", "typed and not left");
    window.press(Modifiers::COMMAND, Key::S);
    assert_eq!(label_in(&desk, "tooth.case.json").as_deref(), Some("typed and not left"));
    // Closing asks about it.
    window.type_into("Label, no patient's name", "more");
    window.press(Modifiers::COMMAND, Key::W);
    assert!(window.shows("The case is not saved"));
    window.click("Save");
    assert_eq!(label_in(&desk, "tooth.case.json").as_deref(), Some("more"));
}

#[test]
fn what_is_typed_and_refused_keeps_the_case_open() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    let mut window = desk.window(Some(&file));
    window.open_part("Film and tooth");
    window.type_into("Date of the film", "yesterday");
    window.press(Modifiers::COMMAND, Key::Q);
    assert!(!window.session().quits, "what was typed would be lost");
    assert!(window.says("first mend what was typed") && window.says("Date of the film"));
}

#[test]
fn letters_choose_in_a_list_that_is_open_and_change_no_case() {
    let desk = Desk::new();
    let mut window = changed(&desk);
    window.press(Modifiers::COMMAND, Key::S);
    window.click("View");
    let before = window.work().viewport;
    for key in [Key::M, Key::H, Key::A, Key::OpenBracket, Key::I] {
        window.press(Modifiers::NONE, key);
    }
    assert_eq!(window.work().viewport, before);
    assert!(!window.work().open.is_changed() && !window.work().tone.inverted);
}

#[test]
fn a_message_that_comes_or_goes_leaves_the_film_where_it_is() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    let view = window.work().viewport;
    window.take(Action::Open(desk.path("nowhere.case.json")));
    assert!(window.says("Problem:") && window.says("Still open is the case"));
    assert_eq!(window.work().viewport, view);
    window.click("Dismiss");
    assert!(!window.says("Problem:"));
    assert_eq!(window.work().viewport, view);
}
