//! A repeat: the same tooth on the same film once more, with nothing of what was placed before, so that a repeat is
//! a repeat.

use crate::agreement::SITTING_KEY;
use crate::calibration::Reference;
use crate::case::{CONSENSUS_KEY, Case, Landmarks};

/// A case that places everything anew. Film, tooth, label, the roots' names and the readings at the chair stay, and
/// who places it; of the landmarks nothing does. The references stay where `keeps_scale`: then all repeats share one
/// scale, and differ by the placing of landmarks alone. Else those that are placed go, and what is stated of receptor or
/// scan stays: nobody placed it.
pub fn again(case: &Case, keeps_scale: bool) -> Case {
    let mut again = case.clone();
    // What one places now is no longer what others agreed on.
    again.extra.remove(CONSENSUS_KEY);
    again.landmarks = Landmarks::default();
    for root in &mut again.roots {
        root.landmarks = Landmarks::default();
        root.canal.clear();
        root.sections.clear();
    }
    if !keeps_scale {
        again
            .calibration
            .references
            .retain(|reference| matches!(reference, Reference::Receptor(_) | Reference::Scan(_)));
    }
    // A sitting said in words has no next one.
    let sitting = match case.extra.get(SITTING_KEY) {
        None => Some(1),
        Some(sitting) => sitting.as_u64(),
    };
    match sitting.and_then(|sitting| sitting.checked_add(1)) {
        Some(next) => again.extra.insert(SITTING_KEY.to_owned(), next.into()),
        None => again.extra.remove(SITTING_KEY),
    };
    again
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_was_placed_stays_and_everything_else_does() {
        let case = crate::case::film_102();
        assert!(case.roots.iter().any(|root| !root.canal.is_empty() || !root.landmarks.marks.is_empty()));
        let repeat = again(&case, true);
        assert_eq!(repeat.landmarks, Landmarks::default());
        for (root, before) in repeat.roots.iter().zip(&case.roots) {
            assert!(root.landmarks.marks.is_empty() && root.canal.is_empty() && root.sections.is_empty());
            assert_eq!((root.name, root.post_here), (before.name, before.post_here));
        }
        assert_eq!(
            (&repeat.film, &repeat.tooth, &repeat.clinical),
            (&case.film, &case.tooth, &case.clinical)
        );
        assert_eq!(repeat.calibration, case.calibration);
        assert!(
            !case.calibration.references.is_empty() && again(&case, false).calibration.references.is_empty()
        );
    }

    /// The sample of a curved root has a ball on the film and the pitch of its receptor.
    #[test]
    fn what_the_films_file_states_stays_where_the_scale_is_placed_anew() {
        let text = include_str!("../../sample-images/curved-46.case.json");
        let case = crate::case::read_text(text).unwrap().case;
        let kinds = |case: &Case| -> Vec<_> {
            case.calibration.references.iter().map(crate::calibration::Reference::kind).collect()
        };
        assert_eq!(kinds(&case), ["sphere", "receptor"]);
        assert_eq!(kinds(&again(&case, false)), ["receptor"]);
    }

    #[test]
    fn a_consensus_placed_again_is_no_consensus() {
        let mut case = crate::case::film_102();
        case.extra.insert(CONSENSUS_KEY.to_owned(), "anna and ben".into());
        assert!(case.consensus().is_some());
        assert_eq!(again(&case, true).consensus(), None);
    }

    #[test]
    fn sittings_are_counted_on_and_words_are_not_guessed_at() {
        let mut case = crate::case::film_102();
        case.extra.remove(SITTING_KEY);
        let second = again(&case, true);
        assert_eq!(second.extra.get(SITTING_KEY), Some(&2.into()));
        assert_eq!(again(&second, true).extra.get(SITTING_KEY), Some(&3.into()));
        case.extra.insert(SITTING_KEY.to_owned(), "monday".into());
        assert_eq!(again(&case, true).extra.get(SITTING_KEY), None);
    }
}
