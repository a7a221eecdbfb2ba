//! Going on with a case that was placed for practice and is opened again: it says itself what it was placed for, and whether it
//! was compared.

use super::Practising;
use super::store::{self, COMPARED, MARK};
use crate::case::{Case, CaseError};
use crate::editor::OpenCase;
use crate::viewer::session::Session;
use std::path::Path;
use std::sync::Arc;

impl Session {
    /// Goes on practising where an opened case, or work that was taken over, was placed for it.
    pub(in crate::viewer) fn resume_practice(&mut self) {
        let Some(work) = &self.work else { return };
        let case = work.open.case();
        if !store::is_practice(case) || work.practice.as_ref().is_some_and(|practice| practice.is_of(case)) {
            return;
        }
        let was_compared = store::was_compared(case);
        let known = store::key_of(case, self.state_folder.as_deref(), &self.engine.library);
        let Some(work) = &mut self.work else { return };
        work.practice = match known {
            Some(known) => Some(Practising::against(Arc::new(known))),
            // What was never compared shows nothing, whatever became of its key.
            None => (!was_compared).then(Practising::without_its_key),
        };
        if was_compared {
            self.compare_again();
        }
    }

    /// Takes over unsaved work that was found.
    pub(in crate::viewer) fn take_offer(&mut self, file: &Path) {
        if let Err(why) = self.put_in_place(|open| open.accept(file)) {
            self.problem(why.to_string());
        }
    }

    /// Takes over what another program wrote to the case's file.
    ///
    /// # Errors
    /// It cannot be read, or holds no case; nothing is changed then.
    pub(in crate::viewer) fn take_over(&mut self) -> Result<(), CaseError> {
        self.put_in_place(OpenCase::take_over_from_disk)
    }

    /// Puts another content in the open case's place. A case that was compared stays so: its truth was seen.
    fn put_in_place<T, E>(&mut self, put: impl FnOnce(&mut OpenCase) -> Result<T, E>) -> Result<(), E> {
        let Some(work) = &mut self.work else { return Ok(()) };
        let compared = work.open.case().extra.get(COMPARED).cloned();
        put(&mut work.open)?;
        if let Some(compared) = compared
            && !store::was_compared(work.open.case())
        {
            work.open.note(COMPARED, &compared);
        }
        self.resume_practice();
        Ok(())
    }
}

impl Practising {
    /// Whether this is how a case says that it stands.
    fn is_of(&self, case: &Case) -> bool {
        let key = self.key.as_ref().map(|known| known.sha256.as_str());
        let says = case.extra.get(MARK).and_then(|digest| digest.as_str());
        (key.is_none() || key == says) && self.compared.is_some() == store::was_compared(case)
    }
}

/// A repeat was not compared yet. Where there is no key to compare it with, it is a case like any other.
pub(in crate::viewer) fn not_compared_yet(repeat: &mut Case, has_key: bool) {
    repeat.extra.shift_remove(COMPARED);
    if !has_key {
        repeat.extra.shift_remove(MARK);
    }
}
