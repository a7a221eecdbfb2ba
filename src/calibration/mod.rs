//! How many millimetres a pixel is: reference objects, the references clicked on a film, and the scale they make.
//!
//! Nothing here knows about landmarks. Where no instrument gives the axial direction, it is handed in as an angle.

mod combine;
mod library;
mod model;
mod reference;
mod reference_check;
mod scale;

pub use library::{Jaw, Library, LibraryError, ObjectKind, ReferenceObject, ToothLimit};
pub use reference::{
    Between, Extra, Instrument, Object, Placed, Receptor, Reference, ReferencePoint, Scan, Sphere, Width,
    closed, rim,
};
pub use reference_check::ReferenceRefused;
pub use scale::{Distortion, Given, MOST_SD, NoScale, Scale, ScaleInput, Source, Spread, scale};

/// Standard uncertainty of placing a point, each axis, in mm, where a case states none: repeat placing on digital
/// films differs by 0.1 to 0.3 mm (common practice).
pub const DEFAULT_PLACING_MM: f64 = 0.15;
/// Nobody places a point better than to this many pixels unless they say so.
pub const LEAST_PLACING_PX: f64 = 0.5;
/// Half width of the tolerance of an instrument's length in mm: stop setting and make (common practice).
pub const DEFAULT_LENGTH_TOLERANCE_MM: f64 = 0.5;
/// Half width of the tolerance of a diameter in mm (common practice).
pub const DEFAULT_DIAMETER_TOLERANCE_MM: f64 = 0.05;
/// Magnification where none is stated: the middle of the 3 to 8 % of the paralleling technique (common practice).
pub const DEFAULT_MAGNIFICATION: f64 = 1.05;
/// Standard uncertainty of a magnification where none is stated.
pub const DEFAULT_MAGNIFICATION_SD: f64 = 0.03;
