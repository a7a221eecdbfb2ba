//! A whole case from an empty window to the library's numbers and a file: by the keyboard alone, and by accessible names
//! alone, as one works who sees no pointer or no screen.

use crate::desk::{Desk, ENGINE, Window, sample};
use crate::placing::Expected;
use crestgauge::calibration::{Reference, ReferencePoint};
use crestgauge::case::{Answer, Finding, Site, Stage, read};
use crestgauge::editor::{Edit, LandmarkAt, PointAt, SiteReading, UncertaintyOf};
use crestgauge::geometry::{Position, Stored};
use crestgauge::measure::Draws;
use crestgauge::verdict::assess;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::reporting::Shows;
use crestgauge::viewer::session::Help;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Event, Key, Modifiers};
use egui_kittest::kittest::{AccessKitNode, NodeT as _, Queryable as _};

/// More controls than a window has.
const MOST_CONTROLS: usize = 500;

pub(crate) fn has_keyboard(node: &AccessKitNode<'_>) -> bool {
    node.is_focused()
}

impl Window {
    /// The name of what has the keyboard.
    pub(crate) fn focused(&self) -> Option<String> {
        self.harness.query_all_by(has_keyboard).last().and_then(|node| node.accesskit_node().label())
    }

    /// Moves the keyboard from control to control until it is on one of this role that is called so.
    fn tab_on(&mut self, role: Option<Role>, what: &str, is_called: impl Fn(&str) -> bool) {
        let mut passed = Vec::new();
        for _ in 0..MOST_CONTROLS {
            let focused = self.harness.query_all_by(has_keyboard).last();
            let found = focused.and_then(|node| {
                let node = node.accesskit_node();
                node.label().map(|label| (node.role(), label))
            });
            if let Some((of, label)) = found {
                if role.is_none_or(|role| role == of) && is_called(&label) {
                    return;
                }
                // On the film Tab goes from landmark to landmark; F6 leads on.
                let key = if label == "film" { Key::F6 } else { Key::Tab };
                passed.push(label);
                self.press(Modifiers::NONE, key);
            } else {
                self.press(Modifiers::NONE, Key::Tab);
            }
        }
        panic!("the keyboard does not come to {what}, only to {passed:#?}");
    }

    /// Moves the keyboard from control to control until it is on the one that is called so.
    pub(crate) fn tab_to(&mut self, name: &str) {
        self.tab_on(None, name, |label| label == name);
    }

    /// Opens a list of the worksheet.
    pub(crate) fn press_list(&mut self, list: &str) {
        let begins = format!("{list}: ");
        let found = self.harness.query_all_by(|node| {
            node.role() == Role::ComboBox && node.label().is_some_and(|label| label.starts_with(&begins))
        });
        found.last().unwrap_or_else(|| panic!("no list {list}")).click_accesskit();
        self.settle();
    }

    /// Where the film's part of the window is.
    pub(crate) fn film(&self) -> egui::Rect {
        self.harness.get_by_role_and_label(Role::Canvas, "film").rect()
    }
}

/// What somebody works with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Keys,
    Names,
}

/// Somebody at the window.
struct Hand {
    window: Window,
    by: By,
}

impl Hand {
    /// Presses what has this role and a name such as this.
    fn press_where(&mut self, role: Role, what: &str, is_called: impl Fn(&str) -> bool) {
        match self.by {
            By::Keys => {
                self.window.tab_on(Some(role), what, is_called);
                self.window.press(Modifiers::NONE, Key::Enter);
            }
            By::Names => {
                let found = self.window.harness.query_all_by(|node| {
                    node.role() == role && node.label().is_some_and(|label| is_called(&label))
                });
                let names: Vec<_> = found.collect();
                assert_eq!(names.len(), 1, "{what}: one is called so");
                names[0].click_accesskit();
                self.window.settle();
            }
        }
    }

    /// Presses the first that has this role and a name such as this.
    fn press_first(&mut self, role: Role, what: &str, is_called: impl Fn(&str) -> bool) {
        match self.by {
            By::Keys => self.press_where(role, what, is_called),
            By::Names => {
                let first = self.window.harness.query_all_by(|node| {
                    node.role() == role && node.label().is_some_and(|label| is_called(&label))
                });
                first.into_iter().next().unwrap_or_else(|| panic!("no {what}")).click_accesskit();
                self.window.settle();
            }
        }
    }

    fn press(&mut self, role: Role, name: &str) {
        self.press_where(role, name, |label| label == name);
    }

