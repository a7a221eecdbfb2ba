//! A film being made ready in a thread of its own, with whatever has to be read for it.

use super::folder::{films_of, keys_of};
use super::prepared::{Prepared, With, made, of_key, placing};
use super::round::Round;
use crate::phantom::{Difficulty, ToothKind};
use crate::viewer::work::Stand;
use rand::SeedableRng as _;
use rand::seq::SliceRandom as _;
use rand_chacha::ChaCha8Rng;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// What is to be made ready.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Wanted {
    /// A film of a tooth that never was.
    Made { kind: ToothKind, difficulty: Difficulty, seed: u64 },
    /// The next case of a folder: of those still to come, else of all of them in an order of chance.
    OfFolder { folder: String, to_come: Vec<PathBuf>, seed: u64 },
    /// The first placing of a round over a folder; its placings go to another.
    NewRound { folder: String, repeats: u8, seed: u64, placings: PathBuf },
    /// The next placing of a round.
    NextPlacing(Round),
}

/// What making came to.
#[derive(Default)]
pub(super) struct Ready {
    /// What is put before the student; none where nothing that was left could be used.
    pub(super) film: Option<Box<Prepared>>,
    /// The folder, and its cases that are still to come.
    pub(super) to_come: Option<(String, Vec<PathBuf>)>,
    /// The round as it stands with that film taken.
    pub(super) round: Option<Round>,
    /// What could not be used and was passed over, each with the reason.
    pub(super) passed_over: Vec<String>,
}

/// A film that is being made ready.
pub struct Making {
    receive: Receiver<Result<Ready, String>>,
    begun: Instant,
    /// Whether it is made, and not read.
    pub is_made: bool,
    /// Whether it is placed for a key; in a round there is none.
    pub has_key: bool,
    /// Whether it is the next one of the round that is going on.
    pub(super) continues_round: bool,
    /// How the open case stood when it was settled that it may be left.
    pub(super) given_up: Option<Stand>,
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
        given_up: Option<Stand>,
        ready: impl FnOnce() + Send + 'static,
    ) -> Self {
        let (send, receive) = channel();
        let is_made = matches!(wanted, Wanted::Made { .. });
        let has_key = matches!(wanted, Wanted::Made { .. } | Wanted::OfFolder { .. });
        let continues_round = matches!(wanted, Wanted::NextPlacing(_));
        std::thread::spawn(move || {
            // Nobody waits any more where it was given up.
            let _ = send.send(wanted.make(&with));
            ready();
        });
        Self { receive, begun: Instant::now(), is_made, has_key, continues_round, given_up }
    }

    /// How long it has been going on.
    pub fn lasts(&self) -> Duration {
        self.begun.elapsed()
    }

    /// What it came to; `None` while it goes on.
    pub(super) fn take(&self) -> Option<Result<Ready, String>> {
        match self.receive.try_recv() {
            Ok(made) => Some(made),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err("making the film was broken off".to_owned())),
        }
    }
}

impl Wanted {
    /// # Errors
    /// A sentence: nothing could be begun with.
    fn make(self, with: &With) -> Result<Ready, String> {
        match self {
            Self::Made { kind, difficulty, seed } => {
                let film = made(kind, difficulty, seed, with)?;
                Ok(Ready { film: Some(Box::new(film)), ..Ready::default() })
            }
            Self::OfFolder { folder, to_come, seed } => of_folder(folder, to_come, seed, with),
            Self::NewRound { folder, repeats, seed, placings } => {
                let films = films_of(&folder)?;
                Ok(next_placing(Round::shuffled(&films, repeats, seed, placings), with))
            }
            Self::NextPlacing(round) => Ok(next_placing(round, with)),
        }
    }
}

/// The next case of a folder that can be used.
fn of_folder(folder: String, mut to_come: Vec<PathBuf>, seed: u64, with: &With) -> Result<Ready, String> {
    let mut ready = Ready::default();
    let mut is_all = false;
    while ready.film.is_none() {
        if to_come.is_empty() {
            if is_all {
                break;
            }
            is_all = true;
            to_come = keys_of(&folder, &with.library)?;
            to_come.shuffle(&mut ChaCha8Rng::seed_from_u64(seed));
        }
        if let Some(file) = to_come.pop() {
            match of_key(&file, with) {
                Ok(film) => ready.film = Some(Box::new(film)),
                Err(why) => ready.passed_over.push(why),
            }
        }
    }
    Ok(Ready { to_come: Some((folder, to_come)), ..ready })
}

/// The next placing of a round whose film can be used.
fn next_placing(mut round: Round, with: &With) -> Ready {
    let mut passed_over = Vec::new();
    while let Some((case, of)) = round.next() {
        match placing(&case, &of, &round.folder, with) {
            Ok(film) => {
                let film = Some(Box::new(film));
                return Ready { film, round: Some(round), passed_over, to_come: None };
            }
            Err(why) => passed_over.push(why),
        }
    }
    Ready { round: Some(round), passed_over, ..Ready::default() }
}
