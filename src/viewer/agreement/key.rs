//! What the compared cases agree on, written as a key that students are scored against.

use crate::case::Replace;
use crate::editor::{WrittenConsensus, write_consensus};
use crate::report::{consensus_words, left_out_words};
use crate::viewer::session::Session;
use std::sync::Arc;

/// The key's file.
const NAME: &str = "consensus.case.json";

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
        match write_consensus(&outcome.files, None, &folder.join(NAME), Replace::No, &engine.library) {
            Ok(WrittenConsensus { consensus, no_key_yet }) => {
                if let Some(why) = no_key_yet {
                    self.problem(format!("{NAME}: {why}"));
                }
                // What was done is soon old news; what is lacking stays until it was read.
                if let Some(lacking) = left_out_words(&consensus) {
                    self.problem(format!("{NAME}: {lacking}"));
                }
                self.done(format!("wrote {NAME} in {}: {}", folder.display(), consensus_words(&consensus)));
            }
            Err(failed) => {
                for why in failed {
                    self.problem(why);
                }
            }
        }
    }
}
