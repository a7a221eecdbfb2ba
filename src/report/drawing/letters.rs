//! The bundled letters: how wide they are, how they are drawn, and which there are.
//!
//! Letters stand side by side, in the order they are seen in. Scripts whose letters join or stack would need more; the
//! faces have none of their letters, so [`printable`] writes those as their numbers.

use crate::quantity::Millimetres;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider as _};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::ops::Range;
use std::sync::OnceLock;
use unicode_bidi::{BidiInfo, Level};

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

/// A stretch of words that runs one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretch {
    /// Where it stands among the words, bytes.
    pub range: Range<usize>,
    /// Whether it runs from right to left.
    pub is_leftwards: bool,
}

/// The stretches of a line of words from left to right as they are seen, by the Unicode bidirectional algorithm (UAX #9)
/// in a line that itself runs to the right.
pub fn stretches(words: &str) -> Vec<Stretch> {
    let whole = || vec![Stretch { range: 0..words.len(), is_leftwards: false }];
    if words.chars().all(runs_rightwards) {
        return whole();
    }
    let info = BidiInfo::new(words, Some(Level::ltr()));
    let Some(paragraph) = info.paragraphs.first() else { return whole() };
    let (levels, runs) = info.visual_runs(paragraph, paragraph.range.clone());
    runs.into_iter()
        .map(|range| {
            let is_leftwards = levels.get(range.start).is_some_and(Level::is_rtl);
            Stretch { range, is_leftwards }
        })
        .collect()
}

/// Whether a letter surely lies below all scripts that run to the left, which begin with Hebrew.
fn runs_rightwards(letter: char) -> bool {
    u32::from(letter) < 0x0590
        || matches!(u32::from(letter), 0x1000..=0x200D | 0x2010..=0x2029 | 0x2030..=0x2065)
}

/// The letters of a line of words from left to right as they are seen, each with where it stands among the words;
/// brackets look the way their words run.
pub(super) fn seen(words: &str) -> Vec<(usize, char)> {
    let mut letters = Vec::with_capacity(words.len());
    for Stretch { range, is_leftwards } in stretches(words) {
        let part = words.get(range.clone()).unwrap_or_default();
        let of_part = part.char_indices().map(|(at, letter)| (range.start + at, letter));
        if is_leftwards {
            letters.extend(of_part.rev().map(|(at, letter)| (at, mirrored(letter))));
        } else {
            letters.extend(of_part);
        }
    }
    letters
}

/// The letter that looks the other way (Unicode's property `Bidi_Mirroring_Glyph`, for those the faces have).
const fn mirrored(letter: char) -> char {
    match letter {
        '(' => ')',
        ')' => '(',
        '[' => ']',
        ']' => '[',
        '{' => '}',
        '}' => '{',
        '<' => '>',
        '>' => '<',
        '\u{ab}' => '\u{bb}',
        '\u{bb}' => '\u{ab}',
        '\u{2039}' => '\u{203a}',
        '\u{203a}' => '\u{2039}',
        '\u{2264}' => '\u{2265}',
        '\u{2265}' => '\u{2264}',
        other => other,
    }
}

/// What to say where [`printable`] had to write numbers.
pub(in crate::report) const NUMBERED: &str =
    "Letters that the letters of this report do not have stand as their Unicode numbers in square brackets.";

/// Words of which every letter can be printed: runs of those no face has stand as their Unicode numbers, "[U+0627
/// U+0628]". Says whether there were any.
pub(in crate::report) fn printable(words: &str) -> (String, bool) {
    let mut text = String::new();
    let mut is_open = false;
    let mut any = false;
    for letter in words.chars() {
        // What must not break is kept for whoever breaks lines.
        let letter = if letter.is_whitespace() && letter != '\u{a0}' { ' ' } else { letter };
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
        for letter in "aZ09 ±°–‘’“”…≥≤−×■□◧·→äöüßéñçøłžőşčαμΩἙᾧЖяҚԱքაჰאת€".chars()
        {
            assert!(Face::Regular.letter(letter).is_some(), "{letter}");
            assert!(Face::Bold.letter(letter).is_some(), "{letter}");
        }
    }

    #[test]
    fn letters_that_are_not_there_are_numbered() {
        assert_eq!(printable("21 سن ok"), ("21 [U+0633 U+0646]ok".to_owned(), true));
        assert_eq!(printable("plain"), ("plain".to_owned(), false));
    }

    /// Orders by the rules of UAX #9, worked by hand: a number keeps its own direction (W2, L2), brackets are mirrored (L4).
    #[test]
    fn letters_that_run_to_the_left_are_seen_from_right_to_left() {
        let order = |words: &str| seen(words).into_iter().map(|(_, letter)| letter).collect::<String>();
        assert_eq!(order("tooth 21"), "tooth 21");
        assert_eq!(order("שן"), "ןש");
        assert_eq!(order("21 שן ok"), "21 ןש ok");
        assert_eq!(order("שן 21 טוב"), "בוט 21 ןש");
        assert_eq!(order("x (שן)"), "x (ןש)");
        assert_eq!(order("שן (א) ב"), "ב (א) ןש");
        let words = "a שן";
        let places: Vec<usize> = seen(words).into_iter().map(|(at, _)| at).collect();
        assert_eq!(places, [0, 1, 4, 2], "each letter knows where it stands among the words");
    }

    /// Digits must stand under one another in columns.
    #[test]
    fn digits_are_of_one_width() {
        let widths: Vec<f64> =
            ('0'..='9').filter_map(|digit| Some(Face::Regular.letter(digit)?.advance)).collect();
        assert!(widths.windows(2).all(|pair| pair[0] == pair[1]) && widths.len() == 10);
    }
}
