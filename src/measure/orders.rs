//! Landmarks that lie in an order no tooth has, and a tooth that lies on the film the other way up than it is mounted.

use super::axes::tooth_axis;
use super::construction::PlaceIndex;
use super::inputs::Inputs;
use super::places::Places;
use crate::case::{Landmark, LandmarkId, Side};
use crate::caution::{Caution, CautionKind};

/// Pairs of the tooth's landmarks of which the first never lies apical of the second. Pairs that a measurement runs
/// between, and that it says cannot be negative, are not repeated here.
const NEVER_APICAL: [(Landmark, Landmark); 3] = [
    // A crown covers its core.
    (Landmark::CrownEdge, Landmark::CoreTop),
    // A wall that ends below the bone is no wall above a margin.
    (Landmark::WallTop, Landmark::Crest),
    (Landmark::Furcation, Landmark::FurcalCrest),
];

pub(super) fn orders(places: &Places<'_>, inputs: &Inputs<'_>, cautions: &mut Vec<Caution>) {
    let at = |place: PlaceIndex| inputs.nominal.points.get(place).copied();
    let Some(apically) = tooth_axis(places).ok().and_then(|made| made.axis.direction(&at)) else { return };
    for (coronal, apical) in NEVER_APICAL.into_iter().flat_map(pairs) {
        let find = |id| places.find(id, None).and_then(at);
        let (Some(one), Some(other)) = (find(coronal), find(apical)) else { continue };
        let beyond = one.way_from(other).along(apically);
        if beyond > 0.0 {
            let mut caution = Caution::about(CautionKind::ImpossibleOrder, coronal.key()).value(beyond);
            caution.about.push(apical.key().to_owned());
            cautions.push(caution);
        }
    }
}

/// Side by side where both landmarks have sides.
fn pairs((coronal, apical): (Landmark, Landmark)) -> Vec<(LandmarkId, LandmarkId)> {
    if coronal.declaration().sided {
        Side::BOTH.map(|side| (coronal.on(side), apical.on(side))).to_vec()
    } else {
        vec![(coronal.id(), apical.id())]
    }
}

/// Films are mounted with the roots of upper teeth up and those of lower ones down. Where a tooth lies the other way
/// and nobody has said which side is mesial, the quadrant's side may be the wrong one.
pub(super) fn turned(places: &Places<'_>, cautions: &mut Vec<Caution>) {
    let tooth = &places.case().tooth;
    let (Some(fdi), None) = (tooth.fdi, tooth.mesial_is) else { return };
    let at = |place: PlaceIndex| places.points.get(place).map(|place| place.position);
    let Some(apically) = tooth_axis(places).ok().and_then(|made| made.axis.direction(&at)) else { return };
    let way = apically.displacement();
    let lies_down = way.y > 0.0;
    // A film lying on its side says nothing of its mounting.
    if way.y.abs() > way.x.abs() && lies_down == fdi.is_upper() {
        let lies =
            if lies_down { "an upper tooth with its roots down" } else { "a lower tooth with its roots up" };
        cautions.push(Caution::about(CautionKind::FilmTurned, "tooth/mesial_is").detail(lies));
    }
}
