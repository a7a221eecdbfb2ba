//! Files: reading a case from one, and writing one so that what was there before is never lost.

use super::derived::Derived;
use super::document::Case;
use super::error::{CaseError, ErrorKind};
use super::read::{ReadCase, read_text};
use super::{FORMAT, VERSION};
use crate::film::Sha256;
use serde::Serialize;
use serde::ser::SerializeMap as _;
use std::fs::{self, File};
use std::io::{Read as _, Write as _};
use std::path::Path;

/// No case comes near this many bytes; what is longer is something else.
const MOST_BYTES: u64 = 16 << 20;

/// Reads a case from a file.
///
/// # Errors
/// As [`read_text`], and whatever keeps the file from being read; a film, a folder and an empty file are named as
/// such.
pub fn read(file: &Path) -> Result<ReadCase, CaseError> {
    read_hashed(file).map(|(read, _)| read)
}

/// Reads a case from a file, with the digest of the very bytes it was read from, so that a later change of the file
/// by another program can be told.
///
/// # Errors
/// As [`read`].
pub fn read_hashed(file: &Path) -> Result<(ReadCase, Sha256), CaseError> {
    read_bytes_of(file)
        .and_then(|bytes| {
            if looks_like_a_picture(&bytes) {
                return Err(CaseError::new(ErrorKind::IsAFilm, None));
            }
            let text = std::str::from_utf8(&bytes).map_err(|_| CaseError::new(ErrorKind::NotText, None))?;
            read_text(text).map(|read| (read, Sha256::of(&bytes)))
        })
        .map_err(|error| error.in_file(file))
}

/// Whether two paths lead to one file that is there, by whatever links.
pub fn is_same_file(one: &Path, other: &Path) -> bool {
    one.canonicalize().ok().is_some_and(|one| other.canonicalize().ok() == Some(one))
}

fn read_bytes_of(file: &Path) -> Result<Vec<u8>, CaseError> {
    let unreadable = |error: std::io::Error| CaseError::new(ErrorKind::Unreadable(error.to_string()), None);
    let mut opened = File::open(file).map_err(unreadable)?;
    let about = opened.metadata().map_err(unreadable)?;
    if about.is_dir() {
        return Err(CaseError::new(ErrorKind::IsAFolder, None));
    }
    let mut start = [0; 132];
    let mut bytes = Vec::new();
    let begun = opened.read(&mut start).map_err(unreadable)?;
    bytes.extend_from_slice(start.get(..begun).unwrap_or_default());
    if looks_like_a_picture(&bytes) {
        return Ok(bytes);
    }
    if about.len() > MOST_BYTES {
        return Err(CaseError::new(ErrorKind::TooLong(about.len(), MOST_BYTES), None));
    }
    // A file that has no length of its own, such as a pipe, is held to the same bound.
    opened.take(MOST_BYTES).read_to_end(&mut bytes).map_err(unreadable)?;
    Ok(bytes)
}

/// Whether the bytes begin as pictures do; only to tell a mistaken user so.
fn looks_like_a_picture(bytes: &[u8]) -> bool {
    const BEGINNINGS: [&[u8]; 5] = [b"\x89PNG", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"BM"];
    BEGINNINGS.iter().any(|beginning| bytes.starts_with(beginning))
        || bytes.get(128..132) == Some(b"DICM".as_slice())
}

/// A case with what was computed from it, as it stands in a file.
pub struct Document<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was computed, where it was.
    pub derived: Option<&'a Derived>,
    /// The case's own file name, as `measure --json` adds it.
    pub case_file: Option<&'a str>,
}

