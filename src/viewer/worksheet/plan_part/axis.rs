//! The axis all bars of the plan share: depths along the canal, from where the post starts to hold to the root's end.

use eframe::egui::{
    self, Align2, Color32, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, TextStyle, pos2, vec2,
};

/// A strip of the worksheet with depths laid along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    pub(super) rect: Rect,
    /// The deepest, mm.
    end: f64,
}

/// From one line of hatching to the next, points.
const HATCH: f32 = 5.0;

/// What stands at a depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MarkShape {
    /// A bracket that opens towards the apex.
    Shortest,
    /// A diamond.
    Preferences,
    /// A bracket that opens towards the crown.
    Deepest,
    /// A disc.
    Recommended,
    /// A house on its roof, as tips of posts are drawn on the film.
    Tip,
}

impl Axis {
    /// A strip as wide as there is room, this high.
    pub(super) fn make(ui: &mut egui::Ui, height: f32, end: f64) -> Self {
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width() - 8.0, height), Sense::hover());
        Self { rect, end: end.max(0.1) }
    }

    pub(super) fn x(&self, depth: f64) -> f32 {
        // Between 0 and 1 nothing is lost that is seen.
        #[allow(clippy::cast_possible_truncation)]
        let part = (depth / self.end).clamp(0.0, 1.0) as f32;
        egui::lerp(self.rect.left()..=self.rect.right(), part)
    }

    /// The depth under a point of the screen.
    pub(super) fn depth(&self, x: f32) -> f64 {
        let part = (x - self.rect.left()) / self.rect.width().max(1.0);
        f64::from(part.clamp(0.0, 1.0)) * self.end
    }

    /// The whole strip and, in it, stretches that are filled.
    pub(super) fn stretches(&self, ui: &egui::Ui, stretches: &[[f64; 2]], fill: Color32) {
        let visuals = ui.visuals();
        let painter = ui.painter();
        painter.rect_filled(self.rect, 2.0, visuals.extreme_bg_color);
        for [from, to] in stretches {
            let stretch =
                self.rect.with_min_x(self.x(*from)).with_max_x(self.x(*to).max(self.x(*from) + 2.0));
            painter.rect_filled(stretch, 0.0, fill);
        }
        painter.rect_stroke(self.rect, 2.0, visuals.widgets.inactive.bg_stroke, StrokeKind::Inside);
    }

    /// Stretches of which some or all is not known, hatched over whatever is filled, which stays seen between.
    pub(super) fn hatched(&self, ui: &egui::Ui, stretches: &[[f64; 2]]) {
        let line = Stroke::new(1.0, ui.visuals().text_color());
        for [from, to] in stretches {
            let stretch = self.rect.with_min_x(self.x(*from)).with_max_x(self.x(*to)).shrink2(vec2(0.0, 1.0));
            let painter = ui.painter().with_clip_rect(stretch.intersect(ui.clip_rect()));
            let mut x = stretch.left() - stretch.height();
            while x < stretch.right() {
                painter.line_segment(
                    [pos2(x, stretch.bottom()), pos2(x + stretch.height(), stretch.top())],
                    line,
                );
                x += HATCH;
            }
        }
    }

    /// Millimetres under the strip.
    pub(super) fn scale(&self, ui: &egui::Ui) {
        let colour = super::super::super::theme::faint(ui.visuals().dark_mode);
        let font = TextStyle::Small.resolve(ui.style());
        let mut depth = 0.0;
        let mut counted = 0_u32;
        while depth <= self.end {
            let x = self.x(depth);
            let long = counted.is_multiple_of(2);
            let foot = self.rect.bottom() + if long { 5.0 } else { 3.0 };
            ui.painter().line_segment([pos2(x, self.rect.bottom()), pos2(x, foot)], Stroke::new(1.0, colour));
            if long {
                ui.painter().text(pos2(x, foot), Align2::CENTER_TOP, depth, font.clone(), colour);
            }
            depth += 1.0;
            counted += 1;
        }
    }

    /// The line of the tip that is shown, through the whole strip.
    pub(super) fn tip(&self, ui: &egui::Ui, depth: f64) {
        let x = self.x(depth);
        let line = [pos2(x, self.rect.top() - 2.0), pos2(x, self.rect.bottom() + 2.0)];
        ui.painter().line_segment(line, Stroke::new(4.0, ui.visuals().panel_fill));
        ui.painter().line_segment(line, Stroke::new(2.0, ui.visuals().strong_text_color()));
    }
}

/// Draws the shape of a mark.
pub(super) fn shape(ui: &egui::Ui, shape: MarkShape, at: Pos2) {
    let colour = ui.visuals().strong_text_color();
    let painter = ui.painter();
    let line = Stroke::new(2.0, colour);
    let path =
        |corners: &[[f32; 2]]| -> Vec<Pos2> { corners.iter().map(|[x, y]| at + vec2(*x, *y)).collect() };
    match shape {
        MarkShape::Shortest => {
            painter.add(Shape::line(path(&[[4.0, -6.0], [0.0, -6.0], [0.0, 6.0], [4.0, 6.0]]), line));
        }
        MarkShape::Deepest => {
            painter.add(Shape::line(path(&[[-4.0, -6.0], [0.0, -6.0], [0.0, 6.0], [-4.0, 6.0]]), line));
        }
        MarkShape::Preferences => {
            painter.add(Shape::closed_line(path(&[[0.0, -5.5], [5.0, 0.0], [0.0, 5.5], [-5.0, 0.0]]), line));
        }
        MarkShape::Recommended => {
            painter.circle_filled(at, 4.0, colour);
        }
        MarkShape::Tip => {
            let corners = path(&[[-4.0, -6.0], [4.0, -6.0], [4.0, 2.0], [0.0, 6.5], [-4.0, 2.0]]);
            painter.add(Shape::convex_polygon(corners, ui.visuals().panel_fill, line));
        }
    }
}

/// Room for the shape of a mark in a line of text.
pub(super) fn shape_here(ui: &mut egui::Ui, of: MarkShape) {
    let (rect, _) = ui.allocate_exact_size(vec2(14.0, 17.0), Sense::hover());
    shape(ui, of, rect.center());
}
