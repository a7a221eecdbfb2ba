//! What the window costs without a graphics card: toning, opening, and the program's own time for a frame.

// A benchmark that cannot read its own data has nothing to say.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::cast_possible_truncation,
    missing_docs
)]

use crestgauge::calibration::Library;
use crestgauge::case::Landmark;
use crestgauge::editor::{Engine, LandmarkAt, PointAt};
use crestgauge::film::dicom::{NewFilm, encode};
use crestgauge::film::{Bounds, Cut, FirstDisplay, FirstLook, LocalContrast, Picture, Pyramid, Tone, Window};
use crestgauge::geometry::{Displacement, Position};
use crestgauge::quantity::Millimetres;
use crestgauge::verdict::Criteria;
use crestgauge::viewer::action::{Action, Look};
use crestgauge::viewer::toning::Colours;
use crestgauge::viewer::{App, Start};
use criterion::{Criterion, criterion_group, criterion_main};
use eframe::App as _;
use eframe::egui;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

const WIDTH: u32 = 1300;
const HEIGHT: u32 = 1700;

/// Slow gradients under fine grain, as in benches/film.rs.
fn picture(width: u32, height: u32) -> Picture {
    use rand::{RngExt as _, SeedableRng as _};
    let mut grain = rand_chacha::ChaCha8Rng::seed_from_u64(1);
    let grey = (0..height)
        .flat_map(|y| (0..width).map(move |x| 20_000 + (8 * x + 6 * y) % 40_000))
        .map(|level| u16::try_from(level + grain.random_range(0..512)).unwrap())
        .collect();
    Picture::new(width, height, 16, grey).unwrap()
}

fn toning(bench: &mut Criterion) {
    let picture = picture(WIDTH, HEIGHT);
    let look = FirstLook::of(&FirstDisplay::plain(16, false), &picture.histogram());
    let tone = Tone { window: Some(Window { low: 21_000.0, high: 43_000.0 }), gamma: 1.3, ..Tone::default() };
    let mut group = bench.benchmark_group("tone");
    group.bench_function("first look", |bench| {
        let histogram = picture.histogram();
        bench.iter(|| FirstLook::of(&FirstDisplay::plain(16, false), black_box(&histogram)));
    });
    group.bench_function("table", |bench| bench.iter(|| Colours::of(black_box(tone), &look)));
    let colours = Colours::of(tone, &look);
    let texels = Cut { from: [0, 0], size: [WIDTH, HEIGHT] };
    group.bench_function("2.2 megapixels", |bench| bench.iter(|| colours.image(black_box(&picture), texels)));
    group.bench_function("pyramid", |bench| bench.iter(|| Pyramid::of(black_box(&picture))));
    group.bench_function("histogram", |bench| bench.iter(|| black_box(&picture).histogram()));
    group.finish();
}

/// The program without a window: frames are run, laid out and cut into triangles, and nothing is drawn.
struct Bare {
    context: egui::Context,
    app: App,
    frame: eframe::Frame,
    pointer: egui::Pos2,
}

impl Bare {
    fn new(file: Option<PathBuf>, state_folder: &Path) -> Self {
        let context = egui::Context::default();
        context.enable_accesskit();
        let engine =
            Engine { library: Library::embedded().unwrap(), criteria: Criteria::default_set().unwrap() };
        let start = Start {
            file,
            engine: engine.into(),
            state_folder: Some(state_folder.to_path_buf()),
            bounds: Bounds::default(),
        };
        let app = App::new(&context, start).without_dialogs();
        let mut bare = Self { context, app, frame: eframe::Frame::_new_kittest(), pointer: egui::Pos2::ZERO };
        let begun = Instant::now();
        while bare.app.session().opening.is_some() || begun.elapsed() < Duration::from_millis(500) {
            bare.run(vec![]);
            assert!(begun.elapsed() < Duration::from_mins(2), "the film does not open");
        }
        bare.settle();
        let work = bare.app.session().work.as_ref();
        assert!(work.is_some_and(|work| work.film.shown().is_some()), "{:?}", bare.app.session().notices);
        bare
    }

