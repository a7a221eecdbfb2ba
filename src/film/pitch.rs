//! The distance between pixel centres, as the file states it, and the statements nobody measured.

use super::Orientation;
use crate::caution::{Caution, CautionKind};
use crate::quantity::Millimetres;
use serde::{Serialize, Serializer};
use std::fmt;

/// The distance between the centres of neighbouring pixels on the film or receptor, not in the tooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pitch {
    /// From column to column, after orientation.
    pub across: Millimetres,
    /// From row to row, after orientation.
    pub down: Millimetres,
    /// Which statement of the file it comes from.
    pub from: PitchFrom,
}

/// The statement in a file that a pitch comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PitchFrom {
    /// PNG's pHYs chunk, in pixels per metre.
    PngPhys,
    /// The density of a JFIF header.
    JfifDensity,
    /// Resolution in EXIF data.
    ExifResolution,
    /// TIFF's `XResolution` and `YResolution`.
    TiffResolution,
    /// Pixels per metre in a BMP header.
    BmpResolution,
    /// DICOM Imager Pixel Spacing: at the receptor.
    DicomImager,
    /// DICOM Nominal Scanned Pixel Spacing: on the film that was scanned.
    DicomScanned,
    /// DICOM Pixel Spacing corrected by geometry: in the patient, at a depth that is not stated.
    DicomGeometry,
    /// DICOM Pixel Spacing calibrated on an object of known size: in the patient, at its depth.
    DicomFiducial,
    /// DICOM Pixel Spacing that differs from the spacing at the receptor or scanner, so calibrated somehow.
    DicomCalibrated,
    /// DICOM Pixel Spacing with nothing beside it that says where it holds.
    DicomUnknownPlane,
}

impl fmt::Display for PitchFrom {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::PngPhys => "PNG pHYs",
            Self::JfifDensity => "JFIF density",
            Self::ExifResolution => "EXIF resolution",
            Self::TiffResolution => "TIFF resolution",
            Self::BmpResolution => "BMP resolution",
            Self::DicomImager => "DICOM Imager Pixel Spacing",
            Self::DicomScanned => "DICOM Nominal Scanned Pixel Spacing",
            Self::DicomGeometry => "DICOM Pixel Spacing, corrected by geometry",
            Self::DicomFiducial => "DICOM Pixel Spacing, calibrated on an object",
            Self::DicomCalibrated => "DICOM Pixel Spacing, calibrated",
            Self::DicomUnknownPlane => "DICOM Pixel Spacing, plane not stated",
        })
    }
}

impl PitchFrom {
    /// Whether it is the pitch of a receptor, and not of a film that was scanned.
    pub const fn of_receptor(self) -> bool {
        matches!(
            self,
            Self::DicomImager
                | Self::DicomGeometry
                | Self::DicomFiducial
                | Self::DicomCalibrated
                | Self::DicomUnknownPlane
        )
    }
}

impl Serialize for PitchFrom {
    /// The words for people.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// The unit a file states its resolution in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PerLength {
    /// Pixels per inch of 25.4 mm.
    Inch,
    /// Pixels per centimetre.
    Centimetre,
    /// Pixels per metre.
    Metre,
}

impl PerLength {
    const fn millimetres(self) -> f64 {
        match self {
            Self::Inch => 25.4,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
        }
    }
}

/// What a file says about its resolution, stored grid, before any judgement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Statement {
    pub(super) from: PitchFrom,
    pub(super) unit: PerLength,
    /// Pixels per unit from column to column; `None` where it is missing or no number.
    pub(super) across: Option<f64>,
    /// Pixels per unit from row to row.
    pub(super) down: Option<f64>,
}

/// What programs write when nobody measured: the screens of two systems of the 1980s.
const NOBODY_MEASURED: [f64; 2] = [72.0, 96.0];

impl Statement {
    /// The pitch in the stored grid; `None` where the statement is zero or malformed.
    fn pitch(&self) -> Option<(f64, f64)> {
        let one = |count: Option<f64>| {
            let pitch = self.unit.millimetres() / count.filter(|count| *count > 0.0)?;
            (pitch.is_finite() && pitch > 0.0).then_some(pitch)
        };
        Some((one(self.across)?, one(self.down)?))
    }

    /// The dots per inch of [`NOBODY_MEASURED`] that this statement is, in either direction.
    fn nobody_measured(&self) -> Option<f64> {
        [self.across, self.down].into_iter().flatten().find_map(|count| self.screen_dots(count))
    }

    /// Whether `count` is one of the screen resolutions written in this unit, also where the unit made it a
    /// fraction that was then rounded, down, to nearest or to two decimals.
    fn screen_dots(&self, count: f64) -> Option<f64> {
        NOBODY_MEASURED.into_iter().find(|dots| {
            let exact = dots * self.unit.millimetres() / 25.4;
            let rounded = [exact.floor(), exact.round()];
            rounded.contains(&count) || (count - exact).abs() < 1e-3 * exact
        })
    }
}

/// The dots per inch of [`NOBODY_MEASURED`] whose distance in mm this is.
pub(super) fn screen_pitch(millimetres: f64) -> Option<f64> {
    NOBODY_MEASURED.into_iter().find(|dots| (millimetres * dots / 25.4 - 1.0).abs() < 1e-3)
}

/// Judges the statements of one file, the most trusted first: only the first counts, the others are compared.
pub(super) fn judge(
    statements: &[Statement],
    orientation: Orientation,
    cautions: &mut Vec<Caution>,
) -> Option<Pitch> {
    let first = statements.first()?;
    let Some((across, down)) = first.pitch() else {
        cautions.push(Caution::general(CautionKind::PitchMalformed).detail(first.from.to_string()));
        return None;
    };
    if let Some(factor) =
        statements.iter().skip(1).find_map(|other| difference((across, down), other.pitch()?))
    {
        cautions.push(Caution::general(CautionKind::PitchStatementsDiffer).value(factor));
    }
    if let Some(dots) = first.nobody_measured() {
        cautions.push(Caution::general(CautionKind::PitchNotMeasured).value(dots));
        return None;
    }
    let (across, down) = orientation.turned(across, down);
    Some(Pitch { across: Millimetres(across), down: Millimetres(down), from: first.from })
}

/// The factor, above 1, by which two pitches differ; `None` within one percent, which whole numbers of dots
/// per centimetre already differ by.
fn difference(one: (f64, f64), other: (f64, f64)) -> Option<f64> {
    const ROUNDING: f64 = 1.01;
    let apart = |one: f64, other: f64| (one / other).max(other / one);
    let factor = apart(one.0, other.0).max(apart(one.1, other.1));
    (factor > ROUNDING).then_some(factor)
}
