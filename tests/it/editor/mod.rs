//! The open case without a window.

mod disk;
mod filed;
mod kills;
mod make;
mod placing;
mod random;
mod recovery;
mod steps;

use crate::support::case;
use crestgauge::case::{Case, Document, Replace, read_text, save};
use crestgauge::editor::{Engine, OpenCase};
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};
use std::time::{Duration, SystemTime};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::embedded().unwrap()));

fn engine() -> Arc<Engine> {
    ENGINE.clone()
}

fn sample_text() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth/film-102.case.json");
    std::fs::read_to_string(path).unwrap()
}

fn sample() -> Case {
    case(&sample_text())
}

/// The sample, in no file and with no folder for autosaves.
fn unfiled() -> OpenCase {
    OpenCase::unfiled(sample(), PathBuf::new(), engine(), None)
}

/// The bytes of a case as a file would have them.
fn text(case: &Case) -> String {
    serde_json::to_string(&Document { case, derived: None, case_file: None }).unwrap()
}

/// A folder with the sample in it, a state folder beside it, and how to open the case.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        std::fs::create_dir(desk.folder.path().join("cases")).unwrap();
        save(&desk.file(), &Document { case: &sample(), derived: None, case_file: None }, Replace::No)
            .unwrap();
        desk
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("cases/tooth.case.json")
    }

    fn autosave(&self) -> PathBuf {
        self.folder.path().join("cases/.tooth.case.json.unsaved")
    }

    fn state(&self) -> PathBuf {
        self.folder.path().join("state")
    }

    fn open(&self) -> OpenCase {
        OpenCase::open(&self.file(), engine(), Some(self.state())).unwrap()
    }

    fn on_disk(&self) -> Case {
        read_text(&std::fs::read_to_string(self.file()).unwrap()).unwrap().case
    }

    /// What lies in the folder of the case, hidden files too.
    fn files(&self) -> Vec<String> {
        names(self.file().parent().unwrap())
    }
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A moment, so many seconds after the beginning of time.
fn second(seconds: u64) -> SystemTime {
    SystemTime::UNIX_EPOCH + Duration::from_secs(seconds)
}
