//! The histogram of grey values, with its window to be dragged.

use crate::film::{FirstLook, Tone, Window};
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::keyboard::heard_steps;
use crate::viewer::shown_film::ShownFilm;
use crate::viewer::theme;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Color32, Id, Pos2, Rect, Sense, Stroke, WidgetInfo, pos2, vec2};
use std::ops::RangeInclusive;

/// Height of the histogram, points.
const HEIGHT: f32 = 62.0;
/// Height of the bar under it that shows what becomes of each grey value.
const BAR: f32 = 9.0;
/// Reach of the pointer around an edge of the window, points.
const REACH: f32 = 6.0;
/// The most columns of the histogram.
const MOST_BINS: usize = 256;

/// A film's histogram as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bins {
    /// The grey values it goes over.
    axis: RangeInclusive<u16>,
    /// Grey values to a bin.
    step: u16,
    /// Pixels in each bin.
    counts: Vec<u64>,
}

impl Bins {
    /// The histogram around a film's first window, a quarter of its width beyond either end.
    pub(super) fn of(histogram: &[u32], look: &FirstLook) -> Self {
        let window = look.window();
        let beyond = window.width() / 4.0;
        let largest = f64::from(look.largest());
        // Clamped to the film's grey values.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
        let grey = |value: f64| value.clamp(0.0, largest).round() as u16;
        let (first, last) = (grey(window.low - beyond), grey(window.high + beyond));
        let (first, last) = if first < last { (first, last) } else { (0, look.largest()) };
        let values = usize::from(last - first) + 1;
        let step = values.div_ceil(MOST_BINS);
        let shown = histogram.get(usize::from(first)..).unwrap_or_default();
        let counts = shown
            .get(..values.min(shown.len()))
            .unwrap_or_default()
            .chunks(step)
            .map(|bin| bin.iter().map(|count| u64::from(*count)).sum())
            .collect();
        Self { axis: first..=last, step: u16::try_from(step).unwrap_or(u16::MAX), counts }
    }
}

/// Where grey values lie on the strip.
struct Scale {
    rect: Rect,
    first: f64,
    span: f64,
}

impl Scale {
    fn new(rect: Rect, axis: &RangeInclusive<u16>) -> Self {
        let (first, last) = (f64::from(*axis.start()), f64::from(*axis.end()));
        Self { rect, first, span: last + 1.0 - first }
    }

    /// Where the middle of a grey value lies; beyond the ends at the ends.
    fn x(&self, grey: f64) -> f32 {
        // Between 0 and 1.
        #[expect(clippy::cast_possible_truncation, reason = "see above")]
        let part = ((grey + 0.5 - self.first) / self.span).clamp(0.0, 1.0) as f32;
        self.rect.left() + part * self.rect.width()
    }

    /// Grey values for a way of so many points.
    fn way(&self, points: f32) -> f64 {
        f64::from(points) / f64::from(self.rect.width().max(1.0)) * self.span
    }
}

