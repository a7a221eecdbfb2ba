//! Measurements and verdicts in words, what is there and what is planned apart, question by question. No drawing.

use crate::case::{Case, Derived, State, Strength, Verdict};
use crate::measure::Question;
use crate::report::{
    ValueWords, catalogue_row, claim_words, doubt_words, measurement_name, sureness_words, value_words,
};
use crate::verdict::Criteria;

/// All that is there, or all that is planned.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    /// Whether it is there or planned.
    pub(super) state: State,
    /// The questions with something to say.
    pub(super) answers: Vec<Answer>,
}

/// One question of the job with its numbers and verdicts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answer {
    /// The question.
    pub(super) question: Question,
    /// The measurements.
    pub(super) numbers: Vec<NumberLine>,
    /// The verdicts, those that ask for something first.
    pub(super) verdicts: Vec<VerdictLine>,
}

/// A measurement in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NumberLine {
    /// Its name.
    pub(super) name: String,
    /// What it is.
    pub(super) meaning: &'static str,
    /// Its value.
    pub(super) value: String,
    /// Its interval, and whether that is in doubt.
    pub(super) spread: String,
    /// Its unit.
    pub(super) unit: &'static str,
}

/// A verdict in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct VerdictLine {
    /// The verdict; `None` for information.
    pub(super) verdict: Option<Verdict>,
    /// What is judged, against what.
    pub(super) claim: String,
    /// How sure it is and how much it weighs.
    pub(super) weight: String,
    /// What would settle it.
    pub(super) settled_by: Option<String>,
    /// On whose word.
    pub(super) source: String,
}

/// Everything with a value or a verdict.
pub(super) fn blocks(case: &Case, derived: &Derived, criteria: &Criteria) -> Vec<Block> {
    [State::Present, State::Planned]
        .map(|state| Block {
            state,
            answers: Question::ALL
                .map(|question| Answer {
                    question,
                    numbers: numbers(case, derived, question, state),
                    verdicts: verdicts(case, derived, criteria, question, state),
                })
                .into_iter()
                .filter(|answer| !answer.numbers.is_empty() || !answer.verdicts.is_empty())
                .collect(),
        })
        .into_iter()
        .filter(|block| !block.answers.is_empty())
        .collect()
}

fn numbers(case: &Case, derived: &Derived, question: Question, state: State) -> Vec<NumberLine> {
    derived
        .measurements
        .iter()
        .filter(|row| row.state == Some(state))
        .filter_map(|row| {
            let about = catalogue_row(&row.of).filter(|it| it.question == question)?;
            let ValueWords { value, spread } = value_words(row)?;
            let spread =
                doubt_words(row).map_or_else(|| spread.clone(), |doubt| format!("{spread}, {doubt}"));
            let name = measurement_name(case, &row.of);
            Some(NumberLine { name, meaning: about.meaning, value, spread, unit: row.unit.suffix() })
        })
        .collect()
}

fn verdicts(
    case: &Case,
    derived: &Derived,
    criteria: &Criteria,
    question: Question,
    state: State,
) -> Vec<VerdictLine> {
    let mut verdicts: Vec<(Rank, VerdictLine)> = derived
        .verdicts
        .iter()
        // A verdict without any value yet is about what is there.
        .filter(|row| row.state.unwrap_or(State::Present) == state)
        .filter(|row| row.verdict.is_some() || row.probability.is_some())
        .filter_map(|row| {
            let criterion = criteria.list.iter().find(|it| it.id == row.criterion)?;
            criterion.rows.first().filter(|it| it.question == question)?;
            let sureness = sureness_words(case, row);
            let strength = row.verdict.is_some().then(|| criterion.strength.words().to_owned());
            let weight = sureness.into_iter().chain(strength).collect::<Vec<_>>().join("; ");
            let line = VerdictLine {
                verdict: row.verdict,
                claim: claim_words(row, criterion),
                weight,
                settled_by: row.settled_by.clone(),
                source: criterion.source.clone(),
            };
            Some((rank(row.verdict, row.strength), line))
        })
        .collect();
    verdicts.sort_by_key(|(rank, _)| *rank);
    verdicts.into_iter().map(|(_, line)| line).collect()
}

/// Where a verdict stands among others: what falls short first, then what is undecided; requirements before
/// preferences.
type Rank = (u8, u8);

const fn rank(verdict: Option<Verdict>, strength: Strength) -> Rank {
    let by_verdict = match verdict {
        Some(Verdict::FallsShort) => 0,
        Some(Verdict::Undecided) => 1,
        Some(Verdict::Meets) => 2,
        Some(Verdict::DoesNotApply) => 3,
        None => 4,
    };
    let by_strength = match strength {
        Strength::Requirement => 0,
        Strength::Preference => 1,
        Strength::Information => 2,
    };
    (by_verdict, by_strength)
}
