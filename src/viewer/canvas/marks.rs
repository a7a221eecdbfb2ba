//! What lies on the film: marks, the lines between them, and names.

use super::handles::{self, Spot};
use super::labels::{self, Wanted};
use super::line::Line;
use super::sheet::{Sheet, screen};
use super::{Canvas, shape, snap};
use crate::calibration::{Reference, ReferencePoint, rim};
use crate::editor::{Placing, PointAt};
use crate::geometry::{Position, Stored};
use crate::measure::ToothLines;
use crate::viewer::Work;
use crate::viewer::action::{Handle, Target};
use crate::viewer::theme;
use eframe::egui::{self, Align2, Color32, FontId, Mesh, Pos2, Rect, Shape, Stroke, Vec2, vec2};

/// Half the size of a mark, points of the screen.
const SIZE: f32 = 6.5;
/// How far the line of a section is drawn to either side of its first point, as a part of the film's width.
const ACROSS: f64 = 0.25;
const HALO: Color32 = Color32::from_black_alpha(190);
/// What lies under a name: dark enough for a caution's colour to be read over white film.
const PLATE: Color32 = Color32::from_black_alpha(215);

/// Draws what lies under the marks: the lines between them. Gives the words that belong to them, and
/// where no others may stand.
pub(super) fn lines(painter: &egui::Painter, sheet: &Sheet<'_>, work: &Work) -> Around {
    let Around { mut more, mut taken, .. } = Around::default();
    let case = &*work.seen_case();
    for root in &case.roots {
        path(painter, sheet, root.canal.iter().map(|point| Position::new(point.x, point.y)), Line::Canal);
        for section in &root.sections {
            let points = section.points.iter().map(|point| Position::new(point.x, point.y));
            path(painter, sheet, points, Line::Section);
        }
    }
    for reference in &case.calibration.references {
        let points: Vec<_> = reference.points().iter().map(ReferencePoint::position).collect();
        let drawn = course(reference, reference.points(), case.film.aspect());
        path(painter, sheet, drawn.into_iter(), Line::Reference);
        if let (Some(size), [first, second, ..]) = (size_of(reference), points.as_slice()) {
            let own = labels::around_point(sheet.seen(first.middle(*second)));
            more.push((own, size, shape::REFERENCE));
        }
    }
    if let Some(half) = work.open.half_placed() {
        match half.what() {
            Placing::Reference(reference) => {
                let drawn = course(reference, half.points(), case.film.aspect());
                path(painter, sheet, drawn.into_iter(), Line::Reference);
            }
            Placing::Section { .. } => {
                path(painter, sheet, half.points().iter().map(ReferencePoint::position), Line::Section);
            }
        }
    }
    let ToothLines { crest, axis } = ToothLines::of(case);
    for (line, ends) in [(Line::Crest, crest), (Line::Axis, axis)] {
        path(painter, sheet, ends.into_iter().flatten(), line);
    }
    // What bone there is, is read along it.
    taken.extend(crest.into_iter().flat_map(|ends| labels::along(ends.map(|end| sheet.seen(end)))));
    if let Some(line) = snap::line(work).filter(|_| work.aim == Some(Target::HalfPlaced)) {
        let reach = sheet.viewport.film_size()[0] * ACROSS;
        let ends = line.ends(reach).map(|end| sheet.seen(end));
        painter.extend(Shape::dashed_line(&ends, Stroke::new(3.0, HALO), 8.0, 6.0));
        painter.extend(Shape::dashed_line(&ends, Stroke::new(1.0, theme::SKY_BLUE), 8.0, 6.0));
    }
    Around { more, placing: None, taken }
}

/// The line that is drawn of a reference: of a ball its fitted rim, once its points make one, else from point to point.
fn course(reference: &Reference, points: &[ReferencePoint], pixel_aspect: f64) -> Vec<Position<Stored>> {
    let fitted = match reference {
        Reference::Sphere(_) => rim(points, pixel_aspect),
        _ => None,
    };
    fitted.unwrap_or_else(|| points.iter().map(ReferencePoint::position).collect())
}

/// The known size of a reference, in words.
fn size_of(reference: &Reference) -> Option<String> {
    let stated = match reference {
        Reference::Instrument(it) => it.length_mm,
        Reference::Width(it) => it.diameter_mm,
        Reference::Sphere(it) => it.diameter_mm,
        Reference::Receptor(_) | Reference::Scan(_) => None,
    };
    stated.map(|size| format!("{size} mm")).or_else(|| reference.object().map(str::to_owned))
}

