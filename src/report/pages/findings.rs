//! What was measured and judged, question by question, what is there and what is planned apart; what would settle what
//! is open; what could not be measured.

use super::piece::{Column, Piece, Run, Setter, verdict_runs};
use crate::case::{Answer, SmileLine, State, Verdict};
use crate::measure::Question;
use crate::quantity::COVERAGE_FACTOR;
use crate::report::subject::Subject;
use crate::report::tally::{Tally, tallies};
use crate::report::words::{
    Answers, Lacking, answers, doubt_words, judged_words, lacking, measurement_name, rows_words,
    settled_words, value_words,
};
use crate::wording::decimals;

const COLUMNS: [Column; 2] =
    [Column { share: 0.57, is_right: false }, Column { share: 0.43, is_right: true }];

/// What the first look found; what it left open stands among what to settle.
pub(super) fn first_look(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let clinical = &subject.case.clinical;
    let found = clinical.first_look.answers.iter();
    let found = found.map(|(finding, answer)| (finding.declaration().question, answer_words(answer)));
    let smile = clinical.smile_line.map(|line| (SmileLine::QUESTION, line.word().to_owned()));
    let answered: Vec<_> = found.chain(smile).collect();
    if answered.is_empty() {
        return Vec::new();
    }
    let mut pieces = vec![setter.heading("FIRST LOOK", "", width)];
    let table = setter.next();
    for (row, (asked, answer)) in answered.into_iter().enumerate() {
        let asked = asked.trim_end_matches('?').to_owned();
        let cells = [vec![Run::plain(asked)], vec![Run::bold(answer)]];
        pieces.push(setter.row((table, row), &COLUMNS, &cells, None, width));
    }
    pieces
}

fn answer_words(answer: &Answer) -> String {
    match answer {
        Answer::Word(word) => word.replace('_', " "),
        Answer::Count(count) => count.to_string(),
        Answer::Depth(reading) => {
            let half = COVERAGE_FACTOR * reading.sd();
            let digits = decimals(half);
            format!("{:.digits$} ± {half:.digits$} mm", reading.value)
        }
    }
}

/// How many verdicts of each word there are.
pub(super) fn tally(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for (state, lead) in [(State::Present, "What is there:"), (State::Planned, "What is planned:")] {
        let words: Vec<String> =
            tallies(subject.derived, subject.criteria, state).iter().map(Tally::words).collect();
        if !words.is_empty() {
            let runs = [Run::bold(lead), Run::plain(format!("{}.", words.join("; ")))];
            pieces.push(setter.paragraph(&runs, width));
        }
    }
    pieces
}

/// Values and verdicts, question by question.
pub(super) fn findings(setter: &mut Setter, subject: &Subject<'_>, state: State, width: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for question in Question::ALL {
        let Answers { values, verdicts } = answers(question, state, subject.derived, subject.criteria);
        if values.is_empty() && verdicts.is_empty() {
            continue;
        }
        pieces.push(setter.subheading(question.words(), width));
        let table = setter.next();
        for (row, value) in values.into_iter().enumerate() {
            let Some(words) = value_words(value) else { continue };
            let doubt = doubt_words(value).map(|doubt| format!(" {doubt}")).unwrap_or_default();
            let said = format!("{} {} {}{doubt}", words.value, words.spread, value.unit.suffix());
            let cells = [vec![Run::plain(measurement_name(subject.case, &value.of))], vec![Run::bold(said)]];
            pieces.push(setter.row((table, row), &COLUMNS, &cells, None, width));
        }
        let list = setter.next();
        for (verdict, criterion) in verdicts {
            let [sign, word] = verdict_runs(verdict.verdict);
            let words = Run::plain(judged_words(subject.case, verdict, criterion));
            let indent = 1.3 * setter.em;
            pieces.push(setter.entry(list, &[sign], &[word, words], indent, width));
        }
    }
    if !pieces.is_empty() {
        let (heading, note) = match state {
            State::Present => ("WHAT IS THERE", ""),
            State::Planned => {
                ("WHAT IS PLANNED", "rests on planned points or readings; nothing of it is there")
            }
        };
        pieces.insert(0, setter.heading(heading, note, width));
    }
    pieces
}

/// What would settle the undecided, each with what it would settle.
pub(super) fn settling(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let mut settling: Vec<(String, Vec<String>)> = Vec::new();
    for verdict in subject.derived.verdicts.iter().filter(|it| it.verdict == Some(Verdict::Undecided)) {
        let Some(words) = settled_words(subject.case, verdict) else { continue };
        let title =
            subject.criteria.list.iter().find(|it| it.id == verdict.criterion).map(|it| it.title.clone());
        let title = title.unwrap_or_else(|| verdict.criterion.clone());
        match settling.iter_mut().find(|(known, _)| *known == words) {
            Some((_, titles)) if titles.contains(&title) => {}
            Some((_, titles)) => titles.push(title),
            None => settling.push((words, vec![title])),
        }
    }
    if settling.is_empty() {
        return Vec::new();
    }
    let mut pieces = vec![setter.heading("WHAT WOULD SETTLE THE UNDECIDED", "", width)];
    let number = setter.next();
    for (words, titles) in settling {
        let [sign, _] = verdict_runs(Some(Verdict::Undecided));
        let runs = [Run::bold(format!("{}:", titles.join("; "))), Run::plain(words)];
        pieces.push(setter.entry(number, &[sign], &runs, 1.3 * setter.em, width));
    }
    pieces
}

/// What was not measured, and for want of what.
pub(super) fn wanting(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let Lacking { by_landmark, by_reason } = lacking(&subject.derived.measurements);
    let of_landmarks = by_landmark
        .into_iter()
        .map(|(lack, rows)| format!("{}: {}", lack.words(), rows_words(subject.case, &rows)));
    let of_reasons =
        by_reason.into_iter().map(|(reason, rows)| format!("{}: {reason}", rows_words(subject.case, &rows)));
    let words: Vec<String> = of_landmarks.chain(of_reasons).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let heading = setter.heading("NOT MEASURED, FOR WANT OF", "", width);
    vec![heading, setter.small(&[Run::plain(format!("{}.", words.join("; ")))], width)]
}

/// On whose word each criterion stands.
pub(super) fn sources(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let judged =
        |id: &str| subject.derived.verdicts.iter().any(|it| it.criterion == id && it.probability.is_some());
    let words: Vec<String> = subject
        .criteria
        .list
        .iter()
        .filter(|criterion| judged(&criterion.id))
        .map(|criterion| format!("{}: {}", criterion.title, criterion.source))
        .collect();
    if words.is_empty() {
        return Vec::new();
    }
    let heading = setter.heading("ON WHOSE WORD", "", width);
    vec![heading, setter.small(&[Run::plain(format!("{}.", words.join(" · ")))], width)]
}
