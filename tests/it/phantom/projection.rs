//! The phantom's projection against closed forms (tests/data/oracles.json, E01 to E43).

use crate::oracles::Oracle;
use crestgauge::case::Fdi;
use crestgauge::geometry::{Position, Stored};
use crestgauge::phantom::{Aim, Exposure, Point3, Receptor, Vector3};
use crestgauge::quantity::{Degrees, Millimetres};

const PITCH: f64 = 0.02;

/// A place by how far along an untilted receptor and how high above it.
fn above(along: f64, height: f64) -> Point3 {
    Point3::new(along, -height, 0.0)
}

/// A receptor through the origin, tilted by `tilt` radians, its rows in the plane of source and rod.
fn exposure(source: Point3, tilt: f64) -> Exposure {
    let receptor = Receptor {
        corner: Point3::new(0.0, 0.0, 0.0),
        right: Vector3::new(tilt.cos(), -tilt.sin(), 0.0),
        down: Vector3::new(0.0, 0.0, 1.0),
        across_pitch: Millimetres(PITCH),
        down_pitch: Millimetres(PITCH),
        width_px: 1000,
        height_px: 1000,
    };
    Exposure { source, focus: Millimetres(0.0), receptor }
}

/// The length of a rod's shadow, mm.
fn shadow(exposure: &Exposure, from: Point3, to: Point3) -> f64 {
    let end = |point| exposure.project(point).expect("a shadow");
    end(to).way_from(end(from)).length() * PITCH
}

fn rod(start: (f64, f64), length: f64, angle: f64) -> (Point3, Point3) {
    (above(start.0, start.1), above(start.0 + length * angle.cos(), start.1 + length * angle.sin()))
}

/// E01 to E12: a parallel beam, here of a source so far off that a ten-millionth of a millimetre is left.
#[test]
fn a_parallel_beam() {
    const FAR: f64 = 5e8;
    for number in 1..=12 {
        let oracle = Oracle::of(&format!("E{number:02}"));
        let (angle, beam) = (oracle.given("theta_deg").to_radians(), oracle.given("phi_deg").to_radians());
        let exposure = exposure(above(FAR * beam.cos(), FAR * beam.sin()), 0.0);
        let (start, end) = rod((0.0, 0.0), oracle.given("L"), angle);
        oracle.agrees(shadow(&exposure, start, end), "projected");
    }
}

/// E13 to E20: a point source square above the receptor.
#[test]
fn a_point_source() {
    for number in 13..=20 {
        let oracle = Oracle::of(&format!("E{number}"));
        let exposure = exposure(above(oracle.given("source_x"), oracle.given("SID")), 0.0);
        let angle = oracle.given("theta_deg").to_radians();
        let (start, end) = rod((oracle.given("xA"), oracle.given("hA")), oracle.given("L"), angle);
        oracle.agrees(shadow(&exposure, start, end), "projected");
    }
}

/// E21 to E26: the bisecting technique from a finite distance.
#[test]
fn the_bisecting_technique() {
    for number in 21..=26 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (length, angle) = (oracle.given("L"), oracle.given("theta_deg").to_radians());
        let start = oracle.given("vertex_to_rod");
        let reach = oracle.given("source_to_rod_mid");
        let along = |reach: f64| (reach * angle.cos(), reach * angle.sin());
        let middle = along(start + length / 2.0);
        let (sine, cosine) = (angle / 2.0).sin_cos();
        let exposure = exposure(above(middle.0 - reach * sine, middle.1 + reach * cosine), 0.0);
        let (from, to) = rod(along(start), length, angle);
        oracle.agrees(shadow(&exposure, from, to), "projected");
    }
}

/// E27 to E32: a level rod over a tilted receptor.
#[test]
fn a_tilted_receptor() {
    for number in 27..=32 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (half, height) = (oracle.given("L") / 2.0, oracle.given("rod_height"));
        let exposure = exposure(above(0.0, oracle.given("SID")), oracle.given("tilt_deg").to_radians());
        oracle.agrees(shadow(&exposure, above(-half, height), above(half, height)), "projected");
    }
}

/// E33: a rod anywhere in space.
#[test]
fn a_rod_anywhere_in_space() {
    let oracle = Oracle::of("E33");
    let [from, to, source] = ["A", "B", "source"].map(|name| {
        let list = oracle.list(&format!("inputs/{name}"));
        Point3::new(list[0], -list[1], list[2])
    });
    oracle.agrees(shadow(&exposure(source, 0.0), from, to), "projected");
    oracle.agrees(to.way_from(from).length(), "true_length");
}

