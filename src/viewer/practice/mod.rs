//! Practice: landmarks placed without seeing what comes of them, then held beside the truth; rounds of blinded repeats;
//! how a student comes along. What decides stands here and knows no egui; what draws stands in `drawn`.

mod begin;
mod compare;
mod curves;
pub(super) mod drawn;
mod folder;
mod making;
mod prepared;
mod resume;
mod round;
mod rounds;
mod store;
mod wishes;

pub use compare::Compared;
pub use curves::Curves;
pub use folder::OfRound;
pub use making::Making;
pub(super) use resume::not_compared_yet;
pub use round::{Placing, Round};
pub(super) use store::{films as films_of_practice, is_film as is_film_of_practice, is_practice};
pub use wishes::{Source, Wishes};

use super::work::Work;
use crate::practice::Key;
use std::path::PathBuf;
use std::sync::Arc;

/// What is asked for about practice.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// What is wished for from now on.
    Wish(Box<Wishes>),
    /// Begins to practise on a film as it is wished for.
    Begin,
    /// Begins a round of blinded repeats.
    BeginRound,
    /// Gives up the film that is being made.
    CancelMaking,
    /// Compares what was placed with the key; in a round, keeps it and goes on.
    Finish,
    /// The next film.
    Next,
    /// Ends the round before all is placed.
    EndRound,
    /// Shows the comparison, or the worksheet in its place.
    ShowComparison(bool),
    /// Puts the comparison on the clipboard, as text.
    CopyComparison,
    /// A line of the comparison is pointed at, or none any more.
    PointLine(Option<usize>),
    /// Which learning curve is looked at.
    PickCurve(usize),
}

/// A key, and what tells it from others.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownKey {
    /// The key.
    pub key: Key,
    /// SHA-256 of its text.
    pub sha256: String,
}

/// That the open case is placed for practice.
#[derive(Debug, Clone, Default)]
pub struct Practising {
    /// What it will be compared with; none in a round of repeats, which needs no truth, and none where it is gone.
    pub(super) key: Option<Arc<KnownKey>>,
    /// Which placing of a round it is.
    pub placing: Option<Placing>,
    /// What came of it, once it was compared.
    pub compared: Option<Arc<Compared>>,
    /// Whether the comparison is shown in the worksheet's place.
    pub shows_comparison: bool,
    /// The line of the comparison that is pointed at.
    pub pointed: Option<usize>,
}

impl Practising {
    pub(super) fn against(key: Arc<KnownKey>) -> Self {
        Self { key: Some(key), ..Self::default() }
    }

    /// Placed for a key that is gone.
    pub(super) fn without_its_key() -> Self {
        Self::default()
    }

    /// The same film once more, from nothing.
    pub(super) fn anew(self) -> Self {
        Self { compared: None, shows_comparison: false, pointed: None, ..self }
    }

    pub(super) fn of_round(placing: Placing) -> Self {
        Self { placing: Some(placing), ..Self::default() }
    }

    /// Whether what is placed can be compared, or kept in a round.
    pub const fn can_be_finished(&self) -> bool {
        self.compared.is_none() && (self.key.is_some() || self.placing.is_some())
    }
}

/// What the window keeps of practice from film to film.
#[derive(Debug, Default)]
pub struct PracticeDesk {
    /// The film that is being made ready.
    pub making: Option<Making>,
    /// Films with their truth still to come, the next one last; filled anew when it is empty.
    pub(super) queue: Vec<PathBuf>,
    /// The round that is going on.
    pub round: Option<Round>,
    /// How the student comes along, where that is looked at.
    pub curves: Option<Curves>,
    /// The seed of the next film, where it is not to be a fresh one.
    pub next_seed: Option<u64>,
}

impl Work {
    /// Whether measurements, verdicts and plan are not shown, because the case is placed for practice.
    pub fn hides_results(&self) -> bool {
        self.practice.as_ref().is_some_and(|practice| practice.compared.is_none())
    }

    /// Whether it is a placing of a round, which nothing may tell from others.
    pub fn is_of_round(&self) -> bool {
        self.practice.as_ref().is_some_and(|practice| practice.placing.is_some())
    }

    /// The comparison with the key, where it is shown.
    pub fn shown_comparison(&self) -> Option<(&Practising, &Arc<Compared>)> {
        let practice = self.practice.as_ref().filter(|practice| practice.shows_comparison)?;
        Some((practice, practice.compared.as_ref()?))
    }
}

/// A seed nobody knows before.
pub(super) fn fresh_seed() -> u64 {
    use std::hash::{BuildHasher as _, Hasher as _, RandomState};
    // Its keys come from the system's own randomness.
    RandomState::new().build_hasher().finish()
}