/// Draws the histogram with its window, and asks for what its grips are dragged to.
pub(super) fn histogram(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    tone: Tone,
    film: &ShownFilm,
    bins: &Bins,
    width: f32,
) {
    let (whole, response) = ui.allocate_exact_size(vec2(width, HEIGHT + BAR), Sense::HOVER);
    let words = format!(
        "histogram of grey values {} to {}, height by the logarithm of the count",
        bins.axis.start(),
        bins.axis.end()
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let painter = ui.painter_at(whole);
    let area = Rect::from_min_size(whole.min, vec2(whole.width(), HEIGHT));
    painter.rect_filled(area, 0.0, ui.visuals().extreme_bg_color);
    let scale = Scale::new(area, &bins.axis);
    let faint = theme::faint(ui.visuals().dark_mode);
    painter.add(columns(bins, area, faint.gamma_multiply(0.7)));
    let window = tone.window_or(&film.first_look);
    let (left, right) = (scale.x(window.low), scale.x(window.high));
    let line = theme::to_do(ui.visuals().dark_mode);
    // What lies outside the window is all black or all white.
    let outside = ui.visuals().panel_fill.gamma_multiply(0.55);
    for (from, to) in [(area.left(), left), (right, area.right())] {
        painter.rect_filled(
            Rect::from_min_max(pos2(from, area.top()), pos2(to, area.bottom())),
            0.0,
            outside,
        );
    }
    // Over the veil, which usually lies in this corner.
    painter.text(
        area.left_top() + vec2(4.0, 1.0),
        egui::Align2::LEFT_TOP,
        "log of pixel count",
        egui::FontId::proportional(11.5),
        faint,
    );
    let table = tone.table(&film.first_look);
    let level = |x: f32| {
        let grey = scale.first + scale.way(x - area.left());
        // Within the table, which the axis lies in.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
        table.get(grey.max(0.0) as usize).copied().unwrap_or_default()
    };
    curve(&painter, area, &level, line);
    bar(&painter, Rect::from_min_max(area.left_bottom(), whole.right_bottom()), &level);
    for x in [left, right] {
        edge(&painter, area, x, line);
    }
    let middle = pos2(f32::midpoint(left, right), area.top() + 7.0);
    painter.circle(middle, 4.0, ui.visuals().extreme_bg_color, Stroke::new(1.5, line));

    let whole_height =
        |x: f32| Rect::from_center_size(pos2(x, whole.center().y), vec2(2.0 * REACH, whole.height()));
    let places = [whole_height(left), whole_height(right), Rect::from_center_size(middle, vec2(18.0, 16.0))];
    for (grip, at) in Grip::ALL.into_iter().zip(places) {
        let by = hold(ui, grip, at, window, &scale, bins.step);
        if by != 0.0 {
            let moved = grip.moved(window, by, film.first_look.largest());
            desk.ask(Action::Tone(Tone { window: Some(moved), ..tone }));
        }
    }
}

/// What the histogram's window is taken hold of by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Grip {
    Lower,
    Upper,
    Whole,
}

impl Grip {
    const ALL: [Self; 3] = [Self::Lower, Self::Upper, Self::Whole];

    const fn words(self) -> &'static str {
        match self {
            Self::Lower => "lower end of the window",
            Self::Upper => "upper end of the window",
            Self::Whole => "the window as a whole",
        }
    }

    /// The grey value it stands at.
    const fn stands_at(self, window: Window) -> f64 {
        match self {
            Self::Lower => window.low,
            Self::Upper => window.high,
            Self::Whole => window.middle(),
        }
    }

    /// The window after this grip went so many grey values.
    fn moved(self, window: Window, by: f64, largest: u16) -> Window {
        let Window { low, high } = window;
        match self {
            Self::Lower => Window::between((low + by).min(high - 1.0), high, largest),
            Self::Upper => Window::between(low, (high + by).max(low + 1.0), largest),
            Self::Whole => Window::around(window.middle() + by, window.width(), largest),
        }
    }
}

