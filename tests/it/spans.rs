//! What a number draws on the film is what it measures, and a scratch length is what the scale says.

use crate::support::{case, library, text};
use crestgauge::case::{Case, Point, Reason};
use crestgauge::geometry::{Position, Stored};
use crestgauge::measure::{
    Definition, Draws, Measured, Measurement, Span, SpanPart, between, measure, spans,
};
use serde_json::json;

/// A tooth drawn by hand: square to the film, 0.1 mm per pixel, its pixels twice as high as wide. The margin lies at
/// y 100, the mesial crest at y 120, the apex at y 200; all heights in pixels of 0.2 mm.
fn upright() -> Case {
    let film = json!({"width_px": 1000, "height_px": 1000, "pixel_aspect": 2.0, "stage": "post_core"});
    let placed = |x: f64, y: f64| json!({"x": x, "y": y, "sd_px": 1.0});
    let case_text = json!({"format": "crestgauge.case", "version": 1, "film": film, "tooth": {"fdi": "21"},
        "calibration": {"references": [{"kind": "instrument", "length_mm": 20.0,
            "points": [{"x": 500.0, "y": 100.0}, {"x": 500.0, "y": 200.0}]}]},
        "landmarks": {"finish_line.mesial": placed(450.0, 100.0), "finish_line.distal": placed(550.0, 100.0),
            "crest.mesial": placed(430.0, 120.0), "crest.distal": placed(570.0, 120.0),
            "core_base": placed(505.0, 105.0)},
        "roots": [{"name": "single", "landmarks": {"post_head": placed(500.0, 80.0), "post_tip": placed(510.0, 150.0),
            "apex": placed(500.0, 200.0), "curve_start": placed(500.0, 150.0)},
            "canal": [placed(500.0, 100.0), placed(500.0, 150.0), placed(540.0, 190.0)]}]});
    case(&case_text.to_string())
}

fn measured(case: &Case) -> Measured {
    measure(case, &library(), Draws::default()).unwrap()
}

fn row<'a>(measured: &'a Measured, id: &str) -> &'a Measurement {
    measured.measurements.iter().find(|it| it.of.id == id).unwrap()
}

fn only_span(case: &Case, id: &str) -> Span {
    let measured = measured(case);
    let [span] = <[Span; 1]>::try_from(spans(case, &measured, row(&measured, id))).unwrap();
    span
}

fn near(one: Position<Stored>, other: [f64; 2]) -> bool {
    (one.x - other[0]).abs() < 1e-6 && (one.y - other[1]).abs() < 1e-6
}

fn all_near(places: &[Position<Stored>], wanted: &[[f64; 2]]) {
    let same =
        places.len() == wanted.len() && places.iter().zip(wanted).all(|(one, other)| near(*one, *other));
    assert!(same, "{places:?} is not {wanted:?}");
}

#[test]
fn a_component_goes_along_the_axis_to_the_level_of_the_other_place() {
    let case = upright();
    // The axis goes from the margin's middle straight down to the apex.
    let span = only_span(&case, "margin_to_crest.mesial");
    all_near(&span.axis.unwrap(), &[[500.0, 100.0], [500.0, 200.0]]);
    all_near(&span.line, &[[450.0, 100.0], [450.0, 120.0]]);
    all_near(&span.feet[0], &[[430.0, 120.0], [450.0, 120.0]]);
    assert_eq!(span.part, SpanPart::Whole);
}

/// The ± stands along the axis, half of it to each side of the end: by the row's own interval, 0.2 mm to a pixel.
#[test]
fn the_spread_is_the_interval_along_the_direction_of_measuring() {
    let case = upright();
    let span = only_span(&case, "margin_to_crest.mesial");
    let measured = measured(&case);
    let [low, high] = row(&measured, "margin_to_crest.mesial").interval().unwrap();
    let half = (high - low) / 2.0 / 0.2;
    assert!(half > 1.0);
    all_near(&span.spread.unwrap(), &[[450.0, 120.0 - half], [450.0, 120.0 + half]]);
}

#[test]
fn a_straight_length_goes_from_point_to_point() {
    let span = only_span(&upright(), "post_length");
    all_near(&span.line, &[[500.0, 80.0], [510.0, 150.0]]);
    assert_eq!((span.axis, span.feet.len()), (None, 0));
}

/// Down the canal to its bend, then to the foot of the apex. In square pixels (y doubled) the canal's last part goes
/// from (500, 300) by (40, 80); the apex at (500, 400) is 100 further down: 100 · 80 / (40² + 80²) = 1 of it, at
/// (540, 380).
#[test]
fn a_length_along_the_canal_bends_with_it() {
    let span = only_span(&upright(), "root_length");
    all_near(&span.line, &[[500.0, 100.0], [500.0, 150.0], [540.0, 190.0]]);
    all_near(&span.feet[1], &[[500.0, 200.0], [540.0, 190.0]]);
}

#[test]
fn a_length_from_the_crest_begins_on_the_line_through_both_points() {
    let span = only_span(&upright(), "root_in_bone");
    all_near(&span.axis.unwrap(), &[[430.0, 120.0], [570.0, 120.0]]);
    all_near(&span.line, &[[500.0, 120.0], [500.0, 200.0]]);
}

