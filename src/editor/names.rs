//! What edits are called: the words an undo shows, such as "place finish line, mesial".

use super::edit::Edit;
use super::list_change::ListChange;
use super::whereabouts::{LandmarkAt, PointAt};
use crate::case::{Case, Mark, RootName};

/// A landmark in words: "finish line, mesial", "apex, mesiobuccal root".
pub(super) fn landmark(at: LandmarkAt) -> String {
    of_root(at.id.words(), at.root)
}

fn of_root(words: String, root: Option<RootName>) -> String {
    match root {
        None | Some(RootName::Single) => words,
        Some(root) => format!("{words}, {} root", root.word()),
    }
}

/// What an edit does to a case as it stands before it.
pub(super) fn edit(edit: &Edit, before: &Case) -> String {
    match edit {
        Edit::Label(label) => change("label", label.is_some()),
        Edit::Stage(stage) => change("stage of treatment", stage.is_some()),
        Edit::Technique(technique) => change("technique", technique.is_some()),
        Edit::Date(date) => change("date of the film", date.is_some()),
        Edit::FilmLink(_) => "change film".to_owned(),
        Edit::Fdi(Some(fdi)) => format!("name tooth {fdi}"),
        Edit::Fdi(None) => change("tooth", false),
        Edit::MesialIs(side) => change("side of mesial", side.is_some()),
        Edit::Mark { at, mark } => format!("{} {}", mark_verb(*at, mark.as_ref(), before), landmark(*at)),
        Edit::Move { point: at, .. } => format!("move {}", point(*at)),
        Edit::Roots(change) => {
            let named = |at: usize| before.roots.get(at).map(|root| root.name.word());
            match change {
                ListChange::Insert { item, .. } => format!("add {} root", item.name.word()),
                ListChange::Replace { item, .. } => format!("change {} root", item.name.word()),
                ListChange::Remove { at } => format!("remove {} root", named(*at).unwrap_or_default()),
                ListChange::Whole(_) => "change roots".to_owned(),
            }
        }
        Edit::RootName { root, name } => format!("rename {} root to {}", root.word(), name.word()),
        Edit::PostHere { root, post_here } => {
            let words = if *post_here == Some(true) { "post is here" } else { "no post here" };
            of_root(words.to_owned(), Some(*root))
        }
        Edit::Canal { root, change } => match change {
            ListChange::Whole(points) if points.is_empty() => of_root("delete canal".to_owned(), Some(*root)),
            ListChange::Whole(_) => of_root("draw canal".to_owned(), Some(*root)),
            _ => of_root(listed(change, "canal point"), Some(*root)),
        },
        Edit::Sections { root, change } => of_root(listed(change, "section"), Some(*root)),
        Edit::References(ListChange::Insert { item, .. }) => format!("add {} as reference", item.kind()),
        Edit::References(change) => listed(change, "reference"),
        Edit::RatioSd(sd) => change("uncertainty of the ratio of scales", sd.is_some()),
        Edit::Uncertainty { of, value } => change(of.words(), value.is_some()),
        Edit::SiteReading { of, site, reading } => {
            change(&format!("{}, {}", of.words(), site.word()), reading.is_some())
        }
        Edit::ToothReading { of, reading } => change(of.words(), reading.is_some()),
        Edit::FirstLook { finding, answer } => {
            let what = finding.declaration().key.trim_end_matches("_mm").replace('_', " ");
            change(&format!("first look, {what}"), answer.is_some())
        }
        Edit::SmileLine(line) => change("smile line", line.is_some()),
        Edit::StopReferenceName(name) => change("name of the stop reference", name.is_some()),
        Edit::Drill(drill) => change("drill", drill.is_some()),
        Edit::Several { name, .. } => name.clone(),
        Edit::Whole(_) => "replace the whole case".to_owned(),
    }
}

fn change(what: &str, there_is_one: bool) -> String {
    format!("{} {what}", if there_is_one { "set" } else { "clear" })
}

fn listed<T>(change: &ListChange<T>, what: &str) -> String {
    match change {
        ListChange::Insert { .. } => format!("add {what}"),
        ListChange::Replace { at, .. } => format!("change {what} {}", at + 1),
        ListChange::Remove { at } => format!("remove {what} {}", at + 1),
        ListChange::Whole(_) => format!("change all {what}s"),
    }
}

fn mark_verb(at: LandmarkAt, mark: Option<&Mark>, before: &Case) -> &'static str {
    let landmarks = match at.root {
        None => Some(&before.landmarks),
        Some(name) => before.roots.iter().find(|root| root.name == name).map(|root| &root.landmarks),
    };
    let point_before = landmarks.and_then(|landmarks| landmarks.point(at.id));
    match (mark, point_before) {
        (None, _) => "delete",
        (Some(Mark::Hidden { .. }), _) => "hide",
        (Some(Mark::Absent { .. }), _) => "mark as absent:",
        (Some(Mark::Placed(after)), Some(before)) => {
            match ((after.x, after.y) == (before.x, before.y), after.is_planned(), before.is_planned()) {
                (true, true, false) => "mark as planned:",
                (true, false, true) => "mark as present:",
                (true, ..) => "change",
                (false, ..) => "move",
            }
        }
        (Some(Mark::Placed(after)), None) if after.is_planned() => "plan",
        (Some(Mark::Placed(_)), None) => "place",
    }
}

/// A point in words: "apex", "canal point 2", "point 3 of section 1, distal root".
pub(super) fn point(point: PointAt) -> String {
    match point {
        PointAt::Landmark(at) => landmark(at),
        PointAt::Canal { root, at } => of_root(format!("canal point {}", at + 1), Some(root)),
        PointAt::Section { root, section, at } => {
            of_root(format!("point {} of section {}", at + 1, section + 1), Some(root))
        }
        PointAt::Reference { reference, at } => format!("point {} of reference {}", at + 1, reference + 1),
    }
}
