//! What practice keeps on disk: films under names that tell nothing, and their keys where nobody opens them by chance.
//!
//! A key that was not compared with yet is `FILM.key`, one that was is `FILM.compared`, FILM being the film's digest. Both
//! are the key's case, deflated: no list of files offers it to be opened.

use super::KnownKey;
use crate::calibration::Library;
use crate::case::{Case, Document, Replace, read_text, write_atomically};
use crate::editor::private_folder;
use crate::film::Sha256;
use crate::practice::Key;
use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// The key of a case that says that it is placed for practice.
pub(super) const MARK: &str = "x-practice";

/// The key of a film is a secret once more: it is placed again.
pub(super) fn seal_again(state_folder: Option<&Path>, case: &Case) {
    if let (Some(state), Some(film)) = (state_folder, case.film.sha256.as_deref()) {
        let folder = folder(state);
        // There is nothing to rename where it was never compared.
        let _ = std::fs::rename(unsealed(&folder, film), sealed(&folder, film));
    }
}

/// No key comes near this many bytes.
const MOST_BYTES: u64 = 64 << 20;

/// The folder of films and keys within the state folder.
pub(super) fn folder(state_folder: &Path) -> PathBuf {
    state_folder.join("practice")
}

/// The name of a film's file: nothing but part of its digest, with the ending that tells its format.
pub(super) fn film_name(sha256: &str, ending: &str) -> String {
    let part: String = sha256.chars().take(10).collect();
    format!("film-{part}.{ending}")
}

fn sealed(folder: &Path, film: &str) -> PathBuf {
    folder.join(format!("{film}.key"))
}

fn unsealed(folder: &Path, film: &str) -> PathBuf {
    folder.join(format!("{film}.compared"))
}

/// Puts a film and its key by, the key unseen.
///
/// # Errors
/// A sentence that names what cannot be written.
pub(super) fn put(folder: &Path, name: &str, film: &[u8], key: &Case) -> Result<KnownKeyText, String> {
    let failed = |error: std::io::Error| format!("{}: cannot be made: {error}", folder.display());
    private_folder(folder).map_err(failed)?;
    let file = folder.join(name);
    if !file.exists() {
        write_atomically(&file, film, Replace::Yes).map_err(|error| error.to_string())?;
    }
    let sha256 = key.film.sha256.clone().unwrap_or_default();
    let text = serde_json::to_string(&Document { case: key, derived: None, case_file: None })
        .map_err(|error| error.to_string())?;
    let mut deflate = ZlibEncoder::new(Vec::new(), Compression::default());
    let deflated = deflate.write_all(text.as_bytes()).and_then(|()| deflate.finish()).map_err(failed)?;
    write_atomically(&sealed(folder, &sha256), &deflated, Replace::Yes).map_err(|error| error.to_string())?;
    // One that is practised on again is unseen again.
    let _ = std::fs::remove_file(unsealed(folder, &sha256));
    Ok(KnownKeyText(text))
}

/// The text of a key.
pub(super) struct KnownKeyText(String);

impl KnownKeyText {
    /// The key in it.
    ///
    /// # Errors
    /// A sentence: it is none.
    pub(super) fn key(&self, library: &Library) -> Result<KnownKey, String> {
        let case = read_text(&self.0).map_err(|error| error.to_string())?.case;
        let key = Key::of(&case, library).map_err(|refused| refused.to_string())?;
        Ok(KnownKey { key, sha256: Sha256::of(self.0.as_bytes()).to_string() })
    }
}

/// Whether a case is placed for practice.
pub(in crate::viewer) fn is_practice(case: &Case) -> bool {
    case.extra.contains_key(MARK)
}

/// The key that was put by for a case, and whether it was compared with already; `None` where the case is not placed for
/// practice, or its key is gone.
pub(super) fn key_of(
    case: &Case,
    state_folder: Option<&Path>,
    library: &Library,
) -> Option<(KnownKey, bool)> {
    is_practice(case).then_some(())?;
    let (folder, film) = (folder(state_folder?), case.film.sha256.as_deref()?);
    // Nothing but a digest becomes part of a path.
    if film.is_empty() || !film.chars().all(|it| it.is_ascii_hexdigit()) {
        return None;
    }
    let read = |file: PathBuf| -> Option<KnownKey> {
        let file = std::fs::File::open(file).ok()?;
        let mut text = String::new();
        ZlibDecoder::new(file).take(MOST_BYTES).read_to_string(&mut text).ok()?;
        KnownKeyText(text).key(library).ok()
    };
    let unseen = read(sealed(&folder, film)).map(|key| (key, false));
    unseen.or_else(|| Some((read(unsealed(&folder, film))?, true)))
}

/// The key of a film is no secret any more.
pub(super) fn unseal(state_folder: Option<&Path>, case: &Case) {
    if let (Some(state), Some(film)) = (state_folder, case.film.sha256.as_deref()) {
        let folder = folder(state);
        // Where it cannot be renamed, the case opens as one still to be compared, and nothing is lost.
        let _ = std::fs::rename(sealed(&folder, film), unsealed(&folder, film));
    }
}
