//! Monte Carlo against first order where the two must agree, and against closed forms of its own.

use crate::change::{check_case, has_instrument, make_exact};
use crate::support::{case, data, find, key, library};
use crestgauge::calibration::Reference;
use crestgauge::case::Case;
use crestgauge::measure::{DrawnSpread, Draws, Measured, Measurement, measure};
use crestgauge::quantity::COVERAGE_FACTOR;
use serde_json::json;
use std::process::Command;

/// Draws of the comparisons. The sd of a normal sample of this size is good to 1/√(2n) = 0.5 %, the 2.5 % quantile to
/// √(0.025 · 0.975 / n) / 0.0584 = 0.019 sd, so that the tolerances below are eight standard errors or more: what
/// they leave room for is the nonlinearity of real cases.
const COUNT: u32 = 20_000;
const SD_TOLERANCE: f64 = 0.05;
/// In standard uncertainties.
const END_TOLERANCE: f64 = 0.15;
/// The same where a length is bent by more: a scale from a magnification alone divides by it, and placing errors of
/// the canal's points beside a short filling lengthen its path on either side.
const BENT_END_TOLERANCE: f64 = 0.25;

/// Rows that first order cannot follow even where it is not marked doubtful: the more apical of two ends and the
/// more coronal of two others swap between draws, and no draw below 5 degrees has a radius.
const KINKED: [&str; 2] = ["seal_length", "curvature_radius"];

fn drawn(case: &Case, count: u32, seed: u64) -> Measured {
    measure(case, &library(), Draws { count, seed }).unwrap()
}

/// No tolerance is drawn rectangular, and no parallax multiplies a depth by an angle: all inputs are normal, and a
/// difference between the two methods can only come from the model's curvature.
fn make_normal(case: &mut Case) {
    case.uncertainty.parallax_depth_mm = Some(0.0);
    for reference in &mut case.calibration.references {
        match reference {
            Reference::Instrument(it) => it.length_sd_mm = Some(0.2),
            Reference::Width(it) => it.diameter_sd_mm = Some(0.02),
            Reference::Sphere(it) => it.diameter_sd_mm = Some(0.02),
            Reference::Receptor(_) | Reference::Scan(_) => {}
        }
    }
}

/// The rows the two methods must agree on.
fn comparable(measured: &Measured) -> impl Iterator<Item = &Measurement> {
    measured
        .measurements
        .iter()
        .filter(|row| row.result.as_ref().is_ok_and(|value| value.estimate.sd > 0.0))
        .filter(|row| !row.first_order_is_doubtful() && !KINKED.contains(&row.row.id))
}

/// How far beyond the value an end lies, in standard uncertainties: of a quotient by its numerator less the end
/// times its denominator (Fieller), because the quotient itself is skewed.
fn reach(row: &Measurement, end: f64) -> f64 {
    let value = row.result.as_ref().unwrap();
    match value.quotient {
        Some(quotient) => {
            let excess = quotient.excess_over(end);
            -excess.value / excess.sd
        }
        None => (end - value.estimate.value) / value.estimate.sd,
    }
}

/// How a row's draws spread; there are always enough here.
fn spread(row: &Measurement) -> DrawnSpread {
    row.drawn.expect("drawn").spread.expect("enough draws")
}

#[test]
fn draws_of_normal_inputs_agree_with_first_order() {
    let mut rows = 0;
    for number in 0..24 {
        let mut case = check_case(number);
        make_normal(&mut case);
        let measured = drawn(&case, COUNT, 5);
        for row in comparable(&measured) {
            let (first, drawn) = (row.result.as_ref().unwrap().estimate, spread(row));
            let name = key(row);
            let sd = drawn.sd / first.sd - 1.0;
            assert!(sd.abs() < SD_TOLERANCE, "case {number}: sd of {name} differs by {sd}");
            let bent = !has_instrument(&case) || row.row.id == "filling_length";
            let tolerance = if bent { BENT_END_TOLERANCE } else { END_TOLERANCE };
            for (end, wanted) in drawn.interval.into_iter().zip([-COVERAGE_FACTOR, COVERAGE_FACTOR]) {
                let found = reach(row, end);
                assert!((found - wanted).abs() < tolerance, "case {number}: {name} ends at {found} sd");
            }
            rows += 1;
        }
    }
    assert!(rows > 700, "{rows}");
}

/// With tolerances rectangular and parallax as depth times angle the shape of a distribution is another, its
/// variance is not. Ratios have their skew on top and are left out.
#[test]
fn draws_of_all_inputs_agree_with_first_order_on_the_sd() {
    let mut rows = 0;
    for number in 0..24 {
        let measured = drawn(&check_case(number), COUNT, 6);
        for row in comparable(&measured) {
            let value = row.result.as_ref().unwrap();
            if value.quotient.is_some() {
                continue;
            }
            let sd = spread(row).sd / value.estimate.sd - 1.0;
            assert!(sd.abs() < SD_TOLERANCE, "case {number}: sd of {} differs by {sd}", key(row));
            rows += 1;
        }
    }
    assert!(rows > 500, "{rows}");
}

