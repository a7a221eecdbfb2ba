//! Where source and receptor stand, and where a point of the tooth is projected to.

use super::space::{Point3, Vector3};
use crate::case::{Fdi, FilmSide};
use crate::geometry::{Position, Stored};
use crate::quantity::{Degrees, Millimetres};

/// A flat receptor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Receptor {
    /// The outer corner of the first pixel.
    pub corner: Point3,
    /// The way of length 1 along a row.
    pub right: Vector3,
    /// The way of length 1 down a column, square to `right`.
    pub down: Vector3,
    /// From the centre of a column to the next.
    pub across_pitch: Millimetres,
    /// From the centre of a row to the next.
    pub down_pitch: Millimetres,
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
}

/// One exposure: source and receptor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// The middle of the focal spot.
    pub source: Point3,
    /// Width and height of the focal spot, square to the beam; 0 is a point.
    pub focus: Millimetres,
    /// The receptor.
    pub receptor: Receptor,
}

/// How an exposure is aimed at a tooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// From the source to the receptor along the central ray.
    pub source_to_receptor: Millimetres,
    /// From the tooth's axis to the receptor along the central ray.
    pub tooth_to_receptor: Millimetres,
    /// How far the beam is inclined towards the apex: positive where it comes from the side of the crown.
    pub vertical: Degrees,
    /// How far the beam is turned towards distal.
    pub horizontal: Degrees,
    /// How far the receptor's apical edge leans away from the tooth.
    pub receptor_tilt: Degrees,
    /// How far the receptor is turned in its own plane.
    pub roll: Degrees,
    /// The focal spot.
    pub focus: Millimetres,
    /// From the centre of a pixel to the next, both ways.
    pub pitch: Millimetres,
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
}

impl Default for Aim {
    /// The paralleling technique with a long cone: 400 mm, tooth 12 mm from the receptor (common practice), a receptor of
    /// 27 by 36 mm.
    fn default() -> Self {
        Self {
            source_to_receptor: Millimetres(400.0),
            tooth_to_receptor: Millimetres(12.0),
            vertical: Degrees(0.0),
            horizontal: Degrees(0.0),
            receptor_tilt: Degrees(0.0),
            roll: Degrees(0.0),
            focus: Millimetres(0.0),
            pitch: Millimetres(0.03),
            width_px: 900,
            height_px: 1200,
        }
    }
}

/// Why there is no such exposure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoExposure {
    /// A size of nothing, or no number.
    #[error("{what} is {value}, and must be {range}")]
    Size {
        /// Which.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What it must be.
        range: &'static str,
    },
    /// The tooth would lie behind the source.
    #[error(
        "the tooth is {tooth} mm from the receptor and the source {source_at} mm: the source must be at least 50 mm further off than the tooth"
    )]
    SourceTooNear {
        /// Tooth to receptor.
        tooth: f64,
        /// Source to receptor.
        source_at: f64,
    },
}

impl Exposure {
    /// The exposure aimed at `target`, which the central ray passes and the middle of the receptor lies behind.
    ///
    /// The film is turned as it is mounted: seen from in front, roots upwards in the upper jaw.
    ///
    /// # Errors
    /// A size of nothing, an angle beyond use, or a source too near.
    pub fn aimed(tooth: Fdi, target: Point3, aim: &Aim) -> Result<Self, NoExposure> {
        aim.check()?;
        let inclined = |degrees: Degrees| (libm::sin(degrees.radians()), libm::cos(degrees.radians()));
        let (sin_v, cos_v) = inclined(aim.vertical);
        let (sin_h, cos_h) = inclined(aim.horizontal);
        let beam = Vector3::new(sin_h * cos_v, cos_h * cos_v, sin_v);
        let middle = target.moved(beam.times(aim.tooth_to_receptor.get()));
        let source = target.moved(beam.times(aim.tooth_to_receptor.get() - aim.source_to_receptor.get()));
        let (sin_t, cos_t) = inclined(aim.receptor_tilt);
        let apical = Vector3::new(0.0, sin_t, cos_t);
        let distal = Vector3::new(1.0, 0.0, 0.0);
        let down = if tooth.is_upper() { apical.times(-1.0) } else { apical };
        let right = match tooth.mesial_seen_from_in_front() {
            FilmSide::Left => distal,
            FilmSide::Right => distal.times(-1.0),
        };
        let (sin_r, cos_r) = inclined(aim.roll);
        let (right, down) =
            (right.times(cos_r).plus(down.times(sin_r)), down.times(cos_r).plus(right.times(-sin_r)));
        let half = |pixels: u32| -0.5 * f64::from(pixels) * aim.pitch.get();
        let corner = middle.moved(right.times(half(aim.width_px))).moved(down.times(half(aim.height_px)));
        let receptor = Receptor {
            corner,
            right,
            down,
            across_pitch: aim.pitch,
            down_pitch: aim.pitch,
            width_px: aim.width_px,
            height_px: aim.height_px,
        };
        Ok(Self { source, focus: aim.focus, receptor })
    }

