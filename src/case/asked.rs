//! Which landmarks a case can have, and what its film can show of each.

use super::document::{Case, Root, Stage};
use super::landmark::{Landmark, LandmarkId, Owner};
use super::marks::Mark;
use super::sight::Sight;
use super::tooth::{RootName, Side};

/// Every landmark of one point that this case can have, tooth first, then root by root, with what a film of its stage
/// can show of it.
pub fn sights(case: &Case) -> Vec<(LandmarkId, Option<RootName>, Sight)> {
    let stage = case.film.stage;
    let several = case.roots.len() > 1;
    let tooth = LandmarkId::points(Owner::Tooth)
        .filter(move |id| several || !matches!(id.landmark(), Landmark::Furcation | Landmark::FurcalCrest))
        .map(|id| (id, None));
    let roots =
        case.roots.iter().flat_map(|root| LandmarkId::points(Owner::Root).map(|id| (id, Some(root.name))));
    tooth
        .chain(roots)
        .map(|(id, root)| (id, root, in_its_root(case, id, root, id.landmark().sight(stage))))
        .collect()
}

/// Whether it is still to be said which root the post is in: there are several, the film is of a stage that can show a
/// post or its space, and none is marked. A post that is seen in a root says it too, and so does one ruled out of all; one
/// that is only planned does not.
pub fn asks_for_post_root(case: &Case) -> bool {
    let shows_post = case.film.stage.is_some_and(Stage::shows_post);
    let has_post = |root: &Root| root.post_here == Some(true) || root.holds_post();
    let ruled_out = |root: &Root| {
        let tip = root.landmarks.marks.get(&Landmark::PostTip.id());
        root.post_here == Some(false) || matches!(tip, Some(Mark::Absent { .. }))
    };
    shows_post
        && case.roots.len() > 1
        && !case.roots.iter().any(has_post)
        && !case.roots.iter().all(ruled_out)
}

/// What is asked of a root depends on whether the post is in it: of the others nothing of a post is wanted, and of none
/// before it is said which one it is. With several roots, each has its axis, and the post its depth, from the orifice of
/// its root. Where no margin is seen, the junction is asked for: without either the tooth has no axis, and next to nothing can be
/// measured.
fn in_its_root(case: &Case, id: LandmarkId, root: Option<RootName>, sight: Sight) -> Sight {
    let is_unseen = |id: LandmarkId| case.landmarks.marks.get(&id).is_some_and(|mark| mark.point().is_none());
    let has_no_margin = || Side::BOTH.into_iter().any(|side| is_unseen(Landmark::FinishLine.on(side)));
    let has_post = |name: RootName| case.roots.iter().any(|it| it.name == name && it.post_here == Some(true));
    let post_is_elsewhere = |name: RootName| !has_post(name) && case.roots.iter().any(|it| has_post(it.name));
    match (id.landmark(), root) {
        (Landmark::PostHead | Landmark::PostTip, Some(_)) if asks_for_post_root(case) => Sight::Possible,
        (Landmark::PostHead | Landmark::PostTip, Some(root)) if post_is_elsewhere(root) => Sight::Possible,
        (Landmark::Cej, None) if has_no_margin() => Sight::Asked,
        (Landmark::Orifice, Some(_)) if case.roots.len() > 1 => Sight::Asked,
        _ => sight,
    }
}
