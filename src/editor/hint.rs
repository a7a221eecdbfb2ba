//! Where a landmark is likely to be: from those already placed. A hint says where to look; it never knows where the
//! landmark is, and no grey value enters. Where too little is placed to be right there is none: looking in the wrong
//! place is worse than looking at the whole tooth.

use super::whereabouts::LandmarkAt;
use crate::case::{Case, Landmark, LandmarkId, Landmarks, Root, Side};
use crate::geometry::{Displacement, Position, Square, Stored};

/// How far a landmark may lie along the tooth from its partner's level, in the distances below.
const LEVELS_APART: f64 = 0.9;
/// How far to either side of where it is expected, in distances of that from the tooth's middle: just not as far as that.
const BESIDE_MIRRORED: f64 = 0.9;
/// Half the width of a region of a root, in lengths of what it is reckoned from: roots bend.
const ROOT_ASIDE: f64 = 0.2;
/// How far a landmark may lie beyond the neighbours it is looked for between, in distances of the two.
const BEYOND_NEIGHBOURS: f64 = 0.08;
/// How far beyond a post its filling may begin, in lengths of that post below the neck.
const BELOW_POST: f64 = 0.35;
/// How far beyond the filling a root may end, in lengths of the root from neck to filling.
const BELOW_FILLING: f64 = 0.3;

/// Where to look for a landmark: a region as wide as what is known of it makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hint {
    /// Its middle.
    pub middle: Position<Stored>,
    /// From the middle to its end, along the tooth.
    pub along: Displacement<Stored>,
    /// From the middle to its side, across the tooth.
    pub across: Displacement<Stored>,
}

impl Hint {
    /// What must be in view to look for it: the ends of the region.
    pub fn ground(&self) -> [Position<Stored>; 4] {
        let Self { middle, along, across } = *self;
        [along, along.times(-1.0), across, across.times(-1.0)].map(|way| middle.moved(way))
    }
}

/// A region on square pixels.
struct Region {
    middle: Position<Square>,
    along: Displacement<Square>,
    across: Displacement<Square>,
}

/// Where a landmark is likely to be; `None` where too little is placed to say.
pub fn hint(case: &Case, wanted: LandmarkAt) -> Option<Hint> {
    let placed = Placed { case, but: wanted, aspect: case.film.aspect() };
    let region = match (wanted.id.side(), wanted.root) {
        (Some(side), _) => placed.across_from_its_partner(side),
        (None, Some(_)) => placed.along_its_root(),
        (None, None) => None,
    }?;
    let stored = |way: Displacement<Square>| Displacement::new(way.x, way.y / placed.aspect);
    Some(Hint {
        middle: Position::new(region.middle.x, region.middle.y / placed.aspect),
        along: stored(region.along),
        across: stored(region.across),
    })
}

/// What is placed of a case, but for the landmark that is looked for.
struct Placed<'a> {
    case: &'a Case,
    but: LandmarkAt,
    aspect: f64,
}

impl Placed<'_> {
    fn at(&self, owner: Option<&Root>, id: LandmarkId) -> Option<Position<Square>> {
        let at = LandmarkAt { root: owner.map(|root| root.name), id };
        let landmarks: &Landmarks = owner.map_or(&self.case.landmarks, |root| &root.landmarks);
        let point = landmarks.marks.get(&id)?.point()?;
        (at != self.but && !point.is_planned()).then(|| point.squared(self.aspect))
    }

    /// Landmarks of the tooth that are placed on both sides, mesial first.
    fn pairs(&self, of: &[Landmark]) -> Vec<[Position<Square>; 2]> {
        let both = |landmark: &Landmark| {
            let [mesial, distal] = Side::BOTH.map(|side| self.at(None, landmark.on(side)));
            Some([mesial?, distal?])
        };
        of.iter().filter_map(both).collect()
    }

    /// Across the tooth from the same landmark on the other side, once another pair tells where the middle of the
    /// tooth lies and which way is across. Walls do not tell: they are broken off at any height,
    /// so that they are not looked for like this either.
    fn across_from_its_partner(&self, side: Side) -> Option<Region> {
        let other = if side == Side::Mesial { Side::Distal } else { Side::Mesial };
        let landmark = Some(self.but.id.landmark()).filter(|it| *it != Landmark::WallTop)?;
        let partner = self.at(None, landmark.on(other))?;
        let pairs = self.pairs(&[Landmark::FinishLine, Landmark::Cej, Landmark::Crest]);
        let middle = Position::mean(pairs.iter().map(|[mesial, distal]| mesial.middle(*distal)))?;
        let distalwards = pairs.iter().fold(Displacement::new(0.0, 0.0), |sum, [mesial, distal]| {
            let way = distal.way_from(*mesial);
            Displacement::new(sum.x + way.x, sum.y + way.y)
        });
        let towards = distalwards.times(if side == Side::Distal { 1.0 } else { -1.0 }).direction()?;
        let partner = partner.way_from(middle);
        let aside = -partner.along(towards);
        // A partner nearly in the middle, or beyond it, tells of no side.
        let half_of_a_pair = distalwards.length() / (2.0 * f64::from(u32::try_from(pairs.len()).ok()?));
        (aside > 0.5 * half_of_a_pair).then_some(())?;
        let aside = aside.max(half_of_a_pair);
        let square_to_it = towards.quarter_turn();
        Some(Region {
            middle: middle
                .moved(towards.displacement().times(aside))
                .moved(square_to_it.displacement().times(partner.across(towards))),
            along: square_to_it.displacement().times(aside * LEVELS_APART),
            across: towards.displacement().times(aside * BESIDE_MIRRORED),
        })
    }

    /// Along the root between or beyond landmarks in its middle.
    fn along_its_root(&self) -> Option<Region> {
        let root = self.case.roots.iter().find(|root| Some(root.name) == self.but.root)?;
        let of_root = |landmark: Landmark| self.at(Some(root), landmark.id());
        // Only a single root has its entrance in the middle of the tooth.
        let neck = || {
            let pairs = self.pairs(&[Landmark::WallTop, Landmark::FinishLine, Landmark::Cej]);
            Position::mean(pairs.iter().map(|[mesial, distal]| mesial.middle(*distal)))
                .filter(|_| self.case.roots.len() == 1)
        };
        let entrance = of_root(Landmark::Orifice).or_else(neck);
        let (post, tip) = (of_root(Landmark::PostTip), of_root(Landmark::FillingTip));
        let (top, apex) = (of_root(Landmark::FillingTop), of_root(Landmark::Apex));
        match self.but.id.landmark() {
            Landmark::PostTip => between(entrance?, tip.or(apex)?),
            Landmark::FillingTop => match (post, tip.or(apex)) {
                (Some(post), None) => beyond(entrance?, post, BELOW_POST),
                (post, end) => between(post.or(entrance)?, end?),
            },
            Landmark::FillingTip => between(top.or(post).or(entrance)?, apex?),
            Landmark::Apex => beyond(entrance.or(post).or(top)?, tip?, BELOW_FILLING),
            _ => None,
        }
    }
}

