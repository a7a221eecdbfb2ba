//! The file of an open case: opening, saving, and whether another program changed it.

use super::edit::Edit;
use super::history::Step;
use super::numbers::Engine;
use super::open_case::{Before, Effect, OpenCase};
use crate::case::{self, Case, CaseError, Derived, Document, Replace, path_from};
use crate::film::{Bounds, Sha256, content_hash};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// The case's file as this program knows it.
#[derive(Debug, Clone)]
pub(super) struct OnDisk {
    pub(super) sha256: Sha256,
    /// When it was modified and how long it is: while these hold, its bytes need no look.
    stamp: Option<(SystemTime, u64)>,
}

fn stamp(file: &Path) -> Option<(SystemTime, u64)> {
    let about = file.metadata().ok()?;
    Some((about.modified().ok()?, about.len()))
}

/// What another program did to the file of an open case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DiskChange {
    /// Its content is another one.
    Changed,
    /// It is gone.
    Gone,
    /// It cannot be read any more.
    Unreadable(String),
}

/// Why a case was not saved. Its file is as it was, and the work is still here.
#[derive(Debug, thiserror::Error)]
pub enum SaveRefused {
    /// It has no file.
    #[error("the case has no file yet; save it under a name")]
    NoFile,
    /// Another program changed the file.
    #[error(
        "another program changed the file since it was opened; save over it, take it over, or save under another name"
    )]
    ChangedOnDisk,
    /// It could not be written.
    #[error(transparent)]
    Failed(#[from] CaseError),
}

impl OpenCase {
    /// Opens a case. It counts as unchanged. Autosaves of earlier work on it are offered at once.
    ///
    /// # Errors
    /// As [`case::read`].
    pub fn open(file: &Path, engine: Arc<Engine>, state_folder: Option<PathBuf>) -> Result<Self, CaseError> {
        // Whatever becomes of the current folder, the file stays the same one.
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        let stamp = stamp(&file);
        let (read, sha256) = case::read_hashed(&file)?;
        let mut open = Self::bare(read.case, folder_of(&file), engine, state_folder);
        open.file = Some(file);
        open.on_disk = Some(OnDisk { sha256, stamp });
        open.look_for_unsaved();
        Ok(open)
    }

    /// Whether another program changed the file. Cheap while it did not, so that it can be asked often.
    pub fn disk_change(&mut self) -> Option<DiskChange> {
        let (file, known) = (self.file.as_deref()?, self.on_disk.as_mut()?);
        let now = stamp(file);
        if now.is_some() && now == known.stamp {
            return None;
        }
        let change = Self::content_change(file, known);
        if change.is_none() {
            known.stamp = now;
        }
        change
    }

    fn content_change(file: &Path, known: &OnDisk) -> Option<DiskChange> {
        match content_hash(file) {
            Ok(found) if found == known.sha256 => None,
            Ok(_) => Some(DiskChange::Changed),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Some(DiskChange::Gone),
            Err(error) => Some(DiskChange::Unreadable(error.to_string())),
        }
    }

    /// Takes over what another program wrote to the file: one step of undo, after which the case is unchanged.
    ///
    /// # Errors
    /// The file cannot be read, or holds no case; nothing is changed then.
    pub fn take_over_from_disk(&mut self) -> Result<Vec<Effect>, CaseError> {
        let Some(file) = self.file.clone() else { return Ok(Vec::new()) };
        let stamp = stamp(&file);
        let (read, sha256) = case::read_hashed(&file)?;
        let before = self.before();
        self.settle_gesture();
        if read.case != self.case {
            let edit = Edit::Whole(Box::new(read.case.clone()));
            let undo = Edit::Whole(Box::new(self.case.clone()));
            self.history.record(Step::of_edit("take over the file's content".to_owned(), edit, undo));
            self.put(read.case.clone());
        }
        self.saved = read.case;
        self.on_disk = Some(OnDisk { sha256, stamp });
        Ok(self.effects(&before))
    }

    /// Saves the case, with everything computed from it, in its file; its autosaves are removed then.
    ///
    /// # Errors
    /// It has no file, another program changed it and `replace` does not say that this may be lost, or it cannot be
    /// written.
    pub fn save(&mut self, replace: Replace) -> Result<Vec<Effect>, SaveRefused> {
        let file = self.file.clone().ok_or(SaveRefused::NoFile)?;
        let changed = self.on_disk.as_ref().and_then(|known| Self::content_change(&file, known));
        if replace == Replace::No && matches!(changed, Some(DiskChange::Changed)) {
            return Err(SaveRefused::ChangedOnDisk);
        }
        let before = self.before();
        self.settle_gesture();
        let derived = self.derived();
        let sha256 = write(&file, &self.case, derived.as_ref(), Replace::Yes)?;
        Ok(self.stands_in(file, sha256, &before))
    }

    /// Saves the case under another name; it stands there from now on. The film's path is kept right.
    ///
    /// # Errors
    /// A file of this name exists and may not be replaced, or it cannot be written.
    pub fn save_as(&mut self, file: &Path, replace: Replace) -> Result<Vec<Effect>, SaveRefused> {
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        let (old_folder, folder) = (self.folder.clone(), folder_of(&file));
        // A path that is no text cannot stand in a case: the film is then missed, and can be named anew.
        let moved = |name: &str| {
            if old_folder.as_os_str().is_empty() {
                return name.to_owned();
            }
            let path = path_from(&folder, &old_folder.join(name));
            path.to_str().map_or_else(|| name.to_owned(), str::to_owned)
        };
        let before = self.before();
        self.settle_gesture();
        let derived = self.derived();
        let mut case = self.case.clone();
        if folder != old_folder {
            case.film.file = case.film.file.as_deref().map(moved);
        }
        let sha256 = write(&file, &case, derived.as_ref(), replace)?;
        if folder != old_folder {
            self.history.edits_mut().for_each(|edit| edit.move_film(&moved));
            if case != self.case {
                self.put(case);
            }
            self.folder = folder;
        }
        Ok(self.stands_in(file, sha256, &before))
    }

    /// The rows to write beside the case. A case whose reference names an unknown object has none and is saved
    /// without: work must never be lost for want of a number.
    fn derived(&mut self) -> Option<Derived> {
        self.numbers().ok().map(|numbers| numbers.derived.clone())
    }

    fn stands_in(&mut self, file: PathBuf, sha256: Sha256, before: &Before) -> Vec<Effect> {
        self.saved = self.case.clone();
        self.on_disk = Some(OnDisk { sha256, stamp: stamp(&file) });
        self.file = Some(file);
        if self.has_unsaved_work() {
            // What is half-placed is in no case; its autosave stays, and is written anew beside the file.
            self.content += 1;
        } else {
            // One that cannot be removed holds what the case holds, and is passed over on opening.
            let _ = self.remove_autosaves();
        }
        self.effects(before)
    }

    /// Looks whether the film is where the case says and is the one it was placed on; the cautions stand among the
    /// numbers from now on. Reads the whole film once.
    pub fn check_film(&mut self, bounds: &Bounds) {
        let cautions = case::check_film(&self.case, &self.folder, bounds);
        self.film_checked(cautions);
    }
}

fn folder_of(file: &Path) -> PathBuf {
    file.parent().map_or_else(PathBuf::new, Path::to_path_buf)
}

fn write(file: &Path, case: &Case, derived: Option<&Derived>, replace: Replace) -> Result<Sha256, CaseError> {
    case::save(file, &Document { case, derived, case_file: None }, replace)
}
