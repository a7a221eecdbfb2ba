//! The bundled letters: how wide they are, how they are drawn, and which there are.
//!
//! Letters stand side by side as they come. Scripts that join, stack or run from right to left would need more; the
//! faces have none of their letters, so [`printable`] writes those as their numbers.

use crate::quantity::Millimetres;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider as _};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::OnceLock;

/// A face of the bundled letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Face {
    /// For reading.
    Regular,
    /// For headings and what must be seen.
    Bold,
}

/// A letter of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Letter {
    pub(super) glyph: u32,
    /// How far the next letter stands, in ems.
    pub(super) advance: f64,
}

impl Face {
    /// The face's file (TrueType).
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../fonts/DejaVuSansCondensed.ttf"),
            Self::Bold => include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf"),
        }
    }

    fn letters(self) -> &'static HashMap<char, Letter> {
        static REGULAR: OnceLock<HashMap<char, Letter>> = OnceLock::new();
        static BOLD: OnceLock<HashMap<char, Letter>> = OnceLock::new();
        let kept = match self {
            Self::Regular => &REGULAR,
            Self::Bold => &BOLD,
        };
        kept.get_or_init(|| {
            let Ok(font) = FontRef::new(self.bytes()) else { return HashMap::new() };
            let metrics = font.glyph_metrics(Size::new(1.0), LocationRef::default());
            let letter = |(code, glyph): (u32, GlyphId)| {
                let advance = f64::from(metrics.advance_width(glyph)?);
                Some((char::from_u32(code)?, Letter { glyph: glyph.to_u32(), advance }))
            };
            font.charmap().mappings().filter_map(letter).collect()
        })
    }

    /// A letter of this face, where it has it.
    pub(super) fn letter(self, letter: char) -> Option<Letter> {
        self.letters().get(&letter).copied()
    }

    /// Draws a letter, 1 em high, y up.
    pub(super) fn draw(self, glyph: u32, pen: &mut impl OutlinePen) {
        let Ok(font) = FontRef::new(self.bytes()) else { return };
        if let Some(outline) = font.outline_glyphs().get(GlyphId::new(glyph)) {
            // A glyph of a face that is whole draws; one that does not leaves a gap.
            let _ = outline.draw(DrawSettings::unhinted(Size::new(1.0), LocationRef::default()), pen);
        }
    }
}

/// How wide words are.
pub fn width_of(words: &str, face: Face, size: Millimetres) -> Millimetres {
    let ems: f64 = words.chars().filter_map(|letter| face.letter(letter)).map(|letter| letter.advance).sum();
    Millimetres(ems * size.get())
}

/// What to say where [`printable`] had to write numbers.
pub(in crate::report) const NUMBERED: &str =
    "Letters that the letters of this report do not have stand as their Unicode numbers in square brackets.";

/// Words of which every letter can be printed: runs of those no face has stand as their Unicode numbers, "[U+05D0
/// U+05D1]". Says whether there were any.
pub(in crate::report) fn printable(words: &str) -> (String, bool) {
    let mut text = String::new();
    let mut is_open = false;
    let mut any = false;
    for letter in words.chars() {
        let letter = if letter.is_whitespace() { ' ' } else { letter };
        if Face::Regular.letter(letter).is_some() && Face::Bold.letter(letter).is_some() {
            if is_open && letter != ' ' {
                text.push(']');
                is_open = false;
            }
            // Blanks between such letters belong to their run.
            if !(is_open && letter == ' ') {
                text.push(letter);
            }
        } else {
            text.push_str(if is_open { " " } else { "[" });
            let _ = write!(text, "U+{:04X}", u32::from(letter));
            (is_open, any) = (true, true);
        }
    }
    if is_open {
        text.push(']');
    }
    (text, any)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_the_program_prints_is_there() {
        for letter in "aZ09 ±°–‘’“”…≥≤−×■□◧·→äöüßéñçøłžőşčαμΩЖя€".chars()
        {
            assert!(Face::Regular.letter(letter).is_some(), "{letter}");
            assert!(Face::Bold.letter(letter).is_some(), "{letter}");
        }
    }

    #[test]
    fn letters_that_are_not_there_are_numbered() {
        assert_eq!(printable("21 שן ok"), ("21 [U+05E9 U+05DF]ok".to_owned(), true));
        assert_eq!(printable("plain"), ("plain".to_owned(), false));
    }

    /// Digits must stand under one another in columns.
    #[test]
    fn digits_are_of_one_width() {
        let widths: Vec<f64> =
            ('0'..='9').filter_map(|digit| Some(Face::Regular.letter(digit)?.advance)).collect();
        assert!(widths.windows(2).all(|pair| pair[0] == pair[1]) && widths.len() == 10);
    }
}
