//! A plot painted in the window: the same marks that make its SVG.

use super::theme;
use crate::report::{Ink, Plot, PlotAnchor, PlotMark};
use eframe::egui::accesskit::Role;
use eframe::egui::epaint::TextShape;
use eframe::egui::{self, Align2, Color32, FontId, Pos2, Rect, Sense, Shape, Stroke, WidgetInfo, pos2, vec2};

/// A plot is no narrower than this, points: smaller letters are hard to read.
const LEAST: f32 = 420.0;

fn colour(ink: Ink, visuals: &egui::Visuals) -> Color32 {
    let dark = visuals.dark_mode;
    match ink {
        Ink::Plain => visuals.text_color(),
        Ink::Faint => theme::faint(dark),
        Ink::Bias => theme::to_do(dark),
        Ink::Limit => theme::verdict(Some(crate::case::Verdict::FallsShort), dark),
    }
}

/// Draws a plot as wide as there is room, and says it to those who do not see it.
pub(super) fn show(ui: &mut egui::Ui, plot: &Plot) {
    let width = ui.available_width().clamp(LEAST, 760.0);
    // Far below the precision of f32.
    #[expect(clippy::cast_possible_truncation, reason = "see above")]
    let narrow = |length: f64| length as f32;
    let (wide, high) = (narrow(Plot::WIDTH), narrow(Plot::HEIGHT));
    let scale = width / wide;
    let (rect, response) = ui.allocate_exact_size(vec2(width, high * scale), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("{}. {}", plot.title, plot.says)));
    let painter = ui.painter_at(rect);
    let at =
        |[x, y]: [f64; 2]| -> Pos2 { pos2(rect.left() + narrow(x) * scale, rect.top() + narrow(y) * scale) };
    let visuals = ui.visuals().clone();
    for mark in &plot.marks {
        match mark {
            PlotMark::Line { ends: [x1, y1, x2, y2], ink, width, dashes } => {
                let ends = [at([*x1, *y1]), at([*x2, *y2])];
                let stroke = Stroke::new((narrow(*width) * scale).max(1.0), colour(*ink, &visuals));
                match dashes {
                    None => drop(painter.line_segment(ends, stroke)),
                    Some([dash, gap]) => {
                        let [dash, gap] = [*dash, *gap].map(|length| (narrow(length) * scale).max(2.0));
                        painter.extend(Shape::dashed_line(&ends, stroke, dash, gap));
                    }
                }
            }
            PlotMark::Band { top, height, ink } => {
                let [left, right] = Plot::BAND;
                let band = Rect::from_two_pos(at([left, *top]), at([right, top + height]));
                painter.rect_filled(band, 0.0, colour(*ink, &visuals).gamma_multiply(0.14));
            }
            PlotMark::Rectangle { place: [left, top, width, height], ink } => {
                let frame = Rect::from_two_pos(at([*left, *top]), at([left + width, top + height]));
                let stroke = Stroke::new(1.5, colour(*ink, &visuals));
                let [left, right] = [frame.left_top(), frame.right_top()];
                let around = [left, right, frame.right_bottom(), frame.left_bottom(), left];
                painter.extend(Shape::dashed_line(&around, stroke, 7.0, 4.0));
            }
            PlotMark::Dot { at: place } => {
                painter.circle_stroke(at(*place), 3.5, Stroke::new(1.2, visuals.text_color()));
            }
            PlotMark::Square { at: place, ink } => {
                let square = Rect::from_center_size(at(*place), vec2(6.0, 6.0));
                painter.rect_filled(square, 0.0, colour(*ink, &visuals));
            }
            PlotMark::Words { at: place, anchor, size, upwards, words } => {
                let font = FontId::proportional((narrow(*size) * scale).max(theme::LEAST_LETTERS));
                let align = match anchor {
                    PlotAnchor::Start => Align2::LEFT_BOTTOM,
                    PlotAnchor::Middle => Align2::CENTER_BOTTOM,
                    PlotAnchor::End => Align2::RIGHT_BOTTOM,
                };
                let place = at(*place);
                if *upwards {
                    let galley = painter.layout_no_wrap(words.clone(), font, visuals.text_color());
                    // Turned by a quarter, what was its middle lies half its length further down.
                    let corner = place + vec2(-galley.size().y, galley.size().x / 2.0);
                    let turned = TextShape::new(corner, galley, visuals.text_color())
                        .with_angle(-std::f32::consts::FRAC_PI_2);
                    painter.add(turned);
                } else {
                    let below = vec2(0.0, 0.2 * font.size);
                    painter.text(place + below, align, words, font, visuals.text_color());
                }
            }
        }
    }
}
