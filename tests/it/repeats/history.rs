//! A student's history: lines, damage to them, and what they say of learning.

use super::close;
use crestgauge::practice::{
    Attempt, AttemptLandmark, HISTORY_FORMAT, HISTORY_VERSION, Outcome, learning_curves, line, read_history,
};

fn attempt(student: &str, case: &str, distance_mm: Option<f64>) -> Attempt {
    Attempt {
        format: HISTORY_FORMAT.to_owned(),
        version: HISTORY_VERSION,
        when: "2026-11-25T10:00:00Z".to_owned(),
        student: student.to_owned(),
        film_sha256: None,
        tooth: Some("21".to_owned()),
        key_sha256: "key".to_owned(),
        case_sha256: case.to_owned(),
        landmarks: vec![AttemptLandmark {
            landmark: "crest.mesial".to_owned(),
            root: None,
            outcome: if distance_mm.is_some() { Outcome::Placed } else { Outcome::Missed },
            along_mm: distance_mm,
            across_mm: distance_mm.map(|_| 0.0),
            distance_mm,
        }],
    }
}

fn text(attempts: &[Attempt]) -> String {
    attempts.iter().map(|attempt| line(attempt).expect("a line")).collect()
}

#[test]
fn a_history_reads_back_as_written() {
    let attempts = [attempt("anna", "1", Some(0.5)), attempt("anna", "2", None)];
    let history = read_history(&text(&attempts));
    assert_eq!(history.attempts, attempts);
    assert!(history.unread.is_empty());
}

#[test]
fn a_line_cut_short_costs_only_itself() {
    let attempts = [attempt("anna", "1", Some(0.5)), attempt("anna", "2", Some(0.4))];
    let whole = text(&attempts);
    for cut in whole.lines().next().expect("a line").len() + 2..whole.len() - 1 {
        let history = read_history(&whole[..cut]);
        assert_eq!(history.attempts, attempts[..1], "cut at {cut}");
        assert_eq!(history.unread.len(), 1);
        assert_eq!(history.unread[0].line, 2);
        // What is appended on a line of its own is read again.
        let mended = format!("{}\n{}", &whole[..cut], text(&attempts[1..]));
        assert_eq!(read_history(&mended).attempts, attempts);
    }
}

#[test]
fn foreign_and_later_lines_are_left_alone() {
    let mut later = attempt("anna", "1", Some(0.5));
    later.version += 1;
    let mut foreign = attempt("anna", "1", Some(0.5));
    foreign.format = "another".to_owned();
    let history = read_history(&text(&[later, foreign, attempt("anna", "2", Some(0.5))]));
    assert_eq!((history.attempts.len(), history.unread.len()), (1, 2));
    assert!(history.unread[0].to_string().contains("version"), "{}", history.unread[0]);
}

/// Distances 0.6, missed, 0.8, then five of 0.3: rms √((0.36 + 0.64)/2), and 0.3 once the first are out of sight.
#[test]
fn a_learning_curve_looks_back_over_the_latest_placings() {
    let distances = [Some(0.6), None, Some(0.8), Some(0.3), Some(0.3), Some(0.3), Some(0.3), Some(0.3)];
    let mut attempts: Vec<Attempt> =
        distances.iter().enumerate().map(|(index, it)| attempt("anna", &index.to_string(), *it)).collect();
    attempts.push(attempt("ben", "9", Some(5.0)));
    // The same case scored again is no further attempt.
    attempts.push(attempts[0].clone());
    let first = attempts[0].landmarks[0].clone();
    for landmark in ["apex", "cej.distal"] {
        attempts[0].landmarks.push(AttemptLandmark { landmark: landmark.to_owned(), ..first.clone() });
    }
    let curves = learning_curves(&attempts, "anna");
    let order: Vec<&str> = curves.iter().map(|curve| curve.landmark.as_str()).collect();
    assert_eq!(order, ["cej.distal", "crest.mesial", "apex"], "as the landmark table has them");
    let points = &curves[1].points;
    assert_eq!(points.len(), 8);
    let recent = |index: usize| points[index].recent_rms_mm.expect("placed");
    close(recent(0), 0.6);
    assert_eq!((points[1].outcome, points[1].recent_rms_mm), (Outcome::Missed, None));
    close(recent(2), 0.5_f64.sqrt());
    close(recent(6), ((0.64 + 4.0 * 0.09) / 5.0_f64).sqrt());
    close(recent(7), 0.3);
}
