//! The two distributions the program needs in closed form.

/// The probability that a standard normal variable is at most `z`; 0 and 1 at minus and plus infinity.
///
/// Φ(z) = erfc(−z/√2)/2, with the error function of the `libm` crate, so that every platform gives the same.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// The standard uncertainty of a quantity known only to lie within ± `half_width`: half width / √3
/// (JCGM 100:2008, 4.3.7).
pub fn rectangular_sd(half_width: f64) -> f64 {
    half_width / 3.0_f64.sqrt()
}

/// The half width of a rectangular distribution with standard uncertainty `sd`: the inverse of [`rectangular_sd`].
pub fn rectangular_half_width(sd: f64) -> f64 {
    sd * 3.0_f64.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008 table G.2, last row: the two-sided 95 % and 99 % factors of a normal variable, 1.960 and
    /// 2.576 (three decimals as printed there).
    #[test]
    fn published_coverage_factors() {
        for (factor, level) in [(1.959_964, 0.95), (2.575_829, 0.99), (1.0, 0.682_689)] {
            let covered = normal_cdf(factor) - normal_cdf(-factor);
            assert!((covered - level).abs() < 1e-6, "{factor}: {covered}");
        }
        assert_eq!(normal_cdf(f64::NEG_INFINITY), 0.0);
        assert_eq!(normal_cdf(f64::INFINITY), 1.0);
    }

    /// JCGM 100:2008 H.1 prints 0.05/√3 = 0.029 and 1e-6/√3 = 0.58e-6.
    #[test]
    fn published_rectangular_divisors() {
        assert!((rectangular_sd(0.05) - 0.029).abs() < 5e-4);
        assert!((rectangular_sd(1e-6) - 0.58e-6).abs() < 5e-9);
    }
}
