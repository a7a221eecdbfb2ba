//! A plot as SVG, black on white and sized in mm for a printed page.

use super::{Anchor, Ink, Plot, PlotMark};
use crate::report::SAFETY;
use crate::wording::wrapped;
use std::fmt::Write as _;

/// Letters of the foot, their lines and their left edge, tenths of a millimetre; as many letters of any sans serif as
/// surely fit beside one another.
const FOOT_SIZE: f64 = 22.0;
const FOOT_LINE: f64 = 30.0;
const FOOT_LEFT: f64 = 40.0;
const FOOT_LETTERS: usize = 110;

impl Ink {
    const fn on_paper(self) -> &'static str {
        match self {
            Self::Plain => "black",
            Self::Faint => "#555555",
            // Blue and vermilion of Okabe and Ito (2008).
            Self::Bias => "#0072B2",
            Self::Limit => "#D55E00",
        }
    }
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

impl Plot {
    /// As the text of an SVG, the safety text below it.
    pub fn svg(&self) -> String {
        // What a film is worth stands under the plot: a file goes where no page is around it.
        let foot = wrapped(SAFETY, FOOT_LETTERS);
        let mut baseline = Self::HEIGHT;
        let words: Vec<PlotMark> = foot
            .into_iter()
            .map(|words| {
                baseline += FOOT_LINE;
                let (at, anchor) = ([FOOT_LEFT, baseline], Anchor::Start);
                PlotMark::Words { at, anchor, size: FOOT_SIZE, upwards: false, words }
            })
            .collect();
        let (wide, high) = (Self::WIDTH, baseline + FOOT_LINE);
        let (width, height) = (wide / 10.0, high / 10.0);
        let mut svg = String::new();
        let _ = writeln!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {wide} {high}\" font-family=\"Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"{wide}\" height=\"{high}\" fill=\"white\"/>",
            escaped(&self.title)
        );
        for mark in self.marks.iter().chain(&words) {
            let _ = writeln!(svg, "{}", element(mark));
        }
        svg.push_str("</svg>\n");
        svg
    }
}

fn element(mark: &PlotMark) -> String {
    match mark {
        PlotMark::Line { ends: [x1, y1, x2, y2], ink, width, dashes } => {
            let dashes =
                dashes.map(|[dash, gap]| format!(" stroke-dasharray=\"{dash} {gap}\"")).unwrap_or_default();
            format!(
                "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"{}\" stroke-width=\"{width}\"{dashes}/>",
                ink.on_paper()
            )
        }
        PlotMark::Band { top, height, ink } => {
            let [left, right] = Plot::BAND;
            format!(
                "<rect x=\"{left}\" y=\"{top:.1}\" width=\"{}\" height=\"{height:.1}\" fill=\"{}\" fill-opacity=\"0.12\"/>",
                right - left,
                ink.on_paper()
            )
        }
        PlotMark::Rectangle { place: [left, top, width, height], ink } => format!(
            "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"none\" stroke=\"{}\" stroke-width=\"3.5\" stroke-dasharray=\"14 8\"/>",
            ink.on_paper()
        ),
        PlotMark::Dot { at: [x, y] } => format!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"8\" fill=\"none\" stroke=\"black\" stroke-width=\"2.5\"/>"
        ),
        PlotMark::Square { at: [x, y], ink } => format!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"14\" height=\"14\" fill=\"{}\"/>",
            x - 7.0,
            y - 7.0,
            ink.on_paper()
        ),
        PlotMark::Words { at: [x, y], anchor, size, upwards: false, words } => format!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{}\">{}</text>",
            anchor.word(),
            escaped(words)
        ),
        PlotMark::Words { at: [x, y], anchor, size, upwards: true, words } => format!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{}\" transform=\"rotate(-90 {x} {y})\">{}</text>",
            anchor.word(),
            escaped(words)
        ),
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
