//! What the compared cases agree on, written as a key that students are scored against.

use crate::case::{self, Replace};
use crate::editor::{WrittenConsensus, write_consensus};
use crate::report::{consensus_words, left_out_words};
use crate::viewer::neighbours::{CASE_ENDING, numbered};
use crate::viewer::opening::file_name;
use crate::viewer::session::Session;
use std::path::PathBuf;
use std::sync::Arc;

/// The name of the key's file; where it is taken, with a number.
const STEM: &str = "consensus";

impl Session {
    /// Writes the consensus of the cases that were compared.
    pub(super) fn write_key(&mut self) {
        let (Some(outcome), Some(agreement)) = (self.agreement.outcome.clone(), self.agreement.agreement())
        else {
            return;
        };
        if agreement.teeth > 1 {
            self.problem(format!(
                "the cases are of {} teeth, and a key is of one tooth on one film: compare the cases of one",
                agreement.teeth
            ));
            return;
        }
        let folder = self.agreement.files_go_to();
        if let Err(error) = std::fs::create_dir_all(&folder) {
            self.problem(format!("{}: cannot be made: {error}", folder.display()));
            return;
        }
        let engine = Arc::clone(&self.engine);
        // A key that was written before lies among the cases, and is none: that it was left out is said beside them.
        let is_key = |file: &PathBuf| case::read(file).is_ok_and(|read| read.case.consensus().is_some());
        let cases: Vec<PathBuf> = outcome.files.iter().filter(|file| !is_key(file)).cloned().collect();
        let first = folder.join(format!("{STEM}{CASE_ENDING}"));
        let file = if first.exists() { numbered(&folder, STEM) } else { first };
        let name = file_name(&file);
        match write_consensus(&cases, None, &file, Replace::No, &engine.library) {
            Ok(WrittenConsensus { consensus, no_key_yet }) => {
                if let Some(why) = no_key_yet {
                    self.problem(format!("{name}: {why}"));
                }
                // What was done is soon old news; what is lacking stays until it was read.
                if let Some(lacking) = left_out_words(&consensus) {
                    self.problem(format!("{name}: {lacking}"));
                }
                self.done(format!("wrote {name} in {}: {}", folder.display(), consensus_words(&consensus)));
            }
            Err(failed) => {
                for why in failed {
                    self.problem(why);
                }
            }
        }
    }
}
