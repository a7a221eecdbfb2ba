//! Where a tooth's landmarks lie in space, by the names cases have for them.

use super::body::{Bodies, LIGAMENT, canal, post, sign};
use super::section::Section;
use super::space::Point3;
use super::tooth::{RootForm, Tooth};
use crate::case::{Landmark, LandmarkId, RootName, Side};
use std::collections::BTreeMap;

/// Points of a canal as a case has them stand this far apart, mm.
const CANAL_SPACING: f64 = 2.0;
/// Points of an axis that lengths are taken along stand this far apart.
const FINE: f64 = 0.1;

/// The landmarks of a tooth in space, whether a film can show them or not.
#[derive(Debug, Clone, PartialEq)]
pub struct SpatialLandmarks {
    /// Those of the tooth.
    pub tooth: BTreeMap<LandmarkId, Point3>,
    /// Those of each root.
    pub roots: Vec<SpatialRoot>,
}

/// The landmarks of a root in space.
#[derive(Debug, Clone, PartialEq)]
pub struct SpatialRoot {
    /// Its name.
    pub name: RootName,
    /// Whether a post or post space is in it.
    pub post_here: bool,
    /// Its points.
    pub points: BTreeMap<LandmarkId, Point3>,
    /// The canal as a case has it: from the orifice to its end, 2 mm from point to point.
    pub canal: Vec<Point3>,
    /// The same, 0.1 mm from level to level: what true lengths along the canal are taken by.
    pub fine_canal: Vec<Point3>,
    /// Levels with the root's and the canal's or post's rim, mesial first.
    pub sections: Vec<SpatialSection>,
}

/// The rims of root and canal at one level.
#[derive(Debug, Clone, PartialEq)]
pub struct SpatialSection {
    /// Which level, in words.
    pub level: &'static str,
    /// Outer wall, canal or post, canal or post, outer wall, mesial first.
    pub points: [Point3; 4],
}

impl Tooth {
    /// Level of what carries the core beside the canal, and where canals begin: the lower wall of a tooth with one root,
    /// the floor of the chamber of one with several.
    pub fn floor_level_mm(&self) -> f64 {
        match self.furcation {
            Some(furcation) => (furcation.roof_mm - 2.0).min(1.5),
            None if self.treatment.walls => self.mesial.wall_top.level_mm.max(self.distal.wall_top.level_mm),
            None => self.mesial.cej.level_mm.max(self.distal.cej.level_mm),
        }
    }

    /// Where every landmark lies in space.
    pub fn landmarks(&self) -> SpatialLandmarks {
        let bodies = Bodies::of(self);
        SpatialLandmarks {
            tooth: self.tooth_points(&bodies),
            roots: self.roots.iter().map(|root| self.root_landmarks(root, &bodies)).collect(),
        }
    }

    fn tooth_points(&self, bodies: &Bodies) -> BTreeMap<LandmarkId, Point3> {
        let mut points = BTreeMap::new();
        let (floor, crown) = (self.floor_level_mm(), &self.crown);
        let edge = if self.has_cusps() {
            // The highest cusp: of a premolar the buccal, of a molar the one towards mesial and lingual.
            let (x, y) = if self.fdi.is_molar() { (-0.23, 0.24) } else { (0.0, -0.24) };
            Point3::new(x * crown.width_mm, y * crown.depth_mm, -crown.length_mm)
        } else {
            Point3::new(0.0, 0.0, -crown.length_mm)
        };
        points.insert(Landmark::CrownEdge.id(), edge);
        let middle = |level: f64| {
            let at: Vec<Point3> = self
                .roots
                .iter()
                .map(|root| {
                    let [x, y] = root.straight_axis_at(level);
                    Point3::new(x, y, level)
                })
                .collect();
            Point3::mean(&at)
        };
        if let (Some(core), Some(top)) =
            (self.treatment.core, self.treatment.core.and_then(|core| middle(core.top_mm)))
        {
            points.insert(Landmark::CoreTop.id(), Point3 { z: core.top_mm, ..top });
        }
        if self.treatment.planned_post.is_some()
            && let Some(top) = middle(self.planned_core_top_mm())
        {
            points.insert(Landmark::CoreTop.id(), top);
        }
        points.extend(middle(floor).map(|base| (Landmark::CoreBase.id(), base)));
        let stump = bodies.stump(self, self.stump_top_mm());
        for side in Side::BOTH {
            let flank = self.flank(side);
            let out = sign(side);
            points.insert(Landmark::Cej.on(side), bodies.surface(side, flank.cej));
            let crest = bodies.surface(side, flank.crest);
            let beside = |by: f64, up: f64| Point3::new(crest.x + out * by, crest.y, crest.z - up);
            points.insert(Landmark::Crest.on(side), beside(LIGAMENT, 0.0));
            if flank.peak_above_crest_mm > 0.0 {
                points.insert(Landmark::BonePeak.on(side), beside(1.2, flank.peak_above_crest_mm));
            }
            if self.treatment.walls {
                points.insert(Landmark::FinishLine.on(side), bodies.surface(side, flank.finish_line));
                // The middle of a wall of 1 mm.
                let top = stump.rim(out, flank.wall_top.depth_mm, flank.wall_top.level_mm);
                points.insert(Landmark::WallTop.on(side), Point3 { x: top.x - 0.5 * out, ..top });
            }
        }
        let rest = points.get(&Landmark::WallTop.on(self.higher_side())).copied().unwrap_or(edge);
        points.insert(Landmark::StopReference.id(), rest);
        if let (Some(furcation), Some(over)) = (self.furcation, self.over_furcation(bodies)) {
            points.insert(Landmark::Furcation.id(), Point3 { z: furcation.roof_mm, ..over });
            points.insert(Landmark::FurcalCrest.id(), Point3 { z: furcation.crest_mm, ..over });
        }
        points
    }

