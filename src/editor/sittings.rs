//! Case files read as sittings: who placed each, by what it says or by the folder it lies in.

use crate::agreement::{Sitting, signed};
use crate::calibration::Library;
use crate::case;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// What became of a case file: its sitting, or a sentence that names the file and says why it cannot be used.
pub type CaseRead = Result<Sitting, String>;

/// Reads cases as sittings, on all cores, in the order given. The observer is who the case names, else `observer`, else
/// the folder it lies in. `done` is told how many have been read.
pub fn read_sittings(
    files: &[PathBuf],
    observer: Option<&str>,
    library: &Library,
    mut done: impl FnMut(usize),
) -> Vec<CaseRead> {
    let observers = observers(files, observer);
    let one = |index: usize| -> Option<CaseRead> {
        let (file, folder) = (files.get(index)?, observers.get(index)?);
        let name = file.display().to_string();
        Some(case::read_hashed(file).map_err(|error| error.to_string()).and_then(|(read, sha256)| {
            let observer = signed(&read.case).observer.unwrap_or_else(|| folder.clone());
            Sitting::of(&read.case, &observer, &name, library)
                .map(|sitting| sitting.of_file(&sha256.to_string()))
                .map_err(|error| format!("{name}: {error}"))
        }))
    };
    let next = AtomicUsize::new(0);
    let (send, receive) = mpsc::channel();
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(files.len());
    let mut results: Vec<(usize, CaseRead)> = Vec::with_capacity(files.len());
    std::thread::scope(|scope| {
        for _ in 0..workers {
            let (send, next, one) = (send.clone(), &next, &one);
            scope.spawn(move || {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let Some(result) = one(index) else { return };
                    if send.send((index, result)).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        for result in receive {
            results.push(result);
            done(results.len());
        }
    });
    results.sort_by_key(|(index, _)| *index);
    results.into_iter().map(|(_, result)| result).collect()
}

/// Who placed each case that does not say: `observer`, else the folder it lies in.
pub(super) fn observers(files: &[PathBuf], observer: Option<&str>) -> Vec<String> {
    match observer {
        Some(observer) => vec![observer.to_owned(); files.len()],
        None => folders(files),
    }
}

/// The name of the folder each case lies in. Where another one has the same name, as many of the folders above it stand before
/// it as tell the two apart, and no more: a path may name a patient.
fn folders(cases: &[PathBuf]) -> Vec<String> {
    let folders: Vec<Vec<String>> = cases
        .iter()
        .map(|file| {
            let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
            let folder = folder.unwrap_or(Path::new("."));
            names(&folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf()))
        })
        .collect();
    let mut of_a_name: BTreeMap<&[String], BTreeSet<&[String]>> = BTreeMap::new();
    for folder in &folders {
        of_a_name.entry(last(folder, 1)).or_default().insert(folder);
    }
    folders
        .iter()
        .map(|folder| {
            let of_its_name = of_a_name.get(last(folder, 1)).into_iter().flatten();
            let others = || of_its_name.clone().filter(|other| **other != folder.as_slice());
            let is_told = |of: &usize| others().all(|other| last(other, *of) != last(folder, *of));
            let of = (1..folder.len()).find(is_told).unwrap_or(folder.len());
            last(folder, of).join("/")
        })
        .collect()
}

/// The names a path goes through.
fn names(folder: &Path) -> Vec<String> {
    let names: Vec<String> = folder
        .components()
        .filter_map(|part| match part {
            Component::Normal(name) => Some(name.to_string_lossy().into_owned()),
            Component::Prefix(drive) => Some(drive.as_os_str().to_string_lossy().into_owned()),
            _ => None,
        })
        .collect();
    // The root itself has none.
    if names.is_empty() { vec![folder.display().to_string()] } else { names }
}

/// The last names of a path, so many of them or all.
fn last(names: &[String], count: usize) -> &[String] {
    names.get(names.len().saturating_sub(count)..).unwrap_or(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_observer_is_the_folder_and_two_of_a_name_are_told_apart() {
        let folder = tempfile::tempdir().expect("a folder");
        let of = |path: &str| folder.path().join(path);
        for path in ["anna/one", "ben/one", "ben/two"] {
            std::fs::create_dir_all(of(path)).expect("made");
        }
        let found = folders(&[of("anna/one/x"), of("ben/two/x"), of("ben/one/x"), of("anna/one/y")]);
        assert_eq!(found, ["anna/one", "two", "ben/one", "anna/one"]);
    }

    #[test]
    fn no_more_of_a_path_is_said_than_tells_folders_apart() {
        let of = |path: &str| PathBuf::from(path);
        let found = folders(&[of("/films of May/anna/first/x"), of("/films of May/ben/first/x")]);
        assert_eq!(found, ["anna/first", "ben/first"]);
        let found = folders(&[of("/a/anna/first/x"), of("/b/anna/first/x"), of("/b/ben/first/x")]);
        assert_eq!(found, ["a/anna/first", "b/anna/first", "ben/first"]);
        assert_eq!(folders(&[of("/first/x"), of("/a/first/x")]), ["first", "a/first"]);
    }
}
