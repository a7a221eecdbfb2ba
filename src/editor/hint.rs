//! Where a landmark is likely to be: from those already placed, from their order from the crown to the apex, and from
//! the side mesial lies on. A hint says where to look; it never knows where the landmark is, and no grey value enters.

use super::whereabouts::LandmarkAt;
use crate::case::{Case, FilmSide, Landmark, LandmarkId, Landmarks, Side};
use crate::geometry::{Direction, Displacement, Position, Square, Stored};

/// Where to look for a landmark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hint {
    /// Somewhere in an oval.
    Region {
        /// Its middle.
        middle: Position<Stored>,
        /// From the middle to its end, along the tooth.
        along: Displacement<Stored>,
        /// From the middle to its side, across the tooth.
        across: Displacement<Stored>,
    },
    /// From a place in a direction.
    Arrow {
        /// The place.
        from: Position<Stored>,
        /// The direction, as long as the arrow.
        way: Displacement<Stored>,
    },
}

impl Hint {
    /// Where to begin to look.
    pub fn middle(&self) -> Position<Stored> {
        match *self {
            Self::Region { middle, .. } => middle,
            Self::Arrow { from, way } => from.moved(way.times(0.6)),
        }
    }

    /// What must be in view to look for it: the ends of the region, and of an arrow the ground beside it, too.
    pub fn ground(&self) -> [Position<Stored>; 4] {
        match *self {
            Self::Region { middle, along, across } => {
                [along, along.times(-1.0), across, across.times(-1.0)].map(|way| middle.moved(way))
            }
            Self::Arrow { from, way } => {
                let (beyond, beside) = (way.times(1.3), Displacement::new(-way.y * 0.5, way.x * 0.5));
                let middle = from.moved(way.times(0.6));
                [from, from.moved(beyond), middle.moved(beside), middle.moved(beside.times(-1.0))]
            }
        }
    }
}

/// The order from the crown to the apex: landmarks of one level may follow each other either way.
const fn level(landmark: Landmark) -> u8 {
    match landmark {
        Landmark::CrownEdge => 0,
        Landmark::CoreTop | Landmark::StopReference | Landmark::PostHead => 1,
        Landmark::WallTop => 2,
        Landmark::CoreBase | Landmark::FinishLine | Landmark::Cej => 3,
        Landmark::Orifice | Landmark::BonePeak | Landmark::Furcation => 4,
        Landmark::Crest | Landmark::FurcalCrest => 5,
        Landmark::CurveStart => 6,
        Landmark::PostTip => 7,
        Landmark::FillingTop => 8,
        Landmark::FillingTip => 9,
        Landmark::Canal | Landmark::Sections | Landmark::Apex => 10,
    }
}

/// A placed landmark.
#[derive(Clone, Copy)]
struct Known {
    id: LandmarkId,
    at: Position<Square>,
}

/// The tooth's axis as far as the placed landmarks tell.
struct Axis {
    origin: Position<Square>,
    apical: Direction<Square>,
    length: f64,
}

