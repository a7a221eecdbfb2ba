//! Judging: each criterion against the measurements it is about, tooth or root by root.

use super::conformity::{self, Decision};
use super::criteria::{Bound, Criterion};
use crate::case::{
    Case, Lack, Landmark, Part, Reason, RowRef, Site, State, Strength, Verdict, VerdictRow, Why,
};
use crate::measure::{Measured, Measurement, Missing, Repeat, Row, Source};
use crate::wording::list;

/// A site or section a criterion wants, with its measurement where there is one.
struct Wanted<'a> {
    of: RowRef,
    measurement: Option<&'a Measurement>,
}

/// Judges one criterion; one row for the tooth, or one for each root, or for information one for each site.
pub(super) fn judge(criterion: &Criterion, case: &Case, measured: &Measured) -> Vec<VerdictRow> {
    if !criterion.is_of_root() {
        return judge_group(criterion, None, case, measured);
    }
    if case.roots.is_empty() {
        let mut row = empty_row(criterion, vec![RowRef { id: criterion.measurement.clone(), root: None }]);
        if criterion.strength != Strength::Information {
            row.verdict = Some(Verdict::Undecided);
        }
        row.settled_by = Some("add the root and place its landmarks".to_owned());
        return vec![row];
    }
    (0..case.roots.len()).flat_map(|root| judge_group(criterion, Some(root), case, measured)).collect()
}

fn empty_row(criterion: &Criterion, about: Vec<RowRef>) -> VerdictRow {
    VerdictRow {
        criterion: criterion.id.clone(),
        strength: criterion.strength,
        about,
        verdict: None,
        probability: None,
        class: None,
        worst: None,
        state: None,
        settled_by: None,
    }
}

fn judge_group(
    criterion: &Criterion,
    root: Option<usize>,
    case: &Case,
    measured: &Measured,
) -> Vec<VerdictRow> {
    let wanted = wanted(criterion, root, case, measured);
    if criterion.strength == Strength::Information {
        return wanted.iter().map(|one| inform(criterion, one)).collect();
    }
    let mut row = empty_row(criterion, wanted.iter().map(|one| one.of.clone()).collect());
    if wanted.is_empty() {
        // A post beside no section: what would be judged has not been measured yet.
        row.about = vec![RowRef { id: criterion.measurement.clone(), root: root_word(case, root) }];
    }
    row.state = state(&wanted);
    if does_not_apply(criterion, root, case, &wanted) {
        row.verdict = Some(Verdict::DoesNotApply);
        return vec![row];
    }
    let probabilities: Vec<Option<f64>> = wanted
        .iter()
        .map(|one| {
            let value = one.measurement?.result.as_ref().ok()?;
            conformity::probability(value, &criterion.bound)
        })
        .collect();
    let Decision { verdict, probability, worst } = match criterion.bound {
        Bound::SitesAtLeast { sites, .. } => conformity::at_least(sites, &probabilities),
        _ => conformity::all(&probabilities),
    };
    row.verdict = Some(verdict);
    row.probability = probability;
    let worst = worst.and_then(|worst| wanted.get(worst));
    if wanted.len() > 1 {
        row.worst = worst.map(|worst| worst.of.clone());
    }
    if verdict == Verdict::Undecided {
        row.settled_by = Some(settled_by(criterion, &wanted, worst));
    }
    vec![row]
}

fn root_word(case: &Case, root: Option<usize>) -> Option<String> {
    root.and_then(|root| case.roots.get(root)).map(|root| root.name.word().to_owned())
}

/// Every site or section the criterion speaks of, measured or not.
fn wanted<'a>(
    criterion: &Criterion,
    root: Option<usize>,
    case: &Case,
    measured: &'a Measured,
) -> Vec<Wanted<'a>> {
    let mut wanted = Vec::new();
    for row in &criterion.rows {
        let mine = |it: &&Measurement| std::ptr::eq(it.row, *row) && it.root == root;
        if row.repeat == Repeat::ByProbedSite {
            for site in Site::PROBED {
                let measurement = measured.measurements.iter().filter(mine).find(|it| it.site == Some(site));
                let of = RowRef { id: format!("{}.{}", row.id, site.word()), root: root_word(case, root) };
                wanted.push(Wanted { of, measurement });
            }
        } else {
            wanted.extend(
                measured
                    .measurements
                    .iter()
                    .filter(mine)
                    .map(|measurement| Wanted { of: measurement.of.clone(), measurement: Some(measurement) }),
            );
        }
    }
    wanted
}

