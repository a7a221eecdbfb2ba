//! Positions, displacements and directions, each tagged with its space.
//!
//! A position minus a position is a displacement; positions cannot be added, because the sum of two places is no
//! place.

use crate::quantity::Scalar;
use std::marker::PhantomData;

/// A space points can live in.
pub trait Space: Copy {}

/// The stored pixel grid of a film after its orientation was applied: x right, y down, in pixels, the origin at
/// the outer corner of the first pixel (as DICOM PS3.3 C.18.6 has it).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stored;

/// The stored grid with y multiplied by the pixels' aspect (down / across): its unit is the width of a stored
/// pixel in both directions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Square;

/// The millimetre plane of a scale: x along the axial direction towards the apex, y across it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plane;

/// Millimetres beside one tooth: x along its axis towards the apex, y square to it towards distal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BesideTooth;

impl Space for BesideTooth {}
impl Space for Stored {}
impl Space for Square {}
impl Space for Plane {}

/// A place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position<U: Space, S = f64> {
    /// First coordinate.
    pub x: S,
    /// Second coordinate.
    pub y: S,
    space: PhantomData<U>,
}

/// The way from one place to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Displacement<U: Space, S = f64> {
    /// Component along the first coordinate.
    pub x: S,
    /// Component along the second coordinate.
    pub y: S,
    space: PhantomData<U>,
}

/// A displacement of length one: a bearing without a size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction<U: Space, S = f64>(Displacement<U, S>);

impl<U: Space, S: Scalar> Position<U, S> {
    /// The place with these coordinates.
    pub const fn new(x: S, y: S) -> Self {
        Self { x, y, space: PhantomData }
    }

    /// The way from `origin` to this place.
    pub fn way_from(self, origin: Self) -> Displacement<U, S> {
        Displacement::new(self.x - origin.x, self.y - origin.y)
    }

    /// Where one comes to, starting here and going `way`.
    pub fn moved(self, way: Displacement<U, S>) -> Self {
        Self::new(self.x + way.x, self.y + way.y)
    }

    /// The point halfway to `other`.
    pub fn middle(self, other: Self) -> Self {
        let half = S::constant(0.5);
        Self::new((self.x + other.x) * half, (self.y + other.y) * half)
    }

    /// The mean of several places; `None` of none.
    pub fn mean(places: impl IntoIterator<Item = Self>) -> Option<Self> {
        let mut count = 0.0;
        let mut sum: Displacement<U, S> = Displacement::new(S::constant(0.0), S::constant(0.0));
        for place in places {
            count += 1.0;
            sum = Displacement::new(sum.x + place.x, sum.y + place.y);
        }
        let share = S::constant(1.0) / S::constant(count);
        (count > 0.0).then(|| Self::new(sum.x * share, sum.y * share))
    }

    /// The same place without derivatives.
    pub fn value(self) -> Position<U, f64> {
        Position::new(self.x.value(), self.y.value())
    }
}

impl<U: Space, S: Scalar> Displacement<U, S> {
    /// The displacement with these components.
    pub const fn new(x: S, y: S) -> Self {
        Self { x, y, space: PhantomData }
    }

    /// The dot product.
    pub fn dot(self, other: Self) -> S {
        self.x * other.x + self.y * other.y
    }

    /// The z component of the cross product: positive when `other` is a positive quarter turn (x towards y) away.
    pub fn cross(self, other: Self) -> S {
        self.x * other.y - self.y * other.x
    }

    /// The length.
    pub fn length(self) -> S {
        self.dot(self).sqrt()
    }

    /// This way `factor` times.
    pub fn times(self, factor: S) -> Self {
        Self::new(self.x * factor, self.y * factor)
    }

    /// The component along `direction`.
    pub fn along(self, direction: Direction<U, S>) -> S {
        self.dot(direction.0)
    }

    /// The component along `direction` turned by a quarter (x towards y).
    pub fn across(self, direction: Direction<U, S>) -> S {
        direction.0.cross(self)
    }

    /// The bearing of this way; `None` where it is shorter than 1e-9 and points nowhere.
    pub fn direction(self) -> Option<Direction<U, S>> {
        let length = self.length();
        (length.value() >= 1e-9).then(|| Direction(self.times(S::constant(1.0) / length)))
    }
}

impl<U: Space, S: Scalar> Direction<U, S> {
    /// The bearing at `angle` radians from x towards y.
    pub fn at_angle(angle: S) -> Self {
        Self(Displacement::new(angle.cos(), angle.sin()))
    }

    /// The angle in radians from x towards y, in −π to π.
    pub fn angle(self) -> S {
        self.0.y.atan2(self.0.x)
    }

    /// This bearing turned by a quarter, x towards y.
    pub fn quarter_turn(self) -> Self {
        Self(Displacement::new(-self.0.y, self.0.x))
    }

    /// The opposite bearing.
    pub fn reversed(self) -> Self {
        Self(Displacement::new(-self.0.x, -self.0.y))
    }

    /// The displacement of length one this way.
    pub fn displacement(self) -> Displacement<U, S> {
        self.0
    }
}
