//! The scratch ruler: the way between any two places of the film. It belongs to no case and is never saved.

use super::action::Target;
use crate::calibration::Library;
use crate::case::Case;
use crate::geometry::{Position, Stored};
use crate::measure::{between, way_in_pixels};
use crate::quantity::{COVERAGE_FACTOR, Estimate, Pixels};
use crate::wording::decimals;

/// A scratch ruler as far as it is laid.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ruler {
    /// Its ends, as far as they are placed.
    ends: Vec<Position<Stored>>,
    length: Option<Length>,
    /// What was aimed at before it was taken up.
    pub(super) aim_before: Option<Target>,
}

/// How long it is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Length {
    Millimetres(Estimate),
    Pixels(Pixels),
}

impl Ruler {
    /// One taken up while this was aimed at.
    pub(super) fn taken_up(aim_before: Option<Target>) -> Self {
        Self { aim_before, ..Self::default() }
    }

    /// Its ends, as far as they are placed.
    pub fn ends(&self) -> &[Position<Stored>] {
        &self.ends
    }

    /// The number of the end that is placed next; a third one would begin anew.
    pub(super) fn next(&self) -> usize {
        if self.ends.len() >= 2 { 0 } else { self.ends.len() }
    }

    /// Places the next end.
    pub(super) fn place(&mut self, at: Position<Stored>) {
        let next = self.next();
        self.ends.truncate(next);
        self.ends.push(at);
    }

    /// Moves an end.
    pub(super) fn put(&mut self, end: usize, at: Position<Stored>) {
        if let Some(end) = self.ends.get_mut(end) {
            *end = at;
        }
    }

    /// Measures it by the scale of a case, in pixels where that has none.
    pub(super) fn measure(&mut self, case: &Case, library: &Library) {
        self.length = match *self.ends.as_slice() {
            [one, other] => Some(length(case, library, [one, other])),
            _ => None,
        };
    }

    /// How long it is, in words that never pass for a measurement of the case.
    pub fn words(&self) -> Option<String> {
        self.length.map(|length| match length {
            Length::Millimetres(Estimate { value, sd }) => {
                let half = COVERAGE_FACTOR * sd;
                let digits = decimals(half);
                format!("scratch: {value:.digits$} \u{b1} {half:.digits$} mm")
            }
            Length::Pixels(pixels) => format!("scratch: {:.1} px", pixels.get()),
        })
    }
}

fn length(case: &Case, library: &Library, [one, other]: [Position<Stored>; 2]) -> Length {
    if let Ok(Ok(value)) = between(case, library, [one, other]) {
        return Length::Millimetres(value.estimate);
    }
    // Without a scale; and two places on one another are 0 px apart by any.
    Length::Pixels(way_in_pixels(case, other.way_from(one)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Position<Stored> {
        Position::new(x, y)
    }

    #[test]
    fn a_third_end_begins_anew_and_an_end_can_be_moved() {
        let mut ruler = Ruler::taken_up(None);
        ruler.place(at(1.0, 2.0));
        assert_eq!(ruler.words(), None);
        ruler.place(at(3.0, 4.0));
        ruler.put(1, at(5.0, 6.0));
        assert_eq!(ruler.ends(), [at(1.0, 2.0), at(5.0, 6.0)]);
        ruler.place(at(7.0, 8.0));
        assert_eq!(ruler.ends(), [at(7.0, 8.0)]);
    }

    #[test]
    fn without_a_scale_it_is_in_square_pixels() {
        let mut case = crate::case::film_102();
        let library = Library::embedded().expect("it is embedded");
        case.film.pixel_aspect = Some(2.0);
        let mut ruler = Ruler::taken_up(None);
        ruler.place(at(100.0, 100.0));
        ruler.place(at(106.0, 104.0));
        ruler.measure(&case, &library);
        assert!(ruler.words().is_some_and(|words| words.starts_with("scratch: ") && words.ends_with(" mm")));
        case.calibration.references.clear();
        ruler.measure(&case, &library);
        assert_eq!(ruler.words().as_deref(), Some("scratch: 10.0 px"));
    }
}
