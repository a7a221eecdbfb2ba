//! Which verdicts are not the key's, and which landmark put right would make them so.

use super::key::Key;
use super::score::NotScored;
use crate::calibration::Library;
use crate::case::{Case, LandmarkId, Landmarks, Mark, Point, Root, RowRef, Sight, Verdict, VerdictRow};
use crate::measure::{Draws, UnknownObject};
use crate::verdict::{Criteria, assess};
use serde::Serialize;
use std::collections::BTreeMap;

/// A verdict that is not the key's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VerdictChange {
    /// The criterion.
    pub criterion: String,
    /// The measurements it is about.
    pub about: Vec<RowRef>,
    /// The verdict by the key; null where there is none.
    pub key: Option<Verdict>,
    /// The verdict by the case.
    pub case: Option<Verdict>,
    /// The class by the key, for information in classes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key_class: Option<String>,
    /// The class by the case.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub case_class: Option<String>,
    /// What alone would make it the key's: a landmark placed or marked as in the key, `canal`, `sections`, or
    /// `calibration`. Empty where it takes several.
    pub set_right_by: Vec<SetRight>,
}

/// Something of the case taken from the key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SetRight {
    /// A landmark's key, `canal`, `sections` or `calibration`.
    pub landmark: &'static str,
    /// Its root, for a root's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root: Option<&'static str>,
}

/// A criterion, and the measurements it is about.
type Name = (String, Vec<(String, Option<String>)>);

fn judged(
    case: &Case,
    library: &Library,
    criteria: &Criteria,
) -> Result<Vec<(Name, VerdictRow)>, UnknownObject> {
    let rows = assess(case, library, criteria, Draws::default(), &[])?.verdicts;
    let name = |row: &VerdictRow| {
        let about = row.about.iter().map(|about| (about.id.clone(), about.root.clone())).collect();
        (row.criterion.clone(), about)
    };
    Ok(rows.into_iter().map(|row| (name(&row), row)).collect())
}

/// Compares the verdicts of the case with those its readings and uncertainties would give with the key's landmarks and
/// scale. Only where points lie differs between the two: every point is as uncertain as one that was placed by hand.
pub(super) fn changes(
    key: &Key,
    case: &Case,
    library: &Library,
    criteria: &Criteria,
) -> Result<Vec<VerdictChange>, NotScored> {
    let mut own = as_placed(case);
    leave_what_is_not_yet(&mut own, &key.case);
    let mut right = as_placed(&key.case);
    right.clinical = own.clinical.clone();
    right.uncertainty = own.uncertainty.clone();
    right.film.technique = own.film.technique;
    right.film.stage = own.film.stage;
    right.calibration.ratio_sd = own.calibration.ratio_sd;
    let by_key = judged(&right, library, criteria)?;
    let by_case: BTreeMap<Name, VerdictRow> = judged(&own, library, criteria)?.into_iter().collect();
    let said = |row: Option<&VerdictRow>| row.map(|row| (row.verdict, row.class.clone())).unwrap_or_default();
    let mut changes: Vec<_> = by_key
        .iter()
        .filter(|(name, row)| said(Some(row)) != said(by_case.get(name)))
        .map(|(name, row)| {
            let (case, case_class) = said(by_case.get(name));
            let change = VerdictChange {
                criterion: row.criterion.clone(),
                about: row.about.clone(),
                key: row.verdict,
                case,
                key_class: row.class.clone(),
                case_class,
                set_right_by: Vec::new(),
            };
            (name, row, change)
        })
        .collect();
    if !changes.is_empty() {
        for (what, corrected) in corrections(&own, &right) {
            let judged: BTreeMap<Name, VerdictRow> =
                judged(&corrected, library, criteria)?.into_iter().collect();
            for (name, row, change) in &mut changes {
                if said(judged.get(*name)) == said(Some(row)) {
                    change.set_right_by.push(what.clone());
                }
            }
        }
    }
    Ok(changes.into_iter().map(|(_, _, change)| change).collect())
}

/// A case as if every point had been placed by hand, without what is planned.
fn as_placed(case: &Case) -> Case {
    let mut case = case.clone();
    let plain = |point: &mut Point| point.sd_px = None;
    let marks = |landmarks: &mut Landmarks| {
        landmarks.marks.retain(|_, mark| !mark.point().is_some_and(Point::is_planned));
        for mark in landmarks.marks.values_mut() {
            if let Mark::Placed(point) = mark {
                plain(point);
            }
        }
    };
    marks(&mut case.landmarks);
    for root in &mut case.roots {
        marks(&mut root.landmarks);
        root.canal.iter_mut().for_each(plain);
        root.sections.iter_mut().flat_map(|section| &mut section.points).for_each(plain);
    }
    case
}

/// What a film of the key's stage shows nothing of yet, and the key says nothing of, is no matter of right or wrong: whoever marks
/// it absent has no other verdict than whoever leaves it.
fn leave_what_is_not_yet(own: &mut Case, key: &Case) {
    let is_open = |id: LandmarkId, known: Option<&Landmarks>| {
        let is_not_yet = matches!(id.landmark().sight(key.film.stage), Sight::NotYet(_));
        is_not_yet && !known.is_some_and(|known| known.marks.contains_key(&id))
    };
    own.landmarks.marks.retain(|id, _| !is_open(*id, Some(&key.landmarks)));
    for root in &mut own.roots {
        let known = key.roots.iter().find(|known| known.name == root.name).map(|known| &known.landmarks);
        root.landmarks.marks.retain(|id, _| !is_open(*id, known));
    }
}

/// The case with one thing of the key's in its place, for each thing in which they differ.
fn corrections(own: &Case, right: &Case) -> Vec<(SetRight, Case)> {
    let mut all = Vec::new();
    let mut push = |landmark, root, corrected| all.push((SetRight { landmark, root }, corrected));
    for (id, mark) in differing(&own.landmarks, &right.landmarks) {
        let mut corrected = own.clone();
        corrected.landmarks.marks.insert(id, mark.clone());
        push(id.key(), None, corrected);
    }
    for root in &right.roots {
        let name = Some(root.name.word());
        let index = own.roots.iter().position(|own| own.name == root.name);
        let with = |change: &dyn Fn(&mut Root)| {
            let mut corrected = own.clone();
            if let Some(own) = index.and_then(|index| corrected.roots.get_mut(index)) {
                change(own);
            }
            corrected
        };
        let Some(mine) = index.and_then(|index| own.roots.get(index)) else { continue };
        for (id, mark) in differing(&mine.landmarks, &root.landmarks) {
            push(id.key(), name, with(&|own| drop(own.landmarks.marks.insert(id, mark.clone()))));
        }
        if !root.canal.is_empty() && mine.canal != root.canal {
            push("canal", name, with(&|own| own.canal.clone_from(&root.canal)));
        }
        if !root.sections.is_empty() && mine.sections != root.sections {
            push("sections", name, with(&|own| own.sections.clone_from(&root.sections)));
        }
    }
    if own.calibration.references != right.calibration.references {
        let mut corrected = own.clone();
        corrected.calibration.references.clone_from(&right.calibration.references);
        push("calibration", None, corrected);
    }
    all
}

fn differing<'a>(
    own: &'a Landmarks,
    right: &'a Landmarks,
) -> impl Iterator<Item = (LandmarkId, &'a Mark)> + use<'a> {
    right.marks.iter().filter(|(id, mark)| own.marks.get(id) != Some(mark)).map(|(id, mark)| (*id, mark))
}
