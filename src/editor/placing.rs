//! Placing a reference or a section point by point.

use super::half_placed::{HalfPlaced, Placing};
use super::history::Step;
use super::names;
use super::open_case::{Effect, OpenCase};
use super::refused::EditRefused;
use crate::calibration::Placed;
use crate::geometry::{Position, Stored};

impl OpenCase {
    /// What is being placed, with its points so far.
    pub const fn half_placed(&self) -> Option<&HalfPlaced> {
        self.half.as_ref()
    }

    /// Begins to place something; what was half-placed before is dropped. Beginning is no step of undo, its points
    /// are.
    ///
    /// # Errors
    /// A reference of this kind has no points to click.
    pub fn begin_placing(&mut self, what: Placing) -> Result<Vec<Effect>, EditRefused> {
        let half = HalfPlaced::begin(what, self.placings + 1)?;
        let before = self.before();
        self.settle_gesture();
        self.drop_half();
        self.placings += 1;
        self.put_half(Some(half));
        Ok(self.effects(&before))
    }

    /// Adds a point to what is being placed: one step of undo.
    ///
    /// # Errors
    /// Nothing is being placed, it has all its points, or the point lies nowhere on a film.
    pub fn click(
        &mut self,
        at: Position<Stored>,
        placed: Option<Placed>,
    ) -> Result<Vec<Effect>, EditRefused> {
        let half = self.half.as_ref().ok_or(EditRefused::NothingHalfPlaced)?;
        let next = half.with_point(at, placed)?;
        let name = format!("point {} of the {}", next.points.len(), next.what.words());
        Ok(self.step_half(name, Some(next)))
    }

    /// Moves a point clicked before; within a gesture all moves are one step.
    ///
    /// # Errors
    /// There is no such point, or the place lies nowhere on a film.
    pub fn move_click(&mut self, at: usize, to: Position<Stored>) -> Result<Vec<Effect>, EditRefused> {
        let half = self.half.as_ref().ok_or(EditRefused::NothingHalfPlaced)?;
        let next = half.with_moved(at, to)?;
        let name = format!("move point {} of the {}", at + 1, next.what.words());
        Ok(self.step_half(name, Some(next)))
    }

    /// Turns what is half-placed into one edit of the case: its points are one step of undo from now on.
    ///
    /// # Errors
    /// Points are missing, or the case refuses it, such as a reference without a size; it stays half-placed then.
    pub fn complete_placing(&mut self) -> Result<Vec<Effect>, EditRefused> {
        let before = self.before();
        self.settle_gesture();
        let half = self.half.as_ref().ok_or(EditRefused::NothingHalfPlaced)?;
        let number = half.number;
        let edit = half.completed(&self.case)?;
        if let Some((case, undo)) = self.tried(&edit)? {
            let name = names::edit(&edit, &self.case);
            self.history.forget_points(number);
            self.put_half(None);
            self.history.record(Step::of_edit(name, edit, undo));
            self.put(case);
        }
        Ok(self.effects(&before))
    }

    /// Drops what is half-placed. Where it had points, an undo brings them back.
    pub fn cancel_placing(&mut self) -> Vec<Effect> {
        let before = self.before();
        self.settle_gesture();
        self.drop_half();
        self.effects(&before)
    }

    fn drop_half(&mut self) {
        if let Some(half) = &self.half {
            if half.points.is_empty() {
                self.put_half(None);
            } else {
                let name = format!("drop the half-placed {}", half.what.words());
                self.step_half(name, None);
            }
        }
    }

    fn step_half(&mut self, name: String, next: Option<HalfPlaced>) -> Vec<Effect> {
        let before = self.before();
        if next != self.half {
            self.history.record(Step::of_half(name, self.half.clone(), next.clone()));
            self.put_half(next);
        }
        self.effects(&before)
    }

    pub(super) fn put_half(&mut self, half: Option<HalfPlaced>) {
        self.half = half;
        self.content += 1;
    }
}
