//! Solids a ray can be cut with: swept bodies, cut off by surfaces.
//!
//! A ray is written by depth: x and z as functions of y, because beams run from buccal to lingual.

use super::material::Material;
use super::section::Outline;
use super::space::{Point3, Vector3};

/// A ray by depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ray {
    /// x at depth 0, and its growth with each mm of depth.
    pub(super) x: [f64; 2],
    /// z likewise.
    pub(super) z: [f64; 2],
    /// Length along the ray for each mm of depth.
    pub(super) stretch: f64,
}

impl Ray {
    /// The ray from one point to another; `None` where it runs square to the depth.
    pub(super) fn through(from: Point3, to: Point3) -> Option<Self> {
        let Vector3 { x, y, z } = to.way_from(from);
        if y.is_nan() || y <= 1e-6 {
            return None;
        }
        let (dx, dz) = (x / y, z / y);
        Some(Self {
            x: [from.x - dx * from.y, dx],
            z: [from.z - dz * from.y, dz],
            stretch: (1.0 + dx * dx + dz * dz).sqrt(),
        })
    }

    pub(super) const fn x_at(&self, y: f64) -> f64 {
        self.x[0] + self.x[1] * y
    }

    pub(super) const fn z_at(&self, y: f64) -> f64 {
        self.z[0] + self.z[1] * y
    }
}

/// A surface across the tooth: z = level + slope · (x − x0) + curve · (y − depth)², the depth growing with x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Surface {
    pub(super) level: f64,
    /// x0, and the slope.
    pub(super) slope: [f64; 2],
    /// The curve; not negative, so that what lies apical of the surface is one piece of any ray.
    pub(super) curve: f64,
    /// The depth at x = 0, and its growth with each mm of x.
    pub(super) depth: [f64; 2],
}

impl Surface {
    /// The level at a place across the tooth.
    pub(super) fn level_at(&self, x: f64, y: f64) -> f64 {
        let [x0, slope] = self.slope;
        let off = y - self.depth[0] - self.depth[1] * x;
        self.level + slope * (x - x0) + self.curve * off * off
    }
}

/// What is cut away from a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cut {
    /// Only what lies apical of the surface stays.
    ApicalOf(Surface),
    /// Only what lies coronal of a neck stays, which rises by so much from the middle to so far beside it.
    CoronalOfNeck {
        /// Its middle and the level there.
        at: [f64; 2],
        /// mm it rises towards the crown.
        rise: f64,
        /// mm beside the middle at which it has risen so far.
        beside: f64,
    },
}

/// A piece of a ray, by depth.
pub(super) type Piece = [f64; 2];

impl Cut {
    /// What of the ray stays; `None` for nothing.
    fn keeps(&self, ray: &Ray) -> Option<Piece> {
        const ALL: Piece = [f64::NEG_INFINITY, f64::INFINITY];
        // The piece where a + b·y ≥ 0.
        let half = |a: f64, b: f64| {
            if b > 1e-12 {
                Some([-a / b, f64::INFINITY])
            } else if b < -1e-12 {
                Some([f64::NEG_INFINITY, -a / b])
            } else {
                (a >= 0.0).then_some(ALL)
            }
        };
        match *self {
            Self::CoronalOfNeck { at: [middle, level], rise, beside } => {
                // The parabola's tangent where the ray passes the middle of the tooth: rays turn little on their way through.
                let steep = rise / (beside * beside);
                let x = ray.x[0] - middle;
                half(level - steep * x * x - ray.z[0], -2.0 * steep * x * ray.x[1] - ray.z[1])
            }
            Self::ApicalOf(surface) => {
                let [x0, slope] = surface.slope;
                // z − surface = a + b·y − c·y².
                let c = surface.curve;
                let depth = surface.depth[0] + surface.depth[1] * ray.x[0];
                let a = ray.z[0] - surface.level - slope * (ray.x[0] - x0) - c * depth * depth;
                let b = ray.z[1] - slope * ray.x[1] + 2.0 * c * depth;
                if c < 1e-9 {
                    return half(a, b);
                }
                let root = b * b + 4.0 * c * a;
                (root > 0.0).then(|| {
                    let root = root.sqrt();
                    [(b - root) / (2.0 * c), (b + root) / (2.0 * c)]
                })
            }
        }
    }
}

