//! Plots as SVG, black on white and sized in mm for a printed page: bias and limits of agreement of a measurement,
//! differences of a landmark's place beside the tooth, learning curves.

use crate::agreement::{BlandAltman, Bounded, Limit};
use crate::wording::{decimals, unsigned_zero};
use std::fmt::Write as _;

/// Width of a plot, mm; the coordinates of the drawing are tenths of a millimetre.
const WIDTH: f64 = 1500.0;
/// Height of a plot.
const HEIGHT: f64 = 1000.0;
/// Where the axes stand: left, top, right, bottom.
const LEFT: f64 = 170.0;
const TOP: f64 = 120.0;
const RIGHT: f64 = 1180.0;
const BOTTOM: f64 = 850.0;
/// Blue and vermilion of Okabe and Ito (2008).
const BLUE: &str = "#0072B2";
const VERMILION: &str = "#D55E00";

/// What stands beside a plot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlotTitle {
    /// What was compared, with its unit: "ferrule height, mesial".
    pub quantity: String,
    /// Its unit; empty for a ratio.
    pub unit: String,
    /// The first of the two compared.
    pub first: String,
    /// The second.
    pub second: String,
}

impl PlotTitle {
    fn with_unit(&self, words: &str) -> String {
        if self.unit.is_empty() { words.to_owned() } else { format!("{words} ({})", self.unit) }
    }
}

/// Differences over means with bias and limits of agreement, each with its 95 % interval as a band.
pub fn bland_altman_svg(title: &PlotTitle, of: &BlandAltman) -> String {
    let across = Range::over(of.points.iter().map(|[mean, _]| *mean), 0.06);
    let ends = [of.lower.limit.interval[0], of.upper.limit.interval[1], 0.0];
    let up = Range::over(of.points.iter().map(|[_, difference]| *difference).chain(ends), 0.06);
    let mut plot = Drawing::new(&format!("{}: {} and {}", title.quantity, title.first, title.second));
    let heading = format!("{}: {} and {}", title.quantity, title.first, title.second);
    plot.heading(&heading, &format!("n = {}; bands are 95 % intervals", of.n));
    let frame = Frame { across, up };
    plot.axes(
        &frame,
        &title.with_unit("mean of the two"),
        &title.with_unit(&format!("{} \u{2212} {}", title.first, title.second)),
    );
    let digits = decimals(of.sd).clamp(2, 3);
    plot.band(&frame, of.upper.limit, VERMILION);
    plot.band(&frame, of.lower.limit, VERMILION);
    plot.band(&frame, of.bias, BLUE);
    plot.level(&frame, 0.0, "#555555", "1 6", None);
    let label = |name: &str, value: f64| Some((name.to_owned(), fixed(value, digits)));
    let mut labels = Labels::default();
    for (value, colour, dashes, label) in [
        (of.upper.limit.value, VERMILION, "14 8", label("bias + 1.96 sd", of.upper.limit.value)),
        (of.bias.value, BLUE, "", label("bias", of.bias.value)),
        (of.lower.limit.value, VERMILION, "14 8", label("bias \u{2212} 1.96 sd", of.lower.limit.value)),
    ] {
        plot.level(&frame, value, colour, dashes, label.map(|label| labels.place(frame.y(value), label)));
    }
    for [mean, difference] in &of.points {
        plot.dot(frame.x(*mean), frame.y(*difference));
    }
    plot.finish()
}

