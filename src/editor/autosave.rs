//! Autosaving: when, where, and what becomes of it.

use super::finally::Finally;
use super::open_case::OpenCase;
use super::places::{beside, in_state_folder, names, private_folder};
use super::unsaved::Unsaved;
use crate::case::{Case, CaseError, ErrorKind, Replace, write_atomically};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
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
    /// The one that is being written. There is never a second beside it, so that they come one after the other.
    writing: Option<Writing>,
    /// What the last one came to, until somebody asks.
    came_to: Option<Result<Autosaved, AutosaveFailed>>,
}

/// An autosave that another thread is writing. Whoever drops it waits for it: a program that ended in the middle would
/// leave half a file beside the case.
#[derive(Debug)]
struct Writing {
    content: u64,
    begun: SystemTime,
    receive: Receiver<Outcome>,
}

impl Drop for Writing {
    fn drop(&mut self) {
        // One that was taken in already, or died, has nothing more to send.
        let _ = self.receive.recv();
    }
}

/// What writing came to, and which autosaves there are now.
#[derive(Debug)]
struct Outcome {
    own: Vec<PathBuf>,
    came_to: Result<Autosaved, AutosaveFailed>,
}

impl Shelter {
    pub(super) const fn new(state_folder: Option<PathBuf>) -> Self {
        Self { state_folder, own: Vec::new(), written: None, content: 0, writing: None, came_to: None }
    }

    /// Takes in what writing came to.
    fn take_in(&mut self, writing: &Writing, outcome: Outcome) {
        let Outcome { own, came_to } = outcome;
        self.own = own;
        if came_to.is_ok() {
            self.content = writing.content;
        }
        if matches!(came_to, Ok(Autosaved::Written(_))) {
            self.written = Some(writing.begun);
        }
        self.came_to = Some(came_to);
    }

    /// Waits for an autosave that is being written, so that nothing comes between.
    pub(super) fn settle(&mut self) {
        if let Some(writing) = self.writing.take() {
            let outcome = writing.receive.recv().unwrap_or_else(|_| self.broken_off());
            self.take_in(&writing, outcome);
        }
    }

    /// A thread that dies leaves everything as it was.
    fn broken_off(&self) -> Outcome {
        let why = not_written(&io::Error::other("writing it was broken off"));
        Outcome { own: self.own.clone(), came_to: Err(AutosaveFailed(vec![why])) }
    }
}

