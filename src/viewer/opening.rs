//! Opening films in a thread of their own, with progress, and given up on request.

use super::shown_film::ShownFilm;
use super::work::Stand;
use crate::case::{Case, check_film, compare_film};
use crate::caution::Caution;
use crate::editor::finally::Finally;
use crate::film::{self, Bounds, Film};
use std::borrow::Cow;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
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
        /// How the open case stood when it was settled that it may be left.
        given_up: Option<Stand>,
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
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The file is read: the part of it that has come, 0 to 1.
    Reading(f32),
    /// Its picture is decoded.
    Decoding,
    /// Smaller copies and the histogram are made.
    Preparing,
}

impl Step {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Reading(_) => "reading the file",
            Self::Decoding => "decoding its picture",
            Self::Preparing => "preparing it for the screen",
        }
    }

    /// How much of the whole is done, 0 to 1; how long decoding takes cannot be known, so steps count alike.
    pub fn fraction(self) -> f32 {
        match self {
            Self::Reading(part) => part / 3.0,
            Self::Decoding => 1.0 / 3.0,
            Self::Preparing => 2.0 / 3.0,
        }
    }
}

/// What the thread that opens tells the window, and the window it.
#[derive(Debug, Default)]
struct Shared {
    /// Thousandths of the file read; more once it is decoded and prepared.
    done: AtomicU32,
    is_given_up: AtomicBool,
}

const DECODING: u32 = 1001;
const PREPARING: u32 = 1002;

impl Shared {
    fn step(&self) -> Step {
        match self.done.load(Ordering::Relaxed) {
            DECODING => Step::Decoding,
            PREPARING => Step::Preparing,
            // At most a thousand.
            read => Step::Reading(f32::from(u16::try_from(read).unwrap_or(1000)) / 1000.0),
        }
    }

    fn is_given_up(&self) -> bool {
        self.is_given_up.load(Ordering::Relaxed)
    }

    fn reach(&self, done: u32) -> Result<(), String> {
        self.done.store(done, Ordering::Relaxed);
        if self.is_given_up() { Err("opening it was given up".to_owned()) } else { Ok(()) }
    }
}

/// Gives opening up where nobody waits any more.
#[derive(Debug)]
struct GivesUp(Arc<Shared>);

impl Drop for GivesUp {
    fn drop(&mut self) {
        self.0.is_given_up.store(true, Ordering::Relaxed);
    }
}

