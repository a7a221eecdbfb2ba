//! How the parts of the plan stand: the first look, post depth, ferrule recovery. No drawing.

use super::super::planning::{Planned, TipKind};
use super::super::work::Work;
use super::progress::Progress;
use crate::case::Finding;
use crate::plan::{Plan, Settle, SettleState};
use crate::report::plan_words;

/// What is to be settled before a post is planned, in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct ToSettle {
    /// What was found, or measured.
    pub(super) red: Vec<String>,
    /// What nobody looked at.
    pub(super) blank: Vec<String>,
}

impl ToSettle {
    /// What a case has to settle.
    pub(super) fn of(plan: &Plan) -> Self {
        let in_state = |state: SettleState| plan.settle.iter().filter(move |row| row.state == state);
        Self {
            red: in_state(SettleState::Red).map(plan_words::settle).collect(),
            blank: in_state(SettleState::Blank)
                .map(|row| row.words.trim_end_matches('?').to_owned())
                .collect(),
        }
    }
}

/// How first look, plan and recovery stand.
pub(super) fn progress(work: &Work) -> [Progress; 3] {
    let planned = work.planned();
    match planned.as_ref() {
        Ok(planned) => [first_look(&planned.plan), post(work, planned), recovery(&planned.plan)],
        Err(_) => [(); 3].map(|()| Progress::to_do("nothing can be computed yet")),
    }
}

fn first_look(plan: &Plan) -> Progress {
    let of_look = |row: &&Settle| Finding::ALL.iter().any(|finding| finding.declaration().key == row.about);
    let count = |state| plan.settle.iter().filter(of_look).filter(|row| row.state == state).count();
    match (count(SettleState::Red), count(SettleState::Blank)) {
        (0, 0) => Progress::done(),
        (0, blank) => Progress::to_do(format!("{blank} not looked at")),
        (red, _) => Progress::look(format!("{red} to settle")),
    }
}

fn post(work: &Work, planned: &Planned) -> Progress {
    let plan = &planned.plan;
    let needed = || Progress::to_do(format!("{} needed", plan.needs.len()));
    if planned.depths.is_none() {
        return needed();
    }
    if plan.window.is_none() {
        return if plan.conflicts.is_empty() {
            Progress::to_do("no requirement can be judged")
        } else {
            Progress::look("no depth is admissible")
        };
    }
    match planned.placed_tip(work.open.case()) {
        Some(tip) if tip.kind == TipKind::Planned && planned.beyond(tip.depth).is_some() => {
            Progress::look("the tip is outside the window")
        }
        // Without a setting nothing of the plan comes to the chair.
        Some(_) if plan.card.set_at.is_none() && !plan.needs.is_empty() => needed(),
        Some(_) => Progress::done(),
        None => Progress::to_do("no tip planned yet"),
    }
}

fn recovery(plan: &Plan) -> Progress {
    let sites = &plan.recovery.sites;
    let unknown = sites.iter().filter(|site| site.lacks.is_some()).count();
    let is_lifted = sites.iter().any(|site| site.lift_needed_mm.is_some_and(|lift| lift.value > 0.0));
    match (sites.len(), unknown) {
        (0, _) => Progress::to_do("nothing can be reckoned yet"),
        _ if is_lifted => Progress::look("a lift is needed"),
        (_, 0) => Progress::done(),
        (_, 1) => Progress::to_do("1 site not known"),
        (_, unknown) => Progress::to_do(format!("{unknown} sites not known")),
    }
}
