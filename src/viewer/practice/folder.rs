//! The cases of a folder: keys to practise on, films for a round. Read in the thread that makes a film ready.

use crate::calibration::Library;
use crate::case::{Case, read};
use crate::practice::Key;
use crate::viewer::neighbours::CASE_ENDING;
use crate::viewer::opening::file_name;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// More cases than a folder to practise on holds.
const MOST_CASES: usize = 5_000;

/// A case of a round, and the film it lies on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfRound {
    /// The case's file.
    pub file: PathBuf,
    /// What tells its film from others: its digest where it is stated, else where it lies.
    pub film: String,
}

/// The cases of a folder with a truth or a consensus, in the order of their names.
///
/// # Errors
/// The folder cannot be read, or holds none.
pub(super) fn keys_of(folder: &str, library: &Library) -> Result<Vec<PathBuf>, String> {
    let cases = cases_of(folder)?.filter(|(_, case)| Key::of(case, library).is_ok());
    let keys: Vec<PathBuf> = cases.map(|(file, _)| file).collect();
    if keys.is_empty() {
        return Err(format!(
            "{folder}: holds no case with a truth or a consensus; make one with `crestgauge phantom` or, of experts\u{2019} cases, with `crestgauge agreement --consensus`, or choose another folder"
        ));
    }
    Ok(keys)
}

/// The cases of a folder that name a film, in the order of their names: of several of one tooth on one film the first. A film is
/// enough for a repeat, and a case says which film and tooth.
///
/// # Errors
/// The folder cannot be read, or holds none.
pub(super) fn films_of(folder: &str) -> Result<Vec<OfRound>, String> {
    let cases: Vec<(PathBuf, Case, String)> = cases_of(folder)?
        .filter_map(|(file, case)| {
            let film = file.parent().unwrap_or(Path::new("")).join(case.film.file.as_ref()?);
            let place = film.canonicalize().unwrap_or(film).display().to_string();
            Some((file, case, place))
        })
        .collect();
    // Where one case states the digest of a film and another of the same file does not, both mean that film.
    let digests: BTreeMap<&str, &str> = cases
        .iter()
        .filter_map(|(_, case, place)| Some((place.as_str(), case.film.sha256.as_deref()?)))
        .collect();
    let mut seen = BTreeSet::new();
    let mut films = Vec::new();
    for (file, case, place) in &cases {
        let digest = case.film.sha256.as_deref().or_else(|| digests.get(place.as_str()).copied());
        let film = digest.unwrap_or(place).to_owned();
        if seen.insert((film.clone(), case.tooth.fdi.map(|fdi| fdi.to_string()))) {
            films.push(OfRound { file: file.clone(), film });
        }
    }
    if films.is_empty() {
        return Err(format!(
            "{folder}: holds no case that names a film, and a round needs some; for each film save one here, or make it by `crestgauge draft FILM -o CASE`"
        ));
    }
    Ok(films)
}

/// The cases of a folder that can be read, in the order of their names.
fn cases_of(folder: &str) -> Result<impl Iterator<Item = (PathBuf, Case)> + use<>, String> {
    if folder.is_empty() {
        return Err("name the folder of cases first".to_owned());
    }
    let entries = std::fs::read_dir(Path::new(folder)).map_err(|error| format!("{folder}: {error}"))?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|file| {
            let name = file_name(file);
            name.ends_with(CASE_ENDING) && !name.starts_with('.')
        })
        .take(MOST_CASES)
        .collect();
    files.sort();
    Ok(files.into_iter().filter_map(|file| {
        let case = read(&file).ok()?.case;
        Some((file, case))
    }))
}
