//! Quantiles of the distributions that intervals of repeat statistics rest on.

use crate::quantity::COVERAGE_FACTOR;
use statrs::distribution::{ChiSquared, ContinuousCDF as _, FisherSnedecor, StudentsT};

/// What lies above a 95 % interval, and as much below it.
const TAIL: f64 = 0.025;

/// The quantile below which 97.5 % of a standard normal variable lie.
pub(super) const Z: f64 = COVERAGE_FACTOR;

/// The 97.5 % quantile of Student's t.
pub(super) fn t(df: f64) -> Option<f64> {
    finite(StudentsT::new(0.0, 1.0, df).ok()?.inverse_cdf(1.0 - TAIL))
}

/// The 2.5 % and 97.5 % quantiles of χ².
pub(super) fn chi_squared(df: f64) -> Option<[f64; 2]> {
    let distribution = ChiSquared::new(df).ok()?;
    Some([finite(distribution.inverse_cdf(TAIL))?, finite(distribution.inverse_cdf(1.0 - TAIL))?])
}

/// The 97.5 % quantile of F.
pub(super) fn f(numerator_df: f64, denominator_df: f64) -> Option<f64> {
    finite(FisherSnedecor::new(numerator_df, denominator_df).ok()?.inverse_cdf(1.0 - TAIL))
}

fn finite(quantile: f64) -> Option<f64> {
    quantile.is_finite().then_some(quantile)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(ours: Option<f64>, reference: f64) {
        let ours = ours.expect("a quantile");
        assert!((ours / reference - 1.0).abs() < 1e-8, "{ours}, not {reference}");
    }

    /// `t.ppf(0.975, df)`, `chi2.ppf([0.025, 0.975], df)` and `f.ppf(0.975, df, 15)` of scipy 1.17.1.
    #[test]
    fn quantiles_are_scipys_at_few_and_at_many_degrees_of_freedom() {
        for (df, t_value, [low, high], f_value) in [
            (
                1.0,
                12.706_204_736_174_694,
                [0.000_982_069_117_175_255_5, 5.023_886_187_314_888],
                6.199_500_937_801_104,
            ),
            (
                2.0,
                4.302_652_729_749_462,
                [0.050_635_615_968_579_75, 7.377_758_908_227_871],
                4.765_048_283_888_205,
            ),
            (
                4.785_144,
                2.605_688_772_074_066_2,
                [0.751_157_505_022_318_2, 12.476_505_898_585_295],
                3.618_558_207_838_795_7,
            ),
            (
                16.0,
                2.119_905_299_221_254_6,
                [6.907_664_353_497_003, 28.845_350_723_404_753],
                2.836_046_710_952_137,
            ),
            (
                100.0,
                1.983_971_518_523_551_8,
                [74.221_927_474_923_73, 129.561_197_185_836_6],
                2.473_944_481_246_379,
            ),
            (
                9_999.0,
                1.960_201_263_621_357,
                [9_723.732_237_014_99, 10_278.056_320_256_948],
                2.396_154_954_412_116_6,
            ),
        ] {
            close(t(df), t_value);
            let ours = chi_squared(df);
            close(ours.map(|[end, _]| end), low);
            close(ours.map(|[_, end]| end), high);
            close(f(df, 15.0), f_value);
        }
    }

    #[test]
    fn no_degrees_of_freedom_have_no_quantile() {
        assert_eq!((t(0.0), chi_squared(0.0), f(0.0, 1.0)), (None, None, None));
        assert_eq!((t(f64::NAN), f(1.0, f64::NAN)), (None, None));
    }
}
