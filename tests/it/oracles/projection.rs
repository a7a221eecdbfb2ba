//! Projection: rods thrown onto a receptor by a point source or a parallel beam, against closed forms.
//!
//! Each test throws the rod itself, from the geometry of the entry, and reads the film with the program; the entry's
//! closed form is what must come out.

use super::{Oracle, exact, film};
use crate::support::{find, first_order};
use crestgauge::calibration::Scale;
use serde_json::{Value, json};

/// Pitch of the receptor of these films, mm.
const PITCH: f64 = 0.02;

/// A point or a way in a plane that cuts the receptor at right angles, mm.
type Plane = (f64, f64);

/// Where a ray through `source` and `target` meets the receptor: mm along a receptor through the origin, tilted by
/// `tilt` radians.
fn thrown(source: Plane, target: Plane, tilt: f64) -> f64 {
    let (along, normal) = ((tilt.cos(), tilt.sin()), (-tilt.sin(), tilt.cos()));
    let dot = |one: Plane, other: Plane| one.0 * other.0 + one.1 * other.1;
    let way = (target.0 - source.0, target.1 - source.1);
    let reach = -dot(source, normal) / dot(way, normal);
    dot((source.0 + reach * way.0, source.1 + reach * way.1), along)
}

fn rod(start: Plane, length: f64, angle: f64) -> (Plane, Plane) {
    (start, (start.0 + length * angle.cos(), start.1 + length * angle.sin()))
}

fn receptor(magnification: f64) -> Value {
    json!({
        "kind": "receptor", "pitch_mm": [PITCH, PITCH],
        "magnification": magnification, "magnification_sd": 0.0
    })
}

/// An instrument that takes so many mm of the receptor.
fn instrument(on_receptor: f64, length: f64) -> Value {
    json!({
        "kind": "instrument",
        "points": [exact(300.0, 50.0), exact(300.0, 50.0 + on_receptor / PITCH)],
        "length_mm": length,
        "length_sd_mm": 0.0
    })
}

/// The scale of a film with this instrument and a receptor of exact pitch.
fn scale(on_receptor: f64, length: f64) -> Scale {
    let nothing = json!({});
    let references = json!([instrument(on_receptor, length), receptor(1.0)]);
    first_order(&film(&references, &nothing, &nothing, &json!([]))).scale.unwrap()
}

/// The length read off a film for an object that takes so many mm of the receptor.
fn read(references: &Value, on_receptor: f64) -> f64 {
    let case = film(
        references,
        &json!({}),
        &json!({
            "post_head": exact(500.0, 80.0),
            "post_tip": exact(500.0, 80.0 + on_receptor / PITCH),
        }),
        &json!([]),
    );
    find(&first_order(&case), "post_length|single").value().unwrap()
}

/// The elongation a film shows must be the closed form of the entry.
fn elongation_is(oracle: &Oracle, on_receptor: f64) {
    oracle.agrees(on_receptor, "projected");
    let distortion = scale(on_receptor, oracle.given("L")).distortion().unwrap();
    oracle.agrees(distortion.ratio, "ratio");
}

/// E01 to E12: a parallel beam at an angle phi to the receptor, a rod at theta.
#[test]
fn elongation_and_foreshortening_in_a_parallel_beam() {
    for number in 1..=12 {
        let oracle = Oracle::of(&format!("E{number:02}"));
        let (length, rod_deg, beam_deg) =
            (oracle.given("L"), oracle.given("theta_deg"), oracle.given("phi_deg"));
        let (start, end) = rod((0.0, 30.0), length, rod_deg.to_radians());
        let beam = beam_deg.to_radians();
        let shadow = |point: Plane| thrown((point.0 + beam.cos(), point.1 + beam.sin()), point, 0.0);
        let on_receptor = (shadow(end) - shadow(start)).abs();
        elongation_is(&oracle, on_receptor);
        // One ratio can only be explained by one tilt where the beam is square to the receptor or to the rod; it
        // is that of the rod against the receptor. A beam square to the bisector (E06 to E08) distorts nothing.
        let bisecting = (beam_deg - 90.0 - rod_deg / 2.0).abs() < 1e-9;
        let explained = beam_deg == 90.0 || (beam_deg - rod_deg).abs() == 90.0;
        let tilt = scale(on_receptor, length).distortion().unwrap().tilt.get();
        if explained {
            assert!((tilt - rod_deg.abs()).abs() < 1e-6, "E{number:02}: {tilt}");
        } else if bisecting {
            assert!(tilt < 1e-5, "E{number:02}: {tilt}");
        }
    }
}