    fn run(&mut self, events: Vec<egui::Event>) -> bool {
        let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0));
        let input = egui::RawInput { screen_rect: Some(screen), events, focused: true, ..Default::default() };
        let (app, frame) = (&mut self.app, &mut self.frame);
        let mut output = self.context.run_ui(input, |ui| {
            app.logic(ui.ctx(), frame);
            app.ui(ui, frame);
        });
        black_box(self.context.tessellate(output.shapes, output.pixels_per_point));
        output.textures_delta.clear();
        output.viewport_output.values().any(|viewport| viewport.repaint_delay.is_zero())
    }

    /// Runs frames until none is asked for.
    fn settle(&mut self) {
        for _ in 0..2000 {
            if !self.run(vec![]) {
                return;
            }
        }
        panic!("frames are asked for although nothing changes");
    }

    fn film(&self) -> egui::Rect {
        self.context.read_response(egui::Id::unique("film")).unwrap().rect
    }

    /// Where the ferrule of the sample is seen: a landmark that much depends on.
    fn landmark(&self) -> egui::Pos2 {
        let work = self.app.session().work.as_ref().unwrap();
        let root = work.open.case().roots.first().unwrap().name;
        let at = LandmarkAt { id: Landmark::Apex.id(), root: Some(root) };
        let seen = work.viewport.seen(PointAt::Landmark(at).position(work.open.case()).unwrap());
        self.film().center() + egui::vec2(seen.x as f32, seen.y as f32)
    }

    fn to(&mut self, place: egui::Pos2) {
        self.pointer = place;
        self.run(vec![egui::Event::PointerMoved(place)]);
    }

    fn press(&mut self, button: egui::PointerButton, pressed: bool) {
        let modifiers = egui::Modifiers::NONE;
        self.run(vec![egui::Event::PointerButton { pos: self.pointer, button, pressed, modifiers }]);
    }

    /// Moves the pointer by a step to and fro.
    fn shake(&mut self, turn: &mut f32) {
        *turn = -*turn;
        self.to(self.pointer + egui::vec2(*turn, *turn / 2.0));
    }
}

fn frames(bench: &mut Criterion) {
    let state_folder = tempfile::tempdir().unwrap();
    let mut bare = Bare::new(None, state_folder.path());
    let mut group = bench.benchmark_group("frame");
    group.bench_function("nothing happens", |bench| bench.iter(|| bare.run(vec![])));
    bare.to(bare.film().center());
    let mut turn = 3.0;
    group.bench_function("hover over the film", |bench| bench.iter(|| bare.shake(&mut turn)));
    let landmark = bare.landmark();
    bare.to(landmark);
    bare.press(egui::PointerButton::Primary, true);
    let before = bare.app.session().work.as_ref().unwrap().open.revision();
    // Beyond what counts as a click.
    bare.to(landmark + egui::vec2(12.0, 12.0));
    group.bench_function("dragging a landmark", |bench| bench.iter(|| bare.shake(&mut turn)));
    let after = bare.app.session().work.as_ref().unwrap().open.revision();
    assert_ne!(before, after, "the landmark was not dragged");
    bare.press(egui::PointerButton::Primary, false);
    bare.settle();
    bare.to(bare.film().center() + egui::vec2(150.0, 200.0));
    bare.press(egui::PointerButton::Secondary, true);
    bare.to(bare.pointer + egui::vec2(12.0, 12.0));
    bare.to(bare.pointer + egui::vec2(12.0, 12.0));
    group.bench_function("dragging the window", |bench| bench.iter(|| bare.shake(&mut turn)));
    assert_ne!(bare.app.session().work.as_ref().unwrap().tone, Tone::default(), "the window was not dragged");
    group.finish();
}

