//! Along and across the tooth: the way between two places of a film, in mm, as one says it of a tooth.

use super::axes::tooth_axis;
use super::places::Places;
use crate::calibration::Scale;
use crate::case::{Case, FilmSide, Landmark, Side};
use crate::geometry::{BesideTooth, Displacement, Plane, Position, Square};
use crate::quantity::{Millimetres, Pixels};

/// From displacements on the squared grid to millimetres along the tooth axis, apical positive, and across it, distal
/// positive. It is a linear map, and two of one film can be averaged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToothFrame {
    along: [f64; 2],
    across: [f64; 2],
}

/// Why there is no along and across.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoToothFrame {
    /// The tooth axis cannot be made.
    #[error("it has no tooth axis; place the finish line's or the CEJ's two points and an apex")]
    NoAxis,
    /// It is not known which way distal lies.
    #[error(
        "it does not say which way is mesial; name the tooth (\"tooth\": {{\"fdi\": \"21\"}}) or place a landmark on both sides"
    )]
    NoSide,
}

impl ToothFrame {
    /// The frame of a case with its scale.
    ///
    /// Distal lies where the placed distal points lie from the mesial ones; without such a pair, where the case or the
    /// tooth's number says.
    ///
    /// # Errors
    /// The tooth axis cannot be made, or nothing tells mesial from distal.
    pub fn of(case: &Case, scale: &Scale) -> Result<Self, NoToothFrame> {
        let places = Places::of(case);
        let place = |index: usize| places.points.get(index).map(|place| scale.plane(place.position));
        let axis = tooth_axis(&places).map_err(|_| NoToothFrame::NoAxis)?.axis;
        let axis = axis.direction(&place).ok_or(NoToothFrame::NoAxis)?;
        let towards_distal = Self::pairs(&places, scale)
            .or_else(|| {
                let mesial = case.tooth.mesial_is()?;
                let x = if mesial == FilmSide::Left { 1.0 } else { -1.0 };
                Some(Self::in_plane(scale, Displacement::new(x, 0.0)))
            })
            .map(|way| way.across(axis))
            .filter(|across| across.abs() >= 1e-9)
            .ok_or(NoToothFrame::NoSide)?;
        let row = |x: f64, y: f64| {
            let way = Self::in_plane(scale, Displacement::new(x, y));
            [way.along(axis), way.across(axis) * towards_distal.signum()]
        };
        let ([x_along, x_across], [y_along, y_across]) = (row(1.0, 0.0), row(0.0, 1.0));
        Ok(Self { along: [x_along, y_along], across: [x_across, y_across] })
    }

    /// The sum of the ways from mesial to distal of every landmark placed on both sides.
    fn pairs(places: &Places<'_>, scale: &Scale) -> Option<Displacement<Plane>> {
        let mut sum = None;
        for landmark in Landmark::ALL.iter().filter(|landmark| landmark.declaration().sided) {
            let placed = |side| places.points.get(places.find(landmark.on(side), None)?);
            let (Some(mesial), Some(distal)) = (placed(Side::Mesial), placed(Side::Distal)) else { continue };
            let way = scale.plane(distal.position).way_from(scale.plane(mesial.position));
            let so_far = sum.unwrap_or(Displacement::new(0.0, 0.0));
            sum = Some(Displacement::new(so_far.x + way.x, so_far.y + way.y));
        }
        sum
    }

    fn in_plane(scale: &Scale, way: Displacement<Square>) -> Displacement<Plane> {
        let origin = Position::new(0.0, 0.0);
        scale.plane(origin.moved(way)).way_from(scale.plane(origin))
    }

    /// The mean of several frames of one film; `None` of none. Where they differ over which way distal lies, the
    /// majority's way is taken, the first's where there is none.
    pub fn mean(frames: &[Self]) -> Option<Self> {
        let first = frames.first()?;
        let against =
            |frame: &&Self| frame.across[0] * first.across[0] + frame.across[1] * first.across[1] < 0.0;
        let sign = if 2 * frames.iter().filter(against).count() > frames.len() { -1.0 } else { 1.0 };
        let of = |part: &dyn Fn(&Self) -> f64| {
            // At most as many as there are cases on a film.
            #[allow(clippy::cast_precision_loss)]
            let count = frames.len() as f64;
            frames.iter().map(part).sum::<f64>() / count
        };
        let across = |axis: usize| {
            of(&|frame| {
                let turned = if against(&frame) { -sign } else { sign };
                turned * frame.across.get(axis).copied().unwrap_or_default()
            })
        };
        Some(Self {
            along: [of(&|frame| frame.along[0]), of(&|frame| frame.along[1])],
            across: [across(0), across(1)],
        })
    }

    /// A way on the film as a way beside the tooth.
    pub fn way(&self, way: Displacement<Square>) -> Displacement<BesideTooth> {
        let through = |[x, y]: [f64; 2]| x * way.x + y * way.y;
        Displacement::new(through(self.along), through(self.across))
    }

    /// Where a place lies beside the tooth, counted from the film's origin.
    pub fn place(&self, place: Position<Square>) -> Position<BesideTooth> {
        let way = self.way(place.way_from(Position::new(0.0, 0.0)));
        Position::new(way.x, way.y)
    }

    /// The standard uncertainty along and across of a point whose own is `sd` on each axis of the film.
    pub fn spread(&self, sd: Pixels) -> [Millimetres; 2] {
        [self.along, self.across].map(|[x, y]| Millimetres(sd.get() * x.hypot(y)))
    }
}