/// Where a landmark is likely to be; `None` where too little is placed to say.
pub fn hint(case: &Case, wanted: LandmarkAt) -> Option<Hint> {
    let aspect = case.film.aspect();
    let known = known(case, wanted, aspect);
    let stored = |way: Displacement<Square>| Displacement::new(way.x, way.y / aspect);
    let place = |at: Position<Square>| Position::new(at.x, at.y / aspect);
    let Some(axis) = axis(&known) else {
        // Only the other side of the same landmark is there: it lies across from it.
        let partner = partner(&known, wanted.id)?;
        let towards = towards(case, wanted.id.side()?)?;
        let reach = 0.1 * f64::from(case.film.width_px?);
        return Some(Hint::Arrow { from: place(partner.at), way: Displacement::new(towards * reach, 0.0) });
    };
    let depth = |known: &Known| known.at.way_from(axis.origin).along(axis.apical);
    let aside = |known: &Known| known.at.way_from(axis.origin).across(axis.apical);
    let own = level(wanted.id.landmark());
    let at_level = |wanted: u8| mean(known.iter().filter(|it| level(it.id.landmark()) == wanted).map(depth));
    let coronal = (0..own).rev().find_map(at_level);
    let apical = (own + 1..=level(Landmark::Apex)).find_map(at_level);
    let across = side_of(&known, wanted.id, aside);
    let at = |depth: f64, across: f64| {
        axis.origin
            .moved(axis.apical.displacement().times(depth))
            .moved(axis.apical.quarter_turn().displacement().times(across))
    };
    let region = |depth: f64, half: f64| {
        let across = across?;
        let half_across = (across.abs() * 0.4).max(axis.length * 0.06);
        Some(Hint::Region {
            middle: place(at(depth, across)),
            along: stored(axis.apical.displacement().times(half)),
            across: stored(axis.apical.quarter_turn().displacement().times(half_across)),
        })
    };
    if let Some(partner) = partner(&known, wanted.id) {
        return region(depth(partner), axis.length * 0.12);
    }
    let arrow = |depth: f64, share: f64| Hint::Arrow {
        from: place(at(depth, across.unwrap_or(0.0))),
        way: stored(axis.apical.displacement().times(axis.length * share)),
    };
    match (coronal, apical) {
        (Some(coronal), Some(apical)) if apical > coronal => {
            region(f64::midpoint(coronal, apical), (apical - coronal) / 2.0)
        }
        (Some(_), Some(_)) | (None, None) => None,
        (Some(coronal), None) => Some(arrow(coronal, 0.3)),
        (None, Some(apical)) => Some(arrow(apical, -0.3)),
    }
}

/// What is placed of the tooth, and of the root the landmark belongs to: of all roots for one of the tooth.
fn known(case: &Case, wanted: LandmarkAt, aspect: f64) -> Vec<Known> {
    let of = |landmarks: &Landmarks| {
        let placed = landmarks.marks.iter().filter(|(id, _)| **id != wanted.id);
        placed
            .filter_map(|(id, mark)| Some(Known { id: *id, at: mark.point()?.squared(aspect) }))
            .collect::<Vec<_>>()
    };
    let roots = case.roots.iter().filter(|root| wanted.root.is_none_or(|wanted| root.name == wanted));
    of(&case.landmarks).into_iter().chain(roots.flat_map(|root| of(&root.landmarks))).collect()
}

/// From the middle of the most coronal level placed to that of the most apical one. Landmarks that lie beside the
/// root count only in pairs, because one alone is not in the middle.
fn axis(known: &[Known]) -> Option<Axis> {
    let in_the_middle = |wanted: u8| {
        let there = known.iter().filter(move |it| level(it.id.landmark()) == wanted);
        let central = there.clone().filter(|it| it.id.side().is_none()).map(|it| it.at);
        Position::mean(central).or_else(|| {
            there.clone().find_map(|one| {
                let other = partner(known, one.id)?;
                Some(one.at.middle(other.at))
            })
        })
    };
    let mut placed = (0..=level(Landmark::Apex)).filter_map(in_the_middle);
    let origin = placed.next()?;
    let way = placed.next_back()?.way_from(origin);
    (way.length() >= 1.0).then_some(())?;
    Some(Axis { origin, apical: way.direction()?, length: way.length() })
}

/// The same landmark on the other side.
fn partner(known: &[Known], id: LandmarkId) -> Option<&Known> {
    known
        .iter()
        .find(|it| it.id.landmark() == id.landmark() && it.id.side().is_some() && it.id.side() != id.side())
}

/// How far beside the axis the landmark is likely to be: 0 for one without a side; for one with a side as far as
/// those placed on that side, or as those of the other side mirrored; `None` where nothing tells.
fn side_of(known: &[Known], id: LandmarkId, aside: impl Fn(&Known) -> f64) -> Option<f64> {
    let Some(side) = id.side() else { return Some(0.0) };
    let on = |wanted: Side| mean(known.iter().filter(|it| it.id.side() == Some(wanted)).map(&aside));
    let other = if side == Side::Mesial { Side::Distal } else { Side::Mesial };
    on(side).or_else(|| on(other).map(|across| -across))
}

