//! Films whose teeth are known (tests/data/films-truth): what is read off the projection against the tooth in space.

use crate::support::{case, first_order, key, text};
use crestgauge::quantity::Unit;
use serde_json::Value;

/// A row is this near to the truth where the projection lets it be: mm, or a pure number.
const NEAR_MM: f64 = 0.05;
const NEAR_RATIO: f64 = 0.01;

/// How many rows the film has, and how many are near the truth.
fn compare(film: u32) -> (usize, usize) {
    let measured = first_order(&case(&text(&format!("films-truth/film-{film}.case.json"))));
    let truth: Value = serde_json::from_str(&text(&format!("films-truth/film-{film}.truth.json"))).unwrap();
    let truth = truth["truth_mm"].as_object().unwrap();
    let mut near = 0;
    for (row, true_value) in truth {
        let ours = measured.measurements.iter().find(|it| key(it) == *row);
        let ours = ours.unwrap_or_else(|| panic!("film {film}: no row {row}"));
        let value = ours.value().unwrap_or_else(|| panic!("film {film}: {row} has no value"));
        let sd = ours.sd().unwrap();
        let error = value - true_value.as_f64().unwrap();
        assert!(error.abs() <= 2.0 * sd, "film {film}: {row} is off by {error}, sd {sd}");
        let limit = if ours.row.unit == Unit::Millimetre { NEAR_MM } else { NEAR_RATIO };
        near += usize::from(error.abs() <= limit);
    }
    (truth.len(), near)
}

#[test]
fn every_row_lies_within_2_sd_of_the_truth_and_most_within_0_05_mm() {
    for film in [101, 102, 103] {
        let (rows, near) = compare(film);
        assert_eq!(rows, 30, "film {film}");
        assert!(10 * near >= 8 * rows, "film {film}: only {near} of {rows} rows are near the truth");
    }
}

/// The landmarks are not drawn with errors, so nothing but the projection separates value and truth: a value that
/// equalled the truth everywhere would mean that the films are no projections.
#[test]
fn the_films_are_projections_and_not_copies_of_the_teeth() {
    for film in [101, 102, 103] {
        let measured = first_order(&case(&text(&format!("films-truth/film-{film}.case.json"))));
        let truth: Value =
            serde_json::from_str(&text(&format!("films-truth/film-{film}.truth.json"))).unwrap();
        let furthest = measured
            .measurements
            .iter()
            .filter_map(|row| Some((row.value()? - truth["truth_mm"].get(key(row))?.as_f64()?).abs()))
            .fold(0.0, f64::max);
        assert!(furthest > 0.005, "film {film}: {furthest}");
    }
}

#[test]
fn the_picture_of_film_102_has_the_hash_its_case_names() {
    let film = case(&text("films-truth/film-102.case.json")).film;
    let picture = crate::support::data("films-truth").join(film.file.unwrap());
    assert_eq!(Some(crestgauge::film::content_hash(&picture).unwrap().to_string()), film.sha256);
}
