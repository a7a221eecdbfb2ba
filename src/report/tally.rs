//! Verdicts, counted.

use super::words::of_root;
use crate::case::{Derived, State, Strength, Verdict};
use crate::verdict::Criteria;

/// So many undecided requirements are named; more are counted.
const MOST_NAMED: usize = 3;

/// How many verdicts of each word there are among those of one strength, on what is there or on what is planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    /// How much weight they carry.
    pub strength: Strength,
    /// How many meet their bound.
    pub meet: usize,
    /// How many fall short of it.
    pub short: usize,
    /// How many are undecided.
    pub open: usize,
    /// The titles of those that fall short, with the root where there are several, each once where they follow one
    /// another.
    pub short_of: Vec<String>,
    /// The titles of those that are undecided, likewise.
    pub open_of: Vec<String>,
    /// Whether none of them could be judged yet, for want of any number.
    pub nothing_yet: bool,
}

impl Tally {
    /// In words: "requirements: 3 meet, 1 falls short (ferrule), 4 undecided (apical seal; and 3 more)".
    pub fn words(&self) -> String {
        let Self { strength, meet, short, open, short_of, open_of, nothing_yet } = self;
        let strength = strength.words();
        if *nothing_yet {
            return format!("{strength}s: nothing to judge yet");
        }
        let which = |of: &[String]| match of.len() {
            0 => String::new(),
            // What a tooth must meet and may not is named; of what is wanted the count is enough to go and look.
            _ if *strength != *Strength::Requirement.words() => String::new(),
            1..=MOST_NAMED => format!(" ({})", of.join("; ")),
            _ => {
                let (named, more) = of.split_at(MOST_NAMED);
                format!(" ({}; and {} more)", named.join("; "), more.len())
            }
        };
        // Titles have commas of their own.
        let short_of =
            if short_of.is_empty() { String::new() } else { format!(" ({})", short_of.join("; ")) };
        let verb = |count: usize, one: &'static str, several: &'static str| {
            format!("{count} {}", if count == 1 { one } else { several })
        };
        format!(
            "{strength}s: {}, {}{short_of}, {open} undecided{}",
            verb(*meet, "meets", "meet"),
            verb(*short, "falls short", "fall short"),
            which(open_of)
        )
    }
}

/// The verdicts on what is there, or on what is planned, counted; strengths without any are left out.
pub fn tallies(derived: &Derived, criteria: &Criteria, state: State) -> Vec<Tally> {
    let of_strength = |strength: Strength| {
        let mine = || {
            derived
                .verdicts
                .iter()
                .filter(move |row| row.strength == strength && row.state.unwrap_or(State::Present) == state)
        };
        let of = |verdict: Verdict| mine().filter(|row| row.verdict == Some(verdict)).count();
        let titles = |verdict: Verdict| {
            let mut titles: Vec<String> = mine()
                .filter(|row| row.verdict == Some(verdict))
                .filter_map(|row| {
                    let criterion = criteria.list.iter().find(|criterion| criterion.id == row.criterion)?;
                    Some(format!("{}{}", criterion.title, of_root(row, criterion)))
                })
                .collect();
            titles.dedup();
            titles
        };
        Tally {
            strength,
            meet: of(Verdict::Meets),
            short: of(Verdict::FallsShort),
            open: of(Verdict::Undecided),
            short_of: titles(Verdict::FallsShort),
            open_of: titles(Verdict::Undecided),
            nothing_yet: mine().all(|row| row.probability.is_none()),
        }
    };
    [Strength::Requirement, Strength::Preference]
        .map(of_strength)
        .into_iter()
        .filter(|tally| tally.meet + tally.short + tally.open > 0)
        .collect()
}
