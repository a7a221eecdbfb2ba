//! What could not be measured, and what would mend it. No drawing.

use super::super::action::Target;
use crate::case::{Case, MeasurementRow, Shape, Why};
use crate::editor::LandmarkAt;
use crate::report::{lacking, rows_words};

/// What is lacking, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct LackLine {
    /// What is lacking and why.
    pub(super) what: String,
    /// Which measurements lack it.
    pub(super) rows: String,
    /// What could be placed to mend it.
    pub(super) place: Option<Target>,
}

/// What could not be measured, by what is lacking, landmarks first.
pub(super) fn lack_lines(case: &Case, rows: &[MeasurementRow]) -> Vec<LackLine> {
    let lacking = lacking(rows);
    let landmarks = lacking.by_landmark.into_iter().map(|(lack, rows)| {
        let at = LandmarkAt::of_lack(lack);
        LackLine {
            what: lack.words(),
            rows: rows_words(case, &rows),
            place: at.filter(|_| lack.why == Why::NotPlaced).and_then(target),
        }
    });
    let reasons = lacking.by_reason.into_iter().map(|(reason, rows)| LackLine {
        what: reason.to_owned(),
        rows: rows_words(case, &rows),
        place: None,
    });
    landmarks.chain(reasons).collect()
}

/// What is aimed at to place it; sections are begun level by level elsewhere.
pub(super) fn target(at: LandmarkAt) -> Option<Target> {
    match at.id.landmark().declaration().shape {
        Shape::Point => Some(Target::Landmark(at)),
        Shape::Path => at.root.map(Target::CanalPoint),
        Shape::Sections => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Landmark, Mark, Side};
    use crate::editor::Engine;

    #[test]
    fn what_nobody_placed_can_be_placed_and_what_is_hidden_cannot() {
        let mut case = crate::case::film_102();
        case.landmarks.marks.remove(&Landmark::WallTop.on(Side::Mesial));
        let hidden = Mark::Hidden { hidden: "overlap".to_owned(), extra: crate::calibration::Extra::new() };
        case.landmarks.marks.insert(Landmark::Crest.on(Side::Distal), hidden);
        case.roots[0].landmarks.marks.remove(&Landmark::PostHead.id());
        let numbers = Engine::embedded().unwrap().numbers(&case, &[]).unwrap();
        let lines = lack_lines(&case, &numbers.derived.measurements);
        let line = |start: &str| lines.iter().find(|line| line.what.starts_with(start)).unwrap();
        let wall = line("wall top, mesial (not placed)");
        let at = LandmarkAt { root: None, id: Landmark::WallTop.on(Side::Mesial) };
        assert_eq!((wall.place, wall.rows.as_str()), (Some(Target::Landmark(at)), "ferrule height, mesial"));
        assert_eq!(line("crest, distal (hidden)").place, None);
        let post = LandmarkAt { root: Some(case.roots[0].name), id: Landmark::PostHead.id() };
        assert_eq!(line("post head (not placed)").place, Some(Target::Landmark(post)));
    }
}
