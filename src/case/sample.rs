//! The built-in sample: an invented tooth on a synthetic film.

use super::read::{ReadCase, read_text};
use super::{CaseError, Replace, write_atomically};
use std::path::{Path, PathBuf};

/// The sample case's text.
const CASE: &str = include_str!("../../sample-images/short-wall-21.case.json");
/// The bytes of its film, a PNG.
pub const SAMPLE_FILM: &[u8] = include_bytes!("../../sample-images/short-wall-21.png");
/// The name the sample case has for its film.
const FILM_NAME: &str = "short-wall-21.png";

/// What stands over the sample wherever it is shown.
pub const SAMPLE_BANNER: &str = "SAMPLE, NOT A PATIENT: an invented tooth on a synthetic film.";

/// The sample case.
///
/// # Errors
/// None in a program whose tests passed.
pub fn sample() -> Result<ReadCase, CaseError> {
    read_text(CASE)
}

/// Puts the sample's film into a folder, so that a copy of the sample case finds it there. A file that is there
/// already is left as it is.
///
/// # Errors
/// It cannot be written.
pub fn write_sample_film(folder: &Path) -> Result<PathBuf, CaseError> {
    let file = folder.join(FILM_NAME);
    if !file.exists() {
        write_atomically(&file, SAMPLE_FILM, Replace::No)?;
    }
    Ok(file)
}

/// The case of film 102, whose tooth was made outside this project: what unit tests stand on.
#[cfg(test)]
pub(crate) fn film_102() -> super::Case {
    read_text(include_str!("../../tests/data/films-truth/film-102.case.json")).expect("film 102 reads").case
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sample_lies_on_its_film() {
        let case = sample().unwrap().case;
        assert_eq!(case.film.file.as_deref(), Some(FILM_NAME));
        assert_eq!(case.film.sha256, Some(crate::film::Sha256::of(SAMPLE_FILM).to_string()));
    }
}
