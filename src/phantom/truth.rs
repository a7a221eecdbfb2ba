//! What every measurement of the catalogue is in space: the truth that a film is a projection of.
//!
//! The definitions are the catalogue's, read in three dimensions: *axial* is the component along the tooth's or the root's
//! axis in space, *along the canal* the length of its line in space, *across* what of a way is square to the canal's own
//! direction, and Schneider's angle is one in space. *From the crest line* is read in the plane of mesial, distal and apical,
//! as a dentist draws it: what lies before or behind is left out. Lengths along the canal go by its fine line, not by the few
//! points a case has.

use super::landmarks::{SpatialLandmarks, SpatialRoot};
use super::space::{Point3, Vector3};
use super::tooth::Tooth;
use crate::case::{Landmark, LandmarkId, RootName, RowRef, Side};
use crate::measure::{Applies, CATALOGUE, Definition, Length, PlaceName, Repeat, Row};
use crate::quantity::Unit;
use serde::Serialize;

/// One measurement in space.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueValue {
    /// Which.
    #[serde(flatten)]
    pub of: RowRef,
    /// Its value, clipped where the catalogue clips it.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
}

/// Every measurement of the catalogue that this tooth has, in the catalogue's order.
pub fn true_values(tooth: &Tooth) -> Vec<TrueValue> {
    true_values_of(&tooth.landmarks())
}

/// The same of landmarks that lie anywhere in space.
pub fn true_values_of(landmarks: &SpatialLandmarks) -> Vec<TrueValue> {
    let several = landmarks.roots.len() > 1;
    let mut values = Vec::new();
    for row in CATALOGUE.iter().filter(|row| !row.applies.is_root()) {
        if row.applies != Applies::ToothWithSeveralRoots || several {
            Space { landmarks, root: None }.rows(row, &mut values);
        }
    }
    for root in &landmarks.roots {
        for row in CATALOGUE.iter().filter(|row| row.applies.is_root()) {
            if row.applies != Applies::OnlyRoot || !several {
                Space { landmarks, root: Some(root) }.rows(row, &mut values);
            }
        }
    }
    values
}

struct Space<'a> {
    landmarks: &'a SpatialLandmarks,
    root: Option<&'a SpatialRoot>,
}

/// Which side and section a row is for.
#[derive(Debug, Clone, Copy, Default)]
struct Here {
    side: Option<Side>,
    section: Option<usize>,
}

