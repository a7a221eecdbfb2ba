//! How canals and sections lie: points that crowd, sections that are oblique, out of order, or of another root.

use super::axes::root_axis;
use super::cautions::section_name;
use super::construction::PlaceIndex;
use super::inputs::Inputs;
use super::places::RootPlaces;
use crate::case::Landmark;
use crate::caution::{Caution, CautionKind};
use crate::geometry::{Path, Plane, Position};

/// A section this far off the square to the canal, degrees.
const MOST_OBLIQUE_DEG: f64 = 10.0;
/// Canal points closer than this only add noise, mm.
const CLOSEST_CANAL_POINTS_MM: f64 = 1.5;

/// How a root runs: its canal, else straight between what is placed at its two ends.
fn course_of(root: &RootPlaces, at: &impl Fn(PlaceIndex) -> Option<Position<Plane>>) -> Option<Path<Plane>> {
    let first_of = |landmarks: &[Landmark]| {
        landmarks.iter().find_map(|landmark| root.landmarks.get(&landmark.id()).copied().and_then(at))
    };
    Path::through(root.canal.iter().filter_map(|place| at(*place))).or_else(|| {
        let coronal = first_of(&[Landmark::Orifice, Landmark::FillingTop, Landmark::PostHead])?;
        let apical = first_of(&[Landmark::Apex, Landmark::FillingTip, Landmark::PostTip])?;
        Path::through([coronal, apical])
    })
}

/// Canals whose points crowd, and sections that are oblique, out of order, or of another root.
pub(super) fn canals_and_sections(inputs: &Inputs<'_>, cautions: &mut Vec<Caution>) {
    let places = inputs.places;
    let at = |place: PlaceIndex| inputs.nominal.points.get(place).copied();
    for (index, root) in places.roots.iter().enumerate() {
        let canal: Vec<_> = root.canal.iter().filter_map(|place| at(*place)).collect();
        let closest = canal
            .windows(2)
            .filter_map(|pair| match pair {
                [one, next] => Some(next.way_from(*one).length()),
                _ => None,
            })
            .fold(f64::INFINITY, f64::min);
        if closest < CLOSEST_CANAL_POINTS_MM {
            let about = if places.has_several_roots() {
                format!("canal ({})", root.name.word())
            } else {
                "canal".to_owned()
            };
            cautions.push(
                Caution::about(CautionKind::CanalPointsClose, about)
                    .value(closest)
                    .limit(CLOSEST_CANAL_POINTS_MM),
            );
        }
        for (section, points) in root.sections.iter().enumerate() {
            let [Some(one), Some(inner), Some(next), Some(other)] = points.map(at) else { continue };
            let name = section_name(section, root.name);
            // Outer wall, canal, canal, outer wall: each further along than the one before.
            if let Some(direction) = other.way_from(one).direction() {
                let back = [(one, inner), (inner, next), (next, other)]
                    .map(|(from, to)| -to.way_from(from).along(direction))
                    .into_iter()
                    .fold(0.0, f64::max);
                if back > 0.0 {
                    cautions.push(Caution::about(CautionKind::ImpossibleOrder, name.clone()).value(back));
                }
            }
            let middle = one.middle(other);
            let apart = |root: &RootPlaces| {
                let foot = course_of(root, &at)?.nearest(middle)?;
                Some(middle.way_from(foot.place).length())
            };
            let others = places.roots.iter().enumerate().filter(|(other, _)| *other != index);
            let nearest = others.filter_map(|(_, root)| apart(root)).fold(f64::INFINITY, f64::min);
            if let Some(own) = apart(root).filter(|own| nearest < *own) {
                let caution = Caution::about(CautionKind::SectionElsewhere, name.clone());
                cautions.push(caution.value(own).limit(nearest));
            }
            let along = if let Some(path) = Path::through(canal.iter().copied()) {
                path.nearest(one.middle(other)).map(|foot| foot.direction)
            } else {
                root_axis(places, index).ok().and_then(|made| made.axis.direction(&at))
            };
            let Some(along) = along else { continue };
            let way = other.way_from(one);
            let oblique = way.along(along).abs().atan2(way.across(along).abs()).to_degrees();
            if oblique > MOST_OBLIQUE_DEG {
                cautions.push(
                    Caution::about(CautionKind::SectionOblique, name).value(oblique).limit(MOST_OBLIQUE_DEG),
                );
            }
        }
    }
}
