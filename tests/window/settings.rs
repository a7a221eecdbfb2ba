//! The settings, and the tooth's numbers on the screen.

use crate::desk::{Desk, Window};
use crestgauge::case::Fdi;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::remembered::{Scale, Setting, Theme, ToothNumbers};
use crestgauge::viewer::session::Help;
use eframe::egui::{Key, Modifiers, ViewportCommand};

/// What the window's title was set to last in a frame that is drawn anew.
fn title_after(window: &mut Window, action: Action) -> Option<String> {
    window.harness.state_mut().session_mut().take(action);
    window.harness.step();
    let output = window.harness.output();
    let commands = output.viewport_output.values().flat_map(|viewport| &viewport.commands);
    let mut titles = commands.filter_map(|command| match command {
        ViewportCommand::Title(title) => Some(title.clone()),
        _ => None,
    });
    titles.next_back()
}

#[test]
fn they_are_set_by_the_keyboard_alone() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.press(Modifiers::COMMAND, Key::Comma);
    assert_eq!(window.session().help, Some(Help::Settings));
    // The keyboard begins at the theme that is chosen.
    assert_eq!(window.focused().as_deref(), Some("Dark, which suits films"));
    window.tab_to("Light");
    window.press(Modifiers::NONE, Key::Space);
    window.tab_to("Interface larger");
    window.press(Modifiers::NONE, Key::Enter);
    window.tab_to("Universal, 1 to 32; the upper right first molar is 3");
    window.press(Modifiers::NONE, Key::Space);
    window.tab_to("Remember what is opened");
    window.press(Modifiers::NONE, Key::Space);
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.session().help, None);
    let next = desk.window(None);
    let remembered = &next.session().remembered;
    assert_eq!((remembered.theme, remembered.scale.percent()), (Theme::Light, 110));
    assert_eq!((remembered.tooth_numbers, remembered.remember_recent), (ToothNumbers::Universal, false));
    assert!((next.harness.ctx.zoom_factor() - 1.1).abs() < 1e-6);
    assert!(!next.harness.ctx.global_style().visuals.dark_mode);
}

#[test]
fn the_interface_grows_by_keys_once_and_the_film_keeps_its_place_under_the_pointer() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    for (key, percent) in [(Key::Plus, 110), (Key::Equals, 125), (Key::Minus, 110), (Key::Num0, 100)] {
        window.press(Modifiers::COMMAND, key);
        window.settle();
        assert_eq!(window.session().remembered.scale.percent(), percent);
        let zoom = f64::from(window.harness.ctx.zoom_factor());
        assert!((zoom - f64::from(percent) / 100.0).abs() < 1e-6, "no other zoom is added: {zoom}");
        assert!((window.session().points_per_pixel * zoom - 1.0).abs() < 1e-6);
    }
}

#[test]
fn universal_numbers_are_on_the_screen_and_nowhere_else() {
    let desk = Desk::new();
    let file = desk.case_without_film();
    let mut window = desk.window(Some(&file));
    let universal = Action::Set(Setting::ToothNumbers(ToothNumbers::Universal));
    let title = title_after(&mut window, universal).expect("a new title");
    assert!(title.starts_with("tooth 9 Universal (FDI 21), "), "{title}");
    window.open_part("Film and tooth");
    assert!(window.shows("Tooth: 9 Universal (FDI 21)"));
    window.take(Action::Command(Command::Card));
    assert!(window.says("Tooth 9 Universal (FDI 21)"));
    window.press(Modifiers::NONE, Key::Escape);
    // The chart names every tooth in both.
    window.press_list("Tooth");
    for fdi in Fdi::all() {
        assert!(window.shows(&format!("tooth {} Universal (FDI {fdi})", fdi.universal())), "{fdi}");
    }
    window.click("tooth 3 Universal (FDI 16)");
    assert_eq!(window.work().open.case().tooth.fdi, Fdi::parse("16").ok());
    assert_eq!(window.work().open.next_undo(), Some("name tooth 3 Universal (FDI 16)"));
    window.take(Action::Command(Command::Save));
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(text.contains("\"fdi\": \"16\"") && !text.contains("Universal"), "{text}");
    for command in [Command::CopyTable, Command::CopyCsv] {
        window.harness.state_mut().session_mut().take(Action::Command(command));
        let copied = window.session().copied.clone().unwrap();
        assert!(copied.contains("16") && !copied.contains("Universal"), "{copied}");
    }
}

#[test]
fn however_large_letters_are_some_of_the_film_is_seen() {
    let desk = Desk::new();
    for percent in Scale::STEPS {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.take(Action::Set(Setting::Scale(Scale::try_from(percent).unwrap())));
        // The harness keeps the window's size in points; a display keeps it in pixels.
        let size = eframe::egui::Vec2::from(crate::desk::SIZE) * 100.0 / f32::from(percent);
        window.harness.set_size(size);
        window.settle();
        let film = window.film();
        assert!(film.width() > 0.3 * size.x && film.height() > 0.25 * size.y, "{percent} %: {film:?}");
    }
}
