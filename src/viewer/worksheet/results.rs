//! Measurements and verdicts in words, what is there and what is planned apart, question by question. No drawing.

use super::verdict_detail::{VerdictDetail, detail};
use crate::case::{Case, Derived, MeasurementRow, RowRef, State, Strength, Verdict};
use crate::editor::PointAt;
use crate::measure::{Measured, Question};
use crate::report::{
    ValueWords, catalogue_row, claim_words, doubt_words, measurement_name, settled_words, sureness_words,
    value_words, verdict_words,
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
    /// The verdicts, those that ask for something first, without those that do not apply.
    pub(super) verdicts: Vec<VerdictLine>,
    /// What does not apply: the thing judged does not exist.
    pub(super) not_applying: Vec<String>,
}

/// A measurement in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NumberLine {
    /// Which measurement.
    pub(super) of: RowRef,
    /// The landmarks it uses.
    pub(super) from: Vec<String>,
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
#[derive(Debug, Clone, PartialEq)]
pub(super) struct VerdictLine {
    /// What tells it from all others of a case.
    pub(super) key: String,
    /// Whether it is of what is there or of what is planned.
    pub(super) state: State,
    /// The number it is judged by, at its worst place.
    pub(super) of: Option<RowRef>,
    /// The verdict; `None` for information.
    pub(super) verdict: Option<Verdict>,
    /// What is judged, against what.
    pub(super) claim: String,
    /// How sure it is and how much it weighs.
    pub(super) weight: String,
    /// What would settle it.
    pub(super) settled_by: Option<String>,
    /// What stands behind it.
    pub(super) detail: VerdictDetail,
}

impl VerdictLine {
    /// The verdict as it is copied: what is judged, whether it is there or planned, how sure it is, and on whose word.
    pub(super) fn words(&self) -> String {
        let (_, word) = verdict_words(self.verdict);
        let weight = if self.weight.is_empty() { String::new() } else { format!("; {}", self.weight) };
        let planned = if self.state == State::Planned { "planned, " } else { "" };
        format!("{planned}{word}: {}{weight}. On the word of: {}", self.claim, self.detail.source)
    }
}

impl NumberLine {
    /// The value with its unit, as it is copied.
    pub(super) fn value_with_unit(&self) -> String {
        format!("{} {} {}", self.value, self.spread, self.unit).trim_end().to_owned()
    }

    /// Whether the number uses a point of the film.
    pub(super) fn uses(&self, at: PointAt) -> bool {
        at.is_used_by(&self.of, &self.from)
    }
}

/// Everything with a value or a verdict.
pub(super) fn blocks(case: &Case, derived: &Derived, measured: &Measured, criteria: &Criteria) -> Vec<Block> {
    [State::Present, State::Planned]
        .map(|state| Block {
            state,
            answers: Question::ALL
                .map(|question| {
                    let verdicts = verdicts(case, (derived, measured), criteria, question, state);
                    let (not_applying, verdicts): (Vec<_>, Vec<_>) =
                        verdicts.into_iter().partition(|line| line.verdict == Some(Verdict::DoesNotApply));
                    let not_applying = not_applying.into_iter().map(|line| line.claim).collect();
                    let numbers = numbers(case, derived, question, state);
                    Answer { question, numbers, verdicts, not_applying }
                })
                .into_iter()
                .filter(|answer| {
                    !(answer.numbers.is_empty()
                        && answer.verdicts.is_empty()
                        && answer.not_applying.is_empty())
                })
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
            let MeasurementRow { of, from, .. } = row.clone();
            Some(NumberLine {
                of,
                from,
                name,
                meaning: about.meaning,
                value,
                spread,
                unit: row.unit.suffix(),
            })
        })
        .collect()
}

fn verdicts(
    case: &Case,
    (derived, measured): (&Derived, &Measured),
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
            let settled_by = settled_words(case, row);
            let about = row.about.first().map(RowRef::listed).unwrap_or_default();
            let line = VerdictLine {
                key: format!("{} {about}", row.criterion),
                state,
                of: row.worst.as_ref().or_else(|| row.about.first()).cloned(),
                verdict: row.verdict,
                claim: claim_words(row, criterion),
                weight,
                settled_by: settled_by.clone(),
                detail: detail(case, (derived, measured), row, criterion, settled_by),
            };
            Some((rank(row.verdict, row.strength), line))
        })
        .collect();
    verdicts.sort_by_key(|(rank, _)| *rank);
    verdicts.into_iter().map(|(_, line)| line).collect()
}

