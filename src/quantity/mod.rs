//! Units, scalars that carry derivatives, estimates, and days: the arithmetic every other floor stands on.
//!
//! Nothing here knows about teeth, films or files.

mod day;
mod dual;
mod estimate;
mod normal;
mod scalar;
mod unit;

pub use day::Day;
pub use dual::{Dual, WIDTH};
pub use estimate::{COVERAGE_FACTOR, Estimate, Quotient};
pub use normal::{normal_cdf, rectangular_half_width, rectangular_sd};
pub use scalar::Scalar;
pub use unit::{Degrees, Millimetres, MillimetresPerPixel, Pixels, Unit};
