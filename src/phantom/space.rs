//! Places and ways in space, in millimetres of the tooth: x towards distal, y towards lingual, z towards the apex, the
//! origin in the middle of the neck of the tooth, where its cemento-enamel junction lies on the buccal side.
//!
//! The frame is right-handed on one side of the mouth and left-handed on the other; no length depends on that.

/// A place in the space of the tooth, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point3 {
    /// Towards distal.
    pub x: f64,
    /// Towards lingual.
    pub y: f64,
    /// Towards the apex.
    pub z: f64,
}

/// The way from one place to another, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector3 {
    /// Towards distal.
    pub x: f64,
    /// Towards lingual.
    pub y: f64,
    /// Towards the apex.
    pub z: f64,
}

impl Point3 {
    /// The place with these coordinates.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// The way from `origin` to this place.
    pub const fn way_from(self, origin: Self) -> Vector3 {
        Vector3::new(self.x - origin.x, self.y - origin.y, self.z - origin.z)
    }

    /// Where one comes to, starting here and going `way`.
    pub const fn moved(self, way: Vector3) -> Self {
        Self::new(self.x + way.x, self.y + way.y, self.z + way.z)
    }

    /// The point halfway to `other`.
    pub const fn middle(self, other: Self) -> Self {
        self.moved(other.way_from(self).times(0.5))
    }

    /// The mean of several places; `None` of none.
    pub fn mean(places: &[Self]) -> Option<Self> {
        let (mut count, mut sum) = (0.0, Vector3::new(0.0, 0.0, 0.0));
        for place in places {
            count += 1.0;
            sum = sum.plus(place.way_from(Self::new(0.0, 0.0, 0.0)));
        }
        (count > 0.0).then(|| Self::new(sum.x / count, sum.y / count, sum.z / count))
    }
}

impl Vector3 {
    /// The way with these components.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// This way and then `other`.
    pub const fn plus(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }

    /// This way `factor` times.
    pub const fn times(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor, self.z * factor)
    }

    /// The dot product.
    pub const fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The cross product of the components.
    pub const fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// The length.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The way of length 1 in this direction; `None` where it is shorter than 1e-9 and points nowhere.
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length >= 1e-9).then(|| self.times(1.0 / length))
    }
}
