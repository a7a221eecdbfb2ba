//! The open case: edits with undo, what is half-placed, what is selected, the numbers, saving, autosaving and recovery.
//!
//! Nothing here knows a window. [`OpenCase::apply`] is the one way to change a case; a viewer draws what stands here
//! and proposes edits. Time is handed in, and so is the folder that autosaves go to where none can stand beside the
//! case.

mod again;
mod asked;
mod attempts;
mod autosave;
mod consensus;
mod edit;
pub(crate) mod finally;
mod for_report;
mod found;
mod half_placed;
mod hint;
mod history;
mod list_change;
mod marking;
mod names;
mod next_step;
mod numbers;
mod on_disk;
mod open_case;
mod own_placing;
mod places;
mod placing;
mod recovery;
mod refused;
mod sittings;
mod square_section;
mod unsaved;
mod whereabouts;

pub use again::again;
pub use asked::{asks_for_post_root, landmarks, next_of, next_to_place, sight_of};
pub use attempts::{append_attempts, attempts_of, in_utc};
pub use autosave::{AutosaveFailed, Autosaved};
pub use consensus::{WrittenConsensus, write_consensus};
pub use edit::{Edit, FilmLink, SiteReading, ToothReading, UncertaintyOf};
pub use for_report::{DRAWS, ForReport};
pub use found::{Waiting, waiting};
pub use half_placed::{HalfPlaced, Placing};
pub use hint::{Hint, hint};
pub use list_change::ListChange;
pub use marking::marking;
pub use next_step::{Step, next_step, unread};
pub use numbers::{Engine, EngineError, Numbers};
pub use on_disk::{DiskChange, SaveRefused};
pub use open_case::{Effect, OpenCase};
pub use own_placing::{NotTaken, OwnPlacing, own_placing};
pub use places::{private_folder, state_folder};
pub use recovery::{Meanwhile, Offer, Spoiled};
pub use refused::EditRefused;
pub use sittings::{CaseRead, read_sittings};
pub use square_section::SquareSection;
pub use unsaved::{Unsaved, UnsavedError};
pub use whereabouts::{LandmarkAt, PointAt, Selection};
