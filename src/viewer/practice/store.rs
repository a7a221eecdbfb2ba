//! What practice keeps on disk: films under names that tell nothing, and beside them cases that nobody opens by chance: keys,
//! and what was compared with them.
//!
//! Each is a case, deflated, in a file that is named by the digest of its text: `DIGEST.key`, `DIGEST.compared`. None is ever
//! changed, and a case that is placed says by digest which are its own: any number of them can lie on one film.

use super::KnownKey;
use crate::calibration::Library;
use crate::case::{Case, Document, Replace, read_text, write_atomically};
use crate::editor::private_folder;
use crate::film::Sha256;
use crate::practice::Key;
use crate::viewer::neighbours::CASE_ENDING;
use crate::viewer::opening::file_name;
use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Under this a case says which key it is placed for.
pub(super) const MARK: &str = "x-practice";
/// Under this it says what was placed when it was compared.
pub(super) const COMPARED: &str = "x-practice-compared";

/// What names of films begin with.
const FILM: &str = "film-";

/// No case comes near this many bytes.
const MOST_BYTES: u64 = 64 << 20;

/// The folder of films and keys within the state folder.
pub(super) fn folder(state_folder: &Path) -> PathBuf {
    state_folder.join("practice")
}

/// The name of a film's file: nothing but part of its digest, with the ending that tells its format.
pub(super) fn film_name(sha256: &str, ending: &str) -> String {
    let part: String = sha256.chars().take(10).collect();
    format!("{FILM}{part}.{ending}")
}

/// Whether a file is a film that was put by, by where it lies and what it is called: nobody chose it, and no list of recent ones
/// names it.
pub(in crate::viewer) fn is_film(file: &Path, state_folder: &Path) -> bool {
    let name = file_name(file);
    name.starts_with(FILM) && !name.ends_with(CASE_ENDING) && file.parent() == Some(&folder(state_folder))
}

/// The films that were put by.
pub(in crate::viewer) fn films(state_folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder(state_folder)).into_iter().flatten();
    let files = entries.filter_map(|entry| Some(entry.ok()?.path()));
    files.filter(|file| is_film(file, state_folder)).collect()
}

/// Where a case is put by; `None` for what is no digest: nothing else becomes part of a path.
fn file_of(folder: &Path, digest: &str, ending: &str) -> Option<PathBuf> {
    let is_digest = digest.len() == 64 && digest.chars().all(|it| it.is_ascii_hexdigit());
    is_digest.then(|| folder.join(format!("{digest}.{ending}")))
}

fn text_of(case: &Case) -> Result<String, String> {
    serde_json::to_string(&Document { case, derived: None, case_file: None })
        .map_err(|error| error.to_string())
}

/// Puts a text by, where it is not there yet.
fn put(folder: &Path, text: &str, ending: &str) -> Result<(), String> {
    let failed = |error: std::io::Error| format!("{}: cannot be made: {error}", folder.display());
    private_folder(folder).map_err(failed)?;
    let Some(file) = file_of(folder, &Sha256::of(text.as_bytes()).to_string(), ending) else { return Ok(()) };
    if taken(&file).as_deref() == Some(text) {
        return Ok(());
    }
    let mut deflate = ZlibEncoder::new(Vec::new(), Compression::default());
    let deflated = deflate.write_all(text.as_bytes()).and_then(|()| deflate.finish()).map_err(failed)?;
    write_atomically(&file, &deflated, Replace::Yes).map_err(|error| error.to_string())
}

/// The text in a file that was put by.
fn taken(file: &Path) -> Option<String> {
    let mut text = String::new();
    let file = std::fs::File::open(file).ok()?;
    ZlibDecoder::new(file).take(MOST_BYTES).read_to_string(&mut text).ok()?;
    Some(text)
}

/// The same by its digest; `None` where it is gone, or is not what was put by.
fn found(folder: &Path, digest: &str, ending: &str) -> Option<String> {
    let text = taken(&file_of(folder, digest, ending)?)?;
    (Sha256::of(text.as_bytes()).to_string() == digest).then_some(text)
}

/// Puts a film by.
///
/// # Errors
/// A sentence that names what cannot be written.
pub(super) fn put_film(folder: &Path, name: &str, film: &[u8]) -> Result<(), String> {
    private_folder(folder).map_err(|error| format!("{}: cannot be made: {error}", folder.display()))?;
    let file = folder.join(name);
    if file.exists() {
        return Ok(());
    }
    write_atomically(&file, film, Replace::Yes).map_err(|error| error.to_string())
}

/// Puts a key by, and gives it as it will be read again.
///
/// # Errors
/// A sentence: the case is no key, or cannot be written.
pub(super) fn put_key(folder: &Path, key: &Case, library: &Library) -> Result<KnownKey, String> {
    let text = text_of(key)?;
    let known = known(&text, library)?;
    put(folder, &text, "key")?;
    Ok(known)
}

fn known(text: &str, library: &Library) -> Result<KnownKey, String> {
    let case = read_text(text).map_err(|error| error.to_string())?.case;
    let key = Key::of(&case, library).map_err(|refused| refused.to_string())?;
    Ok(KnownKey { key, sha256: Sha256::of(text.as_bytes()).to_string() })
}

/// Whether a case is placed for practice.
pub(in crate::viewer) fn is_practice(case: &Case) -> bool {
    case.extra.contains_key(MARK)
}

/// Whether it was compared with its key already.
pub(super) fn was_compared(case: &Case) -> bool {
    case.extra.contains_key(COMPARED)
}

/// The key that was put by for a case; `None` where it is placed for none, or it is gone.
pub(super) fn key_of(case: &Case, state_folder: Option<&Path>, library: &Library) -> Option<KnownKey> {
    let digest = case.extra.get(MARK)?.as_str()?;
    known(&found(&folder(state_folder?), digest, "key")?, library).ok()
}

/// What of a case is compared: all but where it lies, what it is called, and that it was compared.
pub(super) fn placed(case: &Case) -> Case {
    let mut placed = case.clone();
    placed.film.file = None;
    placed.label = None;
    placed.extra.shift_remove(COMPARED);
    placed
}

/// Puts by what was compared. Gives the digest that the case names it by, and a sentence where it could not be written.
pub(super) fn put_compared(state_folder: Option<&Path>, placed: &Case) -> (String, Result<(), String>) {
    // A case that is open can be written: every edit of it was.
    let text = text_of(placed).unwrap_or_default();
    let put = state_folder.map_or(Ok(()), |state| put(&folder(state), &text, "compared"));
    (Sha256::of(text.as_bytes()).to_string(), put)
}

/// What was placed when a case was compared; `None` where the case is another one now and that was not kept.
pub(super) fn compared_of(case: &Case, state_folder: Option<&Path>) -> Option<Case> {
    let digest = case.extra.get(COMPARED)?.as_str()?;
    let now = placed(case);
    let is_the_same = text_of(&now).is_ok_and(|text| Sha256::of(text.as_bytes()).to_string() == digest);
    if is_the_same {
        return Some(now);
    }
    let text = found(&folder(state_folder?), digest, "compared")?;
    read_text(&text).ok().map(|read| read.case)
}
