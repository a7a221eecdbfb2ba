//! Menus and shortcuts: both go through the table of commands, and do the same.

use crate::desk::{Desk, Window};
use crestgauge::case::{Case, Landmark, Side};
use crestgauge::editor::{HalfPlaced, LandmarkAt, Selection};
use crestgauge::film::{Tone, Window as ToneWindow};
use crestgauge::geometry::Position;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::{Command, Reach};
use crestgauge::viewer::question::Question;
use crestgauge::viewer::remembered::{Scale, Setting, Theme};
use crestgauge::viewer::reporting::Shows;
use crestgauge::viewer::session::Help;
use crestgauge::viewer::viewport::Viewport;
use eframe::egui::{self, Key, Modifiers};

/// Everything that a command could change.
#[derive(Debug, PartialEq)]
struct Shown {
    work: Option<ShownWork>,
    /// In words, without the folder, which is another one for each window.
    question: String,
    help: Option<Help>,
    report: Option<Shows>,
    theme: Theme,
    scale: Scale,
    quits: bool,
    notices: Vec<String>,
    focus: bool,
}

#[derive(Debug, PartialEq)]
struct ShownWork {
    case: Case,
    half_placed: Option<HalfPlaced>,
    selection: Option<Selection>,
    viewport: Viewport,
    tone: Tone,
    compares: bool,
    is_bare: bool,
    aim: Option<Target>,
    is_changed: bool,
    next_undo: Option<String>,
    next_redo: Option<String>,
}

fn shown(window: &Window, desk: &Desk) -> Shown {
    let session = window.session();
    let work = session.work.as_ref().map(|work| ShownWork {
        case: work.open.case().clone(),
        half_placed: work.open.half_placed().cloned(),
        selection: work.open.selection(),
        viewport: work.viewport,
        tone: work.tone,
        compares: work.compares,
        is_bare: work.is_bare,
        aim: work.aim,
        is_changed: work.open.is_changed(),
        next_undo: work.open.next_undo().map(str::to_owned),
        next_redo: work.open.next_redo().map(str::to_owned),
    });
    Shown {
        work,
        question: format!("{:?}", session.question).replace(desk.path("").to_str().unwrap(), ""),
        help: session.help,
        report: session.reporting.shows,
        theme: session.remembered.theme,
        scale: session.remembered.scale,
        quits: session.quits,
        notices: session.notices.iter().map(|notice| notice.text.clone()).collect(),
        focus: on_film(window),
    }
}

fn on_film(window: &Window) -> bool {
    window.harness.ctx.memory(egui::Memory::focused) == Some(egui::Id::unique("film"))
}

/// A window in which every command can be done and changes something, with the keyboard on the film.
fn ready(desk: &Desk) -> Window {
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.take(Action::Set(Setting::Scale(Scale::default().smaller())));
    for label in ["one", "two", "three"] {
        window.label_case(label);
    }
    window.take(Action::Command(Command::Undo));
    let apex = LandmarkAt { root: None, id: Landmark::FinishLine.on(Side::Mesial) };
    window.take(Action::Aim(Some(Target::Landmark(apex))));
    window.take(Action::Select(Some(Selection::Landmark(apex))));
    window
        .take(Action::Tone(Tone { window: Some(ToneWindow::around(150.0, 100.0, 255)), ..Tone::default() }));
    for command in [Command::Mirror, Command::ZoomIn, Command::ZoomIn] {
        window.take(Action::Command(command));
    }
    window.take(Action::Look(crestgauge::viewer::action::Look::Centre(Position::new(300.0, 300.0))));
    window.press(Modifiers::NONE, Key::F6);
    if !on_film(&window) {
        window.press(Modifiers::NONE, Key::F6);
    }
    assert!(on_film(&window));
    window
}

/// Part by part, so that what differs can be read.
fn assert_same(one: &Shown, other: &Shown, what: &str) {
    if let (Some(one), Some(other)) = (&one.work, &other.work) {
        assert_eq!(one.viewport, other.viewport, "{what}");
        assert_eq!((one.selection, one.aim), (other.selection, other.aim), "{what}");
        assert_eq!(one.case, other.case, "{what}");
    }
    assert_eq!(one, other, "{what}");
}

