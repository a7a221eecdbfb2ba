//! Bodies swept along the tooth: level by level a section square to the tooth's axis.

use super::space::Point3;

/// Levels stand this far apart, mm; between them a section is interpolated.
pub(super) const STEP: f64 = 0.05;

/// A section: an ellipse, or something between an ellipse and a rounded square, with its axes along x and y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Section {
    /// The middle, towards distal.
    pub(super) x: f64,
    /// The middle, towards lingual.
    pub(super) y: f64,
    /// Half the width from mesial to distal.
    pub(super) half_x: f64,
    /// Half the depth from buccal to lingual.
    pub(super) half_y: f64,
    /// 0 for an ellipse, 1 for the quartic |u|⁴ + |v|⁴ = 1.
    pub(super) square: f64,
}

impl Section {
    /// An ellipse.
    pub(super) const fn ellipse(x: f64, y: f64, half_x: f64, half_y: f64) -> Self {
        Self { x, y, half_x, half_y, square: 0.0 }
    }

    /// How far the rim lies from the middle in y, at this x; `None` beside the section.
    pub(super) fn reach(&self, x: f64) -> Option<f64> {
        let u = (x - self.x) / self.half_x;
        let rest = 1.0 - u * u;
        if rest.is_nan() || rest <= 0.0 {
            return None;
        }
        let round = rest.sqrt();
        if self.square == 0.0 {
            return Some(self.half_y * round);
        }
        // 1 − u⁴ = (1 − u²)(1 + u²)
        let flat = (rest * (1.0 + u * u)).sqrt().sqrt();
        Some(self.half_y * (round + self.square * (flat - round)))
    }

    /// The x of the rim at depth `y`, on the mesial (`sign` −1) or distal (+1) side; the middle beyond the section.
    pub(super) fn rim(&self, sign: f64, y: f64) -> f64 {
        let depth = (y - self.y).abs();
        let (mut inside, mut outside) = (0.0, 1.0);
        // 40 halvings of a few millimetres are below a femtometre's worth of doubt.
        for _ in 0..40 {
            let middle = 0.5 * (inside + outside);
            let x = self.x + sign * middle * self.half_x;
            if self.reach(x).is_some_and(|reach| reach >= depth) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        self.x + sign * inside * self.half_x
    }

    /// The same section with its rim moved outwards, or inwards where negative.
    pub(super) fn grown(self, by: f64) -> Self {
        Self { half_x: (self.half_x + by).max(0.0), half_y: (self.half_y + by).max(0.0), ..self }
    }

    fn between(self, other: Self, share: f64) -> Self {
        let mix = |one: f64, two: f64| one + (two - one) * share;
        Self {
            x: mix(self.x, other.x),
            y: mix(self.y, other.y),
            half_x: mix(self.half_x, other.half_x),
            half_y: mix(self.half_y, other.half_y),
            square: mix(self.square, other.square),
        }
    }
}

/// The sections of a body from its coronal to its apical end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outline {
    from: f64,
    to: f64,
    /// Levels for each mm.
    per_mm: f64,
    levels: Vec<Section>,
}

/// What a body without a level has: nothing.
const NOTHING: Section = Section { x: 0.0, y: 0.0, half_x: 0.0, half_y: 0.0, square: 0.0 };

impl Outline {
    /// The body from level `from` to level `to`, its section at each level given.
    pub(super) fn swept(from: f64, to: f64, section: impl Fn(f64) -> Section) -> Self {
        let steps = steps(((to - from) / STEP).ceil());
        let level = |index: u32| from + (to - from) * f64::from(index) / f64::from(steps);
        let levels = (0..=steps).map(|index| section(level(index))).collect();
        Self { from, to, per_mm: f64::from(steps) / (to - from), levels }
    }

    /// No body at all.
    pub(super) const fn none() -> Self {
        Self { from: 0.0, to: STEP, per_mm: 1.0 / STEP, levels: Vec::new() }
    }

