//! Bias and limits of agreement of two columns of readings.

use super::quantile;
use super::scatter::{count, enough_pairs, mean};
use super::stated::{Bounded, Withheld};
use serde::Serialize;

/// Bias and limits of agreement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlandAltman {
    /// How many pairs.
    pub n: usize,
    /// Mean of first − second; its interval is exact for normal differences (Student's t).
    pub bias: Bounded,
    /// Standard deviation of the differences.
    pub sd: f64,
    /// The limits.
    pub lower: Limit,
    /// The limits.
    pub upper: Limit,
    /// For each pair its mean and its difference, first − second, for a plot.
    #[serde(skip)]
    pub points: Vec<[f64; 2]>,
}

/// One limit of agreement.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// The limit, and its 95 % interval by Bland and Altman's approximation (1999, Stat Methods Med Res 8:135).
    #[serde(flatten)]
    pub limit: Bounded,
    /// Its 95 % interval by recovered variances (Zou 2013, Stat Methods Med Res 22:630), better in small samples and
    /// not symmetric.
    pub interval_mover: [f64; 2],
}

/// Bias and limits of agreement of first − second: bias ± 1.96 sd (Bland and Altman 1986, Lancet i:307).
///
/// # Errors
/// Fewer than two pairs.
pub fn bland_altman(pairs: &[[f64; 2]]) -> Result<BlandAltman, Withheld> {
    const NEEDS: usize = 2;
    let has = enough_pairs(pairs, NEEDS)?;
    let n = count(has);
    let df = n - 1.0;
    let too_few = Withheld::TooFewPairs { needs: NEEDS, has };
    let points: Vec<[f64; 2]> =
        pairs.iter().map(|[first, second]| [f64::midpoint(*first, *second), first - second]).collect();
    let differences = || points.iter().map(|[_, difference]| *difference);
    let bias = mean(differences());
    let sd = (differences().map(|difference| (difference - bias).powi(2)).sum::<f64>() / df).sqrt();
    let t = quantile::t(df).ok_or(too_few)?;
    let [low_quantile, high_quantile] = quantile::chi_squared(df).ok_or(too_few)?;
    let z = quantile::Z;
    let bias_half = t * sd / n.sqrt();
    let limit_half = t * sd * (1.0 / n + z * z / (2.0 * df)).sqrt();
    // How far the limit's distance from the bias, z sd, may be too short and too long.
    let longer = z * sd * ((df / low_quantile).sqrt() - 1.0);
    let shorter = z * sd * (1.0 - (df / high_quantile).sqrt());
    let limit = |value: f64, downwards: f64, upwards: f64| Limit {
        limit: Bounded::around(value, limit_half),
        interval_mover: [value - bias_half.hypot(downwards), value + bias_half.hypot(upwards)],
    };
    Ok(BlandAltman {
        n: has,
        bias: Bounded::around(bias, bias_half),
        sd,
        lower: limit(bias - z * sd, longer, shorter),
        upper: limit(bias + z * sd, shorter, longer),
        points,
    })
}
