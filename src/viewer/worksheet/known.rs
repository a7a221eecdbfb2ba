//! What is known of a landmark, in one word and one shape. No drawing.

use crate::case::{Case, Mark, Sight};
use crate::editor::LandmarkAt;

/// What is known of a landmark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Known {
    /// Nothing yet, and it should be placed.
    ToPlace,
    /// Nothing yet, and it may be placed or planned.
    MayBe,
    /// Nothing yet, and this film cannot show it.
    NotShown,
    /// It is placed, as it is there.
    Placed,
    /// It is placed, as it is planned.
    Planned,
    /// It exists and cannot be seen.
    Hidden,
    /// It does not exist.
    Absent,
}

impl Known {
    /// Every one, as the key beside the drawing lists them.
    pub(super) const ALL: [Self; 7] =
        [Self::ToPlace, Self::MayBe, Self::Placed, Self::Planned, Self::Hidden, Self::Absent, Self::NotShown];

    /// The word for it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::ToPlace => "to place",
            Self::MayBe => "may be placed",
            Self::NotShown => "not on this film",
            Self::Placed => "placed",
            Self::Planned => "planned",
            Self::Hidden => "hidden",
            Self::Absent => "absent",
        }
    }

    /// What is known of a landmark of a case.
    pub(super) fn of(case: &Case, at: LandmarkAt, sight: Sight) -> Self {
        match (at.mark(case), sight) {
            (Some(Mark::Placed(point)), _) if point.is_planned() => Self::Planned,
            (Some(Mark::Placed(_)), _) => Self::Placed,
            (Some(Mark::Hidden { .. }), _) => Self::Hidden,
            (Some(Mark::Absent { .. }), _) => Self::Absent,
            (None, Sight::Asked) => Self::ToPlace,
            (None, Sight::Possible | Sight::ToPlan) => Self::MayBe,
            (None, Sight::Concealed(_) | Sight::NotYet(_)) => Self::NotShown,
        }
    }
}

/// What is known of a landmark, with the reason where there is one: "hidden: under the metal crown".
pub(super) fn state_words(case: &Case, at: LandmarkAt, sight: Sight) -> String {
    let known = Known::of(case, at, sight);
    let reason = match (at.mark(case), sight) {
        (Some(Mark::Hidden { hidden: why, .. } | Mark::Absent { absent: why, .. }), _) => why.as_str(),
        (None, Sight::Concealed(why) | Sight::NotYet(why)) => why,
        (None, Sight::ToPlan) => return "may be planned".to_owned(),
        _ => "",
    };
    if reason.is_empty() { known.word().to_owned() } else { format!("{}: {reason}", known.word()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Extra;
    use crate::case::{Landmark, Point, State};

    #[test]
    fn every_state_has_its_word_and_its_reason() {
        let text = r#"{"format": "crestgauge.case", "version": 1}"#;
        let mut case = crate::case::read_text(text).unwrap().case;
        let at = LandmarkAt { root: None, id: Landmark::CoreTop.id() };
        let planned = Point { state: Some(State::Planned), ..Point::at(1.0, 2.0) };
        let hidden = Mark::Hidden { hidden: "behind the bracket".to_owned(), extra: Extra::new() };
        let absent = Mark::Absent { absent: "no core".to_owned(), extra: Extra::new() };
        for (mark, sight, words) in [
            (None, Sight::Asked, "to place"),
            (None, Sight::Possible, "may be placed"),
            (None, Sight::ToPlan, "may be planned"),
            (None, Sight::Concealed("under the crown"), "not on this film: under the crown"),
            (Some(Mark::Placed(Point::at(1.0, 2.0))), Sight::Concealed("under the crown"), "placed"),
            (Some(Mark::Placed(planned)), Sight::ToPlan, "planned"),
            (Some(hidden), Sight::Asked, "hidden: behind the bracket"),
            (Some(absent), Sight::Asked, "absent: no core"),
        ] {
            case.landmarks.marks.clear();
            if let Some(mark) = mark {
                case.landmarks.marks.insert(at.id, mark);
            }
            assert_eq!(state_words(&case, at, sight), words);
        }
    }
}
