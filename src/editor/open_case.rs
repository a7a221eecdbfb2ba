//! The open case: edits, undo, gestures, selection and numbers.

use super::autosave::Shelter;
use super::edit::Edit;
use super::half_placed::HalfPlaced;
use super::history::{History, Step};
use super::names;
use super::numbers::{Engine, Numbers};
use super::on_disk::OnDisk;
use super::recovery::{Offer, Spoiled};
use super::refused::EditRefused;
use super::whereabouts::Selection;
use crate::case::{Case, CaseError, Document, ReadCase, read_text};
use crate::caution::Caution;
use crate::measure::{Draws, UnknownObject};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A case being worked on.
///
/// A new one has nothing to undo and is not changed. Everything that changes it says so by its [`Effect`]s; a call
/// that changes nothing gives none and adds no step.
#[derive(Debug)]
pub struct OpenCase {
    pub(super) case: Case,
    /// The case as it stands in its file, or as it was begun where it has none yet.
    pub(super) saved: Case,
    pub(super) half: Option<HalfPlaced>,
    /// How many things were begun to be placed.
    pub(super) placings: u64,
    pub(super) history: History,
    selection: Option<Selection>,
    /// Counts changes of the case.
    revision: u64,
    /// Counts changes of what an autosave holds: the case and what is half-placed.
    pub(super) content: u64,
    engine: Arc<Engine>,
    numbers: Option<(u64, Arc<Result<Numbers, UnknownObject>>)>,
    film_cautions: Vec<Caution>,
    pub(super) file: Option<PathBuf>,
    /// Where the film's path starts from: the case's folder, or the one it will presumably be saved in.
    pub(super) folder: PathBuf,
    pub(super) on_disk: Option<OnDisk>,
    pub(super) shelter: Shelter,
    pub(super) offers: Vec<Offer>,
    pub(super) spoiled: Vec<Spoiled>,
}

/// What a change touched, so that only that is drawn anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    /// The case, and with it every number.
    Case,
    /// What is half-placed.
    HalfPlaced,
    /// What is selected.
    Selection,
    /// Whether the case differs from its file.
    SavedState,
}

/// How things stood before a change.
pub(super) struct Before {
    revision: u64,
    half: Option<HalfPlaced>,
    selection: Option<Selection>,
    changed: bool,
}

impl OpenCase {
    /// A case that has no file yet, such as the draft for a film or the built-in sample. `folder` is where the
    /// film's path starts from; an empty one is nowhere, and the film's name stays as it is wherever the case is
    /// saved. Autosaves of earlier work on the same film are offered at once.
    pub fn unfiled(case: Case, folder: PathBuf, engine: Arc<Engine>, state_folder: Option<PathBuf>) -> Self {
        let mut open = Self::bare(case, folder, engine, state_folder);
        open.look_for_unsaved();
        open
    }

    pub(super) fn bare(
        case: Case,
        folder: PathBuf,
        engine: Arc<Engine>,
        state_folder: Option<PathBuf>,
    ) -> Self {
        Self {
            saved: case.clone(),
            case,
            half: None,
            placings: 0,
            history: History::default(),
            selection: None,
            revision: 0,
            content: 0,
            engine,
            numbers: None,
            film_cautions: Vec::new(),
            file: None,
            folder,
            on_disk: None,
            shelter: Shelter::new(state_folder),
            offers: Vec::new(),
            spoiled: Vec::new(),
        }
    }

    /// The case as it stands now.
    pub const fn case(&self) -> &Case {
        &self.case
    }

    /// The file it is saved in.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// The folder the film's path starts from.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// A number that is another one after every change of the case.
    pub const fn revision(&self) -> u64 {
        self.revision
    }

    /// A number that is another one after every change of the case or of what is half-placed.
    pub const fn content(&self) -> u64 {
        self.content
    }

    /// Whether the case differs from what stands in its file. What is half-placed is never saved into a case, so it
    /// does not count.
    pub fn is_changed(&self) -> bool {
        self.case != self.saved
    }

    /// Makes an edit: one step of undo, or part of the gesture that is going on.
    ///
    /// # Errors
    /// What the edit is about is not there, or the case it would make could not be read again. Nothing is changed.
    pub fn apply(&mut self, edit: Edit) -> Result<Vec<Effect>, EditRefused> {
        let Some((case, undo)) = self.tried(&edit)? else { return Ok(Vec::new()) };
        let before = self.before();
        let name = names::edit(&edit, &self.case);
        self.history.record(Step::of_edit(name, edit, undo));
        self.put(case);
        Ok(self.effects(&before))
    }