/// A planned tip dragged along its canal, its part of the worksheet open: outline, window and every rule's bar follow.
fn planned_post(bench: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/plans");
    for name in ["canine-23.case.json", "canine-23.png"] {
        std::fs::copy(data.join(name), folder.path().join(name)).unwrap();
    }
    let mut bare = Bare::new(Some(folder.path().join("canine-23.case.json")), folder.path());
    // The heading lies below what is seen: it is opened by the keyboard.
    bare.context.memory_mut(|memory| memory.request_focus(egui::Id::unique("worksheet, plan")));
    bare.settle();
    let modifiers = egui::Modifiers::NONE;
    let enter = |pressed| egui::Event::Key {
        key: egui::Key::Enter,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers,
    };
    bare.run(vec![enter(true)]);
    bare.run(vec![enter(false)]);
    bare.settle();
    assert!(bare.app.session().work.as_ref().unwrap().planning.shows, "the part is open");
    let work = bare.app.session().work.as_ref().unwrap();
    let planned = work.planned();
    let edit = planned.as_ref().as_ref().unwrap().plan_tip(work.open.case(), 9.0).unwrap();
    let at = planned.as_ref().as_ref().unwrap().tip_at().unwrap();
    bare.app.session_mut().take(Action::Edit(edit));
    bare.settle();
    let work = bare.app.session().work.as_ref().unwrap();
    let seen = work.viewport.seen(PointAt::Landmark(at).position(work.open.case()).unwrap());
    let tip = bare.film().center() + egui::vec2(seen.x as f32, seen.y as f32);
    bare.to(tip);
    bare.press(egui::PointerButton::Primary, true);
    bare.to(tip + egui::vec2(0.0, 12.0));
    let before = bare.app.session().work.as_ref().unwrap().open.revision();
    let mut turn = 6.0;
    let mut group = bench.benchmark_group("frame");
    group.bench_function("dragging a planned post", |bench| bench.iter(|| bare.shake(&mut turn)));
    group.finish();
    assert_ne!(before, bare.app.session().work.as_ref().unwrap().open.revision(), "the tip was not dragged");
}

/// Processor time of this thread so far, where the system tells: what other processes take of two cores is not in it.
fn processor_time() -> Option<Duration> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(Duration::from_nanos(told.split_whitespace().next()?.parse().ok()?))
}

/// Does something two hundred times, and prints how long it took by the clock, and of the processor.
fn report(bare: &mut Bare, name: &str, act: impl Fn(&mut Bare, u32)) {
    let (mut times, mut own): (Vec<Duration>, Vec<Duration>) = (0..200)
        .map(|turn| {
            let (begun, before) = (Instant::now(), processor_time().unwrap_or_default());
            act(bare, turn);
            (begun.elapsed(), processor_time().unwrap_or_default().saturating_sub(before))
        })
        .unzip();
    times.sort();
    own.sort();
    println!(
        "{name}: median {:.2?}, longest of 200 {:.2?}; of the processor {:.2?}",
        times[100], times[199], own[199]
    );
}

/// The longest frame while a film of 25 megapixels is magnified, moved and toned, and one as large as is read by default.
fn stalls(_: &mut Criterion) {
    for side in [5000, 14_140] {
        println!("a film of {side} x {side} pixels");
        stalls_of(side);
    }
}