/// Where the first of two placed a landmark, seen from the second: across the tooth to the right, along it downwards, in
/// one scale, with bias and limits of both components.
pub fn places_svg(title: &PlotTitle, along: &BlandAltman, across: &BlandAltman) -> String {
    let points: Vec<[f64; 2]> =
        across.points.iter().zip(&along.points).map(|([_, across], [_, along])| [*across, *along]).collect();
    let limits = |it: &BlandAltman| [it.lower.limit.value, it.upper.limit.value];
    let ends = limits(along).into_iter().chain(limits(across)).chain([0.0]);
    let reach =
        points.iter().flatten().copied().chain(ends).fold(0.0_f64, |most, it| most.max(it.abs())) * 1.1;
    let reach = if reach > 0.0 { reach } else { 1.0 };
    let half_width = reach * (RIGHT - LEFT) / (BOTTOM - TOP);
    let frame = Frame {
        across: Range { low: -half_width, high: half_width },
        // Apical is positive and points down, as on a film of a lower tooth.
        up: Range { low: reach, high: -reach },
    };
    let mut plot = Drawing::new(&format!("{}: {} and {}", title.quantity, title.first, title.second));
    plot.heading(
        &format!("{}: {} \u{2212} {}", title.quantity, title.first, title.second),
        &format!("n = {}; cross: bias with 95 % intervals; dashed: limits of agreement", along.n),
    );
    plot.axes(
        &frame,
        "across the tooth (mm): mesial \u{2190} \u{2192} distal",
        "along the tooth (mm): apical \u{2190} \u{2192} coronal",
    );
    plot.level(&frame, 0.0, "#555555", "1 6", None);
    plot.upright(&frame, 0.0);
    let ([left, right], [coronal, apical]) = (limits(across), limits(along));
    plot.rectangle(frame.x(left), frame.y(coronal), frame.x(right), frame.y(apical));
    for [across, along] in &points {
        plot.dot(frame.x(*across), frame.y(*along));
    }
    let (x, y) = (frame.x(across.bias.value), frame.y(along.bias.value));
    let [x_low, x_high] = across.bias.interval.map(|end| frame.x(end));
    let [y_low, y_high] = along.bias.interval.map(|end| frame.y(end));
    plot.line([x_low, y, x_high, y], BLUE, 5.0, "");
    plot.line([x, y_low, x, y_high], BLUE, 5.0, "");
    let digits = |it: &BlandAltman| decimals(it.sd).clamp(2, 3);
    let side = [
        ("along: bias", along.bias.value, digits(along)),
        ("along: sd", along.sd, digits(along)),
        ("across: bias", across.bias.value, digits(across)),
        ("across: sd", across.sd, digits(across)),
    ];
    for (row, (name, value, digits)) in (0_u8..).zip(side) {
        let y = TOP + 20.0 + 80.0 * f64::from(row);
        plot.text(RIGHT + 24.0, y, Anchor::Start, 26.0, name);
        plot.text(RIGHT + 24.0, y + 30.0, Anchor::Start, 26.0, &format!("{} mm", fixed(value, digits)));
    }
    plot.finish()
}

