//! The alveolar process: its top, its plates, the foam within and the gum over it.

use super::beam::Thickness;
use super::material::Material;
use super::mesh::Mesh;
use super::solid::{Piece, Ray};

/// The gum stands so high over the bone, mm (sulcus and supracrestal attachment, common practice).
const GUM_HEIGHT: f64 = 2.8;
/// The gum is so thick before and behind the bone, mm (from memory).
const GUM_THICKNESS: f64 = 1.3;
/// The cortical lining of the crest, mm (from memory).
const LINING: f64 = 0.35;
/// The bone's edge is found to such a part of a mm along a ray.
const EDGE: f64 = 0.2;
/// A ray is followed through bone by steps of at most so many mm.
const STRIDE: f64 = 0.22;
/// Places of the table of the bone's top stand so far apart, mm.
const PLACES: f64 = 0.05;
/// The table reaches so far to either side, mm.
const REACH: f64 = 30.0;

/// The bone's top at one x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Top {
    pub(super) x: f64,
    /// Level of the highest place, and the depth it lies at.
    pub(super) level: f64,
    pub(super) depth: f64,
    /// Level of the buccal and the lingual edge.
    pub(super) buccal: f64,
    pub(super) lingual: f64,
}

/// The bone of one film.
#[derive(Debug, Clone)]
pub(super) struct Bone {
    tops: Vec<Top>,
    deepest: f64,
    highest: f64,
    /// Depth of the buccal and the lingual face at level 0, and their growth with each mm.
    buccal_face: [f64; 2],
    lingual_face: [f64; 2],
    /// Thickness of the buccal and the lingual plate.
    plates: [f64; 2],
    mesh: Mesh,
}

impl Bone {
    /// `knots` are places in order of x; between them the top is eased from one to the next.
    pub(super) fn of(
        knots: &[Top],
        half_depth: [f64; 2],
        widening: [f64; 2],
        plates: [f64; 2],
        mesh: Mesh,
    ) -> Self {
        let mut tops = Vec::new();
        let mut x = -REACH;
        while x <= REACH {
            tops.push(between(knots, x));
            x += PLACES;
        }
        let levels = |pick: fn(f64, f64) -> f64, from: f64| {
            tops.iter().fold(from, |at, top| pick(at, pick(top.level, pick(top.buccal, top.lingual))))
        };
        let [buccal, lingual] = half_depth;
        Self {
            deepest: levels(f64::max, f64::NEG_INFINITY),
            highest: levels(f64::min, f64::INFINITY),
            buccal_face: [-buccal, -widening[0]],
            lingual_face: [lingual, widening[1]],
            plates,
            mesh,
            tops,
        }
    }

    /// The piece of a ray within bone and gum.
    pub(super) fn piece(&self, ray: &Ray) -> Option<Piece> {
        let face = |[at, growth]: [f64; 2], out: f64| {
            let first = at + growth * ray.z_at(at).max(-4.0);
            at + growth * ray.z_at(first).max(-4.0) + out
        };
        let piece = [face(self.buccal_face, -GUM_THICKNESS), face(self.lingual_face, GUM_THICKNESS)];
        let lowest = ray.z_at(piece[0]).max(ray.z_at(piece[1]));
        (piece[1] > piece[0] && lowest > self.highest - GUM_HEIGHT - 1.0).then_some(piece)
    }

    /// How far below the bone's top a place lies, mm.
    fn below_top(&self, x: f64, y: f64, z: f64) -> f64 {
        let place = ((x + REACH) / PLACES).max(0.0);
        let whole = place.floor();
        let index = index(whole);
        let (Some(one), Some(other)) = (self.tops.get(index), self.tops.get(index + 1)) else {
            return z - self.deepest;
        };
        let share = (place - whole).min(1.0);
        let mix = |one: f64, other: f64| one + (other - one) * share;
        let (level, depth) = (mix(one.level, other.level), mix(one.depth, other.depth));
        let (edge, face) = if y < depth {
            (mix(one.buccal, other.buccal), self.buccal_face[0])
        } else {
            (mix(one.lingual, other.lingual), self.lingual_face[0])
        };
        let out = ((y - depth) / (face - depth)).min(1.0);
        z - (level + (edge - level) * out * out)
    }

