//! Films and their truth: what the truth says lies at a place is seen there, and the library measures what is true.

use super::{aimed, case_of, film, grey_at, made, plain, small};
use crate::support::{find, first_order, key, library};
use crestgauge::calibration::Extra;
use crestgauge::case::{Landmark, LandmarkId, Mark, Side, Stage};
use crestgauge::film::Picture;
use crestgauge::geometry::{Displacement, Position, Stored};
use crestgauge::phantom::{
    Aim, Beside, CrownKind, Exposure, Point3, PostKind, PostTip, Recipe, Response, Tooth, true_values,
};
use crestgauge::practice::{Key, score};
use crestgauge::quantity::{Degrees, Unit};
use crestgauge::verdict::Criteria;
use std::collections::BTreeMap;

const PITCH: f64 = 0.05;

struct Seen {
    picture: Picture,
    exposure: Exposure,
}

impl Seen {
    fn of(tooth: &Tooth, seed: u64) -> Self {
        let exposure = aimed(tooth, &small(PITCH, 400, 720));
        let picture = film(tooth, &exposure, &Response { bits: 16, ..plain() }, seed, 2);
        Self { picture, exposure }
    }

    /// Mean grey, 0 to 1, of 3 by 3 pixels around where a place is thrown to.
    fn grey(&self, place: Point3) -> f64 {
        let at: Position<Stored> = self.exposure.project(place).unwrap();
        let mut sum = 0.0;
        for (dx, dy) in (-1..=1).flat_map(|x| (-1..=1).map(move |y| (x, y))) {
            let there = at.moved(Displacement::new(f64::from(dx), f64::from(dy)));
            sum += grey_at(&self.picture, there);
        }
        sum / 9.0
    }

    /// By how much it is brighter `apical` mm towards the apex of a place than as far towards the crown.
    fn step_along(&self, place: Point3, apical: f64) -> f64 {
        let at = |by: f64| self.grey(Point3 { z: place.z + by, ..place });
        at(apical) - at(-apical)
    }

    fn step_across(&self, place: Point3, distal: f64) -> f64 {
        let at = |by: f64| self.grey(Point3 { x: place.x + by, ..place });
        at(distal) - at(-distal)
    }
}

fn recipe() -> Recipe {
    Recipe {
        post_kind: Some(PostKind::Steel),
        post_tip: Some(PostTip::Flat),
        beside: Some(Beside::Ball { diameter_mm: 3.0 }),
        ..Recipe::default()
    }
}

#[test]
fn the_grey_changes_where_the_truth_says_an_edge_is() {
    for (fdi, seed) in [("21", 3), ("13", 4), ("45", 5), ("36", 6)] {
        let tooth = made(&recipe(), fdi, seed);
        let seen = Seen::of(&tooth, seed);
        let landmarks = tooth.landmarks();
        let root = landmarks.roots.iter().find(|root| root.post_here).unwrap();
        let say = |what: &str, step: f64, least: f64| assert!(step > least, "{fdi} {seed}: {what} {step}");
        // Steel ends at the tip, filling or dentine follows.
        say("post tip", -seen.step_along(root.points[&Landmark::PostTip.id()], 0.15), 0.05);
        say("filling tip", -seen.step_along(root.points[&Landmark::FillingTip.id()], 0.3), 0.02);
        // Above the core lies air.
        say("core top", seen.step_along(landmarks.tooth[&Landmark::CoreTop.id()], 0.3), 0.3);
        let section = root.sections.iter().find(|section| section.level == "post tip").unwrap();
        say("post, mesial", seen.step_across(section.points[1], 0.15), 0.05);
        say("post, distal", -seen.step_across(section.points[2], 0.15), 0.05);
        for side in Side::BOTH {
            let crest = landmarks.tooth[&Landmark::Crest.on(side)];
            let out = if side == Side::Mesial { -0.2 } else { 0.2 };
            let beside = Point3 { x: crest.x + out, ..crest };
            say(&format!("crest, {}", side.word()), seen.step_along(beside, 0.4), 0.04);
        }
        // The film is black beside the ball and bright within it, two pixels from where rays touch it.
        let middle = tooth.beside_at();
        for rim in seen.exposure.rim_of_ball(middle, crestgauge::quantity::Millimetres(1.5), 8) {
            let out = rim.way_from(middle).unit().unwrap();
            let inside = seen.grey(rim.moved(out.times(-0.1)));
            let outside = seen.grey(rim.moved(out.times(0.1)));
            assert!(inside > outside + 0.1, "{fdi}: {inside} within, {outside} without");
        }
    }
}

/// Without angles, and with what gives the scale at the depth of the canal, only depth and perspective are left.
#[test]
fn what_is_measured_on_a_film_without_angles_is_true() {
    for (fdi, seed) in [("21", 1), ("11", 2), ("43", 3), ("35", 4), ("46", 5), ("26", 6), ("14", 7)] {
        let recipe = Recipe { beside: Some(Beside::Wire { length_mm: 15.0 }), ..Recipe::default() };
        let tooth = made(&recipe, fdi, seed);
        let exposure = aimed(&tooth, &Aim::default());
        let measured = first_order(&case_of(&tooth, &exposure, Stage::PostCore));
        let (mut rows, mut near) = (0, 0);
        for truth in true_values(&tooth) {
            let name = match &truth.of.root {
                Some(root) => format!("{}|{root}", truth.of.id),
                None => truth.of.id.clone(),
            };
            let row = find(&measured, &name);
            let (Some(value), Some(sd)) = (row.value(), row.sd()) else { continue };
            // Schneider's angle in space is not the one a film shows: out of plane it is hidden.
            if truth.of.id.starts_with("curvature") {
                continue;
            }
            let error = value - truth.value;
            assert!(error.abs() <= 3.0 * sd, "{fdi} {seed}: {name} is off by {error}, sd {sd}");
            rows += 1;
            let limit = if truth.unit == Unit::Millimetre { 0.15 } else { 0.03 };
            near += usize::from(error.abs() <= limit);
        }
        assert!(rows >= 20, "{fdi}: only {rows} rows");
        assert!(10 * near >= 8 * rows, "{fdi} {seed}: only {near} of {rows} rows are near the truth");
    }
}

