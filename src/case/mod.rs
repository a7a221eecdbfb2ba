//! The case: one tooth on one film, its landmarks, its file, and the plain rows computed from it.
//!
//! Nothing here knows how things are measured.

mod asked;
mod clinical;
mod consensus;
mod derived;
mod document;
mod error;
mod film_link;
mod first_look;
mod json;
mod landmark;
mod marks;
pub mod plausible;
mod read;
mod read_reference;
mod sample;
mod save;
mod schema;
mod sight;
mod tooth;

pub use asked::{asks_for_post_root, sights};
pub use clinical::{Clinical, Instrument, Reading, Sites, SmileLine};
pub use consensus::CONSENSUS_KEY;
pub use derived::{
    Computed, DERIVED_KEYS, Derived, Lack, MeasurementRow, Reason, RowRef, ScaleRow, SharedAngle, Strength,
    Verdict, VerdictRow, Why,
};
pub use document::{Calibration, Case, Film, Root, Section, Stage, Technique, Tooth, Uncertainty};
pub use error::{CaseError, ErrorKind};
pub use film_link::{Begun, check_film, compare_film, draft, path_from};
pub use first_look::{Answer, Answers, Choice, Finding, FindingDeclaration, FirstLook};
pub use landmark::{Declaration, Landmark, LandmarkId, Owner, Part, Shape, WALL_TOP_THICKNESS};
pub use marks::{Landmarks, Mark, Point, State};
pub use read::{ReadCase, read_text};
#[cfg(test)]
pub(crate) use sample::film_102;
pub use sample::{SAMPLE_BANNER, SAMPLE_FILM, sample, write_sample_film};
pub use save::{Document, Replace, is_same_file, read, read_hashed, save, write_atomically};
pub use schema::schema;
pub use sight::{NOT_THERE, Sight};
pub use tooth::{Fdi, FilmSide, RootName, Side, Site};

/// What `format` says in a case file.
pub const FORMAT: &str = "crestgauge.case";
/// The version of the case file this program reads and writes.
pub const VERSION: u64 = 1;