impl Space<'_> {
    fn rows(&self, row: &Row, values: &mut Vec<TrueValue>) {
        let sections = 0..self.root.map_or(0, |root| root.sections.len());
        let sides = Side::BOTH.map(Some);
        let places: Vec<Here> = match row.repeat {
            Repeat::Once => vec![Here::default()],
            Repeat::BySide => sides.map(|side| Here { side, section: None }).into(),
            Repeat::BySection => sections.map(|at| Here { side: None, section: Some(at) }).collect(),
            Repeat::BySideAndSection => {
                sections.flat_map(|at| sides.map(|side| Here { side, section: Some(at) })).collect()
            }
            Repeat::ByProbedSite => Vec::new(),
        };
        for here in places {
            let Some(value) = self.value(row, here).filter(|value| value.is_finite()) else { continue };
            let mut id = row.id.to_owned();
            if let Some(side) = here.side {
                id = format!("{id}.{}", side.word());
            }
            if let Some(section) = here.section {
                id = format!("{id}@{section}");
            }
            let of = RowRef { id, root: self.root.map(|root| root.name.word().to_owned()) };
            let value = if row.clipped { value.max(0.0) } else { value };
            values.push(TrueValue { of, value, unit: row.unit });
        }
    }

    fn value(&self, row: &Row, here: Here) -> Option<f64> {
        match row.definition {
            Definition::Length(length) => self.length(length, here),
            Definition::Quotient { numerator, denominator, less } => {
                let under = self.length(denominator, here)? - less;
                (under >= 0.5).then_some((self.length(numerator, here)? - less) / under)
            }
            Definition::Curvature => self.curve().map(|(angle, _)| angle.to_degrees()),
            Definition::CurvatureRadius => {
                let (angle, length) = self.curve()?;
                (angle.to_degrees() >= 5.0).then(|| length / (2.0 * libm::sin(angle)))
            }
            Definition::ProbedFerrule | Definition::ProbedWall => None,
        }
    }

    fn point(&self, id: LandmarkId) -> Option<Point3> {
        self.landmarks.tooth.get(&id).or_else(|| self.root.and_then(|root| root.points.get(&id))).copied()
    }

    fn the(&self, landmark: Landmark) -> Option<Point3> {
        self.point(landmark.id())
    }

    fn has_several_roots(&self) -> bool {
        self.landmarks.roots.len() > 1
    }

    fn margin_middle(&self) -> Option<Point3> {
        [Landmark::FinishLine, Landmark::Cej].into_iter().find_map(|landmark| {
            Some(self.point(landmark.on(Side::Mesial))?.middle(self.point(landmark.on(Side::Distal))?))
        })
    }

    fn mean_apex(&self) -> Option<Point3> {
        let apex = |root: &SpatialRoot| root.points.get(&Landmark::Apex.id()).copied();
        Point3::mean(&self.landmarks.roots.iter().filter_map(apex).collect::<Vec<_>>())
    }

    fn tooth_axis(&self) -> Option<Vector3> {
        self.mean_apex()?.way_from(self.margin_middle()?).unit()
    }

    /// The root's axis for a root's row, else the tooth's.
    fn axis(&self) -> Option<Vector3> {
        let Some(root) = self.root else { return self.tooth_axis() };
        let start = if self.has_several_roots() { self.the(Landmark::Orifice) } else { self.margin_middle() };
        root.points.get(&Landmark::Apex.id())?.way_from(start?).unit()
    }

    fn place(&self, name: PlaceName, here: Here) -> Option<Point3> {
        let side = here.side.unwrap_or(Side::Mesial);
        match name {
            PlaceName::The(landmark) => self.the(landmark),
            PlaceName::OnSide(landmark) => self.point(landmark.on(side)),
            PlaceName::MarginMiddle => self.margin_middle(),
            PlaceName::MeanApex => self.mean_apex(),
            PlaceName::PostStart if self.has_several_roots() => self.the(Landmark::Orifice),
            PlaceName::PostStart => self.the(Landmark::CoreBase),
            PlaceName::SectionMiddle => {
                let [one, .., other] = self.section(here)?;
                Some(one.middle(other))
            }
            PlaceName::CrestBesideRoot => {
                let inner = self.root.map(|root| root.name).and_then(RootName::inner_side);
                let is_inner = self.has_several_roots() && inner == Some(side);
                self.point(if is_inner { Landmark::FurcalCrest.id() } else { Landmark::Crest.on(side) })
            }
        }
    }

    fn section(&self, here: Here) -> Option<[Point3; 4]> {
        Some(self.root?.sections.get(here.section?)?.points)
    }

    fn length(&self, length: Length, here: Here) -> Option<f64> {
        let way = |from, to| Some(self.place(to, here)?.way_from(self.place(from, here)?));
        match length {
            Length::Axial(from, to) => Some(way(from, to)?.dot(self.axis()?)),
            Length::Straight(from, to) => Some(way(from, to)?.length()),
            Length::AlongCanal(from, to) => {
                Some(self.along_canal(self.place(to, here)?)? - self.along_canal(self.place(from, here)?)?)
            }
            Length::AlongStraightCanal(from, to) => {
                let end = self.the(Landmark::CurveStart).or_else(|| self.the(Landmark::Apex))?;
                Some(way(from, to)?.dot(end.way_from(self.the(Landmark::Orifice)?).unit()?))
            }
            Length::AcrossMargin => {
                let [mesial, distal] = Side::BOTH.map(|side| self.point(Landmark::FinishLine.on(side)));
                Some(square_to(distal?.way_from(mesial?), self.axis()?))
            }
            Length::FromCrestLine { to, .. } => self.below_crest_line(self.place(to, here)?, self.axis()?),
            Length::Crown => {
                Some(self.margin_middle()?.way_from(self.the(Landmark::CrownEdge)?).dot(self.tooth_axis()?))
            }
            Length::CrownAboveCrest => {
                Some(-self.below_crest_line(self.the(Landmark::CrownEdge)?, self.tooth_axis()?)?)
            }
            Length::CoreOrPlanned => {
                let way = self.the(Landmark::CoreBase)?.way_from(self.the(Landmark::CoreTop)?);
                Some(way.dot(self.tooth_axis()?))
            }
            Length::Seal => {
                let at = |landmark| self.along_canal(self.the(landmark)?);
                let from = at(Landmark::FillingTop)?.max(at(Landmark::PostTip)?);
                Some(at(Landmark::FillingTip)?.min(at(Landmark::Apex)?) - from)
            }
            Length::AcrossSection(from, to) => self.across(here, from, to),
            Length::SectionWall => match here.side {
                Some(Side::Distal) => self.across(here, 2, 3),
                _ => self.across(here, 0, 1),
            },
        }
    }

    fn across(&self, here: Here, from: usize, to: usize) -> Option<f64> {
        let points = self.section(here)?;
        let [one, .., other] = points;
        let (_, direction) = nearest(&self.root?.fine_canal, one.middle(other))?;
        Some(square_to(points.get(to)?.way_from(*points.get(from)?), direction))
    }

    /// How far along the canal's fine line a place lies, both ends prolonged.
    fn along_canal(&self, place: Point3) -> Option<f64> {
        nearest(&self.root?.fine_canal, place).map(|(arc, _)| arc)
    }

    /// β of p = c + α·d + β·w + γ·(buccolingual).
    fn below_crest_line(&self, place: Point3, axis: Vector3) -> Option<f64> {
        let [mesial, distal] = Side::BOTH.map(|side| self.point(Landmark::Crest.on(side)));
        let (line, way) = (distal?.way_from(mesial?), place.way_from(mesial?));
        let area = line.x * axis.z - line.z * axis.x;
        (area.abs() > 1e-9).then(|| (line.x * way.z - line.z * way.x) / area)
    }

    /// Schneider's angle in radians and the length of its second line.
    fn curve(&self) -> Option<(f64, f64)> {
        let canal = &self.root?.fine_canal;
        let bend = self.the(Landmark::CurveStart)?;
        let (straight, curved) = (bend.way_from(*canal.first()?), canal.last()?.way_from(bend));
        Some((libm::atan2(straight.cross(curved).length(), straight.dot(curved)), curved.length()))
    }
}

/// The length of what of a way is square to a direction.
fn square_to(way: Vector3, direction: Vector3) -> f64 {
    way.plus(direction.times(-way.dot(direction))).length()
}

/// How far along a line the place nearest to `place` lies, both ends prolonged, and the line's direction there.
fn nearest(line: &[Point3], place: Point3) -> Option<(f64, Vector3)> {
    let mut best: Option<(f64, f64, Vector3)> = None;
    let mut before = 0.0;
    let segments = line.len().checked_sub(1)?;
    for (index, (start, end)) in line.iter().zip(line.iter().skip(1)).enumerate() {
        let way = end.way_from(*start);
        let (length, Some(direction)) = (way.length(), way.unit()) else { continue };
        let mut reach = place.way_from(*start).dot(direction);
        if index > 0 {
            reach = reach.max(0.0);
        }
        if index + 1 < segments {
            reach = reach.min(length);
        }
        let distance = place.way_from(start.moved(direction.times(reach))).length();
        if best.is_none_or(|(least, ..)| distance < least - 1e-9) {
            best = Some((distance, before + reach, direction));
        }
        before += length;
    }
    best.map(|(_, arc, direction)| (arc, direction))
}
