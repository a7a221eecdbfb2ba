//! Reports, driven by pointer, keyboard and accessible names: the pages, files of them, the patient's drawing.

use crate::desk::{Desk, ENGINE, SIZE, Window};
use crestgauge::case::{Case, read};
use crestgauge::editor::{Edit, ForReport};
use crestgauge::film;
use crestgauge::report::{
    Audience, Block, Day, Drawing, Ending, Mark, Page, Paper, Role as Read, SAFETY, Setting, Subject,
    pages as library_pages, shades_of, written,
};
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::Question;
use crestgauge::viewer::remembered::Setting as Kept;
use crestgauge::viewer::reporting::Shows;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, Shape, Vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

const DAY: &str = "2026-11-24";

fn day() -> Day {
    Day::parse(DAY).unwrap()
}

fn setting(audience: Audience, paper: Paper) -> Setting {
    Setting { audience, paper, date: day() }
}

/// What the library makes of a case and the film beside it.
fn of_library<T>(case: &Case, folder: &Path, make: impl FnOnce(&Subject<'_>) -> T) -> T {
    let made = ForReport::of(case.clone(), Arc::clone(&ENGINE), &[]).unwrap();
    let film = case.film.file.as_ref().map(|file| {
        let read = film::read(&folder.join(file), &film::Bounds::default()).unwrap();
        Arc::new(shades_of(&read).unwrap())
    });
    make(&Subject {
        case: &made.case,
        measured: &made.measured,
        derived: &made.derived,
        criteria: &made.engine.criteria,
        plan: &made.plan,
        film,
    })
}

/// The pages of a report of the sample, seen.
pub(crate) fn pages(desk: &Desk, audience: Audience) -> Window {
    let mut window = desk.window(None);
    window.take(Action::Command(Command::OpenSample));
    window.until_film();
    window.take(Action::Set(Kept::Audience(audience)));
    window.take(Action::ReportDay(Some(day())));
    window.take(Action::Command(Command::Report));
    window.until_made();
    window
}

/// The patient's drawing of the sample.
pub(crate) fn drawing(desk: &Desk) -> Window {
    let mut window = desk.window(None);
    window.take(Action::Command(Command::OpenSample));
    window.until_film();
    window.take(Action::Command(Command::Picture));
    window.until_made();
    window
}

fn words_of(block: &Block) -> String {
    let words = block.marks.iter().filter_map(|mark| match mark {
        Mark::Text(text) => Some(text.words.trim()).filter(|words| !words.is_empty()),
        Mark::Path(_) | Mark::Picture(_) => None,
    });
    words.collect::<Vec<_>>().join(" ")
}

/// What a page says to those who hear it: everything but what is repeated, and a figure's words for it.
fn heard_of(page: &Page) -> Vec<String> {
    let words = page.blocks.iter().filter_map(|block| match &block.role {
        Read::Decoration => None,
        Read::Figure { alternative } => Some(alternative.clone()),
        _ => Some(words_of(block)),
    });
    words.filter(|words| !words.is_empty()).collect()
}

impl Window {
    /// Draws until what is seen of a report is made, and not out of date.
    pub(crate) fn until_made(&mut self) {
        self.until("a report is made", |session| {
            session.reporting.made().is_some() && !session.reporting.is_making()
        });
    }

    pub(crate) fn asking_report_name(mut self) -> Self {
        self.take(Action::Command(Command::WriteReport));
        self
    }

    fn made_pages(&self) -> Arc<Drawing> {
        Arc::clone(self.session().reporting.made().unwrap().as_ref().unwrap())
    }

    /// Every text that is painted, with the angle it stands at.
    fn painted(&self) -> Vec<(String, f32)> {
        fn read(shape: &Shape, texts: &mut Vec<(String, f32)>) {
            match shape {
                Shape::Vec(shapes) => shapes.iter().for_each(|shape| read(shape, texts)),
                Shape::Text(text) => texts.push((text.galley.text().to_owned(), text.angle)),
                _ => {}
            }
        }
        let mut texts = Vec::new();
        for clipped in &self.harness.output().shapes {
            read(&clipped.shape, &mut texts);
        }
        texts
    }

    /// Types the name of a report's file, and says yes.
    fn write_as(&mut self, file: &Path) {
        self.press(Modifiers::COMMAND | Modifiers::SHIFT, Key::P);
        self.retype(file);
    }

    fn retype(&mut self, file: &Path) {
        self.press(Modifiers::COMMAND, Key::A);
        self.type_text(file.to_str().unwrap());
        self.press(Modifiers::NONE, Key::Enter);
    }

    fn until_written(&mut self) {
        self.until("a report is written", |session| session.reporting.writes().is_none());
    }
}

fn open_film(desk: &Desk) -> Window {
    let file = desk.write("tooth.case.json", &crate::desk::sample());
    let mut window = desk.window(Some(&file));
    window.until_film();
    window
}

#[test]
fn all_that_stands_on_the_library_s_pages_is_painted_and_heard() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    window.take(Action::ReportDay(Some(day())));
    window.press(Modifiers::COMMAND, Key::P);
    window.until_made();
    let case = window.work().open.case().clone();
    for (_, audience) in Audience::ALL {
        for (_, paper) in Paper::ALL {
            window.take(Action::Set(Kept::Audience(*audience)));
            window.take(Action::Set(Kept::Paper(*paper)));
            window.until_made();
            window.take(Action::Page(0));
            let wanted =
                of_library(&case, &desk.path("."), |it| library_pages(it, setting(*audience, *paper)));
            assert_eq!(*window.made_pages(), wanted, "{audience:?}, {paper:?}");
            for (at, page) in wanted.pages.iter().enumerate() {
                let name = format!("Page {} of {}", at + 1, wanted.pages.len());
                assert!(window.shows(&name), "{name}");
                let heard: Vec<String> = window
                    .harness
                    .query_all_by(|node| matches!(node.role(), Role::Label | Role::Heading))
                    .filter_map(|node| node.accesskit_node().label().or(node.value()))
                    .collect();
                for words in heard_of(page) {
                    assert!(
                        heard
                            .iter()
                            .any(|it| it.split("; ").any(|part| part == words) || it.contains(&words)),
                        "{audience:?}, page {at}: {words}"
                    );
                }
                let painted = window.painted();
                for mark in page.blocks.iter().flat_map(|block| &block.marks) {
                    let Mark::Text(text) = mark else { continue };
                    let words = text.words.trim_end();
                    assert!(words.is_empty() || painted.iter().any(|(it, _)| it == words), "{words}");
                }
                window.press(Modifiers::NONE, Key::PageDown);
            }
        }
    }
}

