//! What a file stands for: the student or observer its name or folder gives.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The stem of each case's name, `anna` of `anna.case.json`; with its folder where two are the same.
pub(super) fn stems(cases: &[PathBuf]) -> Vec<String> {
    let stem = |file: &PathBuf| {
        let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy();
        let stem = name.strip_suffix(".json").unwrap_or(&name);
        stem.strip_suffix(".case").unwrap_or(stem).to_owned()
    };
    let mut times: BTreeMap<String, usize> = BTreeMap::new();
    for file in cases {
        *times.entry(stem(file)).or_default() += 1;
    }
    cases
        .iter()
        .map(|file| {
            let stem = stem(file);
            match file.parent() {
                Some(folder) if times.get(&stem).is_some_and(|times| *times > 1) => {
                    folder.join(&stem).to_string_lossy().into_owned()
                }
                _ => stem,
            }
        })
        .collect()
}

/// The name of the folder each case lies in; its whole path where two folders have the same name.
pub(super) fn folders(cases: &[PathBuf]) -> Vec<String> {
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

    fn paths(names: &[&str]) -> Vec<PathBuf> {
        names.iter().map(PathBuf::from).collect()
    }

    #[test]
    fn a_student_is_the_stem_and_two_of_a_name_are_told_apart() {
        assert_eq!(stems(&paths(&["class/anna.case.json", "ben.json", "c"])), ["anna", "ben", "c"]);
        let same = stems(&paths(&["a/tooth.case.json", "b/tooth.case.json"]));
        assert_eq!(same.iter().map(|it| it.replace('\\', "/")).collect::<Vec<_>>(), ["a/tooth", "b/tooth"]);
    }

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
