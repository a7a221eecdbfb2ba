//! The worksheet drawn: every control has a name, every glyph is there, and what is pressed asks for the right thing.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::session::{Session, Start};
use super::super::theme;
use super::super::work::Work;
use super::Worksheet;
use super::progress::Part;
use crate::case::{Case, Fdi, RootName, read_text};
use crate::editor::{Edit, Engine, OpenCase};
use crate::film::Bounds;
use eframe::egui::{self, accesskit::Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::cell::{Cell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;

/// The narrowest a worksheet can be made.
const WIDTH: f32 = 340.0;
const EMPTY: &str = r#"{"format": "crestgauge.case", "version": 1}"#;
const MOLAR: &str = r#"{"format": "crestgauge.case", "version": 1,
    "film": {"width_px": 1300, "height_px": 1000, "stage": "crowned", "technique": "bisecting"},
    "tooth": {"fdi": "16"},
    "calibration": {"references": [
        {"kind": "instrument", "points": [{"x": 860, "y": 260}, {"x": 900, "y": 870}], "object": "file-21"},
        {"kind": "sphere", "points": [{"x": 10, "y": 20}, {"x": 90, "y": 30}, {"x": 50, "y": 80}], "diameter_mm": 2},
        {"kind": "receptor", "pitch_mm": [0.03, 0.03]}, {"kind": "scan", "dpi": 600}]},
    "landmarks": {"core_top": {"hidden": "under the crown"}, "crest.mesial": {"x": 430, "y": 500},
        "crown_edge": {"x": 660, "y": 180, "state": "planned"}},
    "roots": [
        {"name": "mesiobuccal", "landmarks": {"filling_top": {"absent": "none"}, "filling_tip": {"absent": "none"}},
            "sections": [{"points": [{"x": 1, "y": 2}, {"x": 3, "y": 2}, {"x": 4, "y": 2}, {"x": 6, "y": 2}]}]},
        {"name": "distobuccal", "canal": [{"x": 560, "y": 450}, {"x": 530, "y": 650}]},
        {"name": "palatal", "post_here": true}],
    "clinical": {"ferrule_mm": {"lingual": {"value": 2.5, "by": "calliper"}}, "planned_core_height_mm": 5}}"#;

/// A worksheet that is drawn and takes in what is asked for.
struct Desktop {
    harness: Harness<'static>,
    session: Rc<RefCell<Session>>,
    asked: Rc<RefCell<Vec<Action>>>,
    /// The width the worksheet took.
    drawn: Rc<Cell<f32>>,
}

impl Desktop {
    fn with(case: Case, open_all: bool, points_per_pixel: f32, dark: bool) -> Self {
        let engine = Arc::new(Engine::embedded().unwrap());
        // An empty film beside the case would be looked for; none is needed here.
        let start = Start {
            file: Some(PathBuf::from("no-such.case.json")),
            engine: Arc::clone(&engine),
            state_folder: None,
            bounds: Bounds::default(),
        };
        let mut session = Session::new(start, || {});
        session.work = Some(Work::new(OpenCase::unfiled(case, PathBuf::new(), engine, None)));
        let session = Rc::new(RefCell::new(session));
        let asked = Rc::new(RefCell::new(Vec::new()));
        let (shown, taken) = (Rc::clone(&session), Rc::clone(&asked));
        let mut worksheet = Worksheet::default();
        let drawn = Rc::new(Cell::new(0.0));
        let took = Rc::clone(&drawn);
        let mut is_set_up = false;
        let harness = Harness::builder()
            .with_size([900.0, 2600.0])
            .with_pixels_per_point(points_per_pixel)
            .with_max_steps(12)
            .build_ui(move |ui| {
                if !is_set_up {
                    is_set_up = true;
                    theme::install(ui);
                    ui.set_theme(if dark { egui::Theme::Dark } else { egui::Theme::Light });
                }
                let mut actions = Vec::new();
                let held = shown.borrow();
                egui::Panel::right("worksheet").default_size(WIDTH).show(ui, |ui| {
                    worksheet.show(ui, &mut Desk { session: &held, actions: &mut actions });
                    took.set(ui.min_rect().width());
                });
                if open_all {
                    for part in Part::ALL {
                        worksheet.folds.open(part);
                    }
                }
                drop(held);
                for action in actions {
                    taken.borrow_mut().push(action.clone());
                    shown.borrow_mut().take(action);
                    ui.request_repaint();
                }
            });
        Self { harness, session, asked, drawn }
    }

    fn press(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.harness.run();
    }

    fn case(&self) -> Case {
        self.session.borrow().work.as_ref().unwrap().open.case().clone()
    }

    fn type_into(&mut self, name: &str, text: &str) {
        let field = self.harness.get_by_role_and_label(Role::TextInput, name);
        field.focus();
        field.type_text(text);
        self.harness.run();
        self.harness.key_press(egui::Key::Enter);
        self.harness.run();
    }
}

fn case(text: &str) -> Case {
    read_text(text).unwrap().case
}

#[test]
fn every_part_of_every_kind_of_case_is_drawn_with_names_and_glyphs() {
    let data = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/plans");
    let canine = std::fs::read_to_string(data.join("canine-23.case.json")).unwrap();
    for text in [EMPTY, MOLAR, &canine, include_str!("../../../tests/data/films-truth/film-102.case.json")] {
        for (points_per_pixel, dark) in [(1.0, true), (2.0, false)] {
            let mut desktop = Desktop::with(case(text), true, points_per_pixel, dark);
            desktop.harness.run();
            assert!(desktop.drawn.get() <= WIDTH, "{} wide", desktop.drawn.get());
            for fold in ["Add a reference", "Uncertainties", "As a list"] {
                if !(fold == "Add a reference" && text == EMPTY) {
                    desktop.press(fold);
                    assert!(desktop.drawn.get() <= WIDTH, "{fold}: {} wide", desktop.drawn.get());
                }
            }
            let asked = desktop.asked.borrow();
            // That the plan is drawn on the film follows from its part being open.
            let by_itself: Vec<_> = asked.iter().filter(|it| **it != Action::ShowPlan(true)).collect();
            assert!(by_itself.is_empty(), "{by_itself:?}");
        }
    }
}

#[test]
fn naming_a_tooth_lists_its_roots_in_one_step() {
    let mut desktop = Desktop::with(case(EMPTY), false, 1.0, true);
    desktop.harness.run();
    desktop.press("Tooth: not named yet");
    desktop.press("tooth 36");
    let named = desktop.case();
    assert_eq!(named.tooth.fdi, Fdi::parse("36").ok());
    let roots: Vec<RootName> = named.roots.iter().map(|root| root.name).collect();
    assert_eq!(roots, [RootName::Mesial, RootName::Distal]);
    desktop.session.borrow_mut().take(Action::Command(super::super::command::Command::Undo));
    assert_eq!(desktop.case(), case(EMPTY));
}

#[test]
fn what_stood_on_top_leaves_no_hole_once_the_pointer_is_elsewhere() {
    let begins = |desktop: &Desktop| {
        let is_first = |label: String| label.contains("Film and tooth");
        desktop
            .harness
            .get_by(|node| node.role() == Role::Button && node.label().is_some_and(is_first))
            .rect()
            .top()
    };
    let mut desktop = Desktop::with(case(MOLAR), false, 1.0, true);
    desktop.harness.run();
    let before = begins(&desktop);
    assert!(desktop.harness.query_all_by_label_contains("more: scroll here").next().is_some());
    let none = Action::Edit(Edit::References(crate::editor::ListChange::Whole(Vec::new())));
    desktop.session.borrow_mut().take(none);
    desktop.harness.run();
    let mut fresh = Desktop::with(desktop.case(), false, 1.0, true);
    fresh.harness.run();
    assert!(before > begins(&fresh) + 20.0, "there is less to say");
    assert!((begins(&desktop) - begins(&fresh)).abs() < 1.0);
}

/// A list lies over the worksheet: the hand is on it, and what it belongs to must not move.
#[test]
fn nothing_moves_under_a_list_that_is_open() {
    let mut desktop = Desktop::with(case(MOLAR), false, 1.0, true);
    desktop.press("1  Film and tooth, done, closed");
    let list = |desktop: &Desktop| {
        desktop
            .harness
            .get_by(|node| {
                node.role() == Role::ComboBox
                    && node.label().is_some_and(|label| label.starts_with("Stage of treatment: "))
            })
            .rect()
    };
    desktop.harness.hover_at(list(&desktop).center());
    desktop.harness.run();
    // Less to say on top: its room stays while the pointer is here.
    let none = Action::Edit(Edit::References(crate::editor::ListChange::Whole(Vec::new())));
    desktop.session.borrow_mut().take(none);
    desktop.harness.run();
    let before = list(&desktop);
    desktop
        .harness
        .get_by(|node| {
            node.role() == Role::ComboBox
                && node.label().is_some_and(|label| label.starts_with("Stage of treatment: "))
        })
        .click();
    desktop.harness.run();
    assert!(egui::Popup::is_any_open(&desktop.harness.ctx));
    desktop.harness.get_by_label("filled, after the root filling").hover();
    desktop.harness.run();
    assert_eq!(list(&desktop), before, "the pointer is on the list");
    desktop.press("filled, after the root filling");
    assert_eq!(desktop.case().film.stage, Some(crate::case::Stage::Filled));
}

#[test]
fn which_root_the_post_is_in_is_asked_until_a_tick_or_a_word_says_it() {
    const ASKS: &str = "say which root the post is in";
    let open = MOLAR.replace(r#""palatal", "post_here": true"#, r#""palatal""#);
    let mut desktop = Desktop::with(case(&open), false, 1.0, true);
    desktop.harness.run();
    desktop.press(ASKS);
    let focused = desktop.harness.query_all_by(|node| node.is_focused() && node.label().is_some()).last();
    let name = focused.and_then(|node| node.accesskit_node().label());
    assert_eq!(name.as_deref(), Some("post is in the mesiobuccal root"));
    desktop.press("post is in the palatal root");
    assert_eq!(desktop.case().roots[2].post_here, Some(true));
    assert!(desktop.harness.query_by_label(ASKS).is_none());
    desktop.session.borrow_mut().take(Action::Command(super::super::command::Command::Undo));
    desktop.harness.run();
    desktop.press("There is no post");
    assert!(desktop.harness.query_by_label(ASKS).is_none());
    let tip = crate::case::Landmark::PostTip.id();
    let marks = |desktop: &Desktop| -> Vec<bool> {
        let absent = |mark: &crate::case::Mark| matches!(mark, crate::case::Mark::Absent { .. });
        desktop.case().roots.iter().map(|root| root.landmarks.marks.get(&tip).is_some_and(absent)).collect()
    };
    assert_eq!(marks(&desktop), [true; 3]);
    desktop.session.borrow_mut().take(Action::Command(super::super::command::Command::Undo));
    assert_eq!(marks(&desktop), [false; 3], "one step takes it back");
}

#[test]
fn a_number_is_taken_with_a_comma_and_a_wrong_one_refused_beside_its_field() {
    let mut desktop = Desktop::with(case(EMPTY), true, 1.0, true);
    desktop.harness.run();
    desktop.type_into("ferrule, buccal", "1,5");
    let readings = |desktop: &Desktop| desktop.case().clinical.ferrule_mm.readings;
    assert_eq!(readings(&desktop).values().map(|it| it.value).collect::<Vec<_>>(), [1.5]);
    let field = desktop.harness.get_by_role_and_label(Role::TextInput, "ferrule, buccal");
    assert_eq!(field.value().as_deref(), Some("1.5"));
    let undo = Action::Command(super::super::command::Command::Undo);
    desktop.session.borrow_mut().take(undo);
    desktop.harness.run();
    let field = desktop.harness.get_by_role_and_label(Role::TextInput, "ferrule, buccal");
    assert_eq!(field.value().unwrap_or_default(), "", "what was taken back is no longer shown");
    desktop.type_into("ferrule, buccal", "1.5 mm");
    assert_eq!(readings(&desktop).len(), 1);
    desktop.type_into("ferrule, lingual", "99");
    assert_eq!(readings(&desktop).len(), 1);
    desktop.harness.get_by_label_contains("Not taken:");
    assert!(desktop.session.borrow().notices.len() <= 1, "only that the file of the start is missing");
    desktop.type_into("wall thickness, buccal", "thick");
    desktop.harness.get_by_label_contains("is no number");
    assert!(desktop.case().clinical.wall_mm.readings.is_empty());
}

#[test]
fn a_landmark_is_aimed_at_from_the_list_and_hidden_with_a_reason() {
    let mut desktop = Desktop::with(case(MOLAR), true, 1.0, true);
    desktop.harness.run();
    desktop.press("As a list");
    desktop.press("crest, distal, to place");
    let aim = desktop.session.borrow().work.as_ref().unwrap().aim;
    let Some(Target::Landmark(at)) = aim else { panic!("{aim:?}") };
    assert_eq!(at.words(), "crest, distal");
    desktop
        .harness
        .get_by_role_and_label(Role::TextInput, "reason why crest, distal is hidden or absent")
        .focus();
    desktop
        .harness
        .get_by_role_and_label(Role::TextInput, "reason why crest, distal is hidden or absent")
        .type_text("behind the neighbour");
    desktop.harness.run();
    desktop.press("crest, distal is hidden");
    let mark = at.mark(&desktop.case()).cloned();
    assert!(
        matches!(&mark, Some(crate::case::Mark::Hidden { hidden, .. }) if hidden == "behind the neighbour"),
        "{mark:?}"
    );
}

#[test]
fn a_length_is_typed_and_its_ends_are_asked_for() {
    let mut desktop = Desktop::with(case(EMPTY), true, 1.0, true);
    desktop.harness.run();
    assert!(desktop.harness.get_by_label("Click its ends on the film").accesskit_node().is_disabled());
    // The pointer goes from the field to the button: the press that ends the typing is already heard.
    desktop.harness.get_by_role_and_label(Role::TextInput, "Length").focus();
    desktop.harness.run();
    desktop.harness.get_by_role_and_label(Role::TextInput, "Length").type_text("21");
    desktop.harness.run();
    let at = desktop.harness.get_by_label("Click its ends on the film").rect().center();
    desktop.harness.hover_at(at);
    for pressed in [true, false] {
        let button = egui::PointerButton::Primary;
        desktop.harness.event(egui::Event::PointerButton {
            pos: at,
            button,
            pressed,
            modifiers: egui::Modifiers::NONE,
        });
        desktop.harness.run();
    }
    let begun = desktop.asked.borrow().last().cloned();
    assert!(matches!(begun, Some(Action::BeginPlacing { whole_at: Some(2), .. })), "{begun:?}");
    desktop.harness.get_by_label_contains("click point 1 of 2");
    assert!(!desktop.asked.borrow().iter().any(|it| matches!(it, Action::Edit(Edit::References(_)))));
}

#[test]
fn what_is_to_be_read_first_is_scrolled_by_the_keyboard() {
    let mut desktop = Desktop::with(case(MOLAR), false, 1.0, true);
    desktop.harness.run();
    let first = desktop.session.borrow().work.as_ref().unwrap().open.film_cautions().len();
    assert_eq!(first, 0, "what is cautioned about comes from the case");
    let area = || "what is to be read first; arrow keys scroll it";
    let tops = |desktop: &Desktop| -> Vec<f32> {
        let room = desktop.harness.get_by_role_and_label(Role::ScrollView, area()).rect();
        let words = desktop.harness.query_all_by(|node| node.role() == Role::Label);
        words.map(|node| node.rect()).filter(|it| room.contains(it.center())).map(|it| it.top()).collect()
    };
    let begun = tops(&desktop);
    desktop.harness.get_by_role_and_label(Role::ScrollView, area()).focus();
    desktop.harness.run();
    assert_eq!(tops(&desktop), begun);
    desktop.harness.key_press(egui::Key::ArrowDown);
    desktop.harness.run();
    assert_ne!(tops(&desktop), begun, "an arrow key scrolls it");
    desktop.harness.key_press(egui::Key::ArrowUp);
    desktop.harness.run();
    assert_eq!(tops(&desktop), begun);
    for _ in 0..10 {
        desktop.harness.key_press(egui::Key::PageDown);
        desktop.harness.run();
    }
    assert!(
        desktop.harness.query_all_by_label_contains("more: scroll here").next().is_none(),
        "its end is come to"
    );
}

#[test]
fn the_keyboard_goes_from_mark_to_mark_of_the_drawing() {
    let mut desktop = Desktop::with(case(MOLAR), true, 1.0, true);
    desktop.harness.run();
    let begins = |label: String| label.starts_with("drawing of the tooth");
    let drawing = |desktop: &Desktop| {
        let found =
            desktop.harness.get_by(|node| node.role() == Role::Image && node.label().is_some_and(begins));
        found.accesskit_node().label().unwrap()
    };
    desktop.harness.get_by(|node| node.role() == Role::Image && node.label().is_some_and(begins)).focus();
    desktop.harness.run();
    let stands_at = |desktop: &Desktop| drawing(desktop).split_once("; at ").map(|(_, at)| at.to_owned());
    let first = stands_at(&desktop).expect("it says where the keyboard stands");
    let mut passed = vec![first];
    for _ in 0..3 {
        desktop.harness.key_press(egui::Key::ArrowRight);
        desktop.harness.run();
        passed.push(stands_at(&desktop).unwrap());
    }
    assert!(passed.windows(2).all(|pair| pair[0] != pair[1]), "{passed:?}");
    desktop.harness.key_press(egui::Key::ArrowLeft);
    desktop.harness.run();
    assert_eq!(stands_at(&desktop).as_ref(), passed.get(2));
    desktop.harness.key_press(egui::Key::Enter);
    desktop.harness.run();
    let chosen = desktop.session.borrow().work.as_ref().unwrap().landmark_meant().unwrap();
    assert!(passed[2].starts_with(&chosen.words()), "{passed:?}: {}", chosen.words());
    // Each mark is there for those who hear it, too.
    let mark = format!("mark of {}", passed[0]);
    desktop.harness.get_by_role_and_label(Role::Button, &mark).click_accesskit();
    desktop.harness.run();
    let chosen = desktop.session.borrow().work.as_ref().unwrap().landmark_meant().unwrap();
    assert!(passed[0].starts_with(&chosen.words()), "{passed:?}: {}", chosen.words());
}
