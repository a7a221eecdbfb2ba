//! Monte Carlo propagation (JCGM 101:2008): tolerances are drawn rectangular, all else normal, and parallax as one
//! vertical angle a film times one depth a point (or root).

use super::assumptions::Assumptions;
use super::construction::{Construction, Values, evaluate};
use super::inputs::{Inputs, Source};
use crate::calibration::Spread;
use crate::quantity::rectangular_half_width;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal, StandardUniform};

/// Draws made from one stream; chunks have streams of their own, so that the result does not depend on how many
/// threads share the work.
const CHUNK: u32 = 2048;

/// What the draws of one measurement came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Draws that gave a value.
    pub used: u32,
    /// How they spread; none where fewer than [`FEWEST_DRAWS`] gave a value, and first order stands instead.
    pub spread: Option<DrawnSpread>,
}

/// How the draws of one measurement spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnSpread {
    /// Standard deviation, not clipped.
    pub sd: f64,
    /// 2.5 % and 97.5 % quantiles, not clipped.
    pub interval: [f64; 2],
}

/// With fewer draws than this a 2.5 % quantile is the least draw itself.
pub const FEWEST_DRAWS: u32 = 40;
/// A beam further off than this throws no film of a tooth; such a draw has no value. (The tangent of a normal angle
/// has no variance: without this, one draw near 90 degrees would be the sd.)
const MOST_ANGLE_DEG: f64 = 60.0;

/// How one input is drawn.
enum Draw {
    Normal { mean: f64, sd: f64 },
    Rectangular { middle: f64, half_width: f64 },
    Parallax,
}

/// Draws every construction.
pub(super) fn draw(
    inputs: &Inputs<'_>,
    constructions: &[&Construction],
    assumptions: &Assumptions,
    draws: u32,
    seed: u64,
) -> Vec<Drawn> {
    let plan = plan(inputs);
    let chunks: Vec<u32> = (0..draws.div_ceil(CHUNK)).collect();
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(chunks.len().max(1));
    let share = chunks.len().div_ceil(workers).max(1);
    let mut samples: Vec<Vec<f64>> = vec![Vec::new(); constructions.len()];
    let drawn: Vec<Vec<Vec<f64>>> = std::thread::scope(|scope| {
        let handles: Vec<_> = chunks
            .chunks(share)
            .map(|mine| {
                let plan = &plan;
                scope.spawn(move || {
                    let mut samples: Vec<Vec<f64>> = vec![Vec::new(); constructions.len()];
                    for chunk in mine {
                        let count = CHUNK.min(draws - chunk * CHUNK);
                        draw_chunk(
                            inputs,
                            constructions,
                            assumptions,
                            plan,
                            (seed, *chunk, count),
                            &mut samples,
                        );
                    }
                    samples
                })
            })
            .collect();
        // A worker that died took its draws with it; the rest still make a result, and `used` says how many.
        handles.into_iter().filter_map(|handle| handle.join().ok()).collect()
    });
    for part in drawn {
        for (all, mine) in samples.iter_mut().zip(part) {
            all.extend(mine);
        }
    }
    samples.into_iter().map(summary).collect()
}

fn plan(inputs: &Inputs<'_>) -> Vec<Draw> {
    let nominal = inputs.nominal_inputs();
    let mut plan: Vec<Draw> = inputs
        .list
        .iter()
        .zip(&nominal)
        .map(|(input, mean)| match input.source {
            Source::Parallax => Draw::Parallax,
            _ => Draw::Normal { mean: *mean, sd: input.sd },
        })
        .collect();
    for (index, input) in inputs.scale_inputs() {
        if input.spread == Spread::Rectangular
            && let Some(draw) = plan.get_mut(index)
        {
            *draw = Draw::Rectangular { middle: input.nominal, half_width: rectangular_half_width(input.sd) };
        }
    }
    plan
}

fn draw_chunk(
    inputs: &Inputs<'_>,
    constructions: &[&Construction],
    assumptions: &Assumptions,
    plan: &[Draw],
    (seed, chunk, count): (u64, u32, u32),
    samples: &mut [Vec<f64>],
) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(u64::from(chunk));
    let mut values = Vec::with_capacity(plan.len());
    for _ in 0..count {
        let angle = assumptions.angulation.radians() * normal(&mut random);
        let slope = angle.tan();
        values.clear();
        values.extend(plan.iter().map(|draw| match draw {
            Draw::Normal { mean, sd } => mean + sd * normal(&mut random),
            Draw::Rectangular { middle, half_width } => {
                middle + half_width * from_minus_one_to_one(&mut random)
            }
            Draw::Parallax => assumptions.parallax_depth.get() * normal(&mut random) * slope,
        }));
        // Every input is drawn before a draw is given up, so that draws stay in step with the seed.
        if angle.abs() > MOST_ANGLE_DEG.to_radians() {
            continue;
        }
        let drawn: Option<Values<f64>> = inputs.drawn(&values);
        let Some(drawn) = drawn else { continue };
        for (construction, samples) in constructions.iter().zip(samples.iter_mut()) {
            if let Ok(outcome) = evaluate(construction, &drawn) {
                let value = outcome.value();
                if value.is_finite() {
                    samples.push(value);
                }
            }
        }
    }
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(random)
}

fn from_minus_one_to_one(random: &mut ChaCha8Rng) -> f64 {
    let zero_to_one: f64 = StandardUniform.sample(random);
    2.0 * zero_to_one - 1.0
}

#[allow(clippy::cast_precision_loss)] // counts of draws are far below 2^52
fn summary(mut sample: Vec<f64>) -> Drawn {
    let used = u32::try_from(sample.len()).unwrap_or(u32::MAX);
    if used < FEWEST_DRAWS {
        return Drawn { used, spread: None };
    }
    sample.sort_unstable_by(f64::total_cmp);
    let count = sample.len() as f64;
    // Summed in sorted order, so that the sum does not depend on which thread drew what.
    let mean = sample.iter().sum::<f64>() / count;
    let variance = sample.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let interval = quantile(&sample, 0.025).zip(quantile(&sample, 0.975));
    let spread = interval.map(|(low, high)| DrawnSpread { sd: variance.sqrt(), interval: [low, high] });
    Drawn { used, spread }
}

/// The quantile of a sorted sample, linear between neighbours.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 ≤ place < length
fn quantile(sorted: &[f64], part: f64) -> Option<f64> {
    let place = part * (sorted.len().checked_sub(1)? as f64);
    let below = *sorted.get(place.floor() as usize)?;
    let above = *sorted.get(place.ceil() as usize)?;
    Some(below + (above - below) * place.fract())
}