    /// Above what the furcation lies that a film shows: between the mesial and the distal root. Roots that lie one behind
    /// the other show none.
    fn over_furcation(&self, bodies: &Bodies) -> Option<Point3> {
        let roof = self.furcation?.roof_mm;
        let section = |inner: Side| {
            let at = self.roots.iter().position(|root| root.name.inner_side() == Some(inner))?;
            Some(bodies.roots.get(at)?.at(roof))
        };
        let (mesial, distal): (Section, Section) = (section(Side::Distal)?, section(Side::Mesial)?);
        let inner = [mesial.x + mesial.half_x, distal.x - distal.half_x];
        Some(Point3::new(0.5 * (inner[0] + inner[1]), 0.5 * (mesial.y + distal.y), roof))
    }

    /// The side whose wall stands higher: what an instrument's stop rests on.
    pub(super) fn higher_side(&self) -> Side {
        if self.mesial.wall_top.level_mm < self.distal.wall_top.level_mm {
            Side::Mesial
        } else {
            Side::Distal
        }
    }

    /// Level of the top of core and walls.
    pub(super) fn stump_top_mm(&self) -> f64 {
        let walls = self.mesial.wall_top.level_mm.min(self.distal.wall_top.level_mm);
        self.treatment.core.map_or(walls, |core| core.top_mm.min(walls))
    }

    /// The middle of a ball or wire beside the tooth: at the depth of its axis, before the contact on the distal side.
    pub fn beside_at(&self) -> Point3 {
        let x = 0.5 * self.crown.width_mm + 1.0;
        let z = match self.treatment.beside {
            Some(super::treatment::Beside::Wire { .. }) => 0.0,
            _ => -self.crown.length_mm - 1.5,
        };
        Point3::new(x, 0.0, z)
    }

    /// The tip of the instrument and the place of its stop, which lies its length away along the canal's axis.
    pub fn instrument_ends(&self) -> Option<(Point3, Point3)> {
        let instrument = self.treatment.instrument?;
        let root = self.root(instrument.root)?;
        let on_axis = |level: f64| {
            let [x, y] = root.axis_at(level);
            Point3::new(x, y, level)
        };
        let tip = on_axis(instrument.tip_mm);
        let (mut here, mut left) = (tip, instrument.length_mm);
        // Up to 60 mm, longer than any instrument.
        for _ in 0..3000 {
            let next = on_axis(here.z - 0.02);
            let length = next.way_from(here).length();
            if length >= left {
                return Some((tip, here.moved(next.way_from(here).times(left / length))));
            }
            (here, left) = (next, left - length);
        }
        None
    }

    /// The instrument's own line from its stop to its tip, bent as the canal is.
    pub fn instrument_line(&self) -> Option<Vec<Point3>> {
        const SPACING: f64 = 3.0;
        let (tip, stop) = self.instrument_ends()?;
        let root = self.root(self.treatment.instrument?.root)?;
        let on_axis = |level: f64| {
            let [x, y] = root.axis_at(level);
            Point3::new(x, y, level)
        };
        let straight_to = root.bend_from_mm.min(tip.z);
        let bent = levels(straight_to, tip.z, SPACING).skip(1).map(on_axis);
        let start = [stop, on_axis(straight_to)];
        Some(if tip.z - straight_to > 0.5 && root.bend_deg >= 1.0 {
            start.into_iter().chain(bent).collect()
        } else {
            vec![stop, tip]
        })
    }

