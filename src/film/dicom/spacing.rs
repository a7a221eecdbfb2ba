//! The distance of pixels, by PS3.3, 10.7.1: whether it is that at the receptor, that in the patient, that on a film
//! scanned, or one of which nothing can be said.

use super::attributes::Stated;
use super::layout::Layout;
use super::walk::DataSet;
use crate::caution::{Caution, CautionKind};
use crate::film::pitch::{Pitch, PitchFrom, screen_pitch};
use crate::quantity::Millimetres;
use dicom_core::Tag;
use dicom_dictionary_std::tags;

/// What the file says of its scale.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Spacing {
    pub(super) pitch: Option<Pitch>,
    pub(super) magnification: Option<f64>,
    /// Down / across, where only that is stated.
    pub(super) aspect: Option<f64>,
}

/// The distance from row to row, which comes first in the file (10.7.1.3), and from column to column.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Pair {
    down: f64,
    across: f64,
}

/// Beyond these nothing is a distance of pixels in mm.
const SMALLEST: f64 = 1e-6;
const LARGEST: f64 = 1e3;
/// Two statements closer than this say the same: decimal strings round.
const SAME: f64 = 1e-4;
/// Statements of one thing further apart than this contradict each other.
const CONTRADICTING: f64 = 1.01;

/// Judges all that the file states.
pub(super) fn judge(set: &DataSet<'_>, layout: &Layout, cautions: &mut Vec<Caution>) -> Spacing {
    let mut pair = |tag, name| pair(set, tag, name, layout, cautions);
    let patient = pair(tags::PIXEL_SPACING, "Pixel Spacing");
    let receptor = pair(tags::IMAGER_PIXEL_SPACING, "Imager Pixel Spacing");
    let scanned = pair(tags::NOMINAL_SCANNED_PIXEL_SPACING, "Nominal Scanned Pixel Spacing");
    let kind = set.text(tags::PIXEL_SPACING_CALIBRATION_TYPE);
    if kind.is_some_and(|kind| !matches!(kind, "GEOMETRY" | "FIDUCIAL")) {
        cautions.push(Caution::general(CautionKind::PitchMalformed).detail("Pixel Spacing Calibration Type"));
    }
    let elsewhere = receptor.or(scanned);
    let calibrated = match (patient, kind, elsewhere) {
        (Some(_), Some("GEOMETRY"), _) => Some(PitchFrom::DicomGeometry),
        (Some(_), Some("FIDUCIAL"), _) => Some(PitchFrom::DicomFiducial),
        (Some(patient), _, Some(elsewhere)) if !same(patient, elsewhere) => Some(PitchFrom::DicomCalibrated),
        _ => None,
    };
    let stated = match (calibrated, receptor, scanned, patient) {
        (Some(from), _, _, Some(patient)) => Some((patient, from)),
        (_, Some(receptor), ..) => Some((receptor, PitchFrom::DicomImager)),
        (_, _, Some(scanned), _) => Some((scanned, PitchFrom::DicomScanned)),
        (_, _, _, Some(patient)) => Some((patient, PitchFrom::DicomUnknownPlane)),
        _ => None,
    };
    let aspect = aspect(set, cautions);
    let Some((pair, from)) = stated else {
        return Spacing { pitch: None, magnification: None, aspect };
    };
    if let Some(stated) = aspect {
        let own = pair.down / pair.across;
        let factor = (own / stated).max(stated / own);
        if factor > CONTRADICTING {
            cautions.push(Caution::general(CautionKind::PitchStatementsDiffer).value(factor));
        }
    }
    let magnification = match from {
        PitchFrom::DicomGeometry | PitchFrom::DicomFiducial | PitchFrom::DicomCalibrated => {
            cautions.push(Caution::general(CautionKind::PitchCalibrated));
            Some(1.0)
        }
        PitchFrom::DicomUnknownPlane => {
            cautions.push(Caution::general(CautionKind::PitchPlaneUnknown));
            None
        }
        _ => magnification(set, cautions),
    };
    // A receptor has the pixels it has; a scan or an export can be one that nobody measured.
    if matches!(from, PitchFrom::DicomScanned | PitchFrom::DicomUnknownPlane)
        && let Some(dots) = screen_pitch(pair.across).or(screen_pitch(pair.down))
    {
        cautions.push(Caution::general(CautionKind::PitchNotMeasured).value(dots));
        return Spacing { pitch: None, magnification: None, aspect };
    }
    let pitch = Pitch { across: Millimetres(pair.across), down: Millimetres(pair.down), from };
    Spacing { pitch: Some(pitch), magnification, aspect: None }
}

