//! `crestgauge score`: a key and cases in, errors out.

use super::arguments::Score;
use super::console::{Exit, Reader, complain, print, style};
use super::stem::stems;
use crate::calibration::Library;
use crate::case::{self, ReadCase};
use crate::editor::{append_attempts, in_utc};
use crate::practice::{
    Attempt, AttemptLandmark, HISTORY_FORMAT, HISTORY_VERSION, Key, learning_curves, score,
};
use crate::report::{self, Scored};
use crate::verdict::Criteria;
use std::path::Path;
use std::time::SystemTime;

pub(super) fn run(arguments: &Score) -> Exit {
    let prepared = prepare(arguments);
    let Prepared { key, key_sha256, library, criteria } = match prepared {
        Ok(prepared) => prepared,
        Err(why) => {
            complain(&why);
            return Exit::SomeFailed;
        }
    };
    let mut run = Run {
        arguments,
        key,
        key_file: arguments.key.display().to_string(),
        key_sha256,
        library,
        criteria,
        attempts: Vec::new(),
    };
    let mut exit = Exit::Done;
    if arguments.csv {
        let mut header = String::new();
        report::csv_record(&mut header, report::SCORE_HEADER);
        if print(&header) != Reader::Listening {
            return Exit::Done;
        }
    }
    for (index, (file, student)) in arguments.cases.iter().zip(stems(&arguments.cases)).enumerate() {
        let printed = match run.one(file, &student) {
            Ok(text) if index > 0 && run.is_text() => print(&format!("\n{text}")),
            Ok(text) => print(&text),
            Err(why) => {
                complain(&why);
                exit = Exit::SomeFailed;
                continue;
            }
        };
        // A reader that left wants no more output; the history is kept all the same.
        if printed == Reader::Failed {
            exit = Exit::SomeFailed;
        }
    }
    match run.close() {
        Ok(text) => {
            if print(&text) == Reader::Failed {
                exit = Exit::SomeFailed;
            }
        }
        Err(why) => {
            complain(&why);
            exit = Exit::SomeFailed;
        }
    }
    exit
}

struct Prepared {
    key: Key,
    key_sha256: String,
    library: Library,
    criteria: Criteria,
}

fn prepare(arguments: &Score) -> Result<Prepared, String> {
    let library = match &arguments.references {
        Some(file) => Library::with_file(file),
        None => Library::embedded(),
    };
    let criteria = match &arguments.criteria {
        Some(file) => Criteria::from_file(file),
        None => Criteria::default_set(),
    };
    let library = library.map_err(|error| error.to_string())?;
    let (ReadCase { case, .. }, digest) =
        case::read_hashed(&arguments.key).map_err(|error| error.to_string())?;
    let key = Key::of(&case, &library).map_err(|error| format!("{}: {error}", arguments.key.display()))?;
    Ok(Prepared {
        key,
        key_sha256: digest.to_string(),
        library,
        criteria: criteria.map_err(|error| error.to_string())?,
    })
}

struct Run<'a> {
    arguments: &'a Score,
    key: Key,
    key_file: String,
    key_sha256: String,
    library: Library,
    criteria: Criteria,
    attempts: Vec<Attempt>,
}

impl Run<'_> {
    fn is_text(&self) -> bool {
        !self.arguments.csv && !self.arguments.json
    }

    fn one(&mut self, file: &Path, student: &str) -> Result<String, String> {
        let case_file = file.display().to_string();
        let (ReadCase { case, .. }, digest) = case::read_hashed(file).map_err(|error| error.to_string())?;
        let score = score(&self.key, &case, &self.library, &self.criteria)
            .map_err(|error| format!("{case_file}: {error}"))?;
        let tooth = self.key.case().tooth.fdi.map(|fdi| fdi.to_string());
        if self.arguments.history.is_some() {
            self.attempts.push(Attempt {
                format: HISTORY_FORMAT.to_owned(),
                version: HISTORY_VERSION,
                when: in_utc(SystemTime::now()),
                student: student.to_owned(),
                film_sha256: case.film.sha256.clone(),
                tooth: tooth.clone(),
                key_sha256: self.key_sha256.clone(),
                case_sha256: digest.to_string(),
                landmarks: AttemptLandmark::of(&score),
            });
        }
        let of = Scored {
            student,
            key_file: &self.key_file,
            case_file: &case_file,
            tooth: tooth.as_deref(),
            consensus: self.key.is_consensus(),
        };
        if self.arguments.csv {
            return Ok(report::score_csv(&of, &score));
        }
        if self.arguments.json {
            return report::score_json(&of, &score)
                .map(|line| line + "\n")
                .map_err(|error| format!("{case_file}: {error}"));
        }
        Ok(report::score_text(&of, self.key.case(), &score, &self.criteria, style()))
    }

    /// Keeps the history, and says how the student comes along where there is only one.
    fn close(&self) -> Result<String, String> {
        let mut text = String::new();
        if let Some(file) = self.arguments.history.as_ref().filter(|_| !self.attempts.is_empty()) {
            let history = append_attempts(file, &self.attempts)?;
            for unread in &history.unread {
                complain(&format!("{}: {unread}", file.display()));
            }
            if let ([attempt], true) = (self.attempts.as_slice(), self.is_text()) {
                let curves = learning_curves(&history.attempts, &attempt.student);
                text = report::learning_text(&attempt.student, &curves, style());
            }
        }
        if self.is_text() {
            text.push_str(&report::score_foot());
        }
        Ok(text)
    }
}