/// What can be done only while a case is placed for practice: `practice` works through them.
const OF_PRACTICE: [Command; 2] = [Command::FinishPlacing, Command::NextPractice];

#[test]
fn every_shortcut_does_what_the_menu_does() {
    for command in Command::ALL.iter().filter(|command| !OF_PRACTICE.contains(command)) {
        // Each in a folder of its own: what one puts by must not be offered to the next.
        let desk = Desk::new();
        let mut by_menu = ready(&desk);
        let before = shown(&by_menu, &desk);
        by_menu.choose(*command);
        let after = shown(&by_menu, &desk);
        if *command != Command::Switch {
            assert_ne!(
                Shown { focus: before.focus, ..shown(&by_menu, &desk) },
                before,
                "{command:?} does nothing"
            );
        }
        // What counts while its key is held is over once that is let go.
        for keys in command.shortcuts().iter().filter(|_| command.reach() != Reach::WhileHeld) {
            let desk = Desk::new();
            let mut by_key = ready(&desk);
            by_key.press(keys.modifiers, keys.logical_key);
            let by_key = Shown { focus: after.focus, ..shown(&by_key, &desk) };
            assert_same(&by_key, &after, &format!("{command:?} by {keys:?}"));
        }
    }
}

#[test]
fn what_cannot_be_done_now_does_nothing() {
    let desk = Desk::new();
    let window = ready(&desk);
    for command in Command::ALL {
        let is_of_practice = OF_PRACTICE.contains(command);
        assert_eq!(command.is_enabled(window.session()), !is_of_practice, "{command:?}");
    }
    let mut window = desk.window(None);
    let (enabled, not): (Vec<Command>, Vec<Command>) =
        Command::ALL.iter().partition(|command| command.is_enabled(window.session()));
    assert!(!enabled.is_empty() && !not.is_empty());
    for command in &not {
        window.harness.state_mut().session_mut().take(Action::Command(*command));
    }
    window.settle();
    assert!(window.session().work.is_none() && window.session().question.is_none());
}

#[test]
fn no_two_commands_share_a_shortcut() {
    let mut seen = std::collections::HashMap::new();
    for command in Command::ALL {
        for keys in command.shortcuts() {
            let other = seen.insert(format!("{keys:?}"), command);
            assert_eq!(other, None, "{keys:?}");
        }
    }
}

#[test]
fn letters_typed_are_no_commands() {
    let desk = Desk::new();
    let mut window = ready(&desk);
    window.take(Action::Command(Command::OpenNamed));
    let before = window.work().viewport;
    for key in [Key::M, Key::F, Key::H, Key::Delete, Key::Backspace] {
        window.press(Modifiers::NONE, key);
    }
    window.press(Modifiers::COMMAND, Key::W);
    assert_eq!(window.work().viewport, before);
    assert!(matches!(window.session().question, Some(Question::OpenName { .. })));
}

#[test]
fn the_list_of_shortcuts_has_every_command() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.press(Modifiers::NONE, Key::F1);
    assert_eq!(window.session().help, Some(Help::Shortcuts));
    for command in Command::ALL.iter().filter(|command| !command.shortcuts().is_empty()) {
        assert!(window.says(command.hint()), "{command:?}");
    }
    assert!(Command::ALL.iter().any(|command| command.reach() == Reach::OnFilm));
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.session().help, None);
    window.choose(Command::About);
    assert!(window.says("licensed clinician") && window.says("not a certified medical device"));
}

#[test]
fn both_themes() {
    let desk = Desk::new();
    let mut window = ready(&desk);
    let is_dark = |window: &Window| window.harness.ctx.global_style().visuals.dark_mode;
    assert!(is_dark(&window));
    window.choose(Command::Theme);
    assert!(!is_dark(&window));
    // What is remembered is the theme of the next window.
    assert!(!is_dark(&desk.window(None)));
    window.choose(Command::Theme);
    assert!(is_dark(&window));
}