    fn root_landmarks(&self, root: &RootForm, bodies: &Bodies) -> SpatialRoot {
        let treatment = &self.treatment;
        let floor = self.floor_level_mm();
        let on_axis = |level: f64| {
            let [x, y] = root.axis_at(level);
            Point3::new(x, y, level)
        };
        let on_straight = |level: f64| {
            let [x, y] = root.straight_axis_at(level);
            Point3::new(x, y, level)
        };
        let mut points = BTreeMap::from([
            (Landmark::Orifice.id(), on_axis(floor)),
            (Landmark::Apex.id(), on_axis(root.apex_mm)),
        ]);
        if root.bend_deg >= 1.0 {
            points.insert(Landmark::CurveStart.id(), on_axis(root.bend_from_mm));
        }
        let own_post = treatment.post.filter(|post| post.root == root.name);
        let own_space = treatment.post_space.filter(|space| space.root == root.name);
        if let Some(post) = own_post {
            points.insert(Landmark::PostHead.id(), on_straight(post.head_mm));
            points.insert(Landmark::PostTip.id(), on_straight(post.tip_mm));
        }
        let planned = treatment.planned_post.filter(|post| post.root == root.name);
        if let Some(post) = planned {
            points.insert(Landmark::PostHead.id(), on_straight(self.planned_core_top_mm()));
            points.insert(Landmark::PostTip.id(), on_straight(post.tip_mm));
        }
        if let Some(filling) = treatment.filling {
            points.insert(Landmark::FillingTop.id(), on_axis(self.filling_top_mm(root)));
            points.insert(Landmark::FillingTip.id(), on_axis(root.apex_mm - filling.short_of_apex_mm));
        }
        let end = root.foramen_level_mm();
        SpatialRoot {
            name: root.name,
            post_here: own_post.is_some() || own_space.is_some() || planned.is_some(),
            points,
            canal: self.canal_points(root, end),
            fine_canal: levels(floor, end, FINE).map(on_axis).collect(),
            sections: self.sections(root, bodies),
        }
    }

    /// From the orifice to the canal's end, with the start of the curve as one of the points.
    fn canal_points(&self, root: &RootForm, end: f64) -> Vec<Point3> {
        let floor = self.floor_level_mm();
        let turns = root.bend_deg >= 1.0 && root.bend_from_mm > floor + 1.5 && root.bend_from_mm < end - 1.5;
        let mut at: Vec<f64> = if turns {
            let mut straight: Vec<f64> = levels(floor, root.bend_from_mm, CANAL_SPACING).collect();
            straight.pop();
            straight.extend(levels(root.bend_from_mm, end, CANAL_SPACING));
            straight
        } else {
            levels(floor, end, CANAL_SPACING).collect()
        };
        at.dedup();
        at.into_iter()
            .map(|level| {
                let [x, y] = root.axis_at(level);
                Point3::new(x, y, level)
            })
            .collect()
    }

    /// Level of the coronal end of a root's filling: beneath post or post space, else just below the orifice.
    pub(super) fn filling_top_mm(&self, root: &RootForm) -> f64 {
        let treatment = &self.treatment;
        let beneath_post =
            treatment.post.filter(|post| post.root == root.name).map(|post| post.tip_mm + post.gap_mm);
        let beneath_space =
            treatment.post_space.filter(|space| space.root == root.name).map(|space| space.floor_mm);
        beneath_post.or(beneath_space).unwrap_or_else(|| self.floor_level_mm() + 0.5)
    }

    fn sections(&self, root: &RootForm, bodies: &Bodies) -> Vec<SpatialSection> {
        let Some(at) = self.roots.iter().position(|other| other.name == root.name) else { return Vec::new() };
        let Some(body) = bodies.roots.get(at) else { return Vec::new() };
        let own_post = self.treatment.post.filter(|post| post.root == root.name);
        let (from, end) = (root.from_mm.max(self.floor_level_mm()), root.foramen_level_mm());
        let planned = self.treatment.planned_post.filter(|post| post.root == root.name);
        let tip = own_post
            .map(|post| ("post tip", post.tip_mm - 0.5 * post.diameter_mm))
            .or_else(|| planned.map(|post| ("planned post tip", post.tip_mm)));
        let levels = [("coronal", from + 1.0), ("middle", 0.5 * (from + end))];
        let hollow = canal(root, from.min(self.floor_level_mm()), end);
        let metal = own_post.map(|it| (it, post(root, it.head_mm, it.tip_mm, it.diameter_mm, it.tip)));
        levels
            .into_iter()
            .chain(tip)
            .filter(|(_, level)| *level >= from && *level < end - 1.0)
            .map(|(name, level)| {
                let outer = body.at(level);
                let inner = match &metal {
                    Some((it, metal)) if level <= it.tip_mm => metal.at(level),
                    _ => hollow.at(level),
                };
                let place = |section: Section, out: f64| {
                    Point3::new(section.x + out * section.half_x, section.y, level)
                };
                SpatialSection {
                    level: name,
                    points: [place(outer, -1.0), place(inner, -1.0), place(inner, 1.0), place(outer, 1.0)],
                }
            })
            .collect()
    }
}

/// Levels from one to another in equal steps of about `spacing`, both ends included.
fn levels(from: f64, to: f64, spacing: f64) -> impl Iterator<Item = f64> {
    let steps = whole(((to - from) / spacing).floor());
    (0..=steps).map(move |index| from + (to - from) * f64::from(index) / f64::from(steps))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to a range that fits")]
fn whole(count: f64) -> u32 {
    count.clamp(1.0, 10_000.0) as u32
}
