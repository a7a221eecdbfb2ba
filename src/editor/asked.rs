//! Which landmark of a case is to be placed next.

use super::whereabouts::LandmarkAt;
use crate::case::{Case, Sight, sights};

pub use crate::case::asks_for_post_root;

/// Every landmark of one point that this case can have, tooth first, then root by root, with what a film of its stage
/// can show of it.
pub fn landmarks(case: &Case) -> Vec<(LandmarkAt, Sight)> {
    sights(case).into_iter().map(|(id, root, sight)| (LandmarkAt { root, id }, sight)).collect()
}

/// What the film of a case can show of one of its landmarks.
pub fn sight_of(case: &Case, at: LandmarkAt) -> Sight {
    let listed = landmarks(case).into_iter().find(|(listed, _)| *listed == at);
    listed.map_or(Sight::Possible, |(_, sight)| sight)
}

/// The landmark to be placed next: the first that the film can show and nobody placed, after `after` where there is
/// one, else from the beginning; once none is left, the first that is to be planned.
pub fn next_to_place(case: &Case, after: Option<LandmarkAt>) -> Option<LandmarkAt> {
    next_of(case, after, Sight::Asked).or_else(|| next_of(case, after, Sight::ToPlan))
}

/// The first landmark that the film shows like this and nobody placed, after `after` where there is one, else from the
/// beginning.
pub fn next_of(case: &Case, after: Option<LandmarkAt>, sight: Sight) -> Option<LandmarkAt> {
    let listed = landmarks(case);
    let start = after.and_then(|after| listed.iter().position(|(at, _)| *at == after)).map_or(0, |at| at + 1);
    let mut from_there = listed.iter().cycle().skip(start).take(listed.len());
    from_there.find(|(at, it)| *it == sight && at.mark(case).is_none()).map(|(at, _)| *at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Extra;
    use crate::case::{Fdi, Landmark, LandmarkId, Mark, Point, RootName, Side, Stage, read_text};

    fn case(roots: &str) -> Case {
        let text = format!(
            r#"{{"format": "crestgauge.case", "version": 1, "film": {{"stage": "post_core"}},
                "tooth": {{"fdi": "36"}}, "roots": [{roots}]}}"#
        );
        read_text(&text).unwrap().case
    }

    fn of_root(case: &Case, root: RootName, landmark: Landmark) -> Sight {
        let at = LandmarkAt { root: Some(root), id: landmark.id() };
        landmarks(case).into_iter().find(|(it, _)| *it == at).unwrap().1
    }

    #[test]
    fn of_a_root_without_the_post_nothing_of_a_post_is_asked() {
        let case = case(r#"{"name": "mesial"}, {"name": "distal", "post_here": true}"#);
        assert_eq!(of_root(&case, RootName::Mesial, Landmark::PostTip), Sight::Possible);
        assert_eq!(of_root(&case, RootName::Distal, Landmark::PostTip), Sight::Asked);
        assert_eq!(of_root(&case, RootName::Distal, Landmark::Orifice), Sight::Asked);
        for landmark in [Landmark::Orifice, Landmark::Apex] {
            assert_eq!(of_root(&case, RootName::Mesial, landmark), Sight::Asked, "{landmark:?}");
        }
    }

    #[test]
    fn where_no_margin_is_seen_the_junction_is_asked_for() {
        let mut case = case(r#"{"name": "single"}"#);
        let sight = |case: &Case, id: LandmarkId| {
            landmarks(case).into_iter().find(|(it, _)| it.root.is_none() && it.id == id).unwrap().1
        };
        let [margin, junction] =
            [Landmark::FinishLine, Landmark::Cej].map(|landmark| landmark.on(Side::Mesial));
        for (_, stage) in Stage::ALL {
            case.film.stage = Some(*stage);
            case.landmarks.marks.clear();
            assert_eq!((sight(&case, margin), sight(&case, junction)), (Sight::Asked, Sight::Possible));
            case.landmarks.marks.insert(margin, Mark::Placed(Point::at(1.0, 1.0)));
            assert_eq!(sight(&case, junction), Sight::Possible);
            case.landmarks
                .marks
                .insert(margin, Mark::Absent { absent: "not cut yet".to_owned(), extra: Extra::default() });
            assert_eq!(sight(&case, junction), Sight::Asked);
        }
    }

    #[test]
    fn no_post_is_asked_of_any_root_before_it_is_said_which_one_holds_it() {
        let open = case(r#"{"name": "mesial"}, {"name": "distal"}"#);
        assert!(asks_for_post_root(&open));
        for root in [RootName::Mesial, RootName::Distal] {
            for landmark in [Landmark::PostTip, Landmark::PostHead] {
                assert_eq!(of_root(&open, root, landmark), Sight::Possible, "{landmark:?}");
            }
            assert_eq!(of_root(&open, root, Landmark::Apex), Sight::Asked);
        }
        let tip = r#""landmarks": {"post_tip": {"x": 1, "y": 2}}"#;
        let none = r#""landmarks": {"post_tip": {"absent": "no post"}}"#;
        for settled in [
            r#"{"name": "single"}"#.to_owned(),
            r#"{"name": "mesial"}, {"name": "distal", "post_here": true}"#.to_owned(),
            format!(r#"{{"name": "mesial", {tip}}}, {{"name": "distal"}}"#),
            format!(r#"{{"name": "mesial", {none}}}, {{"name": "distal", {none}}}"#),
        ] {
            assert!(!asks_for_post_root(&case(&settled)), "{settled}");
        }
        let planned = r#""landmarks": {"post_tip": {"x": 1, "y": 2, "state": "planned"}}"#;
        let planned = format!(r#"{{"name": "mesial", {planned}}}, {{"name": "distal"}}"#);
        assert!(asks_for_post_root(&case(&planned)), "a post that is planned is nowhere yet");
        let mut before = open;
        before.film.stage = Some(Stage::Filled);
        assert!(!asks_for_post_root(&before), "no post is there yet");
    }

    #[test]
    fn a_single_root_has_no_furcation() {
        let has_furcation =
            |case: &Case| landmarks(case).iter().any(|(at, _)| at.id.landmark() == Landmark::Furcation);
        assert!(!has_furcation(&case(r#"{"name": "single"}"#)));
        assert!(has_furcation(&case(r#"{"name": "mesial"}, {"name": "distal"}"#)));
    }

    #[test]
    fn the_next_one_comes_after_the_last_and_the_planned_ones_come_last() {
        let mut case = case(r#"{"name": "single"}"#);
        case.tooth.fdi = Fdi::parse("21").ok();
        case.film.stage = Some(Stage::Filled);
        let tooth = |id| LandmarkAt { root: None, id };
        let after_base = next_to_place(&case, Some(tooth(Landmark::CoreBase.id())));
        assert_eq!(after_base, Some(tooth(Landmark::WallTop.on(Side::Mesial))));
        for (at, sight) in landmarks(&case) {
            let marks = match at.root {
                None => &mut case.landmarks,
                Some(_) => &mut case.roots.first_mut().unwrap().landmarks,
            };
            if sight == Sight::Asked {
                marks.marks.insert(at.id, Mark::Placed(Point::at(1.0, 1.0)));
            }
        }
        assert_eq!(next_to_place(&case, None), Some(tooth(Landmark::CrownEdge.id())), "first to plan");
    }
}
