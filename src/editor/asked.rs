//! Which landmarks a case can have, what its film can show of each, and which is to be placed next.

use super::whereabouts::LandmarkAt;
use crate::case::{Case, Landmark, LandmarkId, Owner, Sight};

/// Every landmark of one point that this case can have, tooth first, then root by root, with what a film of its stage
/// can show of it.
pub fn landmarks(case: &Case) -> Vec<(LandmarkAt, Sight)> {
    let stage = case.film.stage;
    let several = case.roots.len() > 1;
    let tooth = LandmarkId::points(Owner::Tooth)
        .filter(move |id| several || !matches!(id.landmark(), Landmark::Furcation | Landmark::FurcalCrest))
        .map(|id| LandmarkAt { root: None, id });
    let roots = case
        .roots
        .iter()
        .flat_map(|root| LandmarkId::points(Owner::Root).map(|id| LandmarkAt { root: Some(root.name), id }));
    tooth.chain(roots).map(|at| (at, at.id.landmark().sight(stage))).collect()
}

/// The landmark to be placed next: the first that the film can show and nobody placed, after `after` where there is
/// one, else from the beginning; once none is left, the first that is to be planned.
pub fn next_to_place(case: &Case, after: Option<LandmarkAt>) -> Option<LandmarkAt> {
    let listed = landmarks(case);
    let start = after.and_then(|after| listed.iter().position(|(at, _)| *at == after)).map_or(0, |at| at + 1);
    let wanted = |sight: Sight| {
        listed
            .iter()
            .cycle()
            .skip(start)
            .take(listed.len())
            .find(|(at, it)| *it == sight && at.mark(case).is_none())
            .map(|(at, _)| *at)
    };
    wanted(Sight::Asked).or_else(|| wanted(Sight::ToPlan))
}
