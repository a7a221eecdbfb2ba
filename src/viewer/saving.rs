//! Saving, and the answers to what is asked before a case is left.

use super::opening::file_name;
use super::question::{Answer, Question, Then};
use super::session::Session;
use crate::case::{self, ErrorKind, Replace};
use crate::editor::SaveRefused;
use std::path::{Path, PathBuf};

/// What case files end in.
const ENDING: &str = ".case.json";

impl Session {
    /// Saves the case in its file, asking for a name where it has none.
    pub(super) fn save(&mut self, then: Option<Then>) {
        let Some(work) = &mut self.work else { return };
        match work.open.save(Replace::No) {
            Ok(_) => self.after_saving(then),
            Err(SaveRefused::NoFile) => self.ask_name(then),
            Err(SaveRefused::ChangedOnDisk) => self.question = Some(Question::ChangedOnDisk { then }),
            Err(SaveRefused::Failed(why)) => self.problem(why.to_string()),
        }
    }

    /// Asks for the name to save under; proposed is the film's name with the tooth's, beside the film.
    pub(super) fn ask_name(&mut self, then: Option<Then>) {
        let Some(work) = &self.work else { return };
        let name = match work.open.file() {
            Some(file) => file.to_path_buf(),
            None => self.proposed_name(),
        };
        let name = name.display().to_string();
        self.question = Some(Question::SaveName { name, then, why_not: None, exists: None });
    }

    fn proposed_name(&self) -> PathBuf {
        let Some(work) = &self.work else { return PathBuf::new() };
        let case = work.open.case();
        let stem = case.film.file.as_deref().map(Path::new).and_then(Path::file_stem);
        let stem = stem.map_or_else(|| "case".into(), |stem| stem.to_string_lossy());
        let tooth = case.tooth.fdi.map_or_else(String::new, |fdi| format!("-{fdi}"));
        let folder = work.open.folder();
        let film_folder =
            case.film.file.as_deref().and_then(|file| Path::new(file).parent()).unwrap_or(Path::new(""));
        folder.join(film_folder).join(format!("{stem}{tooth}{ENDING}"))
    }

    /// Saves under a name; a file that is there is not replaced.
    pub(super) fn save_as(&mut self, file: &Path, then: Option<Then>) {
        self.save_under(file, Replace::No, then);
    }

    fn save_under(&mut self, file: &Path, replace: Replace, then: Option<Then>) {
        let Some(work) = &mut self.work else { return };
        let mut file = file.to_path_buf();
        let has_ending = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
        if !has_ending {
            file.as_mut_os_string().push(ENDING);
        }
        // Saving over the very file it stands in is a plain save, which notices what another program did.
        let is_own = work.open.file() == Some(file.as_path());
        let saved = if is_own { work.open.save(replace) } else { work.open.save_as(&file, replace) };
        let film = if work.is_sample && saved.is_ok() {
            let folder = file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
            case::write_sample_film(&folder).map(Some)
        } else {
            Ok(None)
        };
        match saved {
            Ok(_) => {
                if let Err(why) = film {
                    self.problem(why.to_string());
                }
                self.saved(&file);
                self.question = None;
                self.after_saving(then);
            }
            Err(SaveRefused::ChangedOnDisk) => self.question = Some(Question::ChangedOnDisk { then }),
            Err(SaveRefused::Failed(error)) if matches!(error.kind, ErrorKind::Exists) => {
                let name = file.display().to_string();
                self.question = Some(Question::SaveName { name, then, why_not: None, exists: Some(file) });
            }
            Err(why) => {
                let name = file.display().to_string();
                let why_not = Some(why.to_string());
                self.question = Some(Question::SaveName { name, then, why_not, exists: None });
            }
        }
    }

    fn after_saving(&mut self, then: Option<Then>) {
        if let Some(file) = self.work.as_ref().and_then(|work| work.open.file()) {
            let text = format!("saved as {}", file_name(file));
            self.done(text);
        }
        if let Some(then) = then {
            self.go_on(then);
        }
    }

    /// Takes in an answer to what is asked.
    pub(super) fn answer(&mut self, answer: Answer) {
        let Some(question) = self.question.take() else { return };
        match (question, answer) {
            (Question::Unsaved(then), Answer::Yes) => self.save(Some(then)),
            (Question::Unsaved(then), Answer::GoOnWithout) => self.go_on(then),
            (Question::SaveName { name, then, exists, .. }, Answer::Yes) => {
                let file = PathBuf::from(name.trim());
                if name.trim().is_empty() {
                    let why_not = Some("a name is needed".to_owned());
                    self.question = Some(Question::SaveName { name, then, why_not, exists: None });
                } else {
                    // Yes said once more, to the very name that was found taken.
                    let replace = if exists.as_ref() == Some(&file) { Replace::Yes } else { Replace::No };
                    self.save_under(&file, replace, then);
                }
            }
            (Question::SaveName { then, .. }, Answer::Typed(name)) => {
                self.question = Some(Question::SaveName { name, then, why_not: None, exists: None });
            }
            (Question::OpenName { name, .. }, Answer::Yes) => {
                let file = PathBuf::from(name.trim());
                if file.is_file() {
                    self.before_leaving(Then::Open(file));
                } else {
                    let why_not = Some("there is no file of this name".to_owned());
                    self.question = Some(Question::OpenName { name, why_not });
                }
            }
            (Question::OpenName { .. }, Answer::Typed(name)) => {
                self.question = Some(Question::OpenName { name, why_not: None });
            }
            (Question::ChangedOnDisk { then }, Answer::Yes) => {
                let saved = self.work.as_mut().map(|work| work.open.save(Replace::Yes));
                match saved {
                    Some(Ok(_)) => self.after_saving(then),
                    Some(Err(why)) => self.problem(why.to_string()),
                    None => {}
                }
            }
            (Question::ChangedOnDisk { then }, Answer::TakeOver) => {
                let taken = self.work.as_mut().map(|work| work.open.take_over_from_disk());
                match (taken, then) {
                    (Some(Err(why)), _) => self.problem(why.to_string()),
                    (_, Some(then)) => self.go_on(then),
                    _ => {}
                }
            }
            (Question::ChangedOnDisk { then }, Answer::OtherName) => self.ask_name(then),
            // No, or what is no answer to this question: everything stays as it is.
            _ => {}
        }
    }
}
