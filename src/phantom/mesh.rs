//! Cancellous bone: plates between marrow spaces, as the walls of a random foam, in a block that repeats.

use super::chance::{Chance, fraction, mixed};

/// Voxels of the block along each edge.
const VOXELS: u32 = 128;
/// Marrow spaces of the block along each edge.
const CELLS: u32 = 8;
/// Voxels along each edge of what the nearest spaces are sought for at once.
const BLOCK: u32 = 4;

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
        let centre = |cell: [u32; 3]| {
            let name = u64::from((cell[2] * CELLS + cell[1]) * CELLS + cell[0]);
            let draw = |axis: u64| fraction(mixed(seed ^ mixed(3 * name + axis)));
            (name, [draw(0), draw(1), draw(2)])
        };
        let mut voxels = vec![0; (VOXELS * VOXELS * VOXELS) as usize];
        let each = VOXELS / CELLS;
        for cell in triples(CELLS) {
            let near = around(cell, centre);
            for block in triples(each / BLOCK) {
                let corner = sum(times(cell, each), times(block, BLOCK));
                let within_reach = within_reach(&near, corner);
                for inner in triples(BLOCK) {
                    let at = sum(corner, inner);
                    let index = (at[2] * VOXELS + at[1]) * VOXELS + at[0];
                    if let Some(voxel) = voxels.get_mut(index as usize) {
                        *voxel = bone_at(&within_reach, at, plate / space);
                    }
                }
            }
        }
        Self { voxels, per_mm: f64::from(VOXELS) / (f64::from(CELLS) * space), turned: TURNED }
    }

    /// Where a place lies in the block, in voxels.
    pub(super) fn place(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        self.turned.map(|[a, b, c]| (a * x + b * y + c * z) * self.per_mm)
    }

    /// The part of bone at a place in voxels, within 100,000 of the block.
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

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "moved to be positive; a cast saturates"
)]
fn wrapped(place: f64) -> usize {
    const BLOCKS: f64 = 128.0 * 1024.0;
    (place + BLOCKS) as u32 as usize & (VOXELS as usize - 1)
}

/// A marrow space: its name, and where its centre lies, in cells.
type Space = (u64, [f64; 3]);

/// The spaces of a cell and of those around it, the block going on beyond its ends.
fn around(cell: [u32; 3], centre: impl Fn([u32; 3]) -> Space) -> Vec<Space> {
    let steps = [(CELLS - 1, -1.0), (0, 0.0), (1, 1.0)];
    let mut found = Vec::with_capacity(27);
    for (up_z, z) in steps {
        for (up_y, y) in steps {
            for (up_x, x) in steps {
                let there = [(cell[0] + up_x) % CELLS, (cell[1] + up_y) % CELLS, (cell[2] + up_z) % CELLS];
                let (name, [cx, cy, cz]) = centre(there);
                let [ox, oy, oz] = cell.map(f64::from);
                found.push((name, [ox + x + cx, oy + y + cy, oz + z + cz]));
            }
        }
    }
    found
}

/// Every triple of numbers below `count`, the first running fastest.
fn triples(count: u32) -> impl Iterator<Item = [u32; 3]> {
    (0..count).flat_map(move |z| (0..count).flat_map(move |y| (0..count).map(move |x| [x, y, z])))
}

const fn times([x, y, z]: [u32; 3], by: u32) -> [u32; 3] {
    [x * by, y * by, z * by]
}

const fn sum([x, y, z]: [u32; 3], [by_x, by_y, by_z]: [u32; 3]) -> [u32; 3] {
    [x + by_x, y + by_y, z + by_z]
}

/// Where the middle of a voxel lies, in cells.
fn middle_of(voxel: [u32; 3]) -> [f64; 3] {
    voxel.map(|it| (f64::from(it) + 0.5) * (f64::from(CELLS) / f64::from(VOXELS)))
}

/// Of some spaces those that can be among the two nearest to any voxel of a block: no further from all of it than two others
/// are at most. Most are not, and need not be asked for each voxel.
fn within_reach(near: &[Space], corner: [u32; 3]) -> Vec<Space> {
    let [from, to] = [middle_of(corner), middle_of(sum(corner, [BLOCK - 1; 3]))];
    let squared = |place: &[f64; 3], reach: fn(f64, f64, f64) -> f64| -> f64 {
        place.iter().zip(from.iter().zip(&to)).map(|(at, (from, to))| reach(*at, *from, *to).powi(2)).sum()
    };
    let at_most = |place: &[f64; 3]| squared(place, |at, from, to| (at - from).max(to - at));
    let at_least = |place: &[f64; 3]| squared(place, |at, from, to| (from - at).max(at - to).max(0.0));
    let mut bounds = [f64::INFINITY; 2];
    for (_, place) in near {
        let furthest = at_most(place);
        if furthest < bounds[0] {
            bounds = [furthest, bounds[0]];
        } else if furthest < bounds[1] {
            bounds[1] = furthest;
        }
    }
    // A hair more than the bound, so that rounding leaves none out.
    let bound = bounds[1] * (1.0 + 1e-9);
    near.iter().filter(|(_, place)| at_least(place) <= bound).copied().collect()
}

/// How much bone a voxel holds: by how much nearer its nearest centre is than the next (Worley 1996).
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to 0 to 255")]
fn bone_at(near: &[Space], voxel: [u32; 3], plate: f64) -> u8 {
    let at = middle_of(voxel);
    let (mut least, mut next) = ((f64::INFINITY, 0), (f64::INFINITY, 0));
    for (name, [x, y, z]) in near {
        let way = [x - at[0], y - at[1], z - at[2]];
        let distance = way[0] * way[0] + way[1] * way[1] + way[2] * way[2];
        if distance < least.0 {
            next = least;
            least = (distance, *name);
        } else if distance < next.0 {
            next = (distance, *name);
        }
    }
    // Of the walls between two spaces some are thick, some thin, some missing.
    let pair = mixed(least.1.min(next.1) * 4096 + least.1.max(next.1));
    let thickness = plate * (1.9 * fraction(pair) - 0.35).max(0.0);
    let part = thickness - (next.0.sqrt() - least.0.sqrt());
    (255.0 * (part / (0.4 * plate) + 0.5).clamp(0.0, 1.0)) as u8
}
