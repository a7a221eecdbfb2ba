//! Cancellous bone: plates between marrow spaces, as the walls of a random foam, in a block that repeats.

use super::chance::{Chance, fraction, mixed};

/// Voxels of the block along each edge.
const VOXELS: u32 = 96;
/// Marrow spaces of the block along each edge.
const CELLS: u32 = 8;

/// A block of cancellous bone.
#[derive(Debug, Clone)]
pub(super) struct Mesh {
    /// The part of bone in each voxel, 0 to 255.
    voxels: Vec<u8>,
    per_mm: f64,
    turned: [[f64; 3]; 3],
}

impl Mesh {
    /// A block whose marrow spaces are so wide, mm, and whose plates are so thick.
    pub(super) fn of(chance: Chance, space: f64, plate: f64) -> Self {
        let seed = chance.bits("marrow spaces");
        let count = CELLS as usize;
        let mut centres = Vec::with_capacity(count * count * count);
        for cell in 0..u64::from(CELLS * CELLS * CELLS) {
            let draw = |axis: u64| fraction(mixed(seed ^ mixed(3 * cell + axis)));
            centres.push([draw(0), draw(1), draw(2)]);
        }
        let mut voxels = Vec::with_capacity((VOXELS * VOXELS * VOXELS) as usize);
        for z in 0..VOXELS {
            for y in 0..VOXELS {
                for x in 0..VOXELS {
                    voxels.push(bone_at(&centres, [x, y, z], plate / space));
                }
            }
        }
        Self { voxels, per_mm: f64::from(VOXELS) / (f64::from(CELLS) * space), turned: TURNED }
    }

    /// Where a place lies in the block, in voxels.
    pub(super) fn place(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        self.turned.map(|[a, b, c]| (a * x + b * y + c * z) * self.per_mm)
    }

    /// The part of bone at a place in voxels.
    pub(super) fn bone(&self, [x, y, z]: [f64; 3]) -> f64 {
        let size = VOXELS as usize;
        let index = (wrapped(z) * size + wrapped(y)) * size + wrapped(x);
        f64::from(self.voxels.get(index).copied().unwrap_or(0)) * (1.0 / 255.0)
    }
}

/// The block is turned against the film, so that its repeats do not fall in line: a rotation by rational quaternion
/// (8, 1, 2, 3), exact on every machine.
const TURNED: [[f64; 3]; 3] = {
    let (w, a, b, c) = (8.0, 1.0, 2.0, 3.0);
    let n = w * w + a * a + b * b + c * c;
    [
        [1.0 - 2.0 * (b * b + c * c) / n, 2.0 * (a * b - c * w) / n, 2.0 * (a * c + b * w) / n],
        [2.0 * (a * b + c * w) / n, 1.0 - 2.0 * (a * a + c * c) / n, 2.0 * (b * c - a * w) / n],
        [2.0 * (a * c - b * w) / n, 2.0 * (b * c + a * w) / n, 1.0 - 2.0 * (a * a + b * b) / n],
    ]
};

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rem_euclid gives 0 to 95")]
fn wrapped(place: f64) -> usize {
    (place.floor() as i64).rem_euclid(i64::from(VOXELS)) as usize
}

/// How much bone a voxel holds: by how much nearer its nearest centre is than the next (Worley 1996).
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to 0 to 255")]
fn bone_at(centres: &[[f64; 3]], voxel: [u32; 3], plate: f64) -> u8 {
    let scale = f64::from(CELLS) / f64::from(VOXELS);
    let at = voxel.map(|it| (f64::from(it) + 0.5) * scale);
    let (mut least, mut next) = ((f64::INFINITY, 0), (f64::INFINITY, 0));
    let cell = at.map(f64::floor);
    for dz in [-1.0, 0.0, 1.0] {
        for dy in [-1.0, 0.0, 1.0] {
            for dx in [-1.0, 0.0, 1.0] {
                let [x, y, z] = [cell[0] + dx, cell[1] + dy, cell[2] + dz];
                let fold = |it: f64| (it as i64).rem_euclid(i64::from(CELLS)) as usize;
                let count = CELLS as usize;
                let name = (fold(z) * count + fold(y)) * count + fold(x);
                let Some([cx, cy, cz]) = centres.get(name) else { continue };
                let way = [x + cx - at[0], y + cy - at[1], z + cz - at[2]];
                let distance = way[0] * way[0] + way[1] * way[1] + way[2] * way[2];
                if distance < least.0 {
                    next = least;
                    least = (distance, name);
                } else if distance < next.0 {
                    next = (distance, name);
                }
            }
        }
    }
    // Of the walls between two spaces some are thick, some thin, some missing.
    let pair = mixed((least.1.min(next.1) * 4096 + least.1.max(next.1)) as u64);
    let thickness = plate * (1.9 * fraction(pair) - 0.35).max(0.0);
    let part = thickness - (next.0.sqrt() - least.0.sqrt());
    (255.0 * (part / (0.4 * plate) + 0.5).clamp(0.0, 1.0)) as u8
}
