//! Canals of known shape: straight, then an arc, then straight; and the plane geometry under them.

use super::{Oracle, exact, film};
use crate::support::{find, first_order};
use crestgauge::geometry::{Path, Plane, Position, angle_between};
use serde_json::{Value, json};

/// mm per px on these films; it is exact.
const SCALE: f64 = 0.02;
/// Length of the straight part before the arc, mm.
const STRAIGHT: f64 = 5.0;

/// A canal in mm: straight down to the start of its arc at (0, 0), the arc in `chords` equal chords, then straight.
fn canal(radius: f64, angle_deg: f64, chords: u32, straight: f64) -> Vec<(f64, f64)> {
    let on_arc = |angle: f64| (radius * (1.0 - angle.cos()), radius * angle.sin());
    let whole = angle_deg.to_radians();
    let mut points = vec![(0.0, -STRAIGHT)];
    points.extend((0..=chords).map(|chord| on_arc(whole * f64::from(chord) / f64::from(chords))));
    if straight > 0.0 {
        let (x, y) = on_arc(whole);
        points.push((x + straight * whole.sin(), y + straight * whole.cos()));
    }
    points
}

fn placed((x, y): (f64, f64)) -> Value {
    exact(500.0 + x / SCALE, 600.0 + y / SCALE)
}

/// The rows of a tooth whose canal runs through these points (mm), margin at its first, apex at its last; the arc
/// starts at `bend` and the filling and the post reach from there to the end.
fn measured(points: &[(f64, f64)], bend: (f64, f64)) -> impl Fn(&str) -> f64 + use<> {
    let (first, last) = (points[0], points[points.len() - 1]);
    let case = film(
        &json!([{"kind": "receptor", "pitch_mm": [SCALE, SCALE], "magnification": 1.0, "magnification_sd": 0.0}]),
        &json!({
            "finish_line.mesial": placed((first.0 - 3.0, first.1)),
            "finish_line.distal": placed((first.0 + 3.0, first.1))
        }),
        &json!({
            "curve_start": placed(bend),
            "post_head": placed(bend),
            "post_tip": placed(last),
            "filling_top": placed(bend),
            "filling_tip": placed(last),
            "apex": placed(last)
        }),
        &points.iter().map(|point| placed(*point)).collect(),
    );
    let measured = first_order(&case);
    move |id| find(&measured, &format!("{id}|single")).value().unwrap_or_else(|| panic!("{id} has no value"))
}

/// Schneider's angle of straight + arc + straight, in closed form.
#[test]
fn schneiders_angle_of_a_known_canal() {
    let oracle = Oracle::of("D11");
    for (index, case) in oracle.rows("cases_R_alpha_s").into_iter().enumerate() {
        let row = measured(&canal(case[0], case[1], 32, case[2]), (0.0, 0.0));
        oracle.agrees(row("curvature"), &format!("angle_deg/{index}"));
    }
}

/// The six guide tubes of Pruett, Clement & Carnes 1997 (angles and radii read in the abstract): chord, arc and
/// radius come back, and Schneider's angle is half the arc's where the canal ends with the arc.
#[test]
fn the_guide_tubes_of_pruett() {
    let oracle = Oracle::of("D12");
    for (index, case) in oracle.rows("cases_r_alpha").into_iter().enumerate() {
        let row = measured(&canal(case[0], case[1], 16, 0.0), (0.0, 0.0));
        let finer = measured(&canal(case[0], case[1], 32, 0.0), (0.0, 0.0));
        oracle.agrees(row("post_length"), &format!("chord/{index}"));
        // Chords fall short of their arc by the square of their length, but for terms of the fourth power.
        let arc = (4.0 * finer("filling_length") - row("filling_length")) / 3.0;
        oracle.agrees(arc, &format!("arc/{index}"));
        oracle.agrees(2.0 * row("curvature"), &format!("angle/{index}"));
        oracle.agrees(row("curvature_radius"), &format!("radius/{index}"));
    }
}

/// The chords of an arc, and a polyline of Pythagorean segments, as lengths along the canal.
#[test]
fn lengths_along_a_polyline() {
    let oracle = Oracle::of("D13");
    for (index, case) in oracle.rows("cases_R_alpha_n").into_iter().enumerate() {
        let chords = [1, 2, 3, 4, 8, 16].into_iter().find(|count| f64::from(*count) == case[2]).unwrap();
        let row = measured(&canal(case[0], case[1], chords, 0.0), (0.0, 0.0));
        oracle.agrees(row("filling_length"), &format!("length/{index}"));
        oracle.agrees(row("root_length") - STRAIGHT, &format!("length/{index}"));
    }
    let plain: Vec<_> = oracle.rows("plain_polyline").iter().map(|point| (point[0], point[1])).collect();
    let row = measured(&plain, plain[0]);
    oracle.agrees(row("filling_length"), "plain");
    oracle.agrees(row("root_length"), "plain");
}

fn at(point: &Value) -> Position<Plane> {
    Position::new(point[0].as_f64().unwrap(), point[1].as_f64().unwrap())
}

#[test]
fn the_distance_of_a_point_from_a_line() {
    let oracle = Oracle::of("D14");
    let cases = oracle.0["inputs"]["cases_point_a_b"].as_array().unwrap();
    for (index, case) in cases.iter().enumerate() {
        let [point, one, other] = [0, 1, 2].map(|which| at(&case[which]));
        let foot = Path::through([one, other]).unwrap().nearest(point).unwrap();
        oracle.agrees(point.way_from(foot.place).length(), &format!("distance/{index}"));
        let across = point.way_from(one).across(other.way_from(one).direction().unwrap());
        oracle.agrees(across.abs(), &format!("distance/{index}"));
    }
}

#[test]
fn the_angle_at_a_vertex() {
    let oracle = Oracle::of("D15");
    let cases = oracle.0["inputs"]["cases_a_vertex_b"].as_array().unwrap();
    for (index, case) in cases.iter().enumerate() {
        let [one, vertex, other] = [0, 1, 2].map(|which| at(&case[which]));
        let angle = angle_between(one.way_from(vertex), other.way_from(vertex));
        oracle.agrees(angle.to_degrees(), &format!("deg/{index}"));
    }
}
