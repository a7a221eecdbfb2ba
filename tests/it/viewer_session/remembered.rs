//! What is remembered from one run to the next.

use super::Desk;
use crestgauge::case::Fdi;
use crestgauge::report::{Audience, Paper};
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::practice::{Ask, Wishes};
use crestgauge::viewer::remembered::{Remembered, Scale, Setting, Theme, ToothNumbers};
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
fn every_setting_survives_a_restart() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    for theme in [Theme::System, Theme::Light, Theme::Dark] {
        driven.take(Action::Set(Setting::Theme(theme)));
        assert_eq!(desk.start(None).session.remembered.theme, theme);
    }
    for percent in Scale::STEPS {
        let scale = Scale::try_from(percent).unwrap();
        driven.take(Action::Set(Setting::Scale(scale)));
        assert_eq!(desk.start(None).session.remembered.scale.percent(), percent);
    }
    for numbers in [ToothNumbers::Universal, ToothNumbers::Fdi] {
        driven.take(Action::Set(Setting::ToothNumbers(numbers)));
        assert_eq!(desk.start(None).session.remembered.tooth_numbers, numbers);
    }
    for (_, audience) in Audience::ALL {
        driven.take(Action::Set(Setting::Audience(*audience)));
        assert_eq!(desk.start(None).session.remembered.audience, *audience);
    }
    for paper in [Paper::Letter, Paper::A4] {
        driven.take(Action::Set(Setting::Paper(paper)));
        assert_eq!(desk.start(None).session.remembered.paper, paper);
    }
    driven.command(Command::ToneStrip);
    assert!(desk.start(None).session.remembered.shows_tone);
    driven.command(Command::FollowNext);
    assert!(desk.start(None).session.remembered.follows_next);
    driven.command(Command::FollowNext);
    assert!(!desk.start(None).session.remembered.follows_next);
    let wishes = Wishes { student: "anna".to_owned(), repeats: 3, ..Wishes::default() };
    driven.take(Action::Practice(Ask::Wish(Box::new(wishes.clone()))));
    assert_eq!(desk.start(None).session.remembered.practice, wishes);
    assert_eq!(desk.start(None).session.remembered, driven.session.remembered);
}

#[test]
fn the_interface_grows_and_shrinks_step_by_step_between_its_ends() {
    let desk = Desk::new();
    let mut driven = desk.with_case();
    let percent = |driven: &super::Driven| driven.session.remembered.scale.percent();
    driven.command(Command::InterfaceLarger);
    assert_eq!(percent(&driven), 110);
    driven.command(Command::InterfaceSmaller);
    driven.command(Command::InterfaceSmaller);
    assert_eq!((percent(&driven), remembered(&desk).scale.percent()), (90, 90));
    for (command, end) in [(Command::InterfaceSmaller, 75), (Command::InterfaceLarger, 300)] {
        for _ in 0..20 {
            driven.command(command);
        }
        assert_eq!(percent(&driven), end);
    }
    driven.command(Command::InterfaceUsual);
    assert_eq!((percent(&driven), remembered(&desk).scale.percent()), (100, 100));
}

#[test]
fn a_setting_that_cannot_be_read_takes_no_other_with_it() {
    let desk = Desk::new();
    std::fs::create_dir(desk.state()).unwrap();
    let practice = serde_json::to_string(&Wishes { repeats: 3, ..Wishes::default() }).unwrap();
    let good = [
        ("recent", r#"["one.png", "two.png"]"#),
        ("remember_recent", "false"),
        ("theme", r#""light""#),
        ("scale", "150"),
        ("tooth_numbers", r#""universal""#),
        ("shows_tone", "true"),
        ("follows_next", "true"),
        ("audience", r#""patient""#),
        ("paper", r#""letter""#),
        ("practice", &practice),
    ];
    let read = |settings: &[(&str, &str)]| {
        let members: Vec<String> =
            settings.iter().map(|(name, value)| format!("\"{name}\": {value}")).collect();
        let text = format!("{{{}}}", members.join(", "));
        std::fs::write(desk.state().join("viewer.json"), text).unwrap();
        serde_json::to_value(remembered(&desk)).unwrap()
    };
    let all = read(&good);
    let first = serde_json::to_value(Remembered::default()).unwrap();
    for (name, value) in good {
        assert_eq!(all[name], serde_json::from_str::<serde_json::Value>(value).unwrap());
        for bad in ["7.5", r#""violet""#, "null", "{}", "[7]", "1000", "-1"] {
            let settings: Vec<_> =
                good.iter().map(|it| if it.0 == name { (name, bad) } else { *it }).collect();
            let mut expected = all.clone();
            expected[name] = first[name].clone();
            assert_eq!(read(&settings), expected, "{name}: {bad}");
        }
        let without: Vec<_> = good.into_iter().filter(|it| it.0 != name).collect();
        let mut expected = all.clone();
        expected[name] = first[name].clone();
        assert_eq!(read(&without), expected, "without {name}");
    }
}

#[test]
fn a_universal_number_never_stands_alone_in_words() {
    let tooth = Fdi::parse("21").unwrap();
    assert_eq!(ToothNumbers::Fdi.words(tooth), "21");
    assert_eq!(ToothNumbers::Universal.words(tooth), "9 Universal (FDI 21)");
    assert_eq!(ToothNumbers::Universal.short(tooth), "9");
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
