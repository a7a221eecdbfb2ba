//! What the window works on, without any drawing: films and cases opened in other threads, questions, saving,
//! autosaves, what is remembered. The time is handed in, so nothing waits for a clock.

mod disk;
mod films;
mod leaving;
mod numbers;
mod planning;
mod remembered;
mod reports;
mod saving;
mod unsaved;

use crate::support::case;
use crestgauge::case::{Case, Document, Replace, save};
use crestgauge::editor::{Edit, Engine};
use crestgauge::film::Bounds;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::{Answer, Question};
use crestgauge::viewer::session::NoticeKind;
use crestgauge::viewer::{FilmState, Session, Start, Work};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, LazyLock};
use std::time::{Duration, Instant, SystemTime};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::embedded().unwrap()));

fn second(seconds: u64) -> SystemTime {
    SystemTime::UNIX_EPOCH + Duration::from_secs(seconds)
}

fn films_truth() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth")
}

/// The case of film 102.
fn sample() -> Case {
    case(&std::fs::read_to_string(films_truth().join("film-102.case.json")).unwrap())
}

fn label(text: &str) -> Action {
    Action::Edit(Edit::Label(Some(text.to_owned())))
}

/// A folder with films and cases in it, and a state folder beside it.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    /// `cases` holds film 102 and, as `tooth.case.json`, its case.
    fn new() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        std::fs::create_dir(desk.path("cases")).unwrap();
        std::fs::copy(films_truth().join("film-102.png"), desk.film()).unwrap();
        desk.write("cases/tooth.case.json", &sample());
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn film(&self) -> PathBuf {
        self.path("cases/film-102.png")
    }

    fn case(&self) -> PathBuf {
        self.path("cases/tooth.case.json")
    }

    fn state(&self) -> PathBuf {
        self.path("state")
    }

    fn write(&self, name: &str, case: &Case) {
        save(&self.path(name), &Document { case, derived: None, case_file: None }, Replace::Yes).unwrap();
    }

    /// Another film, of its own size, and a case on it.
    fn another(&self) -> (PathBuf, PathBuf) {
        let film = self.path("cases/other.png");
        image::GrayImage::from_fn(40, 30, |x, y| image::Luma([u8::try_from(x + y).unwrap()]))
            .save(&film)
            .unwrap();
        let mut case = case(r#"{"format": "crestgauge.case", "version": 1}"#);
        case.film.file = Some("other.png".to_owned());
        self.write("cases/other.case.json", &case);
        (film, self.path("cases/other.case.json"))
    }

    fn label_in(&self, name: &str) -> Option<String> {
        case(&std::fs::read_to_string(self.path(name)).unwrap()).label
    }

    fn start(&self, file: Option<&Path>) -> Driven {
        Driven::new(Start {
            file: file.map(Path::to_path_buf),
            engine: ENGINE.clone(),
            state_folder: Some(self.state()),
            bounds: Bounds::default(),
        })
    }

    /// A session with the case open and its film shown.
    fn with_case(&self) -> Driven {
        let mut driven = self.start(Some(&self.case()));
        driven.until_film();
        driven
    }

    /// A session with nothing open that is not the first.
    fn with_nothing(&self) -> Driven {
        std::fs::create_dir_all(self.state()).unwrap();
        std::fs::write(self.state().join("viewer.json"), "{}").unwrap();
        self.start(None)
    }

    fn unsaved_files(&self) -> Vec<String> {
        let in_folder = |folder: PathBuf| {
            let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
            entries
                .map(|entry| entry.unwrap().file_name().into_string().unwrap())
                .filter(|name| name.contains(".unsaved"))
                .collect()
        };
        [self.path("cases"), self.state().join("unsaved")].into_iter().flat_map(in_folder).collect()
    }
}

/// A session, the clock it is told, and when it wants to be woken.
struct Driven {
    session: Session,
    now: SystemTime,
    woken: Receiver<()>,
}

impl Driven {
    fn new(start: Start) -> Self {
        let (send, woken) = channel();
        let session = Session::new(start, move || {
            // Nobody listens any more where a test is over.
            let _ = send.send(());
        });
        Self { session, now: second(1_000), woken }
    }

    fn take(&mut self, action: Action) {
        self.session.take(action);
    }

    fn command(&mut self, command: Command) {
        self.take(Action::Command(command));
    }

    fn answer(&mut self, answer: Answer) {
        self.take(Action::Answer(answer));
    }

    /// Types into what is asked.
    fn typed(&mut self, text: &Path) {
        self.answer(Answer::Typed(text.to_str().unwrap().to_owned()));
    }

    fn tend(&mut self) -> Option<Duration> {
        self.session.tend(self.now)
    }

    /// Lets time pass.
    fn after(&mut self, seconds: u64) -> Option<Duration> {
        self.now += Duration::from_secs(seconds);
        self.tend()
    }

    /// Tends whenever another thread has finished something, until it is so.
    fn until(&mut self, what: &str, mut is_so: impl FnMut(&Session) -> bool) {
        let began = Instant::now();
        loop {
            self.tend();
            if is_so(&self.session) {
                return;
            }
            assert!(began.elapsed() < Duration::from_mins(1), "{what}: never so, {:?}", self.session.notices);
            // Another session's work may be slow; that of this one wakes it.
            let _ = self.woken.recv_timeout(Duration::from_millis(50));
        }
    }

    fn until_film(&mut self) {
        self.until("a film is shown", |session| {
            session.work.as_ref().is_some_and(|work| work.film.shown().is_some())
        });
    }

    /// Tends until unsaved work is put by, where some is due.
    fn until_put_by(&mut self) {
        self.until("work is put by", |session| {
            session.work.as_ref().is_none_or(|work| !work.open.is_autosaving())
        });
    }

    fn until_told(&mut self) -> String {
        self.until("a notice", |session| !session.notices.is_empty());
        self.told().unwrap()
    }

    fn work(&self) -> &Work {
        self.session.work.as_ref().expect("a case is open")
    }

    fn is_empty(&self) -> bool {
        self.session.work.is_none() && self.session.opening.is_none()
    }

    fn label(&self) -> Option<&str> {
        self.work().open.case().label.as_deref()
    }

    fn question(&self) -> Option<&Question> {
        self.session.question.as_ref()
    }

    /// The problem that is told first.
    fn told(&self) -> Option<String> {
        let is_problem = |kind| kind == NoticeKind::Problem;
        self.session.notices.iter().find(|notice| is_problem(notice.kind)).map(|notice| notice.text.clone())
    }

    /// Width of the film that is shown.
    fn film_width(&self) -> Option<u32> {
        self.work().film.shown().map(|film| film.film.picture.width())
    }

    fn failed(&self) -> Option<&str> {
        match &self.work().film {
            FilmState::Failed(why) => Some(why),
            _ => None,
        }
    }
}
