//! Where to look for what comes next: a soft band in brackets, or one that fades along the way, so that nobody takes it
//! for a point.

use super::sheet::Sheet;
use crate::editor::Hint;
use eframe::egui::{self, Color32, Mesh, Pos2, Rect, Shape, Stroke};

/// The band's white.
const BAND: Color32 = Color32::from_rgba_premultiplied(34, 34, 34, 34);
/// How far the ends of a bracket reach inwards, points of the screen.
const RETURN: f32 = 9.0;
/// On a film seen small the band is still one, points of the screen.
const SHORTEST: f32 = 44.0;

/// Where a hint is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Band {
    /// Around a region: its corners in order, the sides between the first two and the last two along the tooth.
    Around([Pos2; 4]),
    /// From a place on: the corners of its near end and of its far one.
    On([Pos2; 4]),
}

impl Band {
    /// Where a hint is seen.
    pub(super) fn of(sheet: &Sheet<'_>, hint: &Hint) -> Self {
        match *hint {
            Hint::Region { middle, along, across } => Self::Around(
                [(-1.0, -1.0), (-1.0, 1.0), (1.0, 1.0), (1.0, -1.0)]
                    .map(|(side, end)| sheet.seen(middle.moved(along.times(end)).moved(across.times(side)))),
            ),
            Hint::Arrow { from, way } => {
                let (from, to) = (sheet.seen(from), sheet.seen(from.moved(way)));
                let direction = (to - from).normalized();
                let length = (to - from).length().max(SHORTEST);
                // It begins beside the mark.
                let (near, far) = (from + direction * 16.0, from + direction * (16.0 + length));
                let (narrow, wide) = (direction.rot90() * length * 0.16, direction.rot90() * length * 0.4);
                Self::On([near - narrow, near + narrow, far + wide, far - wide])
            }
        }
    }

    const fn corners(&self) -> &[Pos2; 4] {
        match self {
            Self::Around(corners) | Self::On(corners) => corners,
        }
    }

    /// The smallest upright rectangle around it.
    pub(super) fn rect(&self) -> Rect {
        Rect::from_points(self.corners())
    }

    /// Draws it.
    pub(super) fn draw(&self, painter: &egui::Painter) {
        let strokes = [
            Stroke::new(3.4, Color32::from_black_alpha(140)),
            Stroke::new(1.4, Color32::from_white_alpha(220)),
        ];
        match self {
            Self::Around(corners) => {
                painter.add(Shape::convex_polygon(corners.to_vec(), BAND, Stroke::NONE));
                let [one, two, three, four] = *corners;
                let inwards = (four - one).normalized() * RETURN.min((four - one).length() / 3.0);
                for stroke in strokes {
                    painter.line(vec![one + inwards, one, two, two + inwards], stroke);
                    painter.line(vec![three - inwards, three, four, four - inwards], stroke);
                }
            }
            Self::On(corners) => {
                let mut mesh = Mesh::default();
                for (corner, colour) in
                    corners.iter().zip([BAND.gamma_multiply(2.0), BAND.gamma_multiply(2.0), BAND, BAND])
                {
                    mesh.colored_vertex(*corner, colour);
                }
                mesh.add_triangle(0, 1, 2);
                mesh.add_triangle(0, 2, 3);
                painter.add(mesh);
                let [one, two, three, four] = *corners;
                for stroke in strokes {
                    for side in [[one, four], [two, three]] {
                        painter.extend(Shape::dashed_line(&side, stroke, 2.0, 6.0));
                    }
                }
            }
        }
    }
}
