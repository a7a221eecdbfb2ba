//! Questions that must be answered before anything else goes on.

use std::path::PathBuf;

/// What the program asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// The case differs from its file; what shall become of it before going on?
    Unsaved(Then),
    /// The name the case is to be saved under.
    SaveName {
        /// What is typed.
        name: String,
        /// What happens after it is saved.
        then: Option<Then>,
        /// Why the last try failed.
        why_not: Option<String>,
        /// Whether a file of this name is there and may be replaced on another yes.
        exists: Option<PathBuf>,
    },
    /// The name a report is to be written under.
    ReportName {
        /// What is typed.
        name: String,
        /// Why the last try failed.
        why_not: Option<String>,
        /// Whether a file of this name is there and may be replaced on another yes.
        exists: Option<PathBuf>,
    },
    /// The name of a film or case to open.
    OpenName {
        /// What is typed.
        name: String,
        /// Why the last try failed.
        why_not: Option<String>,
        /// Whether it is to be the film of the open case.
        for_film: bool,
    },
    /// The same tooth is to be placed again; does its scale stay?
    Again,
    /// The film that was chosen is not the one the points of the case were placed on; is it to be taken all the same?
    OtherFilm {
        /// How many points the case has.
        points: usize,
        /// In what the films differ.
        why: String,
    },
    /// The program is to end, and this report is still being written: it ends once that stands there.
    StillWriting(PathBuf),
    /// A placing for practice is to be compared, or kept in its round, with landmarks left that its film is asked for.
    Finish {
        /// How many are neither placed nor said to be hidden or absent.
        open: usize,
    },
    /// A round is to end before all is placed.
    EndRound {
        /// How many placings are kept then.
        kept: usize,
        /// Of how many.
        of: usize,
    },
    /// Another program changed the case's file.
    ChangedOnDisk {
        /// What happens after it is settled.
        then: Option<Then>,
    },
}

/// What goes on once a question is answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Then {
    /// Closes the case.
    Close,
    /// Ends the program.
    Quit,
    /// Opens a film or case.
    Open(PathBuf),
    /// Opens the sample.
    OpenSample,
    /// Begins a repeat of the case.
    Again,
    /// Goes on to a film to practise on.
    Practise,
    /// Begins a round of repeats.
    Round,
}

impl Then {
    /// In words, as the end of "before …".
    pub fn words(&self) -> String {
        match self {
            Self::Close => "closing".to_owned(),
            Self::Quit => "quitting".to_owned(),
            Self::Open(file) => {
                let name =
                    file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                format!("opening {name}")
            }
            Self::OpenSample => "opening the sample".to_owned(),
            Self::Again => "placing again".to_owned(),
            Self::Practise => "going on to a film to practise on".to_owned(),
            Self::Round => "beginning a round".to_owned(),
        }
    }
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// Yes to what is proposed: save, open, replace.
    Yes,
    /// Go on without saving.
    GoOnWithout,
    /// Yes, and the scale, too.
    ScaleToo,
    /// Take over what another program wrote.
    TakeOver,
    /// Save under another name.
    OtherName,
    /// Choose the name in a dialog of the system.
    Choose,
    /// Leave everything as it is.
    No,
    /// What is typed so far.
    Typed(String),
}
