//! The first look: what is asked of a tooth before any number of a plan. Each finding is declared once, in the table
//! below; reader, schema, documents and the list of what to settle follow from it.

use super::clinical::Reading;
use super::document::{Case, Stage};
use super::tooth::Fdi;
use crate::calibration::Extra;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// One word a finding can be answered with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// The word in files.
    pub word: &'static str,
    /// What it asks for before a post is planned; `None` where it asks for nothing.
    pub settle: Option<&'static str>,
}

/// What a finding is answered with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answers {
    /// One of a few words.
    Words(&'static [Choice]),
    /// A whole number from 0.
    Count {
        /// The largest there is.
        most: u8,
        /// From which number on it asks for something, and for what.
        settle_from: Option<(u8, &'static str)>,
    },
    /// A reading in mm.
    Depth,
}

/// What the table says of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FindingDeclaration {
    /// The key in files, under `clinical.first_look`.
    pub key: &'static str,
    /// What is asked, for people.
    pub question: &'static str,
    /// What it is answered with.
    pub answers: Answers,
    /// Whether only teeth with a furcation have it.
    pub needs_furcation: bool,
}

macro_rules! findings {
    ($($(#[$doc:meta])* $name:ident: $key:literal, $question:literal, needs_furcation $furcation:literal, $answers:expr;)+) => {
        /// A finding of the first look.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Finding { $($(#[$doc])* $name),+ }

        impl Finding {
            /// Every finding, in the order they are asked in.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// What the table says of it.
            pub const fn declaration(self) -> FindingDeclaration {
                match self {
                    $(Self::$name => const {
                        FindingDeclaration {
                            key: $key, question: $question, answers: $answers, needs_furcation: $furcation,
                        }
                    }),+
                }
            }
        }
    };
}

const fn clear(word: &'static str) -> Choice {
    Choice { word, settle: None }
}

const fn settle(word: &'static str, what: &'static str) -> Choice {
    Choice { word, settle: Some(what) }
}

findings! {
    /// A crack, or a pocket that is deep at one place only.
    CrackOrDeepPocket: "crack_or_deep_pocket", "a crack, or a pocket that is deep at one place only?",
        needs_furcation false, Answers::Words(&[
            clear("none"),
            settle("suspected", "a crack or an isolated deep pocket is suspected: look under magnification and probe all round"),
            settle("found", "a crack or an isolated deep pocket was found: the outlook of the tooth comes before any post"),
        ]);
    /// The state around the apex.
    Apex: "apex", "a lesion around the apex?",
        needs_furcation false, Answers::Words(&[
            clear("none"),
            clear("healing"),
            settle("present", "a lesion at the apex: review or retreat first"),
            settle("unknown", "the state around the apex is not known: a film that shows it"),
        ]);
    /// Pain, swelling, a sinus tract.
    Symptoms: "symptoms", "pain, swelling or a sinus tract?",
        needs_furcation false, Answers::Words(&[
            clear("none"),
            settle("present", "the tooth has symptoms: find their cause first"),
        ]);
    /// Voids in the root filling.
    VoidsInTheFilling: "voids_in_the_filling", "voids in the root filling?",
        needs_furcation false, Answers::Words(&[
            clear("none"),
            settle("present", "the root filling has voids: review or retreat first"),
        ]);
    /// A root filling that was open to saliva for months.
    OpenToSaliva: "open_to_saliva_for_months", "was the root filling open to saliva for months?",
        needs_furcation false, Answers::Words(&[
            clear("no"),
            settle("yes", "the root filling was open to saliva for months: review or retreat first"),
        ]);
    /// Mobility, grade 0 to 3.
    Mobility: "mobility", "mobility, grade 0 to 3?",
        needs_furcation false, Answers::Count {
            most: 3,
            settle_from: Some((2, "the tooth moves: the periodontal outlook comes before any post")),
        };
    /// Furcation involvement, class 0 to 3.
    FurcationClass: "furcation_class", "furcation involvement, class 0 to 3?",
        needs_furcation true, Answers::Count {
            most: 3,
            settle_from: Some((2, "the furcation is open: the periodontal outlook comes before any post")),
        };
    /// The risk of caries.
    CariesRisk: "caries_risk", "the risk of caries?",
        needs_furcation false, Answers::Words(&[
            clear("low"),
            clear("moderate"),
            settle("high", "the risk of caries is high: bring it down before a crown's margin is added"),
        ]);
    /// Grinding or clenching.
    Grinding: "grinding", "grinding or clenching?",
        needs_furcation false, Answers::Words(&[
            clear("none"),
            settle("suspected", "grinding or clenching is suspected: find out what load the tooth will carry"),
            settle("present", "grinding or clenching: plan for the load, and say so to the patient"),
        ]);
    /// Walls of the crown that stand, 0 to 4.
    WallsStanding: "walls_standing", "how many walls of the crown stand, 0 to 4?",
        needs_furcation false, Answers::Count { most: 4, settle_from: None };
    /// Depth of the pulp chamber.
    ChamberDepth: "chamber_depth_mm", "how deep is the pulp chamber, mm?",
        needs_furcation false, Answers::Depth;
}

impl Finding {
    /// Whether it can be looked at in this tooth: one without a furcation has no furcation involvement, and of a chamber
    /// that a core, a post or a crown fills or covers nobody can tell the depth.
    pub fn can_be_looked_at(self, case: &Case) -> bool {
        let has_furcation = case.roots.len() > 1 || case.tooth.fdi.is_some_and(Fdi::is_molar);
        let is_filled = case.film.stage.is_some_and(Stage::has_core);
        match self {
            Self::ChamberDepth => !is_filled,
            _ => has_furcation || !self.declaration().needs_furcation,
        }
    }
}

/// The answer to a finding.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// One of the finding's words.
    Word(&'static str),
    /// A whole number.
    Count(u8),
    /// A reading.
    Depth(Reading),
}

impl Serialize for Answer {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Word(word) => serializer.serialize_str(word),
            Self::Count(count) => serializer.serialize_u8(*count),
            Self::Depth(reading) => reading.serialize(serializer),
        }
    }
}