    /// Adds what a piece of a ray meets: bone, marrow, gum and air; of a lamina, cortical bone in place of foam.
    pub(super) fn fill(&self, ray: &Ray, piece: Piece, is_lamina: bool, thickness: &mut Thickness) {
        let [start, end] = piece;
        let (z_start, z_end) = (ray.z_at(start), ray.z_at(end));
        if z_start.min(z_end) < self.deepest + 1.0 {
            return self.fill_edge(ray, piece, is_lamina, thickness);
        }
        // Deep in the bone nothing is left to be sought: gum, plate, foam, plate, gum.
        let face = |[at, growth]: [f64; 2], z: f64| at + growth * z;
        let (buccal, lingual) = (face(self.buccal_face, z_start), face(self.lingual_face, z_end));
        let [buccal_plate, lingual_plate] = self.plates;
        let inner_start = (buccal + buccal_plate).clamp(start, end);
        let inner_end = (lingual - lingual_plate).clamp(inner_start, end);
        let gum = (buccal.clamp(start, inner_start) - start) + (end - lingual.clamp(inner_end, end));
        let inner = inner_end - inner_start;
        let foam = if is_lamina || inner <= 0.0 { 1.0 } else { self.foam(ray, [inner_start, inner_end]) };
        let marrow = (1.0 - foam) * inner;
        thickness.add(Material::SoftTissue, gum * ray.stretch);
        thickness.add(Material::CorticalBone, (end - start - gum - marrow) * ray.stretch);
        thickness.add(Material::Marrow, marrow * ray.stretch);
    }

    /// The part of bone in foam along a piece of a ray.
    fn foam(&self, ray: &Ray, [start, end]: Piece) -> f64 {
        let count = ((end - start) / STRIDE).ceil().max(1.0);
        let step = (end - start) / count;
        let y = start + 0.5 * step;
        let mut place = self.mesh.place([ray.x_at(y), y, ray.z_at(y)]);
        let on = self.mesh.place([ray.x[1] * step, step, ray.z[1] * step]);
        let (mut sum, mut passed) = (0.0, 0.0);
        while passed < count {
            sum += self.mesh.bone(place);
            passed += 1.0;
            place = [place[0] + on[0], place[1] + on[1], place[2] + on[2]];
        }
        sum / passed
    }

    /// The same near the bone's edges: all that can be there, step by step.
    fn fill_edge(&self, ray: &Ray, [start, end]: Piece, is_lamina: bool, thickness: &mut Thickness) {
        let count = ((end - start) / STRIDE).ceil().max(1.0);
        let step = (end - start) / count;
        let length = step * ray.stretch;
        let mut y = start + 0.5 * step;
        let mut place = self.mesh.place([ray.x_at(y), y, ray.z_at(y)]);
        let on = self.mesh.place([ray.x[1] * step, step, ray.z[1] * step]);
        let (mut cortical, mut marrow, mut soft) = (0.0, 0.0, 0.0);
        let [buccal_plate, lingual_plate] = self.plates;
        while y < end {
            let z = ray.z_at(y);
            let below = if z > self.deepest + 1.0 { 1.0 } else { self.below_top(ray.x_at(y), y, z) };
            let before = y - self.buccal_face[0] - self.buccal_face[1] * z.max(-4.0);
            let behind = self.lingual_face[0] + self.lingual_face[1] * z.max(-4.0) - y;
            let within = before.min(behind);
            let bone = soft_step(below, EDGE) * soft_step(within, EDGE);
            let gum = soft_step(below + GUM_HEIGHT, 3.0 * EDGE);
            if bone > 0.0 {
                let lining = soft_step(LINING - below, EDGE);
                let plate =
                    soft_step(buccal_plate - before, EDGE).max(soft_step(lingual_plate - behind, EDGE));
                let foam = if is_lamina { 1.0 } else { self.mesh.bone(place) };
                let solid = foam.max(lining).max(plate);
                cortical += bone * solid;
                marrow += bone * (1.0 - solid);
            }
            soft += gum.max(bone) - bone;
            y += step;
            place = [place[0] + on[0], place[1] + on[1], place[2] + on[2]];
        }
        thickness.add(Material::CorticalBone, cortical * length);
        thickness.add(Material::Marrow, marrow * length);
        thickness.add(Material::SoftTissue, soft * length);
    }
}

/// 0 well below 0, 1 well above, straight between over `width`.
fn soft_step(value: f64, width: f64) -> f64 {
    (value / width + 0.5).clamp(0.0, 1.0)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast saturates, and no place is past the end"
)]
fn index(place: f64) -> usize {
    place as usize
}

/// The top at an x, eased between the knots on either side, level beyond the last.
fn between(knots: &[Top], x: f64) -> Top {
    let after = knots.iter().position(|knot| knot.x > x).unwrap_or(knots.len());
    let before = after.checked_sub(1).and_then(|at| knots.get(at));
    match (before, knots.get(after)) {
        (Some(one), Some(other)) => {
            let share = (x - one.x) / (other.x - one.x);
            let share = share * share * (3.0 - 2.0 * share);
            let mix = |one: f64, other: f64| one + (other - one) * share;
            Top {
                x,
                level: mix(one.level, other.level),
                depth: mix(one.depth, other.depth),
                buccal: mix(one.buccal, other.buccal),
                lingual: mix(one.lingual, other.lingual),
            }
        }
        (Some(only), None) | (None, Some(only)) => Top { x, ..*only },
        (None, None) => Top { x, level: 2.0, depth: 0.0, buccal: 2.0, lingual: 2.0 },
    }
}
