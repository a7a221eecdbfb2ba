//! Opening films in a thread of their own, with progress, and given up on request.

use super::shown_film::ShownFilm;
use crate::case::{Case, check_film};
use crate::film::{self, Bounds};
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// Where the bytes of a film come from.
#[derive(Debug, Clone, PartialEq)]
pub enum FilmSource {
    /// A file.
    File(PathBuf),
    /// Bytes that the program carries.
    Embedded(&'static [u8]),
}

/// What a film is opened for.
#[derive(Debug, Clone, PartialEq)]
pub enum Purpose {
    /// A case of its own is to be begun for it.
    NewCase,
    /// It is the film of the case that is open, which stands in this folder.
    OfCase {
        /// The case as it stood.
        case: Box<Case>,
        /// Where its film's path starts from.
        folder: PathBuf,
    },
    /// It takes the place of the film of the case that is open.
    Instead,
}

/// How far opening has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Step {
    /// The file is read and its picture decoded.
    Reading,
    /// Smaller copies and the histogram are made.
    Preparing,
}

impl Step {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Reading => "reading the file and decoding its picture",
            Self::Preparing => "preparing the picture for the screen",
        }
    }
}

/// A film that is being opened.
pub struct Opening {
    /// Where it comes from.
    pub source: FilmSource,
    /// What for.
    pub purpose: Purpose,
    step: Arc<AtomicU8>,
    receive: Receiver<Result<Box<ShownFilm>, String>>,
}

impl fmt::Debug for Opening {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Opening").field("source", &self.source).finish_non_exhaustive()
    }
}

impl Opening {
    /// Begins to open a film. `ready` is called once there is something to take.
    pub fn begin(
        source: FilmSource,
        purpose: Purpose,
        bounds: Bounds,
        ready: impl FnOnce() + Send + 'static,
    ) -> Self {
        let (send, receive) = channel();
        let step = Arc::new(AtomicU8::new(0));
        let opening =
            Self { source: source.clone(), purpose: purpose.clone(), step: Arc::clone(&step), receive };
        std::thread::spawn(move || {
            let opened = open(&source, &purpose, &bounds, &step);
            // Nobody waits any more where it was given up.
            if send.send(opened).is_ok() {
                ready();
            }
        });
        opening
    }

    /// How far it has come.
    pub fn step(&self) -> Step {
        if self.step.load(Ordering::Relaxed) == 0 { Step::Reading } else { Step::Preparing }
    }

    /// What it came to; `None` while it goes on.
    pub fn take(&self) -> Option<Result<Box<ShownFilm>, String>> {
        match self.receive.try_recv() {
            Ok(opened) => Some(opened),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err("opening it was broken off".to_owned())),
        }
    }

    /// The name of what is opened, for people.
    pub fn name(&self) -> String {
        match &self.source {
            FilmSource::File(file) => file_name(file),
            FilmSource::Embedded(_) => "the sample".to_owned(),
        }
    }
}

/// The last part of a path, for people.
pub(super) fn file_name(file: &Path) -> String {
    file.file_name().map_or_else(|| file.display().to_string(), |name| name.to_string_lossy().into_owned())
}

fn open(
    source: &FilmSource,
    purpose: &Purpose,
    bounds: &Bounds,
    step: &AtomicU8,
) -> Result<Box<ShownFilm>, String> {
    let film = match source {
        FilmSource::File(file) => film::read(file, bounds),
        FilmSource::Embedded(bytes) => film::read_bytes(bytes, bounds),
    };
    let film = film.map_err(|error| error.to_string())?;
    step.store(1, Ordering::Relaxed);
    let cautions = match (source, purpose) {
        (FilmSource::File(_), Purpose::OfCase { case, folder }) => check_film(case, folder, bounds),
        _ => Vec::new(),
    };
    Ok(Box::new(ShownFilm::new(film, cautions)))
}
