//! Where to look for what comes next: a soft band in brackets, so that nobody takes it for a point.

use super::sheet::Sheet;
use crate::editor::Hint;
use eframe::egui::{self, Color32, Pos2, Rect, Shape, Stroke};

/// The band's white.
const BAND: Color32 = Color32::from_rgba_premultiplied(34, 34, 34, 34);
/// How far the ends of a bracket reach inwards, points of the screen.
const RETURN: f32 = 9.0;

/// Where a hint is drawn: its corners in order, the sides between the first two and the last two along the tooth.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Band([Pos2; 4]);

impl Band {
    /// Where a hint is seen.
    pub(super) fn of(sheet: &Sheet<'_>, hint: &Hint) -> Self {
        let Hint { middle, along, across } = *hint;
        Self(
            [(-1.0, -1.0), (-1.0, 1.0), (1.0, 1.0), (1.0, -1.0)]
                .map(|(side, end)| sheet.seen(middle.moved(along.times(end)).moved(across.times(side)))),
        )
    }

    /// The smallest upright rectangle around it.
    pub(super) fn rect(&self) -> Rect {
        Rect::from_points(&self.0)
    }

    /// Draws it.
    pub(super) fn draw(&self, painter: &egui::Painter) {
        painter.add(Shape::convex_polygon(self.0.to_vec(), BAND, Stroke::NONE));
        let [one, two, three, four] = self.0;
        let inwards = (four - one).normalized() * RETURN.min((four - one).length() / 3.0);
        for stroke in [
            Stroke::new(3.4, Color32::from_black_alpha(140)),
            Stroke::new(1.4, Color32::from_white_alpha(220)),
        ] {
            painter.line(vec![one + inwards, one, two, two + inwards], stroke);
            painter.line(vec![three - inwards, three, four, four - inwards], stroke);
        }
    }
}
