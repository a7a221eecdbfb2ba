//! What a receptor makes of the beam: scatter, quanta, blur, electronics, a response like a logarithm, 12 bits.

use super::beam::Beam;
use super::chance::{Chance, fraction};
use super::exposure::Exposure;
use super::scene::Scene;
use super::solid::{Ray, Taken};
use super::space::Point3;
use crate::film::Picture;
use crate::geometry::Position;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};
use std::num::NonZeroUsize;

/// How the receptor and its electronics behave. The values are typical, from memory.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Response {
    /// Bits of a grey value.
    pub bits: u8,
    /// Quanta a pixel counts where nothing but air and cheek lies before it; infinite for a film without noise.
    pub quanta: f64,
    /// Scattered over primary beam: so much of what the neighbourhood receives is added everywhere.
    pub scatter: f64,
    /// Standard deviation of the receptor's blur, pixels.
    pub blur_px: f64,
    /// Standard deviation of the electronics' noise, in parts of the full range.
    pub electronics: f64,
    /// Relative standard deviation of the pixels' own gains.
    pub gain: f64,
    /// The exposure beside the tooth, over the one that makes the film black.
    pub exposure: f64,
    /// The part of that exposure below which the response is no more like a logarithm.
    pub toe: f64,
}

impl Default for Response {
    fn default() -> Self {
        Self {
            bits: 12,
            quanta: 2500.0,
            scatter: 0.12,
            blur_px: 1.1,
            electronics: 0.001,
            gain: 0.004,
            exposure: 1.05,
            toe: 0.06,
        }
    }
}

impl Response {
    /// The grey value of a signal, 0 to 1 from black to white: 1 − ln(1 + s/toe) / ln(1 + 1/toe).
    pub fn brightness(&self, signal: f64) -> f64 {
        let signal = signal.clamp(0.0, 1.0);
        1.0 - libm::log(1.0 + signal / self.toe) / libm::log(1.0 + 1.0 / self.toe)
    }
}

/// A film of a scene. The same arguments give the same grey values on any number of threads and any machine.
pub fn expose(
    scene: &Scene,
    exposure: &Exposure,
    beam: &Beam,
    response: &Response,
    seed: u64,
    threads: NonZeroUsize,
) -> Option<Picture> {
    let (width, height) = (exposure.receptor.width_px, exposure.receptor.height_px);
    let columns = width as usize;
    let size = columns * height as usize;
    let mut primary = vec![0.0_f32; size];
    by_rows(&mut primary, columns, threads, |row, line| shine(scene, exposure, beam, row, line));
    // Behind air and cheek alone the signal is the exposure asked for.
    let open = primary.iter().copied().fold(0.0_f32, f32::max);
    let scattered = Scattered::of(&primary, columns);
    let kernel = kernel(response.blur_px);
    let mut counted = vec![0.0_f32; size];
    by_rows(&mut counted, columns, threads, |row, line| {
        count(&primary, &scattered, response, f64::from(open), seed, row, line, &kernel);
    });
    let mut grey = vec![0_u16; size];
    by_rows(&mut grey, columns, threads, |row, line| {
        digitise(&counted, &kernel, response, seed, row, line);
    });
    Picture::new(width, height, response.bits, grey).ok()
}

/// Works on every row, each on its own, in some threads; no outcome depends on how many.
fn by_rows<T: Send>(
    values: &mut [T],
    columns: usize,
    threads: NonZeroUsize,
    work: impl Fn(usize, &mut [T]) + Sync,
) {
    let mut shares: Vec<Vec<(usize, &mut [T])>> = (0..threads.get()).map(|_| Vec::new()).collect();
    let count = shares.len();
    for (row, line) in values.chunks_mut(columns.max(1)).enumerate() {
        if let Some(share) = shares.get_mut(row % count) {
            share.push((row, line));
        }
    }
    std::thread::scope(|scope| {
        let work = &work;
        for share in shares {
            scope.spawn(move || {
                for (row, line) in share {
                    work(row, line);
                }
            });
        }
    });
}

/// Rays are looked after in groups of so many, for which what they could meet is sought once.
const GROUP: usize = 24;
/// No solid lies further before or behind the tooth's axis than this, mm.
const DEPTH: f64 = 16.0;

#[expect(clippy::cast_precision_loss, reason = "films have some thousand rows and columns")]
const fn number(count: usize) -> f64 {
    count as f64
}

