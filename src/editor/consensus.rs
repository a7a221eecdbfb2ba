//! A consensus as a file: cases read from theirs, and a key written that finds its film from where it lies.

use super::sittings::observers;
use crate::agreement::{Consensus, LeftOut, Opinion, WhyLeftOut, consensus, signed};
use crate::calibration::Library;
use crate::case::{self, Document, Replace};
use crate::practice::{Key, KeyRefused};
use std::path::{Path, PathBuf};

/// A consensus that was written.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenConsensus {
    /// What stands in the file.
    pub consensus: Consensus,
    /// Why nothing can be scored against it yet, where that is so.
    pub no_key_yet: Option<KeyRefused>,
}

/// Makes a consensus of case files and writes it as a key. The observer is who a case names, else `observer`, else the folder
/// it lies in. Nothing is written where one of the cases cannot be used: a key must not be without somebody unnoticed.
///
/// # Errors
/// Sentences that say which file cannot be used, or written, and why.
pub fn write_consensus(
    files: &[PathBuf],
    observer: Option<&str>,
    output: &Path,
    replace: Replace,
    library: &Library,
) -> Result<WrittenConsensus, Vec<String>> {
    let one = |why: String| vec![why];
    if let Some(file) = files.iter().find(|file| case::is_same_file(file, output)) {
        return Err(one(format!(
            "{}: is one of the cases; a consensus needs a file of its own, such as key.case.json",
            file.display()
        )));
    }
    let (mut opinions, mut films, mut failed) = (Vec::new(), Vec::new(), Vec::new());
    for (file, folder) in files.iter().zip(observers(files, observer)) {
        match case::read(file) {
            Ok(read) => {
                films.extend(
                    read.case
                        .film
                        .file
                        .as_ref()
                        .map(|film| file.parent().unwrap_or(Path::new("")).join(film)),
                );
                opinions.push(Opinion {
                    observer: signed(&read.case).observer.unwrap_or(folder),
                    name: file.display().to_string(),
                    case: read.case,
                });
            }
            Err(why) => failed.push(why.to_string()),
        }
    }
    if !failed.is_empty() {
        failed.push(format!("{}: not written, since it would be without the above", output.display()));
        return Err(failed);
    }
    let mut found = consensus(opinions).map_err(|why| one(why.to_string()))?;
    let folder = output.parent().unwrap_or(Path::new(""));
    let film = films.iter().find(|film| film.is_file()).map(|film| case::path_from(folder, film));
    found.case.film.file = film.and_then(|film| film.to_str().map(str::to_owned));
    if found.case.film.file.is_none() {
        found.left_out.push(LeftOut { what: "the film's file".to_owned(), why: WhyLeftOut::NoFilmFile });
    }
    case::save(output, &Document { case: &found.case, derived: None, case_file: None }, replace)
        .map_err(|error| one(error.to_string()))?;
    let no_key_yet = Key::of(&found.case, library).err();
    Ok(WrittenConsensus { consensus: found, no_key_yet })
}
