//! The one trait that lets a definition be written once and evaluated twice: as a number, and as a number with
//! its exact derivatives.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A number a measurement can be evaluated in: `f64`, or a [`Dual`](super::Dual) that carries derivatives.
///
/// Branches are taken on [`value`](Scalar::value), so both kinds take the same branch.
pub trait Scalar:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Neg<Output = Self>
{
    /// A number that depends on no input.
    fn constant(value: f64) -> Self;
    /// The number itself, without derivatives.
    fn value(self) -> f64;
    /// The square root. The derivative at 0 is taken as 0: a distance of nothing has no direction.
    fn sqrt(self) -> Self;
    /// The natural logarithm.
    fn ln(self) -> Self;
    /// The exponential.
    fn exp(self) -> Self;
    /// The sine of an angle in radians.
    fn sin(self) -> Self;
    /// The cosine of an angle in radians.
    fn cos(self) -> Self;
    /// The angle in radians of the point (`x`, `self`), in −π to π.
    fn atan2(self, x: Self) -> Self;

    /// The absolute value; at 0 the derivative is that of the positive branch.
    fn abs(self) -> Self {
        if self.value() < 0.0 { -self } else { self }
    }
}

impl Scalar for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn value(self) -> f64 {
        self
    }
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    fn ln(self) -> Self {
        f64::ln(self)
    }
    fn exp(self) -> Self {
        f64::exp(self)
    }
    fn sin(self) -> Self {
        f64::sin(self)
    }
    fn cos(self) -> Self {
        f64::cos(self)
    }
    fn atan2(self, x: Self) -> Self {
        f64::atan2(self, x)
    }
}
