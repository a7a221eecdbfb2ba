//! Windows of several sizes: the smallest there is, a laptop's, and 4K at 200 %. What always has to be seen lies within.

use crate::desk::{Desk, Window};
use crate::states::{STATES, everything_open};
use crate::whole_case::has_keyboard;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::remembered::{Scale, Setting};
use eframe::egui::accesskit::{Action as Asked, Role};
use eframe::egui::{Key, Modifiers, Rect, Shape, Vec2, pos2};
use egui_kittest::kittest::{AccessKitNode, NodeT as _, Queryable as _};

/// Sizes in points, with the pixels of a point.
const SIZES: [([f32; 2], f32); 3] = [([900.0, 560.0], 1.0), ([1280.0, 800.0], 1.0), ([1920.0, 1080.0], 2.0)];

fn sample(desk: &Desk, size: [f32; 2], pixels_per_point: f32) -> Window {
    let mut window = Window::new(desk.start(None), pixels_per_point);
    window.harness.set_size(Vec2::from(size));
    window.take(Action::Command(Command::OpenSample));
    window.until_film();
    window
}

/// The names and places of what is said and pressed in a part of the window.
fn within(window: &Window, part: Rect) -> Vec<(String, Rect)> {
    // What is merely said has its words as a value; the runs of its letters are told of once more.
    let nodes = window
        .harness
        .query_all_by(|node| node.role() != Role::TextRun && node.label().or(node.value()).is_some());
    nodes
        .filter_map(|node| Some((node.accesskit_node().label().or(node.value())?, node.rect())))
        .filter(|(_, rect)| rect.is_positive() && part.y_range().contains(rect.center().y))
        .filter(|(_, rect)| rect.width() < 0.9 * part.width() && part.x_range().contains(rect.left()))
        .collect()
}

#[test]
fn what_always_has_to_be_seen_lies_within_the_window() {
    let desk = Desk::new();
    for (size, pixels_per_point) in SIZES {
        let mut window = sample(&desk, size, pixels_per_point);
        for with_tone in [false, true] {
            if with_tone {
                window.take(Action::Command(Command::ToneStrip));
            }
            let screen = Rect::from_min_size(pos2(0.0, 0.0), Vec2::from(size));
            let film = window.film();
            assert!(film.width() > 300.0 && film.height() > 150.0, "{size:?}: {film:?}");
            // The strip over the film, and the line at the foot of the window.
            let foot = window.harness.get_all_by_label("Tone and turn").map(|node| node.rect());
            let foot = foot.max_by(|one, other| one.bottom().total_cmp(&other.bottom())).unwrap();
            let strip = Rect::from_min_max(pos2(0.0, film.top() - 56.0), pos2(film.right(), film.top()));
            let line = Rect::from_x_y_ranges(screen.x_range(), foot.top() - 2.0..=screen.bottom());
            for (what, part) in [("strip", strip), ("status", line)] {
                let mut parts = within(&window, part);
                // Rows of the worksheet that are scrolled out of sight lie behind the line, too.
                let is_of_line = |name: &str| name == "Tone and turn" || name.contains(" turn ");
                parts.retain(|(name, rect)| rect.left() < film.right() || is_of_line(name));
                // A narrow strip has its lead and what is meant, each in a line of its own.
                assert!(parts.len() > 1, "{size:?}: {what}: {parts:?}");
                for (name, rect) in &parts {
                    assert!(
                        part.expand(1.0).contains_rect(*rect),
                        "{size:?}: {what}: {name}: {rect:?} in {part:?}"
                    );
                }
                // Nor does one lie on another.
                parts.sort_by(|(_, one), (_, other)| one.left().total_cmp(&other.left()));
                for pair in parts.windows(2) {
                    let overlap = pair[0].1.shrink(1.0).intersect(pair[1].1.shrink(1.0));
                    assert!(!overlap.is_positive(), "{size:?}: {what}: {} lies on {}", pair[0].0, pair[1].0);
                }
            }
        }
    }
}

