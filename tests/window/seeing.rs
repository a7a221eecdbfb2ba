//! How the film is seen, and what is said on it.

use crate::desk::{Desk, Window, sample};
use crestgauge::calibration::Extra;
use crestgauge::case::{Landmark, Mark, RootName, Side};
use crestgauge::editor::{LandmarkAt, PointAt, hint};
use crestgauge::film::{Tone, Window as Greys};
use crestgauge::geometry::Position;
use crestgauge::viewer::action::{Action, Look, Target};
use crestgauge::viewer::command::Command;
use eframe::egui::accesskit::{self, Role};
use eframe::egui::{Key, Modifiers, Rect, Vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

fn apex() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() }
}

fn bare_case(desk: &Desk, change: impl FnOnce(&mut crestgauge::case::Case)) -> Window {
    let mut case = sample();
    (case.film.file, case.film.sha256) = (None, None);
    change(&mut case);
    desk.window(Some(&desk.write("tooth.case.json", &case)))
}

impl Window {
    fn badge(&self) -> Option<(String, Rect)> {
        let found = self.harness.query_all_by_label_contains("show it upright").next()?;
        Some((found.accesskit_node().label()?, found.rect()))
    }

    fn film_rect(&self) -> Rect {
        self.harness.get_by_role_and_label(Role::Canvas, "film").rect()
    }
}

#[test]
fn a_mirrored_or_turned_film_says_so_whole_at_any_size_and_goes_upright_on_a_click() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    assert_eq!(window.badge(), None);
    window.take(Action::Command(Command::Mirror));
    window.take(Action::Command(Command::TurnRight));
    for size in [[1280.0, 800.0], [900.0, 560.0]] {
        window.harness.set_size(Vec2::from(size));
        window.settle();
        let (name, rect) = window.badge().unwrap();
        assert!(name.contains("mirrored and turned 90\u{b0} to the right"), "{name}");
        let film = window.film_rect();
        assert!(film.contains_rect(rect) && rect.top() < film.top() + 60.0, "{size:?}: {rect:?} in {film:?}");
    }
    // A click on it places nothing.
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window.harness.query_all_by_label_contains("show it upright").next().unwrap().click();
    window.settle();
    let viewport = window.work().viewport;
    assert_eq!((viewport.is_mirrored(), viewport.turn_deg(), window.badge()), (false, 0.0, None));
    assert_eq!(apex().mark(window.work().open.case()), None);
    assert!(!window.work().open.in_gesture());
}

#[test]
fn a_toned_film_says_so_and_is_shown_as_it_asks_on_a_click() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    assert!(!window.says("show it as it asks"));
    window.take(Action::Command(Command::Mirror));
    window.take(Action::Tone(Tone { inverted: true, ..Tone::default() }));
    let name = "the film is toned: inverted: show it as it asks";
    let (_, mirrored) = window.badge().unwrap();
    let toned = window.harness.get_by_label(name).rect();
    assert!(!toned.intersects(mirrored) && window.film_rect().contains_rect(toned), "{toned:?} {mirrored:?}");
    window.click(name);
    assert_eq!(window.work().tone, Tone::default());
    assert!(!window.says("show it as it asks"));
}

#[test]
fn where_mesial_lies_is_said_of_the_film_as_it_is_stored() {
    let desk = Desk::new();
    let mut window = bare_case(&desk, |_| {});
    window.open_part("Film and tooth");
    assert!(!window.says("as it is stored"));
    window.take(Action::Command(Command::Mirror));
    assert!(window.says("on the film as it is stored; mirrored here"));
}

#[test]
fn the_badge_is_reached_by_the_keyboard() {
    let desk = Desk::new();
    let mut window = bare_case(&desk, |_| {});
    window.take(Action::Command(Command::Mirror));
    window.harness.query_all_by_label_contains("show it upright").next().unwrap().focus();
    window.settle();
    window.press(Modifiers::NONE, Key::Enter);
    assert!(!window.work().viewport.is_mirrored());
}

