//! Circles: published geometric least-squares fits, by the fit itself and as the scale of a ball.

use super::{Oracle, exact, film};
use crate::support::first_order;
use crestgauge::case::read_text;
use crestgauge::geometry::{Circle, CircleError, Position, Square, fit_circle};
use serde_json::json;

fn points(x: &[f64], y: &[f64]) -> Vec<Position<Square>> {
    x.iter().zip(y).map(|(x, y)| Position::new(*x, *y)).collect()
}

fn fit(x: &[f64], y: &[f64]) -> [f64; 3] {
    let Circle { centre, radius } = fit_circle(&points(x, y)).unwrap();
    [centre.x, centre.y, radius]
}

/// Geometric fits: Gander, Golub & Strebel 1994 (D02, read) and the `SciPy` cookbook's first set (D05, read);
/// Coope's eight points (D04) and the cookbook's short arc (D06) from memory. On D02 and D06 an algebraic fit is
/// far off: 3.04 instead of 4.71, and 20.9 instead of 27.4.
const FITS: [&str; 4] = ["D02", "D04", "D05", "D06"];

#[test]
fn published_geometric_fits() {
    for number in FITS {
        let oracle = Oracle::of(number);
        let fitted = fit(&oracle.list("inputs/x"), &oracle.list("inputs/y"));
        for (part, ours) in fitted.into_iter().enumerate() {
            oracle.agrees(ours, &format!("circle/{part}"));
        }
    }
}

/// A ball whose rim is the published set, 0.05 mm per px by the published radius, gives just that scale across the
/// tooth.
#[test]
fn the_scale_of_a_ball_is_its_diameter_over_the_fitted_one() {
    for number in FITS {
        let oracle = Oracle::of(number);
        let radius = oracle.expected("circle/2");
        let rim: Vec<_> = oracle
            .list("inputs/x")
            .into_iter()
            .zip(oracle.list("inputs/y"))
            .map(|(x, y)| exact(x, y))
            .collect();
        let case = film(
            &json!([{"kind": "sphere", "points": rim, "diameter_mm": 2.0 * radius * 0.05}]),
            &json!({"finish_line.mesial": exact(100.0, 0.0), "finish_line.distal": exact(200.0, 0.0)}),
            &json!({"apex": exact(150.0, 300.0)}),
            &json!([]),
        );
        let scale = first_order(&case).scale.unwrap();
        let off = (scale.transverse().get() / 0.05 - 1.0).abs();
        assert!(off <= oracle.tolerance("circle") / radius, "{number}: {off}");
    }
}

#[test]
fn three_points_have_the_circle_of_elementary_geometry() {
    let oracle = Oracle::of("D07");
    for (index, triple) in oracle.0["inputs"]["triples"].as_array().unwrap().iter().enumerate() {
        let coordinate = |which: usize| -> Vec<f64> {
            triple.as_array().unwrap().iter().map(|point| point[which].as_f64().unwrap()).collect()
        };
        for (part, ours) in fit(&coordinate(0), &coordinate(1)).into_iter().enumerate() {
            oracle.agrees(ours, &format!("circles/{index}/{part}"));
        }
    }
}

/// The negative control of D07: a line has no circle, in the fit and in a case file.
#[test]
fn points_on_a_line_are_refused() {
    let line = ([0.0, 1.0, 2.0], [0.0, 0.0, 0.0]);
    assert_eq!(fit_circle(&points(&line.0, &line.1)), Err(CircleError::Collinear));
    let document = json!({
        "format": "crestgauge.case",
        "version": 1,
        "film": {},
        "tooth": {},
        "calibration": {"references": [{
            "kind": "sphere",
            "points": [exact(0.0, 0.0), exact(1.0, 0.0), exact(2.0, 0.0)],
            "diameter_mm": 5.0
        }]}
    });
    let error = read_text(&document.to_string()).expect_err("a line is no ball");
    assert_eq!(error.pointer.as_deref(), Some("/calibration/references/0/points"));
}
