//! References: what on or about a film has a known size.

use crate::geometry::{Position, Square, Stored, fit_circle};
use crate::quantity::{Pixels, rectangular_sd};
use crate::wording::words;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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

/// How many places of a rim are given: drawn from one to the next it leaves the circle by less than a thousandth of its
/// radius.
const RIM_PLACES: u8 = 72;

/// The rim of a ball as its scale has it: places around the circle that fits the points, from the rightmost back to
/// itself. `None` while the points make no circle.
pub fn rim(points: &[ReferencePoint], pixel_aspect: f64) -> Option<Vec<Position<Stored>>> {
    let squared: Vec<Position<Square>> = points.iter().map(|point| point.squared(pixel_aspect)).collect();
    let circle = fit_circle(&squared).ok()?;
    let place = |at: u8| {
        let (down, across) = (std::f64::consts::TAU * f64::from(at) / f64::from(RIM_PLACES)).sin_cos();
        let (x, y) =
            (circle.radius.mul_add(across, circle.centre.x), circle.radius.mul_add(down, circle.centre.y));
        Position::new(x, y / pixel_aspect)
    };
    Some((0..=RIM_PLACES).map(place).collect())
}

/// A digital receptor whose pixels have a known pitch at the receptor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Receptor {
    /// Pitch in mm: across, down.
    pub pitch_mm: [f64; 2],
    /// How much larger the tooth is projected onto the receptor; 1.05 where not stated.
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(transform = closed)]
pub struct Scan {
    /// Dots per inch of the scan.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub dpi: f64,
    /// How much larger the tooth is projected onto the film; 1.05 where not stated.
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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

    /// The clicked points, to be moved; [`check`](Self::check) says whether they still serve.
    pub fn points_mut(&mut self) -> &mut [ReferencePoint] {
        match self {
            Self::Instrument(it) => &mut it.points,
            Self::Width(it) => &mut it.points,
            Self::Sphere(it) => &mut it.points,
            Self::Receptor(_) | Self::Scan(_) => &mut [],
        }
    }

    /// The same reference with other points; a receptor and a scan have none and stay as they are.
    #[must_use]
    pub fn with_points(mut self, clicked: Vec<ReferencePoint>) -> Self {
        match &mut self {
            Self::Instrument(it) => it.points = clicked,
            Self::Width(it) => it.points = clicked,
            Self::Sphere(it) => it.points = clicked,
            Self::Receptor(_) | Self::Scan(_) => {}
        }
        self
    }

    /// How many points are to be clicked on this kind of reference: at least, and at most.
    pub const fn takes_points(&self) -> (usize, usize) {
        match self {
            Self::Instrument(_) => (2, usize::MAX),
            Self::Width(_) => (2, 2),
            Self::Sphere(_) => (3, usize::MAX),
            Self::Receptor(_) | Self::Scan(_) => (0, 0),
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
