//! What a file stands for: the student its name gives.

use std::collections::BTreeMap;
use std::path::PathBuf;

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
}
