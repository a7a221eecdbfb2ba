//! A whole case placed from an empty film, by clicks on the film and by names in the worksheet.

use crate::desk::{Desk, ENGINE, Window, sample};
use crestgauge::calibration::Reference;
use crestgauge::case::{Case, Document, Fdi, Landmark, LandmarkId, Mark, RootName, Site};
use crestgauge::editor::{LandmarkAt, PointAt, Selection};
use crestgauge::geometry::{Position, Stored};
use crestgauge::verdict::assess;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::viewport::View;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Event, Key, Modifiers, PointerButton, Pos2, pos2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

/// The film in the window, and clicks on it.
impl Window {
    pub(crate) fn middle(&self) -> Pos2 {
        self.harness.get_by_role_and_label(Role::Canvas, "film").rect().center()
    }

    /// Where a place of the film is seen, as near as a pointer can be told.
    #[allow(clippy::cast_possible_truncation)]
    pub(crate) fn seen(&self, place: Position<Stored>) -> Pos2 {
        let seen = self.work().viewport.seen(place);
        let middle = self.middle();
        pos2((f64::from(middle.x) + seen.x) as f32, (f64::from(middle.y) + seen.y) as f32)
    }

    /// Which place of the film a point of the window is.
    pub(crate) fn place(&self, at: Pos2) -> Position<Stored> {
        let middle = self.middle();
        let view: Position<View> =
            Position::new(f64::from(at.x) - f64::from(middle.x), f64::from(at.y) - f64::from(middle.y));
        self.work().viewport.place(view)
    }

    /// Clicks the film as near to a place as can be, and gives the place that was clicked.
    pub(crate) fn click_film(&mut self, x: f64, y: f64, held: Modifiers) -> Position<Stored> {
        let at = self.seen(Position::new(x, y));
        let placed = self.place(at);
        self.harness.event(Event::ModifiersChanged(held));
        self.harness.event(Event::PointerMoved(at));
        for pressed in [true, false] {
            let button = PointerButton::Primary;
            self.harness.event(Event::PointerButton { pos: at, button, pressed, modifiers: held });
            self.harness.step();
        }
        self.harness.event(Event::ModifiersChanged(Modifiers::NONE));
        self.harness.event(Event::PointerGone);
        // A second click at once would be a double one.
        for _ in 0..30 {
            self.harness.step();
        }
        self.settle();
        placed
    }

    /// Presses what is called so in the worksheet, wherever it is scrolled to.
    fn press_named(&mut self, role: Role, name: &str) {
        let found = self
            .harness
            .query_all_by(|node| node.role() == role && node.label().is_some_and(|label| label == name));
        found.last().unwrap_or_else(|| panic!("no {role:?} {name}")).click_accesskit();
        self.settle();
    }

    /// Presses the button of the worksheet whose name begins so.
    fn press_beginning(&mut self, words: &str) {
        let found = self.harness.query_all_by(|node| {
            let begins =
                node.label().is_some_and(|label| label.starts_with(words) && !label.contains("placed at"));
            node.role() == Role::Button && begins
        });
        found.last().unwrap_or_else(|| panic!("nothing is called so: {words}")).click_accesskit();
        self.settle();
    }

    /// Chooses from a list of the worksheet.
    fn choose_in(&mut self, list: &str, words: &str) {
        let found = self.harness.query_all_by(|node| {
            let begins = node.label().is_some_and(|label| label.starts_with(&format!("{list}: ")));
            node.role() == Role::ComboBox && begins
        });
        found.last().unwrap_or_else(|| panic!("no list {list}")).click_accesskit();
        self.settle();
        self.press_named(Role::Button, words);
        // A list closes on a click of the pointer; this one was pressed by its name.
        egui::Popup::close_all(&self.harness.ctx);
        self.settle();
    }

    /// Types into a field of the worksheet and leaves it.
    fn fill(&mut self, field: &str, text: &str) {
        self.type_into(field, text);
        self.press(Modifiers::NONE, Key::Enter);
    }

