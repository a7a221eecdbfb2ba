//! The six intraclass correlations of Shrout and Fleiss (1979, Psychol Bull 86:420) with the intervals of McGraw and Wong
//! (1996, Psychol Methods 1:30).

use super::quantile;
use super::scatter::count;
use super::stated::{Bounded, Stated, Withheld};
use serde::Serialize;

/// The mean squares of teeth × columns, each cell read once.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeanSquares {
    /// Between teeth.
    pub teeth: f64,
    /// Within teeth, one-way.
    pub within: f64,
    /// Between columns (observers or sittings).
    pub columns: f64,
    /// What is left: teeth by columns.
    pub residual: f64,
    /// How many teeth.
    pub n: usize,
    /// How many columns.
    pub k: usize,
}

/// The six coefficients: by Shrout and Fleiss's names, and McGraw and Wong's in the comments.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Intraclass {
    /// ICC(1): columns are not the same for every tooth; one reading.
    pub icc_1_1: Stated<Bounded>,
    /// ICC(A,1): two-way random, absolute agreement; one reading.
    pub icc_2_1: Stated<Bounded>,
    /// ICC(C,1): two-way, consistency; one reading.
    pub icc_3_1: Stated<Bounded>,
    /// ICC(k): as the first, mean of all columns.
    pub icc_1_k: Stated<Bounded>,
    /// ICC(A,k): as the second, mean of all columns.
    pub icc_2_k: Stated<Bounded>,
    /// ICC(C,k): as the third, mean of all columns.
    pub icc_3_k: Stated<Bounded>,
    /// What they are made of.
    pub mean_squares: MeanSquares,
}

