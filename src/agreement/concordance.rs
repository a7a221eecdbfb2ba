//! Lin's concordance of two columns of readings.

use super::quantile;
use super::scatter::{count, enough_pairs, mean};
use super::stated::{Bounded, Withheld};
use serde::Serialize;

/// Lin's concordance correlation coefficient with its two parts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Concordance {
    /// The coefficient; its interval by Fisher's z.
    #[serde(flatten)]
    pub coefficient: Bounded,
    /// Pearson's correlation: how near the pairs lie to any line.
    pub precision: f64,
    /// How near that line is to equality.
    pub accuracy: f64,
    /// Standard error of the coefficient.
    pub standard_error: f64,
    /// How many pairs.
    pub n: usize,
}

/// Lin's concordance 2 s₁₂ / (s₁² + s₂² + (x̄₁ − x̄₂)²), moments divided by n (Lin 1989, Biometrics 45:255), with the
/// variance as corrected in 2000 (Biometrics 56:324) and Fisher's z for the interval.
///
/// # Errors
/// Fewer than three pairs, or readings that are all the same, or that agree exactly.
pub fn concordance(pairs: &[[f64; 2]]) -> Result<Concordance, Withheld> {
    let count_of = enough_pairs(pairs, 3)?;
    let n = count(count_of);
    let first = || pairs.iter().map(|[first, _]| *first);
    let second = || pairs.iter().map(|[_, second]| *second);
    let (first_mean, second_mean) = (mean(first()), mean(second()));
    let first_variance = mean(first().map(|it| (it - first_mean).powi(2)));
    let second_variance = mean(second().map(|it| (it - second_mean).powi(2)));
    let covariance = mean(pairs.iter().map(|[one, other]| (one - first_mean) * (other - second_mean)));
    let spread = (first_variance * second_variance).sqrt();
    if spread <= 0.0 || covariance == 0.0 {
        return Err(Withheld::NoSpread);
    }
    let shift = first_mean - second_mean;
    let value = 2.0 * covariance / (first_variance + second_variance + shift * shift);
    let r = covariance / spread;
    if 1.0 - value.abs() < 1e-12 {
        return Err(Withheld::NoScatter);
    }
    let shift_squared = shift * shift / spread;
    let c = value;
    let variance = ((1.0 - r * r) * c * c * (1.0 - c * c) / (r * r)
        + 2.0 * c.powi(3) * (1.0 - c) * shift_squared / r
        - c.powi(4) * shift_squared * shift_squared / (2.0 * r * r))
        / (n - 2.0);
    let standard_error = variance.max(0.0).sqrt();
    let half = quantile::Z * standard_error / (1.0 - c * c);
    let z = c.atanh();
    Ok(Concordance {
        coefficient: Bounded { value, interval: [(z - half).tanh(), (z + half).tanh()] },
        precision: r,
        accuracy: value / r,
        standard_error,
        n: count_of,
    })
}
