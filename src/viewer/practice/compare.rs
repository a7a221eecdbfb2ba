//! What was placed, beside the key; and the line it adds to the student's history.

use super::Practising;
use super::store::{self, COMPARED};
use crate::agreement::signed;
use crate::case::{Case, Document, Replace};
use crate::editor::{append_attempts, in_utc, private_folder};
use crate::film::Sha256;
use crate::practice::{Attempt, AttemptLandmark, HISTORY_FORMAT, HISTORY_VERSION, Score, score};
use crate::report::{Scored, Style, score_foot, score_text};
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
    /// What was compared, as [`store::placed`] has it; none where the case was changed since and that was not kept.
    pub(super) placed: Option<Box<Case>>,
}

impl Compared {
    /// What is to be said of a case that is not any more what was compared.
    pub fn changed_words(&self, case: &Case) -> Option<&'static str> {
        match &self.placed {
            None => Some(
                "The case was changed since it was compared, and what was placed then was not kept here. This compares the case \
                 as it was opened.",
            ),
            Some(placed) if **placed != store::placed(case) => {
                Some("The case was changed since it was compared. This compares what was placed before.")
            }
            Some(_) => None,
        }
    }
}

impl Session {
    /// Compares what is placed with the key, keeps the case and the attempt.
    pub(super) fn compare(&mut self) {
        let Some(work) = &self.work else { return };
        let placed = store::placed(work.open.case());
        let Some(compared) = self.scored(&placed) else { return };
        let score = match compared {
            Ok(score) => score,
            Err(why) => {
                self.problem(format!("this cannot be compared: it {why}"));
                return;
            }
        };
        let (digest, kept) = store::put_compared(self.state_folder.as_deref(), &placed);
        if let Err(why) = kept {
            self.problem(format!("what was compared was not put by: {why}"));
        }
        if let Some(work) = &mut self.work {
            work.open.note(COMPARED, &digest.into());
        }
        self.keep_case();
        let kept = self.keep_attempt(&score).unwrap_or_else(|why| {
            self.problem(why.clone());
            why
        });
        let Some(work) = &mut self.work else { return };
        work.aim = None;
        work.open.select(None);
        work.viewport.fit();
        if let Some(practice) = &mut work.practice {
            practice.take_in(score, kept, Some(placed));
            practice.shows_comparison = true;
        }
    }

    /// What a case that was compared before comes to, without keeping it again.
    pub(super) fn compare_again(&mut self) {
        let Some(work) = &self.work else { return };
        let placed = store::compared_of(work.open.case(), self.state_folder.as_deref());
        let compared = placed.as_ref().unwrap_or(work.open.case());
        let scored = self.scored(compared);
        let Some(work) = &mut self.work else { return };
        match (scored, &mut work.practice) {
            (Some(Ok(score)), Some(practice)) => {
                let kept = "This case was compared before; it counts once in the history.".to_owned();
                practice.take_in(score, kept, placed);
            }
            (scored, _) => {
                // It hides nothing any more, and there is nothing to show beside it.
                work.practice = None;
                let why = match scored {
                    Some(Err(why)) => format!("it {why}"),
                    _ => "the key it was compared with is gone".to_owned(),
                };
                self.problem(format!("the comparison of this case cannot be shown again: {why}"));
            }
        }
    }

    /// The comparison that is shown, as a text: the words of `crestgauge score`, and before them that the case is another one by now.
    pub(super) fn copy_comparison(&mut self) {
        let Some(work) = &self.work else { return };
        let Some(practice) = &work.practice else { return };
        let (Some(known), Some(compared)) = (&practice.key, &practice.compared) else { return };
        let case = work.open.case();
        let student = signed(case).observer.unwrap_or_else(|| self.remembered.practice.student());
        let key = known.key.case();
        let tooth = key.tooth.fdi.map(|fdi| fdi.to_string());
        let of = Scored {
            student: &student,
            // Files are for the disk; the text names none.
            key_file: "",
            case_file: "",
            tooth: tooth.as_deref(),
            consensus: compared.is_consensus,
        };
        let changed = compared.changed_words(case).map(|words| format!("{words}\n\n")).unwrap_or_default();
        let text = score_text(&of, key, &compared.score, &work.open.engine().criteria, Style::Plain);
        self.copied = Some(format!("{changed}{text}{}", score_foot()));
        self.done("copied the comparison".to_owned());
    }

    /// The score of what was placed in the open case; `None` where that has no key.
    fn scored(&self, placed: &Case) -> Option<Result<Score, String>> {
        let work = self.work.as_ref()?;
        let known = work.practice.as_ref()?.key.as_ref()?;
        let engine = work.open.engine();
        Some(score(&known.key, placed, &engine.library, &engine.criteria).map_err(|why| why.to_string()))
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

impl Practising {
    /// Takes in what comparing came to.
    fn take_in(&mut self, score: Score, kept: String, placed: Option<Case>) {
        let is_consensus = self.key.as_ref().is_some_and(|known| known.key.is_consensus());
        let placed = placed.map(Box::new);
        self.compared = Some(Arc::new(Compared { score, is_consensus, kept, placed }));
    }
}
