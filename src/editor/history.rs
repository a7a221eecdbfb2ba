//! What was done and can be taken back, without limit: edits and their inverses, not copies of the case.

use super::edit::Edit;
use super::half_placed::HalfPlaced;
use crate::case::Case;

/// One step of undo.
#[derive(Debug, Clone)]
pub(super) struct Step {
    /// What it is called.
    pub(super) name: String,
    /// The edits, in the order they were made.
    pub(super) redo: Vec<Edit>,
    /// Their inverses, in the same order.
    pub(super) undo: Vec<Edit>,
    /// What was half-placed before and after, where that changed.
    pub(super) half: Option<HalfChange>,
}

/// A change of what is half-placed.
#[derive(Debug, Clone)]
pub(super) struct HalfChange {
    pub(super) before: Option<HalfPlaced>,
    pub(super) after: Option<HalfPlaced>,
}

impl Step {
    pub(super) fn of_edit(name: String, redo: Edit, undo: Edit) -> Self {
        Self { name, redo: vec![redo], undo: vec![undo], half: None }
    }

    pub(super) fn of_half(name: String, before: Option<HalfPlaced>, after: Option<HalfPlaced>) -> Self {
        Self { name, redo: Vec::new(), undo: Vec::new(), half: Some(HalfChange { before, after }) }
    }

    /// Takes a later step of the same gesture in. An edit that overwrites the last one takes its place, so that a
    /// long drag holds no more than a short one.
    fn absorb(&mut self, later: Self) {
        for (redo, undo) in later.redo.into_iter().zip(later.undo) {
            match self.redo.last_mut() {
                Some(last) if redo.overwrites(last) => *last = redo,
                _ => {
                    self.redo.push(redo);
                    self.undo.push(undo);
                }
            }
        }
        if let Some(HalfChange { before, after }) = later.half {
            let before = self.half.take().map_or(before, |half| half.before);
            self.half = Some(HalfChange { before, after });
        }
    }
}

/// Where a gesture began.
#[derive(Debug)]
struct Gesture {
    case: Case,
    half: Option<HalfPlaced>,
    step: Option<Step>,
}

/// Steps done and steps taken back.
#[derive(Debug, Default)]
pub(super) struct History {
    done: Vec<Step>,
    undone: Vec<Step>,
    gesture: Option<Gesture>,
}

impl History {
    /// Takes a step in: into the gesture that is going on, or as a step of its own.
    pub(super) fn record(&mut self, step: Step) {
        if let Some(gesture) = &mut self.gesture {
            match &mut gesture.step {
                Some(begun) => begun.absorb(step),
                None => gesture.step = Some(step),
            }
        } else {
            self.undone.clear();
            self.done.push(step);
        }
    }

    pub(super) fn begin_gesture(&mut self, case: &Case, half: Option<&HalfPlaced>) {
        self.gesture = Some(Gesture { case: case.clone(), half: half.cloned(), step: None });
    }

    pub(super) const fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }

    /// Ends the gesture: one step, or none where everything is as it was, which is then given back.
    pub(super) fn end_gesture(
        &mut self,
        case: &Case,
        half: Option<&HalfPlaced>,
    ) -> Option<(Case, Option<HalfPlaced>)> {
        let Gesture { case: case_before, half: half_before, step } = self.gesture.take()?;
        if case_before == *case && half_before.as_ref() == half {
            return Some((case_before, half_before));
        }
        if let Some(step) = step {
            self.record(step);
        }
        None
    }

    /// Drops the gesture and gives what there was before it.
    pub(super) fn cancel_gesture(&mut self) -> Option<(Case, Option<HalfPlaced>)> {
        self.gesture.take().map(|gesture| (gesture.case, gesture.half))
    }

    /// The step to be taken back next: that of the gesture that is going on, where it did something.
    pub(super) fn next_undo(&self) -> Option<&Step> {
        let going_on = self.gesture.as_ref().and_then(|gesture| gesture.step.as_ref());
        going_on.or_else(|| self.done.last())
    }

    /// The step to be made again next.
    pub(super) fn next_redo(&self) -> Option<&Step> {
        self.undone.last()
    }

    /// Counts the last step as taken back.
    pub(super) fn step_back(&mut self) {
        self.undone.extend(self.done.pop());
    }

    /// Counts the next step as made again.
    pub(super) fn step_forward(&mut self) {
        self.done.extend(self.undone.pop());
    }

    /// Forgets the single points of something half-placed that is whole now: they become one step.
    pub(super) fn forget_points(&mut self, number: u64) {
        let is_it = |half: &Option<HalfPlaced>| half.as_ref().is_some_and(|half| half.number == number);
        for step in &mut self.done {
            if step.half.as_ref().is_some_and(|half| is_it(&half.before) || is_it(&half.after)) {
                step.half = None;
            }
        }
        self.done.retain(|step| !step.redo.is_empty() || step.half.is_some());
    }

    /// Every edit kept here.
    pub(super) fn edits_mut(&mut self) -> impl Iterator<Item = &mut Edit> {
        self.done
            .iter_mut()
            .chain(&mut self.undone)
            .flat_map(|step| step.redo.iter_mut().chain(&mut step.undo))
    }
}
