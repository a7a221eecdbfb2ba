//! References: what on or about a film has a known size.

use crate::geometry::{CircleError, Position, Square, Stored, fit_circle};
use crate::quantity::{Pixels, rectangular_sd};
use crate::wording::words;
use schemars::JsonSchema;
use serde::Serialize;

/// Keys that begin with `x-`: the user's own, kept and written back.
pub type Extra = serde_json::Map<String, serde_json::Value>;

words! {
    /// How a point came to lie where it lies. It has no numerical effect.
    Placed {
        /// By hand, also where nothing is stated.
        Hand: "hand",
        /// By hand, then drawn to an edge.
        Snapped: "snapped",
        /// By the program, and accepted.
        Found: "found",
        /// Known, because the film was made.
        Truth: "truth",
    }
}

/// Closes an object's schema to unknown keys; the user's own begin with `x-`. An object's `kind` is its enum's.
pub fn closed(schema: &mut schemars::Schema) {
    schema.insert("additionalProperties".to_owned(), false.into());
    schema.insert("patternProperties".to_owned(), serde_json::json!({"^x-": true, "^kind$": true}));
}

/// A point clicked on a reference.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct ReferencePoint {
    /// Pixels from the film's left edge.
    pub x: f64,
    /// Pixels from the film's upper edge.
    pub y: f64,
    /// Standard uncertainty of placing, each axis, in widths of a pixel; 0 means exact.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub sd_px: Option<f64>,
    /// How it was placed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub placed: Option<Placed>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl ReferencePoint {
    /// Where it lies on the stored grid.
    pub fn position(&self) -> Position<Stored> {
        Position::new(self.x, self.y)
    }

    /// Where it lies once pixels are made square.
    pub fn squared(&self, pixel_aspect: f64) -> Position<Square> {
        Position::new(self.x, self.y * pixel_aspect)
    }
}

words! {
    /// What an instrument's length lies between. It has no numerical effect; it is what the user must be sure of.
    Between {
        /// From the tip to the rubber stop, set on a gauge.
        TipStop: "tip-stop",
        /// From the tip to the handle, as a catalogue gives it.
        TipHandle: "tip-handle",
        /// From the tip to the stop reference the stop rests on.
        TipReference: "tip-reference",
        /// A recorded working length, from the stop reference to the end of the filling.
        ReferenceFilling: "reference-filling",
        /// From one visible end to the other.
        Ends: "ends",
    }
}

/// The name of an object in the library of reference objects, which gives the size a reference does not state.
pub type Object = String;

/// An instrument, or anything straight or curved of known length, lying along the tooth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Instrument {
    /// Its two ends, or a polyline along a curved one.
    #[schemars(length(min = 2))]
    pub points: Vec<ReferencePoint>,
    /// Length between the first and the last point in mm; left out where `object` gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub length_mm: Option<f64>,
    /// Half width of the tolerance of the length in mm, read as rectangular.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub tolerance_mm: Option<f64>,
    /// Standard uncertainty of the length in mm; wins over the tolerance.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub length_sd_mm: Option<f64>,
    /// What the length lies between.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub between: Option<Between>,
    /// A named object of the library.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<Object>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// An object of known diameter lying along the tooth, its width clicked on the film.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Width {
    /// The two points across the object.
    #[schemars(length(min = 2, max = 2))]
    pub points: Vec<ReferencePoint>,
    /// Diameter in mm; left out where `object` gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub diameter_mm: Option<f64>,
    /// Half width of the tolerance of the diameter in mm, read as rectangular.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub tolerance_mm: Option<f64>,
    /// Standard uncertainty of the diameter in mm; wins over the tolerance.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub diameter_sd_mm: Option<f64>,
    /// A named object of the library.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<Object>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A ball of known diameter, its rim clicked on the film.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Sphere {
    /// Three or more points on the rim.
    #[schemars(length(min = 3))]
    pub points: Vec<ReferencePoint>,
    /// Diameter in mm; left out where `object` gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub diameter_mm: Option<f64>,
    /// Half width of the tolerance of the diameter in mm, read as rectangular.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub tolerance_mm: Option<f64>,
    /// Standard uncertainty of the diameter in mm; wins over the tolerance.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub diameter_sd_mm: Option<f64>,
    /// A named object of the library.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<Object>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A digital receptor whose pixels have a known pitch at the receptor.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Receptor {
    /// Pitch in mm: across, down.
    pub pitch_mm: [f64; 2],
    /// How much larger the tooth is thrown onto the receptor; 1.05 where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.5, max = 3.0))]
    pub magnification: Option<f64>,
    /// Standard uncertainty of the magnification; 0.03 where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub magnification_sd: Option<f64>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A film digitised at a known resolution.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Scan {
    /// Dots per inch of the scan.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub dpi: f64,
    /// How much larger the tooth is thrown onto the film; 1.05 where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.5, max = 3.0))]
    pub magnification: Option<f64>,
    /// Standard uncertainty of the magnification; 0.03 where not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub magnification_sd: Option<f64>,
    /// The user's own keys.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// One reference of a calibration.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Reference {
    /// Known length along the tooth.
    Instrument(Instrument),
    /// Known diameter across the tooth.
    Width(Width),
    /// Ball of known diameter.
    Sphere(Sphere),
    /// Known pitch at the receptor.
    Receptor(Receptor),
    /// Known resolution of a scan.
    Scan(Scan),
}

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
    /// The words `kind` can take.
    pub const KINDS: [&'static str; 5] = ["instrument", "width", "sphere", "receptor", "scan"];

    /// The word this reference's `kind` has in files.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Instrument(_) => "instrument",
            Self::Width(_) => "width",
            Self::Sphere(_) => "sphere",
            Self::Receptor(_) => "receptor",
            Self::Scan(_) => "scan",
        }
    }

    /// The clicked points; none for a receptor or a scan.
    pub fn points(&self) -> &[ReferencePoint] {
        match self {
            Self::Instrument(it) => &it.points,
            Self::Width(it) => &it.points,
            Self::Sphere(it) => &it.points,
            Self::Receptor(_) | Self::Scan(_) => &[],
        }
    }

    /// The named object of the library this reference takes its size from.
    pub fn object(&self) -> Option<&str> {
        match self {
            Self::Instrument(it) => it.object.as_deref(),
            Self::Width(it) => it.object.as_deref(),
            Self::Sphere(it) => it.object.as_deref(),
            Self::Receptor(_) | Self::Scan(_) => None,
        }
    }

    /// Whether it scales the axial direction; all others scale across it.
    pub const fn is_axial(&self) -> bool {
        matches!(self, Self::Instrument(_))
    }

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

/// The standard uncertainty of a size, from what is stated about it, and whether it is drawn rectangular.
pub(super) fn size_spread(sd: Option<f64>, tolerance: Option<f64>, default_tolerance: f64) -> (f64, bool) {
    match (sd, tolerance) {
        (Some(sd), _) => (sd, false),
        (None, tolerance) => (rectangular_sd(tolerance.unwrap_or(default_tolerance)), true),
    }
}

/// The standard uncertainty of a point, each axis, on the squared grid.
pub(super) fn placing_sd(stated: Option<f64>, placing_mm: f64, mm_per_px: f64) -> Pixels {
    Pixels(stated.unwrap_or_else(|| super::LEAST_PLACING_PX.max(placing_mm / mm_per_px)))
}