/// What the first look found; a finding not in the map was not looked at.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FirstLook {
    /// The answers.
    pub answers: BTreeMap<Finding, Answer>,
    /// The user's own keys.
    pub extra: Extra,
}

impl FirstLook {
    pub(super) fn is_empty(&self) -> bool {
        self.answers.is_empty() && self.extra.is_empty()
    }

    /// What a finding's answer asks for before a post is planned; `None` where it asks for nothing, and where there
    /// is no answer.
    pub fn settle(&self, finding: Finding) -> Option<&'static str> {
        match (self.answers.get(&finding)?, finding.declaration().answers) {
            (Answer::Word(word), Answers::Words(choices)) => {
                choices.iter().find(|choice| choice.word == *word)?.settle
            }
            (Answer::Count(count), Answers::Count { settle_from: Some((from, what)), .. }) => {
                (*count >= from).then_some(what)
            }
            _ => None,
        }
    }

    /// A finding answered by a number.
    pub fn count(&self, finding: Finding) -> Option<u8> {
        match self.answers.get(&finding) {
            Some(Answer::Count(count)) => Some(*count),
            _ => None,
        }
    }

    /// A finding answered by a depth.
    pub fn depth(&self, finding: Finding) -> Option<&Reading> {
        match self.answers.get(&finding) {
            Some(Answer::Depth(reading)) => Some(reading),
            _ => None,
        }
    }
}

impl Serialize for FirstLook {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for (finding, answer) in &self.answers {
            map.serialize_entry(finding.declaration().key, answer)?;
        }
        for (key, value) in &self.extra {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_finding_has_a_key_and_words_of_its_own() {
        let keys: HashSet<_> = Finding::ALL.iter().map(|finding| finding.declaration().key).collect();
        assert_eq!(keys.len(), Finding::ALL.len());
        for finding in Finding::ALL {
            if let Answers::Words(choices) = finding.declaration().answers {
                let words: HashSet<_> = choices.iter().map(|choice| choice.word).collect();
                assert_eq!(words.len(), choices.len(), "{finding:?}");
                assert!(
                    choices.iter().any(|choice| choice.settle.is_none()),
                    "{finding:?} can never be well"
                );
            }
        }
    }
}
