//! The films of a folder, one after the other, and the case of each.

use super::opening::file_name;
use crate::case;
use std::cmp::Ordering;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// What films end in.
pub(super) const FILM_ENDINGS: [&str; 7] = ["png", "jpg", "jpeg", "tif", "tiff", "bmp", "dcm"];
/// What case files end in.
pub(super) const CASE_ENDING: &str = ".case.json";

/// The next film of a film's folder, or the one before; `None` at either end.
pub(super) fn neighbour(film: &Path, forwards: bool) -> Option<PathBuf> {
    let folder = film.parent()?;
    let films = files(folder).into_iter().filter(|file| is_film(file));
    let own = file_name(film);
    // The film itself may be gone meanwhile: its place among the others is known by its name.
    let beyond = films.filter(|file| {
        by_name(&file_name(file), &own) == if forwards { Ordering::Greater } else { Ordering::Less }
    });
    let order = |one: &PathBuf, other: &PathBuf| by_name(&file_name(one), &file_name(other));
    if forwards { beyond.min_by(order) } else { beyond.max_by(order) }
}

/// The case of a film that was saved last, among those beside it whose names begin with the film's.
pub(super) fn case_of(film: &Path) -> Option<PathBuf> {
    let folder = film.parent()?;
    let stem = film.file_stem().map(OsStr::to_string_lossy)?;
    let own = file_name(film);
    let is_of_film = |file: &PathBuf| {
        let name = file_name(file);
        let of_name = name
            .strip_suffix(CASE_ENDING)
            .and_then(|name| name.strip_prefix(&*stem))
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'));
        of_name && case::read(file).is_ok_and(|read| read.case.film.file.as_deref() == Some(&*own))
    };
    let cases = files(folder).into_iter().filter(is_of_film);
    cases.max_by_key(|file| (std::fs::metadata(file).and_then(|it| it.modified()).ok(), file.clone()))
}

/// The first name of a row that no file has: `stem-2`, `stem-3` and so on.
pub(super) fn numbered(folder: &Path, stem: &str) -> PathBuf {
    let name = |number: u32| folder.join(format!("{stem}-{number}{CASE_ENDING}"));
    (2..u32::MAX).map(name).find(|file| !file.exists()).unwrap_or_else(|| name(2))
}

fn files(folder: &Path) -> Vec<PathBuf> {
    // A film named without a folder lies in the present one.
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|file| file.is_file()).collect()
}

fn is_film(file: &Path) -> bool {
    let is_hidden = file_name(file).starts_with('.');
    let ending = file.extension().and_then(OsStr::to_str);
    !is_hidden && ending.is_some_and(|it| FILM_ENDINGS.iter().any(|film| film.eq_ignore_ascii_case(it)))
}

/// As people order names: numbers by their value, letters whatever their case; what is still alike by its bytes.
fn by_name(one: &str, other: &str) -> Ordering {
    parts(one).cmp(&parts(other)).then_with(|| one.cmp(other))
}

/// A name's words and numbers in turn. Numbers come before words.
fn parts(name: &str) -> Vec<(bool, u128, String)> {
    let mut parts: Vec<(bool, String)> = Vec::new();
    for letter in name.to_lowercase().chars() {
        let is_digit = letter.is_ascii_digit();
        match parts.last_mut() {
            Some((was_digit, part)) if *was_digit == is_digit => part.push(letter),
            _ => parts.push((is_digit, letter.to_string())),
        }
    }
    parts
        .into_iter()
        .map(|(is_number, part)| match part.parse().ok().filter(|_| is_number) {
            Some(number) => (false, number, String::new()),
            None => (true, 0, part),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Case, Document, Replace, save};

    fn folder(names: &[&str]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().expect("a folder");
        for name in names {
            std::fs::write(folder.path().join(name), "").expect("it can be written");
        }
        folder
    }

    #[test]
    fn films_follow_one_another_as_people_count() {
        let folder =
            folder(&["film-2.png", "film-10.PNG", "Film-9.jpg", ".film-3.png", "film-4.txt", "a.dcm"]);
        let mut film = folder.path().join("a.dcm");
        for next in ["film-2.png", "Film-9.jpg", "film-10.PNG"] {
            film = neighbour(&film, true).expect("there is one more");
            assert_eq!(file_name(&film), next);
        }
        assert_eq!(neighbour(&film, true), None);
        assert_eq!(neighbour(&film, false).as_deref().map(file_name).as_deref(), Some("Film-9.jpg"));
        assert_eq!(
            neighbour(&folder.path().join("film-3.png"), true).as_deref().map(file_name).as_deref(),
            Some("Film-9.jpg")
        );
    }

    #[test]
    fn the_case_of_a_film_names_that_film() {
        let folder = folder(&["film.png", "film-2.png"]);
        let write = |name: &str, film: &str| {
            let mut case: Case = crate::case::film_102();
            case.film.file = Some(film.to_owned());
            save(
                &folder.path().join(name),
                &Document { case: &case, derived: None, case_file: None },
                Replace::Yes,
            )
            .expect("it can be written");
        };
        write("film-2-21.case.json", "film-2.png");
        let case = |film: &str| case_of(&folder.path().join(film)).as_deref().map(file_name);
        assert_eq!(case("film-2.png").as_deref(), Some("film-2-21.case.json"));
        assert_eq!(case("film.png"), None, "the other film's name begins alike");
        std::fs::write(folder.path().join("film-21.case.json"), "{").expect("it can be written");
        assert_eq!(case("film.png"), None, "it cannot be read");
    }

    #[test]
    fn a_repeat_gets_the_next_number() {
        let folder = folder(&["film-21.case.json", "film-21-2.case.json"]);
        assert_eq!(file_name(&numbered(folder.path(), "film-21")), "film-21-3.case.json");
        assert_eq!(file_name(&numbered(folder.path(), "other")), "other-2.case.json");
    }
}
