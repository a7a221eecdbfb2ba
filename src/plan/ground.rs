//! What a plan stands on: which root, which limits, which drill, and the case with a tip that can be put anywhere.

use super::depths::Depths;
use super::rows::ChosenBy;
use super::walls::Drill;
use super::window::{Ferrule, Found, find};
use super::{NoPlan, Wish, drills, first};
use crate::calibration::{Jaw, Library, ToothLimit};
use crate::case::{Case, Fdi, Landmark, Mark, Point, Root, State};
use crate::wording::{did_you_mean, list};

pub(super) struct Ground<'c> {
    /// Index of the root planned for; none where the case lists no root.
    pub(super) root: Option<usize>,
    pub(super) limit: Option<&'c ToothLimit>,
    /// The case with a planned post tip in that root, and the core that is planned for it.
    pub(super) trial: Case,
    pub(super) core_from_space: bool,
    drill: Option<(Drill, ChosenBy)>,
    /// What a reader must be told of the case.
    pub(super) remarks: Vec<String>,
}

impl<'c> Ground<'c> {
    pub(super) fn of(case: &'c Case, library: &'c Library, wish: &Wish) -> Result<Self, NoPlan> {
        let mut remarks = Vec::new();
        let root = choose_root(case, library, wish, &mut remarks)?;
        let limit =
            root.and_then(|root| case.roots.get(root)).and_then(|root| limit(library, case.tooth.fdi, root));
        let drill = match &wish.drill {
            Some(name) => {
                let drill = library.get(name).and_then(Drill::of);
                Some((drill.ok_or_else(|| unknown_drill(library, name))?, ChosenBy::Asked))
            }
            None => case.clinical.drill.as_ref().and_then(|name| {
                let drill = library.get(name).and_then(Drill::of);
                if drill.is_none() {
                    remarks.push(format!("the case's {}; another is proposed", unknown_drill(library, name)));
                }
                drill.map(|drill| (drill, ChosenBy::Case))
            }),
        };
        let mut trial = case.clone();
        let core = first::core_from_space(case).unwrap_or_else(|why| {
            remarks.push(why);
            None
        });
        let core_from_space = core.is_some();
        if core.is_some() {
            trial.clinical.planned_core_height_mm = core;
        }
        if let Some(root) = root.and_then(|root| trial.roots.get_mut(root)) {
            let marks = &mut root.landmarks.marks;
            // A post to be planned gives the tooth no axis.
            marks.remove(&Landmark::PostHead.id());
            let tip = Point { state: Some(State::Planned), ..Point::at(0.0, 0.0) };
            marks.insert(Landmark::PostTip.id(), Mark::Placed(tip));
        }
        Ok(Self { root, limit, trial, core_from_space, drill, remarks })
    }

    /// The index of the root, whether or not there is one.
    pub(super) fn root_index(&self) -> usize {
        self.root.unwrap_or_default()
    }

    /// The depths with the drill they are to be reckoned with, and the window: a drill is proposed for the depth that
    /// would be recommended without one, and once more should it change that.
    pub(super) fn with_drill(
        &self,
        mut depths: Depths,
        library: &Library,
        ferrule: Ferrule,
    ) -> (Depths, Found, Option<ChosenBy>) {
        if let Some((drill, by)) = &self.drill {
            depths.drill = Some(drill.clone());
            let found = find(&depths, ferrule);
            return (depths, found, Some(*by));
        }
        let mut found = find(&depths, ferrule);
        for _ in 0..2 {
            let depth = found.recommended.or(found.judged_so_far);
            let proposed = depth.and_then(|depth| drills::proposed(&depths, library, depth));
            if proposed.is_none() || proposed == depths.drill {
                break;
            }
            depths.drill = proposed;
            found = find(&depths, ferrule);
        }
        let by = depths.drill.as_ref().map(|_| ChosenBy::Proposed);
        (depths, found, by)
    }
}

/// What kind of tooth and root this is, by the limits of the library.
fn limit<'c>(library: &'c Library, tooth: Option<Fdi>, root: &Root) -> Option<&'c ToothLimit> {
    let tooth = tooth?;
    library.limits().iter().find(|limit| {
        (limit.jaw == Jaw::Upper) == tooth.is_upper()
            && limit.positions.contains(&tooth.position())
            && (limit.roots.is_empty() || limit.roots.iter().any(|name| name == root.name.word()))
    })
}

fn choose_root(
    case: &Case,
    library: &Library,
    wish: &Wish,
    remarks: &mut Vec<String>,
) -> Result<Option<usize>, NoPlan> {
    let names = |roots: &mut dyn Iterator<Item = &Root>| -> String {
        let names: Vec<String> = roots.map(|root| root.name.word().to_owned()).collect();
        if names.is_empty() { "none".to_owned() } else { list(&names) }
    };
    if let Some(name) = wish.root {
        return case
            .roots
            .iter()
            .position(|root| root.name == name)
            .map(Some)
            .ok_or_else(|| NoPlan::NoSuchRoot { root: name, known: names(&mut case.roots.iter()) });
    }
    let marked: Vec<usize> = (0..case.roots.len())
        .filter(|root| case.roots.get(*root).is_some_and(|root| root.post_here == Some(true)))
        .collect();
    let advised = || {
        case.roots.iter().position(|root| {
            limit(library, case.tooth.fdi, root).is_some_and(|limit| limit.not_advised.is_none())
        })
    };
    let chosen = match marked.as_slice() {
        [first, more @ ..] => {
            if !more.is_empty() {
                let more = names(&mut more.iter().filter_map(|root| case.roots.get(*root)));
                remarks.push(format!("a post is marked for the {more} root too: plan it by itself (--root)"));
            }
            Some(*first)
        }
        [] if case.roots.len() > 1 => {
            let chosen = advised().unwrap_or_default();
            if let Some(root) = case.roots.get(chosen) {
                remarks
                    .push(format!("no root is marked as the post's; the {} root is taken", root.name.word()));
            }
            Some(chosen)
        }
        [] => (!case.roots.is_empty()).then_some(0),
    };
    Ok(chosen)
}

fn unknown_drill(library: &Library, name: &str) -> NoPlan {
    let known: Vec<String> =
        library.objects().iter().filter_map(Drill::of).map(|drill| drill.object.name).collect();
    NoPlan::UnknownDrill {
        drill: name.to_owned(),
        near: did_you_mean(name, known.iter().map(String::as_str)),
        known: list(&known),
    }
}