    /// Types into a field of the worksheet and stays there.
    pub(crate) fn type_into(&mut self, field: &str, text: &str) {
        let found = self.harness.query_all_by(|node| {
            node.role() == Role::TextInput && node.label().is_some_and(|label| label == field)
        });
        found.last().unwrap_or_else(|| panic!("no field {field}")).focus();
        self.settle();
        self.press(Modifiers::COMMAND, Key::A);
        self.type_text(text);
    }

    /// Opens a part of the worksheet, where it has not opened by itself.
    pub(crate) fn open_part(&mut self, title: &str) {
        let heading = self.harness.get_by(|node| {
            let is_heading =
                |label: &str| label.contains(title) && (label.ends_with("open") || label.ends_with("closed"));
            node.role() == Role::Button && node.label().is_some_and(|label| is_heading(&label))
        });
        if heading.accesskit_node().label().is_some_and(|label| label.ends_with("closed")) {
            heading.click_accesskit();
            self.settle();
        }
    }
}

fn text(case: &Case) -> String {
    serde_json::to_string(&Document { case, derived: None, case_file: None }).unwrap()
}

/// Places a landmark by its name in the list; gives what was clicked.
fn place(window: &mut Window, at: LandmarkAt, mark: &Mark) -> Position<Stored> {
    let point = mark.point().expect("every landmark of the sample is placed");
    window.press_beginning(&format!("{}, ", at.words()));
    window.click_film(point.x, point.y, Modifiers::NONE)
}

/// The sample's case as it is once every point lies where the pointer was.
pub(crate) struct Expected {
    pub(crate) case: Case,
}

impl Expected {
    pub(crate) fn put(&mut self, point: PointAt, to: Position<Stored>) {
        let roots = &mut self.case.roots;
        let (x, y) = match point {
            PointAt::Landmark(LandmarkAt { root, id }) => {
                let landmarks =
                    if root.is_some() { &mut roots[0].landmarks } else { &mut self.case.landmarks };
                let Some(Mark::Placed(point)) = landmarks.marks.get_mut(&id) else { panic!("{id:?}") };
                (&mut point.x, &mut point.y)
            }
            PointAt::Canal { at, .. } => {
                let point = &mut roots[0].canal[at];
                (&mut point.x, &mut point.y)
            }
            PointAt::Section { section, at, .. } => {
                let point = &mut roots[0].sections[section].points[at];
                (&mut point.x, &mut point.y)
            }
            PointAt::Reference { reference, at } => {
                let point = &mut self.case.calibration.references[reference].points_mut()[at];
                (&mut point.x, &mut point.y)
            }
        };
        (*x, *y) = (to.x, to.y);
    }
}

fn tooth_and_stage(window: &mut Window) {
    window.choose_in("Tooth", "tooth 21");
    window.choose_in("Stage of treatment", "post and core in place");
    window.choose_in("Technique", "paralleling");
    window.choose_in("Where mesial lies", "on the left of the film");
    window.press_named(Role::CheckBox, "post is in the single root");
}

fn scale(window: &mut Window, expected: &mut Expected) {
    window.open_part("Scale");
    window.fill("Length", "21,0");
    window.fill("Standard uncertainty", "0.1");
    window.choose_in("What the length lies between", "tip to rubber stop");
    window.press_named(Role::Button, "Click its ends on the film");
    let Reference::Instrument(instrument) = sample().calibration.references[0].clone() else {
        panic!("a length")
    };
    for (at, point) in instrument.points.iter().enumerate() {
        let placed = window.click_film(point.x, point.y, Modifiers::NONE);
        expected.put(PointAt::Reference { reference: 0, at }, placed);
    }
    window.press_named(Role::DisclosureTriangle, "Uncertainties");
    window.fill("uncertainty of the ratio of the scales across and along", "0.03");
    for of in crestgauge::editor::UncertaintyOf::ALL {
        let value = of.value(&sample()).unwrap().to_string();
        window.fill(of.words(), &value);
    }
}