    /// Goes to the worksheet, where the keyboard is not there yet.
    fn go_to_worksheet(&mut self) {
        if self.by == By::Keys {
            // From the film, and from nowhere, once; from elsewhere by way of the film.
            if self.window.focused().is_some_and(|name| name != "film") {
                self.window.press(Modifiers::NONE, Key::F6);
                assert!(self.is_on_film());
            }
            self.window.press(Modifiers::NONE, Key::F6);
            assert!(!self.is_on_film());
        }
    }

    fn is_on_film(&self) -> bool {
        self.window.focused().as_deref() == Some("film")
    }

    fn choose(&mut self, list: &str, words: &str) {
        let begins = format!("{list}: ");
        self.press_where(Role::ComboBox, list, |label| label.starts_with(&begins));
        self.press(Role::Button, words);
        assert!(!egui::Popup::is_any_open(&self.window.harness.ctx), "{list} is closed again");
    }

    fn fill(&mut self, field: &str, text: &str) {
        match self.by {
            By::Keys => {
                self.window.tab_on(Some(Role::TextInput), field, |label| label == field);
                self.window.press(Modifiers::COMMAND, Key::A);
                self.window.type_text(text);
                // Left by Tab, as from field to field.
                self.window.press(Modifiers::NONE, Key::Tab);
            }
            By::Names => {
                let harness = &self.window.harness;
                harness.get_by_role_and_label(Role::TextInput, field).set_text_value_accesskit(text);
                self.window.settle();
            }
        }
    }

    /// Opens a part of the worksheet, where it has not opened by itself.
    fn open(&mut self, title: &str) {
        let named =
            |label: &str| label.contains(title) && (label.ends_with(", open") || label.ends_with(", closed"));
        let is_open = self
            .window
            .harness
            .get_by(|node| node.role() == Role::Button && node.label().is_some_and(|label| named(&label)))
            .accesskit_node()
            .label()
            .is_some_and(|label| label.ends_with(", open"));
        if !is_open {
            self.press_where(Role::Button, title, named);
        }
    }

    /// Puts what is aimed at here.
    fn place(&mut self, x: f64, y: f64, held: Modifiers) {
        let before = self.window.work().aim;
        assert!(before.is_some(), "something is aimed at");
        match self.by {
            By::Keys => self.place_by_keys(Position::new(x, y), held),
            By::Names => {
                let film = self.window.harness.get_by_role_and_label(Role::Canvas, "film");
                film.set_text_value_accesskit(&format!("{x} {y}"));
                self.window.settle();
                let film = self.window.harness.get_by_role_and_label(Role::Canvas, "film");
                film.click_accesskit();
                self.window.settle();
            }
        }
    }

    /// Moves the cursor by tens of pixels, by pixels and by tenths, and presses Enter.
    fn place_by_keys(&mut self, to: Position<Stored>, held: Modifiers) {
        assert!(self.is_on_film(), "the keyboard came to the film, not to {:?}", self.window.focused());
        if self.window.work().cursor.is_none() {
            self.window.press(Modifiers::NONE, Key::ArrowRight);
        }
        for (length, modifiers) in
            [(10.0, Modifiers::COMMAND), (1.0, Modifiers::NONE), (0.1, Modifiers::SHIFT)]
        {
            let cursor = self.window.work().cursor.expect("a cursor on the film");
            for (way, back, forth) in [
                (to.x - cursor.x, Key::ArrowLeft, Key::ArrowRight),
                (to.y - cursor.y, Key::ArrowUp, Key::ArrowDown),
            ] {
                let key = if way < 0.0 { back } else { forth };
                let mut left = way.abs() / length;
                while left > 0.5 {
                    self.window.harness.key_press_modifiers(modifiers, key);
                    left -= 1.0;
                }
            }
            self.window.settle();
        }
        self.window.press(held, Key::Enter);
    }

    fn begin(&mut self, film: &str) {
        match self.by {
            By::Keys => {
                self.window.press(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::O);
                self.window.type_text(film);
                self.window.press(Modifiers::NONE, Key::Enter);
            }
            By::Names => {
                self.press(Role::Button, "Open by name…");
                self.fill("Path of the film or case", film);
                self.press(Role::Button, "Open");
            }
        }
        self.window.until_film();
    }

