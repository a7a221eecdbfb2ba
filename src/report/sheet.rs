//! A sheet of words, as plans are written on: what stands on it is kept line by line, so that a terminal can wrap it to
//! 80 columns and a page can set it in type, both from the same words.

use super::Style;
use crate::case::Verdict;
use crate::plan::Amount;
use crate::quantity::COVERAGE_FACTOR;
use crate::wording::{decimals, unsigned_zero, wrapped};

/// Columns of a sheet on a terminal.
pub(super) const WIDTH: usize = 80;
/// Columns before the words of what was judged.
const JUDGED: usize = 20;

/// One thing on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Line {
    /// Words that are laid out already, or a gap where there are none.
    Plain(String),
    /// A heading, and a note beside it.
    Heading { words: String, note: String },
    /// Words after a lead.
    Paragraph { lead: String, words: String },
    /// A name with words beside it; without a name they go on from the entry before.
    Entry { name: String, words: String },
    /// A name with several things beside it.
    List { name: String, words: Vec<String> },
    /// What is said in passing.
    Aside { indent: usize, words: String },
    /// What was judged; without a verdict it is for information.
    Judged { verdict: Option<Verdict>, words: String },
    /// The title of an option, with its verdict where there is one.
    Title { verdict: Option<Verdict>, words: String },
}

#[derive(Debug, Default)]
pub(super) struct Sheet {
    lines: Vec<Line>,
}

impl Sheet {
    pub(super) fn line(&mut self, line: &str) {
        self.lines.push(Line::Plain(line.trim_end().to_owned()));
    }

    /// A heading with a gap above it, and a note beside it.
    pub(super) fn heading(&mut self, heading: &str, note: &str) {
        self.lines.push(Line::Heading { words: heading.to_owned(), note: note.to_owned() });
    }

    /// Words wrapped to the sheet, the first line after `lead`, the rest indented as far.
    pub(super) fn paragraph(&mut self, lead: &str, words: &str) {
        self.lines.push(Line::Paragraph { lead: lead.to_owned(), words: words.to_owned() });
    }

    /// A name in its column, with words beside it.
    pub(super) fn entry(&mut self, name: &str, words: &str) {
        self.lines.push(Line::Entry { name: name.to_owned(), words: words.to_owned() });
    }

    /// A name in its column, with several things beside it.
    pub(super) fn list(&mut self, name: &str, words: &[String]) {
        self.lines.push(Line::List { name: name.to_owned(), words: words.to_vec() });
    }

    pub(super) fn aside(&mut self, indent: usize, words: &str) {
        self.lines.push(Line::Aside { indent, words: words.to_owned() });
    }

    /// A verdict in its column, with what was judged beside it.
    pub(super) fn judged(&mut self, verdict: Option<Verdict>, words: &str) {
        self.lines.push(Line::Judged { verdict, words: words.to_owned() });
    }

    /// The title of an option.
    pub(super) fn title(&mut self, verdict: Option<Verdict>, words: &str) {
        self.lines.push(Line::Title { verdict, words: words.to_owned() });
    }

    /// All that stands on it.
    pub(super) fn into_lines(self) -> Vec<Line> {
        self.lines
    }

    /// As text, 80 columns wide.
    pub(super) fn text(&self, style: Style) -> String {
        let mut text = String::new();
        for line in &self.lines {
            for row in line.rows(style) {
                text.push_str(row.trim_end());
                text.push('\n');
            }
        }
        text
    }
}

impl Line {
    /// The rows it takes on a terminal.
    fn rows(&self, style: Style) -> Vec<String> {
        match self {
            Self::Plain(words) => vec![words.clone()],
            Self::Heading { words, note } => {
                let heading = style.heading(words);
                let heading =
                    if note.is_empty() { heading } else { format!("{heading}   {}", style.aside(note)) };
                vec![String::new(), heading]
            }
            Self::Paragraph { lead, words } => led(lead, words),
            Self::Entry { name, words } => led(&format!("  {name:<22}"), words),
            Self::List { name, words } => {
                let names = std::iter::once(name.as_str()).chain(std::iter::repeat(""));
                names.zip(words).flat_map(|(name, words)| led(&format!("  {name:<22}"), words)).collect()
            }
            Self::Aside { indent, words } => wrapped(words, WIDTH.saturating_sub(*indent))
                .iter()
                .map(|row| format!("{}{}", " ".repeat(*indent), style.aside(row)))
                .collect(),
            Self::Judged { verdict, words } => {
                let shape = style.verdict(*verdict);
                let rows = wrapped(words, WIDTH - JUDGED).into_iter().enumerate();
                rows.map(|(index, row)| {
                    let lead = if index == 0 { format!("  {shape} ") } else { " ".repeat(JUDGED) };
                    format!("{lead}{row}")
                })
                .collect()
            }
            Self::Title { verdict, words } => {
                let title = style.heading(words);
                vec![match verdict {
                    Some(verdict) => format!("  {} {title}", style.verdict(Some(*verdict))),
                    None => format!("  {:<17} {title}", ""),
                }]
            }
        }
    }
}

fn led(lead: &str, words: &str) -> Vec<String> {
    let indent = lead.chars().count();
    let rows = wrapped(words, WIDTH.saturating_sub(indent)).into_iter().enumerate();
    rows.map(|(index, row)| {
        let lead = if index == 0 { lead.to_owned() } else { " ".repeat(indent) };
        format!("{lead}{row}")
    })
    .collect()
}

/// A value with half its 95 % interval: `1.53 ± 0.64`.
pub(super) fn with_spread(amount: &Amount) -> String {
    let half = COVERAGE_FACTOR * amount.sd;
    if amount.sd == 0.0 {
        return number(amount.value);
    }
    let digits = decimals(half);
    unsigned_zero(format!("{:.digits$}", amount.value)) + &format!(" ± {half:.digits$}")
}

/// A length that carries no uncertainty of its own, to the hundredth of a mm.
pub(super) fn number(value: f64) -> String {
    unsigned_zero(format!("{value:.2}"))
}

/// A size as a person writes it: 0.9, 2, 2.5.
pub(super) fn size(value: f64) -> String {
    let text = format!("{value:.2}");
    unsigned_zero(text.trim_end_matches('0').trim_end_matches('.').to_owned())
}