fn stalls_of(side: u32) {
    let folder = tempfile::tempdir().unwrap();
    let picture = picture(side, side);
    let pitch = Millimetres(0.02);
    let film =
        NewFilm { picture: &picture, across: pitch, down: pitch, magnification: None, inverted: false };
    let file = folder.path().join("film.dcm");
    std::fs::write(&file, encode(&film).unwrap()).unwrap();
    let mut bare = Bare::new(Some(file), folder.path());
    let wheel = |by: f64| Action::Look(Look::Zoom { by, at: Position::new(40.0, 30.0) });
    report(&mut bare, "magnified and made smaller", |bare, turn| {
        bare.app.session_mut().take(wheel(if turn / 50 % 2 == 0 { 1.1 } else { 1.0 / 1.1 }));
        bare.run(vec![]);
    });
    bare.app.session_mut().take(Action::Look(Look::ZoomTo(0.51)));
    report(&mut bare, "moved", |bare, turn| {
        // To the film's edge and back.
        let by = if turn / 20 % 2 == 0 { 50.0 } else { -50.0 };
        bare.app.session_mut().take(Action::Look(Look::Pan(Displacement::new(by, by / 2.0))));
        bare.run(vec![]);
    });
    report(&mut bare, "toned", |bare, turn| {
        let window = Window { low: 20_000.0 + 10.0 * f64::from(turn), high: 50_000.0 };
        bare.app.session_mut().take(Action::Tone(Tone {
            window: Some(window),
            gamma: 1.2,
            ..Tone::default()
        }));
        bare.run(vec![]);
    });
    local_contrast(&mut bare);
}

/// The same with local contrast: switched on over all of the film, whose regions were never counted; then its limit is
/// dragged; then the film is magnified and moved.
fn local_contrast(bare: &mut Bare) {
    let local = |limit: f64| LocalContrast { is_on: true, limit };
    bare.app.session_mut().take(Action::Command(crestgauge::viewer::command::Command::Fit));
    bare.app.session_mut().take(Action::Tone(Tone::default()));
    bare.settle();
    report(bare, "local contrast switched on, the whole film", |bare, turn| {
        if turn == 0 {
            bare.app.session_mut().take(Action::Tone(Tone { local_contrast: local(2.5), ..Tone::default() }));
        }
        bare.run(vec![]);
    });
    report(bare, "limit of local contrast dragged, the whole film", |bare, turn| {
        let limit = 1.5 + f64::from(turn) / 100.0;
        bare.app.session_mut().take(Action::Tone(Tone { local_contrast: local(limit), ..Tone::default() }));
        bare.run(vec![]);
    });
    bare.app.session_mut().take(Action::Look(Look::ZoomTo(0.51)));
    report(bare, "moved with local contrast", |bare, turn| {
        let by = if turn / 20 % 2 == 0 { 50.0 } else { -50.0 };
        bare.app.session_mut().take(Action::Look(Look::Pan(Displacement::new(by, by / 2.0))));
        bare.run(vec![]);
    });
}

/// From a file to its first whole picture, textures made.
fn opening(bench: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let picture = picture(WIDTH, HEIGHT);
    let pitch = Millimetres(0.02);
    let film =
        NewFilm { picture: &picture, across: pitch, down: pitch, magnification: None, inverted: false };
    let dicom = folder.path().join("film.dcm");
    std::fs::write(&dicom, encode(&film).unwrap()).unwrap();
    let png = folder.path().join("film.png");
    let bytes: Vec<u8> = picture.grey().iter().flat_map(|grey| grey.to_ne_bytes()).collect();
    image::save_buffer(&png, &bytes, WIDTH, HEIGHT, image::ExtendedColorType::L16).unwrap();
    let mut bare = Bare::new(None, folder.path());
    let mut group = bench.benchmark_group("file to picture");
    group.sample_size(20);
    for (name, file) in [("PNG", png), ("DICOM", dicom)] {
        group.bench_function(format!("{name}, 2.2 megapixels of 16 bits"), |bench| {
            bench.iter(|| {
                bare.app.session_mut().take(Action::Open(file.clone()));
                while bare.app.session().opening.is_some() {
                    std::thread::sleep(Duration::from_micros(200));
                    bare.app.session_mut().tend(SystemTime::now());
                }
                bare.settle();
            });
        });
    }
    group.finish();
}

criterion_group!(benches, toning, opening, frames, planned_post, stalls);
criterion_main!(benches);
