//! Findings as tables of a document.

use super::film::ScaleFrom;
use super::practice::Practice;
use super::study::{Findings, Judged, Key, Tally, names};
use super::trials::Trial;
use crestgauge::measure::CATALOGUE;
use std::fmt::Write as _;

/// Coverage within these is what 95 % are meant to be.
pub(crate) const AIM: [f64; 2] = [0.93, 0.97];
/// With fewer numbers than this a share says nothing.
const FEWEST: f64 = 30.0;

/// A share in per cent, bold where coverage is not what it is meant to be.
fn percent(tally: Option<&Tally>) -> String {
    let Some(share) = tally.filter(|tally| tally.count >= FEWEST).map(Tally::coverage) else {
        return String::new();
    };
    let [low, high] = AIM;
    let text = format!("{:.1}", 100.0 * share);
    if (low..=high).contains(&share) { text } else { format!("**{text}**") }
}

/// How much wider intervals are than normal errors of this size would need.
pub(crate) fn width_ratio(tally: &Tally) -> f64 {
    tally.half_width() / (1.959_964 * tally.rms())
}

/// Coverage by measurement, scale and kind of tooth.
pub(crate) fn coverage(findings: &[Findings; 3]) -> String {
    let mut table = String::from(
        "| measurement | numbers | instrument | one root | several | receptor | one root | several | both | one root | several |\n\
         |---|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for (measurement, name) in names().into_iter().enumerate() {
        let all = findings.each_ref().map(|findings| findings.of(measurement));
        let [first, ..] = &all;
        write!(table, "| {} | {:.0} ", cell(&name), first.count).ok();
        for (findings, all) in findings.iter().zip(&all) {
            let of = |several_roots| findings.tallies.get(&Key { measurement, several_roots });
            write!(table, "| {} | {} | {} ", percent(Some(all)), percent(of(false)), percent(of(true))).ok();
        }
        table.push_str("|\n");
    }
    table
}

/// Numbers without a truth and truths without a number.
pub(crate) fn not_compared(findings: &[Findings; 3]) -> String {
    let each = ScaleFrom::ALL.iter().zip(findings).map(|(scale, findings)| {
        let names = findings.unmatched.iter().map(|(name, count)| format!("`{name}` {count}"));
        format!("{}: {}", scale.word(), names.collect::<Vec<_>>().join(", "))
    });
    format!("{}.\n", each.collect::<Vec<_>>().join("; "))
}

/// A name of the catalogue as code, another as it is.
fn cell(name: &str) -> String {
    if name.contains(',') { name.to_owned() } else { format!("`{name}`") }
}

fn unit(name: &str) -> &'static str {
    let id = name.split(['.', '@', ',']).next().unwrap_or(name);
    CATALOGUE.iter().find(|row| row.id == id).map_or("", |row| row.unit.suffix())
}

/// Bias, rms error, mean half width and their ratio, by measurement and scale.
pub(crate) fn errors(findings: &[Findings; 3]) -> String {
    let mut table = String::from(
        "| measurement | unit | instrument: bias | rms | half width | ratio | receptor: bias | rms | half width | ratio | both: bias | rms | half width | ratio |\n\
         |---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for (measurement, name) in names().into_iter().enumerate() {
        write!(table, "| {} | {} ", cell(&name), unit(&name).trim()).ok();
        for tally in findings.iter().map(|findings| findings.of(measurement)) {
            let (bias, rms, half) = (tally.bias(), tally.rms(), tally.half_width());
            write!(table, "| {bias:+.3} | {rms:.3} | {half:.3} | {:.2} ", width_ratio(&tally)).ok();
        }
        table.push_str("|\n");
    }
    table
}

/// Coverage with other practices.
pub(crate) fn practices(findings: &[(Practice, [Findings; 3])]) -> String {
    let mut table = String::from("| measurement ");
    let mut line = String::from("|---");
    for (practice, _) in findings {
        for scale in ScaleFrom::ALL {
            write!(table, "| {}: {} ", practice.name, scale.word()).ok();
            line.push_str("|---");
        }
    }
    let mut table = format!("{table}|\n{line}|\n");
    for (measurement, name) in names().into_iter().enumerate() {
        write!(table, "| {} ", cell(&name)).ok();
        for findings in findings.iter().flat_map(|(_, findings)| findings) {
            write!(table, "| {} ", percent(Some(&findings.of(measurement)))).ok();
        }
        table.push_str("|\n");
    }
    table
}

