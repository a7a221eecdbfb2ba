//! The guide says what the window says, and its pictures are of the window: `docs/guide-pictures` draws them anew.

use crate::desk::{Desk, Window};
use crestgauge::report::Day;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::{Command, Menu};
use crestgauge::viewer::guide::words_of_the_screen;
use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::collections::BTreeSet;
use std::path::Path;

/// The parts of the worksheet.
const PARTS: [&str; 9] = [
    "Film and tooth",
    "Scale",
    "Landmarks",
    "Readings at the chair",
    "First look",
    "Measurements and verdicts",
    "Post depth and drill",
    "Ferrule recovery",
    "Report",
];

impl Window {
    /// All that can be read now.
    fn read(&self, read: &mut BTreeSet<String>) {
        for node in self.harness.query_all_by(|_| true) {
            read.extend(node.accesskit_node().label());
            read.extend(node.accesskit_node().value());
        }
    }

    /// The window as a picture, where pictures are wanted.
    fn picture(&mut self, name: &str) {
        if std::env::var_os("CRESTGAUGE_WRITE_GUIDE").is_some() {
            let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/pictures/{name}.png"));
            self.harness.render().unwrap().save(file).unwrap();
        }
    }

    fn only(&mut self, part: &str) {
        for other in PARTS {
            self.fold(other, other == part);
        }
    }

    /// Opens or closes a part.
    fn fold(&mut self, part: &str, open: bool) {
        let heading = self.harness.get_by(|node| {
            node.label().is_some_and(|label| {
                label.contains(part) && (label.ends_with("open") || label.ends_with("closed"))
            })
        });
        if heading.accesskit_node().label().is_some_and(|label| label.ends_with("closed")) == open {
            heading.click_accesskit();
            self.settle();
        }
    }
}

#[test]
fn every_word_it_sets_apart_stands_on_the_screen() {
    let desk = Desk::new();
    let mut read = BTreeSet::new();
    let built_in = crestgauge::case::sample().unwrap().case;
    let film = crestgauge::case::write_sample_film(&desk.path("")).unwrap();
    let mut window = desk.window(Some(&film));
    window.until_film();
    window.read(&mut read);
    window.picture("guide-film");
    for part in ["Scale", "Landmarks"] {
        window.open_part(part);
        window.read(&mut read);
    }
    // The film states its pitch, so that another reference is offered folded up.
    window.click("Add a reference");
    window.read(&mut read);
    for menu in Menu::ALL {
        window.click(menu.title());
        window.read(&mut read);
        eframe::egui::Popup::close_all(&window.harness.ctx);
        window.settle();
    }

    let mut window = desk.window(None);
    window.take(Action::Command(Command::Practise));
    window.read(&mut read);

    let mut window = desk.window(None);
    window.take(Action::Command(Command::OpenSample));
    window.until_film();
    for part in PARTS {
        window.only(part);
        window.read(&mut read);
        match part {
            "Measurements and verdicts" => window.picture("guide-verdicts"),
            "Post depth and drill" => window.picture("guide-plan"),
            "Report" => {
                window.take(Action::ReportDay(Day::parse("2026-11-24").ok()));
                window.take(Action::Command(Command::Report));
                window.until_made();
                window.read(&mut read);
                window.picture("guide-report");
            }
            _ => {}
        }
    }
    window.take(Action::Command(Command::Fit));
    window.take(Action::Command(Command::Again));
    window.read(&mut read);
    window.press(Modifiers::NONE, Key::Escape);
    let mut window = desk.window_aiming_at_the_apex_of(built_in);
    window.settle();
    window.read(&mut read);
    window.picture("guide-loupe");

    let wanted = words_of_the_screen();
    assert!(wanted.len() > 20, "{wanted:?}");
    let missed: Vec<_> = wanted
        .iter()
        .filter(|words| !read.iter().any(|label| label.to_lowercase().contains(&words.to_lowercase())))
        .collect();
    assert!(missed.is_empty(), "the guide says what the screen does not: {missed:?}");
}

#[test]
fn help_shows_it() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.choose(Command::Guide);
    assert!(window.shows("For a dentist: may this tooth carry a post, a core and a crown?"));
    window.press(Modifiers::NONE, Key::Escape);
    assert!(!window.says("For a dentist"));
}