impl Intraclass {
    /// The six with their names in files.
    pub fn named(&self) -> [(&'static str, &Stated<Bounded>); 6] {
        [
            ("icc_1_1", &self.icc_1_1),
            ("icc_2_1", &self.icc_2_1),
            ("icc_3_1", &self.icc_3_1),
            ("icc_1_k", &self.icc_1_k),
            ("icc_2_k", &self.icc_2_k),
            ("icc_3_k", &self.icc_3_k),
        ]
    }
}

/// The mean squares of rows of readings, a row a tooth.
///
/// # Errors
/// Fewer than two rows, or of two columns; rows of different lengths count as too few.
pub fn mean_squares(teeth: &[Vec<f64>]) -> Result<MeanSquares, Withheld> {
    const NEEDS: usize = 2;
    let (n, k) = (teeth.len(), teeth.first().map_or(0, Vec::len));
    if n < NEEDS {
        return Err(Withheld::TooFewComplete { needs: NEEDS, has: n });
    }
    if k < 2 || teeth.iter().any(|row| row.len() != k) {
        return Err(Withheld::NoRepeats);
    }
    let (rows, columns) = (count(n), count(k));
    let grand = teeth.iter().flatten().sum::<f64>() / (rows * columns);
    let row_means: Vec<f64> = teeth.iter().map(|row| row.iter().sum::<f64>() / columns).collect();
    let mut column_means = vec![0.0; k];
    for row in teeth {
        for (sum, reading) in column_means.iter_mut().zip(row) {
            *sum += reading / rows;
        }
    }
    let between = columns * row_means.iter().map(|mean| (mean - grand).powi(2)).sum::<f64>();
    let judges = rows * column_means.iter().map(|mean| (mean - grand).powi(2)).sum::<f64>();
    let (mut within, mut residual) = (0.0, 0.0);
    for (row, row_mean) in teeth.iter().zip(&row_means) {
        for (reading, column_mean) in row.iter().zip(&column_means) {
            within += (reading - row_mean).powi(2);
            residual += (reading - row_mean - column_mean + grand).powi(2);
        }
    }
    Ok(MeanSquares {
        teeth: between / (rows - 1.0),
        within: within / (rows * (columns - 1.0)),
        columns: judges / (columns - 1.0),
        residual: residual / ((rows - 1.0) * (columns - 1.0)),
        n,
        k,
    })
}

/// The six coefficients of rows of readings, a row a tooth.
///
/// # Errors
/// As [`mean_squares`]; and readings that are all the same, or differ between columns by the same amount everywhere.
pub fn intraclass(teeth: &[Vec<f64>]) -> Result<Intraclass, Withheld> {
    let squares = mean_squares(teeth)?;
    let scale = teeth.iter().flatten().fold(0.0_f64, |most, reading| most.max(reading.abs()));
    // Rounding leaves this much of a difference that is none.
    let nothing = (scale * 1e-12).powi(2);
    if squares.teeth <= nothing {
        return Err(Withheld::NoSpread);
    }
    if squares.residual <= nothing || squares.within <= nothing {
        return Err(Withheld::NoScatter);
    }
    coefficients(&squares).ok_or(Withheld::NoSpread)
}

fn coefficients(squares: &MeanSquares) -> Option<Intraclass> {
    let MeanSquares { teeth, within, columns, residual, .. } = *squares;
    let (n, k) = (count(squares.n), count(squares.k));
    let rows_df = n - 1.0;
    let residual_df = rows_df * (k - 1.0);
    let one_way = consistency(teeth, within, rows_df, n * (k - 1.0), k)?;
    let two_way = consistency(teeth, residual, rows_df, residual_df, k)?;
    let of_mean = |single: Bounded| Bounded {
        value: stepped_up(single.value, k),
        interval: single.interval.map(|end| stepped_up(end, k)),
    };
    // Absolute agreement: columns are a random sample, and their mean square counts.
    let rho = (teeth - residual) / (teeth + (k - 1.0) * residual + k * (columns - residual) / n);
    let a = k * rho / (n * (1.0 - rho));
    let b = 1.0 + k * rho * (n - 1.0) / (n * (1.0 - rho));
    let df = (a * columns + b * residual).powi(2)
        / ((a * columns).powi(2) / (k - 1.0) + (b * residual).powi(2) / residual_df);
    let (f_low, f_high) = (quantile::f(rows_df, df)?, quantile::f(df, rows_df)?);
    let rest = k * columns + (k * n - k - n) * residual;
    let absolute = Bounded {
        value: rho,
        interval: [
            n * (teeth - f_low * residual) / (f_low * rest + n * teeth),
            n * (f_high * teeth - residual) / (rest + n * f_high * teeth),
        ],
    };
    Some(Intraclass {
        icc_1_1: ordered(one_way),
        icc_2_1: ordered(absolute),
        icc_3_1: ordered(two_way),
        icc_1_k: ordered(of_mean(one_way)),
        icc_2_k: ordered(of_mean(absolute)),
        icc_3_k: ordered(of_mean(two_way)),
        mean_squares: *squares,
    })
}

/// Where teeth differ by less than the columns scatter, the published interval can turn over; then it says nothing.
fn ordered(coefficient: Bounded) -> Stated<Bounded> {
    let [low, high] = coefficient.interval;
    if low.is_finite() && low <= coefficient.value && coefficient.value <= high && high <= 1.0 {
        Stated::Given(coefficient)
    } else {
        Stated::Withheld(Withheld::NoSpread)
    }
}

/// (F − 1) / (F + k − 1) with F the ratio of mean squares, and the same of F's interval.
fn consistency(teeth: f64, error: f64, teeth_df: f64, error_df: f64, k: f64) -> Option<Bounded> {
    let coefficient = |f: f64| (f - 1.0) / (f + k - 1.0);
    let f = teeth / error;
    let low = f / quantile::f(teeth_df, error_df)?;
    let high = f * quantile::f(error_df, teeth_df)?;
    Some(Bounded { value: coefficient(f), interval: [coefficient(low), coefficient(high)] })
}

/// The coefficient of the mean of k readings by that of one (Spearman and Brown).
fn stepped_up(single: f64, k: f64) -> f64 {
    k * single / (1.0 + (k - 1.0) * single)
}