fn path(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    places: impl Iterator<Item = Position<Stored>>,
    line: Line,
) {
    let points: Vec<Pos2> = places.map(|place| sheet.seen(place)).collect();
    line.draw(painter, &points);
}

/// Draws the marks. That of a point being moved does not hide what lies under it.
pub(super) fn marks(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    spots: &[Spot],
    canvas: &Canvas,
) {
    let (selected, busy) = (handles::selected(work), canvas.busy());
    for spot in spots {
        let at = sheet.seen(spot.at);
        if !sheet.rect.expand(20.0).contains(at) {
            continue;
        }
        if Some(spot.handle) == busy {
            aim_cross(painter, at, Color32::WHITE);
        } else {
            mark(painter, at, &shape::of(spot.handle), spot.planned);
        }
        if Some(spot.handle) == selected {
            for stroke in [Stroke::new(4.0, HALO), Stroke::new(1.5, Color32::WHITE)] {
                painter.circle_stroke(at, SIZE + 5.0, stroke);
            }
        }
    }
}

/// One mark: filled for what is there, open for what is planned.
fn mark(painter: &egui::Painter, at: Pos2, shape: &shape::Shape, planned: bool) {
    let corners: Vec<Pos2> = shape.corners.iter().map(|[x, y]| at + vec2(x * SIZE, y * SIZE)).collect();
    painter.add(Shape::closed_line(corners.clone(), Stroke::new(4.0, HALO)));
    if !planned {
        let mut mesh = Mesh::default();
        let count = u32::try_from(corners.len()).unwrap_or(0);
        for corner in &corners {
            mesh.colored_vertex(*corner, shape.colour);
        }
        mesh.colored_vertex(at, shape.colour);
        for corner in 0..count {
            mesh.add_triangle(corner, (corner + 1) % count, count);
        }
        painter.add(mesh);
    }
    painter.add(Shape::closed_line(corners, Stroke::new(1.5, shape.colour)));
    if !planned {
        painter.circle_filled(at, 1.2, Color32::BLACK);
    }
}

/// A cross-hair that leaves its middle open.
pub(super) fn aim_cross(painter: &egui::Painter, at: Pos2, colour: Color32) {
    for stroke in [Stroke::new(3.5, HALO), Stroke::new(1.2, colour)] {
        for direction in [vec2(1.0, 0.0), vec2(-1.0, 0.0), vec2(0.0, 1.0), vec2(0.0, -1.0)] {
            painter.line_segment([at + direction * 4.0, at + direction * 13.0], stroke);
        }
    }
}

/// What names are given beside those of points, and where none may stand.
#[derive(Default)]
pub(super) struct Around {
    /// Words that are always shown, what they stand beside, and their colour.
    pub(super) more: Vec<(Rect, String, Color32)>,
    /// What is added to the name of the point that is pointed at.
    pub(super) placing: Option<(PointAt, String)>,
    /// Where no name may stand.
    pub(super) taken: Vec<Rect>,
}

