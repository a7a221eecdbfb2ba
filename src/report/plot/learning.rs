//! A learning curve: how far a landmark lay off, time after time.

use super::{DASHES, Frame, Ink, Plot, PlotMark, Range};
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