    fn tooth_and_stage(&mut self) {
        self.go_to_worksheet();
        self.choose("Tooth", "tooth 21");
        self.choose("Stage of treatment", "post and core in place");
        self.choose("Technique", "paralleling");
        self.choose("Where mesial lies", "on the left of the film");
        self.press(Role::CheckBox, "post is in the single root");
    }

    fn scale(&mut self) {
        self.open("Scale");
        self.fill("Length", "21,0");
        self.fill("Standard uncertainty", "0.1");
        self.choose("What the length lies between", "tip to rubber stop");
        self.press(Role::Button, "Click its ends on the film");
        let case = sample();
        for ReferencePoint { x, y, .. } in reference(&case).points {
            self.place(x, y, Modifiers::NONE);
        }
        self.go_to_worksheet();
        self.press(Role::DisclosureTriangle, "Uncertainties");
        for of in UncertaintyOf::ALL {
            self.fill(of.words(), &of.value(&case).unwrap().to_string());
        }
        self.fill("uncertainty of the ratio of the scales across and along", "0.03");
    }

    fn aim(&mut self, at: LandmarkAt) {
        let is_aimed_at = |hand: &Self| hand.window.work().aim == Some(Target::Landmark(at));
        match self.by {
            By::Keys => {
                if !self.is_on_film() {
                    self.window.press(Modifiers::NONE, Key::F6);
                }
                for keys in [Modifiers::NONE].into_iter().chain([Modifiers::SHIFT; 80]) {
                    if is_aimed_at(self) {
                        break;
                    }
                    self.window.press(keys, Key::Tab);
                }
            }
            By::Names => {
                let begins = format!("{}, ", at.words());
                self.press_where(Role::Button, &begins, |label| {
                    label.starts_with(&begins) && !label.contains("placed at")
                });
            }
        }
        assert!(is_aimed_at(self), "{}", at.words());
    }

    fn landmarks(&mut self) {
        if self.by == By::Names {
            self.open("Landmarks");
            self.press(Role::DisclosureTriangle, "As a list");
        }
        let case = sample();
        let root = &case.roots[0];
        let of_root = root.landmarks.marks.iter().map(|(id, mark)| (Some(root.name), *id, mark));
        for (root, id, mark) in case.landmarks.marks.iter().map(|(id, mark)| (None, *id, mark)).chain(of_root)
        {
            self.aim(LandmarkAt { root, id });
            let point = mark.point().expect("every landmark of the sample is placed");
            self.place(point.x, point.y, Modifiers::NONE);
        }
    }

    fn canal_and_section(&mut self) {
        self.go_to_worksheet();
        self.open("Landmarks");
        self.press(Role::DisclosureTriangle, "Canal and sections");
        self.press(Role::Button, "Draw it");
        let case = sample();
        let root = &case.roots[0];
        for point in &root.canal {
            self.place(point.x, point.y, Modifiers::NONE);
        }
        // Once more at the same place: it is whole.
        match self.by {
            By::Keys => self.window.press(Modifiers::NONE, Key::Enter),
            By::Names => self.press(Role::Button, "Done"),
        }
        self.go_to_worksheet();
        self.press(Role::Button, "Add a section");
        for point in &root.sections[0].points {
            // Held, Alt lets it lie where it is placed; without, it falls onto the line square to the canal.
            self.place(point.x, point.y, Modifiers::ALT);
        }
        self.go_to_worksheet();
        self.fill("Level of section 1", "middle");
    }

    fn readings(&mut self) {
        self.open("Readings");
        let case = sample();
        for of in SiteReading::ALL {
            for (site, reading) in &of.value(&case).readings {
                let word = if *site == Site::Lingual { "palatal" } else { site.word() };
                let name = format!("{}, {word}", of.words());
                self.fill(&name, &reading.value.to_string());
                if let Some(sd) = reading.sd {
                    if self.by == By::Keys {
                        // Its field came up behind the one that was left: the first one back is how it was read.
                        for _ in 0..2 {
                            self.window.press(Modifiers::SHIFT, Key::Tab);
                        }
                    }
                    self.fill(&format!("standard uncertainty of {name}"), &sd.to_string());
                }
            }
        }
        self.fill(
            "what the instrument's stop rests on",
            case.clinical.stop_reference_name.as_deref().unwrap(),
        );
        let object = ENGINE.library.objects().iter().find(|object| object.name == "peeso-2").unwrap();
        self.choose("Drill for the post space", &object.meaning);
    }

