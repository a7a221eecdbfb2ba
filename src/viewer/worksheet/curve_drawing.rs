//! A probability as a small curve: the density of the value, filled where the bound is met.

use super::super::theme;
use super::verdict_detail::JudgedBy;
use crate::verdict::Curve;
use eframe::egui::accesskit::Role;
use eframe::egui::{
    self, Align2, Color32, FontId, Mesh, Pos2, Rect, Sense, Shape, Stroke, WidgetInfo, pos2, vec2,
};

/// Height of the curve, and of the words above and below it.
const HEIGHT: f32 = 56.0;
const WORDS: f32 = 15.0;
/// The widest it is drawn.
const WIDEST: f32 = 300.0;
/// Steps of the curve.
const STEPS: u16 = 160;

/// Draws it, with the bound and the value labelled in words.
pub(super) fn show(ui: &mut egui::Ui, judged: &JudgedBy, curve: &Curve) {
    let size = vec2(ui.available_width().min(WIDEST), HEIGHT + 2.0 * WORDS + 6.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let words =
        format!("curve of {} {} against {}: {}", judged.name, judged.value, judged.bound, judged.probability);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let area = Rect::from_min_max(rect.min + vec2(4.0, WORDS + 2.0), rect.max - vec2(4.0, WORDS + 4.0));
    let dark = ui.visuals().dark_mode;
    let (text, faint) = (ui.visuals().text_color(), theme::faint(dark));
    let fill = theme::to_do(dark);
    let painter = ui.painter_at(rect);
    let [low, high] = curve.range();
    let across = |at: f64| {
        let part = (at - low) / (high - low);
        // Between 0 and 1, for the screen.
        #[allow(clippy::cast_possible_truncation)]
        let part = part as f32;
        area.left() + part * area.width()
    };
    let up = |at: f64| {
        // Between 0 and 1, for the screen.
        #[allow(clippy::cast_possible_truncation)]
        let density = curve.density(at) as f32;
        area.bottom() - density * area.height()
    };
    let value = |step: u16| low + (high - low) * f64::from(step) / f64::from(STEPS);
    let mut mesh = Mesh::default();
    for step in 0..STEPS {
        let (one, other) = (value(step), value(step + 1));
        if curve.meets(f64::midpoint(one, other)) {
            quad(
                &mut mesh,
                [pos2(across(one), up(one)), pos2(across(other), up(other))],
                area.bottom(),
                fill,
            );
        }
    }
    painter.add(mesh);
    let line: Vec<Pos2> = (0..=STEPS).map(|step| pos2(across(value(step)), up(value(step)))).collect();
    painter.add(Shape::line(line, Stroke::new(1.5, text)));
    painter.hline(area.x_range(), area.bottom(), Stroke::new(1.0, faint));
    for bound in &curve.bounds {
        painter.vline(across(*bound), area.y_range(), Stroke::new(2.0, text));
    }
    let font = FontId::proportional(11.5);
    let label = |at: f64, top: bool, words: &str| {
        let galley = painter.layout_no_wrap(words.to_owned(), font.clone(), text);
        let half = galley.size().x / 2.0;
        let x = across(at).clamp(rect.left() + half, (rect.right() - half).max(rect.left() + half));
        let (y, align) = if top {
            (area.top() - 1.0, Align2::CENTER_BOTTOM)
        } else {
            (area.bottom() + 4.0, Align2::CENTER_TOP)
        };
        painter.galley(align.anchor_size(pos2(x, y), galley.size()).min, galley, text);
    };
    if let (Some(first), Some(last)) = (curve.bounds.first(), curve.bounds.last()) {
        label(f64::midpoint(*first, *last), true, &format!("bound: {}", judged.bound));
    }
    painter.vline(across(curve.value), area.bottom()..=area.bottom() + 4.0, Stroke::new(1.5, text));
    label(curve.value, false, &format!("value: {}", judged.value));
}

/// The ground under a piece of the curve.
fn quad(mesh: &mut Mesh, top: [Pos2; 2], bottom: f32, colour: Color32) {
    let first = u32::try_from(mesh.vertices.len()).unwrap_or(0);
    for corner in [top[0], top[1], pos2(top[1].x, bottom), pos2(top[0].x, bottom)] {
        mesh.colored_vertex(corner, colour);
    }
    mesh.add_triangle(first, first + 1, first + 2);
    mesh.add_triangle(first, first + 2, first + 3);
}
