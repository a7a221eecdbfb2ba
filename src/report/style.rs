//! Colour on a terminal, and only there. Meaning never rests on it: a word and a shape always stand beside it.

use super::words::verdict_words;
use crate::case::Verdict;

/// Whether text may carry colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Plain text.
    Plain,
    /// Text for a terminal that shows colour.
    Colour,
}

impl Style {
    fn wrap(self, code: &str, text: &str) -> String {
        match self {
            Self::Plain => text.to_owned(),
            Self::Colour => format!("\x1b[{code}m{text}\x1b[0m"),
        }
    }

    /// A heading.
    pub(super) fn heading(self, text: &str) -> String {
        self.wrap("1", text)
    }

    /// What is said in passing.
    pub(super) fn aside(self, text: &str) -> String {
        self.wrap("2", text)
    }

    /// A verdict's shape and word, in the blue, vermilion and orange of Okabe and Ito (2008) as near as a palette of
    /// 256 comes to them.
    pub(super) fn verdict(self, verdict: Option<Verdict>) -> String {
        let (shape, word) = verdict_words(verdict);
        let code = match verdict {
            Some(Verdict::Meets) => "38;5;32",
            Some(Verdict::FallsShort) => "1;38;5;166",
            Some(Verdict::Undecided) => "38;5;178",
            Some(Verdict::DoesNotApply) | None => "2",
        };
        self.wrap(code, &format!("{shape} {word:<15}"))
    }
}
