//! How a student comes along: the curves of the history, and which is looked at.

use crate::editor::attempts_of;
use crate::practice::{LearningCurve, learning_curves};
use crate::viewer::session::Session;
use std::path::PathBuf;

/// The learning curves of a history.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// Where the history stands.
    pub file: PathBuf,
    /// Whose.
    pub student: String,
    /// How many attempts.
    pub attempts: usize,
    /// Lines that cannot be read.
    pub unread: usize,
    /// One for each landmark.
    pub curves: Vec<LearningCurve>,
    /// Which is looked at.
    pub picked: usize,
}

impl Curves {
    /// Looks at another one.
    pub(super) fn pick(&mut self, at: usize) {
        if at < self.curves.len() {
            self.picked = at;
        }
    }
}

impl Session {
    /// Reads the student's history.
    pub(in crate::viewer) fn read_curves(&mut self) {
        let wishes = &self.remembered.practice;
        let student = wishes.student();
        let Some(file) = wishes.history_file(self.state_folder.as_deref()) else {
            self.practice.curves = None;
            return;
        };
        match attempts_of(&file) {
            Ok(history) => {
                let attempts = history.attempts.iter().filter(|it| it.student == student).count();
                let curves = learning_curves(&history.attempts, &student);
                // What was placed most often has the most to show.
                let placed = |curve: &LearningCurve| {
                    curve.points.iter().filter(|point| point.distance_mm.is_some()).count()
                };
                let most = curves.iter().map(placed).max().unwrap_or(0);
                let picked = curves.iter().position(|curve| placed(curve) == most).unwrap_or(0);
                let unread = history.unread.len();
                self.practice.curves = Some(Curves { file, student, attempts, unread, curves, picked });
            }
            Err(why) => {
                self.practice.curves = None;
                self.problem(why);
            }
        }
    }
}