    /// Puts an entry under a key that begins with `x-`. It says what became of the case, so it is no step of undo, and no
    /// undo takes it away. A gesture that is going on ends first.
    pub fn note(&mut self, key: &str, entry: &serde_json::Value) -> Vec<Effect> {
        debug_assert!(key.starts_with("x-"), "{key} could not be read again");
        let before = self.before();
        self.settle_gesture();
        self.history.edits_mut().for_each(|edit| edit.note(key, entry));
        if self.case.extra.get(key) != Some(entry) {
            let mut case = self.case.clone();
            case.extra.insert(key.to_owned(), entry.clone());
            self.put(case);
        }
        self.effects(&before)
    }

    /// Why [`apply`](Self::apply) would refuse an edit; `None` where it would make it.
    pub fn objection(&self, edit: &Edit) -> Option<EditRefused> {
        self.tried(edit).err()
    }

    /// The case after an edit and the edit that takes it back; `None` where it changes nothing.
    pub(super) fn tried(&self, edit: &Edit) -> Result<Option<(Case, Edit)>, EditRefused> {
        let mut case = self.case.clone();
        let undo = edit.perform(&mut case)?;
        if case == self.case {
            return Ok(None);
        }
        let read = reread(&case)?;
        if read.case == case { Ok(Some((case, undo))) } else { Err(EditRefused::ReadsBackOtherwise) }
    }

    /// Puts another case in this one's place.
    pub(super) fn put(&mut self, case: Case) {
        self.case = case;
        self.revision += 1;
        self.content += 1;
        self.selection = self.selection.filter(|selection| selection.is_in(&self.case));
    }

    /// What the next undo takes back, in words: "place finish line, mesial".
    pub fn next_undo(&self) -> Option<&str> {
        self.history.next_undo().map(|step| step.name.as_str())
    }

    /// What the next redo makes again, in words.
    pub fn next_redo(&self) -> Option<&str> {
        self.history.next_redo().map(|step| step.name.as_str())
    }

    /// Takes the last step back. A gesture that is going on ends first and is the step taken back.
    pub fn undo(&mut self) -> Vec<Effect> {
        let before = self.before();
        self.settle_gesture();
        if let Some(Step { undo, half, .. }) = self.history.next_undo().cloned() {
            self.replay(undo.iter().rev());
            if let Some(change) = half {
                self.put_half(change.before);
            }
            self.history.step_back();
        }
        self.effects(&before)
    }

    /// Makes the last step taken back again. A gesture that is going on ends first.
    pub fn redo(&mut self) -> Vec<Effect> {
        let before = self.before();
        self.settle_gesture();
        if let Some(Step { redo, half, .. }) = self.history.next_redo().cloned() {
            self.replay(redo.iter());
            if let Some(change) = half {
                self.put_half(change.after);
            }
            self.history.step_forward();
        }
        self.effects(&before)
    }