/// Removes autosaves but for one.
fn remove_all_but(own: &mut Vec<PathBuf>, kept: Option<&Path>) -> io::Result<()> {
    let mut first_error = Ok(());
    own.retain(|file| {
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
    /// autosave left from before is removed. It is done when this returns.
    ///
    /// # Errors
    /// It can be written nowhere, or an old one cannot be removed.
    pub fn autosave(&mut self, now: SystemTime) -> Result<Autosaved, AutosaveFailed> {
        self.begin_autosave(now, || ());
        self.shelter.settle();
        self.shelter.came_to.take().unwrap_or(Ok(Autosaved::NothingUnsaved))
    }

    /// The same as another thread's work, for a disk may be slow: the work as it stands now. One that is being written
    /// is waited for. `ended` is called once [`take_autosaved`](Self::take_autosaved) can tell what it came to.
    pub fn begin_autosave(&mut self, now: SystemTime, ended: impl FnOnce() + Send + 'static) {
        self.shelter.settle();
        // The work as it stands now is what counts: what the one before came to is old news.
        self.shelter.came_to = None;
        let unsaved = self.has_unsaved_work().then(|| Unsaved {
            written: now,
            case_file: self.file.as_ref().map(|file| file.display().to_string()),
            opened_sha256: self.on_disk.as_ref().map(|on_disk| on_disk.sha256.to_string()),
            case: self.case.clone(),
            half_placed: self.half.clone(),
        });
        let job = Job {
            unsaved,
            case_file: self.file.clone(),
            state_folder: self.shelter.state_folder.clone(),
            own: self.shelter.own.clone(),
        };
        let (send, receive) = channel();
        let writing = Writing { content: self.content, begun: now, receive };
        let telling = Telling { send, _ended: Finally(Some(ended)) };
        let work = move || {
            let telling = telling;
            // Somebody waits for it until it is sent.
            let _ = telling.send.send(job.done());
        };
        // Without another thread to be had the work dies unsent, which is told as a failure and tried again.
        let _ = std::thread::Builder::new().name("autosave".to_owned()).spawn(work);
        self.shelter.writing = Some(writing);
    }

    /// Whether an autosave is being written.
    pub const fn is_autosaving(&self) -> bool {
        self.shelter.writing.is_some()
    }

    /// What an autosave came to that was begun; `None` while it goes on, and where it was told before.
    ///
    /// # Errors
    /// As [`autosave`](Self::autosave).
    pub fn take_autosaved(&mut self) -> Option<Result<Autosaved, AutosaveFailed>> {
        let shelter = &mut self.shelter;
        if let Some(writing) = shelter.writing.take() {
            match writing.receive.try_recv() {
                Ok(outcome) => shelter.take_in(&writing, outcome),
                Err(TryRecvError::Disconnected) => shelter.take_in(&writing, shelter.broken_off()),
                Err(TryRecvError::Empty) => shelter.writing = Some(writing),
            }
        }
        shelter.came_to.take()
    }

    /// Removes the autosaves of this open case: after a save, and when it is closed deliberately. Those of others,
    /// offered or declined, stay.
    ///
    /// # Errors
    /// One cannot be removed.
    pub fn remove_autosaves(&mut self) -> io::Result<()> {
        self.shelter.settle();
        // Whatever the last one came to, it is no longer needed.
        self.shelter.came_to = None;
        remove_all_but(&mut self.shelter.own, None)?;
        self.shelter.content = self.content;
        Ok(())
    }
}

/// Tells what an autosave came to, and that there is something to be told: of one that dies, or that no thread can be had for,
/// as of any other. The parts are dropped in this order, so that whoever is called finds the end.
struct Telling<F: FnOnce()> {
    send: Sender<Outcome>,
    _ended: Finally<F>,
}

/// An autosave to be made.
struct Job {
    /// The work; none where there is none, and earlier autosaves are to go.
    unsaved: Option<Unsaved>,
    case_file: Option<PathBuf>,
    state_folder: Option<PathBuf>,
    own: Vec<PathBuf>,
}

impl Job {
    fn done(mut self) -> Outcome {
        let came_to = match self.unsaved.take() {
            Some(unsaved) => self.write(&unsaved).map(Autosaved::Written).map_err(AutosaveFailed),
            None => remove_all_but(&mut self.own, None)
                .map(|()| Autosaved::NothingUnsaved)
                .map_err(|error| AutosaveFailed(vec![not_written(&error)])),
        };
        Outcome { own: self.own, came_to }
    }

    fn write(&mut self, unsaved: &Unsaved) -> Result<PathBuf, Vec<CaseError>> {
        let text = unsaved.to_text().map_err(|error| vec![not_written(&io::Error::other(error))])?;
        let mut failures = Vec::new();
        for first in self.places(&unsaved.case) {
            match self.write_to(&first, text.as_bytes()) {
                Ok(file) => {
                    self.own.retain(|own| *own != file);
                    self.own.push(file.clone());
                    // One that cannot be removed now, in a folder that may not be written to any more, holds older
                    // work; recovery offers the newest first.
                    let _ = remove_all_but(&mut self.own, Some(&file));
                    return Ok(file);
                }
                Err(error) => failures.push(error),
            }
        }
        Err(failures)
    }

    /// The first name for an autosave in each place, in the order of preference.
    fn places(&self, case: &Case) -> Vec<PathBuf> {
        let beside = self.case_file.as_deref().and_then(beside);
        let state = self.state_folder.as_deref();
        let in_state = state.map(|folder| in_state_folder(folder, case, self.case_file.as_deref()));
        beside.into_iter().chain(in_state).collect()
    }

    /// Writes to the name this open case has in that place, or to the first that is free.
    fn write_to(&self, first: &Path, bytes: &[u8]) -> Result<PathBuf, CaseError> {
        let in_state = self.state_folder.as_deref().is_some_and(|state| first.starts_with(state));
        if in_state && let Some(folder) = first.parent() {
            private_folder(folder).map_err(|error| not_written(&error))?;
        }
        if let Some(own) = names(first).find(|name| self.own.contains(name)) {
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
}

fn not_written(error: &io::Error) -> CaseError {
    CaseError { file: None, kind: ErrorKind::NotSaved(error.to_string()), pointer: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_autosave_that_dies_somebody_is_told_and_finds_its_end() {
        let (send, receive) = channel();
        let (tell, told) = channel();
        let ended = move || {
            let has_ended = matches!(receive.try_recv(), Err(TryRecvError::Disconnected));
            tell.send(has_ended).unwrap();
        };
        drop(Telling { send, _ended: Finally(Some(ended)) });
        assert_eq!(told.try_recv(), Ok(true));
    }
}