/// Draws names: of the points that are meant and of what comes next, and of other landmarks where they have room. Gives
/// where those stand that are always shown.
pub(super) fn names(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    spots: &[Spot],
    canvas: &Canvas,
    Around { more, placing, mut taken }: Around,
) -> Vec<Rect> {
    let selected = handles::selected(work);
    let half = work.open.half_placed();
    let aimed = match work.aim {
        Some(Target::Landmark(at)) => Some(Handle::Case(PointAt::Landmark(at))),
        _ => None,
    };
    let font = FontId::proportional(12.0);
    let mut galleys = Vec::new();
    let mut wanted = Vec::new();
    let of_tooth = |spot: &&Spot| matches!(spot.handle, Handle::Case(PointAt::Landmark(_)));
    let tooth: Vec<Pos2> = spots.iter().filter(of_tooth).map(|spot| sheet.seen(spot.at)).collect();
    let middle = Rect::from_points(&tooth).center();
    for spot in spots {
        let at = sheet.seen(spot.at);
        if !sheet.rect.contains(at) {
            continue;
        }
        let own = labels::around_point(at);
        taken.push(own);
        let this = Some(spot.handle);
        let must = this == selected || this == canvas.hovered || this == aimed;
        // Points of lines are named when they are meant; their number says little beside the line.
        let is_landmark = matches!(spot.handle, Handle::Case(PointAt::Landmark(_)));
        if must || is_landmark {
            let colour = if must { Color32::WHITE } else { Color32::from_gray(215) };
            let mut words = handles::words(spot.handle, half);
            if let Some((of, placing)) = &placing
                && spot.handle == Handle::Case(*of)
            {
                words = format!("{words}, {placing}");
            }
            let galley = painter.layout_no_wrap(words, font.clone(), colour);
            let size = galley.size() + vec2(6.0, 2.0);
            wanted.push(Wanted { own, size, leftwards: at.x < middle.x, must });
            galleys.push(galley);
        }
    }
    for (own, words, colour) in more {
        let galley = painter.layout_no_wrap(words, font.clone(), colour);
        let size = galley.size() + vec2(6.0, 2.0);
        wanted.push(Wanted { own, size, leftwards: own.center().x < middle.x, must: true });
        galleys.push(galley);
    }
    let laid = labels::lay(&wanted, &taken, sheet.rect.shrink(2.0));
    let mut shown = Vec::new();
    for ((galley, place), wanted) in galleys.into_iter().zip(laid).zip(wanted) {
        let Some(rect) = place else { continue };
        if let Some(line) = labels::leader(wanted.own, rect) {
            for stroke in [Stroke::new(3.0, HALO), Stroke::new(1.0, Color32::from_gray(215))] {
                painter.line_segment(line, stroke);
            }
        }
        painter.rect_filled(rect, 2.0, PLATE);
        painter.galley(rect.min + vec2(3.0, 1.0), galley, Color32::WHITE);
        if wanted.must {
            shown.push(rect);
        }
    }
    shown
}

/// Text that can be read on black and on white film.
pub(super) fn text(
    painter: &egui::Painter,
    at: Pos2,
    align: Align2,
    words: &str,
    font: FontId,
    colour: Color32,
) -> Rect {
    let galley = painter.layout_no_wrap(words.to_owned(), font, colour);
    let rect = align.anchor_size(at, galley.size());
    painter.rect_filled(rect.expand2(Vec2::new(3.0, 1.0)), 2.0, Color32::from_black_alpha(150));
    painter.galley(rect.min, galley, colour);
    rect
}

/// The keyboard's cursor.
pub(super) fn cursor(painter: &egui::Painter, sheet: &Sheet<'_>, place: Position<Stored>) {
    let at = sheet.seen(place);
    aim_cross(painter, at, theme::YELLOW);
    let pixel = screen(sheet.viewport.zoom());
    if pixel >= 4.0 {
        painter.circle_stroke(at, pixel / 2.0, Stroke::new(1.0, theme::YELLOW));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reference(text: &str) -> Reference {
        let case = format!(
            r#"{{"format": "crestgauge.case", "version": 1, "calibration": {{"references": [{text}]}}}}"#
        );
        crate::case::read_text(&case).unwrap().case.calibration.references.remove(0)
    }

    #[test]
    fn a_ball_is_drawn_as_the_circle_that_was_fitted_and_a_wire_from_end_to_end() {
        // A circle of 50 around (100, 100) on square pixels, where pixels are 1.25 times as high as wide.
        let points = r#"[{"x": 150, "y": 80}, {"x": 100, "y": 120}, {"x": 50, "y": 80}]"#;
        let ball = reference(&format!(r#"{{"kind": "sphere", "points": {points}, "diameter_mm": 2}}"#));
        let drawn = course(&ball, ball.points(), 1.25);
        assert!(drawn.len() > 40, "{}", drawn.len());
        for place in &drawn {
            let radius = (place.x - 100.0).hypot(1.25 * place.y - 100.0);
            assert!((radius - 50.0).abs() < 1e-6, "{place:?}");
        }
        assert!(drawn[0].way_from(drawn[drawn.len() - 1]).length() < 1e-9, "it is closed");
        assert_eq!(course(&ball, &ball.points()[..2], 1.25).len(), 2, "two points make no circle yet");
        let wire =
            r#"{"kind": "instrument", "points": [{"x": 0, "y": 0}, {"x": 0, "y": 90}], "length_mm": 5}"#;
        assert_eq!(course(&reference(wire), reference(wire).points(), 1.25).len(), 2);
    }
}
