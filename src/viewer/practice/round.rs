//! A round: each film of a set several times, shuffled, so that nobody knows which one comes again.

use super::folder::OfRound;
use crate::viewer::neighbours::CASE_ENDING;
use rand::SeedableRng as _;
use rand::seq::SliceRandom as _;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
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
    /// How many placings it has.
    pub of: usize,
    /// Where placings go.
    pub folder: PathBuf,
    /// The placings that were kept.
    pub kept: Vec<PathBuf>,
}

impl Round {
    /// Where a placing is kept.
    pub(in crate::viewer) fn file_of(&self, placing: &Placing) -> PathBuf {
        self.folder.join(format!("placing-{:03}{CASE_ENDING}", placing.number))
    }

    /// Every film once, then every film again and so on, each pass shuffled anew. Of one film, be it of two teeth, two
    /// placings never follow one another where that can be helped.
    pub fn shuffled(films: &[OfRound], repeats: u8, seed: u64, folder: PathBuf) -> Self {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let mut order: Vec<(&OfRound, u64)> = Vec::new();
        for sitting in 1..=u64::from(repeats) {
            let mut pass: Vec<&OfRound> = films.iter().collect();
            pass.shuffle(&mut chance);
            let before = order.last().map(|(of, _)| of.film.as_str());
            order.extend(apart(pass, before).into_iter().map(|of| (of, sitting)));
        }
        let of = order.len();
        let placing = |(at, (film, sitting)): (usize, (&OfRound, u64))| {
            (film.file.clone(), Placing { number: at + 1, of, sitting })
        };
        let mut to_come: Vec<_> = order.into_iter().enumerate().map(placing).collect();
        to_come.reverse();
        Self { to_come, of, folder, kept: Vec::new() }
    }

    /// Takes the next placing that is still to come.
    pub(super) fn next(&mut self) -> Option<(PathBuf, Placing)> {
        self.to_come.pop()
    }

    /// The placings still to come, in their order.
    pub fn order(&self) -> impl Iterator<Item = &(PathBuf, Placing)> {
        self.to_come.iter().rev()
    }
}

/// A shuffled pass with cases of one film moved apart, and the first away from the film before. A film that fills more than
/// half of what is left comes at once: later it could not be kept apart any more.
fn apart<'a>(mut pass: Vec<&'a OfRound>, before: Option<&'a str>) -> Vec<&'a OfRound> {
    let mut left: BTreeMap<&str, usize> = BTreeMap::new();
    for of in &pass {
        *left.entry(&of.film).or_default() += 1;
    }
    let (mut order, mut before) = (Vec::new(), before);
    while !pass.is_empty() {
        let crowded = left.iter().find(|(_, count)| 2 * **count > pass.len()).map(|(film, _)| *film);
        let crowded = crowded.filter(|film| before != Some(film));
        let is_next = |of: &&OfRound| match crowded {
            Some(film) => of.film == film,
            None => before != Some(of.film.as_str()),
        };
        let next = pass.remove(pass.iter().position(is_next).unwrap_or(0));
        if let Some(count) = left.get_mut(next.film.as_str()) {
            *count -= 1;
        }
        before = Some(&next.film);
        order.push(next);
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn films(count: usize) -> Vec<OfRound> {
        (0..count).map(|at| of(&at.to_string(), &at.to_string())).collect()
    }

    fn of(film: &str, file: &str) -> OfRound {
        OfRound { file: PathBuf::from(format!("{file}.case.json")), film: film.to_owned() }
    }

    /// Two teeth on one film: whoever placed the first knows the film of the second.
    #[test]
    fn two_cases_of_one_film_never_follow_one_another() {
        let films = [of("a", "a-11"), of("a", "a-21"), of("b", "b-11"), of("c", "c-46")];
        let film = |file: &PathBuf| file.to_string_lossy().chars().next();
        for seed in 0..200 {
            let round = Round::shuffled(&films, 3, seed, PathBuf::new());
            let order: Vec<_> = round.order().map(|(file, _)| film(file)).collect();
            assert_eq!(order.len(), 12);
            assert!(order.windows(2).all(|pair| pair[0] != pair[1]), "seed {seed}: {order:?}");
        }
        // Where it cannot be helped, every case comes all the same.
        let round = Round::shuffled(&films[..2], 2, 1, PathBuf::new());
        assert_eq!(round.order().count(), 4);
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
