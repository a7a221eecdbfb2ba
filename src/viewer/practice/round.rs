//! A round: each film of a set several times, shuffled, so that nobody knows which one comes again.

use crate::viewer::neighbours::CASE_ENDING;
use rand::SeedableRng as _;
use rand::seq::SliceRandom as _;
use rand_chacha::ChaCha8Rng;
use std::path::PathBuf;

/// One placing of a round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placing {
    /// Which of the round, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
    /// Which sitting on its film, from 1.
    pub sitting: u64,
}

/// A round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// What is still to come, the next one last.
    pub(super) to_come: Vec<(PathBuf, Placing)>,
    /// Where placings go.
    pub folder: PathBuf,
    /// The placings that were kept.
    pub kept: Vec<PathBuf>,
}

impl Round {
    /// Where a placing is kept.
    pub(super) fn file_of(&self, placing: &Placing) -> PathBuf {
        self.folder.join(format!("placing-{:03}{CASE_ENDING}", placing.number))
    }

    /// Every film once, then every film again and so on, each pass shuffled anew; of one film, two placings never follow
    /// one another where there is another film.
    pub fn shuffled(films: &[PathBuf], repeats: u8, seed: u64, folder: PathBuf) -> Self {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let mut order: Vec<(PathBuf, u64)> = Vec::new();
        for sitting in 1..=u64::from(repeats) {
            let mut pass = films.to_vec();
            pass.shuffle(&mut chance);
            if pass.len() > 1 && pass.first() == order.last().map(|(film, _)| film) {
                pass.rotate_left(1);
            }
            order.extend(pass.into_iter().map(|film| (film, sitting)));
        }
        let of = order.len();
        let placing =
            |(at, (film, sitting)): (usize, (PathBuf, u64))| (film, Placing { number: at + 1, of, sitting });
        let mut to_come: Vec<_> = order.into_iter().enumerate().map(placing).collect();
        to_come.reverse();
        Self { to_come, folder, kept: Vec::new() }
    }

    /// The placings still to come, in their order.
    pub fn order(&self) -> impl Iterator<Item = &(PathBuf, Placing)> {
        self.to_come.iter().rev()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn films(count: usize) -> Vec<PathBuf> {
        (0..count).map(|at| PathBuf::from(format!("{at}.case.json"))).collect()
    }

    #[test]
    fn each_film_comes_as_often_and_never_twice_in_a_row() {
        for seed in 0..200 {
            let round = Round::shuffled(&films(3), 4, seed, PathBuf::new());
            let order: Vec<_> = round.order().collect();
            assert_eq!(order.len(), 12);
            let mut sittings: BTreeMap<_, Vec<u64>> = BTreeMap::new();
            for (film, placing) in &order {
                sittings.entry(film.clone()).or_default().push(placing.sitting);
            }
            assert!(sittings.values().all(|it| *it == [1, 2, 3, 4]), "{sittings:?}");
            assert!(order.windows(2).all(|pair| pair[0].0 != pair[1].0), "seed {seed}");
            assert!(order.iter().enumerate().all(|(at, (_, it))| it.number == at + 1 && it.of == 12));
        }
    }

    #[test]
    fn the_order_is_the_seeds() {
        let order = |seed| Round::shuffled(&films(6), 2, seed, PathBuf::new());
        assert_eq!(order(1), order(1));
        assert_ne!(order(1), order(2));
    }
}
