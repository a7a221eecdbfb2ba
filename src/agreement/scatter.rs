//! How far the readings of one tooth scatter: the standard deviation within teeth, Dahlberg's error, and the smallest
//! change that is none of it.

use super::quantile;
use super::stated::{Bounded, Withheld};
use serde::Serialize;

/// The standard deviation of readings of the same tooth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Within {
    /// The standard deviation, and its 95 % interval by χ².
    #[serde(flatten)]
    pub sd: Bounded,
    /// Degrees of freedom.
    pub df: usize,
    /// Teeth read at least twice.
    pub n: usize,
}

impl Within {
    /// How uncertain the standard deviation is itself, as a part of it: 1/√(2ν) (JCGM 100:2008, E.4.3).
    pub fn relative_uncertainty(&self) -> f64 {
        1.0 / (2.0 * count(self.df)).sqrt()
    }
}

/// The standard deviation within teeth: √(Σ (x − x̄ of its tooth)² / Σ (readings of the tooth − 1)), the root of the
/// mean square within of a one-way analysis of variance (Bland and Altman 1996, BMJ 313:744); interval s√(df/χ²).
///
/// # Errors
/// No tooth was read twice.
pub fn within<'a>(teeth: impl IntoIterator<Item = &'a [f64]>) -> Result<Within, Withheld> {
    let (mut squares, mut df, mut n) = (0.0, 0, 0);
    for readings in teeth {
        if readings.len() < 2 {
            continue;
        }
        let mean = mean(readings.iter().copied());
        squares += readings.iter().map(|reading| (reading - mean).powi(2)).sum::<f64>();
        df += readings.len() - 1;
        n += 1;
    }
    if df == 0 {
        return Err(Withheld::NoRepeats);
    }
    Ok(Within { sd: sd_of(squares, df)?, df, n })
}

/// The root of `squares` over `df` with its interval by χ².
fn sd_of(squares: f64, df: usize) -> Result<Bounded, Withheld> {
    let df = count(df);
    let value = (squares / df).sqrt();
    let [low, high] = quantile::chi_squared(df).ok_or(Withheld::NoRepeats)?;
    Ok(Bounded { value, interval: [value * (df / high).sqrt(), value * (df / low).sqrt()] })
}

/// The smallest detectable change of a single reading: 1.96 √2 s, with s the standard deviation within teeth. Between two
/// readings of one tooth a smaller difference is expected 19 times in 20 where nothing changed.
pub fn smallest_detectable_change(within: &Within) -> Bounded {
    within.sd.times(quantile::Z * std::f64::consts::SQRT_2)
}

/// Dahlberg's error of duplicate readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Dahlberg {
    /// The error, and its 95 % interval by χ² with n degrees of freedom, which holds where there is no bias.
    #[serde(flatten)]
    pub error: Bounded,
    /// How many pairs.
    pub n: usize,
}

/// Dahlberg's error √(Σ d² / 2n) (Dahlberg 1940), which counts a bias between the two readings as error.
///
/// # Errors
/// Fewer than two pairs.
pub fn dahlberg(pairs: &[[f64; 2]]) -> Result<Dahlberg, Withheld> {
    let n = enough_pairs(pairs, 2)?;
    let squares: f64 = pairs.iter().map(|[one, other]| (one - other).powi(2) / 2.0).sum();
    Ok(Dahlberg { error: sd_of(squares, n)?, n })
}

/// How many pairs there are, where they are enough.
pub(super) fn enough_pairs(pairs: &[[f64; 2]], needs: usize) -> Result<usize, Withheld> {
    let has = pairs.len();
    if has < needs { Err(Withheld::TooFewPairs { needs, has }) } else { Ok(has) }
}

/// A count as a number to reckon with.
#[allow(clippy::cast_precision_loss)] // no list in memory is as long as 2^52
pub(super) fn count(count: usize) -> f64 {
    count as f64
}

/// The mean; of nothing, 0.
pub(super) fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
    values.clone().sum::<f64>() / count(values.count()).max(1.0)
}