fn state(wanted: &[Wanted<'_>]) -> Option<State> {
    let judged = || wanted.iter().filter_map(|one| one.measurement).filter(|it| it.result.is_ok());
    let planned = judged().any(|it| it.state == State::Planned);
    judged().next().map(|_| if planned { State::Planned } else { State::Present })
}

/// The thing judged does not exist: a part the criterion judges is absent, or the post is in another root. A value
/// that could be made all the same (a seal of nothing, a core that is planned) is judged.
fn does_not_apply(criterion: &Criterion, root: Option<usize>, case: &Case, wanted: &[Wanted<'_>]) -> bool {
    if wanted.iter().any(|one| one.measurement.is_some_and(|it| it.result.is_ok())) {
        return false;
    }
    criterion.judges.iter().any(|part| is_absent(*part, root, case))
        || (criterion.judges.contains(&Part::Post) && post_is_elsewhere(root, case))
        || never_made(criterion, root, case)
}

/// Whether a part is known not to exist: one of the landmarks that bound it is absent.
fn is_absent(part: Part, root: Option<usize>, case: &Case) -> bool {
    if part == Part::Core && case.clinical.planned_core_height_mm.is_some() {
        return false;
    }
    let tooth = &case.landmarks.marks;
    let root = root.and_then(|root| case.roots.get(root)).map(|root| &root.landmarks.marks);
    std::iter::once(tooth)
        .chain(root)
        .flatten()
        .any(|(id, mark)| id.landmark().declaration().part == Some(part) && mark.is_absent())
}

/// Another root has the post, and this one shows none.
fn post_is_elsewhere(root: Option<usize>, case: &Case) -> bool {
    let Some(this) = root.and_then(|root| case.roots.get(root)) else { return false };
    let elsewhere = case.roots.iter().any(|other| other.name != this.name && other.post_here == Some(true));
    elsewhere && this.post_here != Some(true) && this.landmarks.point(Landmark::PostTip.id()).is_none()
}

/// A measurement that has no row here by its nature: a gap to the filling below a post that is only planned.
fn never_made(criterion: &Criterion, root: Option<usize>, case: &Case) -> bool {
    let planned = root
        .and_then(|root| case.roots.get(root))
        .and_then(|root| root.landmarks.point(Landmark::PostTip.id()))
        .is_some_and(crate::case::Point::is_planned);
    let only = |row: &&'static Row| row.applies == crate::measure::Applies::RootWithoutPlannedPost;
    planned && criterion.rows.iter().all(only)
}

fn inform(criterion: &Criterion, one: &Wanted<'_>) -> VerdictRow {
    let mut row = empty_row(criterion, vec![one.of.clone()]);
    let Some(measurement) = one.measurement else { return row };
    let Ok(value) = &measurement.result else { return row };
    row.state = Some(measurement.state);
    if let Bound::Classes(classes) = &criterion.bound {
        if let Some((name, probability)) = conformity::class(value, classes) {
            row.class = Some(name.to_owned());
            row.probability = Some(probability);
        }
    } else {
        row.probability = conformity::probability(value, &criterion.bound);
    }
    row
}

/// What would settle an undecided verdict: what is lacking, else the largest contributor to the worst variance.
fn settled_by(criterion: &Criterion, wanted: &[Wanted<'_>], worst: Option<&Wanted<'_>>) -> String {
    if wanted.is_empty() {
        return "place a section: four points across the root at one level".to_owned();
    }
    let unprobed: Vec<String> = wanted
        .iter()
        .filter(|one| one.measurement.is_none())
        .filter_map(|one| one.of.id.split_once('.'))
        .map(|(_, site)| site.to_owned())
        .collect();
    let mut lacking: Vec<Lack> = Vec::new();
    for one in wanted {
        match one.measurement.map(|it| &it.result) {
            Some(Err(Missing::Landmarks(lacks))) => lacks.iter().for_each(|lack| {
                if !lacking.contains(lack) {
                    lacking.push(lack.clone());
                }
            }),
            Some(Err(Missing::Reason(reason))) => return settled_by_reason(*reason).to_owned(),
            _ => {}
        }
    }
    let mut advice = Vec::new();
    if !lacking.is_empty() {
        let hidden = lacking.iter().any(|lack| lack.why == Why::Hidden);
        let names: Vec<String> = lacking.iter().map(Lack::words).collect();
        let how = if hidden { "another film that shows it, or placing: " } else { "placing: " };
        advice.push(format!("{how}{}", list(&names)));
    }
    if !unprobed.is_empty() {
        let what = criterion.rows.first().map_or("", |row| row.id).replace('_', " ");
        advice.push(format!("probing the {} {what}", list(&unprobed)));
    }
    if !advice.is_empty() {
        return advice.join("; ");
    }
    let Some(measurement) = worst.or(wanted.first()).and_then(|one| one.measurement) else {
        return "probing".to_owned();
    };
    let Ok(value) = &measurement.result else { return "placing its landmarks".to_owned() };
    match value.variances.shares().max_by(|(_, one), (_, other)| one.total_cmp(other)) {
        Some((source, share)) => format!(
            "{} (the largest part, {:.0} %, of what is uncertain of {})",
            settled_by_source(source, criterion.is_of_root()),
            100.0 * share,
            measurement.of.spoken()
        ),
        None => "a value that is certain lies on the bound".to_owned(),
    }
}

const fn settled_by_reason(reason: Reason) -> &'static str {
    match reason {
        Reason::NoScale => "a reference of known size on the film",
        Reason::NoAxis => "an instrument as reference, or margin and apex, to give the axial direction",
        Reason::Parallel => "checking the crest points: their line runs along the axis",
        Reason::DenominatorSmall => "checking the landmarks it is divided by: less than 0.5 mm apart",
        Reason::Below5Deg => "nothing: the canal is straight",
        Reason::Degenerate => "moving apart points that lie on one another, a reference's too",
    }
}

const fn settled_by_source(source: Source, of_root: bool) -> &'static str {
    match source {
        Source::Placing if of_root => "placing its points more exactly, or the mean of several placings",
        Source::Placing => "placing its points more exactly, or probing",
        Source::Reference => "a reference whose length is better known",
        Source::Ratio => "a reference in the other direction, or a film with receptor and tooth parallel",
        Source::Magnification => "an object of known size on the film",
        Source::Parallax => "sounding or probing, or a film whose vertical angle is known",
        Source::Reading => "a closer reading, by calliper or by the mean of several",
    }
}