/// E13 to E20: a point source square above the receptor.
#[test]
fn elongation_under_a_point_source() {
    for number in 13..=20 {
        let oracle = Oracle::of(&format!("E{number}"));
        let source = (oracle.given("source_x"), oracle.given("SID"));
        let angle = oracle.given("theta_deg").to_radians();
        let (start, end) = rod((oracle.given("xA"), oracle.given("hA")), oracle.given("L"), angle);
        let on_receptor = (thrown(source, end, 0.0) - thrown(source, start, 0.0)).abs();
        elongation_is(&oracle, on_receptor);
        // A rod parallel to the receptor is read right with the magnification of its depth.
        if angle == 0.0 {
            let magnification = oracle.given("SID") / (oracle.given("SID") - oracle.given("hA"));
            oracle.agrees(magnification, "ratio");
            let length = read(&json!([receptor(magnification)]), on_receptor);
            assert!((length - oracle.given("L")).abs() < 1e-9, "E{number}: {length}");
        }
    }
}

/// E21 to E26: the bisecting technique from a finite distance; receptor and rod meet at a vertex.
#[test]
fn elongation_of_the_bisecting_technique_from_a_finite_distance() {
    for number in 21..=26 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (length, angle) = (oracle.given("L"), oracle.given("theta_deg").to_radians());
        let along = |reach: f64| (reach * angle.cos(), reach * angle.sin());
        let start = oracle.given("vertex_to_rod");
        let (middle, reach) = (along(start + length / 2.0), oracle.given("source_to_rod_mid"));
        let (sine, cosine) = (angle / 2.0).sin_cos();
        let source = (middle.0 - reach * sine, middle.1 + reach * cosine);
        let on_receptor = thrown(source, along(start + length), 0.0) - thrown(source, along(start), 0.0);
        elongation_is(&oracle, on_receptor.abs());
    }
}

/// E27 to E32: a level rod over a tilted receptor.
#[test]
fn elongation_on_a_tilted_receptor() {
    for number in 27..=32 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (half, height) = (oracle.given("L") / 2.0, oracle.given("rod_height"));
        let (source, tilt) = ((0.0, oracle.given("SID")), oracle.given("tilt_deg").to_radians());
        let on_receptor = thrown(source, (half, height), tilt) - thrown(source, (-half, height), tilt);
        elongation_is(&oracle, on_receptor.abs());
    }
}

/// E33: a rod anywhere in space; the film's own scale is the true length over the projected one.
#[test]
fn a_rod_anywhere_in_space() {
    let oracle = Oracle::of("E33");
    let [from, to, source] = ["A", "B", "source"].map(|name| oracle.list(&format!("inputs/{name}")));
    let shadow = |point: &[f64]| {
        let reach = source[1] / (source[1] - point[1]);
        [0, 2].map(|axis| source[axis] + reach * (point[axis] - source[axis]))
    };
    let (start, end) = (shadow(&from), shadow(&to));
    let on_receptor = (end[0] - start[0]).hypot(end[1] - start[1]);
    oracle.agrees(on_receptor, "projected");
    let distortion = scale(on_receptor, oracle.expected("true_length")).distortion().unwrap();
    let ratio = oracle.expected("projected") / oracle.expected("true_length");
    assert!((distortion.ratio - ratio).abs() < 1e-6, "{}", distortion.ratio);
}

/// E34 to E40, M = SID / SOD: an object parallel to the receptor is read right with the magnification of its depth.
#[test]
fn a_receptor_with_its_magnification_reads_true_lengths() {
    for number in 34..=40 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (distance, depth) = (oracle.given("SID"), oracle.given("OID"));
        let source = (0.0, distance);
        let on_receptor = thrown(source, (8.0, depth), 0.0) - thrown(source, (-8.0, depth), 0.0);
        oracle.agrees(on_receptor / 16.0, "M");
        let length = read(&json!([receptor(oracle.expected("M"))]), on_receptor);
        assert!((length / 16.0 - 1.0).abs() < oracle.tolerance("M"), "E{number}: {length}");
    }
}

/// E41 to E43: calibrated at one depth, a length at another is misread by the quotient of the magnifications.
#[test]
fn a_length_at_another_depth_is_misread_by_the_quotient_of_the_magnifications() {
    for number in 41..=43 {
        let oracle = Oracle::of(&format!("E{number}"));
        let source = (0.0, oracle.given("SID"));
        let shadow = |depth: f64| thrown(source, (8.0, depth), 0.0) - thrown(source, (-8.0, depth), 0.0);
        let references = json!([instrument(shadow(oracle.given("OID_file")), 16.0)]);
        let length = read(&references, shadow(oracle.given("OID_target")));
        oracle.agrees(length / 16.0, "apparent_over_true");
    }
}
