//! The axes of tooth and root with their fallbacks, over the places of a case, or what they lack.

use super::construction::{Axis, PlaceIndex, Spot};
use super::places::Places;
use crate::case::{Landmark, LandmarkId, Side};
use std::collections::BTreeSet;

/// The landmarks a measurement lacks, each with its root; ordered as the landmark table, then by root.
pub(super) type Lacking = BTreeSet<(LandmarkId, Option<usize>)>;

/// How an axis came about.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct MadeAxis {
    /// The axis.
    pub(super) axis: Axis,
    /// In words, where it is not the axis of the definition but its fallback.
    pub(super) fallback: Option<String>,
}

/// The tooth's axis u, with its fallbacks; the same construction serves on the film in pixels.
pub(super) fn tooth_axis(places: &Places<'_>) -> Result<MadeAxis, Lacking> {
    let apices: Vec<PlaceIndex> =
        each_root(places).filter_map(|root| places.find(Landmark::Apex.id(), root)).collect();
    let middle = margin_pair(places);
    if let Some((one, other)) = middle
        && !apices.is_empty()
    {
        let apex = match apices.as_slice() {
            [only] => Spot::At(*only),
            _ => Spot::Mean(apices),
        };
        return Ok(MadeAxis { axis: Axis::Along(Spot::Middle(one, other), apex), fallback: None });
    }
    for (root, name) in each_root(places).zip(places.roots.iter().map(|root| root.name)) {
        let post = (places.find(Landmark::PostHead.id(), root), places.find(Landmark::PostTip.id(), root));
        if let (Some(head), Some(tip)) = post {
            let axis = Axis::Along(Spot::At(head), Spot::At(tip));
            return Ok(MadeAxis {
                axis,
                fallback: Some(format!("along the post of the {} root", name.word())),
            });
        }
    }
    let toward = Side::BOTH.into_iter().find_map(|side| places.find(Landmark::Crest.on(side), None));
    if let (Some(line), Some(toward)) = (middle, toward) {
        let axis = Axis::SquareTo { line, toward };
        return Ok(MadeAxis { axis, fallback: Some("square to the margin, towards the crest".to_owned()) });
    }
    let mut lacking = Lacking::new();
    if middle.is_none() {
        lacking.extend(lacking_margin(places));
    }
    lacking.extend(lacking_apices(places));
    Err(lacking)
}

pub(super) fn each_root(places: &Places<'_>) -> impl Iterator<Item = Option<usize>> + use<> {
    (0..places.roots.len()).map(Some)
}

/// The two points M lies between: the finish line's if both are placed, else the cemento-enamel junction's.
pub(super) fn margin_pair(places: &Places<'_>) -> Option<(PlaceIndex, PlaceIndex)> {
    places.pair(Landmark::FinishLine).or_else(|| places.pair(Landmark::Cej))
}

/// Every apex not placed; where no root is listed yet, the apex of the root to come.
pub(super) fn lacking_apices(places: &Places<'_>) -> Lacking {
    let apex = Landmark::Apex.id();
    if places.roots.is_empty() {
        return Lacking::from([(apex, None)]);
    }
    each_root(places).filter(|root| places.find(apex, *root).is_none()).map(|root| (apex, root)).collect()
}

/// What M lacks: its finish-line points, and the junction's where neither finish-line point is placed.
pub(super) fn lacking_margin(places: &Places<'_>) -> Lacking {
    let missing = |landmark: Landmark| {
        Side::BOTH.map(|side| landmark.on(side)).into_iter().filter(|id| places.find(*id, None).is_none())
    };
    let finish_line: Vec<_> = missing(Landmark::FinishLine).collect();
    let neither = finish_line.len() == 2;
    let junction = missing(Landmark::Cej).filter(|_| neither);
    finish_line.into_iter().chain(junction).map(|id| (id, None)).collect()
}

/// The axis w of a root, or u where it cannot be made.
pub(super) fn root_axis(places: &Places<'_>, root: usize) -> Result<MadeAxis, Lacking> {
    let apex = places.find(Landmark::Apex.id(), Some(root)).map(Spot::At);
    let middle = margin_pair(places).map(|(one, other)| Spot::Middle(one, other));
    let mut fallback = None;
    let start = if places.has_several_roots() {
        let orifice = places.find(Landmark::Orifice.id(), Some(root));
        let canal_start = places.roots.get(root).and_then(|root| root.canal.first().copied());
        orifice.or(canal_start).map(Spot::At).or_else(|| {
            fallback = Some("from the margin's middle, for want of the orifice".to_owned());
            middle
        })
    } else {
        middle
    };
    match (start, apex) {
        (Some(start), Some(apex)) => Ok(MadeAxis { axis: Axis::Along(start, apex), fallback }),
        _ => tooth_axis(places).map(|mut made| {
            if places.has_several_roots() && made.fallback.is_none() {
                made.fallback = Some("the tooth's axis in place of this root's".to_owned());
            }
            made
        }),
    }
}