    /// Makes edits of the history. They were made before on the very same case, so none can be refused.
    fn replay<'a>(&mut self, edits: impl Iterator<Item = &'a Edit>) {
        let mut case = self.case.clone();
        let replayed = edits.map(|edit| edit.perform(&mut case)).collect::<Result<Vec<_>, _>>();
        debug_assert!(replayed.is_ok(), "the history fits the case: {replayed:?}");
        if replayed.is_ok_and(|edits| !edits.is_empty()) {
            self.put(case);
        }
    }

    /// Begins a gesture, such as a drag: until it ends, all edits are one step.
    pub fn begin_gesture(&mut self) {
        self.settle_gesture();
        self.history.begin_gesture(&self.case, self.half.as_ref());
    }

    /// Whether a gesture is going on.
    pub const fn in_gesture(&self) -> bool {
        self.history.in_gesture()
    }

    /// Ends the gesture: its edits become one step, or none where everything is back where it was.
    pub fn end_gesture(&mut self) -> Vec<Effect> {
        let before = self.before();
        self.settle_gesture();
        self.effects(&before)
    }

    pub(super) fn settle_gesture(&mut self) {
        if let Some((case, half)) = self.history.end_gesture(&self.case, self.half.as_ref()) {
            // Equal already, but for the sign of a zero: the very same bytes are given back.
            (self.case, self.half) = (case, half);
        }
    }

    /// Gives up the gesture: everything is as it was when it began.
    pub fn cancel_gesture(&mut self) -> Vec<Effect> {
        let before = self.before();
        if let Some((case, half)) = self.history.cancel_gesture() {
            if case != self.case {
                self.put(case);
            }
            if half != self.half {
                self.put_half(half);
            }
        }
        self.effects(&before)
    }

    /// What is selected.
    pub const fn selection(&self) -> Option<Selection> {
        self.selection
    }

    /// Selects something, or nothing. What the case does not have cannot be selected. No step of undo.
    pub fn select(&mut self, selection: Option<Selection>) -> Vec<Effect> {
        let before = self.before();
        self.selection = selection.filter(|selection| selection.is_in(&self.case));
        self.effects(&before)
    }

    /// Everything computed from the case as it stands, computed once for each revision.
    ///
    /// # Errors
    /// A reference names an object that the library lacks; the sentence names the near one.
    pub fn numbers(&mut self) -> Result<&Numbers, &UnknownObject> {
        self.computed().as_ref().as_ref()
    }

    /// As [`numbers`](Self::numbers), to be kept while the case goes on changing.
    pub fn shared_numbers(&mut self) -> Arc<Result<Numbers, UnknownObject>> {
        Arc::clone(self.computed())
    }

    fn computed(&mut self) -> &Arc<Result<Numbers, UnknownObject>> {
        let revision = self.revision;
        let fresh = self.numbers.take().filter(|(of, _)| *of == revision);
        let numbers = fresh.unwrap_or_else(|| (revision, Arc::new(self.compute())));
        &self.numbers.insert(numbers).1
    }

    fn compute(&self) -> Result<Numbers, UnknownObject> {
        self.engine.numbers(&self.case, &self.noticed())
    }

    /// What reading the case and looking at its film came to. Cautions about keys nobody knows come from reading; a
    /// case that stands here can be read.
    pub(super) fn noticed(&self) -> Vec<Caution> {
        let mut noticed = reread(&self.case).map(|read| read.cautions).unwrap_or_default();
        noticed.extend_from_slice(&self.film_cautions);
        noticed
    }

    /// The same by Monte Carlo, as work that another thread can do: it takes a while.
    pub fn drawing(&self, draws: Draws) -> impl FnOnce() -> Result<Numbers, UnknownObject> + Send + 'static {
        let (case, engine, noticed) = (self.case.clone(), Arc::clone(&self.engine), self.noticed());
        move || engine.drawn_numbers(&case, draws, &noticed)
    }

    /// What everything is computed with.
    pub fn engine(&self) -> &Engine {
        &self.engine
    }

    pub(super) fn shared_engine(&self) -> Arc<Engine> {
        Arc::clone(&self.engine)
    }

    /// What the last look at the film came to: missing, changed, of another size. Empty where all is well or
    /// nobody looked.
    pub fn film_cautions(&self) -> &[Caution] {
        &self.film_cautions
    }

    /// Takes in what a look at the film came to, as [`check_film`](crate::case::check_film) gives it; it may have
    /// looked in another thread, with this case and its [`folder`](Self::folder). The cautions stand among the
    /// numbers from now on.
    pub fn film_checked(&mut self, cautions: Vec<Caution>) {
        if cautions != self.film_cautions {
            self.film_cautions = cautions;
            self.numbers = None;
        }
    }

    pub(super) fn before(&self) -> Before {
        Before {
            revision: self.revision,
            half: self.half.clone(),
            selection: self.selection,
            changed: self.is_changed(),
        }
    }

    pub(super) fn effects(&self, before: &Before) -> Vec<Effect> {
        [
            (self.revision != before.revision, Effect::Case),
            (self.half != before.half, Effect::HalfPlaced),
            (self.selection != before.selection, Effect::Selection),
            (self.is_changed() != before.changed, Effect::SavedState),
        ]
        .into_iter()
        .filter_map(|(touched, effect)| touched.then_some(effect))
        .collect()
    }
}

/// The case as it would be read from its file.
fn reread(case: &Case) -> Result<ReadCase, CaseError> {
    let document = Document { case, derived: None, case_file: None };
    // Text and numbers always serialise; were that ever to fail, the empty text is refused by the reader.
    read_text(&serde_json::to_string(&document).unwrap_or_default())
}
