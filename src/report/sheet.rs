//! A sheet of text 80 columns wide, as plans are printed on.

use super::Style;
use crate::plan::Amount;
use crate::quantity::COVERAGE_FACTOR;
use crate::wording::{decimals, unsigned_zero, wrapped};

/// Columns of a sheet.
pub(super) const WIDTH: usize = 80;

pub(super) struct Sheet {
    pub(super) text: String,
    pub(super) style: Style,
}

impl Sheet {
    pub(super) const fn new(style: Style) -> Self {
        Self { text: String::new(), style }
    }

    pub(super) fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// A heading with a gap above it, and a note beside it.
    pub(super) fn heading(&mut self, heading: &str, note: &str) {
        self.line("");
        let heading = self.style.heading(heading);
        if note.is_empty() {
            self.line(&heading);
        } else {
            let note = self.style.aside(note);
            self.line(&format!("{heading}   {note}"));
        }
    }

    /// Words wrapped to the sheet, the first line after `lead`, the rest indented as far.
    pub(super) fn paragraph(&mut self, lead: &str, words: &str) {
        let indent = lead.chars().count();
        for (index, line) in wrapped(words, WIDTH - indent).into_iter().enumerate() {
            let lead = if index == 0 { lead.to_owned() } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
    }

    /// A name in its column, with words beside it.
    pub(super) fn entry(&mut self, name: &str, words: &str) {
        self.paragraph(&format!("  {name:<22}"), words);
    }

    pub(super) fn aside(&mut self, indent: usize, words: &str) {
        for line in wrapped(words, WIDTH - indent) {
            let line = self.style.aside(&line);
            self.line(&format!("{}{line}", " ".repeat(indent)));
        }
    }
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
