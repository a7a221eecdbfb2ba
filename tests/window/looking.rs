//! Looking back and forth between numbers and film, verdicts opened, the scratch ruler, repeats, the films of a
//! folder, and what is copied.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Landmark, Landmarks, RootName};
use crestgauge::editor::{LandmarkAt, PointAt};
use crestgauge::geometry::Position;
use crestgauge::report::MEASUREMENTS_HEADER;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question};
use crestgauge::viewer::ruler::Ruler;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, OutputCommand, Rect, Shape};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

const RESULTS: &str = "Measurements";

impl Window {
    /// A window on the sample's case without its film, its results open.
    fn with_results(desk: &Desk) -> Self {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.open_part(RESULTS);
        window
    }

    /// Gives the keyboard to the row of the worksheet whose name begins so.
    fn focus_row(&mut self, role: Role, begins: &str) {
        self.harness
            .get_all_by(|node| {
                node.role() == role && node.label().is_some_and(|label| label.starts_with(begins))
            })
            .next()
            .unwrap()
            .focus();
        self.settle();
    }

    /// The text that was drawn in the last frame.
    pub(crate) fn drawn(&self) -> String {
        fn text(shape: &Shape, all: &mut String) {
            match shape {
                Shape::Text(text) => {
                    all.push_str(text.galley.text());
                    all.push('\n');
                }
                Shape::Vec(shapes) => shapes.iter().for_each(|shape| text(shape, all)),
                _ => {}
            }
        }
        let mut all = String::new();
        self.harness.output().shapes.iter().for_each(|clipped| text(&clipped.shape, &mut all));
        all
    }

    /// Draws a few frames and gives what was put on the clipboard meanwhile.
    pub(crate) fn copied(&mut self) -> Option<String> {
        let mut copied = None;
        for _ in 0..4 {
            self.harness.step();
            for command in &self.harness.output().platform_output.commands {
                if let OutputCommand::CopyText(words) = command {
                    copied = Some(words.clone());
                }
            }
        }
        copied
    }

    fn lit(&self) -> usize {
        self.harness.query_all_by_label_contains("uses the point").count()
    }
}

fn apex() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() }
}

#[test]
fn a_number_that_has_the_keyboard_or_the_pointer_is_drawn_on_the_film() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    assert!(!window.drawn().contains("most of the"));
    window.focus_row(Role::ListItem, "root length ");
    assert_eq!(window.work().pointed_number.as_ref().map(|of| of.id.as_str()), Some("root_length"));
    let drawn = window.drawn();
    assert!(drawn.contains("root length ") && drawn.contains("most of the \u{b1}: "), "{drawn}");
    // The pointer goes before the keyboard, and is followed in the frame it comes in.
    let rows: Vec<_> = window
        .harness
        .get_all_by(|node| node.role() == Role::ListItem)
        .filter_map(|row| Some((row.accesskit_node().label()?, row.rect())))
        .collect();
    let own = rows.iter().find(|(name, _)| name.starts_with("root length ")).unwrap().1.center().y;
    let apart = |row: &&(String, Rect)| (row.1.center().y - own).abs();
    // The row was scrolled to from above, so those above it are in view.
    let others = rows.iter().filter(|row| own - row.1.center().y > 5.0);
    let (name, other) = others.min_by(|one, other| apart(one).total_cmp(&apart(other))).unwrap();
    window.harness.event(Event::PointerMoved(other.center()));
    window.harness.step();
    assert!(window.drawn().contains("most of the \u{b1}: "));
    let pointed = window.work().pointed_number.clone().unwrap();
    assert!(name.starts_with(&pointed.spoken()), "{name}, not {pointed:?}");
    window.harness.event(Event::PointerGone);
    window.settle();
    assert_eq!(window.work().pointed_number.as_ref().map(|of| of.id.as_str()), Some("root_length"));
    // The bare film is bare.
    window.press(Modifiers::NONE, Key::F6);
    window.harness.key_down(Key::B);
    window.settle();
    assert!(!window.drawn().contains("most of the"));
}

#[test]
fn tones_are_compared_while_c_is_held() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    window.take(Action::Command(Command::LocalContrast));
    let in_two = "the film in two: on the left ";
    assert!(!window.says(in_two));
    window.harness.key_down(Key::C);
    window.settle();
    assert!(window.says(in_two));
    assert!(window.says("on the right toned: local contrast"), "it says how the right side is toned");
    window.harness.key_up(Key::C);
    window.settle();
    assert!(!window.says(in_two));
}

