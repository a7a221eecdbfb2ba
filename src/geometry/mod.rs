//! Plane geometry on any [`Scalar`](crate::quantity::Scalar): points and directions tagged with the space they
//! live in, lines, paths and circles.
//!
//! Three spaces exist, and a point of one cannot be used in another: the film as [`Stored`], the film with
//! [`Square`] pixels, and the millimetre [`Plane`] of a scale.

mod circle;
mod line;
mod path;
mod point;

pub use circle::{Circle, CircleError, circle_diameter, fit_circle};
pub use line::{angle_between, crossing};
pub use path::{Foot, Path};
pub use point::{BesideTooth, Direction, Displacement, Plane, Position, Space, Square, Stored};