/// Whether a side lies at greater (1) or smaller (-1) x.
fn towards(case: &Case, side: Side) -> Option<f64> {
    let mesial = if case.tooth.mesial_is()? == FilmSide::Right { 1.0 } else { -1.0 };
    Some(if side == Side::Mesial { mesial } else { -mesial })
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Fdi, Mark, Point};

    fn empty() -> Case {
        let mut case = crate::case::film_102();
        case.landmarks.marks.clear();
        case.roots.truncate(1);
        case.roots[0].landmarks.marks.clear();
        case.film.width_px = Some(1000);
        case.film.pixel_aspect = None;
        case.tooth.mesial_is = None;
        case.tooth.fdi = Fdi::parse("11").ok();
        case
    }

    fn tooth(case: &mut Case, id: LandmarkId, x: f64, y: f64) {
        case.landmarks.marks.insert(id, Mark::Placed(Point::at(x, y)));
    }

    fn root(case: &mut Case, landmark: Landmark, x: f64, y: f64) {
        case.roots[0].landmarks.marks.insert(landmark.id(), Mark::Placed(Point::at(x, y)));
    }

    fn hint_for(case: &Case, id: LandmarkId) -> Option<Hint> {
        let of_root = matches!(id.landmark(), Landmark::PostTip | Landmark::Apex | Landmark::FillingTop);
        hint(case, LandmarkAt { root: of_root.then(|| case.roots[0].name), id })
    }

    #[test]
    fn an_empty_film_gives_no_hint() {
        let case = empty();
        for id in [Landmark::Apex.id(), Landmark::Crest.on(Side::Mesial), Landmark::CrownEdge.id()] {
            assert_eq!(hint_for(&case, id), None, "{id:?}");
        }
    }

    /// In quadrant 1 mesial is on the right, so distal is to the left, a tenth of the film away.
    #[test]
    fn the_other_side_lies_across() {
        let mut case = empty();
        tooth(&mut case, Landmark::WallTop.on(Side::Mesial), 600.0, 200.0);
        let expected = Hint::Arrow { from: Position::new(600.0, 200.0), way: Displacement::new(-100.0, 0.0) };
        assert_eq!(hint_for(&case, Landmark::WallTop.on(Side::Distal)), Some(expected));
        case.tooth.fdi = None;
        assert_eq!(hint_for(&case, Landmark::WallTop.on(Side::Distal)), None, "nobody knows where distal is");
    }

    /// The axis goes from (500, 200) straight down to (500, 1200), 1000 long; x towards y is a quarter turn, so
    /// "across" points to smaller x.
    #[test]
    fn a_landmark_lies_between_its_neighbours_on_its_side() {
        let mut case = empty();
        tooth(&mut case, Landmark::WallTop.on(Side::Mesial), 600.0, 200.0);
        tooth(&mut case, Landmark::WallTop.on(Side::Distal), 400.0, 200.0);
        root(&mut case, Landmark::Apex, 500.0, 1200.0);
        let Some(Hint::Region { middle, along, across }) = hint_for(&case, Landmark::PostTip.id()) else {
            panic!("a region")
        };
        assert_eq!(middle, Position::new(500.0, 700.0));
        assert_eq!(along, Displacement::new(0.0, 500.0));
        assert!((across.x.abs() - 60.0).abs() < 1e-9 && across.y.abs() < 1e-9, "{across:?}");
        let Some(Hint::Region { middle, .. }) = hint_for(&case, Landmark::Crest.on(Side::Mesial)) else {
            panic!("a region")
        };
        assert_eq!(middle, Position::new(600.0, 700.0));
        // Once its partner is placed, it is looked for at the partner's level.
        tooth(&mut case, Landmark::Crest.on(Side::Distal), 380.0, 400.0);
        let Some(Hint::Region { middle, along, .. }) = hint_for(&case, Landmark::Crest.on(Side::Mesial))
        else {
            panic!("a region")
        };
        assert_eq!(middle, Position::new(600.0, 400.0));
        assert_eq!(along, Displacement::new(0.0, 120.0));
    }

    /// The axis from (500, 200) to (500, 700) is 500 long; the apex lies beyond its end.
    #[test]
    fn what_lies_beyond_everything_placed_is_shown_by_an_arrow() {
        let mut case = empty();
        tooth(&mut case, Landmark::CrownEdge.id(), 500.0, 200.0);
        root(&mut case, Landmark::PostTip, 500.0, 700.0);
        let expected = Hint::Arrow { from: Position::new(500.0, 700.0), way: Displacement::new(0.0, 150.0) };
        assert_eq!(hint_for(&case, Landmark::Apex.id()), Some(expected));
    }
}