#[test]
fn what_this_film_does_not_show_is_listed_and_hidden_alike_by_key_and_button() {
    let desk = Desk::new();
    let wall_top = LandmarkAt { root: None, id: Landmark::WallTop.on(Side::Mesial) };
    let mut window = bare_case(&desk, |case| {
        case.landmarks.marks.remove(&wall_top.id);
        case.film.stage = Some(crestgauge::case::Stage::Crowned);
    });
    window.take(Action::Aim(Some(Target::Landmark(wall_top))));
    window.take(Action::Command(Command::Hide));
    let by_key = wall_top.mark(window.work().open.case()).cloned();
    assert_eq!(by_key, Some(Mark::Hidden { hidden: "under the crown".to_owned(), extra: Extra::new() }));
    assert!(window.says("hidden: wall top, mesial \u{2013} under the crown"));
    window.take(Action::Command(Command::Undo));
    assert!(!window.says("hidden: wall top, mesial \u{2013} under the crown"));
    window.take(Action::Aim(Some(Target::Landmark(wall_top))));
    window.open_part("Landmarks");
    window.harness.query_all_by_label("wall top, mesial is hidden").last().unwrap().click_accesskit();
    window.settle();
    assert_eq!(wall_top.mark(window.work().open.case()), by_key.as_ref());
}

#[test]
fn the_keyboards_cursor_begins_at_the_hint_and_places_nothing_unseen() {
    let desk = Desk::new();
    let mut window = bare_case(&desk, |case| {
        case.roots[0].landmarks.marks.remove(&apex().id);
    });
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window.press(Modifiers::NONE, Key::Enter);
    let expected = hint(window.work().open.case(), apex()).unwrap().middle;
    assert_eq!(window.work().cursor, Some(expected));
    assert_eq!(apex().mark(window.work().open.case()), None, "it only shows the cursor");
    // Moved out of sight, it comes back before anything is placed.
    window.take(Action::Look(Look::ZoomTo(4.0)));
    window.take(Action::Look(Look::Centre(Position::new(20.0, 20.0))));
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(apex().mark(window.work().open.case()), None);
    let seen = window.seen(expected);
    assert!(window.film_rect().contains(seen), "{seen:?}");
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(PointAt::Landmark(apex()).position(window.work().open.case()), Some(expected));
}

#[test]
fn enter_places_nothing_where_the_pointer_merely_rests() {
    let desk = Desk::new();
    let mut window = desk.window_aiming_at_the_apex();
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(apex().mark(window.work().open.case()), None, "it only shows the cursor");
    let shown = window.work().cursor.expect("a cursor");
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(PointAt::Landmark(apex()).position(window.work().open.case()), Some(shown));
}

#[test]
fn enter_pressed_again_piles_nothing_on_what_was_just_placed() {
    let desk = Desk::new();
    let mut window = bare_case(&desk, |case| {
        case.landmarks.marks.clear();
        case.roots[0].landmarks.marks.clear();
    });
    let placed = |window: &Window| {
        let case = window.work().open.case();
        case.landmarks.marks.len() + case.roots[0].landmarks.marks.len()
    };
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    // The first press only shows the cursor.
    for _ in 0..5 {
        window.press(Modifiers::NONE, Key::Enter);
    }
    assert_eq!(placed(&window), 1);
    assert!(window.says("move the cursor first"));
    let next = window.work().aim;
    assert!(next.is_some() && next != Some(Target::Landmark(apex())), "{next:?}");
    // Moved away and back it is meant.
    window.press(Modifiers::NONE, Key::ArrowRight);
    window.press(Modifiers::NONE, Key::ArrowLeft);
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(placed(&window), 2);
    // Once it is taken back, nothing lies there any more.
    window.take(Action::Command(Command::Undo));
    window.take(Action::Command(Command::Undo));
    assert_eq!(placed(&window), 0);
    window.press(Modifiers::NONE, Key::Enter);
    assert_eq!(placed(&window), 1);
}

#[test]
fn where_nothing_tells_where_a_landmark_lies_going_there_says_so() {
    const LOST: &str = "Too little is placed to go there";
    let desk = Desk::new();
    let mut window = bare_case(&desk, |case| {
        case.landmarks.marks.clear();
        case.roots[0].landmarks.marks.clear();
    });
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    assert!(!window.says(LOST), "nobody asked to go there");
    window.take(Action::Command(Command::FollowNext));
    assert!(window.says(LOST));
    window.take(Action::Command(Command::FollowNext));
    assert!(!window.says(LOST));
    let mut window = bare_case(&desk, |case| {
        case.roots[0].landmarks.marks.remove(&apex().id);
    });
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window.take(Action::Command(Command::FollowNext));
    assert!(!window.says(LOST), "there is where to go");
}