#[expect(clippy::cast_possible_truncation, reason = "a part of the beam needs no more digits than f32 has")]
const fn short(value: f64) -> f32 {
    value as f32
}

/// What is left of the primary beam in each pixel of a row.
fn shine(scene: &Scene, exposure: &Exposure, beam: &Beam, row: usize, line: &mut [f32]) {
    let sources = sources(exposure);
    let part = 1.0 / number(sources.len());
    let (mut candidates, mut taken) = (Vec::new(), Taken::none());
    let y = number(row) + 0.5;
    for (group, pixels) in line.chunks_mut(GROUP).enumerate() {
        let first = number(group * GROUP) + 0.5;
        let last = first + number(pixels.len()) - 1.0;
        for source in &sources {
            let ray = |x: f64| Ray::through(*source, exposure.on_receptor(Position::new(x, y)));
            let (Some(one), Some(other)) = (ray(first), ray(last)) else { continue };
            let range = |at: fn(&Ray, f64) -> f64| {
                let ends = [at(&one, -DEPTH), at(&one, DEPTH), at(&other, -DEPTH), at(&other, DEPTH)];
                (
                    ends.into_iter().fold(f64::INFINITY, f64::min),
                    ends.into_iter().fold(f64::NEG_INFINITY, f64::max),
                )
            };
            scene.candidates(range(Ray::x_at), range(Ray::z_at), &mut candidates);
            let mut x = first;
            for pixel in &mut *pixels {
                if let Some(ray) = ray(x) {
                    let thickness = scene.thickness(&ray, &candidates, &mut taken);
                    *pixel += short(part * beam.left_behind(&thickness));
                }
                x += 1.0;
            }
        }
    }
}

/// The middle of the focal spot, or four points of one that has a size: as far from its middle, on the mean, as the spot's
/// own.
fn sources(exposure: &Exposure) -> Vec<Point3> {
    let reach = exposure.focus.get() / 12.0_f64.sqrt();
    if reach.is_nan() || reach <= 0.0 {
        return vec![exposure.source];
    }
    let (right, down) = (exposure.receptor.right, exposure.receptor.down);
    [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]
        .map(|(x, y)| exposure.source.moved(right.times(x * reach)).moved(down.times(y * reach)))
        .into()
}

/// Means of blocks of the primary beam, drawn smoothly over the film: scattered rays keep no detail.
struct Scattered {
    blocks: Vec<f64>,
    across: usize,
}

/// Pixels along the edge of a block.
const BLOCK: usize = 64;

impl Scattered {
    fn of(primary: &[f32], columns: usize) -> Self {
        let across = columns.div_ceil(BLOCK);
        let rows = primary.len() / columns.max(1);
        let mut sums = vec![(0.0, 0.0); across * rows.div_ceil(BLOCK)];
        for (row, line) in primary.chunks(columns.max(1)).enumerate() {
            for (block, part) in line.chunks(BLOCK).enumerate() {
                if let Some((sum, count)) = sums.get_mut(row / BLOCK * across + block) {
                    *sum += part.iter().map(|value| f64::from(*value)).sum::<f64>();
                    *count += number(part.len());
                }
            }
        }
        Self { blocks: sums.into_iter().map(|(sum, count)| sum / count).collect(), across }
    }

    /// The mean around a pixel, between the middles of blocks.
    fn at(&self, column: f64, row: f64) -> f64 {
        let down = self.blocks.len() / self.across.max(1);
        let split = |place: f64, count: usize| {
            let place = (place / number(BLOCK) - 0.5).clamp(0.0, number(count.saturating_sub(1)));
            (place.floor(), place - place.floor())
        };
        let ((left, share_x), (top, share_y)) = (split(column, self.across), split(row, down));
        let block = |x: f64, y: f64| {
            let (x, y) =
                (x.min(number(self.across.saturating_sub(1))), y.min(number(down.saturating_sub(1))));
            self.blocks.get(whole(y) * self.across + whole(x)).copied().unwrap_or(0.0)
        };
        let upper = block(left, top) * (1.0 - share_x) + block(left + 1.0, top) * share_x;
        let lower = block(left, top + 1.0) * (1.0 - share_x) + block(left + 1.0, top + 1.0) * share_x;
        upper * (1.0 - share_y) + lower * share_y
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and less than a film has blocks"
)]
const fn whole(place: f64) -> usize {
    place as usize
}

