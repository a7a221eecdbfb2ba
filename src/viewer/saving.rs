//! Saving, and the answers to what is asked before a case is left.

use super::neighbours::{CASE_ENDING, numbered};
use super::opening::{FilmSource, Purpose, file_name};
use super::practice::is_practice;
use super::question::{Answer, Question, Then};
use super::session::{Choosing, Session};
use crate::case::{self, ErrorKind, Replace};
use crate::editor::SaveRefused;
use crate::quantity::Day;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The name of a case that is placed for practice: its label, its tooth and the day. Its film's is part of a digest, which tells
/// nobody anything.
fn practised(case: &case::Case) -> String {
    let words = case.label.as_deref().unwrap_or_default().split(|it: char| !it.is_alphanumeric());
    let label = words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
    let label = if label.is_empty() { "practice".to_owned() } else { label };
    let tooth = case.tooth.fdi.map_or_else(String::new, |fdi| format!("-{fdi}"));
    format!("{label}{tooth}-{}", Day::here(SystemTime::now()))
}

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

    pub(super) fn proposed_name(&self) -> PathBuf {
        let Some(work) = &self.work else { return PathBuf::new() };
        let placing = work.practice.as_ref().and_then(|practice| practice.placing.as_ref());
        if let (Some(placing), Some(round)) = (placing, &self.practice.round) {
            return round.file_of(placing);
        }
        let case = work.open.case();
        let film = case.film.file.as_deref().map(Path::new);
        let stem = film.and_then(Path::file_stem).map_or_else(|| "case".into(), OsStr::to_string_lossy);
        let tooth = case.tooth.fdi.map_or_else(String::new, |fdi| format!("-{fdi}"));
        let stem = if is_practice(case) { practised(case) } else { format!("{stem}{tooth}") };
        let beside = film.and_then(Path::parent).unwrap_or(Path::new(""));
        let folder = if self.is_built_in() {
            // It lies beside no film yet.
            std::path::absolute(".").unwrap_or_default()
        } else {
            work.open.folder().join(beside)
        };
        let first = folder.join(format!("{stem}{CASE_ENDING}"));
        // Another case of this tooth on this film, such as what a repeat that was put by began from, keeps its name.
        if work.is_repeat || first.exists() { numbered(&folder, &stem) } else { first }
    }

    /// Saves under a name that a dialog gave; a file that is there is not replaced before this program asked, too.
    pub(super) fn save_as(&mut self, file: &Path) {
        let then = match self.question.take() {
            None => None,
            Some(Question::SaveName { then, .. }) => then,
            Some(other) => {
                self.question = Some(other);
                return;
            }
        };
        self.save_under(file, Replace::No, then);
    }

    fn save_under(&mut self, file: &Path, replace: Replace, then: Option<Then>) {
        let is_built_in = self.is_built_in();
        let Some(work) = &mut self.work else { return };
        let mut file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        let has_ending = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
        if !has_ending {
            file.as_mut_os_string().push(CASE_ENDING);
        }
        // Saving over the very file it stands in is a plain save, which notices what another program did.
        let is_own = work.open.file() == Some(file.as_path());
        let film_is_followed = work.film_of == work.film_named();
        let saved = if is_own { work.open.save(Replace::No) } else { work.open.save_as(&file, replace) };
        if film_is_followed {
            // The same film, seen from another folder.
            work.film_of = work.film_named();
        }
        match saved {
            Ok(_) => {
                if is_built_in && let Err(why) = case::write_sample_film(work.open.folder()) {
                    self.problem(why.to_string());
                }
                self.opened(&file);
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
            (Question::Finish { .. }, Answer::Yes) => self.finish_placing(),
            (Question::EndRound { .. }, Answer::Yes) => self.end_round(),
            (Question::Again, Answer::Yes) => self.begin_again(true),
            (Question::Again, Answer::ScaleToo) => self.begin_again(false),
            (Question::SaveName { name, then, exists, .. }, Answer::Yes) => {
                let file = PathBuf::from(name.trim());
                if name.trim().is_empty() {
                    let why_not = Some("a name is needed".to_owned());
                    self.question = Some(Question::SaveName { name, then, why_not, exists: None });
                } else {
                    // Yes said once more, to the very name that was found taken.
                    let is_same = exists.is_some_and(|exists| exists.display().to_string() == name);
                    let replace = if is_same { Replace::Yes } else { Replace::No };
                    self.save_under(&file, replace, then);
                }
            }
            (Question::SaveName { then, .. }, Answer::Typed(name)) => {
                self.question = Some(Question::SaveName { name, then, why_not: None, exists: None });
            }
            (question @ Question::SaveName { .. }, Answer::Choose) => {
                self.choosing = Some(Choosing::Save);
                self.question = Some(question);
            }
            (Question::ReportName { name, exists, .. }, Answer::Yes) => {
                let file = PathBuf::from(name.trim());
                if name.trim().is_empty() {
                    let why_not = Some("a name is needed".to_owned());
                    self.question = Some(Question::ReportName { name, why_not, exists: None });
                } else {
                    // As for a case: yes said once more, to the very name that was found taken.
                    let is_same = exists.is_some_and(|exists| exists.display().to_string() == name);
                    let replace = if is_same { Replace::Yes } else { Replace::No };
                    self.write_report(&file, replace, SystemTime::now());
                }
            }
            (Question::ReportName { .. }, Answer::Typed(name)) => {
                self.question = Some(Question::ReportName { name, why_not: None, exists: None });
            }
            (question @ Question::ReportName { .. }, Answer::Choose) => {
                self.choosing = Some(Choosing::Report);
                self.question = Some(question);
            }
            (Question::OpenName { name, for_film, .. }, Answer::Yes) => {
                let file = PathBuf::from(name.trim());
                match (file.is_file(), for_film) {
                    (true, false) => self.before_leaving(Then::Open(file)),
                    (true, true) => self.begin_opening(FilmSource::File(file), Purpose::Instead),
                    (false, _) => {
                        let why_not = Some(format!("there is no file {}", file.display()));
                        self.question = Some(Question::OpenName { name, why_not, for_film });
                    }
                }
            }
            (Question::OpenName { for_film, .. }, Answer::Typed(name)) => {
                self.question = Some(Question::OpenName { name, why_not: None, for_film });
            }
            (Question::ChangedOnDisk { then }, Answer::Yes) => {
                let saved = self.work.as_mut().map(|work| work.open.save(Replace::Yes));
                match saved {
                    Some(Ok(_)) => self.after_saving(then),
                    Some(Err(why)) => self.problem(why.to_string()),
                    None => {}
                }
            }
            (Question::ChangedOnDisk { .. }, Answer::TakeOver) => {
                // Whatever was to come after it does not: what was taken over is looked at first, and an undo brings
                // the own work back.
                match self.take_over() {
                    Err(why) => self.problem(why.to_string()),
                    Ok(()) => {
                        self.done("took over what the other program wrote; Undo brings yours back".into());
                    }
                }
            }
            (Question::ChangedOnDisk { then }, Answer::OtherName) => self.ask_name(then),
            (Question::OtherFilm { .. }, Answer::Yes) => {
                if let Some((film, file)) = self.proposed_film.take() {
                    self.put_film(film, &file);
                }
            }
            (Question::OtherFilm { .. }, _) => self.proposed_film = None,
            // No, or what is no answer to this question: everything stays as it is.
            _ => {}
        }
    }
}
