//! The letter to whoever fills the root and prepares it: what to preserve, which root is for the post, how much filling
//! stays, where depths are measured from, which film is wanted afterwards.

use super::flow::{Section, column_width};
use super::piece::{Piece, Run, Setter};
use super::{Detail, findings, outlook, parts};
use crate::case::{Strength, Verdict};
use crate::measure::Question;
use crate::plan::SettleState;
use crate::report::plan::card_lines;
use crate::report::sheet::size;
use crate::report::subject::{Paper, Setting, Subject};
use crate::report::words::{measurement_name, value_words};

/// How to get in without losing what the crown needs (common practice).
const ACCESS: [&str; 3] = [
    "please keep every wall at its whole height: what stands above the margin is the ferrule, and it does not come back",
    "access through what is lost already, along the straight part of the canal; the walls at the orifice stay as thick as \
     they are, without flaring",
    "please do not widen the canal for the post beyond the shaping itself, unless the drill below was agreed on",
];

/// The film wanted afterwards (common practice).
const FILM_WANTED: [&str; 4] = [
    "paralleling technique, with a holder; apex, both crests and the crown's margin on one film, nothing cut off",
    "an instrument or gauge of known length in the canal, its stop on the reference named here, and that length written down",
    "once with the filling at its final depth; before the canal is widened for a post",
    "the film itself as the sensor gave it, not a screenshot",
];

pub(super) fn sections(
    setter: &mut Setter,
    subject: &Subject<'_>,
    setting: Setting,
    detail: Detail,
) -> Vec<Section> {
    let one = column_width(setting.paper, 1);
    let two = column_width(setting.paper, 2);
    let most_high = match setting.paper {
        Paper::A4 => 84.0,
        Paper::Letter => 72.0,
    };
    let mut sections = vec![parts::head(setter, subject, setting)];
    sections.push(parts::film(setter, subject, setting, most_high));
    sections.push(Section { columns: 1, pieces: parts::cautions(setter, subject, one) });
    let mut asked = which_root(setter, subject, two);
    asked.extend(preserve(setter, two));
    asked.extend(filling(setter, subject, two));
    asked.extend(parts::sheet(setter, &card_lines(subject.plan), two));
    asked.extend(film_wanted(setter, two));
    asked.extend(settle(setter, subject, two));
    sections.push(Section { columns: 2, pieces: asked });
    let mut last = walls(setter, subject, one);
    if detail == Detail::Full {
        last.extend(findings::settling(setter, subject, one));
    }
    let left_out = "For want of room, what would settle the undecided is left out; the record has it.";
    last.extend(parts::end(setter, subject, (detail == Detail::Brief).then_some(left_out), one));
    sections.push(Section { columns: 1, pieces: last });
    sections
}

fn bullets(setter: &mut Setter, words: &[String], width: f64) -> Vec<Piece> {
    let list = setter.next();
    let indent = 1.1 * setter.em;
    words
        .iter()
        .map(|words| setter.entry(list, &[Run::plain("–")], &[Run::plain(words)], indent, width))
        .collect()
}

fn which_root(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let (case, plan) = (subject.case, subject.plan);
    let mut pieces = vec![setter.heading("WHICH ROOT IS FOR THE POST", "", width)];
    let words = match plan.root {
        Some(root) if case.roots.len() > 1 => format!("the {} root", root.word()),
        Some(_) => "the only root".to_owned(),
        None => "not settled yet: no root is listed".to_owned(),
    };
    pieces.push(setter.paragraph(&[Run::bold(words)], width));
    let chosen =
        plan.drills.chosen.as_ref().and_then(|name| plan.drills.list.iter().find(|it| it.drill == *name));
    let words = match chosen {
        Some(drill) => format!(
            "drill: {}; walls it leaves: {}",
            crate::report::plan::words::drill(drill),
            drill.walls.words()
        ),
        None => "no drill is agreed on".to_owned(),
    };
    pieces.push(setter.paragraph(&[Run::plain(words)], width));
    pieces
}

