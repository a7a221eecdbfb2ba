//! Marking a landmark, and what goes with it.

use super::edit::Edit;
use super::whereabouts::LandmarkAt;
use crate::case::{Case, Landmark, Mark};

/// The edit that marks a landmark, or with `None` takes its mark away.
///
/// No root filling means that both its ends are absent: one alone would be refused. So the other end goes with it where
/// one becomes absent, and is not placed any more where one no longer is.
pub fn marking(case: &Case, at: LandmarkAt, mark: Option<Mark>) -> Edit {
    let partner = match at.id.landmark() {
        Landmark::FillingTop => Landmark::FillingTip,
        Landmark::FillingTip => Landmark::FillingTop,
        _ => return Edit::Mark { at, mark },
    };
    let partner = LandmarkAt { id: partner.id(), ..at };
    let becomes_absent = mark.as_ref().is_some_and(Mark::is_absent);
    let partner_is_absent = partner.mark(case).is_some_and(Mark::is_absent);
    let (name, of_partner) = match (becomes_absent, partner_is_absent) {
        (true, _) => ("say that there is no root filling", mark.clone()),
        (false, true) => ("no longer say that there is no root filling", None),
        (false, false) => return Edit::Mark { at, mark },
    };
    let edits = vec![Edit::Mark { at, mark }, Edit::Mark { at: partner, mark: of_partner }];
    Edit::Several { name: name.to_owned(), edits }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Extra;
    use crate::case::{Point, RootName, read_text};
    use crate::editor::{Engine, OpenCase};
    use std::path::PathBuf;
    use std::sync::Arc;

    #[test]
    fn both_ends_of_a_root_filling_come_and_go_together() {
        let text = r#"{"format": "crestgauge.case", "version": 1, "roots": [{"name": "single"}]}"#;
        let engine = Arc::new(Engine::embedded().unwrap());
        let mut open = OpenCase::unfiled(read_text(text).unwrap().case, PathBuf::new(), engine, None);
        let end = |landmark: Landmark| LandmarkAt { root: Some(RootName::Single), id: landmark.id() };
        let (top, tip) = (end(Landmark::FillingTop), end(Landmark::FillingTip));
        let absent = || Some(Mark::Absent { absent: "no root filling".to_owned(), extra: Extra::new() });
        let placed = || Some(Mark::Placed(Point::at(10.0, 20.0)));
        for (one, other) in [(top, tip), (tip, top)] {
            for becomes in [placed(), None] {
                open.apply(marking(open.case(), one, absent())).unwrap();
                assert!([top, tip].iter().all(|at| at.mark(open.case()).is_some_and(Mark::is_absent)));
                open.apply(marking(open.case(), other, becomes.clone())).unwrap();
                assert_eq!(other.mark(open.case()).cloned(), becomes);
                assert_eq!(one.mark(open.case()), None);
            }
        }
    }
}
