//! Plots, declared once as marks in tenths of a millimetre of a printed page, and painted by whoever shows them: as SVG
//! here, by a window there.

mod agreement;
mod learning;
mod svg;

pub use agreement::{
    PlotTitle, agreement_plots, bland_altman_plot, bland_altman_svg, pair_plot, places_plot, places_svg,
};
pub use learning::learning_plot;

use crate::agreement::Bounded;
use crate::wording::unsigned_zero;

/// Where the axes stand: left, top, right, bottom.
const LEFT: f64 = 170.0;
const TOP: f64 = 120.0;
const RIGHT: f64 = 1180.0;
const BOTTOM: f64 = 850.0;

/// A plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// What it is of, in words.
    pub title: String,
    /// What is read off it, in words: for whoever does not see it.
    pub says: String,
    /// Its marks, in the order in which they are painted.
    pub marks: Vec<PlotMark>,
}

/// A colour by what it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Axes, points and words.
    Plain,
    /// The level of zero.
    Faint,
    /// A bias; Okabe and Ito's blue on paper.
    Bias,
    /// Limits of agreement; their vermilion.
    Limit,
}

/// Which end of a line of words its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// One mark; lengths are tenths of a millimetre from the upper left corner, y downwards.
#[derive(Debug, Clone, PartialEq)]
pub enum PlotMark {
    /// A straight line.
    Line {
        /// Both ends: x, y, x, y.
        ends: [f64; 4],
        /// Its colour.
        ink: Ink,
        /// How thick it is.
        width: f64,
        /// Lengths of dash and gap; `None` where it is not broken.
        dashes: Option<[f64; 2]>,
    },
    /// A faint band over the whole width.
    Band {
        /// Its upper edge.
        top: f64,
        /// How high it is.
        height: f64,
        /// Its colour.
        ink: Ink,
    },
    /// A dashed rectangle.
    Rectangle {
        /// Left, top, width, height.
        place: [f64; 4],
        /// Its colour.
        ink: Ink,
    },
    /// An open circle.
    Dot {
        /// Its middle.
        at: [f64; 2],
    },
    /// A filled square.
    Square {
        /// Its middle.
        at: [f64; 2],
        /// Its colour.
        ink: Ink,
    },
    /// A line of words.
    Words {
        /// Where it stands.
        at: [f64; 2],
        /// Which end of it stands there.
        anchor: Anchor,
        /// Size of its letters.
        size: f64,
        /// Whether it is written upwards.
        upwards: bool,
        /// The words.
        words: String,
    },
}

impl Plot {
    /// Width.
    pub const WIDTH: f64 = 1500.0;
    /// Height.
    pub const HEIGHT: f64 = 1000.0;
    /// From where to where a band reaches.
    pub const BAND: [f64; 2] = [LEFT, RIGHT];

    fn new(title: &str) -> Self {
        Self { title: title.to_owned(), says: String::new(), marks: Vec::new() }
    }

    fn heading(&mut self, title: &str, below: &str) {
        self.words(LEFT, 50.0, Anchor::Start, 34.0, title);
        self.words(LEFT, 92.0, Anchor::Start, 26.0, below);
    }

    fn axes(&mut self, frame: &Frame, across: &str, up: &str) {
        self.line([LEFT, BOTTOM, RIGHT, BOTTOM], Ink::Plain, 2.5, None);
        self.line([LEFT, TOP, LEFT, BOTTOM], Ink::Plain, 2.5, None);
        let (ticks, digits) = frame.across.ticks();
        for tick in ticks {
            let x = frame.x(tick);
            self.line([x, BOTTOM, x, BOTTOM + 12.0], Ink::Plain, 2.5, None);
            self.words(x, BOTTOM + 42.0, Anchor::Middle, 26.0, &fixed(tick, digits));
        }
        let (ticks, digits) = frame.up.ticks();
        for tick in ticks {
            let y = frame.y(tick);
            self.line([LEFT - 12.0, y, LEFT, y], Ink::Plain, 2.5, None);
            self.words(LEFT - 20.0, y + 9.0, Anchor::End, 26.0, &fixed(tick, digits));
        }
        self.words(f64::midpoint(LEFT, RIGHT), BOTTOM + 100.0, Anchor::Middle, 28.0, across);
        self.marks.push(PlotMark::Words {
            at: [48.0, f64::midpoint(TOP, BOTTOM)],
            anchor: Anchor::Middle,
            size: 28.0,
            upwards: true,
            words: up.to_owned(),
        });
    }