/// From one place to another, and a little beyond either.
fn between(one: Position<Square>, other: Position<Square>) -> Option<Region> {
    let way = other.way_from(one);
    let across = way.direction()?.quarter_turn().displacement().times(way.length() * ROOT_ASIDE);
    Some(Region { middle: one.middle(other), along: way.times(0.5 + BEYOND_NEIGHBOURS), across })
}

/// From the second place on, in the direction from the first, so many times the distance of the two.
fn beyond(one: Position<Square>, other: Position<Square>, share: f64) -> Option<Region> {
    let way = other.way_from(one);
    let across = way.direction()?.quarter_turn().displacement().times(way.length() * ROOT_ASIDE);
    let half = f64::midpoint(share, BEYOND_NEIGHBOURS);
    Some(Region { middle: other.moved(way.times(share - half)), along: way.times(half), across })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Fdi, Mark, Point, Sight};
    use crate::editor::{landmarks, next_to_place};

    /// Phantom teeth whose landmarks are their truth, made by the phantom and not by what is tested here.
    const SAMPLES: [&str; 11] = [
        include_str!("../../sample-images/bone-loss-36.case.json"),
        include_str!("../../sample-images/curved-46.case.json"),
        include_str!("../../sample-images/foreshortened-13.case.json"),
        include_str!("../../sample-images/magnified-12.case.json"),
        include_str!("../../sample-images/scanned-22.case.json"),
        include_str!("../../sample-images/seal-2-mm-35.case.json"),
        include_str!("../../sample-images/short-ferrule-45.case.json"),
        include_str!("../../sample-images/short-wall-21.case.json"),
        include_str!("../../sample-images/sound-21.case.json"),
        include_str!("../../sample-images/thin-wall-25.case.json"),
        include_str!("../../sample-images/tip-at-crest-11.case.json"),
    ];

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

    fn mark(case: &mut Case, at: LandmarkAt, mark: Mark) {
        let marks = match at.root {
            None => &mut case.landmarks.marks,
            Some(name) => &mut case.roots.iter_mut().find(|it| it.name == name).unwrap().landmarks.marks,
        };
        marks.insert(at.id, mark);
    }

    /// Both components of the way from the middle in lengths of the region's own.
    fn within(hint: &Hint, x: f64, y: f64) -> [f64; 2] {
        let way = Position::<Stored>::new(x, y).way_from(hint.middle);
        [hint.along, hint.across].map(|half| way.dot(half) / half.dot(half))
    }

    fn bare(full: &Case) -> Case {
        let mut case = full.clone();
        case.landmarks.marks.clear();
        for root in &mut case.roots {
            root.landmarks.marks.clear();
        }
        case
    }

    /// As somebody places them who goes from one to the next. Between them the samples are of
    /// both jaws and both sides.
    #[test]
    fn on_every_sample_each_band_holds_the_truth_and_keeps_to_its_side() {
        let mut bands = 0;
        for text in SAMPLES {
            let full = crate::case::read_text(text).unwrap().case;
            let mut case = bare(&full);
            let name = full.film.file.clone().unwrap_or_default();
            let mut after = None;
            while let Some(at) = next_to_place(&case, after) {
                let truth = at.mark(&full).cloned().unwrap_or_else(|| Mark::Absent {
                    absent: "not on this film".to_owned(),
                    extra: crate::calibration::Extra::new(),
                });
                if let (Some(hint), Some(point)) = (hint(&case, at), truth.point()) {
                    bands += 1;
                    let [along, across] = within(&hint, point.x, point.y);
                    let words = at.words();
                    assert!(along.abs() <= 1.0 && across.abs() <= 1.0, "{name}, {words}: {along} {across}");
                    if let Some(side) = at.id.side() {
                        let crests = Side::BOTH.map(|side| {
                            let crest = LandmarkAt { root: None, id: Landmark::Crest.on(side) };
                            crest.mark(&full).and_then(Mark::point).unwrap().x
                        });
                        let middle = f64::midpoint(crests[0], crests[1]);
                        let distal_is = (crests[1] - crests[0]).signum();
                        let sign = if side == Side::Distal { distal_is } else { -distal_is };
                        assert!((hint.middle.x - middle) * sign > 0.0, "{name}, {words}: wrong side");
                    }
                }
                mark(&mut case, at, truth);
                after = Some(at);
            }
        }
        assert!(bands >= 20, "only {bands} bands");
    }

    /// Whatever else is there already: each landmark taken out of the whole.
    #[test]
    fn a_landmark_of_a_whole_case_lies_in_its_band() {
        for text in SAMPLES {
            let full = crate::case::read_text(text).unwrap().case;
            for (at, sight) in landmarks(&full) {
                let Some(point) = at.mark(&full).and_then(Mark::point) else { continue };
                if sight != Sight::Asked {
                    continue;
                }
                let Some(hint) = hint(&full, at) else { continue };
                let [along, across] = within(&hint, point.x, point.y);
                let words = at.words();
                let name = full.film.file.clone().unwrap_or_default();
                // The mesial margin of this one is drawn in the middle of its tooth.
                if name == "sound-21.png" && at.id.landmark() == Landmark::FinishLine {
                    continue;
                }
                assert!(along.abs() <= 1.0 && across.abs() <= 1.0, "{name}, {words}: {along} {across}");
            }
        }
    }

    #[test]
    fn an_empty_film_gives_no_hint() {
        let case = empty();
        for id in [Landmark::Apex.id(), Landmark::Crest.on(Side::Mesial), Landmark::CrownEdge.id()] {
            assert_eq!(hint_for(&case, id), None, "{id:?}");
        }
    }

    /// One point beside the tooth says neither where its middle is nor which way is across.
    #[test]
    fn one_side_alone_gives_no_hint_of_the_other() {
        let mut case = empty();
        tooth(&mut case, Landmark::CoreBase.id(), 500.0, 200.0);
        tooth(&mut case, Landmark::WallTop.on(Side::Mesial), 600.0, 200.0);
        assert_eq!(hint_for(&case, Landmark::WallTop.on(Side::Distal)), None);
        assert_eq!(hint_for(&case, Landmark::Crest.on(Side::Mesial)), None);
        assert_eq!(hint_for(&case, Landmark::Apex.id()), None);
    }

    /// The margins' middle is (500, 200). The crest on the other side is 120 from it, so this one's mirror image lies at
    /// (620, 400), and the band keeps a tenth of 120 away from the middle.
    #[test]
    fn a_landmark_is_looked_for_across_from_its_partner() {
        let mut case = empty();
        tooth(&mut case, Landmark::FinishLine.on(Side::Mesial), 600.0, 200.0);
        tooth(&mut case, Landmark::FinishLine.on(Side::Distal), 400.0, 200.0);
        tooth(&mut case, Landmark::Crest.on(Side::Distal), 380.0, 400.0);
        let hint = hint_for(&case, Landmark::Crest.on(Side::Mesial)).expect("a region");
        assert_eq!(hint.middle, Position::new(620.0, 400.0));
        assert!((hint.across.x.abs() - 108.0).abs() < 1e-9 && hint.across.y.abs() < 1e-9, "{hint:?}");
    }

    /// The root from (500, 200) straight down to (500, 1200).
    #[test]
    fn a_posts_tip_is_looked_for_between_neck_and_apex() {
        let mut case = empty();
        tooth(&mut case, Landmark::WallTop.on(Side::Mesial), 600.0, 200.0);
        tooth(&mut case, Landmark::WallTop.on(Side::Distal), 400.0, 200.0);
        assert_eq!(hint_for(&case, Landmark::PostTip.id()), None, "nobody knows where the apex is");
        root(&mut case, Landmark::Apex, 500.0, 1200.0);
        let hint = hint_for(&case, Landmark::PostTip.id()).expect("a region");
        assert_eq!(hint.middle, Position::new(500.0, 700.0));
        assert!(hint.along.x.abs() < 1e-9 && (hint.along.y - 580.0).abs() < 1e-9, "{hint:?}");
    }
}
