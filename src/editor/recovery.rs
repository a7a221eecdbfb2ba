//! Recovery: unsaved work found on opening, offered and never taken in unasked.

use super::autosave::remove;
use super::edit::Edit;
use super::history::{HalfChange, Step};
use super::open_case::{Effect, OpenCase};
use super::places::{beside, in_state_folder, names};
use super::refused::EditRefused;
use super::unsaved::{Unsaved, UnsavedError};
use crate::film::content_hash;
use std::io;
use std::path::{Path, PathBuf};

/// Unsaved work that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// Where it was found.
    pub file: PathBuf,
    /// What it holds, and when it was written.
    pub unsaved: Unsaved,
    /// What became of the case's file since that work was begun.
    pub meanwhile: Meanwhile,
}

/// What became of a case's file since unsaved work was begun on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meanwhile {
    /// It is as it was; or there was none and there is none.
    Unchanged,
    /// Its content is another one, or it is gone: the unsaved work does not know of it. It may be older than what was
    /// saved since, where a program ended between saving and removing its autosave.
    Changed,
}

/// An autosave that gives nothing back. It is left where it is.
#[derive(Debug)]
pub struct Spoiled {
    /// Where it was found.
    pub file: PathBuf,
    /// Why.
    pub why: UnsavedError,
}

impl OpenCase {
    /// Unsaved work found on opening that differs from the case, newest first.
    pub fn offers(&self) -> &[Offer] {
        &self.offers
    }

    /// Autosaves found on opening that give nothing back.
    pub fn spoiled(&self) -> &[Spoiled] {
        &self.spoiled
    }

    /// Looks for autosaves of this case and its film.
    pub(super) fn look_for_unsaved(&mut self) {
        let beside = self.file.as_deref().and_then(beside);
        let state = self.shelter.state_folder.as_deref();
        let in_state = state.map(|folder| in_state_folder(folder, &self.case, self.file.as_deref()));
        let own_path = self.file.as_ref().map(|file| file.display().to_string());
        for file in beside.iter().flat_map(|first| names(first)) {
            self.look_at(file, |_| true);
        }
        // In the state folder stands whatever lies on the same film. Work on another case is that case's.
        for file in in_state.iter().flat_map(|first| names(first)) {
            self.look_at(file, |unsaved| own_path.is_none() || unsaved.case_file == own_path);
        }
        self.offers.sort_by_key(|offer| std::cmp::Reverse(offer.unsaved.written));
    }

    fn look_at(&mut self, file: PathBuf, is_ours: impl Fn(&Unsaved) -> bool) {
        match Unsaved::read(&file) {
            Ok(unsaved) if !is_ours(&unsaved) => {}
            // Saved after all, and only the autosave was not removed any more.
            Ok(unsaved) if unsaved.case == self.case && unsaved.half_placed.is_none() => {
                self.shelter.own.push(file);
            }
            Ok(unsaved) => {
                let meanwhile = self.meanwhile(&unsaved);
                self.offers.push(Offer { file, unsaved, meanwhile });
            }
            Err(UnsavedError::Unreadable(error)) if error.kind() == io::ErrorKind::NotFound => {}
            Err(why) => self.spoiled.push(Spoiled { file, why }),
        }
    }

    /// Compares the file the work was begun from with what stands there now. Where a film was opened by itself, that
    /// is the file the work names.
    fn meanwhile(&self, unsaved: &Unsaved) -> Meanwhile {
        let now = match (&self.on_disk, &unsaved.case_file) {
            (Some(on_disk), _) => Some(on_disk.sha256),
            (None, Some(file)) => content_hash(Path::new(file)).ok(),
            (None, None) => None,
        };
        let unchanged = unsaved.opened_sha256 == now.map(|digest| digest.to_string());
        if unchanged { Meanwhile::Unchanged } else { Meanwhile::Changed }
    }

    /// Takes offered work in: one step of undo. Its file is this open case's autosave from now on. `None` where no
    /// such offer stands.
    ///
    /// # Errors
    /// As [`apply`](Self::apply); the offer stands then.
    pub fn accept(&mut self, file: &Path) -> Result<Option<Vec<Effect>>, EditRefused> {
        let Some(at) = self.offers.iter().position(|offer| offer.file == file) else { return Ok(None) };
        let before = self.before();
        self.settle_gesture();
        let Some(Offer { unsaved, .. }) = self.offers.get(at).cloned() else { return Ok(None) };
        let mut case = unsaved.case;
        if self.file.is_none() && case.film.sha256 == self.case.film.sha256 {
            // The film was opened by hand: where it is, is known better than when the work was put by.
            case.film.file.clone_from(&self.case.film.file);
        }
        let half = unsaved.half_placed.map(|mut half| {
            self.placings += 1;
            half.number = self.placings;
            half
        });
        let edit = Edit::Whole(Box::new(case));
        let tried = self.tried(&edit)?;
        let (redo, undo, case) = match tried {
            Some((case, undo)) => (vec![edit], vec![undo], Some(case)),
            None => (Vec::new(), Vec::new(), None),
        };
        self.offers.remove(at);
        // One that is being written knows nothing of this one.
        self.shelter.settle();
        self.shelter.own.push(file.to_path_buf());
        let half_before = self.half.clone();
        if case.is_some() || half != half_before {
            let half = Some(HalfChange { before: half_before, after: half.clone() });
            self.history.record(Step { name: "recover unsaved work".to_owned(), redo, undo, half });
        }
        if let Some(case) = case {
            self.put(case);
        }
        self.put_half(half);
        Ok(Some(self.effects(&before)))
    }

    /// Passes over an offer. Its file stays, and is offered again on the next opening; autosaves of this open case
    /// go elsewhere. Says whether such an offer stood.
    pub fn decline(&mut self, file: &Path) -> bool {
        let count = self.offers.len();
        self.offers.retain(|offer| offer.file != file);
        self.offers.len() < count
    }

    /// Deletes unsaved work that was found, at the user's word: an offer, or an autosave that gives nothing back.
    /// Says whether there was such a file.
    ///
    /// # Errors
    /// It cannot be deleted; it stands as before then.
    pub fn discard(&mut self, file: &Path) -> io::Result<bool> {
        let found = self.offers.iter().any(|offer| offer.file == file)
            || self.spoiled.iter().any(|spoiled| spoiled.file == file);
        if found {
            remove(file)?;
            self.decline(file);
            self.spoiled.retain(|spoiled| spoiled.file != file);
        }
        Ok(found)
    }
}
