//! The lines on the film, each with a pattern of its own beside its colour.

use super::shape::REFERENCE;
use crate::viewer::theme;
use eframe::egui::{self, Color32, Pos2, Shape, Stroke};

/// A kind of line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Line {
    /// A root's canal.
    Canal,
    /// A section across a root.
    Section,
    /// A reference of known size.
    Reference,
    /// From crest to crest.
    Crest,
    /// The tooth's axis.
    Axis,
    /// The scratch ruler.
    Ruler,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Pattern {
    /// Without a break.
    Whole,
    /// Two lines beside one another.
    Double,
    /// Strokes of these lengths, each with the gap after it, points of the screen.
    Strokes(&'static [f32], &'static [f32]),
}

const HALO: Color32 = Color32::from_black_alpha(140);

impl Line {
    /// Every kind, in the order of the key.
    pub(super) const ALL: [Self; 6] =
        [Self::Axis, Self::Crest, Self::Canal, Self::Section, Self::Reference, Self::Ruler];

    /// What it is.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Canal => "whole: a root\u{2019}s canal",
            Self::Section => "long strokes: a section across a root",
            Self::Reference => "double: a reference of known size",
            Self::Crest => "dots: from crest to crest",
            Self::Axis => "strokes and dots: the tooth\u{2019}s axis",
            Self::Ruler => "short strokes: the scratch ruler, of no case",
        }
    }

    const fn colour(self) -> Color32 {
        match self {
            Self::Canal => theme::YELLOW,
            Self::Section | Self::Crest => theme::SKY_BLUE,
            Self::Reference => REFERENCE,
            Self::Axis => theme::BLUISH_GREEN,
            Self::Ruler => theme::REDDISH_PURPLE,
        }
    }

    const fn pattern(self) -> Pattern {
        match self {
            Self::Canal => Pattern::Whole,
            Self::Reference => Pattern::Double,
            Self::Section => Pattern::Strokes(&[14.0], &[3.0]),
            Self::Crest => Pattern::Strokes(&[2.0], &[4.0]),
            Self::Axis => Pattern::Strokes(&[11.0, 2.0], &[4.0, 4.0]),
            Self::Ruler => Pattern::Strokes(&[6.0], &[6.0]),
        }
    }

    /// Draws it through these points.
    pub(super) fn draw(self, painter: &egui::Painter, points: &[Pos2]) {
        if points.len() < 2 {
            return;
        }
        let width = match self {
            Self::Ruler | Self::Crest => 2.0,
            _ => 1.4,
        };
        let (colour, line) = (self.colour(), |stroke| painter.line(points.to_vec(), stroke));
        match self.pattern() {
            Pattern::Whole => {
                line(Stroke::new(width + 2.0, HALO));
                line(Stroke::new(width, colour));
            }
            Pattern::Double => {
                line(Stroke::new(5.5, HALO));
                line(Stroke::new(3.8, colour));
                line(Stroke::new(1.8, Color32::BLACK));
            }
            Pattern::Strokes(strokes, gaps) => {
                for stroke in [Stroke::new(width + 2.0, HALO), Stroke::new(width, colour)] {
                    painter.extend(Shape::dashed_line_with_offset(points, stroke, strokes, gaps, 0.0));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_lines_differ_by_colour_alone() {
        for (at, one) in Line::ALL.iter().enumerate() {
            for other in &Line::ALL[at + 1..] {
                assert_ne!(one.pattern(), other.pattern(), "{one:?} and {other:?}");
                assert_ne!(one.words(), other.words());
            }
        }
    }
}