/// A grip for pointer and keyboard: arrows move it by a column of the histogram, with Ctrl by ten, with Shift by a grey
/// value. Gives how many grey values it went.
fn hold(ui: &egui::Ui, grip: Grip, at: Rect, window: Window, scale: &Scale, column: u16) -> f64 {
    let name = grip.words();
    let response = ui.interact(at, Id::unique(name), Sense::drag());
    response.widget_info(|| WidgetInfo::slider(true, grip.stands_at(window), name));
    let hint = format!("{name}; drag it, or with the keyboard on it the arrow keys");
    let response = response.on_hover_and_drag_cursor(egui::CursorIcon::ResizeHorizontal).on_hover_text(hint);
    let mut by = if response.dragged() { scale.way(response.drag_delta().x) } else { 0.0 };
    if response.has_focus() {
        ui.painter().rect_stroke(at, 2.0, ui.visuals().selection.stroke, egui::StrokeKind::Inside);
        let arrows = egui::EventFilter { horizontal_arrows: true, ..Default::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        by += ui.input(|input| {
            let pressed = |key| u32::try_from(input.num_presses(key)).map_or(0.0, f64::from);
            let step = match input.modifiers {
                held if held.shift => 1.0,
                held if held.command => 10.0 * f64::from(column),
                _ => f64::from(column),
            };
            step * (pressed(egui::Key::ArrowRight) - pressed(egui::Key::ArrowLeft))
        });
    }
    by + f64::from(column) * heard_steps(ui, &response)
}

/// The columns of a histogram; their heights go by the logarithm of the counts, so that what is rare shows beside the
/// black around a film.
fn columns(bins: &Bins, area: Rect, colour: Color32) -> egui::Mesh {
    // Pixels of a film are far fewer than 2^52.
    #[expect(clippy::cast_precision_loss, clippy::cast_possible_truncation, reason = "see above")]
    let height = |count: u64| (count as f64).ln_1p() as f32;
    let highest = bins.counts.iter().copied().max().map_or(1.0, height).max(1.0);
    let values = f32::from(bins.axis.end() - bins.axis.start()) + 1.0;
    let width = area.width() * f32::from(bins.step) / values;
    let mut mesh = egui::Mesh::default();
    let mut left = area.left();
    for count in &bins.counts {
        let right = (left + width).min(area.right());
        let top = area.bottom() - (area.height() - 14.0) * height(*count) / highest;
        mesh.add_colored_rect(Rect::from_min_max(pos2(left, top), pos2(right, area.bottom())), colour);
        left = right;
    }
    mesh
}

/// The brightness that each grey value is given, drawn upwards.
fn curve(painter: &egui::Painter, area: Rect, level: &impl Fn(f32) -> u8, colour: Color32) {
    let points: Vec<Pos2> = steps(area, 3.0)
        .map(|x| pos2(x, area.bottom() - f32::from(level(x)) / 255.0 * (area.height() - 14.0)))
        .collect();
    painter.add(egui::Shape::line(points, Stroke::new(1.0, colour.gamma_multiply(0.8))));
}

/// A bar of the greys on the screen under the grey values of the film.
fn bar(painter: &egui::Painter, area: Rect, level: &impl Fn(f32) -> u8) {
    let mut mesh = egui::Mesh::default();
    for x in steps(area, 3.0) {
        let part = Rect::from_min_max(pos2(x, area.top()), pos2((x + 3.0).min(area.right()), area.bottom()));
        mesh.add_colored_rect(part, Color32::from_gray(level(x)));
    }
    painter.add(mesh);
}

/// From left to right in steps of so many points.
fn steps(area: Rect, points: f32) -> impl Iterator<Item = f32> {
    std::iter::successors(Some(area.left()), move |x| Some(x + points)).take_while(move |x| *x < area.right())
}

/// An end of the window: a line with a grip at its foot.
fn edge(painter: &egui::Painter, area: Rect, x: f32, colour: Color32) {
    let x = x.clamp(area.left() + 1.0, area.right() - 1.0);
    painter.vline(x, area.y_range(), Stroke::new(1.5, colour));
    let foot = pos2(x, area.bottom());
    let grip = vec![foot + vec2(-5.0, 0.0), foot + vec2(0.0, -8.0), foot + vec2(5.0, 0.0)];
    painter.add(egui::Shape::convex_polygon(grip, colour, Stroke::NONE));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::FirstDisplay;

    #[test]
    fn the_histogram_goes_a_quarter_of_the_window_beyond_it() {
        let mut histogram = vec![0; 4096];
        // Nothing is left out of 100 pixels.
        histogram[1000] = 50;
        histogram[2000] = 50;
        let look = FirstLook::of(&FirstDisplay::plain(12, false), &histogram);
        let bins = Bins::of(&histogram, &look);
        assert_eq!((bins.axis.clone(), bins.step), (750..=2250, 6));
        // 1,501 values by sixes; 1000 is the 251st of them, 2000 the 1,251st.
        assert_eq!(bins.counts.len(), 251);
        let filled: Vec<usize> = (0..251).filter(|at| bins.counts[*at] > 0).collect();
        assert_eq!(filled, [41, 208]);
    }

    #[test]
    fn few_grey_values_have_a_bin_each() {
        let histogram = [3, 0, 0, 9];
        let bins = Bins::of(&histogram, &FirstLook::of(&FirstDisplay::plain(2, false), &histogram));
        assert_eq!(bins, Bins { axis: 0..=3, step: 1, counts: vec![3, 0, 0, 9] });
    }

    #[test]
    fn a_grip_moves_its_end_and_never_beyond_the_other() {
        let window = Window { low: 100.0, high: 200.0 };
        assert_eq!(Grip::Lower.moved(window, -30.0, 4095), Window { low: 70.0, high: 200.0 });
        assert_eq!(Grip::Lower.moved(window, 300.0, 4095), Window { low: 199.0, high: 200.0 });
        assert_eq!(Grip::Upper.moved(window, -300.0, 4095), Window { low: 100.0, high: 101.0 });
        assert_eq!(Grip::Whole.moved(window, 50.0, 4095), Window { low: 150.0, high: 250.0 });
        for grip in Grip::ALL {
            for by in [1e300, -1e300] {
                let moved = grip.moved(window, by, 4095);
                assert!(moved.width() >= 1.0 && moved.width() < 1e5, "{grip:?}: {moved:?}");
            }
        }
    }
}
