//! Sharpening by an unsharp mask: what differs from a blurred copy is added once more.
//!
//! It is a way to look at a film: nothing is measured on it.

use super::bands::{in_bands, threads_for};
use std::ops::RangeInclusive;

/// Whether and how strongly a picture is sharpened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sharpening {
    /// Whether it is.
    pub is_on: bool,
    /// How many times what differs from the blurred copy is added, within [`SHARPENING`]; 0 changes nothing.
    pub amount: f64,
    /// The standard deviation of the blur (Gaussian), pixels of the picture shown; 0 changes nothing.
    pub sigma: f64,
}

/// The least and the greatest amount of sharpening that is offered.
pub const SHARPENING: RangeInclusive<f64> = 0.0..=4.0;
/// The widest blur, pixels.
pub(super) const WIDEST: f64 = 16.0;

impl Default for Sharpening {
    /// Off; half the difference from a blur of one and a half pixels, which is about the width of an edge on a sharp
    /// film. More than that shows the grain of a noisy film before its edges, by the eye on sample films.
    fn default() -> Self {
        Self { is_on: false, amount: 0.5, sigma: 1.5 }
    }
}

impl Sharpening {
    /// How far a pixel is seen by its neighbours: four standard deviations, beyond which a Gaussian holds less than
    /// a ten-thousandth.
    pub fn reach(&self) -> u32 {
        // At most 64.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
        let reach = (4.0 * self.sigma.clamp(0.0, WIDEST)).ceil() as u32;
        reach
    }

    /// Sharpens grey values, rows top down, none of them above `largest`. Beyond its edges a picture goes on as its own
    /// mirror image about the outermost pixels.
    pub fn sharpened(&self, grey: &[u16], width: usize, largest: u16) -> Vec<u16> {
        let weights = weights(self.sigma.clamp(0.0, WIDEST), self.reach() as usize);
        let mut sharp = grey.to_vec();
        let (height, reach) = (grey.len() / width.max(1), weights.len() - 1);
        #[expect(clippy::cast_possible_truncation, reason = "a small number")]
        let amount = self.amount as f32;
        in_bands(&mut sharp, width, threads_for(grey.len()), |first, band| {
            let rows = band.len() / width;
            // The rows of this band and those around it that it sees, blurred along.
            let mut along = Vec::with_capacity((rows + 2 * reach) * width);
            let mut wide = vec![0.0; width + 2 * reach];
            for at in 0..rows + 2 * reach {
                let row = mirrored(first + at, reach, height);
                blur_along(
                    grey.get(row * width..(row + 1) * width).unwrap_or_default(),
                    &weights,
                    &mut wide,
                    &mut along,
                );
            }
            let mut blurred = vec![0.0_f32; width];
            for (at, pixels) in band.chunks_mut(width).enumerate() {
                let row = |at: usize| along.get(at * width..(at + 1) * width).unwrap_or_default();
                blurred.fill(0.0);
                add(&mut blurred, row(at + reach), &[], weights.first().copied().unwrap_or(1.0));
                for (off, weight) in weights.iter().enumerate().skip(1) {
                    add(&mut blurred, row(at + reach - off), row(at + reach + off), *weight);
                }
                for (pixel, blurred) in pixels.iter_mut().zip(&blurred) {
                    let sharp = f32::from(*pixel) + amount * (f32::from(*pixel) - blurred);
                    // Held to the grey values there are.
                    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
                    let sharp = (sharp + 0.5).clamp(0.0, f32::from(largest)) as u16;
                    *pixel = sharp;
                }
            }
        });
        sharp
    }
}

/// The weights of a Gaussian from its middle outwards; with those of the other side they add up to 1.
fn weights(sigma: f64, reach: usize) -> Vec<f32> {
    let bell = |at: usize| {
        // At most 64.
        let at = f64::from(u32::try_from(at).unwrap_or(u32::MAX));
        if at > 0.0 { libm::exp(-at * at / (2.0 * sigma * sigma)) } else { 1.0 }
    };
    let sum = 1.0 + 2.0 * (1..=reach).map(bell).sum::<f64>();
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
    let weights = (0..=reach).map(|at| (bell(at) / sum) as f32).collect();
    weights
}

/// The place `at - before` of `length` places, mirrored about the first and the last until it is one of them.
fn mirrored(at: usize, before: usize, length: usize) -> usize {
    let period = 2 * length.saturating_sub(1);
    if period == 0 {
        return 0;
    }
    // Counted from the first place, and again after each there and back.
    let at = (at + period * before.div_ceil(period) - before) % period;
    at.min(period - at)
}

