//! What a plan would need and does not have.

use super::rows::Need;
use crate::case::{Case, Lack, Landmark, Mark, Owner, Side, Why};
use crate::measure::Missing;

/// That a landmark is missing.
pub(super) fn landmark(case: &Case, landmark: Landmark, root: usize) -> Missing {
    let owner = landmark.declaration().owner;
    let root = case.roots.get(root).filter(|_| owner == Owner::Root);
    let marks = root.map_or(&case.landmarks.marks, |root| &root.landmarks.marks);
    let why = why(marks.get(&landmark.id()));
    Missing::Landmarks(vec![Lack {
        landmark: landmark.id().key().to_owned(),
        root: root.map(|root| root.name.word().to_owned()),
        why,
    }])
}

/// That neither apex nor filling says where the root ends.
pub(super) fn apex(case: &Case, root: usize) -> Missing {
    landmark(case, Landmark::Apex, root)
}

/// Every landmark a post's depth rests on and that is not placed.
pub(super) fn for_depth(needs: &mut Vec<Need>, case: &Case, root: Option<usize>) {
    const POST_DEPTH: &str = "post depth";
    let of_tooth = [
        Landmark::StopReference.id(),
        Landmark::CoreBase.id(),
        Landmark::FinishLine.on(Side::Mesial),
        Landmark::FinishLine.on(Side::Distal),
        Landmark::Crest.on(Side::Mesial),
        Landmark::Crest.on(Side::Distal),
    ];
    let of_root = [Landmark::Orifice, Landmark::FillingTop, Landmark::FillingTip, Landmark::Apex];
    for id in of_tooth.into_iter().filter(|id| case.landmarks.point(*id).is_none()) {
        let why = why(case.landmarks.marks.get(&id));
        let lack = Lack { landmark: id.key().to_owned(), root: None, why };
        lacking(needs, &[Missing::Landmarks(vec![lack])], POST_DEPTH);
    }
    let Some((index, root)) = root.and_then(|index| Some((index, case.roots.get(index)?))) else {
        other(needs, "a root, with orifice, canal, root filling and apex", POST_DEPTH);
        return;
    };
    for landmark_of in of_root.into_iter().filter(|it| root.landmarks.point(it.id()).is_none()) {
        lacking(needs, &[landmark(case, landmark_of, index)], POST_DEPTH);
    }
}

fn why(mark: Option<&Mark>) -> Why {
    match mark {
        Some(Mark::Hidden { .. }) => Why::Hidden,
        Some(Mark::Absent { .. }) => Why::Absent,
        Some(Mark::Placed(_)) | None => Why::NotPlaced,
    }
}

/// Adds what is missing to the list, each thing once with everything it is wanted for.
pub(super) fn lacking(needs: &mut Vec<Need>, missing: &[Missing], wanted_for: &str) {
    for missing in missing {
        match missing {
            Missing::Landmarks(lacks) => {
                for lack in lacks {
                    let words = lack.words();
                    add(
                        needs,
                        Need { words, landmark: Some(lack.clone()), reading: None, wanted_for: vec![] },
                        wanted_for,
                    );
                }
            }
            Missing::Reason(reason) => {
                let words = reason.words().to_owned();
                add(needs, Need { words, landmark: None, reading: None, wanted_for: vec![] }, wanted_for);
            }
        }
    }
}

/// What is missing, in words.
pub(super) fn words(missing: &Missing) -> String {
    match missing {
        Missing::Landmarks(lacks) => crate::wording::list(&lacks.iter().map(Lack::words).collect::<Vec<_>>()),
        Missing::Reason(reason) => reason.words().to_owned(),
    }
}

/// Adds a reading at the chair to the list.
pub(super) fn reading(needs: &mut Vec<Need>, key: &str, words: &str, wanted_for: &str) {
    let need =
        Need { words: words.to_owned(), landmark: None, reading: Some(key.to_owned()), wanted_for: vec![] };
    add(needs, need, wanted_for);
}

/// Adds a section of a root near the planned tip to the list.
pub(super) fn section_at_tip(needs: &mut Vec<Need>, case: &Case, root: Option<usize>, wanted_for: &str) {
    let lack = root.and_then(|root| case.roots.get(root)).map(|root| Lack {
        landmark: Landmark::Sections.id().key().to_owned(),
        root: Some(root.name.word().to_owned()),
        why: Why::NotPlaced,
    });
    let words = "a section within 1 mm of the planned tip".to_owned();
    add(needs, Need { words, landmark: lack, reading: None, wanted_for: vec![] }, wanted_for);
}

/// Adds something else to the list.
pub(super) fn other(needs: &mut Vec<Need>, words: &str, wanted_for: &str) {
    let need = Need { words: words.to_owned(), landmark: None, reading: None, wanted_for: vec![] };
    add(needs, need, wanted_for);
}

fn add(needs: &mut Vec<Need>, need: Need, wanted_for: &str) {
    let same = |known: &&mut Need| {
        known.words == need.words && known.landmark == need.landmark && known.reading == need.reading
    };
    let wanted_for = wanted_for.to_owned();
    match needs.iter_mut().find(same) {
        Some(known) if known.wanted_for.contains(&wanted_for) => {}
        Some(known) => known.wanted_for.push(wanted_for),
        None => needs.push(Need { wanted_for: vec![wanted_for], ..need }),
    }
}

/// Puts the needs of one list into another.
pub(super) fn merge(needs: &mut Vec<Need>, more: &[Need]) {
    for need in more {
        for wanted_for in &need.wanted_for {
            add(needs, need.clone(), wanted_for);
        }
    }
}
