//! A film being made ready in a thread of its own.

use super::prepared::{Prepared, Wanted, With, prepare};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// A film that is being made ready.
pub struct Making {
    receive: Receiver<Result<Box<Prepared>, String>>,
    begun: Instant,
    /// Whether it is made, and not read.
    pub is_made: bool,
    /// What was open when it was settled that it may be left, as `OpenCase::content` counts.
    pub(super) given_up: Option<u64>,
}

impl std::fmt::Debug for Making {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Making").field("is_made", &self.is_made).finish_non_exhaustive()
    }
}

impl Making {
    /// Begins; `ready` is called once there is something to take.
    pub(super) fn begin(
        wanted: Wanted,
        with: With,
        given_up: Option<u64>,
        ready: impl FnOnce() + Send + 'static,
    ) -> Self {
        let (send, receive) = channel();
        let is_made = matches!(wanted, Wanted::Made { .. });
        std::thread::spawn(move || {
            // Nobody waits any more where it was given up.
            let _ = send.send(prepare(&wanted, &with).map(Box::new));
            ready();
        });
        Self { receive, begun: Instant::now(), is_made, given_up }
    }

    /// How long it has been going on.
    pub fn lasts(&self) -> Duration {
        self.begun.elapsed()
    }

    /// What it came to; `None` while it goes on.
    pub(super) fn take(&self) -> Option<Result<Box<Prepared>, String>> {
        match self.receive.try_recv() {
            Ok(made) => Some(made),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err("making the film was broken off".to_owned())),
        }
    }
}