/// Half of a Gaussian of this sd, its middle first; the whole sums to 1.
fn kernel(sd: f64) -> Vec<f64> {
    if sd.is_nan() || sd <= 0.0 {
        return vec![1.0];
    }
    let reach = whole((3.0 * sd).ceil().min(30.0));
    let raw: Vec<f64> =
        (0..=reach).map(|at| libm::exp(-0.5 * (number(at) / sd) * (number(at) / sd))).collect();
    let sum = raw.iter().skip(1).sum::<f64>() * 2.0 + raw.first().copied().unwrap_or(1.0);
    raw.into_iter().map(|value| value / sum).collect()
}

/// Standard normal numbers in pairs (Box and Muller 1958) out of one stream.
struct Normals {
    stream: ChaCha8Rng,
    spare: Option<f64>,
}

impl Normals {
    fn of(seed: u64, purpose: &str, row: usize) -> Self {
        let mut stream = ChaCha8Rng::seed_from_u64(Chance::of(seed).part("receptor").bits(purpose));
        stream.set_stream(row as u64);
        Self { stream, spare: None }
    }

    fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let (first, second) = (fraction(self.stream.next_u64()), fraction(self.stream.next_u64()));
        let radius = (-2.0 * libm::log(1.0 - first)).sqrt();
        let (sine, cosine) = libm::sincos(std::f64::consts::TAU * second);
        self.spare = Some(radius * sine);
        radius * cosine
    }
}

/// The signal of a row, with its quanta counted and blurred along the row: noise that is blurred with the picture hangs
/// together, as it does where a scintillator spreads light.
#[expect(clippy::too_many_arguments, reason = "one row of one film")]
fn count(
    primary: &[f32],
    scattered: &Scattered,
    response: &Response,
    open: f64,
    seed: u64,
    row: usize,
    line: &mut [f32],
    kernel: &[f64],
) {
    let columns = line.len();
    let mut noise = Normals::of(seed, "quanta", row);
    let mut gains = Normals::of(seed, "gain", row);
    let scale = response.exposure / (open * (1.0 + response.scatter)).max(1e-12);
    let values: Vec<f64> = primary
        .iter()
        .skip(row * columns)
        .take(columns)
        .enumerate()
        .map(|(column, primary)| {
            let around = scattered.at(number(column) + 0.5, number(row) + 0.5);
            let signal = (f64::from(*primary) + response.scatter * around) * scale;
            let quanta = signal * response.quanta;
            let counted = if quanta.is_finite() {
                // A normal number in place of Poisson's: beyond some ten quanta nobody sees the difference.
                (quanta + quanta.sqrt() * noise.next()).max(0.0) / response.quanta
            } else {
                signal
            };
            counted * (1.0 + response.gain * gains.next())
        })
        .collect();
    for (column, pixel) in line.iter_mut().enumerate() {
        *pixel = short(blurred(kernel, columns, column, |at| values.get(at).copied().unwrap_or(0.0)));
    }
}

/// The sum of values around a place, weighted by the kernel; the first and last go on beyond the ends.
fn blurred(kernel: &[f64], count: usize, place: usize, value: impl Fn(usize) -> f64) -> f64 {
    let last = count.saturating_sub(1);
    kernel
        .iter()
        .enumerate()
        .map(|(reach, weight)| {
            if reach == 0 {
                weight * value(place)
            } else {
                weight * (value(place.saturating_sub(reach)) + value((place + reach).min(last)))
            }
        })
        .sum()
}

/// The grey values of a row: blurred down the columns, through the response, with the electronics' noise.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held to the range of the grey values"
)]
fn digitise(counted: &[f32], kernel: &[f64], response: &Response, seed: u64, row: usize, line: &mut [u16]) {
    let columns = line.len();
    let rows = counted.len() / columns.max(1);
    let mut noise = Normals::of(seed, "electronics", row);
    let full = f64::from((1_u32 << response.bits.min(16)) - 1);
    for (column, pixel) in line.iter_mut().enumerate() {
        let signal = blurred(kernel, rows, row, |at| {
            counted.get(at * columns + column).copied().map_or(0.0, f64::from)
        });
        let noisy = response.brightness(signal) + response.electronics * noise.next();
        *pixel = (noisy * full + 0.5).clamp(0.0, full) as u16;
    }
}