    /// The coronal and the apical end.
    pub(super) const fn ends(&self) -> (f64, f64) {
        (self.from, self.to)
    }

    /// The section at a level; beyond the ends, that of the end.
    pub(super) fn at(&self, z: f64) -> Section {
        let place = ((z - self.from) * self.per_mm).max(0.0);
        let index = index(place);
        match (self.levels.get(index), self.levels.get(index + 1)) {
            (Some(one), Some(other)) => one.between(*other, place - number(index)),
            _ => self.levels.last().copied().unwrap_or(NOTHING),
        }
    }

    /// The place on the rim at a level and depth, on the mesial (−1) or distal (+1) side. Where the body is thinner than a depth
    /// says, as a crown is near its edge, the place lies well within it, on its side and not before or behind it.
    pub(super) fn rim(&self, sign: f64, y: f64, z: f64) -> Point3 {
        const WITHIN: f64 = 0.9;
        let section = self.at(z);
        let most = WITHIN * section.half_y;
        let y = y.clamp(section.y - most, section.y + most);
        Point3::new(section.rim(sign, y), y, z)
    }

    /// The same body elsewhere: every section moved by `shift` and by `lean` for each mm of level.
    pub(super) fn moved(&self, shift: [f64; 2], lean: [f64; 2]) -> Self {
        let [x, y] = shift;
        let [lean_x, lean_y] = lean;
        let count = last(&self.levels);
        let mut levels = self.levels.clone();
        let mut passed = 0.0;
        for section in &mut levels {
            let z = self.from + (self.to - self.from) * passed / count;
            section.x += x + lean_x * z;
            section.y += y + lean_y * z;
            passed += 1.0;
        }
        Self { levels, ..*self }
    }

    /// The same body moved towards the apex.
    pub(super) fn lowered(&self, by: f64) -> Self {
        Self { from: self.from + by, to: self.to + by, per_mm: self.per_mm, levels: self.levels.clone() }
    }

    /// The least and the greatest y any section reaches.
    pub(super) fn depth(&self) -> (f64, f64) {
        self.levels.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), section| {
            (least.min(section.y - section.half_y), most.max(section.y + section.half_y))
        })
    }

    /// The body within a shell of this thickness, which closes around its apical end.
    pub(super) fn shell(&self, by: f64) -> Self {
        let (from, to) = self.ends();
        Self::swept(from, to + by, |z| {
            let inner = self.at(from + (z - from) * (to - from) / (to + by - from));
            let beyond = ((z - to) / by).clamp(0.0, 1.0);
            inner.grown(by * (1.0 - beyond * beyond).max(0.0).sqrt())
        })
    }

    /// The same body ending at a level.
    pub(super) fn cut_at(&self, level: f64) -> Self {
        let (from, to) = self.ends();
        Self::swept(from, level.clamp(from + STEP, to.max(from + STEP)), |z| self.at(z))
    }

    /// The same body on the other side of the tooth's middle.
    pub(super) fn mirrored(&self) -> Self {
        let levels = self.levels.iter().map(|section| Section { x: -section.x, ..*section }).collect();
        Self { levels, ..*self }
    }

    /// The least and the greatest x any section reaches.
    pub(super) fn breadth(&self) -> (f64, f64) {
        self.levels.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), section| {
            (least.min(section.x - section.half_x), most.max(section.x + section.half_x))
        })
    }
}

/// The index of the last level as a number.
fn last(levels: &[Section]) -> f64 {
    number(levels.len().saturating_sub(1))
}

#[expect(clippy::cast_precision_loss, reason = "bodies have some thousand levels")]
fn number(count: usize) -> f64 {
    count as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast saturates, and an index past the end is the last level"
)]
fn index(place: f64) -> usize {
    place as usize
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to a range that fits")]
fn steps(count: f64) -> u32 {
    count.clamp(1.0, 4000.0) as u32
}
