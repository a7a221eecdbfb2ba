//! Whether a film that is being read is still wanted: decoders ask from row to row.

use super::FilmError;
use std::sync::atomic::{AtomicBool, Ordering};

/// Nobody waits any more once the flag is set; without a flag somebody always does.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wanted<'a>(pub(super) Option<&'a AtomicBool>);

impl Wanted<'_> {
    /// Refuses to go on with a film that was given up.
    pub(super) fn check(self) -> Result<(), FilmError> {
        if self.0.is_some_and(|given_up| given_up.load(Ordering::Relaxed)) {
            return Err(FilmError::GivenUp);
        }
        Ok(())
    }
}
