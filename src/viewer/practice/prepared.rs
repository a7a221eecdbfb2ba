//! A film made ready to be placed: its case without anything that was known of it, and its key apart.

use super::store::{self, MARK};
use super::{KnownKey, Placing};
use crate::agreement::{OBSERVER_KEY, SITTING_KEY};
use crate::calibration::Library;
use crate::case::{Case, Landmarks, Replace, compare_film, read, write_atomically};
use crate::editor::{again, private_folder};
use crate::film::{self, Bounds, Film, Sha256};
use crate::phantom::{Difficulty, ToothKind, exercise};
use crate::viewer::shown_film::ShownFilm;
use std::ffi::OsStr;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

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

/// A film of a tooth that never was.
///
/// # Errors
/// A sentence that names what is wrong.
pub(super) fn made(
    kind: ToothKind,
    difficulty: Difficulty,
    seed: u64,
    with: &With,
) -> Result<Prepared, String> {
    let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
    let made = exercise(kind, difficulty, seed, threads, |digest| store::film_name(digest, "png"))?;
    let digest = Sha256::of(&made.film).to_string();
    practice(&OnFilm { case: made.truth, digest, bytes: made.film }, with)
}

/// The film of a case with its truth or a consensus.
///
/// # Errors
/// A sentence that names what is wrong with which file.
pub(super) fn of_key(file: &Path, with: &With) -> Result<Prepared, String> {
    let on_film = with_film(file, &with.bounds)?;
    practice(&on_film, with).map_err(|why| format!("{}: {why}", file.display()))
}

/// A film of a round: that of the case in `file`, to be placed in `folder`.
///
/// # Errors
/// A sentence that names what is wrong with which file.
pub(super) fn placing(file: &Path, of: &Placing, folder: &Path, with: &With) -> Result<Prepared, String> {
    let on_film = with_film(file, &with.bounds)?;
    let film = opened(&on_film, &with.bounds).map_err(|why| format!("{}: {why}", file.display()))?;
    let failed = |error: std::io::Error| format!("{}: cannot be made: {error}", folder.display());
    private_folder(folder).map_err(failed)?;
    let mut bare = bare(&on_film, true, &with.student);
    bare.extra.insert(SITTING_KEY.to_owned(), of.sitting.into());
    let copy = folder.join(bare.film.file.as_deref().unwrap_or_default());
    if !copy.exists() {
        write_atomically(&copy, &on_film.bytes, Replace::Yes).map_err(|error| error.to_string())?;
    }
    Ok(Prepared {
        film: shown(film, &bare),
        case: bare,
        folder: folder.to_path_buf(),
        key: None,
        placing: Some(of.clone()),
    })
}

fn practice(on_film: &OnFilm, with: &With) -> Result<Prepared, String> {
    let mut bare = bare(on_film, with.scale_is_given, &with.student);
    let film = opened(on_film, &with.bounds)?;
    let known = store::put_key(&with.store, &on_film.case, &with.library)?;
    let name = bare.film.file.clone().unwrap_or_default();
    store::put_film(&with.store, &name, &on_film.bytes)?;
    bare.extra.insert(MARK.to_owned(), known.sha256.clone().into());
    Ok(Prepared {
        film: shown(film, &bare),
        case: bare,
        folder: with.store.clone(),
        key: Some(Arc::new(known)),
        placing: None,
    })
}

fn shown(film: Film, case: &Case) -> ShownFilm {
    let cautions = compare_film(case, &film.description());
    ShownFilm::new(film, cautions)
}

/// A case, and the film it lies on.
struct OnFilm {
    /// It says of its film what it said before, and names it by a file that tells nothing.
    case: Case,
    /// The film's digest, whether the case states it or not.
    digest: String,
    bytes: Vec<u8>,
}

/// A film that has the size its case was placed on.
fn opened(on_film: &OnFilm, bounds: &Bounds) -> Result<Film, String> {
    let film = film::read_bytes(&on_film.bytes, bounds).map_err(|error| error.to_string())?;
    let (width, height) = (film.picture.width(), film.picture.height());
    let of_case = &on_film.case.film;
    let differs = |stated: Option<u32>, is: u32| stated.is_some_and(|stated| stated != is);
    if differs(of_case.width_px, width) || differs(of_case.height_px, height) {
        return Err(format!(
            "the film measures {width} x {height} px, and the key was placed on one of another size: its points would lie \
             elsewhere"
        ));
    }
    Ok(film)
}

/// The case in a file with its film's bytes.
fn with_film(file: &Path, bounds: &Bounds) -> Result<OnFilm, String> {
    let mut case = read(file).map_err(|error| error.to_string())?.case;
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
    Ok(OnFilm { case, digest, bytes })
}

/// What somebody begins with: film, tooth, stage, roots by name and, where it is given, the scale; nothing that was placed,
/// read or written beside it, and no label.
fn bare(known: &OnFilm, keeps_scale: bool, student: &str) -> Case {
    let mut bare = again(&known.case, keeps_scale);
    bare.film.sha256 = Some(known.digest.clone());
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
