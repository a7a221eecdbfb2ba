//! The patient's sheet: one drawing, what was found, and every option in plain words. It has no numbers but weeks.

use super::flow::{Section, column_width};
use super::piece::{Piece, Run, Setter};
use super::{parts, plain, right_down, tooth_drawing};
use crate::report::drawing::letters::NUMBERED;
use crate::report::plan::words::weeks;
use crate::report::subject::{Audience, Setting, Subject};
use crate::report::text::SAFETY;
use crate::wording::list;

/// How much larger a patient's letters are.
const LARGER: f64 = 1.3;

const INTRODUCTION: &str = "This sheet is for talking things over with your dentist. The drawing is a sketch: it shows \
which parts your tooth has, not how large they are.";
const NO_BEST: &str = "No option is best for everyone: time, cost, comfort, looks and how long it may last weigh together. Doing \
nothing for now is a choice too; ask what would happen then.";

pub(super) fn sections(setter: &mut Setter, subject: &Subject<'_>, setting: Setting) -> Vec<Section> {
    setter.em *= LARGER;
    let width = column_width(setting.paper, 1);
    let mut pieces = vec![setter.title(&parts::title(subject, Audience::Patient), width)];
    pieces.push(setter.paragraph(&[Run::plain(INTRODUCTION)], width));
    let block = tooth_drawing::sketch(subject).moved(right_down((width - tooth_drawing::WIDTH) / 2.0, 1.0));
    pieces.push(Piece {
        height: tooth_drawing::HEIGHT + 2.0,
        above: 0.0,
        keeps_with_next: false,
        blocks: vec![block],
    });
    pieces.extend(found(setter, subject, width));
    pieces.extend(options(setter, subject, width));
    pieces.push(setter.gap(0.3));
    pieces.push(setter.paragraph(&[Run::bold(NO_BEST)], width));
    if setter.has_numbered {
        pieces.push(setter.small(&[Run::aside(NUMBERED)], width));
    }
    pieces.push(setter.gap(0.3));
    pieces.push(setter.small(&[Run::plain(SAFETY)], width));
    vec![Section { columns: 1, pieces }]
}

fn found(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let rows = &subject.derived.verdicts;
    let sentences: Vec<&str> = plain::told()
        .filter_map(|id| {
            // The worst of several roots counts, and nothing is told of what is not known at all.
            let verdicts = rows.iter().filter(|row| row.criterion == id && row.probability.is_some());
            let worst = verdicts.min_by(|one, other| {
                one.probability.partial_cmp(&other.probability).unwrap_or(std::cmp::Ordering::Equal)
            })?;
            plain::found(id, worst.verdict?)
        })
        .collect();
    let mut pieces = vec![setter.heading("What was found", "", width)];
    if sentences.is_empty() {
        pieces.push(setter.paragraph(&[Run::plain("Too little is measured yet to say.")], width));
    }
    let number = setter.next();
    for words in sentences {
        let indent = 1.1 * setter.em;
        pieces.push(setter.entry(number, &[Run::plain("–")], &[Run::plain(words)], indent, width));
    }
    pieces
}

fn options(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let plan = subject.plan;
    let mut pieces = vec![setter.heading("What can be done", "", width)];
    let without = plain::without_a_post(plan.core_without_a_post.outlook).to_owned();
    let lengths = match (&plan.window, plan.conflicts.is_empty()) {
        _ if tooth_drawing::has_post(subject.case) => plain::Lengths::PostIsThere,
        (Some(_), _) => plain::Lengths::Some,
        (None, false) => plain::Lengths::None,
        (None, true) => plain::Lengths::NotKnown,
    };
    let with = plain::with_a_post(lengths).to_owned();
    let ways = plan.recovery.options.iter().map(|option| {
        let weeks: Vec<String> = option.weeks.iter().map(weeks).collect();
        let time = if weeks.is_empty() { String::new() } else { format!(" Time: {}.", list(&weeks)) };
        format!("{}{time}", plain::way(option.way))
    });
    let number = setter.next();
    for words in [without, with].into_iter().chain(ways) {
        let (name, rest) = words.split_once(": ").unwrap_or(("", &words));
        let runs = [Run::bold(format!("{name}:")), Run::plain(rest)];
        let indent = 1.1 * setter.em;
        pieces.push(setter.entry(number, &[Run::plain("–")], &runs, indent, width));
    }
    pieces
}
