//! What could not be measured, and what would mend it. No drawing.

use super::super::action::Target;
use crate::case::{Case, Lack, LandmarkId, MeasurementRow, Owner, RootName, Shape, Why};
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
        let at = landmark_of(lack);
        let words = at.map_or_else(|| lack.landmark.clone(), LandmarkAt::words);
        LackLine {
            what: format!("{words} ({})", lack.why.words()),
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

/// The landmark a lack names.
fn landmark_of(lack: &Lack) -> Option<LandmarkAt> {
    let root = match lack.root.as_deref() {
        None => None,
        Some(word) => Some(RootName::ALL.iter().find(|(known, _)| *known == word).map(|(_, root)| *root)?),
    };
    let owner = if root.is_some() { Owner::Root } else { Owner::Tooth };
    let id = LandmarkId::all(owner).find(|id| id.key() == lack.landmark)?;
    Some(LandmarkAt { root, id })
}

/// What is aimed at to place it; sections are begun level by level elsewhere.
fn target(at: LandmarkAt) -> Option<Target> {
    match at.id.landmark().declaration().shape {
        Shape::Point => Some(Target::Landmark(at)),
        Shape::Path => at.root.map(Target::CanalPoint),
        Shape::Sections => None,
    }
}