#[test]
fn pages_follow_the_case() {
    let desk = Desk::new();
    let mut window = pages(&desk, Audience::Record);
    assert!(!window.says("a new label"));
    window.label_case("a new label");
    window.until_made();
    assert!(window.says("a new label"));
    window.press(Modifiers::COMMAND, Key::Z);
    window.until_made();
    assert!(!window.says("a new label"));
}

#[test]
fn pages_are_turned_and_seen_larger_by_keys_and_left_by_escape() {
    let desk = Desk::new();
    let mut window = pages(&desk, Audience::Record);
    let count = window.session().reporting.count();
    assert!(count > 1);
    for _ in 0..count + 2 {
        window.press(Modifiers::NONE, Key::PageDown);
    }
    assert_eq!(window.session().reporting.page, count - 1, "the last page is the last");
    window.press(Modifiers::NONE, Key::PageUp);
    assert_eq!(window.session().reporting.page, count - 2);
    let whole = window.session().reporting.size_seen();
    window.press(Modifiers::NONE, Key::Plus);
    assert!((window.session().reporting.size_seen() - 1.25 * whole).abs() < 1e-9);
    window.press(Modifiers::NONE, Key::Num1);
    let sheet = window.harness.get_by_role(Role::Document).rect();
    // 210 mm at 96 to the inch.
    assert!((f64::from(sheet.width()) - 210.0 * 96.0 / 25.4).abs() < 0.5, "{sheet:?}");
    window.press(Modifiers::NONE, Key::F);
    assert!((window.session().reporting.size_seen() - whole).abs() < 1e-9);
    let turned = window.work().viewport.turn_deg();
    window.press(Modifiers::NONE, Key::OpenBracket);
    assert_eq!(
        window.work().viewport.turn_deg().to_bits(),
        turned.to_bits(),
        "nobody turns a film that is not seen"
    );
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.session().reporting.shows, None);
}

#[test]
fn whoever_places_sees_the_film_again() {
    let desk = Desk::new();
    let mut case = crate::desk::sample();
    let apex = crestgauge::case::Landmark::Apex.id();
    case.roots[0].landmarks.marks.remove(&apex);
    let mut window = desk.window(Some(&desk.write("tooth.case.json", &case)));
    window.until_film();
    window.press(Modifiers::COMMAND, Key::P);
    window.until_made();
    window.click("place apex on the film");
    assert_eq!(window.session().reporting.shows, None);
    assert!(window.work().aim.is_some());
}

