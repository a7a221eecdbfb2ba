//! Opening films in a thread of their own, with progress, and given up on request.

use super::shown_film::ShownFilm;
use crate::case::{Case, check_film};
use crate::caution::Caution;
use crate::film::{self, Bounds};
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

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
    NewCase {
        /// What was open when it was settled that it may be left, as [`OpenCase::content`] counts.
        ///
        /// [`OpenCase::content`]: crate::editor::OpenCase::content
        given_up: Option<u64>,
    },
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
    receive: Receiver<Result<Box<ShownFilm>, Unopened>>,
    begun: Instant,
}

/// A film that could not be opened.
#[derive(Debug, Clone, PartialEq)]
pub struct Unopened {
    /// Why not.
    pub why: String,
    /// What a look at it beside its case came to.
    pub cautions: Vec<Caution>,
}

/// Calls once it goes out of scope: on a panic, too, somebody waits.
struct Finally<F: FnOnce()>(Option<F>);

impl<F: FnOnce()> Drop for Finally<F> {
    fn drop(&mut self) {
        if let Some(call) = self.0.take() {
            call();
        }
    }
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
        let opening = Self {
            source: source.clone(),
            purpose: purpose.clone(),
            step: Arc::clone(&step),
            receive,
            begun: Instant::now(),
        };
        std::thread::spawn(move || {
            // Dropped in the opposite order: what there is to take is there before anybody is called.
            let _ready = Finally(Some(ready));
            let send = send;
            // Nobody waits any more where it was given up.
            let _ = send.send(open(&source, &purpose, &bounds, &step));
        });
        opening
    }

    /// How long it has been going on.
    pub fn lasts(&self) -> Duration {
        self.begun.elapsed()
    }

    /// How far it has come.
    pub fn step(&self) -> Step {
        if self.step.load(Ordering::Relaxed) == 0 { Step::Reading } else { Step::Preparing }
    }

    /// What it came to; `None` while it goes on.
    pub fn take(&self) -> Option<Result<Box<ShownFilm>, Unopened>> {
        match self.receive.try_recv() {
            Ok(opened) => Some(opened),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => {
                let why = "opening it was broken off".to_owned();
                Some(Err(Unopened { why, cautions: Vec::new() }))
            }
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
) -> Result<Box<ShownFilm>, Unopened> {
    let film = match source {
        FilmSource::File(file) => film::read(file, bounds),
        FilmSource::Embedded(bytes) => film::read_bytes(bytes, bounds),
    };
    step.store(1, Ordering::Relaxed);
    let cautions = match (source, purpose) {
        (FilmSource::File(_), Purpose::OfCase { case, folder }) => check_film(case, folder, bounds),
        _ => Vec::new(),
    };
    match film {
        Ok(film) => Ok(Box::new(ShownFilm::new(film, cautions))),
        Err(why) => Err(Unopened { why: why.to_string(), cautions }),
    }
}