    /// Where a point is projected to, in pixels of the film; `None` where no ray through it meets the receptor's plane.
    pub fn project(&self, point: Point3) -> Option<Position<Stored>> {
        let Receptor { corner, right, down, across_pitch, down_pitch, .. } = self.receptor;
        let normal = right.cross(down);
        let ray = point.way_from(self.source);
        let depth = corner.way_from(self.source).dot(normal);
        let reach = ray.dot(normal);
        let scale = depth / reach;
        // Where the point lies behind the source, the scale is negative.
        if !(scale.is_finite() && scale > 0.0) {
            return None;
        }
        let way = self.source.moved(ray.times(scale)).way_from(corner);
        Some(Position::new(way.dot(right) / across_pitch.get(), way.dot(down) / down_pitch.get()))
    }

    /// Where a position of the film lies in space.
    pub fn on_receptor(&self, position: Position<Stored>) -> Point3 {
        let Receptor { corner, right, down, across_pitch, down_pitch, .. } = self.receptor;
        corner
            .moved(right.times(position.x * across_pitch.get()))
            .moved(down.times(position.y * down_pitch.get()))
    }

    /// By how much a short way parallel to the receptor is enlarged at a point: distance of the source from the receptor
    /// over that from the point, both square to the receptor.
    pub fn magnification_at(&self, point: Point3) -> Option<f64> {
        let normal = self.receptor.right.cross(self.receptor.down);
        let scale =
            self.receptor.corner.way_from(self.source).dot(normal) / point.way_from(self.source).dot(normal);
        (scale.is_finite() && scale > 0.0).then_some(scale)
    }

    /// The film's rim where a ball's shadow ends: `count` points of the ball at which rays from the source touch it.
    pub fn rim_of_ball(&self, centre: Point3, radius: Millimetres, count: u32) -> Vec<Point3> {
        let towards = self.source.way_from(centre);
        let distance = towards.length();
        let Some(axis) = towards.unit() else { return Vec::new() };
        let near = radius.get() * radius.get() / distance;
        let rim = (radius.get() * radius.get() - near * near).max(0.0).sqrt();
        let middle = centre.moved(axis.times(near));
        let Some(one) = self.receptor.right.cross(axis).unit() else { return Vec::new() };
        let other = axis.cross(one);
        (0..count)
            .map(|index| {
                let angle = std::f64::consts::TAU * f64::from(index) / f64::from(count);
                let way = one.times(libm::cos(angle)).plus(other.times(libm::sin(angle)));
                middle.moved(way.times(rim))
            })
            .collect()
    }
}

impl Aim {
    fn check(&self) -> Result<(), NoExposure> {
        let within = |what, value: f64, low: f64, high: f64, range| {
            if (low..=high).contains(&value) { Ok(()) } else { Err(NoExposure::Size { what, value, range }) }
        };
        within("the distance of pixels", self.pitch.get(), 0.005, 1.0, "0.005 to 1 mm")?;
        within("the film's width", f64::from(self.width_px), 16.0, 8192.0, "16 to 8192 pixels")?;
        within("the film's height", f64::from(self.height_px), 16.0, 8192.0, "16 to 8192 pixels")?;
        within("the focal spot", self.focus.get(), 0.0, 5.0, "0 to 5 mm")?;
        within(
            "the distance of the tooth from the receptor",
            self.tooth_to_receptor.get(),
            0.0,
            200.0,
            "0 to 200 mm",
        )?;
        within(
            "the distance of the source from the receptor",
            self.source_to_receptor.get(),
            50.0,
            5000.0,
            "50 to 5000 mm",
        )?;
        within("the beam's vertical angle", self.vertical.get(), -45.0, 45.0, "-45 to 45 deg")?;
        within("the beam's horizontal angle", self.horizontal.get(), -45.0, 45.0, "-45 to 45 deg")?;
        within("the receptor's tilt", self.receptor_tilt.get(), -45.0, 45.0, "-45 to 45 deg")?;
        within("the receptor's roll", self.roll.get(), -45.0, 45.0, "-45 to 45 deg")?;
        let (tooth, source_at) = (self.tooth_to_receptor.get(), self.source_to_receptor.get());
        if source_at - tooth < 50.0 {
            return Err(NoExposure::SourceTooNear { tooth, source_at });
        }
        Ok(())
    }
}