#[test]
fn audience_paper_and_day_are_chosen_in_the_worksheet_and_the_first_two_remembered() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    window.open_part("Report");
    window.press_list("Report for");
    window.click("the endodontist");
    window.press_list("Paper of the report");
    window.click("Letter, 8.5 × 11 in");
    window.harness.get_by_label("Day on the report").focus();
    window.settle();
    window.type_text("2026-02-30");
    window.press(Modifiers::NONE, Key::Enter);
    assert!(window.says("a day no calendar has"));
    window.harness.get_by_label("Day on the report").focus();
    window.press(Modifiers::COMMAND, Key::A);
    window.type_text(DAY);
    window.press(Modifiers::NONE, Key::Enter);
    window.press_called("Show the pages");
    window.until_made();
    assert!(window.says("To the endodontist") && window.says(DAY));
    assert_eq!(window.made_pages().pages[0].width.get(), 215.9);
    let again = desk.window(None);
    let remembered = &again.session().remembered;
    assert_eq!((remembered.audience, remembered.paper), (Audience::Endodontist, Paper::Letter));
}

#[test]
fn every_file_is_the_library_s() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    window.take(Action::ReportDay(Some(day())));
    let case = window.work().open.case().clone();
    for (_, audience) in Audience::ALL {
        window.take(Action::Set(Kept::Audience(*audience)));
        for (word, ending) in Ending::ALL.iter().filter(|(_, ending)| ending.is_for(*audience)) {
            let file = desk.path(&format!("{}.{word}", audience.word()));
            window.write_as(&file);
            window.until_written();
            assert_eq!(window.session().question, None, "{word}");
            let wanted = of_library(&case, &desk.path("."), |it| {
                written(it, setting(*audience, Paper::A4), *ending, None).unwrap()
            });
            assert!(std::fs::read(&file).unwrap() == wanted.bytes, "{}.{word}", audience.word());
            assert!(window.says(&wanted.what), "{}", wanted.what);
        }
    }
    window.open_part("Report");
    assert!(window.says("Report, done"));
    window.label_case("another");
    assert!(window.says("Report, to do: the case changed since"));
}

#[test]
fn nothing_is_written_over_and_a_wrong_name_is_said() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    let taken = desk.path("taken.svg");
    std::fs::write(&taken, "mine").unwrap();
    let says = |window: &Window, words: &str| {
        assert!(window.says(words), "{words}: {:?}", window.session().question);
    };
    window.press(Modifiers::COMMAND | Modifiers::SHIFT, Key::P);
    let Some(Question::ReportName { name, .. }) = &window.session().question else {
        panic!("no name is asked for")
    };
    assert_eq!(Path::new(name), desk.path("tooth-record.pdf"));
    for (name, words) in [
        ("report.docx", "a report can end in .pdf, .png, .svg, .csv, .json and .dcm"),
        ("tooth.case.json", "this is the case itself"),
        ("film-102.png", "this is the film itself"),
    ] {
        window.retype(&desk.path(name));
        window.until_written();
        says(&window, words);
    }
    window.retype(&taken);
    window.until_written();
    says(&window, "A file of this name exists. Replace it?");
    assert_eq!(std::fs::read_to_string(&taken).unwrap(), "mine");
    window.click("Replace");
    window.until_written();
    assert!(std::fs::read_to_string(&taken).unwrap().contains("<svg"));
    window.take(Action::Set(Kept::Audience(Audience::Patient)));
    window.write_as(&desk.path("patient.csv"));
    says(&window, "holds the record's numbers");
    window.retype(&desk.path("no/such/folder.pdf"));
    window.until_written();
    assert!(matches!(&window.session().question, Some(Question::ReportName { why_not: Some(_), .. })));
    window.click("Write nothing");
    let mut there: Vec<PathBuf> =
        std::fs::read_dir(desk.path(".")).unwrap().map(|it| PathBuf::from(it.unwrap().file_name())).collect();
    there.sort();
    assert_eq!(there, ["film-102.png", "state", "taken.svg", "tooth.case.json"].map(PathBuf::from));
}

#[test]
fn what_is_being_typed_is_in_the_report() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    window.open_part("Film and tooth");
    window.harness.get_by_label("Label, no patient's name").focus();
    window.settle();
    window.press(Modifiers::COMMAND, Key::A);
    window.type_text("typed last");
    window.write_as(&desk.path("typed.csv"));
    window.until_written();
    assert!(std::fs::read_to_string(desk.path("typed.csv")).unwrap().contains("typed last"));
}

