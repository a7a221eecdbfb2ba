//! The uncertainties a case works with: what it states, else what technique and tooth imply.

use crate::calibration::DEFAULT_PLACING_MM;
use crate::case::{Case, Fdi, Technique};
use crate::quantity::{Degrees, Millimetres};

/// The uncertainties in force.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assumptions {
    /// Standard uncertainty of placing a point, each axis.
    pub placing: Millimetres,
    /// Standard uncertainty of a point's depth before or behind the canal plane.
    pub parallax_depth: Millimetres,
    /// Standard uncertainty of the beam's vertical angle.
    pub angulation: Degrees,
    /// Standard uncertainty of the ratio of the two scale factors.
    pub ratio_sd: f64,
}

impl Assumptions {
    /// Those of a case.
    ///
    /// Beam and receptor each off by 8 deg give 0.03 for the ratio, by 10 deg and more 0.05 (simulation); 2 mm of
    /// depth, 4 mm in molars, and 5 or 10 deg of vertical angle are common practice. Where no tooth is named, the
    /// larger depth is taken.
    pub fn of(case: &Case) -> Self {
        let loose = matches!(case.film.technique, Some(Technique::Bisecting | Technique::Unknown));
        let deep = case.tooth.fdi.is_none_or(Fdi::is_molar);
        let stated = &case.uncertainty;
        Self {
            placing: Millimetres(stated.placing_mm.unwrap_or(DEFAULT_PLACING_MM)),
            parallax_depth: Millimetres(stated.parallax_depth_mm.unwrap_or(if deep { 4.0 } else { 2.0 })),
            angulation: Degrees(stated.angulation_deg.unwrap_or(if loose { 10.0 } else { 5.0 })),
            ratio_sd: case.calibration.ratio_sd.unwrap_or(if loose { 0.05 } else { 0.03 }),
        }
    }

    /// Standard uncertainty of one shift along the axial direction, first order in depth and exact in the angle.
    pub fn shift_sd(&self) -> Millimetres {
        Millimetres(self.parallax_depth.get() * self.angulation.radians().tan())
    }
}
