//! A film made ready to be placed: its case without anything that was known of it, and its key apart.

use super::store::{self, MARK};
use super::{KnownKey, Placing};
use crate::agreement::{OBSERVER_KEY, SITTING_KEY};
use crate::calibration::Library;
use crate::case::{Case, Landmarks, Replace, read, write_atomically};
use crate::editor::{again, private_folder};
use crate::film::{self, Bounds, Film, Sha256};
use crate::phantom::{Difficulty, ToothKind, exercise};
use crate::viewer::shown_film::ShownFilm;
use std::ffi::OsStr;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a film is made ready from.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Wanted {
    /// A film of a tooth that never was.
    Made { kind: ToothKind, difficulty: Difficulty, seed: u64 },
    /// A case with its truth or a consensus.
    Key(PathBuf),
    /// A film of a round: the case it lies under.
    Placing { case: PathBuf, of: Placing, folder: PathBuf },
}

/// What every film is made ready with.
#[derive(Debug, Clone)]
pub(super) struct With {
    pub(super) scale_is_given: bool,
    pub(super) student: String,
    /// Where films and keys go.
    pub(super) store: PathBuf,
    pub(super) bounds: Bounds,
    pub(super) library: Arc<Library>,
}

/// A film made ready.
pub(super) struct Prepared {
    /// What is placed on.
    pub(super) case: Case,
    /// Where the film's path starts from.
    pub(super) folder: PathBuf,
    pub(super) film: ShownFilm,
    pub(super) key: Option<Arc<KnownKey>>,
    pub(super) placing: Option<Placing>,
}

/// Makes a film ready.
///
/// # Errors
/// A sentence that names what is wrong with which file.
pub(super) fn prepare(wanted: &Wanted, with: &With) -> Result<Prepared, String> {
    match wanted {
        Wanted::Made { kind, difficulty, seed } => {
            let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
            let made =
                exercise(*kind, *difficulty, *seed, threads, |digest| store::film_name(digest, "png"))?;
            practice(&made.truth, &made.film, with)
        }
        Wanted::Key(file) => {
            let case = read(file).map_err(|error| error.to_string())?.case;
            let (case, bytes) = with_film(case, file, &with.bounds)?;
            practice(&case, &bytes, with).map_err(|why| format!("{}: {why}", file.display()))
        }
        Wanted::Placing { case: file, of, folder } => {
            let case = read(file).map_err(|error| error.to_string())?.case;
            let (case, bytes) = with_film(case, file, &with.bounds)?;
            let film = opened(&case, &bytes, &with.bounds)?;
            let failed = |error: std::io::Error| format!("{}: cannot be made: {error}", folder.display());
            private_folder(folder).map_err(failed)?;
            let mut bare = bare(&case, true, &with.student);
            bare.extra.insert(SITTING_KEY.to_owned(), of.sitting.into());
            let copy = folder.join(bare.film.file.as_deref().unwrap_or_default());
            if !copy.exists() {
                write_atomically(&copy, &bytes, Replace::Yes).map_err(|error| error.to_string())?;
            }
            Ok(Prepared {
                case: bare,
                folder: folder.clone(),
                film: ShownFilm::new(film, Vec::new()),
                key: None,
                placing: Some(of.clone()),
            })
        }
    }
}

fn practice(key: &Case, bytes: &[u8], with: &With) -> Result<Prepared, String> {
    let mut bare = bare(key, with.scale_is_given, &with.student);
    bare.extra.insert(MARK.to_owned(), true.into());
    let name = bare.film.file.clone().unwrap_or_default();
    let film = opened(key, bytes, &with.bounds)?;
    let known = store::put(&with.store, &name, bytes, key)?.key(&with.library)?;
    Ok(Prepared {
        case: bare,
        folder: with.store.clone(),
        film: ShownFilm::new(film, Vec::new()),
        key: Some(Arc::new(known)),
        placing: None,
    })
}

/// A film that has the size its case was placed on.
fn opened(case: &Case, bytes: &[u8], bounds: &Bounds) -> Result<Film, String> {
    let film = film::read_bytes(bytes, bounds).map_err(|error| error.to_string())?;
    let (width, height) = (film.picture.width(), film.picture.height());
    let differs = |stated: Option<u32>, is: u32| stated.is_some_and(|stated| stated != is);
    if differs(case.film.width_px, width) || differs(case.film.height_px, height) {
        return Err(format!(
            "the film measures {width} x {height} px, and the key was placed on one of another size: its points would lie \
             elsewhere"
        ));
    }
    Ok(film)
}

/// A case with its film's bytes, named by their digest in a file that tells nothing.
fn with_film(mut case: Case, file: &Path, bounds: &Bounds) -> Result<(Case, Vec<u8>), String> {
    let named = case.film.file.clone().ok_or_else(|| {
        format!("{}: names no film, and without one nothing can be placed (in /film/file)", file.display())
    })?;
    let path = file.parent().unwrap_or(Path::new("")).join(&named);
    let read = film::file_bytes_while(&path, bounds, |_, _| true).map_err(|error| error.to_string())?;
    let bytes = read.unwrap_or_default();
    let digest = Sha256::of(&bytes).to_string();
    if case.film.sha256.as_ref().is_some_and(|stated| *stated != digest) {
        return Err(format!(
            "{}: its film {} is another one than its points were placed on (in /film/sha256)",
            file.display(),
            path.display()
        ));
    }
    let ending = path.extension().and_then(OsStr::to_str).unwrap_or("png").to_ascii_lowercase();
    case.film.file = Some(store::film_name(&digest, &ending));
    case.film.sha256 = Some(digest);
    Ok((case, bytes))
}

/// What somebody begins with: film, tooth, stage, roots by name and, where it is given, the scale; nothing that was placed,
/// read or written beside it, and no label.
fn bare(known: &Case, keeps_scale: bool, student: &str) -> Case {
    let mut bare = again(known, keeps_scale);
    if !keeps_scale {
        // A scale that is to be learned is not half given.
        bare.calibration.references.clear();
    }
    bare.landmarks = Landmarks::default();
    bare.label = None;
    bare.clinical = crate::case::Clinical::default();
    // What a teacher noted beside it may tell.
    for noted in [&mut bare.extra, &mut bare.film.extra, &mut bare.tooth.extra, &mut bare.calibration.extra] {
        noted.clear();
    }
    for root in &mut bare.roots {
        root.extra.clear();
    }
    bare.extra.insert(OBSERVER_KEY.to_owned(), student.into());
    bare
}
