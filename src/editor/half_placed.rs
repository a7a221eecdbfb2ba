//! What is being clicked and is not whole yet: a reference or a section, point by point. It is no part of the case.

use super::edit::Edit;
use super::list_change::ListChange;
use super::refused::EditRefused;
use crate::calibration::{Extra, Placed, Reference, ReferencePoint};
use crate::case::{Case, Point, RootName, Section};
use crate::geometry::{Position, Stored};
use serde::{Deserialize, Serialize};

/// No film is a million pixels wide; the case file says the same.
const MOST_PX: f64 = 1e6;

/// A reference or a section with the points clicked so far.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfPlaced {
    pub(super) what: Placing,
    pub(super) points: Vec<ReferencePoint>,
    /// Which placing of this open case it is: what is undone must not be taken for another.
    pub(super) number: u64,
}

/// What is being placed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Placing {
    /// A reference, whole but for its points.
    Reference(Box<Reference>),
    /// A section of a root.
    Section {
        /// Whose section.
        root: RootName,
        /// Which level, in words.
        level: Option<String>,
    },
}

impl Placing {
    fn takes_points(&self) -> (usize, usize) {
        match self {
            Self::Reference(reference) => reference.takes_points(),
            Self::Section { .. } => (4, 4),
        }
    }

    /// What is being placed, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Reference(reference) => format!("{} reference", reference.kind()),
            Self::Section { .. } => "section".to_owned(),
        }
    }
}

impl HalfPlaced {
    pub(super) fn begin(what: Placing, number: u64) -> Result<Self, EditRefused> {
        let what = match what {
            Placing::Reference(reference) if reference.takes_points().1 == 0 => {
                return Err(EditRefused::NothingToClick(reference.kind()));
            }
            Placing::Reference(reference) => Placing::Reference(Box::new(reference.with_points(Vec::new()))),
            section @ Placing::Section { .. } => section,
        };
        // An autosave must give it back whole; a size that is no number would come back as none.
        let back = serde_json::to_value(&what).and_then(serde_json::from_value::<Placing>);
        if !back.is_ok_and(|back| back == what) {
            return Err(EditRefused::ReadsBackOtherwise);
        }
        Ok(Self { what, points: Vec::new(), number })
    }

    /// What an autosave held.
    pub(super) fn recovered(what: Placing, points: Vec<ReferencePoint>) -> Result<Self, EditRefused> {
        let half = Self::begin(what, 0)?;
        for point in &points {
            in_reach(point.position())?;
        }
        if points.len() > half.what.takes_points().1 {
            return Err(EditRefused::AllPlaced(half.what.takes_points().1));
        }
        Ok(Self { points, ..half })
    }

    /// What is being placed; a reference stands here without its points.
    pub const fn what(&self) -> &Placing {
        &self.what
    }

    /// The points clicked so far, in order.
    pub fn points(&self) -> &[ReferencePoint] {
        &self.points
    }

    /// How many points it takes at the least.
    pub fn least_points(&self) -> usize {
        self.what.takes_points().0
    }

    /// Whether it takes no more points. A curved instrument and a sphere always take one more.
    pub fn takes_no_more(&self) -> bool {
        self.points.len() >= self.what.takes_points().1
    }

    /// Whether it can be completed.
    pub fn can_be_completed(&self) -> bool {
        self.points.len() >= self.least_points()
    }

    pub(super) fn with_point(
        &self,
        at: Position<Stored>,
        placed: Option<Placed>,
    ) -> Result<Self, EditRefused> {
        if self.takes_no_more() {
            return Err(EditRefused::AllPlaced(self.points.len()));
        }
        in_reach(at)?;
        let mut next = self.clone();
        next.points.push(ReferencePoint { x: at.x, y: at.y, sd_px: None, placed, extra: Extra::new() });
        Ok(next)
    }

    pub(super) fn with_moved(&self, at: usize, to: Position<Stored>) -> Result<Self, EditRefused> {
        in_reach(to)?;
        let mut next = self.clone();
        let count = next.points.len();
        let point =
            next.points.get_mut(at).ok_or(EditRefused::NoEntry { what: "clicked point", at, count })?;
        (point.x, point.y) = (to.x, to.y);
        Ok(next)
    }

    /// The one edit it turns into.
    pub(super) fn completed(&self, case: &Case) -> Result<Edit, EditRefused> {
        let missing = EditRefused::PointsMissing { placed: self.points.len(), wanted: self.least_points() };
        if !self.can_be_completed() {
            return Err(missing);
        }
        match &self.what {
            Placing::Reference(reference) => Ok(Edit::References(ListChange::Insert {
                at: case.calibration.references.len(),
                item: Box::new(Reference::clone(reference).with_points(self.points.clone())),
            })),
            Placing::Section { root, level } => {
                let points: Vec<Point> = self.points.iter().map(as_point).collect();
                let points = <[Point; 4]>::try_from(points).map_err(|_| missing)?;
                let held = case.roots.iter().find(|it| it.name == *root).ok_or(EditRefused::NoRoot(*root))?;
                Ok(Edit::Sections {
                    root: *root,
                    change: ListChange::Insert {
                        at: held.sections.len(),
                        item: Box::new(Section { level: level.clone(), points, extra: Extra::new() }),
                    },
                })
            }
        }
    }
}

fn as_point(clicked: &ReferencePoint) -> Point {
    Point { placed: clicked.placed, ..Point::at(clicked.x, clicked.y) }
}

fn in_reach(place: Position<Stored>) -> Result<(), EditRefused> {
    let within = |coordinate: f64| (-MOST_PX..=MOST_PX).contains(&coordinate);
    if within(place.x) && within(place.y) { Ok(()) } else { Err(EditRefused::NoPlace) }
}
