//! Words set in type: pieces of a page that are as high as they are, for [`flow`](super::flow) to place.

use crate::case::Verdict;
use crate::quantity::Millimetres;
use crate::report::drawing::letters::printable;
use crate::report::drawing::{Block, Colour, Face, Mark, Names, Path, Role, Spot, Stroke, Text, width_of};
use crate::report::words::verdict_words;

/// A part of a page with its upper left corner at the origin.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// How high it is, mm.
    pub(super) height: f64,
    /// How much of that stands empty above it, mm: at the top of a column there is nothing to keep away from.
    pub(super) above: f64,
    /// Whether it must stand above the piece after it.
    pub(super) keeps_with_next: bool,
    pub(super) blocks: Vec<Block>,
}

/// Words in one face and colour.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub(super) words: String,
    face: Face,
    colour: Colour,
}

/// How light what is said in passing is: 7 to 1 on white, as WCAG 2.2 wants for its higher level.
const ASIDE: Colour = Colour::grey(84);
/// Lines between rows.
const RULE: Colour = Colour::grey(170);
/// From baseline to baseline, in ems.
const LEADING: f64 = 1.27;
/// From the upper edge of a line to its baseline, in ems.
const ASCENT: f64 = 0.96;

impl Run {
    pub(super) fn plain(words: impl Into<String>) -> Self {
        Self { words: words.into(), face: Face::Regular, colour: Colour::BLACK }
    }

    pub(super) fn bold(words: impl Into<String>) -> Self {
        Self { words: words.into(), face: Face::Bold, colour: Colour::BLACK }
    }

    pub(super) fn aside(words: impl Into<String>) -> Self {
        Self { words: words.into(), face: Face::Regular, colour: ASIDE }
    }
}

/// A column of a table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// Its share of the width.
    pub(super) share: f64,
    /// Whether its words end at its right edge, as numbers do.
    pub(super) is_right: bool,
}

/// The shape and the word of a verdict, the shape coloured: the colour adds nothing that word and shape do not say. Each
/// stands out from white by 4.5 to 1 (WCAG 2.2, 1.4.3); vermilion and orange of the usual set are darkened to it.
pub(super) fn verdict_runs(verdict: Option<Verdict>) -> [Run; 2] {
    let (shape, word) = verdict_words(verdict);
    let colour = match verdict {
        Some(Verdict::Meets) => Colour::BLUE,
        Some(Verdict::FallsShort) => Colour { red: 176, green: 66, blue: 0 },
        Some(Verdict::Undecided) => Colour { red: 140, green: 92, blue: 0 },
        Some(Verdict::DoesNotApply) | None => ASIDE,
    };
    [Run { words: shape.to_owned(), face: Face::Bold, colour }, Run::bold(word)]
}

/// Sets words.
#[derive(Debug)]
pub(super) struct Setter {
    /// The size of an em, mm.
    pub(super) em: f64,
    tables: usize,
    /// Whether letters had to be written as their numbers.
    pub(super) has_numbered: bool,
}

/// Words that stand on one line, each run from its place on.
type Line = Vec<(f64, Run)>;

impl Setter {
    pub(super) const fn new(em: f64) -> Self {
        Self { em, tables: 0, has_numbered: false }
    }

    /// The next table or list.
    pub(super) const fn next(&mut self) -> usize {
        self.tables += 1;
        self.tables
    }

    /// Breaks runs into lines no wider than `width`; a word wider than that is broken where it has to be.
    fn lines(&mut self, runs: &[Run], width: f64, em: f64) -> Vec<Line> {
        let mut lines: Vec<Line> = vec![Vec::new()];
        let mut x = 0.0;
        for run in runs {
            let (words, numbered) = printable(&run.words);
            self.has_numbered |= numbered;
            let wide = |words: &str| width_of(words, run.face, Millimetres(em)).get();
            let blank = wide(" ");
            for word in words.split(' ').filter(|word| !word.is_empty()) {
                for part in broken(word, width, &wide) {
                    let gap = if x > 0.0 { blank } else { 0.0 };
                    let extent = wide(part);
                    if x > 0.0 && x + gap + extent > width {
                        lines.push(Vec::new());
                        x = 0.0;
                    }
                    let Some(line) = lines.last_mut() else { continue };
                    match line.last_mut() {
                        Some((_, last)) if last.face == run.face && last.colour == run.colour => {
                            last.words.push(' ');
                            last.words.push_str(part);
                        }
                        Some((_, last)) => {
                            last.words.push(' ');
                            line.push((x + gap, Run { words: part.to_owned(), ..run.clone() }));
                        }
                        None => line.push((0.0, Run { words: part.to_owned(), ..run.clone() })),
                    }
                    // Once lines are broken it is a blank like any other, to be found and copied as one.
                    if let Some((_, last)) = line.last_mut() {
                        last.words = last.words.replace('\u{a0}', " ");
                    }
                    x += if x > 0.0 { gap + extent } else { extent };
                }
            }
        }
        // Words at the end of a line are parted from those of the next by a blank, for whoever reads them as one.
        let last = lines.len() - 1;
        for line in lines.iter_mut().take(last) {
            if let Some((_, run)) = line.last_mut() {
                run.words.push(' ');
            }
        }
        lines
    }