/// An angle opens at the bend, between the straight part carried on and the other arm.
#[test]
fn the_spread_of_an_angle_turns_about_the_bend() {
    let span = only_span(&upright(), "curvature");
    all_near(&span.line, &[[500.0, 100.0], [500.0, 150.0], [540.0, 190.0]]);
    let squared = |place: Position<Stored>| [place.x - 500.0, (place.y - 150.0) * 2.0];
    for end in span.spread.unwrap() {
        let [x, y] = squared(end);
        assert!((x.hypot(y) - 40.0_f64.hypot(80.0)).abs() < 1e-6);
    }
    let [[_, on], _] = [span.axis.unwrap(), span.axis.unwrap()];
    assert!(near(on, [500.0, 150.0 + 40.0_f64.hypot(80.0) / 2.0]));
}

/// In millimetres every span is as long as the number it belongs to, in every case at hand.
#[test]
fn every_span_is_as_long_as_its_number() {
    let mut compared = 0;
    let mut cases = vec![crestgauge::case::sample().unwrap().case, upright()];
    cases.extend(["1-001", "1-004"].map(|name| case(&text(&format!("check-cases/{name}.case.json")))));
    for case in &cases {
        let measured = measured(case);
        let Ok(scale) = &measured.scale else { continue };
        let length = |span: &Span| {
            let plane: Vec<_> = span
                .line
                .iter()
                .map(|at| scale.plane(Position::new(at.x, at.y * case.film.aspect())))
                .collect();
            plane.windows(2).map(|pair| pair[1].way_from(pair[0]).length()).sum::<f64>()
        };
        for measurement in &measured.measurements {
            let Ok(value) = &measurement.result else { continue };
            let is_angle =
                matches!(measurement.row.definition, Definition::Curvature | Definition::CurvatureRadius);
            if measurement.uses_reading || is_angle {
                continue;
            }
            let spans = spans(case, &measured, measurement);
            assert!(!spans.is_empty(), "{}", measurement.of.listed());
            let part =
                |wanted: SpanPart| spans.iter().filter(|span| span.part == wanted).map(length).sum::<f64>();
            let less = match measurement.row.definition {
                Definition::Quotient { less, .. } => less,
                _ => 0.0,
            };
            let pairs = match &value.quotient {
                Some(quotient) => vec![
                    (part(SpanPart::Numerator), quotient.numerator + less),
                    (part(SpanPart::Denominator), quotient.denominator + less),
                ],
                None => vec![(part(SpanPart::Whole), value.estimate.value)],
            };
            for (drawn, number) in pairs {
                compared += 1;
                assert!(
                    (drawn - number.abs()).abs() < 1e-6,
                    "{}: {drawn}, {number}",
                    measurement.of.listed()
                );
            }
        }
    }
    assert!(compared > 40, "{compared}");
}

#[test]
fn a_reading_draws_nothing() {
    let mut case = upright();
    case.clinical = crestgauge::case::sample().unwrap().case.clinical;
    let measured = measured(&case);
    let probed = measured.measurements.iter().find(|it| it.uses_reading && it.from.is_empty()).unwrap();
    assert!(probed.result.is_ok());
    assert_eq!(spans(&case, &measured, probed), []);
}

#[test]
fn a_point_is_as_uncertain_as_it_says_else_as_the_case_says() {
    let measured = measured(&upright());
    let by_default = measured.placing_sd(&Point::at(1.0, 2.0)).unwrap().get();
    // 0.15 mm at 0.1 mm per pixel.
    assert!((by_default - 1.5).abs() < 0.05, "{by_default}");
    let stated = Point { sd_px: Some(4.0), ..Point::at(1.0, 2.0) };
    assert_eq!(measured.placing_sd(&stated).map(crestgauge::quantity::Pixels::get), Some(4.0));
    let planned = Point { state: Some(crestgauge::case::State::Planned), ..Point::at(1.0, 2.0) };
    assert_eq!(measured.placing_sd(&planned), None);
}

/// 30 pixels across are 3 mm, 20 down are 4 mm: 5 mm. Each end is placed to 0.15 mm, so both to 0.15 √2; a tolerance
/// of the instrument's length is shared and adds to it.
#[test]
fn a_scratch_length_is_by_the_scale_and_as_uncertain_as_two_points_and_the_scale() {
    let case = upright();
    let ends = [Position::new(600.0, 300.0), Position::new(630.0, 320.0)];
    let value = between(&case, &library(), ends).unwrap().unwrap();
    assert!((value.estimate.value - 5.0).abs() < 1e-9, "{value:?}");
    assert!(value.estimate.sd >= 0.15 * 2.0_f64.sqrt() && value.estimate.sd < 0.5, "{value:?}");
    let surer = value.variances.of(crestgauge::measure::Source::Placing);
    assert!(surer < value.variances.total(), "the scale has its part");
    assert_eq!(between(&case, &library(), [ends[0], ends[0]]).unwrap(), Err(Reason::Degenerate));
    let mut without = case.clone();
    without.calibration.references.clear();
    assert_eq!(between(&without, &library(), ends).unwrap(), Err(Reason::NoScale));
}
