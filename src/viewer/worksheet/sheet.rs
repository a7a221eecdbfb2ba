//! What stands in the worksheet, in words: made anew only when the case or its numbers changed. No drawing.

use super::super::work::Work;
use super::lacks::{LackLine, lack_lines};
use super::plan_progress::ToSettle;
use super::progress::{Progress, progress, requirements};
use super::results::{Block, blocks};
use crate::case::State;
use crate::caution::CautionKind;
use crate::editor::Step;
use crate::report::{all_about_words, tallies};
use std::sync::Arc;

/// A caution in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct CautionLine {
    /// What it is about; empty for the whole case.
    pub(super) about: String,
    /// What to know.
    pub(super) text: String,
}

/// What stands in the worksheet.
#[derive(Debug, Clone, Default)]
pub(super) struct Sheet {
    /// What is to be settled before a post is planned.
    pub(super) settle: ToSettle,
    /// The verdicts counted, what is there and what is planned apart.
    pub(super) summary: Vec<String>,
    /// What is to be read first.
    pub(super) cautions: Vec<CautionLine>,
    /// How each part stands.
    pub(super) progress: Vec<Progress>,
    /// What comes next.
    pub(super) next: Option<Step>,
    /// Measurements and verdicts.
    pub(super) blocks: Vec<Block>,
    /// What could not be measured, and why.
    pub(super) lacks: Vec<LackLine>,
    /// Why nothing could be computed.
    pub(super) failed: Option<String>,
}

/// What a sheet was made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct MadeFrom {
    opened: std::time::Instant,
    revision: u64,
    numbers: usize,
    drawn: usize,
    film: std::mem::Discriminant<super::super::shown_film::FilmState>,
    reported: Option<u64>,
}

/// The sheet as it was made last.
#[derive(Debug, Default)]
pub(super) struct Kept {
    made_from: Option<MadeFrom>,
    sheet: Arc<Sheet>,
}

impl Kept {
    /// What stands in the worksheet now.
    pub(super) fn of(&mut self, work: &Work) -> Arc<Sheet> {
        let now = MadeFrom {
            opened: work.opened,
            revision: work.open.revision(),
            numbers: Arc::as_ptr(&work.numbers).addr(),
            drawn: work.drawn.as_ref().map_or(0, |(_, drawn)| Arc::as_ptr(drawn).addr()),
            film: std::mem::discriminant(&work.film),
            reported: work.reported,
        };
        if self.made_from != Some(now) {
            self.sheet = Arc::new(Sheet::of(work));
            self.made_from = Some(now);
        }
        Arc::clone(&self.sheet)
    }
}

impl Sheet {
    /// What stands in the worksheet of a case.
    pub(super) fn of(work: &Work) -> Self {
        let case = work.open.case();
        let numbers = match &*work.numbers {
            Ok(numbers) => numbers,
            Err(why) => {
                return Self {
                    progress: progress(work, None).into(),
                    next: work.next_step(),
                    failed: Some(why.to_string()),
                    ..Self::default()
                };
            }
        };
        let derived = work.shown_numbers().unwrap_or_else(|| numbers.derived.clone());
        let criteria = &work.open.engine().criteria;
        let counted: Vec<_> = [State::Present, State::Planned]
            .map(|state| (state, tallies(&derived, criteria, state)))
            .into_iter()
            .filter(|(_, tallies)| !tallies.is_empty())
            .collect();
        let summary = counted
            .iter()
            .flat_map(|(state, tallies)| {
                let lead = if *state == State::Planned { "Planned, " } else { "" };
                tallies.iter().map(move |tally| format!("{lead}{}", tally.words()))
            })
            .collect();
        let next = work.next_step();
        // While landmarks are still to be placed, what is said for want of them stands last: it mostly goes by itself.
        let (waiting, others): (Vec<_>, Vec<_>) = derived.cautions.iter().partition(|caution| {
            let for_want = [CautionKind::AxisFallback, CautionKind::FewerApices].map(CautionKind::id);
            matches!(next, Some(Step::Place(_))) && for_want.contains(&caution.id.as_str())
        });
        let cautions = others
            .into_iter()
            .chain(waiting)
            .map(|caution| CautionLine {
                about: all_about_words(case, &caution.about),
                text: caution.text.clone(),
            })
            .collect();
        let settle = work.planned().as_ref().as_ref().map(|it| ToSettle::of(&it.plan)).unwrap_or_default();
        Self {
            settle,
            summary,
            cautions,
            progress: progress(work, requirements(&counted)).into(),
            next,
            blocks: blocks(case, &derived, &numbers.measured, criteria),
            lacks: lack_lines(case, &derived.measurements),
            failed: None,
        }
    }
}
