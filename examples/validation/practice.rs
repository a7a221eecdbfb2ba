//! How films are taken in this study: the distributions of angles and distances, and one exposure drawn from them.

use super::dice::Dice;
use crestgauge::case::{Landmark, Technique};
use crestgauge::phantom::{Aim, Exposure, NoExposure, Point3, SpatialLandmarks, Tooth};
use crestgauge::quantity::{Degrees, Millimetres};

/// A way films are taken. Angles are measured against the tooth's long axis and square to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Practice {
    /// Its name, in files and tables.
    pub(crate) name: &'static str,
    /// What the case says of it.
    pub(crate) technique: Technique,
    /// How far the beam is off, vertically and horizontally, sd in deg.
    pub(crate) beam_deg: f64,
    /// How far the receptor is off, tilted and turned, sd in deg.
    pub(crate) receptor_deg: f64,
    /// How far the receptor is tilted on purpose, from and to, deg; the beam is then meant to be square to the bisector.
    pub(crate) leaning_deg: [f64; 2],
}

/// The practices of the study; the first is the main one.
pub(crate) const PRACTICES: [Practice; 4] = [
    Practice {
        name: "paralleling",
        technique: Technique::Paralleling,
        beam_deg: 5.0,
        receptor_deg: 8.0,
        leaning_deg: [0.0, 0.0],
    },
    Practice {
        name: "paralleling, beam off by 8 deg",
        technique: Technique::Paralleling,
        beam_deg: 8.0,
        receptor_deg: 8.0,
        leaning_deg: [0.0, 0.0],
    },
    Practice {
        name: "bisecting",
        technique: Technique::Bisecting,
        beam_deg: 10.0,
        receptor_deg: 10.0,
        leaning_deg: [0.0, 0.0],
    },
    Practice {
        name: "bisecting, receptor leaning 10 to 30 deg",
        technique: Technique::Bisecting,
        beam_deg: 5.0,
        receptor_deg: 5.0,
        leaning_deg: [10.0, 30.0],
    },
];

/// From source to receptor, mm: cones of 12 to 16 inches.
const SOURCE_TO_RECEPTOR: [f64; 2] = [305.0, 406.0];
/// From the tooth's axis to the receptor, mm (10 to 30 in textbooks, from memory; the largest only at palatal roots).
const TOOTH_TO_RECEPTOR: [f64; 2] = [10.0, 25.0];
/// How far the receptor is turned in its own plane, sd in deg. It changes no length.
const ROLL: f64 = 4.0;
/// No exposure is aimed further off than this, deg.
const FURTHEST: f64 = 44.0;

/// How far the tooth's long axis leans towards lingual, deg: from the middle of its neck to the mean of its apices.
pub(crate) fn lean(landmarks: &SpatialLandmarks) -> Degrees {
    let apices: Vec<Point3> =
        landmarks.roots.iter().filter_map(|root| root.points.get(&Landmark::Apex.id()).copied()).collect();
    Point3::mean(&apices).map_or(Degrees(0.0), |apex| Degrees(libm::atan2(apex.y, apex.z).to_degrees()))
}

impl Practice {
    /// One exposure of a tooth.
    pub(crate) fn exposure(
        &self,
        tooth: &Tooth,
        landmarks: &SpatialLandmarks,
        dice: &mut Dice,
    ) -> Result<Exposure, NoExposure> {
        let lean = lean(landmarks).get();
        let [least, most] = self.leaning_deg;
        let leaning = dice.between(least, most);
        let mut off = |sd: f64, meant: f64| Degrees((meant + dice.normal(sd)).clamp(-FURTHEST, FURTHEST));
        let vertical = off(self.beam_deg, -lean - 0.5 * leaning);
        let horizontal = off(self.beam_deg, 0.0);
        let receptor_tilt = off(self.receptor_deg, lean + leaning);
        let turn = off(self.receptor_deg, 0.0);
        let roll = off(ROLL, 0.0);
        let [near, far] = SOURCE_TO_RECEPTOR;
        let source_to_receptor = Millimetres(dice.between(near, far));
        let [near, far] = TOOTH_TO_RECEPTOR;
        let tooth_to_receptor = Millimetres(dice.between(near, far));
        let aim = Aim {
            source_to_receptor,
            tooth_to_receptor,
            vertical,
            horizontal,
            receptor_tilt,
            roll,
            ..Aim::default()
        };
        Ok(turned(Exposure::aimed(tooth.fdi, Point3::new(0.0, 0.0, 5.0), &aim)?, turn))
    }
}

/// The exposure with its receptor turned about the line down its middle.
fn turned(mut exposure: Exposure, by: Degrees) -> Exposure {
    let receptor = &mut exposure.receptor;
    let half_width = 0.5 * f64::from(receptor.width_px) * receptor.across_pitch.get();
    let normal = receptor.right.cross(receptor.down);
    let middle = receptor.corner.moved(receptor.right.times(half_width));
    let (sine, cosine) = (libm::sin(by.radians()), libm::cos(by.radians()));
    receptor.right = receptor.right.times(cosine).plus(normal.times(sine));
    receptor.corner = middle.moved(receptor.right.times(-half_width));
    exposure
}