/// A post between two points that are all but exact, with an instrument beside it.
fn post(instrument: serde_json::Value, head_sd_px: f64) -> Case {
    let point = |x: f64, y: f64, sd: f64| json!({"x": x, "y": y, "sd_px": sd});
    let mut reference = instrument;
    reference["kind"] = json!("instrument");
    reference["points"] = json!([point(400.0, 100.0, 0.0), point(400.0, 1100.0, 0.0)]);
    let tip_y = if head_sd_px > 0.0 { 300.0 + 1e-6 } else { 800.0 };
    case(
        &json!({
            "format": "crestgauge.case", "version": 1, "film": {}, "tooth": {"fdi": "11"},
            "calibration": {"references": [reference], "ratio_sd": 0.0},
            "roots": [{"name": "single", "landmarks": {
                "post_head": point(600.0, 300.0, head_sd_px), "post_tip": point(600.0, tip_y, 0.0)
            }}]
        })
        .to_string(),
    )
}

/// JCGM 101:2008, 6.4.2: a tolerance alone, read as rectangular, has sd half width / √3 and keeps 95 % within 0.95
/// half widths. The post is half as long as the instrument.
#[test]
fn a_tolerance_alone_is_drawn_rectangular() {
    let measured = drawn(&post(json!({"length_mm": 20.0, "tolerance_mm": 0.6}), 0.0), 200_000, 1);
    let drawn = spread(find(&measured, "post_length|single"));
    let half_width = 0.3;
    assert!((drawn.sd * 3.0_f64.sqrt() / half_width - 1.0).abs() < 0.01, "{drawn:?}");
    for (end, wanted) in drawn.interval.into_iter().zip([10.0 - 0.95 * half_width, 10.0 + 0.95 * half_width])
    {
        assert!((end - wanted).abs() < 0.01 * half_width, "{drawn:?}");
    }
}

/// A distance of all but nothing between points each axis of which is placed normally is Rayleigh distributed: a case
/// in which first order knows one direction only (JCGM 101:2008, 9.4 has such an example) and Monte Carlo both. Its sd
/// is σ√(2 − π/2), its quantile at p is σ√(−2 ln(1 − p)).
#[test]
fn a_distance_of_nothing_is_drawn_as_rayleigh_has_it() {
    let sigma = 0.02 * 15.0;
    let measured = drawn(&post(json!({"length_mm": 20.0, "length_sd_mm": 0.0}), 15.0), 200_000, 2);
    let row = find(&measured, "post_length|single");
    // First order sees the one direction the points lie in.
    assert!((row.result.as_ref().unwrap().estimate.sd / sigma - 1.0).abs() < 1e-9);
    let drawn = spread(row);
    assert!((drawn.sd / (sigma * (2.0 - std::f64::consts::FRAC_PI_2).sqrt()) - 1.0).abs() < 0.01);
    for (end, part) in drawn.interval.into_iter().zip([0.025, 0.975_f64]) {
        let wanted = sigma * (-2.0 * (1.0 - part).ln()).sqrt();
        assert!((end / wanted - 1.0).abs() < 0.02, "{part}: {end} {wanted}");
    }
}

#[test]
fn the_same_seed_draws_the_same_and_another_does_not() {
    let case = check_case(0);
    let (once, again, other) = (drawn(&case, 5000, 7), drawn(&case, 5000, 7), drawn(&case, 5000, 8));
    assert_eq!(once.measurements, again.measurements);
    for (row, other) in once.measurements.iter().zip(&other.measurements) {
        assert_eq!(row.result, other.result);
        if let (Some(one), Some(another)) = (row.drawn, other.drawn) {
            assert_ne!(one, another, "{}", key(row));
            assert!(one.used <= 5000);
        }
    }
}

#[test]
fn draws_of_an_exact_case_are_all_alike() {
    let mut case = check_case(10);
    make_exact(&mut case);
    for row in &drawn(&case, 100, 3).measurements {
        if let (Ok(value), Some(drawn)) = (&row.result, row.drawn) {
            let [low, high] = spread(row).interval;
            assert!((low - value.estimate.value).abs() < 1e-9 && (high - low).abs() < 1e-9, "{}", key(row));
            assert_eq!(drawn.used, 100);
        }
    }
}

/// The program as one processor and as all of them: the draws are shared out, and the result must not show how.
#[cfg(target_os = "linux")]
#[test]
fn the_draws_do_not_depend_on_the_number_of_processors() {
    let arguments = ["measure", "--json", "--draws", "9000", "--seed", "4"];
    let file = data("check-cases/1-000.case.json");
    let program = env!("CARGO_BIN_EXE_crestgauge");
    let all = Command::new(program).args(arguments).arg(&file).output().unwrap();
    assert!(all.status.success() && !all.stdout.is_empty());
    // The first processor this test may run on, which need not be number 0.
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let allowed = status.lines().find_map(|line| line.strip_prefix("Cpus_allowed_list:")).unwrap();
    let first = allowed.trim().split(['-', ',']).next().unwrap();
    match Command::new("taskset").args(["-c", first, program]).args(arguments).arg(&file).output() {
        Ok(one) => assert!(one.stdout == all.stdout, "one processor draws otherwise"),
        Err(error) => assert_eq!(error.kind(), std::io::ErrorKind::NotFound, "{error}"),
    }
}
