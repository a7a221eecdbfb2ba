//! What can be wrong with a reference by itself.

use super::reference::{Reference, ReferencePoint};
use crate::geometry::{CircleError, fit_circle};

/// Why a reference cannot serve, with the key at fault.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{why}")]
pub struct ReferenceRefused {
    /// The key of the reference that is wrong, as a path below it: `length_mm`, `points/1`.
    pub key: String,
    /// What is wrong and what would mend it.
    pub why: String,
}

fn refused(key: &str, why: impl Into<String>) -> ReferenceRefused {
    ReferenceRefused { key: key.to_owned(), why: why.into() }
}

impl Reference {
    /// Checks everything that can be wrong with a reference by itself.
    ///
    /// # Errors
    /// Points that coincide or make no circle, a size that is not above 0, a negative uncertainty; the error says
    /// which key, and what would mend it.
    pub fn check(&self) -> Result<(), ReferenceRefused> {
        match self {
            Self::Instrument(it) => {
                check_size("length_mm", it.length_mm, it.object.is_some())?;
                check_spread("tolerance_mm", it.tolerance_mm)?;
                check_spread("length_sd_mm", it.length_sd_mm)?;
                check_points(&it.points, 2, usize::MAX)?;
                let (Some(first), Some(last)) = (it.points.first(), it.points.last()) else { return Ok(()) };
                if first.position() == last.position() {
                    return Err(refused("points", "its first and last point are one place; click both ends"));
                }
            }
            Self::Width(it) => {
                check_size("diameter_mm", it.diameter_mm, it.object.is_some())?;
                check_spread("tolerance_mm", it.tolerance_mm)?;
                check_spread("diameter_sd_mm", it.diameter_sd_mm)?;
                check_points(&it.points, 2, 2)?;
            }
            Self::Sphere(it) => {
                check_size("diameter_mm", it.diameter_mm, it.object.is_some())?;
                check_spread("tolerance_mm", it.tolerance_mm)?;
                check_spread("diameter_sd_mm", it.diameter_sd_mm)?;
                check_points(&it.points, 3, usize::MAX)?;
                let rim: Vec<_> = it.points.iter().map(ReferencePoint::position).collect();
                fit_circle(&rim).map_err(|error: CircleError| {
                    refused("points", format!("{error}; spread the points around the ball's rim"))
                })?;
            }
            Self::Receptor(it) => {
                for (index, pitch) in it.pitch_mm.into_iter().enumerate() {
                    if !(pitch.is_finite() && pitch > 0.0) {
                        return Err(refused(
                            &format!("pitch_mm/{index}"),
                            above_zero(pitch, "a pitch in mm"),
                        ));
                    }
                }
                check_magnification(it.magnification, it.magnification_sd)?;
            }
            Self::Scan(it) => {
                if !(it.dpi.is_finite() && it.dpi > 0.0) {
                    return Err(refused("dpi", above_zero(it.dpi, "a resolution in dots per inch")));
                }
                check_magnification(it.magnification, it.magnification_sd)?;
            }
        }
        Ok(())
    }
}

fn above_zero(found: f64, what: &str) -> String {
    format!("is {found}, but {what} is more than 0")
}

fn check_size(key: &str, size: Option<f64>, object_named: bool) -> Result<(), ReferenceRefused> {
    match size {
        Some(size) if !(size.is_finite() && size > 0.0) => {
            Err(refused(key, above_zero(size, "a size in mm")))
        }
        None if !object_named => {
            Err(refused(key, "is missing: give the known size in mm, or name an `object`"))
        }
        _ => Ok(()),
    }
}

fn check_spread(key: &str, spread: Option<f64>) -> Result<(), ReferenceRefused> {
    match spread {
        Some(spread) if !(spread.is_finite() && spread >= 0.0) => {
            Err(refused(key, format!("is {spread}, but an uncertainty is 0 or more")))
        }
        _ => Ok(()),
    }
}

fn check_magnification(magnification: Option<f64>, sd: Option<f64>) -> Result<(), ReferenceRefused> {
    if let Some(magnification) = magnification.filter(|it| !(0.5..=3.0).contains(it)) {
        let why = format!("is {magnification}, but a magnification is 0.5 to 3 (5 % larger is 1.05)");
        return Err(refused("magnification", why));
    }
    check_spread("magnification_sd", sd)
}

fn check_points(points: &[ReferencePoint], least: usize, most: usize) -> Result<(), ReferenceRefused> {
    if points.len() < least || points.len() > most {
        let wanted = if least == most { format!("{least}") } else { format!("at least {least}") };
        return Err(refused("points", format!("takes {wanted} points, here are {}", points.len())));
    }
    for (index, pair) in points.windows(2).enumerate() {
        if let [one, next] = pair
            && one.position() == next.position()
        {
            return Err(refused(
                &format!("points/{}", index + 1),
                "lies on the point before it; two points at one place have no length",
            ));
        }
    }
    Ok(())
}
