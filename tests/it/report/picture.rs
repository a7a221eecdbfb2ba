//! The annotated film as lines and as pixels: where the landmarks are, as long as what was measured.

use super::{Made, all_words, setting};
use crate::support::text;
use crestgauge::case::{LandmarkId, Owner};
use crestgauge::report::{
    Audience, Ending, Mark, Paper, SAFETY, case_json, measurement_name, pages, picture, written,
};
use roxmltree::{Document, Node};
use serde_json::Value;

fn svg(made: &Made) -> String {
    let bytes =
        written(&made.subject(), setting(Audience::Record, Paper::A4), Ending::Svg, None).unwrap().bytes;
    String::from_utf8(bytes).unwrap()
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().trim_end_matches("mm").parse().unwrap()
}

/// The points of a path of straight lines.
fn points(path: Node<'_, '_>) -> Vec<[f64; 2]> {
    let steps = path.attribute("d").unwrap().replace(['M', 'L', 'Z'], " ");
    let numbers: Vec<f64> = steps.split_whitespace().map(|it| it.parse().unwrap()).collect();
    numbers.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// Where the film lies: its corner and its size, mm.
fn frame(document: &Document<'_>) -> [f64; 4] {
    if let Some(image) = document.descendants().find(|node| node.has_tag_name("image")) {
        return ["x", "y", "width", "height"].map(|name| number(image, name));
    }
    let figure = document.descendants().find(|node| node.attribute("role") == Some("img")).unwrap();
    let corners = points(figure.children().find(|node| node.has_tag_name("path")).unwrap());
    let ([left, top], [right, bottom]) = (corners[0], corners[2]);
    [left, top, right - left, bottom - top]
}

/// How long a line on the page is in the tooth, by the scale as `measure --json` tells it (docs/case.md).
fn length(points: &[[f64; 2]], frame: [f64; 4], case: &Value) -> f64 {
    let size = ["width_px", "height_px"].map(|key| case["film"][key].as_f64().unwrap());
    let aspect = case["film"]["pixel_aspect"].as_f64().unwrap_or(1.0);
    let scale = &case["computed"]["scale"];
    let of = |key: &str| scale[key].as_f64().unwrap();
    let (sin, cos) = of("axial_angle_deg").to_radians().sin_cos();
    let squared: Vec<[f64; 2]> = points
        .iter()
        .map(|[x, y]| [(x - frame[0]) * size[0] / frame[2], (y - frame[1]) * size[1] / frame[3] * aspect])
        .collect();
    let step = |pair: &[[f64; 2]]| {
        let [dx, dy] = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
        let along = of("axial_mm_per_px") * (dx * cos + dy * sin);
        let across = of("transverse_mm_per_px") * (dy * cos - dx * sin);
        along.hypot(across)
    };
    squared.windows(2).map(step).sum()
}

#[test]
fn lines_are_as_long_as_what_was_measured() {
    let mut checked = 0;
    let others = ["2-004", "2-005", "1-007", "2-031", "1-016"]
        .map(|name| Made::of(&text(&format!("check-cases/{name}.case.json"))));
    for made in others.into_iter().chain([Made::film_102()]) {
        let case: Value = serde_json::from_str(&case_json(&made.case, &made.derived, None).unwrap()).unwrap();
        let svg = svg(&made);
        let document = Document::parse(&svg).expect("well-formed");
        let frame = frame(&document);
        let page = document.root_element();
        assert_eq!(
            page.attribute("viewBox").unwrap(),
            format!("0 0 {} {}", number(page, "width"), number(page, "height"))
        );
        for path in document.descendants().filter(|node| node.has_tag_name("path")) {
            let Some(title) = path.children().find(|node| node.has_tag_name("title")) else { continue };
            let Some((name, _)) = title.text().unwrap().split_once(": ") else { continue };
            let row = made
                .derived
                .measurements
                .iter()
                .find(|row| measurement_name(&made.case, &row.of) == name)
                .unwrap();
            let drawn = length(&points(path), frame, &case);
            let value = row.value.unwrap();
            // The page's tenth of a micrometre is some thousandths of a pixel.
            assert!((drawn - value.abs()).abs() < 2e-3, "{name}: {drawn} for {value}");
            checked += 1;
        }
    }
    assert!(checked > 60, "{checked}");
}

#[test]
fn landmarks_lie_where_the_case_has_them() {
    let made = Made::film_102();
    let svg = svg(&made);
    let document = Document::parse(&svg).unwrap();
    let [left, top, width, height] = frame(&document);
    for id in LandmarkId::points(Owner::Tooth) {
        let Some(point) = made.case.landmarks.point(id) else { continue };
        let path = document
            .descendants()
            .find(|node| node.has_tag_name("title") && node.text() == Some(&id.words()))
            .unwrap_or_else(|| panic!("{} is not drawn", id.words()))
            .parent()
            .unwrap();
        let numbers: Vec<f64> = path
            .attribute("d")
            .unwrap()
            .replace(['M', 'L', 'C', 'Z'], " ")
            .split_whitespace()
            .map(|it| it.parse().unwrap())
            .collect();
        let middle = |at: usize| {
            let ends = numbers.iter().skip(at).step_by(2);
            let least = ends.clone().fold(f64::INFINITY, |a, b| a.min(*b));
            f64::midpoint(least, ends.fold(f64::NEG_INFINITY, |a, b| a.max(*b)))
        };
        let wanted = [left + point.x * width / 1000.0, top + point.y * height / 1300.0];
        assert!(
            (middle(0) - wanted[0]).abs() < 1e-3 && (middle(1) - wanted[1]).abs() < 1e-3,
            "{}",
            id.words()
        );
    }
}

#[test]
fn pixels_at_the_landmarks_are_marked() {
    let made = Made::film_102();
    let subject = made.subject();
    let bytes = written(&subject, setting(Audience::Record, Paper::A4), Ending::Png, None).unwrap().bytes;
    let image = image::load_from_memory(&bytes).unwrap().to_rgb8();
    let page = picture(&subject, Audience::Record).unwrap();
    let film = page.blocks.iter().flat_map(|block| &block.marks).find_map(|mark| match mark {
        Mark::Picture(film) => Some(film),
        _ => None,
    });
    let film = film.unwrap();
    let per_mm = f64::from(image.width()) / page.width.get();
    let mut checked = 0;
    for id in LandmarkId::points(Owner::Tooth) {
        let Some(point) = made.case.landmarks.point(id).filter(|point| !point.is_planned()) else { continue };
        let x = (film.at.x + point.x / 1000.0 * film.width.get()) * per_mm;
        let y = (film.at.y + point.y / 1300.0 * film.height.get()) * per_mm;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let near = (-3..=3_i32).flat_map(|dx| (-3..=3_i32).map(move |dy| (dx, dy))).any(|(dx, dy)| {
            let [red, green, blue] =
                image.get_pixel((x + f64::from(dx)) as u32, (y + f64::from(dy)) as u32).0;
            red > 220 && green > 205 && blue < 110
        });
        assert!(near, "{} at {x}, {y}", id.words());
        checked += 1;
    }
    assert!(checked >= 10);
    // The film itself lies beside the marks, pixel for pixel as a screen first shows it.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let corner = image.get_pixel((film.at.x * per_mm) as u32 + 20, (film.at.y * per_mm) as u32 + 20).0;
    assert_eq!(corner[0], corner[1]);
}

/// Whatever is for people says what a film is worth; bare are tables for machines and the case itself, which is what
/// `measure --json` gives (docs/reports.md).
#[test]
fn every_report_for_people_has_the_safety_text() {
    let made = Made::film_102();
    let subject = made.subject();
    let joined = |words: &mut dyn Iterator<Item = &str>| -> String {
        words.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
    };
    for (_, audience) in Audience::ALL {
        for (_, ending) in Ending::ALL.iter().filter(|(_, ending)| ending.is_for(*audience)) {
            let setting = setting(*audience, Paper::A4);
            let bytes = written(&subject, setting, *ending, None).unwrap().bytes;
            let text = String::from_utf8_lossy(&bytes);
            let words = match ending {
                Ending::Pdf => all_words(&pages(&subject, setting)),
                Ending::Png => {
                    let page = picture(&subject, *audience).unwrap();
                    let image = image::load_from_memory(&bytes).unwrap();
                    let ratio = f64::from(image.height()) / f64::from(image.width());
                    assert!((ratio - page.height.get() / page.width.get()).abs() < 0.01, "{ratio}");
                    joined(&mut super::words(&page))
                }
                Ending::Svg => {
                    let document = Document::parse(&text).unwrap();
                    joined(&mut document.descendants().filter(Node::is_text).filter_map(|node| node.text()))
                }
                Ending::Dcm => joined(&mut text.split('\0')),
                Ending::Csv | Ending::Json => {
                    assert!(!text.contains("certified"), "{}", ending.word());
                    continue;
                }
            };
            assert!(words.contains(SAFETY), "{}, {}: {words}", ending.word(), audience.word());
        }
    }
}

#[test]
fn the_same_case_and_day_are_the_same_bytes() {
    let made = Made::film_102();
    for (_, ending) in Ending::ALL {
        let once =
            written(&made.subject(), setting(Audience::Record, Paper::A4), *ending, None).unwrap().bytes;
        let again =
            written(&made.subject(), setting(Audience::Record, Paper::A4), *ending, None).unwrap().bytes;
        assert!(once == again, "{}", ending.word());
    }
}