fn fixed(value: f64, digits: usize) -> String {
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

/// From values to the drawing.
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

#[derive(Clone, Copy)]
enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    const fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// Labels at the right edge, kept apart.
#[derive(Default)]
struct Labels {
    last: Option<f64>,
}

/// A label: its name, its value, and the height it stands at.
type Label = (String, String, f64);

impl Labels {
    /// The next label down the page, as near to `y` as the last one leaves room.
    fn place(&mut self, y: f64, (name, value): (String, String)) -> Label {
        let y = self.last.map_or(y, |last| y.max(last + 66.0));
        self.last = Some(y);
        (name, value, y)
    }
}

struct Drawing {
    svg: String,
}

impl Drawing {
    fn new(title: &str) -> Self {
        let mut svg = String::new();
        let (width, height) = (WIDTH / 10.0, HEIGHT / 10.0);
        let _ = writeln!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" font-family=\"Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"white\"/>",
            escaped(title)
        );
        Self { svg }
    }

    fn heading(&mut self, title: &str, below: &str) {
        self.text(LEFT, 50.0, Anchor::Start, 34.0, title);
        self.text(LEFT, 92.0, Anchor::Start, 26.0, below);
    }

    fn axes(&mut self, frame: &Frame, across: &str, up: &str) {
        self.line([LEFT, BOTTOM, RIGHT, BOTTOM], "black", 2.5, "");
        self.line([LEFT, TOP, LEFT, BOTTOM], "black", 2.5, "");
        let (ticks, digits) = frame.across.ticks();
        for tick in ticks {
            let x = frame.x(tick);
            self.line([x, BOTTOM, x, BOTTOM + 12.0], "black", 2.5, "");
            self.text(x, BOTTOM + 42.0, Anchor::Middle, 26.0, &fixed(tick, digits));
        }
        let (ticks, digits) = frame.up.ticks();
        for tick in ticks {
            let y = frame.y(tick);
            self.line([LEFT - 12.0, y, LEFT, y], "black", 2.5, "");
            self.text(LEFT - 20.0, y + 9.0, Anchor::End, 26.0, &fixed(tick, digits));
        }
        self.text(f64::midpoint(LEFT, RIGHT), BOTTOM + 100.0, Anchor::Middle, 28.0, across);
        let (x, y) = (48.0, f64::midpoint(TOP, BOTTOM));
        let _ = writeln!(
            self.svg,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"28\" text-anchor=\"middle\" transform=\"rotate(-90 {x} {y})\">{}</text>",
            escaped(up)
        );
    }

    fn band(&mut self, frame: &Frame, of: impl Into<Bounded>, colour: &str) {
        let [low, high] = of.into().interval;
        let (top, bottom) = (frame.y(high), frame.y(low));
        let (width, height) = (RIGHT - LEFT, bottom - top);
        let _ = writeln!(
            self.svg,
            "<rect x=\"{LEFT}\" y=\"{top:.1}\" width=\"{width}\" height=\"{height:.1}\" fill=\"{colour}\" fill-opacity=\"0.12\"/>"
        );
    }

    /// A level line over the whole width, with its label at the right.
    fn level(&mut self, frame: &Frame, value: f64, colour: &str, dashes: &str, label: Option<Label>) {
        let y = frame.y(value);
        self.line([LEFT, y, RIGHT, y], colour, 3.5, dashes);
        if let Some((name, value, at)) = label {
            if (at - y).abs() > 1.0 {
                self.line([RIGHT, y, RIGHT + 20.0, at - 6.0], colour, 2.0, "");
            }
            self.text(RIGHT + 24.0, at - 8.0, Anchor::Start, 26.0, &name);
            self.text(RIGHT + 24.0, at + 24.0, Anchor::Start, 26.0, &value);
        }
    }

    fn upright(&mut self, frame: &Frame, value: f64) {
        let x = frame.x(value);
        self.line([x, TOP, x, BOTTOM], "#555555", 3.5, "1 6");
    }

    fn rectangle(&mut self, left: f64, top: f64, right: f64, bottom: f64) {
        let (width, height) = ((right - left).abs(), (bottom - top).abs());
        let (left, top) = (left.min(right), top.min(bottom));
        let _ = writeln!(
            self.svg,
            "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"none\" stroke=\"{VERMILION}\" stroke-width=\"3.5\" stroke-dasharray=\"14 8\"/>"
        );
    }

    fn line(&mut self, [x1, y1, x2, y2]: [f64; 4], colour: &str, width: f64, dashes: &str) {
        let dashes =
            if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dashes}\"") };
        let _ = writeln!(
            self.svg,
            "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"{colour}\" stroke-width=\"{width}\"{dashes}/>"
        );
    }

    fn dot(&mut self, x: f64, y: f64) {
        let _ = writeln!(
            self.svg,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"8\" fill=\"none\" stroke=\"black\" stroke-width=\"2.5\"/>"
        );
    }

    fn text(&mut self, x: f64, y: f64, anchor: Anchor, size: f64, words: &str) {
        let _ = writeln!(
            self.svg,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{}\">{}</text>",
            anchor.word(),
            escaped(words)
        );
    }

    fn finish(mut self) -> String {
        self.svg.push_str("</svg>\n");
        self.svg
    }
}

impl From<Limit> for Bounded {
    fn from(limit: Limit) -> Self {
        limit.limit
    }
}

/// Text as XML holds it; control characters have no place in it.
fn escaped(text: &str) -> String {
    text.chars()
        .filter(|character| !character.is_control())
        .map(|character| match character {
            '&' => "&amp;".to_owned(),
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '"' => "&quot;".to_owned(),
            other => other.to_string(),
        })
        .collect()
}
