//! Case files read as sittings: who placed each, by what it says or by the folder it lies in.

use crate::agreement::{Sitting, signed};
use crate::calibration::Library;
use crate::case;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
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
        Some(case::read(file).map_err(|error| error.to_string()).and_then(|read| {
            let observer = signed(&read.case).observer.unwrap_or_else(|| folder.clone());
            Sitting::of(&read.case, &observer, &name, library).map_err(|error| format!("{name}: {error}"))
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

/// The name of the folder each case lies in; its whole path where two folders have the same name.
fn folders(cases: &[PathBuf]) -> Vec<String> {
    let folders: Vec<PathBuf> = cases
        .iter()
        .map(|file| {
            let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
            let folder = folder.unwrap_or(Path::new("."));
            folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf())
        })
        .collect();
    let name =
        |folder: &Path| folder.file_name().unwrap_or(folder.as_os_str()).to_string_lossy().into_owned();
    let mut same: BTreeMap<String, Vec<&Path>> = BTreeMap::new();
    for folder in &folders {
        let known = same.entry(name(folder)).or_default();
        if !known.contains(&folder.as_path()) {
            known.push(folder);
        }
    }
    folders
        .iter()
        .map(|folder| {
            let name = name(folder);
            let is_only = same.get(&name).is_none_or(|known| known.len() == 1);
            if is_only { name } else { folder.to_string_lossy().into_owned() }
        })
        .collect()
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
        assert_eq!(found[1], "two");
        assert_eq!(found[0], found[3]);
        assert!(found[0] != found[2] && found[0].ends_with("one") && found[2].ends_with("one"), "{found:?}");
    }
}