fn landmarks(window: &mut Window, expected: &mut Expected) {
    window.open_part("Landmarks");
    window.press_named(Role::DisclosureTriangle, "As a list");
    let case = sample();
    let root = &case.roots[0];
    let of_root = root.landmarks.marks.iter().map(|(id, mark)| (Some(root.name), *id, mark));
    let all: Vec<(_, LandmarkId, _)> =
        case.landmarks.marks.iter().map(|(id, mark)| (None, *id, mark)).chain(of_root).collect();
    for (root, id, mark) in all {
        let at = LandmarkAt { root, id };
        let placed = place(window, at, mark);
        expected.put(PointAt::Landmark(at), placed);
    }
    window.press_named(Role::DisclosureTriangle, "Canal and sections");
    window.press_named(Role::Button, "Draw it");
    for (at, point) in root.canal.iter().enumerate() {
        let placed = window.click_film(point.x, point.y, Modifiers::NONE);
        expected.put(PointAt::Canal { root: root.name, at }, placed);
    }
    window.press_beginning("Click along it on the film; press here");
    window.press_named(Role::Button, "Add a section");
    for (at, point) in root.sections[0].points.iter().enumerate() {
        // Held, Alt lets it lie where it is clicked; without, it would fall onto the line square to the canal.
        let placed = window.click_film(point.x, point.y, Modifiers::ALT);
        expected.put(PointAt::Section { root: root.name, section: 0, at }, placed);
    }
    window.fill("Level of section 1", "middle");
}

fn readings(window: &mut Window) {
    window.open_part("Readings");
    let case = sample();
    for of in crestgauge::editor::SiteReading::ALL {
        for (site, reading) in &of.value(&case).readings {
            let word = if *site == Site::Lingual { "palatal" } else { site.word() };
            let name = format!("{}, {word}", of.words());
            window.fill(&name, &reading.value.to_string());
            if let Some(sd) = reading.sd {
                window.fill(&format!("standard uncertainty of {name}"), &sd.to_string());
            }
        }
    }
    window.fill("what the instrument's stop rests on", case.clinical.stop_reference_name.as_deref().unwrap());
    let meaning =
        ENGINE.library.objects().iter().find(|object| object.name == "peeso-2").unwrap().meaning.clone();
    window.choose_in("Drill for the post space", &meaning);
}

#[test]
fn from_an_empty_film_to_the_librarys_numbers_and_back() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    let draft = text(window.work().open.case());
    let mut expected = Expected { case: sample() };
    tooth_and_stage(&mut window);
    scale(&mut window, &mut expected);
    landmarks(&mut window, &mut expected);
    readings(&mut window);

    // To the last digit: what was clicked is where the view says the pointer was, and nothing else was changed.
    let case = window.work().open.case().clone();
    assert_eq!(case.landmarks, expected.case.landmarks);
    assert_eq!(case.roots, expected.case.roots);
    assert_eq!(case.calibration, expected.case.calibration);
    assert_eq!(case.clinical, expected.case.clinical);
    assert_eq!(case, expected.case);
    let numbers = window.work().numbers.clone();
    let numbers = numbers.as_ref().as_ref().unwrap();
    assert_eq!(numbers, &ENGINE.numbers(&expected.case, &[]).unwrap());
    let by_library =
        assess(&expected.case, &ENGINE.library, &ENGINE.criteria, crestgauge::measure::Draws::default(), &[])
            .unwrap();
    assert_eq!(numbers.derived, by_library);
    assert!(numbers.derived.measurements.iter().filter(|row| row.value.is_some()).count() > 15);
    assert!(window.shows("What film and probe are asked for is there. Still open:"));

    // Back to the draft, and there again.
    let end = text(&case);
    let mut steps = 0;
    while window.work().open.next_undo().is_some() {
        window.press(Modifiers::COMMAND, Key::Z);
        steps += 1;
        assert!(steps < 1_000, "an undo takes a step back");
    }
    assert_eq!(text(window.work().open.case()), draft);
    assert!(!window.work().open.has_unsaved_work());
    for _ in 0..steps {
        window.press(Modifiers::COMMAND, Key::Y);
    }
    assert_eq!(text(window.work().open.case()), end);
    assert_eq!(window.work().numbers.as_ref().as_ref().unwrap(), numbers);

    // And through a file.
    window.press(Modifiers::COMMAND, Key::S);
    window.press(Modifiers::NONE, Key::Enter);
    let read = crestgauge::case::read(window.work().open.file().unwrap()).unwrap().case;
    assert_eq!(text(&read), end);
}