/// Appends a row blurred along. `wide` is room for the row and what goes on beyond its ends.
fn blur_along(row: &[u16], weights: &[f32], wide: &mut [f32], blurred: &mut Vec<f32>) {
    let reach = weights.len() - 1;
    for (at, value) in wide.iter_mut().enumerate() {
        *value = row.get(mirrored(at, reach, row.len())).map_or(0.0, |grey| f32::from(*grey));
    }
    let start = blurred.len();
    blurred.resize(start + row.len(), 0.0);
    let Some(blurred) = blurred.get_mut(start..) else { return };
    let from = |off: usize| wide.get(off..).unwrap_or_default();
    add(blurred, from(reach), &[], weights.first().copied().unwrap_or(1.0));
    for (off, weight) in weights.iter().enumerate().skip(1) {
        add(blurred, from(reach - off), from(reach + off), *weight);
    }
}

/// Adds to each value those of one row, or of two, times a weight.
fn add(to: &mut [f32], one: &[f32], other: &[f32], weight: f32) {
    if other.is_empty() {
        to.iter_mut().zip(one).for_each(|(to, one)| *to += weight * one);
    } else {
        to.iter_mut().zip(one).zip(other).for_each(|((to, one), other)| *to += weight * (one + other));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_goes_on_as_its_mirror_image_beyond_its_edges() {
        let row = |length: usize| -> Vec<usize> { (0..11).map(|at| mirrored(at, 4, length)).collect() };
        assert_eq!(row(4), [2, 3, 2, 1, 0, 1, 2, 3, 2, 1, 0]);
        assert_eq!(row(2), [0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0]);
        assert_eq!(row(1), [0; 11]);
        assert_eq!(row(0), [0; 11]);
    }

    #[test]
    fn one_bright_pixel_gains_what_the_blur_takes_from_it() {
        // Weights of a Gaussian of sigma 0.5 at 0, 1, 2: 1, e^-2, e^-8, of a sum of 1.2713.
        let mut grey = vec![1000; 25];
        grey[12] = 11_000;
        let sharp = Sharpening { is_on: true, amount: 1.0, sigma: 0.5 }.sharpened(&grey, 5, u16::MAX);
        // In the middle 0.78658^2 = 0.61871 of the difference stays in the blur; beside it 0.78658 x 0.10645 = 0.08373.
        assert_eq!(sharp[12], 11_000 + 3813);
        assert_eq!([7, 11, 13, 17].map(|at| sharp[at]), [1000 - 837; 4]);
    }

    #[test]
    fn what_is_even_stays_and_no_amount_or_width_changes_nothing() {
        let even = vec![777; 40];
        assert_eq!(Sharpening { is_on: true, amount: 3.0, sigma: 2.0 }.sharpened(&even, 8, 4095), even);
        let grain: Vec<u16> = (0..400_u32).map(|at| u16::try_from(at * 7919 % 4096).unwrap()).collect();
        for (amount, sigma) in [(0.0, 2.0), (2.0, 0.0)] {
            assert_eq!(Sharpening { is_on: true, amount, sigma }.sharpened(&grain, 20, 4095), grain);
        }
        assert!(Sharpening::default().sharpened(&[], 0, 255).is_empty());
    }

    #[test]
    fn no_grey_value_leaves_the_films_depth() {
        let edge: Vec<u16> = (0..64).map(|at| if at % 8 < 4 { 3 } else { 4090 }).collect();
        let sharp = Sharpening { is_on: true, amount: 4.0, sigma: 1.5 }.sharpened(&edge, 8, 4095);
        assert!(sharp.iter().all(|grey| *grey <= 4095));
        assert!(sharp.contains(&0) && sharp.contains(&4095));
    }

    #[test]
    fn bands_of_several_threads_meet_without_a_seam() {
        let grain: Vec<u16> =
            (0..700_u64 * 800).map(|at| u16::try_from(at * 7919 % 65_521).unwrap()).collect();
        let sharpening = Sharpening { is_on: true, amount: 1.0, sigma: 2.0 };
        let whole = sharpening.sharpened(&grain, 700, u16::MAX);
        // 200 rows are too few for a second thread.
        let (from, rows) = (350, 200);
        let part = sharpening.sharpened(&grain[from * 700..(from + rows) * 700], 700, u16::MAX);
        let reach = sharpening.reach() as usize;
        assert_eq!(
            part[reach * 700..(rows - reach) * 700],
            whole[(from + reach) * 700..(from + rows - reach) * 700]
        );
    }
}
