//! What is pointed at in the worksheet, drawn on the film: what the number measures, and how far it may lie off; and
//! how far a point that is pointed at may lie off.

use super::handles;
use super::line::Line;
use super::sheet::Sheet;
use crate::case::{MeasurementRow, RowRef};
use crate::editor::PointAt;
use crate::geometry::Displacement;
use crate::measure::{Source, Span, SpanPart, spans};
use crate::report::{ValueWords, catalogue_row, contributor, measurement_name, share_words, value_words};
use crate::viewer::Work;
use crate::viewer::action::Handle;
use crate::viewer::theme;
use eframe::egui::{self, Color32, Pos2, Shape, Stroke};

/// What a span is drawn with; the dark edge under it is read on light ground.
const LINE: Color32 = Color32::WHITE;
const EDGE: Color32 = Color32::from_black_alpha(200);
/// Half the length of the strokes across the ends of a span, points of the screen.
const TICK: f32 = 6.0;
/// The ring around a point of a reference.
const RING: f32 = 11.0;
/// Corners of an ellipse.
const CORNERS: u8 = 48;

/// Draws what a number measures. Gives where its words belong and what they are.
pub(super) fn number(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    of: &RowRef,
) -> Option<(Pos2, String)> {
    let (measured, measurement) = work.measurement(of)?;
    let spans = spans(work.open.case(), measured, measurement);
    // What stands under the fraction bar lies under what stands above it, where both lie on one line.
    for span in spans.iter().rev() {
        draw(painter, sheet, span);
    }
    let place = spans.first().and_then(Span::middle)?;
    let mut words = words(work, of)?;
    let row = work.shown_row(of)?;
    if let Some((source, share)) = contributor(row) {
        let ringed = if ring_contributors(painter, sheet, work, row, source) { ", ringed" } else { "" };
        words = format!("{words}\nmost of the \u{b1}: {}{ringed}", share_words(source, share));
    }
    if spans.iter().any(|span| span.part == SpanPart::Denominator) {
        words.push_str("\nwide and blue: what it is divided by");
    }
    Some((sheet.seen(place), words))
}

/// Draws rings around what most of a number's uncertainty comes from, as far as that lies on the film; says whether any
/// does.
fn ring_contributors(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    row: &MeasurementRow,
    source: Source,
) -> bool {
    let mut any = false;
    for spot in handles::spots(&work.seen_case(), None, None) {
        let Handle::Case(at) = spot.handle else { continue };
        match source {
            Source::Placing if at.is_used_by(&row.of, &row.from) => {
                any |= placing(painter, sheet, work, at).is_some();
            }
            Source::Reference | Source::Ratio if matches!(at, PointAt::Reference { .. }) => {
                let at = sheet.seen(spot.at);
                painter.circle_stroke(at, RING, Stroke::new(4.0, EDGE));
                painter.circle_stroke(at, RING, Stroke::new(1.6, theme::ORANGE));
                any = true;
            }
            _ => {}
        }
    }
    any
}

/// A number in words: its name, its value, and what is meant by it.
fn words(work: &Work, of: &RowRef) -> Option<String> {
    let row = work.shown_row(of)?;
    let ValueWords { value, spread } = value_words(row)?;
    let name = measurement_name(work.open.case(), of);
    let mut words = format!("{name} {value} {spread} {}", row.unit.suffix()).trim_end().to_owned();
    if let Some(about) = catalogue_row(of) {
        words = format!("{words}\n{}", about.meaning);
    }
    Some(words)
}

fn draw(painter: &egui::Painter, sheet: &Sheet<'_>, span: &Span) {
    let (colour, width) =
        if span.part == SpanPart::Denominator { (theme::SKY_BLUE, 7.0) } else { (LINE, 2.6) };
    if let Some(axis) = span.axis {
        let ends = axis.map(|end| sheet.seen(end));
        for stroke in [Stroke::new(3.5, EDGE), Stroke::new(1.2, theme::YELLOW)] {
            painter.extend(Shape::dashed_line(&ends, stroke, 10.0, 6.0));
        }
    }
    for foot in &span.feet {
        let ends = foot.map(|end| sheet.seen(end));
        for stroke in [Stroke::new(3.0, EDGE), Stroke::new(1.2, colour)] {
            painter.extend(Shape::dashed_line(&ends, stroke, 3.0, 3.0));
        }
    }
    let line: Vec<Pos2> = span.line.iter().map(|place| sheet.seen(*place)).collect();
    for (stroke, grow) in [(Stroke::new(width + 3.4, EDGE), 1.5), (Stroke::new(width, colour), 0.0)] {
        painter.line(line.clone(), stroke);
        for (end, before) in [
            (line.first(), line.get(1)),
            (line.last(), line.len().checked_sub(2).and_then(|at| line.get(at))),
        ] {
            if let (Some(end), Some(before)) = (end, before) {
                let across = (*end - *before).normalized().rot90() * (TICK + grow);
                painter.line_segment([*end - across, *end + across], stroke);
            }
        }
    }
    if let Some(spread) = span.spread {
        self::spread(painter, spread.map(|end| sheet.seen(end)));
    }
}

/// The ± as a band with closed ends, beside no colour of any verdict.
fn spread(painter: &egui::Painter, [low, high]: [Pos2; 2]) {
    let way = high - low;
    if way.length() < 1.0 {
        return;
    }
    let across = way.normalized().rot90() * 4.0;
    let corners = vec![low - across, high - across, high + across, low + across];
    let fill = theme::ORANGE.gamma_multiply(0.45);
    painter.add(Shape::convex_polygon(corners.clone(), fill, Stroke::NONE));
    painter.add(Shape::closed_line(corners.clone(), Stroke::new(3.0, EDGE)));
    painter.add(Shape::closed_line(corners, Stroke::new(1.5, theme::ORANGE)));
}

/// Draws within how far of a point its true place lies, one standard uncertainty of placing on each axis. Gives that
/// in words.
pub(super) fn placing(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    at: PointAt,
) -> Option<String> {
    let case = work.open.case();
    let measured = &work.numbers.as_ref().as_ref().ok()?.measured;
    let sd = measured.placing_sd(at.point(case)?)?.get();
    let place = at.position(case)?;
    let corner = |at: u8| {
        let (sin, cos) = (f64::from(at) / f64::from(CORNERS) * std::f64::consts::TAU).sin_cos();
        sheet.seen(place.moved(Displacement::new(sd * cos, sd * sin / case.film.aspect())))
    };
    let ellipse: Vec<Pos2> = (0..CORNERS).map(corner).collect();
    painter.add(Shape::closed_line(ellipse.clone(), Stroke::new(4.0, EDGE)));
    painter.add(Shape::closed_line(ellipse, Stroke::new(1.6, theme::ORANGE)));
    Some(format!("placing sd {sd:.1} px"))
}

/// Draws the scratch ruler, which is taken for no line of the case. Gives where its words belong and what
/// they are.
pub(super) fn ruler(painter: &egui::Painter, sheet: &Sheet<'_>, work: &Work) -> Option<(Pos2, String)> {
    let ruler = work.ruler.as_ref()?;
    let [one, other] = ruler.ends() else { return None };
    let ends = [*one, *other].map(|end| sheet.seen(end));
    Line::Ruler.draw(painter, &ends);
    Some((ends[0].lerp(ends[1], 0.5), ruler.words()?))
}
