//! What can be wrong with a case file.

use std::path::PathBuf;

/// Why a case cannot be used: `FILE: what is wrong (where in the file)`, with what would mend it.
#[derive(Debug, thiserror::Error)]
pub struct CaseError {
    /// The file, where the case came from one.
    pub file: Option<PathBuf>,
    /// What is wrong.
    pub kind: ErrorKind,
    /// RFC 6901 pointer of the value at fault; empty for the whole document.
    pub pointer: Option<String>,
}

/// The kinds of fault a case file can have.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ErrorKind {
    /// It cannot be read from the disk.
    #[error("cannot be read: {0}")]
    Unreadable(String),
    /// It is a picture, not a case.
    #[error("is a film, not a case; make a case for it with `crestgauge draft FILM -o CASE`")]
    IsAFilm,
    /// It is a folder.
    #[error("is a folder; name the case files in it")]
    IsAFolder,
    /// It is not text.
    #[error("is not UTF-8 text, so it is no case")]
    NotText,
    /// It is larger than any case.
    #[error("is {0} bytes long; a case has at most {1}")]
    TooLong(u64, u64),
    /// It is empty.
    #[error("is empty")]
    Empty,
    /// It is not JSON.
    #[error("is not well-formed JSON: {0}")]
    NotJson(String),
    /// It is JSON, but no case.
    #[error("is JSON, but no case: it has no \"format\": \"crestgauge.case\"")]
    NotACase,
    /// It was written by a newer program.
    #[error(
        "was written by a newer crestgauge (case version {0}; this one reads version {1}); please update crestgauge"
    )]
    Newer(u64, u64),
    /// A value is wrong.
    #[error("{0}")]
    Wrong(String),
    /// It cannot be saved.
    #[error("cannot be saved: {0}")]
    NotSaved(String),
    /// It is saved, but a power cut could still undo that.
    #[error("is saved, but its folder could not be flushed to the disk: {0}")]
    NotFlushed(String),
    /// It exists and may not be replaced.
    #[error("exists already; add --force to replace it")]
    Exists,
}

impl CaseError {
    pub(super) fn new(kind: ErrorKind, pointer: Option<String>) -> Self {
        Self { file: None, kind, pointer }
    }

    pub(super) fn in_file(mut self, file: &std::path::Path) -> Self {
        self.file = Some(file.to_path_buf());
        self
    }
}

impl std::fmt::Display for CaseError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{}: ", file.display())?;
        }
        match (&self.kind, self.pointer.as_deref()) {
            // A sentence that begins with its subject: the place is the subject.
            (ErrorKind::Wrong(why), Some("")) => write!(f, "the case {why} (at the top of the file)"),
            (ErrorKind::Wrong(why), Some(pointer)) => {
                let subject =
                    pointer.rsplit('/').next().unwrap_or_default().replace("~1", "/").replace("~0", "~");
                if subject.bytes().all(|byte| byte.is_ascii_digit()) {
                    write!(f, "entry {subject} {why} (at {pointer})")
                } else {
                    write!(f, "{subject} {why} (at {pointer})")
                }
            }
            (kind, Some(pointer)) => write!(f, "{kind} (at {pointer})"),
            (kind, None) => write!(f, "{kind}"),
        }
    }
}