/// A beam from the side of the crown throws what lies buccal too far apically.
#[test]
fn a_films_angle_moves_points_off_the_canals_plane_as_geometry_says() {
    let mut tooth = made(&Recipe::default(), "21", 1);
    tooth.mesial.crest.depth_mm = -2.0;
    tooth.mesial.finish_line.depth_mm = 0.0;
    let read = |vertical: f64| {
        let aim = Aim { vertical: Degrees(vertical), ..Aim::default() };
        let measured = first_order(&case_of(&tooth, &aimed(&tooth, &aim), Stage::PostCore));
        find(&measured, "margin_to_crest.mesial").value().unwrap()
    };
    // 2 mm buccal of the canal's plane, times the tangent of the angle.
    let shift = read(10.0) - read(0.0);
    assert!((shift - 2.0 * 10.0_f64.to_radians().tan()).abs() < 0.06, "{shift}");
}

#[test]
fn what_a_stage_hides_is_hidden_and_what_is_not_there_is_absent() {
    let mark = |stage, crown, id: LandmarkId| {
        let recipe = Recipe { stage: Some(stage), crown, ..Recipe::default() };
        let tooth = made(&recipe, "21", 1);
        let case = case_of(&tooth, &aimed(&tooth, &Aim::default()), stage);
        let found = case.landmarks.marks.get(&id).or_else(|| case.roots[0].landmarks.marks.get(&id));
        found.cloned()
    };
    let is_hidden = |mark: Option<Mark>| matches!(mark, Some(Mark::Hidden { .. }));
    let is_absent = |mark: Option<Mark>| matches!(mark, Some(Mark::Absent { .. }));
    let is_placed = |mark: Option<Mark>| matches!(mark, Some(Mark::Placed(_)));
    let wall = Landmark::WallTop.on(Side::Mesial);
    assert!(is_placed(mark(Stage::PostCore, None, wall)));
    assert!(is_hidden(mark(Stage::Crowned, Some(CrownKind::Metal), wall)));
    assert!(is_hidden(mark(Stage::Crowned, Some(CrownKind::Metal), Landmark::PostHead.id())));
    assert!(is_placed(mark(Stage::Crowned, Some(CrownKind::Ceramic), Landmark::PostHead.id())));
    assert!(is_placed(mark(Stage::Crowned, None, Landmark::CrownEdge.id())));
    assert_eq!(mark(Stage::WorkingLength, None, Landmark::FillingTip.id()), None, "nobody's finding yet");
    assert!(is_placed(mark(Stage::Filled, None, Landmark::FillingTip.id())));
    assert!(is_absent(mark(Stage::PostCore, None, Landmark::BonePeak.on(Side::Mesial))));
}

/// Before the root is filled a seal is neither short nor long, and a student is right to leave the filling or to mark it absent.
#[test]
fn a_key_says_nothing_of_a_filling_that_is_not_there_yet() {
    let recipe = Recipe { stage: Some(Stage::WorkingLength), ..Recipe::default() };
    let tooth = made(&recipe, "21", 1);
    let truth = case_of(&tooth, &aimed(&tooth, &Aim::default()), Stage::WorkingLength);
    let key = Key::of(&truth, &library()).unwrap();
    let mut marked = truth.clone();
    for landmark in [Landmark::FillingTop, Landmark::FillingTip] {
        let mark = Mark::Absent { absent: "no root filling yet".to_owned(), extra: Extra::new() };
        marked.roots[0].landmarks.marks.insert(landmark.id(), mark);
    }
    let criteria = Criteria::default_set().unwrap();
    for case in [truth, marked] {
        let score = score(&key, &case, &library(), &criteria).unwrap();
        assert!(score.landmarks.iter().all(|line| !line.landmark.starts_with("filling")));
        assert!(score.measurements.iter().all(|row| row.of.id != "seal"), "{:?}", score.measurements);
        assert!(score.verdicts.is_empty(), "{:?}", score.verdicts);
    }
}

/// Every landmark of every stage is one of the case's own, and the case reads back as itself.
#[test]
fn cases_of_every_stage_read_back_as_themselves() {
    for (_, stage) in Stage::ALL {
        for fdi in ["11", "36", "16", "24"] {
            let recipe = Recipe { stage: Some(*stage), ..Recipe::default() };
            let tooth = made(&recipe, fdi, 2);
            let case = case_of(&tooth, &aimed(&tooth, &Aim::default()), *stage);
            let document = crestgauge::case::Document { case: &case, derived: None, case_file: None };
            let text = serde_json::to_string(&document).unwrap();
            let read = crestgauge::case::read_text(&text).unwrap_or_else(|error| panic!("{fdi}: {error}"));
            assert_eq!(read.case, case, "{fdi} {stage:?}");
            let keys: BTreeMap<String, f64> = first_order(&case)
                .measurements
                .iter()
                .filter_map(|row| Some((key(row), row.value()?)))
                .collect();
            assert!(keys.values().all(|value| value.is_finite()));
        }
    }
}