    /// Looks at what no number tells, and answers.
    fn first_look(&mut self) {
        self.go_to_worksheet();
        self.open("First look");
        for (finding, word) in [(Finding::CrackOrDeepPocket, "none"), (Finding::Apex, "healing")] {
            let question = finding.declaration().question;
            self.press(Role::RadioButton, &format!("{question} {word}"));
            let answers = &self.window.work().open.case().clinical.first_look.answers;
            assert_eq!(answers.get(&finding), Some(&Answer::Word(word)));
        }
    }

    /// Opens a verdict, looks at the plan's card and at the pages of the report.
    fn decide(&mut self) {
        self.open("Measurements and verdicts");
        self.press_first(Role::Button, "a verdict", |label| label.starts_with("undecided: "));
        assert!(self.window.says("On the word of"));
        self.open("Post depth and drill");
        for shown in [Some(Help::Card), None] {
            match self.by {
                By::Keys => self.window.press(Modifiers::NONE, Key::K),
                By::Names => {
                    self.press(Role::Button, "Case");
                    self.press_where(Role::Button, "the card", |label| {
                        label.starts_with("Card for the chair")
                    });
                }
            }
            assert_eq!(self.window.session().help, shown);
        }
        self.open("Report");
        self.press(Role::Button, "Show the pages");
        assert_eq!(self.window.session().reporting.shows, Some(Shows::Pages));
        self.press(Role::Button, "Back to the film");
        assert_eq!(self.window.session().reporting.shows, None);
    }

    fn save(&mut self) {
        match self.by {
            By::Keys => {
                self.window.press(Modifiers::COMMAND, Key::S);
                self.window.press(Modifiers::NONE, Key::Enter);
            }
            By::Names => {
                self.press(Role::Button, "File");
                self.press_where(Role::Button, "Save", |label| {
                    label.starts_with("Save Ctrl") || label == "Save"
                });
                self.press(Role::Button, "Save");
            }
        }
    }
}

fn reference(case: &crestgauge::case::Case) -> crestgauge::calibration::Instrument {
    match case.calibration.references[0].clone() {
        Reference::Instrument(instrument) => instrument,
        other => panic!("the sample has an instrument, not {other:?}"),
    }
}

/// Every point of the sample.
fn points() -> Vec<PointAt> {
    let case = sample();
    let root = &case.roots[0];
    let name = root.name;
    let whole = case.landmarks.marks.keys().map(|id| LandmarkAt { root: None, id: *id });
    let of_root = root.landmarks.marks.keys().map(|id| LandmarkAt { root: Some(name), id: *id });
    let canal = (0..root.canal.len()).map(|at| PointAt::Canal { root: name, at });
    let section =
        (0..root.sections[0].points.len()).map(|at| PointAt::Section { root: name, section: 0, at });
    let reference = (0..reference(&case).points.len()).map(|at| PointAt::Reference { reference: 0, at });
    whole.chain(of_root).map(PointAt::Landmark).chain(canal).chain(section).chain(reference).collect()
}

/// Works through the sample's case and compares what became of it. `apart` is how far a point may lie from where the
/// sample has it, pixels.
fn work_through(by: By, apart: impl Fn(PointAt) -> f64) {
    let desk = Desk::new();
    let mut hand = Hand { window: desk.window(None), by };
    hand.begin(desk.film().to_str().unwrap());
    hand.tooth_and_stage();
    hand.scale();
    hand.landmarks();
    hand.canal_and_section();
    hand.readings();

    let case = hand.window.work().open.case().clone();
    let mut expected = Expected { case: sample() };
    for point in points() {
        let (wanted, is) = (point.position(&sample()).unwrap(), point.position(&case));
        let is = is.unwrap_or_else(|| panic!("{} is placed", point.words()));
        let off = is.way_from(wanted).length();
        assert!(off <= apart(point), "{}: {off} px off", point.words());
        expected.put(point, is);
    }
    assert_eq!(case, expected.case, "nothing else was changed");
    let numbers = hand.window.work().numbers.clone();
    let derived = &numbers.as_ref().as_ref().unwrap().derived;
    let by_library = assess(&case, &ENGINE.library, &ENGINE.criteria, Draws::default(), &[]).unwrap();
    assert_eq!(derived, &by_library);
    assert!(derived.measurements.iter().filter(|row| row.value.is_some()).count() > 15);

    hand.save();
    let file = hand.window.work().open.file().expect("it has a file").to_path_buf();
    assert!(!hand.window.work().open.has_unsaved_work());
    assert_eq!(read(&file).unwrap().case, case);

    hand.first_look();
    hand.decide();
}