/// E34 to E40: magnification, and the unsharpness of a focal spot: the shadow of a point, thrown by its two edges.
#[test]
fn magnification_and_unsharpness() {
    for number in 34..=40 {
        let oracle = Oracle::of(&format!("E{number}"));
        let (distance, depth, focus) = (oracle.given("SID"), oracle.given("OID"), oracle.given("focus"));
        let middle = exposure(above(0.0, distance), 0.0);
        oracle.agrees(shadow(&middle, above(-8.0, depth), above(8.0, depth)) / 16.0, "M");
        oracle.agrees(middle.magnification_at(above(0.0, depth)).unwrap(), "M");
        let edge = |sign: f64| {
            let exposure = exposure(above(sign * focus / 2.0, distance), 0.0);
            exposure.project(above(0.0, depth)).unwrap().x * PITCH
        };
        oracle.agrees((edge(1.0) - edge(-1.0)).abs(), "Ug");
    }
}

/// E41 to E43: a length at another depth than the instrument's.
#[test]
fn a_length_at_another_depth() {
    for number in 41..=43 {
        let oracle = Oracle::of(&format!("E{number}"));
        let exposure = exposure(above(0.0, oracle.given("SID")), 0.0);
        let at = |depth: f64| shadow(&exposure, above(-8.0, depth), above(8.0, depth));
        let ratio = at(oracle.given("OID_target")) / at(oracle.given("OID_file"));
        oracle.agrees(ratio, "apparent_over_true");
    }
}

#[test]
fn the_central_ray_meets_the_middle_of_the_film_whatever_the_aim() {
    for (fdi, vertical, horizontal, tilt, roll) in
        [("21", 0.0, 0.0, 0.0, 0.0), ("46", 12.0, -7.0, 20.0, 3.0), ("14", -9.0, 15.0, -5.0, -8.0)]
    {
        let aim = Aim {
            vertical: Degrees(vertical),
            horizontal: Degrees(horizontal),
            receptor_tilt: Degrees(tilt),
            roll: Degrees(roll),
            ..Aim::default()
        };
        let target = Point3::new(0.3, -0.2, 4.0);
        let exposure = Exposure::aimed(Fdi::parse(fdi).unwrap(), target, &aim).unwrap();
        let middle = Position::<Stored>::new(450.0, 600.0);
        assert!(exposure.project(target).unwrap().way_from(middle).length() < 1e-6, "{fdi}");
        let there = exposure.on_receptor(middle);
        let far = there.way_from(exposure.source).length();
        assert!((far - aim.source_to_receptor.get()).abs() < 1e-9, "{fdi}: {far}");
        assert!(exposure.receptor.right.dot(exposure.receptor.down).abs() < 1e-12);
    }
}

/// Films are mounted as seen from in front: roots upwards in the upper jaw, mesial towards the midline.
#[test]
fn films_are_turned_as_they_are_mounted() {
    for (fdi, apex_is_up, distal_is_right) in
        [("21", true, true), ("11", true, false), ("36", false, true), ("46", false, false)]
    {
        let exposure =
            Exposure::aimed(Fdi::parse(fdi).unwrap(), Point3::new(0.0, 0.0, 0.0), &Aim::default()).unwrap();
        let at = |x, z| exposure.project(Point3::new(x, 0.0, z)).unwrap();
        assert_eq!(at(0.0, 5.0).y < at(0.0, 0.0).y, apex_is_up, "{fdi}");
        assert_eq!(at(3.0, 0.0).x > at(0.0, 0.0).x, distal_is_right, "{fdi}");
    }
}

#[test]
fn a_ball_ends_where_rays_touch_it() {
    let exposure = exposure(above(3.0, 300.0), 0.2);
    let (centre, radius) = (above(-4.0, 12.0), 2.5);
    let rim = exposure.rim_of_ball(centre, Millimetres(radius), 12);
    assert_eq!(rim.len(), 12);
    for point in rim {
        let (out, ray) = (point.way_from(centre), point.way_from(exposure.source));
        assert!((out.length() - radius).abs() < 1e-9, "{point:?}");
        assert!(out.dot(ray).abs() < 1e-9, "{point:?}");
    }
}

#[test]
fn sizes_of_nothing_and_sources_too_near_are_refused() {
    let refused = |aim: Aim| {
        Exposure::aimed(Fdi::parse("21").unwrap(), Point3::new(0.0, 0.0, 0.0), &aim)
            .expect_err("refused")
            .to_string()
    };
    let plain = Aim::default();
    assert!(refused(Aim { pitch: Millimetres(0.0), ..plain }).contains("distance of pixels"));
    assert!(refused(Aim { width_px: 0, ..plain }).contains("the film's width is 0"));
    assert!(refused(Aim { vertical: Degrees(f64::NAN), ..plain }).contains("vertical angle"));
    let near = Aim { source_to_receptor: Millimetres(60.0), tooth_to_receptor: Millimetres(30.0), ..plain };
    assert!(refused(near).contains("at least 50 mm"));
}