#[test]
fn a_landmark_under_the_pointer_lights_the_numbers_that_use_it() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    window.take(Action::Aim(None));
    assert_eq!(window.lit(), 0);
    let place = PointAt::Landmark(apex()).position(window.work().open.case()).unwrap();
    let at = window.seen(place);
    window.harness.event(Event::PointerMoved(at));
    window.settle();
    assert_eq!(window.work().pointed_place, Some(PointAt::Landmark(apex())));
    let numbers = window.work().shown_numbers().unwrap();
    let using = numbers.measurements.iter().filter(|row| row.from.iter().any(|from| from == "apex")).count();
    assert!(using > 2);
    assert_eq!(window.lit(), using);
    assert!(window.drawn().contains("placing sd "));
    window.harness.event(Event::PointerGone);
    window.settle();
    assert_eq!((window.lit(), window.work().pointed_place), (0, None));
}

#[test]
fn a_verdict_opens_by_the_keyboard_and_tells_why() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    assert!(!window.says("On the word of"));
    window.focus_row(Role::Button, "undecided: ");
    window.press(Modifiers::NONE, Key::Enter);
    for words in ["On the word of", "Judged by", "Where its uncertainty comes from", "Settled by", "curve of"]
    {
        assert!(window.says(words), "{words}");
    }
    window.press(Modifiers::NONE, Key::Enter);
    assert!(!window.says("On the word of"));
}

#[test]
fn the_scratch_ruler_measures_and_leaves_nothing_behind() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    let aim = Some(Target::Landmark(apex()));
    window.take(Action::Aim(aim));
    let before = window.work().open.case().clone();
    window.press(Modifiers::NONE, Key::R);
    let ends = [(300.0, 420.0), (380.0, 700.0)].map(|(x, y)| window.click_film(x, y, Modifiers::NONE));
    assert_eq!(window.work().ruler.as_ref().map(|ruler| ruler.ends().to_vec()), Some(ends.to_vec()));
    let drawn = window.drawn();
    assert!(drawn.lines().any(|line| line.starts_with("scratch: ") && line.ends_with(" mm")), "{drawn}");
    assert_eq!(window.work().open.case(), &before);
    assert!(!window.work().open.has_unsaved_work());
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!((window.work().ruler.clone(), window.work().aim), (None, aim));
}

/// A drag lays both ends: the first where it begins, the other where it is let go.
#[test]
fn a_drag_lays_both_ends_of_the_ruler() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    window.press(Modifiers::NONE, Key::R);
    let [from, to] = [(300.0, 420.0), (380.0, 700.0)].map(|(x, y)| Position::new(x, y));
    let [begin, end] = [from, to].map(|place| window.seen(place));
    window.harness.event(Event::PointerMoved(begin));
    window.harness.step();
    window.button(begin, true, Modifiers::NONE);
    for part in [0.1_f32, 0.5, 1.0] {
        window.harness.event(Event::PointerMoved(begin + (end - begin) * part));
        window.harness.step();
    }
    window.button(end, false, Modifiers::NONE);
    window.settle();
    let ends = window.work().ruler.as_ref().map(|ruler| ruler.ends().to_vec()).unwrap();
    assert_eq!(ends.len(), 2);
    for (laid, wanted) in ends.iter().zip([from, to]) {
        assert!(laid.way_from(wanted).length() < 0.5, "{ends:?}");
    }
    assert!(window.work().ruler.as_ref().and_then(Ruler::words).is_some());
    assert_eq!(window.work().aim, None, "a laid ruler aims at nothing");
}

#[test]
fn the_ruler_is_laid_by_the_keyboard_too_and_in_pixels_without_a_scale() {
    let desk = Desk::new();
    let mut case = sample();
    (case.film.file, case.film.sha256) = (None, None);
    case.calibration.references.clear();
    let mut window = desk.window(Some(&desk.write("bare.case.json", &case)));
    window.press(Modifiers::NONE, Key::F6);
    window.take(Action::Command(Command::Ruler));
    window.take(Action::Cursor(Some(Position::new(100.0, 100.0))));
    window.press(Modifiers::NONE, Key::Enter);
    window.press(Modifiers::COMMAND, Key::ArrowRight);
    window.press(Modifiers::NONE, Key::Enter);
    let words = window.work().ruler.as_ref().and_then(Ruler::words);
    assert_eq!(words.as_deref(), Some("scratch: 10.0 px"));
}

#[test]
fn placing_again_begins_from_nothing_under_a_name_of_its_own() {
    let desk = Desk::new();
    let file = desk.write("film-102-21.case.json", &sample());
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.label_case("changed");
    window.press(Modifiers::COMMAND, Key::R);
    assert!(matches!(window.session().question, Some(Question::Unsaved(_))));
    window.click("Save");
    assert_eq!(window.session().question, Some(Question::Again));
    window.click("Keep its scale");
    let work = window.work();
    assert_eq!(work.open.case().landmarks, Landmarks::default());
    assert!(!work.open.case().calibration.references.is_empty());
    assert!(work.film.shown().is_some(), "the film stays where it is");
    assert_eq!((work.open.next_undo(), work.open.has_unsaved_work()), (None, false));
    assert!(matches!(work.aim, Some(Target::Landmark(_))), "the first landmark is aimed at");
    window.press(Modifiers::COMMAND, Key::S);
    let Some(Question::SaveName { name, .. }) = &window.session().question else { panic!("a name is asked") };
    let tooth = sample().tooth.fdi.unwrap();
    assert!(name.ends_with(&format!("film-102-{tooth}-2.case.json")), "{name}");
    window.take(Action::Answer(Answer::Yes));
    assert!(desk.path(&format!("film-102-{tooth}-2.case.json")).is_file());
}

