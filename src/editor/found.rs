//! Unsaved work of cases that are not open: what a program that was killed left behind, found before anything is opened.

use super::places::{beside, names};
use super::unsaved::Unsaved;
use crate::case::read;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// Unsaved work that waits for its case or film to be opened.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// Where it was found.
    pub file: PathBuf,
    /// What it holds, and when it was written.
    pub unsaved: Unsaved,
    /// The case, or the film where there is no case yet, that offers it once it is opened; `None` where nobody knows
    /// where its film lies.
    pub opens: Option<PathBuf>,
}

/// Looks for unsaved work beside these cases and films and in the state folder, newest first. Work without a case yet is offered
/// by its film, which is one of the recent ones or of `films`, whose names are each film's own. Work that was saved after all is
/// none; what cannot be read is told of where its case is opened.
pub fn waiting(recent: &[PathBuf], films: &[PathBuf], state_folder: Option<&Path>) -> Vec<Waiting> {
    let by_their_cases = recent.iter().filter_map(|file| beside(file)).flat_map(|first| {
        let there: Vec<PathBuf> = names(&first).filter(|file| file.exists()).collect();
        there
    });
    let in_state = state_folder.and_then(|folder| std::fs::read_dir(folder.join("unsaved")).ok());
    let in_state = in_state.into_iter().flatten().filter_map(|entry| Some(entry.ok()?.path()));
    let mut files: Vec<PathBuf> = by_their_cases.chain(in_state).collect();
    files.sort();
    files.dedup();
    let mut found: Vec<Waiting> = files.into_iter().filter_map(|file| look_at(file, recent, films)).collect();
    found.sort_by_key(|waiting| std::cmp::Reverse(waiting.unsaved.written));
    found
}

fn look_at(file: PathBuf, recent: &[PathBuf], films: &[PathBuf]) -> Option<Waiting> {
    let unsaved = Unsaved::read(&file).ok()?;
    let opens = if let Some(case) = &unsaved.case_file {
        Some(PathBuf::from(case)).filter(|case| case.exists())
    } else {
        let film = unsaved.case.film.file.as_deref().map(Path::new).and_then(Path::file_name);
        let is_it =
            |known: &&PathBuf| film.is_some() && known.file_name().map(OsStr::new) == film && known.exists();
        recent.iter().chain(films).find(is_it).cloned()
    };
    let is_saved = || {
        let case = read(Path::new(unsaved.case_file.as_deref()?)).ok()?.case;
        Some(case == unsaved.case && unsaved.half_placed.is_none())
    };
    if is_saved() == Some(true) {
        return None;
    }
    Some(Waiting { file, unsaved, opens })
}