    fn marks(lines: &[Line], em: f64, x: f64, top: f64) -> Vec<Mark> {
        let mut marks = Vec::new();
        let mut baseline = top + ASCENT * em;
        for line in lines {
            for (at, run) in line {
                let Run { words, face, colour } = run.clone();
                let at = Spot::new(x + at, baseline);
                marks.push(Mark::Text(Text { at, words, face, size: Millimetres(em), colour }));
            }
            baseline += LEADING * em;
        }
        marks
    }

    #[expect(clippy::cast_precision_loss, reason = "a page has few lines")]
    fn height(lines: &[Line], em: f64) -> f64 {
        lines.len() as f64 * LEADING * em
    }

    /// Runs as one piece, indented, the first line by `first`.
    fn piece(&mut self, role: Role, runs: &[Run], width: f64, indent: f64, em: f64) -> Piece {
        let lines = self.lines(runs, width - indent, em);
        let height = Self::height(&lines, em);
        Piece {
            height,
            above: 0.0,
            keeps_with_next: false,
            blocks: vec![Block { role, marks: Self::marks(&lines, em, indent, 0.0) }],
        }
    }

    pub(super) fn title(&mut self, words: &str, width: f64) -> Piece {
        let mut piece = self.piece(Role::Heading(1), &[Run::bold(words)], width, 0.0, 1.75 * self.em);
        piece.keeps_with_next = true;
        piece
    }

    /// A heading over a rule.
    pub(super) fn heading(&mut self, words: &str, note: &str, width: f64) -> Piece {
        let em = 1.12 * self.em;
        let mut piece = self.piece(Role::Heading(2), &[Run::bold(words)], width, 0.0, em);
        let above = 0.75 * self.em;
        piece.blocks = piece.blocks.into_iter().map(|block| block.moved(super::down(above))).collect();
        piece.height += above;
        piece.above = above;
        let rule = Stroke::solid(Colour::BLACK, 0.2);
        let line =
            Path::line(&[Spot::new(0.0, piece.height + 0.1), Spot::new(width, piece.height + 0.1)], rule);
        piece.blocks.push(Block { role: Role::Decoration, marks: vec![Mark::Path(line)] });
        piece.height += 0.6;
        if !note.is_empty() {
            let note = self.piece(Role::Paragraph, &[Run::aside(note)], width, 0.0, 0.92 * self.em);
            piece.put(note);
        }
        piece.keeps_with_next = true;
        piece
    }

    /// A heading below a heading.
    pub(super) fn subheading(&mut self, words: &str, width: f64) -> Piece {
        self.subheading_of(&[Run::bold(words)], width)
    }

    /// The same of words in several faces and colours.
    pub(super) fn subheading_of(&mut self, runs: &[Run], width: f64) -> Piece {
        let mut piece = self.piece(Role::Heading(3), runs, width, 0.0, self.em);
        let above = 0.45 * self.em;
        piece.blocks = piece.blocks.into_iter().map(|block| block.moved(super::down(above))).collect();
        piece.height += above;
        piece.above = above;
        piece.keeps_with_next = true;
        piece
    }

    pub(super) fn paragraph(&mut self, runs: &[Run], width: f64) -> Piece {
        self.piece(Role::Paragraph, runs, width, 0.0, self.em)
    }

    pub(super) fn small(&mut self, runs: &[Run], width: f64) -> Piece {
        self.piece(Role::Paragraph, runs, width, 0.0, 0.88 * self.em)
    }

    /// An entry of a list: a sign, and words that hang beside it.
    pub(super) fn entry(
        &mut self,
        list: usize,
        sign: &[Run],
        runs: &[Run],
        indent: f64,
        width: f64,
    ) -> Piece {
        let em = self.em;
        let mut piece = self.piece(Role::Entry { list }, runs, width, indent, em);
        let sign = self.lines(sign, indent.max(1.0), em);
        let mut marks = Self::marks(&sign, em, 0.0, 0.0);
        if let Some(Mark::Text(last)) = marks.last_mut() {
            last.words.push(' ');
        }
        piece.height = piece.height.max(Self::height(&sign, em));
        if let Some(block) = piece.blocks.first_mut() {
            marks.append(&mut block.marks);
            block.marks = marks;
        }
        piece
    }

