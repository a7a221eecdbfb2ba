//! A learning curve: how far a landmark lay off, time after time.

use super::{DASHES, Frame, Ink, Plot, PlotMark, Range, fixed};
use crate::agreement::Quantity;
use crate::practice::{LearningCurve, RECENT};

/// Each time a landmark was placed as a circle, and the root mean square of the latest [`RECENT`] as a line of squares;
/// `None` where it was never placed.
pub fn learning_plot(curve: &LearningCurve) -> Option<Plot> {
    let placed: Vec<[f64; 2]> =
        curve.points.iter().filter_map(|point| Some([point.distance_mm?, point.recent_rms_mm?])).collect();
    // A student places a landmark some thousand times, no more.
    #[expect(clippy::cast_precision_loss, reason = "see above")]
    let count = placed.len() as f64;
    let most = placed.iter().flatten().copied().fold(0.0_f64, f64::max);
    if placed.is_empty() {
        return None;
    }
    let frame = Frame {
        across: Range { low: 0.0, high: count + 1.0 },
        up: Range { low: 0.0, high: if most > 0.0 { 1.1 * most } else { 1.0 } },
    };
    let name = Quantity::words_of(&curve.landmark);
    let mut plot = Plot::new(&format!("{name}: learning curve"));
    plot.heading(
        &format!(
            "{name}: placed {}",
            if placed.len() == 1 { "once".to_owned() } else { format!("{count} times") }
        ),
        &format!("circles: each error; squares: root mean square of the latest {RECENT}"),
    );
    plot.axes(&frame, "times placed", "straight error (mm)");
    plot.says = says(&placed);
    let mut before: Option<[f64; 2]> = None;
    let mut number = 0.0;
    for [error, recent] in placed {
        number += 1.0;
        let x = frame.x(number);
        let at = [x, frame.y(recent)];
        plot.dot(x, frame.y(error));
        if let Some([from_x, from_y]) = before {
            plot.line([from_x, from_y, x, frame.y(recent)], Ink::Bias, 3.5, Some(DASHES));
        }
        plot.marks.push(PlotMark::Square { at, ink: Ink::Bias });
        before = Some(at);
    }
    Some(plot)
}

/// The errors of the first and the latest times, and where the root mean square began, stands, and was least and largest. Each is a
/// pair of an error and that root mean square.
fn says(placed: &[[f64; 2]]) -> String {
    let list = |placed: &[[f64; 2]]| {
        let errors: Vec<String> = placed.iter().map(|[error, _]| fixed(*error, 2)).collect();
        errors.join(", ")
    };
    if placed.len() <= 2 * RECENT {
        return format!("errors one after the other, mm: {}{}", list(placed), trend(placed));
    }
    let first = placed.get(..RECENT).unwrap_or_default();
    let latest = placed.get(placed.len() - RECENT..).unwrap_or_default();
    format!("the first {RECENT} errors, mm: {}; the latest: {}{}", list(first), list(latest), trend(placed))
}

/// Where the root mean square began, stands, and was least and largest; nothing of one time alone.
fn trend(placed: &[[f64; 2]]) -> String {
    let recent = || placed.iter().map(|[_, recent]| *recent);
    match (placed.first(), placed.last()) {
        (Some([_, first]), Some([_, last])) if placed.len() > 1 => format!(
            "; root mean square of the latest {RECENT}: from {} to {} mm, least {}, largest {}",
            fixed(*first, 2),
            fixed(*last, 2),
            fixed(recent().fold(f64::INFINITY, f64::min), 2),
            fixed(recent().fold(0.0, f64::max), 2)
        ),
        _ => String::new(),
    }
}