#[test]
fn without_a_hint_the_cursor_begins_in_the_middle_of_what_is_seen() {
    let desk = Desk::new();
    let mut window = bare_case(&desk, |case| {
        case.landmarks.marks.clear();
        case.roots[0].landmarks.marks.clear();
    });
    window.take(Action::Look(Look::ZoomTo(3.0)));
    window.take(Action::Look(Look::Centre(Position::new(400.0, 300.0))));
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window.press(Modifiers::NONE, Key::Enter);
    let cursor = window.work().cursor.unwrap();
    assert!(cursor.way_from(Position::new(400.0, 300.0)).length() < 1e-6, "{cursor:?}");
}

#[test]
fn a_window_typed_without_bound_is_held_and_the_frames_come_to_rest() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    window.take(Action::Command(Command::ToneStrip));
    for (low, high) in [(-1e308, 1e308), (f64::NAN, f64::NAN), (f64::NEG_INFINITY, f64::INFINITY), (9e9, 1.0)]
    {
        let greys = Greys { low, high };
        // Settling panics where frames are asked for without end.
        window.take(Action::Tone(Tone { window: Some(greys), gamma: high, ..Tone::default() }));
        let tone = window.work().tone;
        assert_eq!(tone, tone, "a tone that is no number is unlike itself");
        let held = tone.window.unwrap();
        assert!(held.width() >= 1.0 && held.low.abs() < 1e6 && held.high.abs() < 1e6, "{held:?}");
    }
    window.take(Action::Command(Command::ResetTone));
    let fields = window.harness.query_all_by_label("window to grey value");
    let field = fields.last().unwrap();
    field.focus();
    window.settle();
    window.press(Modifiers::COMMAND, Key::A);
    window.type_text("1e300");
    window.press(Modifiers::NONE, Key::Enter);
    let held = window.work().tone.window.unwrap();
    assert!(held.high.is_finite() && held.high < 1e6 && held.width() >= 1.0, "{held:?}");
}

#[test]
fn the_histograms_grips_go_by_the_keyboard() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    window.take(Action::Command(Command::ToneStrip));
    let before = window.work().film.shown().unwrap().first_look.window();
    for (name, moves) in [
        ("lower end of the window", [true, false]),
        ("upper end of the window", [false, true]),
        ("the window as a whole", [true, true]),
    ] {
        window.take(Action::Command(Command::ResetTone));
        window.harness.get_by_role_and_label(Role::Slider, name).focus();
        window.settle();
        window.press(Modifiers::NONE, Key::ArrowLeft);
        window.press(Modifiers::NONE, Key::ArrowLeft);
        window.press(Modifiers::SHIFT, Key::ArrowRight);
        let after = window.work().tone.window.unwrap();
        let moved = [after.low != before.low, after.high != before.high];
        assert_eq!(moved, moves, "{name}: {before:?} {after:?}");
        assert!(after.low <= before.low && after.high <= before.high, "{name}: {after:?}");
    }
    // A screen reader steps it, too.
    window.take(Action::Command(Command::ResetTone));
    let node = window.harness.get_by_role_and_label(Role::Slider, "upper end of the window");
    let request = accesskit::ActionRequest {
        action: accesskit::Action::Decrement,
        target_tree: accesskit::TreeId::ROOT,
        target_node: node.accesskit_node().locate().0,
        data: None,
    };
    window.harness.event(eframe::egui::Event::AccessKitActionRequest(request));
    window.settle();
    assert!(window.work().tone.window.unwrap().high < before.high);
}

impl Window {
    /// Types a number into the field that is called so, and leaves it.
    pub(crate) fn type_number(&mut self, field: &str, text: &str) {
        let found = self.harness.query_all_by(|node| {
            node.role() == Role::SpinButton && node.label().is_some_and(|label| label == field)
        });
        found.last().unwrap_or_else(|| panic!("no field {field}")).focus();
        self.settle();
        self.press(Modifiers::COMMAND, Key::A);
        self.type_text(text);
        self.press(Modifiers::NONE, Key::Enter);
    }
}

#[test]
fn numbers_of_the_tone_are_typed_with_a_comma() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    for command in [Command::ToneStrip, Command::LocalContrast, Command::Sharpen] {
        window.take(Action::Command(command));
    }
    window.type_number("Gamma", "1,5");
    window.type_number("Local contrast", "2,5");
    window.type_number("Sharpen", "0,5");
    let tone = window.work().tone;
    assert_eq!((tone.gamma, tone.local_contrast.limit, tone.sharpening.amount), (1.5, 2.5, 0.5));
}
