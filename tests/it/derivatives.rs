//! Exact derivatives of the whole chain, film to row, against finite differences of the program's own values.

use crate::change::{check_cases, make_exact, spots};
use crate::support::{first_order, key};
use crestgauge::case::Case;
use crestgauge::measure::Measured;
use std::collections::BTreeMap;

/// Far below the least relative sd a reference is credited with (1e-6), so that weights stay those of exact
/// references; derivatives are proportional, so no digits are lost.
const SD_PX: f64 = 1e-6;
/// How far a coordinate is moved, px.
const STEP: f64 = 1e-3;

fn values(measured: &Measured) -> BTreeMap<String, f64> {
    measured
        .measurements
        .iter()
        .filter_map(|row| Some((key(row), row.result.as_ref().ok()?.estimate.value)))
        .collect()
}

/// The values with one coordinate of one point moved.
fn moved(case: &Case, point: usize, across: f64, down: f64) -> BTreeMap<String, f64> {
    let mut case = case.clone();
    let mut spots = spots(&mut case);
    *spots[point].x += across;
    *spots[point].y += down;
    drop(spots);
    values(&first_order(&case))
}

/// What the differences found of one derivative.
enum Slope {
    Smooth(f64),
    /// The two sides differ: a nearest segment, a more apical of two, a threshold.
    Kink,
}

/// The derivative at the middle of three values.
fn slope(before: Option<f64>, here: f64, after: Option<f64>) -> Slope {
    let (Some(before), Some(after)) = (before, after) else { return Slope::Kink };
    let (left, right) = ((here - before) / STEP, (after - here) / STEP);
    // A second derivative of f/(10 px)² is more than any of these constructions has.
    let bend = (right - left).abs();
    if bend > 1e-3 * left.abs().max(right.abs()) + 1e-7 {
        Slope::Kink
    } else {
        Slope::Smooth(f64::midpoint(left, right))
    }
}

#[test]
fn the_sd_of_a_row_is_its_derivative_times_the_sd_of_the_point() {
    let (mut checked, mut kinks) = (0_u32, 0_u32);
    for (number, mut case) in check_cases().into_iter().enumerate() {
        make_exact(&mut case);
        let exact = first_order(&case);
        assert!(
            exact.measurements.iter().filter_map(crestgauge::measure::Measurement::sd).all(|sd| sd == 0.0)
        );
        let here = values(&exact);
        // Every other point, odd ones in odd cases, for the time it takes.
        for point in (number % 2..spots(&mut case).len()).step_by(2) {
            let mut loose = case.clone();
            *spots(&mut loose)[point].sd_px = Some(SD_PX);
            let loose = first_order(&loose);
            let [left, right] = [-STEP, STEP].map(|step| moved(&case, point, step, 0.0));
            let [above, below] = [-STEP, STEP].map(|step| moved(&case, point, 0.0, step));
            // y is placed in stored pixels and its sd is in widths of one.
            let aspect = case.film.aspect();
            for row in &loose.measurements {
                let (name, Some(sd)) = (key(row), row.sd()) else { continue };
                let at = |values: &BTreeMap<String, f64>| values.get(&name).copied();
                let across = slope(at(&left), here[&name], at(&right));
                let down = slope(at(&above), here[&name], at(&below));
                let (Slope::Smooth(across), Slope::Smooth(down)) = (across, down) else {
                    kinks += 1;
                    continue;
                };
                let wanted = across.hypot(down / aspect);
                let found = sd / SD_PX;
                assert!(
                    (found - wanted).abs() <= 1e-6 * wanted + 1e-9,
                    "case {number}, point {point}, {name}: {found} by derivatives, {wanted} by differences"
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 10_000 && 100 * kinks < checked, "{checked} checked, {kinks} at kinks");
}
