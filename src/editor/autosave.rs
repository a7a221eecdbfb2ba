//! Autosaving: when, where, and what becomes of it.

use super::open_case::OpenCase;
use super::places::{beside, in_state_folder, names, private_folder};
use super::unsaved::Unsaved;
use crate::case::{CaseError, ErrorKind, Replace, write_atomically};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// Where the autosaves of an open case stand, and what they hold.
#[derive(Debug)]
pub(super) struct Shelter {
    pub(super) state_folder: Option<PathBuf>,
    /// The autosaves this open case wrote or took over, the current one last.
    pub(super) own: Vec<PathBuf>,
    /// When the last one was written.
    written: Option<SystemTime>,
    /// Which content it held; at the beginning there is nothing to hold.
    pub(super) content: u64,
}

impl Shelter {
    pub(super) const fn new(state_folder: Option<PathBuf>) -> Self {
        Self { state_folder, own: Vec::new(), written: None, content: 0 }
    }

    /// Removes its autosaves but for one.
    fn remove_all_but(&mut self, kept: Option<&Path>) -> io::Result<()> {
        let mut first_error = Ok(());
        self.own.retain(|file| {
            if kept == Some(file) {
                return true;
            }
            match remove(file) {
                Ok(()) => false,
                Err(error) => {
                    if first_error.is_ok() {
                        first_error = Err(error);
                    }
                    true
                }
            }
        });
        first_error
    }
}

/// Removes a file; one that is gone already is as good as removed.
pub(super) fn remove(file: &Path) -> io::Result<()> {
    match std::fs::remove_file(file) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// What an autosave came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Autosaved {
    /// Unsaved work stands in this file.
    Written(PathBuf),
    /// There is no unsaved work, and no autosave of it any more.
    NothingUnsaved,
}

/// An autosave could not be written anywhere. The work is unharmed, and so is the autosave before this one.
#[derive(Debug, thiserror::Error)]
#[error("unsaved work could not be put by{}; save the case, or free some space", why(.0))]
pub struct AutosaveFailed(pub Vec<CaseError>);

fn why(errors: &[CaseError]) -> String {
    if errors.is_empty() {
        return ": the case has no file yet and there is no folder to keep it in".to_owned();
    }
    let errors: Vec<String> = errors.iter().map(ToString::to_string).collect();
    format!(": {}", errors.join("; "))
}

impl OpenCase {
    /// Whether there is work that no file holds: the case differs from its file, or something is half-placed.
    pub fn has_unsaved_work(&self) -> bool {
        self.is_changed() || self.half.as_ref().is_some_and(|half| !half.points.is_empty())
    }

    /// Whether an autosave is due: something changed since the last one, and that one is at least `interval` old.
    /// Called at least so often, at most one interval of work can be lost.
    pub fn autosave_is_due(&self, now: SystemTime, interval: Duration) -> bool {
        // A clock that was set back must not put autosaves off.
        let waited = self
            .shelter
            .written
            .is_none_or(|last| now.duration_since(last).map_or(true, |passed| passed >= interval));
        self.shelter.content != self.content && waited
    }

    /// Puts unsaved work by: beside the case, or where that cannot be, in the state folder. Where there is none, an
    /// autosave left from before is removed.
    ///
    /// # Errors
    /// It can be written nowhere, or an old one cannot be removed.
    pub fn autosave(&mut self, now: SystemTime) -> Result<Autosaved, AutosaveFailed> {
        if !self.has_unsaved_work() {
            self.remove_autosaves().map_err(|error| AutosaveFailed(vec![not_written(&error)]))?;
            return Ok(Autosaved::NothingUnsaved);
        }
        let unsaved = Unsaved {
            written: now,
            case_file: self.file.as_ref().map(|file| file.display().to_string()),
            opened_sha256: self.on_disk.as_ref().map(|on_disk| on_disk.sha256.to_string()),
            case: self.case.clone(),
            half_placed: self.half.clone(),
        };
        let text =
            unsaved.to_text().map_err(|error| AutosaveFailed(vec![not_written(&io::Error::other(error))]))?;
        let mut failures = Vec::new();
        for first in self.autosave_places() {
            match self.write_to(&first, text.as_bytes()) {
                Ok(file) => {
                    self.shelter.own.retain(|own| *own != file);
                    self.shelter.own.push(file.clone());
                    // One that cannot be removed now, in a folder that may not be written to any more, holds older
                    // work; recovery offers the newest first.
                    let _ = self.shelter.remove_all_but(Some(&file));
                    self.shelter.written = Some(now);
                    self.shelter.content = self.content;
                    return Ok(Autosaved::Written(file));
                }
                Err(error) => failures.push(error),
            }
        }
        Err(AutosaveFailed(failures))
    }

    /// The first name for an autosave in each place, in the order of preference.
    pub(super) fn autosave_places(&self) -> Vec<PathBuf> {
        let beside = self.file.as_deref().and_then(beside);
        let state = self.shelter.state_folder.as_deref();
        let in_state = state.map(|folder| in_state_folder(folder, &self.case, self.file.as_deref()));
        beside.into_iter().chain(in_state).collect()
    }

    /// Writes to the name this open case has in that place, or to the first that is free.
    fn write_to(&self, first: &Path, bytes: &[u8]) -> Result<PathBuf, CaseError> {
        let in_state = self.shelter.state_folder.as_deref().is_some_and(|state| first.starts_with(state));
        if in_state && let Some(folder) = first.parent() {
            private_folder(folder).map_err(|error| not_written(&error))?;
        }
        if let Some(own) = names(first).find(|name| self.shelter.own.contains(name)) {
            return write_atomically(&own, bytes, Replace::Yes).map(|()| own);
        }
        let mut all_taken = not_written(&io::Error::other("too many autosaves stand there already"));
        for name in names(first) {
            match write_atomically(&name, bytes, Replace::No) {
                Ok(()) => return Ok(name),
                Err(taken) if matches!(taken.kind, ErrorKind::Exists) => all_taken.file = Some(name),
                Err(error) => return Err(error),
            }
        }
        Err(all_taken)
    }

    /// Removes the autosaves of this open case: after a save, and when it is closed deliberately. Those of others,
    /// offered or declined, stay.
    ///
    /// # Errors
    /// One cannot be removed.
    pub fn remove_autosaves(&mut self) -> io::Result<()> {
        self.shelter.remove_all_but(None)?;
        self.shelter.content = self.content;
        Ok(())
    }
}

fn not_written(error: &io::Error) -> CaseError {
    CaseError { file: None, kind: ErrorKind::NotSaved(error.to_string()), pointer: None }
}
