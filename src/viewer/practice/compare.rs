//! What was placed, beside the key; and the line it adds to the student's history.

use super::store;
use crate::case::{Document, Replace};
use crate::editor::{append_attempts, in_utc, private_folder};
use crate::film::Sha256;
use crate::practice::{Attempt, AttemptLandmark, HISTORY_FORMAT, HISTORY_VERSION, Score, score};
use crate::viewer::neighbours::{CASE_ENDING, numbered};
use crate::viewer::session::Session;
use std::path::Path;
use std::sync::Arc;
use std::time::SystemTime;

/// What came of a comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The score.
    pub score: Score,
    /// Whether the key is a consensus and no truth.
    pub is_consensus: bool,
    /// Where it was added to, or why it was not.
    pub kept: String,
}

impl Session {
    /// Compares what is placed with the key, keeps the case and the attempt.
    pub(super) fn compare(&mut self) {
        let Some(compared) = self.scored() else { return };
        let compared = match compared {
            Ok(score) => score,
            Err(why) => {
                self.problem(format!("this cannot be compared: it {why}"));
                return;
            }
        };
        self.keep_case();
        let kept = self.keep_attempt(&compared).unwrap_or_else(|why| {
            self.problem(why.clone());
            why
        });
        let state_folder = self.state_folder.clone();
        let Some(work) = &mut self.work else { return };
        store::unseal(state_folder.as_deref(), work.open.case());
        work.aim = None;
        work.open.select(None);
        work.viewport.fit();
        if let Some(practice) = &mut work.practice {
            let is_consensus = practice.key.as_ref().is_some_and(|known| known.key.is_consensus());
            practice.compared = Some(Arc::new(Compared { score: compared, is_consensus, kept }));
            practice.shows_comparison = true;
        }
    }

    /// What a case that was compared before comes to, without keeping it again.
    pub(super) fn compare_again(&mut self) {
        let Some(Ok(score)) = self.scored() else { return };
        let Some(practice) = self.work.as_mut().and_then(|work| work.practice.as_mut()) else { return };
        let is_consensus = practice.key.as_ref().is_some_and(|known| known.key.is_consensus());
        let kept = "This case was compared before; it counts once in the history.".to_owned();
        practice.compared = Some(Arc::new(Compared { score, is_consensus, kept }));
    }

    /// The score of the open case; `None` where it has no key.
    fn scored(&self) -> Option<Result<Score, String>> {
        let work = self.work.as_ref()?;
        let known = work.practice.as_ref()?.key.as_ref()?;
        let engine = work.open.engine();
        Some(
            score(&known.key, work.open.case(), &engine.library, &engine.criteria)
                .map_err(|why| why.to_string()),
        )
    }

    /// Saves the case beside its film, so that nobody is asked about it and nothing is lost.
    fn keep_case(&mut self) {
        let Some(work) = &mut self.work else { return };
        let saved = if work.open.file().is_some() {
            work.open.save(Replace::No)
        } else {
            let case = work.open.case();
            let film = case.film.file.as_deref().map(Path::new).and_then(Path::file_stem);
            let stem = film.map_or_else(|| "film".into(), |stem| stem.to_string_lossy());
            let folder = work.open.folder().to_path_buf();
            let first = folder.join(format!("{stem}{CASE_ENDING}"));
            let file = if first.exists() { numbered(&folder, &stem) } else { first };
            work.open.save_as(&file, Replace::No)
        };
        let named = work.film_named();
        work.film_of = named;
        if let Err(why) = saved {
            self.problem(format!("the case was not saved: {why}"));
        }
    }

    /// Adds the attempt to the student's history, and says where.
    fn keep_attempt(&self, score: &Score) -> Result<String, String> {
        let wishes = &self.remembered.practice;
        let (Some(work), Some(file)) = (&self.work, wishes.history_file(self.state_folder.as_deref())) else {
            return Err(
                "the attempt was not kept: there is no folder for a history; name a file for it in the practice window"
                    .to_owned(),
            );
        };
        if wishes.history.trim().is_empty()
            && let Some(folder) = file.parent()
        {
            private_folder(folder)
                .map_err(|error| format!("{}: cannot be made: {error}", folder.display()))?;
        }
        let case = work.open.case();
        // As on the command line, a case is known by its file; one that could not be saved by its text.
        let saved = work.open.file().and_then(|file| std::fs::read(file).ok());
        let text = serde_json::to_vec(&Document { case, derived: None, case_file: None });
        let bytes = saved.or(text.ok()).unwrap_or_default();
        let known = work.practice.as_ref().and_then(|practice| practice.key.as_ref());
        let student = wishes.student();
        let attempt = Attempt {
            format: HISTORY_FORMAT.to_owned(),
            version: HISTORY_VERSION,
            when: in_utc(SystemTime::now()),
            student: student.clone(),
            film_sha256: case.film.sha256.clone(),
            tooth: case.tooth.fdi.map(|fdi| fdi.to_string()),
            key_sha256: known.map(|known| known.sha256.clone()).unwrap_or_default(),
            case_sha256: Sha256::of(&bytes).to_string(),
            landmarks: AttemptLandmark::of(score),
        };
        let history = append_attempts(&file, &[attempt])?;
        let attempts = history.attempts.iter().filter(|it| it.student == student).count();
        let unread = match history.unread.len() {
            0 => String::new(),
            count => format!("; {count} of its lines cannot be read and were left alone"),
        };
        Ok(format!("Added to the history of {student} as attempt {attempts}: {}{unread}", file.display()))
    }
}
