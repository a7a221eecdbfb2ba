//! The program as a user runs it.

mod bad_input;
mod output;
mod saving;

use crate::support::data;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The program, with nothing of the tester's environment that could change what it says.
pub(crate) fn program() -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_crestgauge"));
    program.env_remove("NO_COLOR").env_remove("CRESTGAUGE_REFERENCES");
    program
}

/// What a run came to.
pub(crate) struct Ran {
    pub(crate) exit: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        Self {
            exit: output.status.code().expect("ended by itself"),
            out: String::from_utf8(output.stdout).expect("UTF-8"),
            err: String::from_utf8(output.stderr).expect("UTF-8"),
        }
    }
}

pub(crate) fn run<T: AsRef<std::ffi::OsStr>>(arguments: impl IntoIterator<Item = T>) -> Ran {
    program().args(arguments).output().expect("the program runs").into()
}

/// A check case's path.
pub(crate) fn check_case(name: &str) -> PathBuf {
    data(&format!("check-cases/{name}.case.json"))
}

/// The path of film 102.
pub(crate) fn sample_film() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth/film-102.png")
}

/// A folder with a copy of a check case in it, changed as text.
pub(crate) fn changed_case(change: impl FnOnce(String) -> String) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("tooth.case.json");
    let text = std::fs::read_to_string(check_case("1-011")).expect("the check case");
    let changed = change(text.clone());
    assert_ne!(text, changed, "the change must change something");
    std::fs::write(&file, changed).expect("written");
    (folder, file)
}