fn same(one: Pair, other: Pair) -> bool {
    let close = |one: f64, other: f64| (one - other).abs() <= SAME * one.max(other);
    close(one.down, other.down) && close(one.across, other.across)
}

/// A pair of distances, or nothing and a caution where they are none. The distance of a single row or column from the
/// next may be 0 (10.7.1.3): there is no next.
fn pair(
    set: &DataSet<'_>,
    tag: Tag,
    name: &str,
    layout: &Layout,
    cautions: &mut Vec<Caution>,
) -> Option<Pair> {
    let values = match set.decimals(tag) {
        Stated::Nothing => return None,
        Stated::Malformed => Vec::new(),
        Stated::Value(values) => values,
    };
    let fits = |value: f64| (SMALLEST..=LARGEST).contains(&value);
    let pair = match values[..] {
        [down, across] if fits(down) && fits(across) => Some(Pair { down, across }),
        [0.0, across] if layout.rows == 1 && fits(across) => Some(Pair { down: across, across }),
        [down, 0.0] if layout.columns == 1 && fits(down) => Some(Pair { down, across: down }),
        _ => None,
    };
    if pair.is_none() {
        cautions.push(Caution::general(CautionKind::PitchMalformed).detail(name));
    }
    pair
}

/// Pixel Aspect Ratio: vertical to horizontal size, two whole numbers.
fn aspect(set: &DataSet<'_>, cautions: &mut Vec<Caution>) -> Option<f64> {
    match set.decimals(tags::PIXEL_ASPECT_RATIO) {
        Stated::Nothing => return None,
        Stated::Value(values) => {
            if let [down, across] = values[..]
                && down >= 1.0
                && across >= 1.0
                && down.fract() == 0.0
                && across.fract() == 0.0
            {
                return Some(down / across).filter(|aspect| (0.01..=100.0).contains(aspect));
            }
        }
        Stated::Malformed => {}
    }
    cautions.push(Caution::general(CautionKind::PitchMalformed).detail("Pixel Aspect Ratio"));
    None
}

/// The magnification: as stated, or else the distance of source and receptor by that of source and patient.
fn magnification(set: &DataSet<'_>, cautions: &mut Vec<Caution>) -> Option<f64> {
    // Nothing is projected smaller than it is, and nothing near the receptor much larger.
    const MAGNIFICATIONS: std::ops::RangeInclusive<f64> = 1.0..=10.0;
    let mut malformed = |name: &str| {
        cautions.push(Caution::general(CautionKind::MagnificationMalformed).detail(name));
    };
    let stated = match set.decimal(tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR) {
        Stated::Nothing => None,
        Stated::Value(value) if MAGNIFICATIONS.contains(&value) => Some(value),
        _ => {
            malformed("Estimated Radiographic Magnification Factor");
            None
        }
    };
    let by_distances =
        match (set.decimal(tags::DISTANCE_SOURCE_TO_DETECTOR), set.decimal(tags::DISTANCE_SOURCE_TO_PATIENT))
        {
            (Stated::Nothing, _) | (_, Stated::Nothing) => None,
            (Stated::Value(detector), Stated::Value(patient))
                if patient > 0.0 && MAGNIFICATIONS.contains(&(detector / patient)) =>
            {
                Some(detector / patient)
            }
            _ => {
                malformed("Distance Source to Detector, Distance Source to Patient");
                None
            }
        };
    if let (Some(stated), Some(by_distances)) = (stated, by_distances) {
        let factor = (stated / by_distances).max(by_distances / stated);
        if factor > CONTRADICTING {
            cautions.push(Caution::general(CautionKind::MagnificationStatementsDiffer).value(factor));
        }
    }
    stated.or(by_distances)
}
