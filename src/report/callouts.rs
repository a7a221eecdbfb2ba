//! Names beside a drawing: each on the nearer side, none over another, a thin line to what it names.

use super::drawing::{Colour, Face, Mark, Path, Spot, Stroke, Text, width_of};
use crate::quantity::Millimetres;

/// From baseline to baseline, in ems.
const LEADING: f64 = 1.22;

/// A name and what it names.
pub(super) struct Label {
    anchor: Spot,
    /// Its parts, which stand on one line where there is room.
    parts: Vec<String>,
    /// Whether it tells a value.
    is_measured: bool,
}

impl Label {
    pub(super) const fn new(anchor: Spot, parts: Vec<String>, is_measured: bool) -> Self {
        Self { anchor, parts, is_measured }
    }

    const fn face(&self) -> Face {
        if self.is_measured { Face::Bold } else { Face::Regular }
    }

    /// Its lines in a column so wide.
    fn lines(&self, size: f64, width: f64) -> Vec<String> {
        let wide = |words: &str| width_of(words, self.face(), Millimetres(size)).get();
        let whole = self.parts.join(" ");
        if wide(&whole) <= width {
            return vec![whole];
        }
        let mut lines: Vec<String> = Vec::new();
        for part in &self.parts {
            let mut line = String::new();
            for word in part.split(' ') {
                let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
                if wide(&longer) > width && !line.is_empty() {
                    lines.push(std::mem::replace(&mut line, word.to_owned()));
                } else {
                    line = longer;
                }
            }
            lines.push(line);
        }
        lines
    }
}

/// The two columns beside a drawing.
pub(super) struct Sides<'s> {
    /// Sizes of letters that are tried, mm.
    pub(super) sizes: &'s [f64],
    pub(super) top: f64,
    pub(super) bottom: f64,
    /// The drawing's left and right edge.
    pub(super) edges: [f64; 2],
    /// The columns' outer edges.
    pub(super) outer: [f64; 2],
    /// From the drawing to the names.
    pub(super) beside: f64,
}

/// A name with its lines and its place.
struct Placed {
    label: Label,
    lines: Vec<String>,
    y: f64,
    height: f64,
}

impl Sides<'_> {
    /// Leaders and names, and how many landmarks had to stay without one.
    pub(super) fn placed(&self, mut labels: Vec<Label>) -> (Vec<Mark>, Vec<Mark>, usize) {
        labels.sort_by(|one, other| one.anchor.x.total_cmp(&other.anchor.x));
        let right = labels.split_off(self.count_on_left(&labels));
        let (mut leaders, mut words, mut unnamed) = (Vec::new(), Vec::new(), 0);
        for (side, labels) in [labels, right].into_iter().enumerate() {
            unnamed += self.column(side, labels, &mut leaders, &mut words);
        }
        (leaders, words, unnamed)
    }

    /// How many of the labels, sorted from left to right, stand on the left: half, so that both columns have room; or
    /// those that lie there, where that is half but for one, so that no leader crosses the drawing for nothing.
    fn count_on_left(&self, labels: &[Label]) -> usize {
        let (half, middle) = (labels.len().div_ceil(2), f64::midpoint(self.edges[0], self.edges[1]));
        let least = labels.partition_point(|label| label.anchor.x < middle - 1e-9);
        let most = labels.partition_point(|label| label.anchor.x <= middle + 1e-9);
        let near = half.clamp(least, most);
        if near.abs_diff(half) <= 1 { near } else { half }
    }

    fn column(
        &self,
        side: usize,
        mut labels: Vec<Label>,
        leaders: &mut Vec<Mark>,
        words: &mut Vec<Mark>,
    ) -> usize {
        let is_left = side == 0;
        let edge = if is_left { self.edges[0] } else { self.edges[1] };
        let outer = if is_left { self.outer[0] } else { self.outer[1] };
        let width = (edge - outer).abs() - self.beside;
        labels.sort_by(|one, other| one.anchor.y.total_cmp(&other.anchor.y));
        let mut unnamed = 0;
        let (size, mut placed) = loop {
            let room = self.bottom - self.top;
            let fitting = self
                .sizes
                .iter()
                .map(|size| (*size, Self::set(&labels, *size, width)))
                .find(|(_, set)| set.iter().map(|(_, height)| height).sum::<f64>() <= room);
            if let Some((size, set)) = fitting {
                let with = labels.into_iter().zip(set);
                let placed = with.map(|(label, (lines, height))| {
                    let y = label.anchor.y - height / 2.0;
                    Placed { label, lines, y, height }
                });
                break (size, placed.collect::<Vec<_>>());
            }
            // A landmark is told by its place; a value must be read.
            let Some(least) =
                labels.iter().rposition(|label| !label.is_measured).or(labels.len().checked_sub(1))
            else {
                return unnamed;
            };
            labels.remove(least);
            unnamed += 1;
        };
        self.spread(&mut placed);
        for it in &placed {
            self.draw(it, is_left, edge, size, leaders, words);
        }
        unnamed
    }

    #[expect(clippy::cast_precision_loss, reason = "a name has few lines")]
    fn set(labels: &[Label], size: f64, width: f64) -> Vec<(Vec<String>, f64)> {
        labels
            .iter()
            .map(|label| {
                let lines = label.lines(size, width);
                let height = (lines.len() as f64 * LEADING + 0.25) * size;
                (lines, height)
            })
            .collect()
    }

    /// Moves names apart, and into the column.
    fn spread(&self, placed: &mut [Placed]) {
        let mut least = self.top;
        for it in placed.iter_mut() {
            it.y = it.y.max(least);
            least = it.y + it.height;
        }
        let mut most = self.bottom;
        for it in placed.iter_mut().rev() {
            it.y = it.y.min(most - it.height);
            most = it.y;
        }
    }

    fn draw(
        &self,
        it: &Placed,
        is_left: bool,
        edge: f64,
        size: f64,
        leaders: &mut Vec<Mark>,
        words: &mut Vec<Mark>,
    ) {
        let near = if is_left { edge - self.beside } else { edge + self.beside };
        let end = Spot::new(if is_left { near + 0.6 } else { near - 0.6 }, it.y + it.height / 2.0);
        let anchor = it.label.anchor;
        let part = (edge - anchor.x) / (end.x - anchor.x);
        let part = if part.is_finite() { part.clamp(0.0, 1.0) } else { 0.0 };
        let at_edge = Spot::new(anchor.x + part * (end.x - anchor.x), anchor.y + part * (end.y - anchor.y));
        let colour = if it.label.is_measured { Colour::SKY } else { Colour::WHITE };
        leaders.push(Mark::Path(Path::line(&[anchor, at_edge], Stroke::solid(Colour::BLACK, 0.16))));
        leaders.push(Mark::Path(Path::line(&[anchor, at_edge], Stroke::solid(colour, 0.07))));
        leaders.push(Mark::Path(Path::line(&[at_edge, end], Stroke::solid(Colour::grey(110), 0.12))));
        let face = it.label.face();
        let mut baseline = it.y + 0.125 * size + 0.95 * size;
        for (index, line) in it.lines.iter().enumerate() {
            let size = Millimetres(size);
            let x = if is_left { near - width_of(line, face, size).get() } else { near };
            let gap = if index + 1 < it.lines.len() { " " } else { "  " };
            let text = format!("{line}{gap}");
            words.push(Mark::Text(Text {
                at: Spot::new(x, baseline),
                words: text,
                face,
                size,
                colour: Colour::BLACK,
            }));
            baseline += LEADING * size.get();
        }
    }
}
