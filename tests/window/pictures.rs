//! Pictures of the window, compared with those in `tests/window/snapshots`. They are drawn by one rasteriser, Mesa's
//! software Vulkan (`mesa-vulkan-drivers` of Debian), with the bundled fonts, 1280 x 800 at one pixel a point.
//! `UPDATE_SNAPSHOTS=1 cargo test --features window-tests --test window pictures` draws them anew; look at each, and
//! then `mogrify -strip -define png:compression-level=9 tests/window/snapshots/*.png` makes the files smaller.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Landmark, Side};
use crestgauge::editor::LandmarkAt;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use eframe::egui::Event;

/// Takes the picture once nothing moves any more: intervals by Monte Carlo come a moment later.
fn take(window: &mut Window, name: &str) {
    window.until("every interval is drawn", |session| {
        session.work.as_ref().is_none_or(|work| {
            let numbers = work.numbers.as_ref().as_ref();
            let doubtful = numbers
                .is_ok_and(|numbers| numbers.derived.measurements.iter().any(|row| row.first_order_doubtful));
            !doubtful || work.drawn.is_some()
        })
    });
    window.harness.snapshot(name);
}

fn sample_window(desk: &Desk) -> Window {
    let mut window = desk.window(None);
    window.take(Action::Command(Command::OpenSample));
    window.until_film();
    window
}

#[test]
fn nothing_open() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    take(&mut window, "nothing_open_dark");
    window.choose(Command::Theme);
    window.harness.event(Event::PointerGone);
    take(&mut window, "nothing_open_light");
}

#[test]
fn the_sample() {
    let desk = Desk::new();
    let mut window = sample_window(&desk);
    take(&mut window, "sample_dark");
    window.take(Action::Command(Command::Theme));
    take(&mut window, "sample_light");
}

#[test]
fn aiming_with_the_loupe() {
    let desk = Desk::new();
    let mut window = desk.window_aiming_at_the_apex();
    take(&mut window, "aiming");
}

#[test]
fn a_landmark_selected_on_a_turned_film() {
    let desk = Desk::new();
    let mut window = sample_window(&desk);
    window.take(Action::Command(Command::TurnRight));
    window.take(Action::Command(Command::Invert));
    let at = LandmarkAt { root: None, id: Landmark::Crest.on(Side::Distal) };
    window.take(Action::Select(Some(crestgauge::editor::Selection::Landmark(at))));
    take(&mut window, "selected_turned_inverted");
}

#[test]
fn a_film_just_opened() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.film()));
    window.until_film();
    take(&mut window, "film_just_opened");
}

#[test]
fn a_question() {
    let desk = Desk::new();
    let file = desk.write("tooth.case.json", &sample());
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.label_case("work");
    window.take(Action::Command(Command::Close));
    take(&mut window, "question");
}

#[test]
fn the_list_of_shortcuts() {
    let desk = Desk::new();
    let mut window = desk.window(None);
    window.take(Action::Command(Command::Shortcuts));
    take(&mut window, "shortcuts");
}

#[test]
fn planning_a_post() {
    let desk = Desk::new();
    let data = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/plans");
    std::fs::copy(data.join("canine-23.png"), desk.path("canine-23.png")).unwrap();
    let file = desk.write("canine.case.json", &crate::planning::canine());
    let mut window = desk.window(Some(&file));
    window.until_film();
    window.open_part("Post depth");
    window.press_called("Plan a post");
    window.fold_part("Measurements");
    let bar = window.slider("planned tip along the canal");
    bar.scroll_to_me();
    window.settle();
    take(&mut window, "plan");
}
