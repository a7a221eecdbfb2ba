//! Tables for the documentation, made from the same data the program runs on; a test keeps the documents equal.

use crate::calibration::{Jaw, Library, ObjectKind};
use crate::case::{Answers, Finding, Landmark, LandmarkId, Owner, Shape, Side};
use crate::measure::{CATALOGUE, Repeat};
use crate::phantom::DEFINITIONS;
use crate::quantity::Unit;
use crate::verdict::Criteria;
use crate::wording::capital;
use std::fmt::Write as _;

fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut text = format!("| {} |\n|{}\n", head.join(" | "), "---|".repeat(head.len()));
    for row in rows {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "| {} |", row.join(" | ").replace('\n', " "));
    }
    text
}

/// Every landmark of an owner.
pub fn landmarks_markdown(owner: Owner) -> String {
    table(
        &["key", "what it marks"],
        LandmarkId::all(owner).map(|id| {
            let declaration = id.landmark().declaration();
            let note = if declaration.shape == Shape::Point { "" } else { " (a key of the root itself)" };
            vec![format!("`{}`", id.key()), format!("{}{note}", declaration.meaning)]
        }),
    )
}

/// Every landmark with the pictures of what it marks, the doubtful cases among them.
pub fn definitions_markdown() -> String {
    let mut text = String::new();
    for landmark in Landmark::ALL {
        let declaration = landmark.declaration();
        let id = if declaration.sided { landmark.on(Side::Mesial) } else { landmark.id() };
        let sides = if declaration.sided { " and the same on the distal side" } else { "" };
        // Writing to a string cannot fail.
        let _ = writeln!(text, "### `{}`{sides}\n\n{}.\n", id.key(), capital(declaration.meaning));
        for it in DEFINITIONS.iter().filter(|it| it.landmark == *landmark) {
            let _ = writeln!(
                text,
                "![{}](definitions/{}.png)\n\n{}.\n",
                it.caption,
                it.name,
                capital(it.caption)
            );
        }
    }
    text
}

/// Every measurement of the catalogue.
pub fn catalogue_markdown() -> String {
    table(
        &["id", "of", "unit", "what it is"],
        CATALOGUE.iter().map(|row| {
            let suffix = match row.repeat {
                Repeat::Once => "",
                Repeat::BySide => ".mesial/.distal",
                Repeat::BySection => "@i",
                Repeat::BySideAndSection => ".mesial@i/.distal@i",
                Repeat::ByProbedSite => ".buccal/.lingual",
            };
            let unit = if row.unit == Unit::One { "1" } else { row.unit.suffix() };
            let of = if row.applies.is_root() { "root" } else { "tooth" };
            vec![format!("`{}{suffix}`", row.id), of.to_owned(), unit.to_owned(), row.meaning.to_owned()]
        }),
    )
}

/// Every criterion of a set.
pub fn criteria_markdown(criteria: &Criteria) -> String {
    table(
        &["id", "measurement", "bound", "strength", "source"],
        criteria.list.iter().map(|criterion| {
            vec![
                format!("`{}`", criterion.id),
                format!("`{}`", criterion.measurement),
                criterion.bound.in_unit(criterion.rows.first().map_or("", |row| row.unit.suffix())),
                criterion.strength.words().to_owned(),
                criterion.source.clone(),
            ]
        }),
    )
}

/// Every object of a library.
pub fn library_markdown(library: &Library) -> String {
    table(
        &["name", "what it is", "size", "source"],
        library.objects().iter().map(|object| {
            let size = match object.kind {
                ObjectKind::Instrument => object.length_mm.map(|length| format!("{length} mm long")),
                ObjectKind::Drill | ObjectKind::Sphere => {
                    object.diameter_mm.map(|diameter| format!("{diameter} mm across"))
                }
                ObjectKind::Receptor => object
                    .width_mm
                    .zip(object.height_mm)
                    .map(|(width, height)| format!("{width} x {height} mm")),
            };
            let tolerance =
                object.tolerance_mm.map(|tolerance| format!(" ± {tolerance}")).unwrap_or_default();
            vec![
                format!("`{}`", object.name),
                object.meaning.clone(),
                format!("{}{tolerance}", size.unwrap_or_default()),
                object.source.clone(),
            ]
        }),
    )
}

/// Every finding of the first look, what it is answered with, and which answers ask for something.
pub fn first_look_markdown() -> String {
    table(
        &["key", "what is asked", "answers; those that ask for something first in bold"],
        Finding::ALL.iter().map(|finding| {
            let declaration = finding.declaration();
            let answers = match declaration.answers {
                Answers::Words(choices) => {
                    let words = choices.iter().map(|choice| {
                        let mark = if choice.settle.is_some() { "**" } else { "" };
                        format!("{mark}`{}`{mark}", choice.word)
                    });
                    words.collect::<Vec<_>>().join(", ")
                }
                Answers::Count { most, settle_from: None } => format!("0 to {most}"),
                Answers::Count { most, settle_from: Some((from, _)) } => {
                    format!("0 to {most}, **from {from}**")
                }
                Answers::Depth => "a reading in mm".to_owned(),
            };
            vec![format!("`{}`", declaration.key), declaration.question.to_owned(), answers]
        }),
    )
}

/// What each kind of tooth usually takes of drills and posts.
pub fn limits_markdown(library: &Library) -> String {
    table(
        &["teeth", "ISO 3950", "widest drill", "deepest post", "source"],
        library.limits().iter().map(|limit| {
            let quadrants = match limit.jaw {
                Jaw::Upper => "1, 2",
                Jaw::Lower => "3, 4",
            };
            let positions: Vec<String> = limit.positions.iter().map(u8::to_string).collect();
            let size = |size: Option<f64>| size.map_or_else(String::new, |size| format!("{size} mm"));
            let depth = match &limit.not_advised {
                Some(why) => format!("not advised: {why}"),
                None => size(limit.post_depth_mm),
            };
            vec![
                limit.name.clone(),
                format!("quadrants {quadrants}, teeth {}", positions.join(", ")),
                size(limit.drill_diameter_mm),
                depth,
                limit.source.clone(),
            ]
        }),
    )
}