#[test]
fn a_case_without_a_film_has_a_report_that_says_so() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.press(Modifiers::COMMAND, Key::P);
    window.until_made();
    assert!(window.says("Without a film: it is not at hand."));
    window.write_as(&desk.path("bare.pdf"));
    window.until_written();
    assert!(window.says("without a picture of the film: the case names no film"));
}

#[test]
fn the_patient_s_drawing_fills_the_screen_and_is_turned_for_somebody_opposite() {
    let desk = Desk::new();
    let mut window = drawing(&desk);
    let page = &window.made_pages().pages[0];
    let shape = page.width.get() / page.height.get();
    let screen = window.session().reporting.shape_of_screen;
    assert!((shape - screen).abs() < 1e-6 && (screen - 1280.0 / 800.0).abs() < 0.2, "{shape} on {screen}");
    for words in [SAFETY, "SAMPLE, NOT A PATIENT", "Your tooth"] {
        assert!(window.says(words), "{words}");
    }
    assert!(!window.says("Film and tooth"), "nothing else is seen");
    // The sketch's names are read from across a table: an em is no smaller than a fortieth of the screen's height.
    let small =
        page.blocks.iter().filter(|block| matches!(block.role, Read::Figure { .. })).flat_map(|block| {
            block.marks.iter().filter_map(|mark| match mark {
                Mark::Text(text) => Some(text.size.get()),
                _ => None,
            })
        });
    assert!(small.fold(f64::INFINITY, f64::min) >= page.height.get() / 55.0);
    let upright = |window: &Window| {
        let painted = window.painted();
        painted.iter().find(|(words, _)| words.starts_with("Your tooth")).map(|(_, angle)| *angle).unwrap()
    };
    assert_eq!(upright(&window), 0.0);
    window.press(Modifiers::NONE, Key::T);
    assert_eq!(upright(&window), std::f32::consts::PI);
    window.click("Turn it around");
    assert_eq!(upright(&window), 0.0);
    // Nothing behind it is changed by a key that would.
    let before = window.work().open.case().clone();
    for key in [Key::H, Key::A, Key::P, Key::Delete, Key::G] {
        window.press(Modifiers::NONE, key);
    }
    assert_eq!(*window.work().open.case(), before);
    assert_eq!(window.session().reporting.shows, Some(Shows::Picture));
    window.press(Modifiers::NONE, Key::Escape);
    assert!(window.session().reporting.shows.is_none() && window.says("Film and tooth"));
}

#[test]
fn strips_lie_within_the_smallest_window_and_at_200_percent() {
    let desk = Desk::new();
    for (size, pixels) in [([900.0, 560.0], 1.0), (SIZE, 1.0), (SIZE, 2.0)] {
        let mut window = Window::new(desk.start(None), pixels);
        window.harness.set_size(Vec2::from(size));
        window.take(Action::Command(Command::OpenSample));
        window.until_film();
        for command in [Command::Report, Command::Picture] {
            window.take(Action::Command(command));
            window.until_made();
            let names: &[&str] = match command {
                Command::Report => {
                    &["Back to the film", "Previous page", "Next page", "Whole page", "Size of the paper"]
                }
                _ => &["Leave the drawing", "Turn it around"],
            };
            for name in names {
                let rect = window.harness.get_by_label(name).rect();
                let screen = eframe::egui::Rect::from_min_size(eframe::egui::Pos2::ZERO, Vec2::from(size));
                assert!(screen.contains_rect(rect), "{size:?}: {name}: {rect:?}");
            }
            window.take(Action::Command(Command::Cancel));
        }
    }
}

#[test]
fn the_wheel_with_control_sees_pages_larger() {
    let desk = Desk::new();
    let mut window = pages(&desk, Audience::Patient);
    let whole = window.session().reporting.size_seen();
    let sheet = window.harness.get_by_role(Role::Document).rect();
    window.harness.hover_at(sheet.center());
    window.settle();
    window.harness.event(Event::Zoom(1.5));
    window.settle();
    assert!((window.session().reporting.size_seen() / whole - 1.5).abs() < 1e-4);
}

#[test]
fn a_case_read_from_a_report_s_json_is_the_same() {
    let desk = Desk::new();
    let mut window = open_film(&desk);
    window.write_as(&desk.path("again.json"));
    window.until_written();
    let mut case = window.work().open.case().clone();
    case.film.file = None;
    assert_eq!(read(&desk.path("again.json")).unwrap().case, case);
    window.take(Action::Edit(Edit::Label(None)));
}