#[test]
fn however_the_film_is_seen_the_same_place_is_placed() {
    let desk = Desk::new();
    let wanted = Position::new(534.25, 491.75);
    let at = LandmarkAt {
        root: None,
        id: crestgauge::case::Landmark::FinishLine.on(crestgauge::case::Side::Distal),
    };
    for commands in [
        &[][..],
        &[Command::Mirror],
        &[Command::TurnRight],
        &[Command::TurnLeft, Command::Mirror, Command::ZoomIn],
        &[Command::Mirror, Command::TurnRight, Command::TurnRight, Command::ZoomIn, Command::Invert],
    ] {
        let mut window = Window::new(desk.start(Some(&desk.film())), 1.5);
        window.until_film();
        for command in commands {
            window.take(Action::Command(*command));
        }
        window.take(Action::Aim(Some(crestgauge::viewer::action::Target::Landmark(at))));
        let clicked = window.click_film(wanted.x, wanted.y, Modifiers::NONE);
        let point = PointAt::Landmark(at).position(window.work().open.case()).expect("placed");
        assert_eq!(point, clicked, "{commands:?}");
        // The pointer's own resolution is all that is lost.
        assert!(point.way_from(wanted).length() < 1e-3, "{commands:?}: {point:?}");
        window.take(Action::Command(Command::Close));
    }
}

#[test]
fn the_tooth_is_named_by_keyboard_alone() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    window.open_part("Film and tooth");
    let list = |window: &Window| {
        let found = window.harness.query_all_by(|node| {
            node.role() == Role::ComboBox && node.label().is_some_and(|label| label.starts_with("Tooth: "))
        });
        found.last().map(|node| node.focus()).expect("the list of teeth");
    };
    list(&window);
    window.settle();
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.shows("tooth 21"), "the chart is open");
    // From 11 across the midline, down to the lower jaw, and two further back.
    for key in [Key::ArrowRight, Key::ArrowDown, Key::ArrowRight, Key::ArrowRight] {
        window.press(Modifiers::NONE, key);
    }
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(window.work().open.case().tooth.fdi, Fdi::parse("33").ok());
    assert!(!window.shows("tooth 21"), "the chart is closed");
    let focused = window.harness.ctx.memory(egui::Memory::focused);
    assert!(focused.is_some(), "the keyboard goes on from the list");
}

/// A landmark that is placed is chosen by its mark in the worksheet, and the next click on the film moves it nowhere.
#[test]
fn a_placed_landmark_is_chosen_in_the_worksheet_and_stays_where_it_is() {
    let desk = Desk::new();
    let apex = LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() };
    let mut window = desk.window(Some(&desk.case_without_film()));
    let before = window.work().open.case().clone();
    window.open_part("Landmarks");
    window.click("As a list");
    window.harness.query_all_by_label_contains("apex, placed").next().unwrap().click_accesskit();
    window.settle();
    assert_eq!(window.work().open.selection(), Some(Selection::Landmark(apex)));
    assert_eq!(window.work().aim, None);
    window.click_film(30.0, 30.0, Modifiers::NONE);
    assert_eq!(window.work().open.case(), &before);
}

/// What comes next gives the keyboard to where it is done, and two digits name a tooth.
#[test]
fn naming_the_tooth_is_gone_to_and_two_digits_do_it() {
    let desk = Desk::new();
    let mut case = sample();
    (case.film.file, case.film.sha256, case.tooth.fdi) = (None, None, None);
    let mut window = desk.window(Some(&desk.write("tooth.case.json", &case)));
    // The film says the same; the worksheet's is the one that is pressed.
    window.harness.get_by_role_and_label(Role::Button, "name the tooth").click_accesskit();
    window.settle();
    let focused = window.harness.query_all_by(|node| node.is_focused() && node.label().is_some()).next();
    let name = focused.and_then(|node| node.accesskit_node().label()).unwrap_or_default();
    assert!(name.starts_with("Tooth: "), "{name}");
    window.press(Modifiers::NONE, Key::Enter);
    window.type_text("1");
    assert_eq!(window.work().open.case().tooth.fdi, None);
    window.type_text("4");
    assert_eq!(window.work().open.case().tooth.fdi, Fdi::parse("14").ok());
}