/// What fills a solid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Filling {
    /// One material.
    Of(Material),
    /// Cortical bone, as far as there is bone.
    Lamina,
}

/// A body with what is cut off it.
#[derive(Debug, Clone)]
pub(super) struct Solid {
    outline: Outline,
    cuts: Vec<Cut>,
    pub(super) filling: Filling,
    /// Least and most x, middle and half of the depth.
    breadth: (f64, f64),
    depth: (f64, f64),
}

impl Solid {
    pub(super) fn of(filling: Filling, outline: Outline, cuts: Vec<Cut>) -> Self {
        let (breadth, depth) = (outline.breadth(), outline.depth());
        Self { outline, cuts, filling, breadth, depth }
    }

    /// Whether a ray with x and z in these ranges over all depths could meet it.
    pub(super) fn may_meet(&self, x: (f64, f64), z: (f64, f64)) -> bool {
        let (from, to) = self.outline.ends();
        x.0 <= self.breadth.1 && x.1 >= self.breadth.0 && z.0 <= to && z.1 >= from
    }

    /// The piece of the ray inside.
    ///
    /// The ray's level changes a little from one side of the body to the other, so each end is sought where the body's
    /// section at the ray's own level there has it: a fixed point, reached in a few steps because beams are nearly square
    /// to the tooth. Ends of the body and cuts are exact.
    pub(super) fn piece(&self, ray: &Ray) -> Option<Piece> {
        let (from, to) = self.outline.ends();
        let mut middle = 0.5 * (self.depth.0 + self.depth.1);
        middle = self.outline.at(ray.z_at(middle)).y;
        let section = self.outline.at(ray.z_at(middle));
        let reach = section.reach(ray.x_at(section.y))?;
        let mut ends = [section.y - reach, section.y + reach];
        for (end, sign) in ends.iter_mut().zip([-1.0, 1.0]) {
            for _ in 0..2 {
                let section = self.outline.at(ray.z_at(*end));
                *end = section.y + sign * section.reach(ray.x_at(*end)).unwrap_or(0.0);
            }
        }
        let [mut start, mut end] = ends;
        let [z, dz] = ray.z;
        if dz.abs() > 1e-12 {
            let (one, other) = ((from - z) / dz, (to - z) / dz);
            start = start.max(one.min(other));
            end = end.min(one.max(other));
        } else if !(from..=to).contains(&z) {
            return None;
        }
        for cut in &self.cuts {
            let [first, last] = cut.keeps(ray)?;
            start = start.max(first);
            end = end.min(last);
        }
        (end > start).then_some([start, end])
    }
}

/// What of a ray is taken already: pieces in order that do not touch.
#[derive(Debug, Clone)]
pub(super) struct Taken {
    pieces: Vec<Piece>,
}

impl Taken {
    pub(super) fn none() -> Self {
        Self { pieces: Vec::with_capacity(16) }
    }

    pub(super) fn clear(&mut self) {
        self.pieces.clear();
    }

    /// Takes what of a piece is still free, and hands each free part over.
    pub(super) fn take(&mut self, [start, end]: Piece, mut free: impl FnMut(Piece)) {
        // Most bodies of a tooth lie within one another: what is all taken, and what takes all in, is soon dealt with.
        match self.pieces.as_mut_slice() {
            [] => {
                free([start, end]);
                self.pieces.push([start, end]);
                return;
            }
            [only] if only[0] <= start && end <= only[1] => return,
            [only] if start <= only[0] && only[1] <= end => {
                if start < only[0] {
                    free([start, only[0]]);
                }
                if only[1] < end {
                    free([only[1], end]);
                }
                *only = [start, end];
                return;
            }
            _ => {}
        }
        let first = self.pieces.iter().position(|piece| piece[1] >= start).unwrap_or(self.pieces.len());
        let (mut whole, mut at, mut last) = ([start, end], start, first);
        for piece in self.pieces.iter().skip(first) {
            if piece[0] > end {
                break;
            }
            if piece[0] > at {
                free([at, piece[0]]);
            }
            at = at.max(piece[1]);
            whole = [whole[0].min(piece[0]), whole[1].max(piece[1])];
            last += 1;
        }
        if at < end {
            free([at, end]);
        }
        self.pieces.splice(first..last, [whole]);
    }
}