    /// A row of a table: a block for each cell, a rule below.
    pub(super) fn row(
        &mut self,
        (table, row): (usize, usize),
        columns: &[Column],
        cells: &[Vec<Run>],
        names: Option<Names>,
        width: f64,
    ) -> Piece {
        let gap = 0.7 * self.em;
        let total: f64 = columns.iter().map(|column| column.share).sum();
        let mut x = 0.0;
        let mut set = Vec::new();
        for (index, (column, runs)) in columns.iter().zip(cells).enumerate() {
            let wide = width * column.share / total;
            let lines = self.lines(runs, (wide - gap).max(1.0), self.em);
            let names = match names {
                Some(Names::Row) => (index == 0).then_some(Names::Row),
                other => other,
            };
            set.push((x, wide - gap, lines, column.is_right, names));
            x += wide;
        }
        let height = set.iter().map(|(_, _, lines, ..)| Self::height(lines, self.em)).fold(0.0, f64::max);
        let mut blocks = Vec::new();
        for (x, wide, lines, is_right, names) in set {
            let mut marks = Vec::new();
            let mut top = 0.0;
            for line in &lines {
                let extent = line.last().map_or(0.0, |(at, run)| {
                    at + width_of(run.words.trim_end(), run.face, Millimetres(self.em)).get()
                });
                let x = if is_right { x + wide - extent } else { x };
                marks.extend(Self::marks(std::slice::from_ref(line), self.em, x, top));
                top += LEADING * self.em;
            }
            // An empty cell has nothing to be read, and still is one.
            if marks.is_empty() {
                let at = Spot::new(x, ASCENT * self.em);
                let (words, face) = (" ".to_owned(), Face::Regular);
                marks.push(Mark::Text(Text {
                    at,
                    words,
                    face,
                    size: Millimetres(self.em),
                    colour: Colour::BLACK,
                }));
            }
            blocks.push(Block { role: Role::Cell { table, row, names }, marks });
        }
        let rule = Path::line(&[Spot::new(0.0, height), Spot::new(width, height)], Stroke::solid(RULE, 0.1));
        blocks.push(Block { role: Role::Decoration, marks: vec![Mark::Path(rule)] });
        Piece { height: height + 0.25, above: 0.0, keeps_with_next: names == Some(Names::Column), blocks }
    }

    pub(super) fn gap(&self, ems: f64) -> Piece {
        let height = ems * self.em;
        Piece { height, above: height, keeps_with_next: false, blocks: Vec::new() }
    }
}

/// Keeps pieces on one page and in one column: a small table is not read across a break.
pub(super) fn together(pieces: &mut [Piece]) {
    if let [all @ .., _] = pieces {
        for piece in all {
            piece.keeps_with_next = true;
        }
    }
}

impl Piece {
    /// Puts another piece below.
    pub(super) fn put(&mut self, other: Self) {
        let way = super::down(self.height);
        self.blocks.extend(other.blocks.into_iter().map(|block| block.moved(way)));
        self.height += other.height;
    }
}

/// A word in parts no wider than `width`.
fn broken<'w>(word: &'w str, width: f64, wide: &dyn Fn(&str) -> f64) -> Vec<&'w str> {
    if wide(word) <= width {
        return vec![word];
    }
    let mut parts = Vec::new();
    let mut rest = word;
    while !rest.is_empty() {
        // At least one letter, so that it ends.
        let fits = rest.char_indices().map(|(at, letter)| at + letter.len_utf8());
        let end = fits
            .take_while(|end| rest.get(..*end).is_some_and(|part| wide(part) <= width))
            .last()
            .unwrap_or_else(|| rest.chars().next().map_or(rest.len(), char::len_utf8));
        let (part, others) = rest.split_at(end);
        parts.push(part);
        rest = others;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_not_break_does_not() {
        let mut setter = Setter::new(2.0);
        let room = width_of("tooth moving 1 wee", Face::Regular, Millimetres(2.0)).get();
        let mut set = |words: &str| -> Vec<String> {
            let lines = setter.lines(&[Run::plain(words)], room, 2.0);
            lines.iter().flatten().map(|(_, run)| run.words.trim_end().to_owned()).collect()
        };
        assert_eq!(set("tooth moving 1 week"), ["tooth moving 1", "week"]);
        assert_eq!(set("tooth moving\u{a0}1\u{a0}week"), ["tooth", "moving 1 week"]);
    }
}
