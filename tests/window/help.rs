//! Windows of help: the keyboard is theirs while they are open, and nothing behind them changes unseen.

use crate::desk::{Desk, Window, sample};
use crate::planning::canine;
use crestgauge::case::{Landmark, RootName};
use crestgauge::editor::{LandmarkAt, Selection};
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::session::Help;
use eframe::egui::{self, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;

/// Every window of help, and the command that opens it.
const ALL: [(Help, Command); 8] = [
    (Help::Guide, Command::Guide),
    (Help::Shortcuts, Command::Shortcuts),
    (Help::About, Command::About),
    (Help::Settings, Command::Settings),
    (Help::Card, Command::Card),
    (Help::Practice, Command::Practise),
    (Help::Curves, Command::Curves),
    (Help::Agreement, Command::Agreement),
];

fn apex() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() }
}

impl Window {
    fn is_on_film(&self) -> bool {
        self.harness.ctx.memory(egui::Memory::focused) == Some(egui::Id::unique("film"))
    }

    /// Whether the keyboard is in what lies over the panels.
    fn is_over(&self) -> bool {
        let focused = self.harness.ctx.memory(egui::Memory::focused);
        let focused = focused.and_then(|id| self.harness.ctx.read_response(id));
        focused.is_some_and(|it| it.layer_id.order == egui::Order::Middle)
    }

    /// The keyboard on the film, with a point selected.
    fn on_film_with_a_point(desk: &Desk) -> Self {
        let mut case = canine();
        (case.film.file, case.film.sha256) = (None, None);
        let mut window = desk.window(Some(&desk.write("canine.case.json", &case)));
        window.take(Action::Aim(None));
        window.take(Action::Select(Some(Selection::Landmark(apex()))));
        for _ in 0..2 {
            if !window.is_on_film() {
                window.press(Modifiers::NONE, Key::F6);
            }
        }
        assert!(window.is_on_film());
        window
    }

    /// Opens it as somebody does whose hands are on the keys, where it has any.
    fn open_help(&mut self, help: Help, command: Command) {
        match command.shortcuts().first() {
            Some(keys) => self.press(keys.modifiers, keys.logical_key),
            None => self.take(Action::Command(command)),
        }
        assert_eq!(self.session().help, Some(help));
    }
}

#[test]
fn no_key_behind_a_window_of_help_changes_the_case() {
    // A window that did not take the keys would move the point by the first of them.
    let desk = Desk::new();
    let mut window = Window::on_film_with_a_point(&desk);
    let before = window.work().open.case().clone();
    window.press(Modifiers::NONE, Key::ArrowDown);
    assert_ne!(*window.work().open.case(), before);
    for (help, command) in ALL {
        for is_aimed in [false, true] {
            let desk = Desk::new();
            let mut window = Window::on_film_with_a_point(&desk);
            if is_aimed {
                window.take(Action::Aim(Some(Target::Landmark(apex()))));
                window.press(Modifiers::NONE, Key::ArrowUp);
                assert!(window.work().cursor.is_some());
            }
            let stands = |window: &Window| {
                let work = window.work();
                let place = (work.open.selection(), work.aim, work.cursor, work.viewport);
                (work.open.case().clone(), place, work.open.next_undo().map(str::to_owned))
            };
            let before = stands(&window);
            window.open_help(help, command);
            assert!(window.is_over(), "{help:?}: it takes the keyboard");
            let keys = [
                Key::ArrowDown,
                Key::ArrowDown,
                Key::ArrowUp,
                Key::ArrowRight,
                Key::ArrowLeft,
                Key::Delete,
                Key::Backspace,
                Key::H,
                Key::A,
                Key::P,
                Key::M,
                Key::Z,
                Key::D,
            ];
            for key in keys {
                window.press(Modifiers::NONE, key);
                assert_eq!(stands(&window), before, "{help:?}: {key:?}");
                assert!(window.is_over(), "{help:?}: {key:?} leaves it");
            }
            assert_eq!(window.session().help, Some(help));
            // On whatever it begins at, Enter does what that is for, and nothing to the case.
            window.press(Modifiers::NONE, Key::Enter);
            assert_eq!(stands(&window).0, before.0, "{help:?}: Enter");
        }
    }
}

#[test]
fn tab_stays_within_a_window_of_help_and_escape_gives_the_keyboard_back() {
    for (help, command) in ALL {
        let desk = Desk::new();
        let mut window = Window::on_film_with_a_point(&desk);
        window.open_help(help, command);
        let focused = |window: &Window| window.harness.ctx.memory(egui::Memory::focused).unwrap();
        let first = focused(&window);
        let mut seen = vec![first];
        loop {
            window.press(Modifiers::NONE, Key::Tab);
            assert!(window.is_over(), "{help:?}: Tab leaves it after {}", seen.len());
            let now = focused(&window);
            if now == first {
                break;
            }
            assert!(seen.len() < 200, "{help:?}: Tab never comes round");
            seen.push(now);
        }
        for expected in seen.iter().rev() {
            window.press(Modifiers::SHIFT, Key::Tab);
            assert!(window.is_over(), "{help:?}: Shift+Tab leaves it");
            assert_eq!(focused(&window), *expected, "{help:?}: back the way it came");
        }
        window.press(Modifiers::NONE, Key::Escape);
        assert_eq!(window.session().help, None, "{help:?}");
        assert!(window.is_on_film(), "{help:?}: who has read goes on where the work is");
    }
}