#[test]
fn headings_of_the_worksheet_are_as_wide_as_it_and_lie_within_the_window() {
    let desk = Desk::new();
    for (size, _) in SIZES {
        let mut window = everything_open(&desk);
        window.harness.set_size(Vec2::from(size));
        window.settle();
        let headings = window.harness.query_all_by(|node| {
            node.label().is_some_and(|label| label.ends_with(", open") || label.ends_with(", closed"))
        });
        let headings: Vec<_> = headings.map(|node| (node.accesskit_node().label(), node.rect())).collect();
        assert_eq!(headings.len(), 9, "{headings:?}");
        for (name, rect) in headings {
            let is_within = rect.left() >= window.film().right() && rect.right() <= size[0];
            assert!(is_within, "{size:?}: {name:?}: {rect:?}");
        }
        // No control reaches beyond the window's side; a table that does is scrolled.
        let beyond = window.harness.query_all_by(|node| node.data().supports_action(Asked::Focus));
        for node in beyond {
            let (name, rect) = (node.accesskit_node().label().or(node.value()), node.rect());
            assert!(rect.right() <= size[0] + 1.0, "{size:?}: {name:?}: {rect:?}");
        }
    }
}

#[test]
fn however_wide_the_worksheet_is_dragged_the_film_lies_beside_it() {
    let desk = Desk::new();
    let mut window = everything_open(&desk);
    for to in [100.0, 700.0, 300.0, 1200.0, 5.0, 620.0] {
        let edge = pos2(window.film().right(), 300.0);
        window.harness.hover_at(edge);
        window.settle();
        window.button(edge, true, Modifiers::NONE);
        for part in [0.3, 0.6, 1.0] {
            window.harness.hover_at(pos2(edge.x + part * (to - edge.x), 300.0));
            window.settle();
        }
        window.button(pos2(to, 300.0), false, Modifiers::NONE);
        window.settle();
        let headings = window.harness.query_all_by(|node| {
            node.label().is_some_and(|label| label.ends_with(", open") || label.ends_with(", closed"))
        });
        let left = headings.map(|node| node.rect().left()).fold(f32::INFINITY, f32::min);
        let film = window.film();
        assert!((0.0..16.0).contains(&(left - film.right())), "to {to}: {left} beside {film:?}");
    }
}

/// What lies over the panels, and what the keyboard comes to, lies within the window in each of its sizes.
#[test]
fn no_control_of_any_state_reaches_beyond_the_window_however_small_it_is() {
    let mut beyond = Vec::new();
    for (state, open) in STATES {
        let desk = Desk::new();
        let mut window = open(&desk);
        for (size, _) in SIZES {
            window.harness.set_size(Vec2::from(size));
            window.settle();
            let controls = window.harness.query_all_by(|node| {
                node.data().supports_action(Asked::Focus) && node.role() != Role::Window
            });
            for node in controls {
                let (name, rect) = (node.accesskit_node().label().or(node.value()), node.rect());
                // Points of the film are where they are; what is scrolled out of sight above or below is come to by the keyboard.
                let is_point = name
                    .as_deref()
                    .is_some_and(|name| name.contains("placed at") || name.contains("planned at"));
                if !is_point && (rect.right() > size[0] + 1.0 || rect.left() < -1.0) {
                    beyond.push(format!("{state}, {size:?}: {name:?}: {rect:?}"));
                }
            }
        }
    }
    assert!(beyond.is_empty(), "{beyond:#?}");
}

/// A laptop's window with letters as large as they get: whatever is pressed or typed in can be come to by the keyboard, and then
/// lies within the window, as wide as it is; what is read ends within it, too.
#[test]
fn practice_and_agreement_are_reached_whole_however_large_letters_are() {
    let screens = ["what to practise on", "practising", "practice compared", "learning curves", "agreement"];
    let states: Vec<_> = STATES.iter().filter(|(name, _)| screens.contains(name)).collect();
    assert_eq!(states.len(), screens.len());
    for (name, begin) in states {
        let desk = Desk::new();
        let mut window = begin(&desk);
        for percent in [100, 200, 300] {
            window.take(Action::Set(Setting::Scale(Scale::try_from(percent).unwrap())));
            window.settle();
            let screen = window.harness.ctx.content_rect().expand(1.0);
            let mut seen = std::collections::BTreeSet::new();
            for _ in 0..300 {
                window.press(Modifiers::NONE, Key::Tab);
                let Some(node) = window.harness.query_all_by(has_keyboard).last() else { continue };
                let (called, rect) = (node.accesskit_node().label().or(node.value()), node.rect());
                if !seen.insert(format!("{called:?} {:?}", node.accesskit_node().role())) && seen.len() > 3 {
                    break;
                }
                let is_within = screen.contains_rect(rect) || rect.height() > screen.height();
                assert!(is_within, "{name} at {percent} %: {called:?}: {rect:?} in {screen:?}");
            }
            let words = window.harness.query_all_by(|node| node.role() == Role::Label);
            for node in words.filter(|node| screen.y_range().contains(node.rect().center().y)) {
                let (said, rect) = (node.accesskit_node().label().or(node.value()), node.rect());
                assert!(
                    rect.right() <= screen.right() && rect.left() >= screen.left(),
                    "{name} at {percent} %: {said:?}: {rect:?} in {screen:?}"
                );
            }
        }
    }
}

