//! What the criteria say of a way.

use super::tooth::Tooth;
use super::way::After;
use crate::case::{Site, Strength, Verdict};
use crate::measure::FirstOrder;
use crate::plan::rows::WayVerdict;
use crate::plan::rule::{above_zero, sides};
use crate::verdict::{Bound, Criterion, decide_all};

impl Tooth<'_> {
    pub(super) fn verdicts(
        &self,
        after: &[After],
        crown_and_root: Option<&[FirstOrder; 2]>,
        core: Option<&FirstOrder>,
    ) -> Vec<WayVerdict> {
        let mut verdicts = Vec::new();
        for criterion in self.criteria.list.iter().filter(|it| it.strength != Strength::Information) {
            let id = criterion.rows.first().map_or("", |row| row.id);
            let margins = |of: &dyn Fn(&After) -> Option<FirstOrder>, sites: &[Site]| -> Vec<Place> {
                after
                    .iter()
                    .filter(|it| sites.contains(&it.row.site))
                    .map(|it| (Some(it.row.site), margins_of(criterion, of(it).as_ref())))
                    .collect()
            };
            let film = [Site::Mesial, Site::Distal];
            let quotient = |above: Option<&FirstOrder>, under: Option<&FirstOrder>| -> Vec<Place> {
                let margins = above.zip(under).and_then(|(above, under)| {
                    let all = sides(&criterion.bound).into_iter().map(|side| {
                        let margin = above.minus(&under.times(side.bound)).times(side.sign);
                        above_zero(margin.estimate(), side.strictly)
                    });
                    all.reduce(f64::min)
                });
                vec![(None, margins)]
            };
            let places = match id {
                _ if matches!(criterion.bound, Bound::SitesAtLeast { .. } | Bound::Classes(_)) => continue,
                "ferrule_height" => margins(&|it| it.ferrule.clone(), &Site::ALL),
                "margin_to_crest" => margins(&|it| it.margin_to_crest.clone(), &Site::ALL),
                "tip_beyond_crest" if self.post_is_there => margins(&|it| it.tip_beyond_crest.clone(), &film),
                "crown_to_root" => quotient(crown_and_root.map(|it| &it[0]), crown_and_root.map(|it| &it[1])),
                "post_to_core" if self.post_is_there => quotient(self.post_depth.as_ref(), core),
                _ => continue,
            };
            verdicts.push(verdict_of(criterion, &places));
        }
        verdicts
    }
}

/// Whether a post can be planned after a way was gone; `None` where nothing excludes it, and at no depth every
/// requirement can be judged at all its places.
pub(super) fn post_fits(fits: Option<bool>) -> WayVerdict {
    WayVerdict {
        criterion: "post_fits".to_owned(),
        title: "a post that satisfies every requirement".to_owned(),
        strength: Strength::Requirement,
        verdict: match fits {
            Some(true) => Verdict::Meets,
            Some(false) => Verdict::FallsShort,
            None => Verdict::Undecided,
        },
        probability: None,
        worst: None,
        not_known: Vec::new(),
    }
}

/// A place with the probability that it satisfies the bound.
type Place = (Option<Site>, Option<f64>);

fn margins_of(criterion: &Criterion, quantity: Option<&FirstOrder>) -> Option<f64> {
    let quantity = quantity?;
    sides(&criterion.bound)
        .into_iter()
        .map(|side| {
            let margin = quantity.clone().shifted(-side.bound).times(side.sign);
            above_zero(margin.estimate(), side.strictly)
        })
        .reduce(f64::min)
}

fn verdict_of(criterion: &Criterion, places: &[Place]) -> WayVerdict {
    let decision = decide_all(&places.iter().map(|(_, probability)| *probability).collect::<Vec<_>>());
    let worst = places
        .iter()
        .filter_map(|(site, probability)| Some((*site, (*probability)?)))
        .min_by(|(_, one), (_, other)| one.total_cmp(other));
    let word = |site: Option<Site>| site.map(|site| site.word().to_owned());
    WayVerdict {
        criterion: criterion.id.clone(),
        title: criterion.title.clone(),
        strength: criterion.strength,
        verdict: decision.verdict,
        probability: worst.map(|(_, probability)| probability),
        worst: worst.and_then(|(site, _)| word(site)),
        not_known: places
            .iter()
            .filter(|(_, probability)| probability.is_none())
            .filter_map(|(site, _)| word(*site))
            .collect(),
    }
}

/// What the requirements together say of a way.
pub(super) fn overall(verdicts: &[WayVerdict]) -> Verdict {
    let required = || verdicts.iter().filter(|it| it.strength == Strength::Requirement);
    if required().any(|it| it.verdict == Verdict::FallsShort) {
        Verdict::FallsShort
    } else if required().count() > 0 && required().all(|it| it.verdict == Verdict::Meets) {
        Verdict::Meets
    } else {
        Verdict::Undecided
    }
}
