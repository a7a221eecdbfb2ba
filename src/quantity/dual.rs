//! Dual numbers: a value and its derivatives with respect to eight inputs at once (forward mode).

use super::Scalar;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// How many derivatives a [`Dual`] carries; a function of more inputs is evaluated once per eight.
pub const WIDTH: usize = 8;

/// A value with its derivatives with respect to [`WIDTH`] inputs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dual {
    value: f64,
    slope: [f64; WIDTH],
}

impl Dual {
    /// An input: its own derivative is 1 in `slot`, all others 0. A `slot` past the width makes a constant.
    pub fn input(value: f64, slot: usize) -> Self {
        let mut slope = [0.0; WIDTH];
        if let Some(own) = slope.get_mut(slot) {
            *own = 1.0;
        }
        Self { value, slope }
    }

    /// The derivatives, one for each slot.
    pub fn slopes(&self) -> &[f64; WIDTH] {
        &self.slope
    }

    /// A function of this number with value `value` and derivative `slope` here (the chain rule).
    fn chain(self, value: f64, slope: f64) -> Self {
        Self { value, slope: self.slope.map(|own| own * slope) }
    }

    /// A function of two numbers, given its partial derivatives.
    fn chain_two(self, other: Self, value: f64, by_self: f64, by_other: f64) -> Self {
        let mut slope = self.slope;
        for (own, theirs) in slope.iter_mut().zip(other.slope) {
            *own = *own * by_self + theirs * by_other;
        }
        Self { value, slope }
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.chain_two(other, self.value + other.value, 1.0, 1.0)
    }
}

impl Sub for Dual {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.chain_two(other, self.value - other.value, 1.0, -1.0)
    }
}

impl Mul for Dual {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.chain_two(other, self.value * other.value, other.value, self.value)
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let value = self.value / other.value;
        self.chain_two(other, value, 1.0 / other.value, -value / other.value)
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        self.chain(-self.value, -1.0)
    }
}

impl Scalar for Dual {
    fn constant(value: f64) -> Self {
        Self { value, slope: [0.0; WIDTH] }
    }
    fn value(self) -> f64 {
        self.value
    }
    fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        self.chain(root, if root > 0.0 { 0.5 / root } else { 0.0 })
    }
    fn ln(self) -> Self {
        self.chain(self.value.ln(), 1.0 / self.value)
    }
    fn exp(self) -> Self {
        let power = self.value.exp();
        self.chain(power, power)
    }
    fn sin(self) -> Self {
        self.chain(self.value.sin(), self.value.cos())
    }
    fn cos(self) -> Self {
        self.chain(self.value.cos(), -self.value.sin())
    }
    fn atan2(self, x: Self) -> Self {
        let squared = self.value * self.value + x.value * x.value;
        if squared == 0.0 {
            return Self::constant(0.0);
        }
        self.chain_two(x, self.value.atan2(x.value), x.value / squared, -self.value / squared)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every derivative is checked against a central difference; the functions avoid their own kinks.
    #[test]
    fn derivatives_equal_central_differences() {
        fn everything<S: Scalar>(x: S, y: S) -> S {
            ((x * y - x / y).exp().ln() + (x * x + y * y).sqrt() * x.sin().atan2(y.cos())) / (x - y).abs()
                - -x
        }
        let (x, y, step) = (0.7, 1.9, 1e-6);
        let dual = everything(Dual::input(x, 0), Dual::input(y, 5));
        let by_x = (everything(x + step, y) - everything(x - step, y)) / (2.0 * step);
        let by_y = (everything(x, y + step) - everything(x, y - step)) / (2.0 * step);
        assert!((dual.value() - everything(x, y)).abs() < 1e-14);
        assert!((dual.slopes()[0] - by_x).abs() < 1e-8, "{} {by_x}", dual.slopes()[0]);
        assert!((dual.slopes()[5] - by_y).abs() < 1e-8, "{} {by_y}", dual.slopes()[5]);
        assert_eq!(dual.slopes()[1], 0.0);
    }

    #[test]
    fn a_distance_of_nothing_has_no_slope_and_no_nan() {
        let nothing = Dual::input(2.0, 0) - Dual::constant(2.0);
        assert_eq!((nothing * nothing).sqrt().slopes(), &[0.0; WIDTH]);
        assert_eq!(nothing.atan2(nothing).slopes(), &[0.0; WIDTH]);
    }
}