/// Where a verdict stands among others: requirements before preferences, and in each what falls short first, then what is
/// undecided.
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
    (by_strength, by_verdict)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::Engine;

    fn sample_blocks(change: impl FnOnce(&mut Case)) -> Vec<Block> {
        let mut case = crate::case::film_102();
        change(&mut case);
        let engine = Engine::embedded().unwrap();
        let numbers = engine.numbers(&case, &[]).unwrap();
        blocks(&case, &numbers.derived, &numbers.measured, &engine.criteria)
    }

    #[test]
    fn what_is_planned_never_stands_among_what_is_there() {
        let blocks = sample_blocks(|_| {});
        let [present, planned] = blocks.as_slice() else { panic!("{} blocks", blocks.len()) };
        assert_eq!((present.state, planned.state), (State::Present, State::Planned));
        let names = |block: &Block| -> Vec<String> {
            block.answers.iter().flat_map(|it| &it.numbers).map(|line| line.name.clone()).collect()
        };
        assert!(names(planned).contains(&"crown to root".to_owned()));
        assert!(!names(present).contains(&"crown to root".to_owned()));
    }

    fn line(id: &str, root: Option<&str>, from: &[&str]) -> NumberLine {
        NumberLine {
            of: RowRef { id: id.to_owned(), root: root.map(str::to_owned) },
            from: from.iter().map(|key| (*key).to_owned()).collect(),
            name: String::new(),
            meaning: "",
            value: "9.81".to_owned(),
            spread: "\u{b1} 0.41".to_owned(),
            unit: "mm",
        }
    }

    #[test]
    fn a_point_lights_the_numbers_that_use_it_and_no_others() {
        use crate::case::{Landmark, RootName, Side};
        use crate::editor::LandmarkAt;
        let apex = |root| PointAt::Landmark(LandmarkAt { root: Some(root), id: Landmark::Apex.id() });
        let length = line("root_length", Some("distal"), &["finish_line.mesial", "apex", "canal"]);
        assert!(length.uses(apex(RootName::Distal)) && !length.uses(apex(RootName::Mesial)));
        assert!(length.uses(PointAt::Canal { root: RootName::Distal, at: 1 }));
        let finish_line =
            |side| PointAt::Landmark(LandmarkAt { root: None, id: Landmark::FinishLine.on(side) });
        assert!(length.uses(finish_line(Side::Mesial)) && !length.uses(finish_line(Side::Distal)));
        let loss = line("bone_loss.mesial", None, &["cej.mesial", "apex"]);
        assert!(loss.uses(apex(RootName::Mesial)), "a number of the tooth uses every root");
        let wall = line("wall.mesial@1", Some("distal"), &["sections"]);
        let section = |section| PointAt::Section { root: RootName::Distal, section, at: 0 };
        assert!(wall.uses(section(1)) && !wall.uses(section(0)));
        assert!(!wall.uses(PointAt::Reference { reference: 0, at: 0 }));
    }

    #[test]
    fn a_number_is_copied_with_its_unit() {
        assert_eq!(line("post_depth", None, &[]).value_with_unit(), "9.81 \u{b1} 0.41 mm");
    }

    #[test]
    fn what_stands_behind_a_verdict_is_what_it_was_judged_by() {
        let blocks = sample_blocks(|_| {});
        let mut curves = 0;
        for line in blocks.iter().flat_map(|block| &block.answers).flat_map(|answer| &answer.verdicts) {
            assert!(!line.detail.source.is_empty(), "{}", line.claim);
            let Some(judged) = &line.detail.judged_by else { continue };
            assert!(line.weight.contains(&judged.probability), "{}: {}", line.weight, judged.probability);
            curves += usize::from(judged.curve.is_some());
        }
        assert!(curves > 3, "{curves}");
    }

    #[test]
    fn what_asks_for_something_stands_first() {
        let blocks = sample_blocks(|_| {});
        let mut some = 0;
        for answer in blocks.iter().flat_map(|block| &block.answers) {
            let strength = |line: &VerdictLine| {
                let all = [Strength::Requirement, Strength::Preference];
                let stated = all.into_iter().find(|strength| line.weight.ends_with(strength.words()));
                stated.unwrap_or(Strength::Information)
            };
            let ranks: Vec<Rank> =
                answer.verdicts.iter().map(|line| rank(line.verdict, strength(line))).collect();
            assert!(ranks.is_sorted(), "{:?}: {ranks:?}", answer.question);
            some += usize::from(ranks.len() > 1);
        }
        assert!(some > 0);
    }

    #[test]
    fn an_undecided_verdict_says_what_would_settle_it_and_a_sure_one_nothing() {
        let blocks = sample_blocks(|_| {});
        for line in blocks.iter().flat_map(|block| &block.answers).flat_map(|answer| &answer.verdicts) {
            assert_eq!(line.settled_by.is_some(), line.verdict == Some(Verdict::Undecided), "{}", line.claim);
        }
    }

    #[test]
    fn upper_teeth_have_a_palatal_side() {
        let words = |fdi: &str| {
            let blocks = sample_blocks(|case| case.tooth.fdi = crate::case::Fdi::parse(fdi).ok());
            let answers = blocks.iter().flat_map(|block| &block.answers);
            let said = answers.flat_map(|answer| {
                let names = answer.numbers.iter().map(|line| line.name.clone());
                let verdicts = answer.verdicts.iter();
                names.chain(
                    verdicts.map(|line| format!("{} {} {:?}", line.claim, line.weight, line.settled_by)),
                )
            });
            said.collect::<Vec<_>>().join("; ")
        };
        assert!(words("21").contains("ferrule height, palatal") && !words("21").contains("lingual"));
        assert!(words("41").contains("ferrule height, lingual") && !words("41").contains("palatal"));
    }
}