    fn band(&mut self, frame: &Frame, of: impl Into<Bounded>, ink: Ink) {
        let [low, high] = of.into().interval;
        let (top, bottom) = (frame.y(high), frame.y(low));
        self.marks.push(PlotMark::Band { top, height: bottom - top, ink });
    }

    /// A level line over the whole width, with its label at the right.
    fn level(&mut self, frame: &Frame, value: f64, ink: Ink, dashes: Option<[f64; 2]>, label: Option<Label>) {
        let y = frame.y(value);
        self.line([LEFT, y, RIGHT, y], ink, 3.5, dashes);
        if let Some((name, value, at)) = label {
            if (at - y).abs() > 1.0 {
                self.line([RIGHT, y, RIGHT + 20.0, at - 6.0], ink, 2.0, None);
            }
            self.words(RIGHT + 24.0, at - 8.0, Anchor::Start, 26.0, &name);
            self.words(RIGHT + 24.0, at + 24.0, Anchor::Start, 26.0, &value);
        }
    }

    fn upright(&mut self, frame: &Frame, value: f64) {
        let x = frame.x(value);
        self.line([x, TOP, x, BOTTOM], Ink::Faint, 3.5, Some(DOTS));
    }

    fn line(&mut self, ends: [f64; 4], ink: Ink, width: f64, dashes: Option<[f64; 2]>) {
        self.marks.push(PlotMark::Line { ends, ink, width, dashes });
    }

    fn dot(&mut self, x: f64, y: f64) {
        self.marks.push(PlotMark::Dot { at: [x, y] });
    }

    fn words(&mut self, x: f64, y: f64, anchor: Anchor, size: f64, words: &str) {
        let words = words.to_owned();
        self.marks.push(PlotMark::Words { at: [x, y], anchor, size, upwards: false, words });
    }
}

/// Dots and dashes of lines.
const DOTS: [f64; 2] = [1.0, 6.0];
const DASHES: [f64; 2] = [14.0, 8.0];

/// A label: its name, its value, and the height it stands at.
type Label = (String, String, f64);

/// A number with so many digits, its minus as wide as a plus.
pub(super) fn fixed(value: f64, digits: usize) -> String {
    unsigned_zero(format!("{value:.digits$}")).replace('-', "\u{2212}")
}

/// The values an axis shows; `low` may lie above `high`.
#[derive(Debug, Clone, Copy)]
struct Range {
    low: f64,
    high: f64,
}

impl Range {
    /// Over all values and a margin at both ends.
    fn over(values: impl Iterator<Item = f64>, margin: f64) -> Self {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| {
            (f64::min(low, it), f64::max(high, it))
        });
        if !low.is_finite() || !high.is_finite() {
            return Self { low: 0.0, high: 1.0 };
        }
        let room = if high > low { margin * (high - low) } else { 0.5 };
        Self { low: low - room, high: high + room }
    }

    /// Round values within: steps of 1, 2 or 5 times a power of ten, at most nine of them.
    fn ticks(self) -> (Vec<f64>, usize) {
        let (low, high) = (self.low.min(self.high), self.low.max(self.high));
        let rough = (high - low) / 8.0;
        let mut power = -9;
        while 10.0_f64.powi(power + 1) <= rough && power < 9 {
            power += 1;
        }
        let unit = 10.0_f64.powi(power);
        let step = [1.0, 2.0, 5.0, 10.0].map(|it| it * unit).into_iter().find(|step| *step >= rough);
        let step = step.unwrap_or(10.0 * unit);
        let digits = if step >= 10.0 * unit { -power - 1 } else { -power };
        let first = (low / step).ceil();
        let ticks = (0_u8..20)
            .map(|index| (first + f64::from(index)) * step)
            .take_while(|it| *it <= high + 1e-9 * step);
        (ticks.collect(), usize::try_from(digits).unwrap_or(0))
    }
}

/// From values to the plot.
struct Frame {
    across: Range,
    up: Range,
}

impl Frame {
    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.across.low) / (self.across.high - self.across.low) * (RIGHT - LEFT)
    }

    fn y(&self, value: f64) -> f64 {
        BOTTOM - (value - self.up.low) / (self.up.high - self.up.low) * (BOTTOM - TOP)
    }
}