impl Serialize for Document<'_> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Self { case, derived, case_file } = self;
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("format", FORMAT)?;
        map.serialize_entry("version", &VERSION)?;
        if let Some(case_file) = case_file {
            map.serialize_entry("case_file", case_file)?;
        }
        map.serialize_entry("film", &case.film)?;
        map.serialize_entry("tooth", &case.tooth)?;
        if let Some(label) = &case.label {
            map.serialize_entry("label", label)?;
        }
        map.serialize_entry("calibration", &case.calibration)?;
        map.serialize_entry("uncertainty", &case.uncertainty)?;
        map.serialize_entry("landmarks", &case.landmarks)?;
        map.serialize_entry("roots", &case.roots)?;
        map.serialize_entry("clinical", &case.clinical)?;
        for (key, value) in &case.extra {
            map.serialize_entry(key, value)?;
        }
        if let Some(derived) = derived {
            map.serialize_entry("computed", &derived.computed)?;
            map.serialize_entry("measurements", &derived.measurements)?;
            map.serialize_entry("verdicts", &derived.verdicts)?;
            map.serialize_entry("cautions", &derived.cautions)?;
        }
        map.end()
    }
}

/// Whether a file that exists may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Replace {
    /// It may: the user asked for it.
    Yes,
    /// It may not.
    No,
}

/// Writes a case to a file, and gives the digest of what stands there now.
///
/// # Errors
/// As [`write_atomically`].
pub fn save(file: &Path, document: &Document<'_>, replace: Replace) -> Result<Sha256, CaseError> {
    let failed = |why: String| CaseError::new(ErrorKind::NotSaved(why), None).in_file(file);
    let mut text = serde_json::to_string_pretty(document).map_err(|error| failed(error.to_string()))?;
    text.push('\n');
    write_atomically(file, text.as_bytes(), replace)?;
    Ok(Sha256::of(text.as_bytes()))
}

fn not_saved(file: &Path, why: String) -> CaseError {
    let why = if file.exists() { format!("{why}; what was there before is unharmed") } else { why };
    CaseError::new(ErrorKind::NotSaved(why), None).in_file(file)
}

/// Writes a whole file or nothing: into a temporary file beside it, flushed to the disk, renamed over the old one,
/// and the folder flushed too. Whatever fails, the old file is as it was.
///
/// # Errors
/// The folder cannot be written to, the disk is full, or the file exists and may not be replaced.
pub fn write_atomically(file: &Path, bytes: &[u8], replace: Replace) -> Result<(), CaseError> {
    // The kind alone: the temporary file's name in the full message would mean nothing to anybody.
    let failed = |why: &std::io::Error| not_saved(file, why.kind().to_string());
    // Renaming would replace a file that its owner marked read-only.
    if fs::metadata(file).is_ok_and(|about| about.permissions().readonly()) {
        return Err(not_saved(file, "the file is marked read-only; make it writable first".to_owned()));
    }
    // A link is followed, so that the file it names is replaced and the link stays.
    let target = fs::canonicalize(file).unwrap_or_else(|_| file.to_path_buf());
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        return Err(not_saved(file, format!("there is no folder {}", folder.display())));
    }
    let mut temporary = tempfile::Builder::new();
    temporary.prefix(".crestgauge-");
    #[cfg(unix)]
    let permissions = {
        use std::os::unix::fs::PermissionsExt as _;
        fs::metadata(&target).map_or_else(|_| fs::Permissions::from_mode(0o666), |old| old.permissions())
    };
    #[cfg(unix)]
    temporary.permissions(permissions);
    let mut temporary = temporary.tempfile_in(folder).map_err(|error| failed(&error))?;
    temporary
        .write_all(bytes)
        .and_then(|()| temporary.as_file().sync_all())
        .map_err(|error| failed(&error))?;
    match replace {
        Replace::Yes => temporary.persist(&target).map_err(|error| failed(&error.error))?,
        Replace::No => temporary.persist_noclobber(&target).map_err(|error| {
            if error.error.kind() == std::io::ErrorKind::AlreadyExists {
                CaseError::new(ErrorKind::Exists, None).in_file(file)
            } else {
                failed(&error.error)
            }
        })?,
    };
    // Without this a power cut could lose the rename. Where a folder cannot be opened (Windows), the rename is
    // already as safe as that system makes it.
    if let Ok(folder) = File::open(folder) {
        folder
            .sync_all()
            .map_err(|error| CaseError::new(ErrorKind::NotFlushed(error.to_string()), None).in_file(file))?;
    }
    Ok(())
}