#[test]
fn the_scale_is_placed_anew_where_that_is_wanted() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.choose(Command::Again);
    window.click("Place the scale anew, too");
    assert!(window.work().open.case().calibration.references.is_empty());
}

#[test]
fn the_films_of_a_folder_follow_one_another_each_with_its_case() {
    let desk = Desk::new();
    for name in ["film-103.png", "film-99.png"] {
        std::fs::copy(desk.film(), desk.path(name)).unwrap();
    }
    let mut case = sample();
    case.film.file = Some("film-103.png".to_owned());
    let file = desk.write("film-103-21.case.json", &case);
    let mut window = desk.window(Some(&desk.path("film-99.png")));
    window.until_film();
    window.press(Modifiers::COMMAND, Key::PageDown);
    let shows = |name: &'static str| {
        move |session: &crestgauge::viewer::Session| {
            session.work.as_ref().is_some_and(|work| {
                work.open.case().film.file.as_deref() == Some(name) && work.film.shown().is_some()
            })
        }
    };
    window.until("film 102 is shown", shows("film-102.png"));
    assert_eq!(window.work().open.file(), None, "it has no case yet");
    window.label_case("begun");
    window.press(Modifiers::COMMAND, Key::PageDown);
    window.until("it is asked", |session| matches!(session.question, Some(Question::Unsaved(_))));
    window.click("Go on without saving");
    window.until("film 103 is shown", shows("film-103.png"));
    assert_eq!(window.work().open.file(), Some(file.as_path()));
    window.press(Modifiers::COMMAND, Key::PageDown);
    window.until("that there is no other", |session| !session.notices.is_empty());
    assert!(window.says("the last film of its folder"));
    window.press(Modifiers::COMMAND, Key::PageUp);
    window.until("film 102 is shown again", shows("film-102.png"));
}

#[test]
fn a_number_is_copied_with_its_unit_and_the_table_as_text_and_csv() {
    let desk = Desk::new();
    let mut window = Window::with_results(&desk);
    window.focus_row(Role::ListItem, "root length ");
    let row = window.harness.get_by(|node| {
        node.role() == Role::ListItem && node.label().is_some_and(|label| label.starts_with("root length "))
    });
    let shown = row.accesskit_node().label().unwrap();
    window.harness.event(Event::Copy);
    let copied = window.copied().unwrap();
    assert_eq!(shown, format!("root length {copied}"));
    assert!(copied.contains(" \u{b1} ") && copied.ends_with(" mm"), "{copied}");
    window.harness.state_mut().session_mut().take(Action::Command(Command::CopyTable));
    let table = window.copied().unwrap();
    assert!(table.contains("WHAT IS THERE") && table.contains("root length"), "{table}");
    assert!(!table.contains(desk.path("").to_str().unwrap()), "a path could carry a patient's name");
    window.harness.state_mut().session_mut().take(Action::Command(Command::CopyCsv));
    let csv = window.copied().unwrap();
    assert_eq!(csv.lines().next(), Some(MEASUREMENTS_HEADER.join(",").as_str()));
    let rows = window.work().shown_numbers().unwrap().measurements.len();
    assert_eq!(csv.lines().count(), rows + 1);
}

#[test]
fn the_view_goes_to_what_comes_next_and_stays_with_it_until_told_otherwise() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    let whole = window.work().viewport;
    assert!(whole.is_fitted());
    window.press(Modifiers::NONE, Key::Z);
    let near_apex = window.work().viewport;
    assert!(near_apex.zoom() > whole.zoom());
    let place = PointAt::Landmark(apex()).position(window.work().open.case()).unwrap();
    let seen = near_apex.seen(place);
    let [width, height] = near_apex.view_size();
    assert!(seen.x.abs() < width / 2.0 && seen.y.abs() < height / 2.0, "the apex is in view: {seen:?}");
    let crest = LandmarkAt { root: None, id: Landmark::Crest.on(crestgauge::case::Side::Mesial) };
    window.take(Action::Aim(Some(Target::Landmark(crest))));
    assert_ne!(window.work().viewport, near_apex);
    // What is looked at by hand meanwhile stays so.
    window.take(Action::Command(Command::ZoomIn));
    let by_hand = window.work().viewport;
    window.label_case("nothing to do with the view");
    assert_eq!(window.work().viewport, by_hand);
    window.press(Modifiers::NONE, Key::Z);
    assert!(window.work().viewport.is_fitted());
}
