//! Findings as a picture: by measurement, how often intervals contain the truth, and how wide they are beside the errors.

use super::film::ScaleFrom;
use super::study::{Findings, names};
use super::tables::{AIM, width_ratio};
use std::fmt::Write as _;

const ROW: f64 = 22.0;
const TOP: f64 = 74.0;
const NAMES: f64 = 190.0;
const PANEL: f64 = 330.0;
const GAP: f64 = 70.0;
/// The three scales stand a little below one another, so that equal ones are seen.
const APART: f64 = 4.5;

/// Of the set of Okabe and Ito (2008), each with a shape of its own.
const COLOURS: [&str; 3] = ["#0072B2", "#D55E00", "#009E73"];

/// One panel: where it begins, and what its ends stand for.
struct Panel {
    left: f64,
    from: f64,
    to: f64,
}

impl Panel {
    fn x(&self, value: f64) -> f64 {
        let share = (value.clamp(self.from, self.to) - self.from) / (self.to - self.from);
        self.left + share * PANEL
    }

    fn axis(&self, svg: &mut String, title: &str, ticks: &[(f64, &str)], band: [f64; 2], bottom: f64) {
        let [low, high] = band.map(|end| self.x(end));
        let (middle, height) = (self.left + 0.5 * PANEL, bottom - TOP);
        writeln!(
            svg,
            r##"<rect x="{low:.1}" y="{TOP}" width="{:.1}" height="{height:.1}" fill="#E4EAF0"/>"##,
            high - low
        )
        .ok();
        writeln!(
            svg,
            r#"<text x="{middle:.1}" y="42" text-anchor="middle" font-weight="bold">{title}</text>"#
        )
        .ok();
        for (value, label) in ticks {
            let x = self.x(*value);
            writeln!(
                svg,
                r##"<line x1="{x:.1}" y1="{TOP}" x2="{x:.1}" y2="{bottom:.1}" stroke="#C8CDD2"/>"##
            )
            .ok();
            writeln!(svg, r#"<text x="{x:.1}" y="66" text-anchor="middle">{label}</text>"#).ok();
        }
    }
}

/// The picture; `title` says which films.
pub(crate) fn picture(title: &str, findings: &[Findings; 3]) -> String {
    let names = names();
    let rows = f64::from(u32::try_from(names.len()).unwrap_or(0));
    let bottom = TOP + ROW * rows;
    let (width, height) = (NAMES + 2.0 * PANEL + GAP + 24.0, bottom + 40.0);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" font-family=\"sans-serif\" font-size=\"12\" fill=\"#1B1F23\">\n\
         <title>{title}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#FFFFFF\"/>\n"
    );
    let coverage = Panel { left: NAMES, from: 0.85, to: 1.0 };
    let ratio = Panel { left: NAMES + PANEL + GAP, from: 0.6, to: 1.6 };
    let per_cent = [(0.85, "≤ 85"), (0.9, "90"), (0.93, "93"), (0.95, "95"), (0.97, "97"), (1.0, "100 %")];
    coverage.axis(&mut svg, "95 % intervals that contain the truth", &per_cent, AIM, bottom);
    let ratios = [(0.6, "≤ 0.6"), (0.8, "0.8"), (1.0, "1"), (1.2, "1.2"), (1.4, "1.4"), (1.6, "≥ 1.6")];
    ratio.axis(&mut svg, "half width / 1.96 rms error", &ratios, [0.9, 1.1], bottom);
    writeln!(svg, r#"<text x="12" y="20" font-weight="bold">{title}</text>"#).ok();
    for (row, (at, name)) in (0_u32..).zip(names.iter().enumerate()) {
        let y = TOP + ROW * (f64::from(row) + 0.5);
        writeln!(svg, r#"<text x="{:.1}" y="{:.1}" text-anchor="end">{name}</text>"#, NAMES - 10.0, y + 4.0)
            .ok();
        for (which, findings) in findings.iter().enumerate() {
            let tally = findings.of(at);
            let place = f64::from(u32::try_from(which).unwrap_or(0)) - 1.0;
            mark(&mut svg, which, coverage.x(tally.coverage()), y + APART * place);
            mark(&mut svg, which, ratio.x(width_ratio(&tally)), y + APART * place);
        }
    }
    let mut x = NAMES;
    for (which, scale) in ScaleFrom::ALL.iter().enumerate() {
        mark(&mut svg, which, x, bottom + 20.0);
        writeln!(svg, r#"<text x="{:.1}" y="{:.1}">{}</text>"#, x + 10.0, bottom + 24.0, scale.word()).ok();
        x += 110.0;
    }
    svg.push_str("</svg>\n");
    svg
}

/// A circle, a square, a triangle.
fn mark(svg: &mut String, which: usize, x: f64, y: f64) {
    let colour = COLOURS.get(which).copied().unwrap_or("#000000");
    let style = format!("fill=\"{colour}\" fill-opacity=\"0.8\"");
    match which {
        0 => writeln!(svg, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.5\" {style}/>"),
        1 => writeln!(
            svg,
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"6\" height=\"6\" {style}/>",
            x - 3.0,
            y - 3.0
        ),
        _ => writeln!(svg, "<path d=\"M{x:.1} {:.1} l4 7 h-8 z\" {style}/>", y - 4.0),
    }
    .ok();
}
