//! A window to drive, and the files it works on.

use crestgauge::case::{Case, Document, Landmark, Replace, RootName, read_text, save};
use crestgauge::editor::{Edit, Engine, LandmarkAt};
use crestgauge::film::Bounds;
use crestgauge::geometry::Position;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::{Command, keys_words};
use crestgauge::viewer::question::Answer;
use crestgauge::viewer::{App, Session, Start, Work};
use eframe::egui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};
use std::time::{Duration, Instant};

/// The size of the window, points.
pub(crate) const SIZE: [f32; 2] = [1280.0, 800.0];

pub(crate) static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::embedded().unwrap()));

pub(crate) fn films_truth() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth")
}

/// The case of film 102.
pub(crate) fn sample() -> Case {
    let text = std::fs::read_to_string(films_truth().join("film-102.case.json")).unwrap();
    read_text(&text).unwrap().case
}

/// A folder with films and cases in it, and a state folder beside it.
pub(crate) struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    /// With film 102, and a state folder that says that this is not the first time.
    pub(crate) fn new() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        std::fs::copy(films_truth().join("film-102.png"), desk.film()).unwrap();
        std::fs::create_dir(desk.path("state")).unwrap();
        std::fs::write(desk.path("state/viewer.json"), "{}").unwrap();
        desk
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn film(&self) -> PathBuf {
        self.path("film-102.png")
    }

    pub(crate) fn write(&self, name: &str, case: &Case) -> PathBuf {
        let file = self.path(name);
        save(&file, &Document { case, derived: None, case_file: None }, Replace::Yes).unwrap();
        file
    }

    /// The sample's case in a file, without its film: quick to open.
    pub(crate) fn case_without_film(&self) -> PathBuf {
        let mut case = sample();
        case.film.file = None;
        case.film.sha256 = None;
        self.write("tooth.case.json", &case)
    }

    pub(crate) fn window(&self, file: Option<&Path>) -> Window {
        Window::new(self.start(file), 1.0)
    }

    /// The sample on its film without its apex, which is aimed at, with the pointer near where it lies.
    pub(crate) fn window_aiming_at_the_apex(&self) -> Window {
        self.window_aiming_at_the_apex_of(sample())
    }

    /// The same of a case with one root.
    pub(crate) fn window_aiming_at_the_apex_of(&self, mut case: Case) -> Window {
        let apex = LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() };
        let mark = case.roots[0].landmarks.marks.remove(&apex.id).unwrap();
        let point = mark.point().unwrap();
        let file = self.write("tooth.case.json", &case);
        let mut window = self.window(Some(&file));
        window.until_film();
        window.take(Action::Aim(Some(Target::Landmark(apex))));
        let at = window.seen(Position::new(point.x, point.y));
        window.harness.hover_at(at);
        window
    }

    pub(crate) fn start(&self, file: Option<&Path>) -> Start {
        Start {
            file: file.map(Path::to_path_buf),
            engine: ENGINE.clone(),
            state_folder: Some(self.path("state")),
            bounds: Bounds::default(),
        }
    }
}

/// A window.
pub(crate) struct Window {
    pub(crate) harness: Harness<'static, App>,
}

impl Window {
    pub(crate) fn new(start: Start, pixels_per_point: f32) -> Self {
        let harness = Harness::builder()
            .with_size(SIZE)
            .with_pixels_per_point(pixels_per_point)
            .with_max_steps(30)
            .build_eframe(|context| App::new(&context.egui_ctx, start).without_dialogs());
        let mut window = Self { harness };
        window.settle();
        window
    }

    /// Draws until nothing more is asked for.
    pub(crate) fn settle(&mut self) {
        self.harness.run();
    }

    /// Draws until it is so; other threads may be at work.
    pub(crate) fn until(&mut self, what: &str, is_so: impl Fn(&Session) -> bool) {
        let began = Instant::now();
        while !is_so(self.session()) {
            assert!(
                began.elapsed() < Duration::from_mins(1),
                "{what}: never so, {:?}",
                self.session().notices
            );
            self.harness.step();
        }
        self.settle();
    }

    pub(crate) fn until_film(&mut self) {
        self.until("a film is shown", |session| {
            session.work.as_ref().is_some_and(|work| work.film.shown().is_some())
        });
    }

    /// Draws until no autosave is being written.
    pub(crate) fn until_put_by(&mut self) {
        self.until("work is put by", |session| {
            session.work.as_ref().is_none_or(|work| !work.open.is_autosaving())
        });
    }

    pub(crate) fn session(&self) -> &Session {
        self.harness.state().session()
    }

    pub(crate) fn work(&self) -> &Work {
        self.session().work.as_ref().expect("a case is open")
    }

    /// Asks for something without pointer and keyboard.
    pub(crate) fn take(&mut self, action: Action) {
        self.harness.state_mut().session_mut().take(action);
        self.settle();
    }

    /// Finishes a placing for practice, with whatever is left of it.
    pub(crate) fn finish_placing(&mut self) {
        self.press(egui::Modifiers::COMMAND, egui::Key::Enter);
        self.take(Action::Answer(Answer::Yes));
    }

    pub(crate) fn label_case(&mut self, label: &str) {
        self.take(Action::Edit(Edit::Label(Some(label.to_owned()))));
    }

    /// Clicks what has this accessible name.
    pub(crate) fn click(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.settle();
    }

    /// Whether something has this accessible name, or this text.
    pub(crate) fn shows(&self, name: &str) -> bool {
        self.harness.query_all_by_label(name).next().is_some()
    }

    /// Whether the words stand somewhere.
    pub(crate) fn says(&self, words: &str) -> bool {
        self.harness.query_all_by_label_contains(words).next().is_some()
    }

    pub(crate) fn press(&mut self, modifiers: egui::Modifiers, key: egui::Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.settle();
    }

    /// Presses the pointer's first button, or lets it go.
    pub(crate) fn button(&mut self, at: egui::Pos2, pressed: bool, modifiers: egui::Modifiers) {
        let button = egui::PointerButton::Primary;
        self.harness.event(egui::Event::PointerButton { pos: at, button, pressed, modifiers });
        self.harness.step();
    }

    pub(crate) fn type_text(&mut self, text: &str) {
        self.harness.event(egui::Event::Text(text.to_owned()));
        self.settle();
    }

    /// Chooses a command in its menu.
    pub(crate) fn choose(&mut self, command: Command) {
        self.click(command.menu().title());
        let title = command.title_now(self.session());
        let keys = command.shortcuts().first().map(|keys| keys_words(keys, self.harness.ctx.os().is_mac()));
        let name = keys.map_or_else(|| title.clone(), |keys| format!("{title} {keys}"));
        // A menu is drawn last; what it offers may stand elsewhere, too.
        let item = self.harness.get_all_by_label(&name).last().unwrap();
        item.click();
        self.settle();
    }
}