fn preserve(setter: &mut Setter, width: f64) -> Vec<Piece> {
    let mut pieces = vec![setter.heading("WHAT TO PRESERVE", "common practice", width)];
    pieces.extend(bullets(setter, &ACCESS.map(str::to_owned), width));
    pieces
}

/// Walls and heights, site by site, and how thick they are.
fn walls(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let plan = subject.plan;
    let note = format!("a ferrule of {} mm is wanted at each site", size(plan.recovery.ferrule_wanted_mm));
    let mut pieces = vec![setter.heading("WALLS AND HEIGHTS TO KEEP", &note, width)];
    if plan.recovery.sites.is_empty() {
        pieces.push(setter.paragraph(&[Run::plain("no wall is measured yet")], width));
    } else {
        pieces.extend(outlook::sites(setter, subject, width));
    }
    let thick = subject.derived.measurements.iter().filter(|row| row.of.id.starts_with("wall."));
    let words: Vec<String> = thick
        .filter_map(|row| {
            let words = value_words(row)?;
            let name = measurement_name(subject.case, &row.of);
            Some(format!("{name} {} {} {}", words.value, words.spread, row.unit.suffix()))
        })
        .collect();
    if !words.is_empty() {
        pieces.push(setter.paragraph(&[Run::bold("thickness:"), Run::plain(words.join("; "))], width));
    }
    if !outlook::walls_are_known(plan) {
        let words =
            "how many walls stand is not noted; please count them once the old filling and caries are out";
        pieces.push(setter.paragraph(&[Run::plain(words)], width));
    }
    pieces
}

/// How much filling stays: what is asked for, and what there is.
fn filling(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let mut pieces =
        vec![setter.heading("HOW MUCH FILLING STAYS", "apical of the post, inside the root", width)];
    let asked = subject.criteria.list.iter().filter(|criterion| {
        criterion.rows.iter().any(|row| row.id == "seal_length" || row.id == "filling_short_of_apex")
            && criterion.strength != Strength::Information
    });
    let asked: Vec<String> = asked
        .map(|criterion| {
            format!("{}: {} [{}]", criterion.title, criterion.bound.in_unit("mm"), criterion.strength.words())
        })
        .collect();
    pieces.extend(bullets(setter, &asked, width));
    let there = subject.derived.measurements.iter().filter(|row| {
        let question = crate::report::words::catalogue_row(&row.of).map(|it| it.question);
        question == Some(Question::Seal)
    });
    let words: Vec<String> = there
        .filter_map(|row| {
            let words = value_words(row)?;
            let name = measurement_name(subject.case, &row.of);
            Some(format!("{name} {} {} {}", words.value, words.spread, row.unit.suffix()))
        })
        .collect();
    let words = if words.is_empty() { "nothing of it is measured yet".to_owned() } else { words.join("; ") };
    pieces.push(setter.paragraph(&[Run::bold("on this film:"), Run::plain(words)], width));
    pieces
}

fn film_wanted(setter: &mut Setter, width: f64) -> Vec<Piece> {
    let mut pieces = vec![setter.heading("THE FILM WANTED AFTERWARDS", "common practice", width)];
    pieces.extend(bullets(setter, &FILM_WANTED.map(str::to_owned), width));
    pieces
}

/// What was found that comes before any post.
fn settle(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let red = subject.plan.settle.iter().filter(|row| row.state == SettleState::Red);
    let words: Vec<String> = red.map(|row| row.words.clone()).collect();
    let short = subject.derived.verdicts.iter().any(|row| row.verdict == Some(Verdict::FallsShort));
    if words.is_empty() && !short {
        return Vec::new();
    }
    let mut pieces = vec![setter.heading("TO SETTLE FIRST", "", width)];
    pieces.extend(bullets(setter, &words, width));
    pieces.extend(findings::tally(setter, subject, width));
    pieces
}
