//! What is remembered from one run to the next.

use super::Desk;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::remembered::{Remembered, Theme};
use std::path::PathBuf;

fn remembered(desk: &Desk) -> Remembered {
    Remembered::read(Some(&desk.state())).0
}

#[test]
fn what_was_opened_last_stands_first_and_once() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let mut driven = desk.with_case();
    driven.take(Action::Open(other.clone()));
    assert_eq!(remembered(&desk).recent, [other.clone(), desk.case()]);
    driven.take(Action::Open(desk.case()));
    assert_eq!(remembered(&desk).recent, [desk.case(), other]);
    assert_eq!(desk.start(None).session.remembered, remembered(&desk));
}

#[test]
fn the_list_does_not_grow_for_ever() {
    let mut remembered = Remembered::default();
    for number in 0..100 {
        remembered.opened(&PathBuf::from(format!("{number}.png")));
    }
    assert_eq!((remembered.recent.len(), remembered.recent[0].clone()), (12, PathBuf::from("99.png")));
}

#[test]
fn forgotten_and_switched_off_at_the_users_word() {
    let desk = Desk::new();
    let (_, other) = desk.another();
    let mut driven = desk.with_case();
    driven.take(Action::ForgetRecent);
    assert!(remembered(&desk).recent.is_empty() && remembered(&desk).remember_recent);
    driven.take(Action::Open(other.clone()));
    assert_eq!(remembered(&desk).recent.len(), 1);
    driven.take(Action::RememberRecent(false));
    let text = std::fs::read_to_string(desk.state().join("viewer.json")).unwrap();
    assert!(!text.contains("other"), "off also forgets: {text}");
    driven.take(Action::Open(desk.case()));
    assert!(remembered(&desk).recent.is_empty() && !remembered(&desk).remember_recent);
    driven.take(Action::RememberRecent(true));
    driven.take(Action::Open(other));
    assert_eq!(remembered(&desk).recent.len(), 1);
}

#[test]
fn the_theme_is_remembered() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    assert_eq!(driven.session.remembered.theme, Theme::Dark, "which suits films");
    driven.command(Command::Theme);
    assert_eq!(remembered(&desk).theme, Theme::Light);
    driven.command(Command::Theme);
    assert_eq!(remembered(&desk).theme, Theme::Dark);
}

#[test]
fn what_cannot_be_read_counts_as_nothing_and_is_no_first_time() {
    let desk = Desk::new();
    std::fs::create_dir(desk.state()).unwrap();
    std::fs::write(desk.state().join("viewer.json"), "{\"theme\": 7").unwrap();
    assert_eq!(Remembered::read(Some(&desk.state())), (Remembered::default(), false));
    assert!(desk.start(None).is_empty());
    assert_eq!(Remembered::read(None), (Remembered::default(), true));
}

#[cfg(unix)]
#[test]
fn only_its_owner_can_look_into_the_folder() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = Desk::new();
    desk.with_case();
    let mode = std::fs::metadata(desk.state()).unwrap().permissions().mode();
    assert_eq!(mode & 0o077, 0, "a file name can carry a patient's: {mode:o}");
}