#[test]
fn one_window_of_help_after_another_has_the_keyboard_and_its_own_key_closes_it() {
    let desk = Desk::new();
    let mut window = Window::on_film_with_a_point(&desk);
    window.press(Modifiers::NONE, Key::K);
    assert_eq!(window.session().help, Some(Help::Card));
    window.press(Modifiers::NONE, Key::F1);
    assert!(window.session().help == Some(Help::Shortcuts) && window.is_over());
    window.press(Modifiers::NONE, Key::K);
    assert_eq!(window.session().help, Some(Help::Shortcuts), "a letter is none for what lies behind");
    window.press(Modifiers::NONE, Key::F1);
    assert!(window.session().help.is_none() && window.is_on_film());
    window.press(Modifiers::NONE, Key::K);
    window.press(Modifiers::NONE, Key::K);
    assert!(window.session().help.is_none() && window.is_on_film());
}

#[test]
fn f6_goes_between_a_window_of_help_and_the_worksheet() {
    let desk = Desk::new();
    let mut window = Window::on_film_with_a_point(&desk);
    window.open_help(Help::Shortcuts, Command::Shortcuts);
    window.press(Modifiers::NONE, Key::F6);
    assert!(!window.is_over() && !window.is_on_film());
    window.press(Modifiers::NONE, Key::Tab);
    assert!(!window.is_over(), "in the worksheet Tab goes its way");
    window.press(Modifiers::NONE, Key::F6);
    assert!(window.is_over());
}

#[test]
fn beside_a_guide_the_film_is_still_pressed_and_tab_comes_back_in() {
    let desk = Desk::new();
    let mut case = sample();
    case.roots[0].landmarks.marks.remove(&Landmark::Apex.id());
    (case.film.file, case.film.sha256) = (None, None);
    let mut window = desk.window(Some(&desk.write("tooth.case.json", &case)));
    window.take(Action::Command(Command::Guide));
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    assert!(window.is_over(), "what is aimed at does not take the keyboard from what is read");
    // Beside the window, which lies over the middle.
    let at = window.film().left_bottom() + egui::vec2(12.0, -60.0);
    let place = window.place(at);
    let is_within = |length: f64, at: f64| at >= 0.0 && at <= length;
    let [width, height] = window.work().viewport.film_size();
    let at = if is_within(width, place.x) && is_within(height, place.y) { at } else { window.middle() };
    window.harness.hover_at(at);
    window.button(at, true, Modifiers::NONE);
    window.button(at, false, Modifiers::NONE);
    window.settle();
    window.press(Modifiers::NONE, Key::Tab);
    assert!(window.is_over());
}

#[test]
fn what_is_only_read_is_scrolled_by_the_keyboard() {
    let desk = Desk::new();
    for (help, command, words) in [
        (Help::Guide, Command::Guide, "Guide"),
        (Help::Shortcuts, Command::Shortcuts, Command::Open.hint()),
        (Help::About, Command::About, "What to be careful of"),
        (Help::Card, Command::Card, "The stop rests on:"),
    ] {
        let mut window = Window::on_film_with_a_point(&desk);
        window.harness.set_size(egui::vec2(900.0, 560.0));
        window.settle();
        window.open_help(help, command);
        if help == Help::About {
            // Folded there is little to scroll.
            window.harness.get_by_label("The licence MIT").click_accesskit();
            window.settle();
        }
        let first = |window: &Window| {
            let texts = window.harness.query_all_by_label_contains(words);
            texts.map(|node| node.rect().top()).collect::<Vec<_>>()
        };
        let begun = first(&window);
        window.press(Modifiers::NONE, Key::ArrowDown);
        assert_ne!(first(&window), begun, "{help:?}: an arrow key scrolls it");
        window.press(Modifiers::NONE, Key::PageDown);
        let after = first(&window);
        let moved = begun.iter().zip(&after).map(|(one, other)| one - other).fold(0.0, f32::max);
        assert!(moved > 100.0, "{help:?}: {begun:?} {after:?}");
        window.press(Modifiers::NONE, Key::PageUp);
        window.press(Modifiers::NONE, Key::ArrowUp);
        let back = first(&window);
        assert!(begun.iter().zip(&back).all(|(one, other)| (one - other).abs() < 1.0), "{help:?}");
    }
}