#[test]
fn by_the_keyboard_alone() {
    // The last step of the cursor is a tenth of a pixel across and down.
    work_through(By::Keys, |_| 0.05 * std::f64::consts::SQRT_2 + 1e-9);
}

#[test]
fn by_accessible_names_alone() {
    // Without a key held, what follows the first point of a section falls onto the line square to the canal.
    work_through(
        By::Names,
        |point| if matches!(point, PointAt::Section { at: 1.., .. }) { 6.0 } else { 1e-9 },
    );
}

#[test]
fn the_film_says_where_the_cursor_is_and_what_comes_next_and_takes_no_place_beside_it() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    let film = |window: &Window| {
        let node = window.harness.get_by_role_and_label(Role::Canvas, "film");
        (node.value().unwrap_or_default(), node.accesskit_node().description().unwrap_or_default())
    };
    assert_eq!(film(&window).0, "no cursor");
    let set = |window: &mut Window, words: &str| {
        window.harness.get_by_role_and_label(Role::Canvas, "film").set_text_value_accesskit(words);
        window.settle();
    };
    set(&mut window, "x 120,5, y 300.25 px");
    assert_eq!(window.work().cursor, Some(Position::new(120.5, 300.25)));
    assert_eq!(film(&window).0, "x 120.5, y 300.2 px");
    for words in ["", "here", "1", "1 2 3", "-5 20", "20 99999", "nan 4", "inf 4"] {
        set(&mut window, words);
        assert_eq!(window.work().cursor, Some(Position::new(120.5, 300.25)), "{words}");
        assert!(window.says("no place on the film"), "{words}");
        window.click("Dismiss");
    }
    for _ in 0..2 {
        // To the worksheet first, and from there to the film.
        window.press(Modifiers::NONE, Key::F6);
    }
    assert_eq!(window.focused().as_deref(), Some("film"));
    window.press(Modifiers::NONE, Key::Tab);
    let Some(Target::Landmark(at)) = window.work().aim else { panic!("something is aimed at") };
    assert!(film(&window).1.contains(&at.words()), "{}", film(&window).1);
    window.harness.event(Event::PointerGone);
}

/// Lists by the keyboard: it comes to what is chosen, Down goes to the next, Enter takes, and Esc changes nothing.
#[test]
fn a_list_opens_at_what_is_chosen_and_every_entry_is_come_by() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.open_part("Film and tooth");
    let stage = |window: &Window| window.work().open.case().film.stage;
    let list = |window: &mut Window| {
        window.tab_on(Some(Role::ComboBox), "Stage", |label| label.starts_with("Stage of treatment: "));
    };
    let entries: Vec<Option<Stage>> =
        std::iter::once(None).chain(Stage::ALL.iter().map(|(_, stage)| Some(*stage))).collect();
    window.take(Action::Edit(Edit::Stage(None)));
    list(&mut window);
    for open in [Key::Enter, Key::Space] {
        window.take(Action::Edit(Edit::Stage(None)));
        for pair in entries.windows(2) {
            assert_eq!(stage(&window), pair[0]);
            window.press(Modifiers::NONE, open);
            window.press(Modifiers::NONE, Key::ArrowDown);
            window.press(Modifiers::NONE, Key::Enter);
            assert_eq!(stage(&window), pair[1], "the one below {:?}", pair[0]);
            assert!(!egui::Popup::is_any_open(&window.harness.ctx));
            assert!(window.focused().is_some_and(|name| name.starts_with("Stage of treatment: ")));
        }
        let last = stage(&window);
        window.press(Modifiers::NONE, open);
        window.press(Modifiers::NONE, Key::ArrowUp);
        window.press(Modifiers::NONE, Key::Escape);
        assert_eq!(stage(&window), last, "Esc chooses nothing");
        assert!(!egui::Popup::is_any_open(&window.harness.ctx));
        assert!(window.focused().is_some_and(|name| name.starts_with("Stage of treatment: ")));
        // Enter at once takes what is chosen already.
        let undo = window.work().open.next_undo().map(str::to_owned);
        window.press(Modifiers::NONE, open);
        window.press(Modifiers::NONE, Key::Enter);
        assert_eq!((stage(&window), window.work().open.next_undo().map(str::to_owned)), (last, undo));
        assert!(!egui::Popup::is_any_open(&window.harness.ctx));
    }
}