#[test]
fn the_worksheet_is_read_by_page_keys_while_the_keyboard_is_in_it() {
    let desk = Desk::new();
    let mut window = everything_open(&desk);
    let first = |window: &Window| {
        let is_first = |node: &AccessKitNode<'_>| {
            node.role() == Role::Button
                && node.label().is_some_and(|it| it.contains("Film and tooth") && it.ends_with(", open"))
        };
        window.harness.get_by(is_first).rect().top()
    };
    window.press(Modifiers::NONE, Key::F6);
    if !window
        .harness
        .query_all_by(has_keyboard)
        .last()
        .is_some_and(|it| it.rect().left() > window.film().right())
    {
        window.press(Modifiers::NONE, Key::F6);
    }
    let begun = first(&window);
    window.press(Modifiers::NONE, Key::PageDown);
    assert!(first(&window) < begun - 200.0, "{begun} {}", first(&window));
    window.press(Modifiers::NONE, Key::PageUp);
    assert!((first(&window) - begun).abs() < 1.0);
    // On the film they are nothing to the worksheet.
    window.press(Modifiers::NONE, Key::F6);
    window.press(Modifiers::NONE, Key::PageDown);
    assert!((first(&window) - begun).abs() < 1.0);
}

#[test]
fn tables_wider_than_the_worksheet_go_sideways_by_the_keyboard() {
    let desk = Desk::new();
    let (_, open) = STATES.iter().find(|(name, _)| *name == "everything open of a plan").unwrap();
    let mut window = open(&desk);
    window.harness.set_size(Vec2::new(900.0, 560.0));
    window.settle();
    let wide = |node: &AccessKitNode<'_>| node.role() == Role::ScrollView && node.label().is_some();
    let names = window.harness.query_all_by(wide).filter_map(|node| node.accesskit_node().label());
    let names: Vec<String> = names.filter(|name| name.contains("sideways")).collect();
    assert!(!names.is_empty(), "drills and ways are wider than so narrow a worksheet");
    for name in &names {
        // Where words of the table are painted: they are clipped to it, and to a narrow margin around it.
        let lefts = |window: &Window| -> Vec<f32> {
            let room = window.harness.get_by_role_and_label(Role::ScrollView, name).rect();
            let shapes = window.harness.output().shapes.iter();
            let inside = shapes.filter(|it| {
                let clip = it.clip_rect;
                clip.is_positive()
                    && room.expand(6.0).contains_rect(clip)
                    && clip.expand(6.0).x_range().contains(room.left())
            });
            let texts = inside
                .filter_map(|it| if let Shape::Text(text) = &it.shape { Some(text.pos.x) } else { None });
            texts.collect()
        };
        window.harness.get_by_role_and_label(Role::ScrollView, name).focus();
        window.settle();
        let begun = lefts(&window);
        let room = window.harness.get_by_role_and_label(Role::ScrollView, name).rect();
        assert!(!begun.is_empty(), "{name} is in view: {room:?}, {:?}", window.focused());
        window.press(Modifiers::NONE, Key::ArrowRight);
        assert_ne!(lefts(&window), begun, "{name}");
        window.press(Modifiers::NONE, Key::ArrowLeft);
        assert_eq!(lefts(&window), begun, "{name}");
    }
}