/// A film that is being opened.
pub struct Opening {
    /// Where it comes from.
    pub source: FilmSource,
    /// What for.
    pub purpose: Purpose,
    shared: GivesUp,
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
        let shared = Arc::new(Shared::default());
        let opening = Self {
            source: source.clone(),
            purpose: purpose.clone(),
            shared: GivesUp(Arc::clone(&shared)),
            receive,
            begun: Instant::now(),
        };
        std::thread::spawn(move || {
            // Dropped in the opposite order: what there is to take is there before anybody is called.
            let _ready = Finally(Some(ready));
            let send = send;
            // Nobody waits any more where it was given up.
            let _ = send.send(open(&source, &purpose, &bounds, &shared));
        });
        opening
    }

    /// How long it has been going on.
    pub fn lasts(&self) -> Duration {
        self.begun.elapsed()
    }

    /// How far it has come.
    pub fn step(&self) -> Step {
        self.shared.0.step()
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

/// The names of files, for people; of those that share one, each with as many of its folders as tell it apart.
pub(super) fn names_told_apart(files: &[PathBuf]) -> Vec<String> {
    // The names of a file and of the folders it is in, the nearest first.
    let parts = |file: &Path| -> Vec<String> {
        let names = file.components().rev().map(|part| part.as_os_str().to_string_lossy().into_owned());
        names.collect()
    };
    let all: Vec<Vec<String>> = files.iter().map(|file| parts(file)).collect();
    let told = |own: &Vec<String>| {
        let shared = all.iter().filter(|other| *other != own).map(|other| {
            let same = own.iter().zip(other).take_while(|(one, other)| one == other);
            same.count()
        });
        shared.max().unwrap_or(0)
    };
    files
        .iter()
        .zip(&all)
        .map(|(file, own)| {
            let name = file_name(file);
            // Folders are named from the outermost of those that are wanted.
            let mut folders: Vec<&str> = own
                .iter()
                .skip(1)
                .take(told(own))
                .map(|folder| folder.trim_end_matches(['/', '\\']))
                .collect();
            folders.reverse();
            let folder = folders.join("/");
            if folder.is_empty() { name } else { format!("{name}, in {folder}") }
        })
        .collect()
}

/// Reads the film; an error in words where it cannot be, or was given up.
fn read(source: &FilmSource, bounds: &Bounds, shared: &Shared) -> Result<Film, String> {
    let bytes = match source {
        FilmSource::File(file) => {
            let read = film::file_bytes_while(file, bounds, |come, all| {
                let thousandths = come.saturating_mul(1000).checked_div(all).unwrap_or(0).min(1000);
                shared.reach(u32::try_from(thousandths).unwrap_or(1000)).is_ok()
            });
            Cow::Owned(read.map_err(|error| error.to_string())?.unwrap_or_default())
        }
        FilmSource::Embedded(bytes) => Cow::Borrowed(*bytes),
    };
    shared.reach(DECODING)?;
    let film =
        film::read_bytes_unless(&bytes, bounds, &shared.is_given_up).map_err(|error| error.to_string())?;
    shared.reach(PREPARING)?;
    Ok(film)
}

fn open(
    source: &FilmSource,
    purpose: &Purpose,
    bounds: &Bounds,
    shared: &Shared,
) -> Result<Box<ShownFilm>, Unopened> {
    match (read(source, bounds, shared), source, purpose) {
        (Ok(film), FilmSource::File(_), Purpose::OfCase { case, .. }) => {
            let cautions = compare_film(case, &film.description());
            Ok(Box::new(ShownFilm::new(film, cautions)))
        }
        (Ok(film), ..) => Ok(Box::new(ShownFilm::new(film, Vec::new()))),
        // Of a film that was given up nobody waits for a second look, which would read all of it again.
        (Err(why), FilmSource::File(_), Purpose::OfCase { case, folder }) if !shared.is_given_up() => {
            Err(Unopened { why, cautions: check_film(case, folder, bounds) })
        }
        (Err(why), ..) => Err(Unopened { why, cautions: Vec::new() }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_go_up_and_end_below_the_whole() {
        let shared = Shared::default();
        let mut before = -1.0;
        for done in [0, 500, 1000, DECODING, PREPARING] {
            assert_eq!(shared.reach(done), Ok(()));
            let fraction = shared.step().fraction();
            assert!(fraction >= before && fraction < 1.0, "{done}: {fraction}");
            before = fraction;
        }
        assert_eq!(shared.step(), Step::Preparing);
    }

    #[test]
    fn files_of_one_name_are_told_apart_by_as_few_folders_as_do() {
        let told = |files: &[&str]| {
            names_told_apart(&files.iter().map(|file| Path::new("clinic").join(file)).collect::<Vec<_>>())
        };
        assert_eq!(told(&["a/film.png", "a/other.png"]), ["film.png", "other.png"]);
        assert_eq!(
            told(&["a/film.png", "b/film.png", "b/other.png"]),
            ["film.png, in a", "film.png, in b", "other.png"]
        );
        let deep = told(&["a/x/film.png", "b/x/film.png", "c/film.png"]);
        assert_eq!(deep, ["film.png, in a/x", "film.png, in b/x", "film.png, in c"]);
        assert_eq!(told(&["film.png", "b/film.png"]), ["film.png, in clinic", "film.png, in b"]);
        assert_eq!(names_told_apart(&[]), Vec::<String>::new());
    }

    #[test]
    fn one_that_was_given_up_is_not_looked_at_once_more() {
        let shared = Arc::new(Shared::default());
        let purpose =
            Purpose::OfCase { case: Box::new(crate::case::film_102()), folder: PathBuf::from("nowhere") };
        let source = FilmSource::File(PathBuf::from("nowhere/film-102.png"));
        let of = |shared: &Shared| open(&source, &purpose, &Bounds::default(), shared).unwrap_err().cautions;
        assert!(!of(&shared).is_empty(), "one that is still wanted is looked at beside its case");
        drop(GivesUp(Arc::clone(&shared)));
        assert_eq!(of(&shared), []);
    }

    #[test]
    fn one_that_nobody_waits_for_is_given_up_at_the_next_step() {
        let shared = Arc::new(Shared::default());
        drop(GivesUp(Arc::clone(&shared)));
        let source = FilmSource::Embedded(crate::case::SAMPLE_FILM);
        let given_up = read(&source, &Bounds::default(), &shared);
        assert_eq!(given_up.map(|_| ()), Err("opening it was given up".to_owned()));
    }
}
