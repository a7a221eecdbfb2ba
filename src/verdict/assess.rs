//! From a case to everything computed from it: measurements, verdicts and cautions as plain rows.

use super::criteria::Criteria;
use super::judge::judge;
use crate::calibration::Library;
use crate::case::{Case, Computed, Derived, MeasurementRow, ScaleRow, SharedAngle};
use crate::caution::{Caution, CautionRow};
use crate::measure::{Draws, Measured, Measurement, Missing, Source, UnknownObject, measure};

/// Program and version, as files name it.
pub const PROGRAM: &str = concat!("crestgauge ", env!("CARGO_PKG_VERSION"));

/// Measures and judges a case.
///
/// `noticed` are cautions raised on reading the case and its film; they stand before those of measuring.
///
/// # Errors
/// A reference names an object the library lacks.
pub fn assess(
    case: &Case,
    library: &Library,
    criteria: &Criteria,
    draws: Draws,
    noticed: &[Caution],
) -> Result<Derived, UnknownObject> {
    Ok(rows(case, &measure(case, library, draws)?, criteria, draws, noticed))
}

/// Judges a case that was measured already; `draws` are those it was measured with. Otherwise as [`assess`].
pub fn rows(
    case: &Case,
    measured: &Measured,
    criteria: &Criteria,
    draws: Draws,
    noticed: &[Caution],
) -> Derived {
    let measurements = measured.measurements.iter().map(measurement_row).collect();
    let verdicts = criteria.list.iter().flat_map(|criterion| judge(criterion, case, measured)).collect();
    let computed = Computed {
        program: PROGRAM.to_owned(),
        criteria: criteria.name.clone(),
        criteria_sha256: criteria.sha256.clone(),
        draws: draws.count,
        seed: draws.seed,
        scale: scale_row(case, measured),
        shared_angle: shared_angle(measured),
    };
    let cautions = noticed.iter().chain(&measured.cautions).map(CautionRow::from).collect();
    Derived { computed, measurements, verdicts, cautions }
}

fn measurement_row(measurement: &Measurement) -> MeasurementRow {
    let mut row = MeasurementRow {
        of: measurement.of.clone(),
        value: measurement.value(),
        sd: measurement.sd(),
        interval: measurement.interval(),
        unit: measurement.row.unit,
        from: Vec::new(),
        state: None,
        shares: [].into(),
        first_order_doubtful: measurement.first_order_is_doubtful(),
        draws_used: measurement.drawn.map(|drawn| drawn.used),
        lacks: Vec::new(),
        reason: None,
    };
    match &measurement.result {
        Ok(value) => {
            row.from = measurement.from.iter().map(|id| id.key().to_owned()).collect();
            if measurement.uses_reading {
                row.from.push("clinical".to_owned());
            }
            row.state = Some(measurement.state);
            row.shares =
                value.variances.shares().map(|(source, share)| (source.key().to_owned(), share)).collect();
        }
        Err(Missing::Landmarks(lacks)) => row.lacks.clone_from(lacks),
        Err(Missing::Reason(reason)) => row.reason = Some(*reason),
    }
    row
}

fn scale_row(case: &Case, measured: &Measured) -> Option<ScaleRow> {
    let scale = measured.scale.as_ref().ok()?;
    let [axial_relative_sd, transverse_relative_sd] = scale.relative_sd();
    let distortion = scale.distortion();
    let from = if scale.uses_given_angle() { "tooth_axis" } else { "instrument" };
    Some(ScaleRow {
        axial_mm_per_px: scale.axial().get(),
        axial_relative_sd,
        transverse_mm_per_px: scale.transverse().get(),
        transverse_relative_sd,
        axial_angle_deg: scale.axial_direction().angle().to_degrees(),
        axial_direction_from: from.to_owned(),
        references: case.calibration.references.iter().map(|reference| reference.kind().to_owned()).collect(),
        elongation: distortion.map(|it| it.ratio),
        elongation_tilt_deg: distortion.map(|it| it.tilt.get()),
        disagreement_sd: distortion.map(|it| it.disagreement_sd),
    })
}

/// The row whose sd grows most if the beam's vertical angle, which all rows of a film share, is twice as uncertain.
fn shared_angle(measured: &Measured) -> Option<SharedAngle> {
    let angle = measured.assumptions.angulation;
    let growth = ((2.0 * angle.radians()).tan() / angle.radians().tan()).powi(2);
    if !growth.is_finite() {
        return None;
    }
    let doubled = |measurement: &Measurement| {
        let value = measurement.result.as_ref().ok()?;
        let parallax = value.variances.of(Source::Parallax);
        let doubled = value.variances.total() + parallax * (growth - 1.0);
        (parallax > 0.0).then(|| (value.estimate.sd, doubled.sqrt()))
    };
    // Millimetres with millimetres: a ratio's sd is no length.
    let (measurement, (sd, twice)) = measured
        .measurements
        .iter()
        .filter(|measurement| measurement.row.unit == crate::quantity::Unit::Millimetre)
        .filter_map(|measurement| doubled(measurement).map(|sds| (measurement, sds)))
        .max_by(|(_, one), (_, other)| (one.1 - one.0).total_cmp(&(other.1 - other.0)))?;
    Some(SharedAngle {
        angulation_deg: angle.get(),
        most_affected: measurement.of.clone(),
        sd,
        sd_at_twice_the_angle: twice,
    })
}