/// Verdicts beside the truth.
pub(crate) fn verdicts(findings: &[Findings; 3]) -> String {
    let mut table = String::from(
        "| criterion | instrument: meets | of them false | receptor: meets | false | both: meets | false | instrument: falls short | of them false | undecided |\n\
         |---|---|---|---|---|---|---|---|---|---|\n",
    );
    let [first, ..] = findings;
    let mut sums = [Judged::default(); 3];
    for criterion in first.verdicts.keys() {
        let judged = findings.each_ref().map(|it| it.verdicts.get(criterion).copied().unwrap_or_default());
        for (sum, judged) in sums.iter_mut().zip(&judged) {
            sum.join(judged);
        }
        write!(table, "| `{criterion}` ").ok();
        row_of(&mut table, &judged);
    }
    table.push_str("| all ");
    row_of(&mut table, &sums);
    table
}

fn row_of(table: &mut String, judged: &[Judged; 3]) {
    for it in judged {
        write!(table, "| {} | {} ", it.meets, share(it.false_meets, it.meets)).ok();
    }
    let [it, ..] = judged;
    let falls = share(it.false_falls_short, it.falls_short);
    writeln!(table, "| {} | {falls} | {} |", it.falls_short, it.undecided).ok();
}

fn share(part: u32, whole: u32) -> String {
    if whole == 0 {
        return "0".to_owned();
    }
    format!("{part} ({:.1} %)", 100.0 * f64::from(part) / f64::from(whole))
}

/// First order beside draws on the same films, by an instrument.
pub(crate) fn draws(columns: &[(&str, [Findings; 3])]) -> String {
    let mut table = String::from("| measurement ");
    let mut line = String::from("|---");
    for (title, _) in columns {
        write!(table, "| {title}: first order doubtful | first order covers | draws cover ").ok();
        line.push_str("|---|---|---");
    }
    let mut table = format!("{table}|\n{line}|\n");
    for (measurement, name) in names().into_iter().enumerate() {
        write!(table, "| {} ", cell(&name)).ok();
        for (_, [findings, ..]) in columns {
            let tally = findings.of(measurement);
            let doubtful = 100.0 * tally.doubtful / tally.count;
            let drawn = tally.drawn_coverage().map_or_else(String::new, |it| format!("{:.1}", 100.0 * it));
            write!(table, "| {doubtful:.0} % | {} | {drawn} ", percent(Some(&tally))).ok();
        }
        table.push_str("|\n");
    }
    table
}

/// What each trial changes in what is watched.
pub(crate) fn trials(trials: &[(Trial, [Findings; 3], [Findings; 3])]) -> String {
    let names = names();
    let mut table = String::from(
        "| what is changed | films | scale, teeth | measurement | coverage before | after | ratio before | after |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for (trial, before, after) in trials {
        for (scale, several_roots, name) in trial.watched {
            let Some(measurement) = names.iter().position(|it| it == name) else { continue };
            let at = ScaleFrom::ALL.iter().position(|it| it == scale).unwrap_or(0);
            let key = Key { measurement, several_roots: *several_roots };
            let of = |findings: &[Findings; 3]| findings.get(at).and_then(|it| it.tallies.get(&key)).copied();
            let (before, after) = (of(before), of(after));
            let ratio = |tally: Option<Tally>| {
                tally.map_or_else(String::new, |it| format!("{:.2}", width_ratio(&it)))
            };
            let roots = if *several_roots { "several roots" } else { "one root" };
            writeln!(
                table,
                "| {} | {} | {}, {roots} | `{name}` | {} | {} | {} | {} |",
                trial.change,
                trial.practice.name,
                scale.word(),
                percent(before.as_ref()),
                percent(after.as_ref()),
                ratio(before),
                ratio(after),
            )
            .ok();
        }
    }
    table
}
