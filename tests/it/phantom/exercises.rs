//! Films to learn on: whatever is asked for can be made, its truth is a key, and a harder film is harder.

use crestgauge::calibration::{Between, Library, Reference};
use crestgauge::case::Fdi;
use crestgauge::film::{Bounds, Sha256, read_bytes};
use crestgauge::phantom::{Amount, Difficulty, EXERCISE_WIRE, Exercise, ToothKind, exercise};
use crestgauge::practice::Key;
use std::num::NonZeroUsize;

fn all(amount: Amount) -> Difficulty {
    Difficulty { noise: amount, angulation: amount, bend: amount, overlap: amount }
}

fn made(kind: ToothKind, difficulty: Difficulty, seed: u64) -> Exercise {
    let name = |digest: &str| format!("film-{digest}.png");
    exercise(kind, difficulty, seed, NonZeroUsize::MIN, name).expect("such a film can be made")
}

#[test]
fn every_kind_and_amount_gives_a_film_whose_truth_is_a_key() {
    for (at, (word, kind)) in ToothKind::ALL.iter().enumerate() {
        let (_, amount) = Amount::ALL[at % Amount::ALL.len()];
        let it = made(*kind, all(amount), 40 + at as u64);
        let film = &it.truth.film;
        assert_eq!(film.sha256, Some(Sha256::of(&it.film).to_string()), "{word}");
        let read = read_bytes(&it.film, &Bounds::default()).expect("it is a film");
        assert_eq!(film.width_px, Some(read.picture.width()), "{word}");
        let position = it.truth.tooth.fdi.map(Fdi::position).expect("it names its tooth");
        let is_kind = match kind {
            ToothKind::Any => true,
            ToothKind::Incisor => position < 3,
            ToothKind::Canine => position == 3,
            ToothKind::Premolar => position == 4 || position == 5,
            ToothKind::Molar => position > 5,
        };
        assert!(is_kind, "{word}: {position}");
        let key =
            Key::of(&it.truth, &Library::embedded().expect("it is embedded")).expect("its truth is a key");
        assert!(!key.is_consensus(), "{word}");
        // What the window says of the wire is what lies on the film.
        let wire = it.truth.calibration.references.iter().find_map(|reference| match reference {
            Reference::Instrument(wire) if wire.between == Some(Between::Ends) => wire.length_mm,
            _ => None,
        });
        assert_eq!(wire, Some(EXERCISE_WIRE.get()), "{word}");
    }
}

#[test]
fn a_seed_gives_the_same_bytes_again_and_another_seed_another_film() {
    let make = |seed| made(ToothKind::Premolar, Difficulty::default(), seed);
    assert_eq!(make(3), make(3));
    assert_ne!(make(3).film, make(4).film);
}

/// Noise on the film is what neighbouring pixels differ by.
#[test]
fn much_noise_is_more_than_little() {
    let rough = |noise| {
        let it = made(ToothKind::Canine, Difficulty { noise, ..all(Amount::Little) }, 11);
        let picture = read_bytes(&it.film, &Bounds::default()).expect("it is a film").picture;
        let pairs = picture.grey().windows(2).map(|pair| f64::from(pair[0].abs_diff(pair[1])));
        pairs.sum::<f64>()
    };
    assert!(rough(Amount::Much) > 1.3 * rough(Amount::Little));
}
