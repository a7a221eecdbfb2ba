//! A bar of round length in the corner of the film.

use super::sheet::{Sheet, screen};
use crate::geometry::Displacement;
use crate::measure::way_in_plane;
use crate::viewer::Work;
use eframe::egui::{self, Align2, Color32, FontId, Rect, Stroke, pos2};

/// The longest a bar is drawn, points of the screen, and how much of the film's part of the window that may be.
const LONGEST: (f64, f64) = (150.0, 0.3);

/// The bar: its length, and how long that is on the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Bar {
    millimetres: f64,
    points: f64,
}

/// Draws the bar where there is a scale. Gives where it stands with its words.
pub(super) fn draw(painter: &egui::Painter, sheet: &Sheet<'_>, work: &Work) -> Option<Rect> {
    let longest = LONGEST.0.min(f64::from(sheet.rect.width()) * LONGEST.1);
    let bar = bar(millimetres_a_point(sheet, work)?, longest)?;
    let left = pos2(sheet.rect.left() + 16.0, sheet.rect.bottom() - 14.0);
    let right = pos2(left.x + screen(bar.points), left.y);
    for stroke in [Stroke::new(5.0, Color32::from_black_alpha(170)), Stroke::new(2.0, Color32::WHITE)] {
        painter.line_segment([left, right], stroke);
        for end in [left, right] {
            painter.vline(end.x, end.y - 5.0..=end.y + 5.0, stroke);
        }
    }
    let at = pos2(f32::midpoint(left.x, right.x), left.y - 6.0);
    let words = super::marks::text(
        painter,
        at,
        Align2::CENTER_BOTTOM,
        &format!("{} mm", bar.millimetres),
        FontId::proportional(12.0),
        Color32::WHITE,
    );
    Some(words.union(Rect::from_two_pos(left, right).expand(5.0)))
}

/// How many millimetres of the tooth a point of the screen is, along the bar.
fn millimetres_a_point(sheet: &Sheet<'_>, work: &Work) -> Option<f64> {
    let numbers = work.numbers.as_ref().as_ref().ok()?;
    let scale = numbers.measured.scale.as_ref().ok()?;
    let way = sheet.viewport.way(Displacement::new(1.0, 0.0));
    let length = way_in_plane(work.open.case(), scale, way).get();
    (length.is_finite() && length > 0.0).then_some(length)
}

/// The longest bar of 1, 2 or 5 times a power of ten that has room.
fn bar(millimetres_a_point: f64, longest: f64) -> Option<Bar> {
    let most = longest * millimetres_a_point;
    let power = 10.0_f64.powf(most.log10().floor());
    let millimetres =
        [5.0, 2.0, 1.0].map(|times| times * power).into_iter().find(|length| *length <= most)?;
    Some(Bar { millimetres, points: millimetres / millimetres_a_point })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 150 points of 0.05 mm are 7.5 mm: 5 mm have room and are 100 points.
    #[test]
    fn a_bar_is_round_and_as_long_as_it_can_be() {
        for (scale, millimetres, points) in [
            (0.05, 5.0, 100.0),
            (0.02, 2.0, 100.0),
            (0.01, 1.0, 100.0),
            (0.004, 0.5, 125.0),
            (0.2, 20.0, 100.0),
        ] {
            let bar = bar(scale, 150.0).expect("a bar");
            assert!((bar.millimetres - millimetres).abs() < 1e-9, "{scale}: {bar:?}");
            assert!((bar.points - points).abs() < 1e-6, "{scale}: {bar:?}");
        }
    }
}
