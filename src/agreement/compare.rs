//! From sittings to tables: who is compared with whom, on what, and what comes of it.

use super::bland_altman::{BlandAltman, bland_altman};
use super::concordance::{Concordance, concordance};
use super::gather::{Gathered, Reading, gather};
use super::intraclass::{Intraclass, intraclass};
use super::placing::{Placing, placing};
use super::quantity::Quantity;
use super::scatter::{Dahlberg, Within, dahlberg, smallest_detectable_change, within};
use super::sitting::{Sitting, Target};
use super::stated::{Bounded, Stated, Withheld};
use crate::wording::words;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What `format` says in an agreement's JSON.
pub const FORMAT: &str = "crestgauge.agreement";
/// The version of that JSON.
pub const VERSION: u64 = 1;

words! {
    /// What the columns of a comparison are.
    Between {
        /// Different observers, each with their first sitting on a tooth.
        Observers: "observers",
        /// The sittings of one observer.
        Sittings: "sittings",
    }
}

/// Everything repeated sittings say of the agreement of their observers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Agreement {
    /// What this document is.
    pub format: &'static str,
    /// Its version.
    pub version: u64,
    /// Cases compared.
    pub cases: usize,
    /// Different films.
    pub films: usize,
    /// Different teeth, each on one film.
    pub teeth: usize,
    /// Teeth that only one case is of; they add nothing.
    pub teeth_read_once: usize,
    /// Teeth none of whose cases has a scale and a tooth axis: their landmarks are not compared in mm.
    pub teeth_without_axis: usize,
    /// Cases of one tooth, two by two, that hold the very same points: a copy is no repeat. Each by who placed it, which of
    /// their sittings it is, its label and the beginning of its file's digest.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub identical: Vec<[String; 2]>,
    /// Who took part.
    pub observers: Vec<Observer>,
    /// The tables.
    pub comparisons: Vec<Comparison>,
    /// How surely landmarks are placed again, by observer.
    pub placing: Vec<Placing>,
}

/// One observer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Observer {
    /// The name.
    pub name: String,
    /// Their cases.
    pub cases: usize,
    /// Different teeth.
    pub teeth: usize,
    /// Teeth they placed more than once.
    pub teeth_repeated: usize,
}

/// One table of statistics.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// What its columns are.
    pub between: Between,
    /// Whose sittings, where it is one observer's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub observer: Option<String>,
    /// The columns: observers by name, or sittings in order.
    pub columns: Vec<String>,
    /// What was compared.
    pub quantities: Vec<Compared>,
    /// Where the columns disagree on whether a landmark can be seen.
    pub visibility: Vec<Visibility>,
}

/// The statistics of one quantity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// What was compared.
    #[serde(flatten)]
    pub quantity: Quantity,
    /// Teeth (roots, for a root's) with at least two readings.
    pub n: usize,
    /// Of these, read in every column.
    pub complete: usize,
    /// Standard deviation within teeth, over all columns.
    pub within: Stated<Within>,
    /// The smallest detectable change of one reading.
    pub smallest_detectable_change: Stated<Bounded>,
    /// The six intraclass correlations over the complete teeth.
    pub intraclass: Stated<Intraclass>,
    /// The columns two by two.
    pub pairs: Vec<Pair>,
}

/// The statistics of two columns.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pair {
    /// The first column; differences are first − second.
    pub first: String,
    /// The second column.
    pub second: String,
    /// Teeth read in both.
    pub n: usize,
    /// Dahlberg's error.
    pub dahlberg: Stated<Dahlberg>,
    /// Bias and limits of agreement.
    pub bland_altman: Stated<BlandAltman>,
    /// Lin's concordance.
    pub concordance: Stated<Concordance>,
}

/// Whether the columns agree that a landmark can be seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Visibility {
    /// The landmark.
    pub landmark: &'static str,
    /// Placed in every column that says anything of it.
    pub placed: usize,
    /// Marked hidden or absent in every such column.
    pub unseen: usize,
    /// Placed in one, marked hidden or absent in another.
    pub disputed: usize,
}

/// Why nothing can be compared.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoAgreement {
    /// There is no case, or one.
    #[error("agreement needs at least two cases of the same tooth on the same film, there {}", if *.0 == 1 { "is one case" } else { "is none" })]
    TooFewCases(usize),
    /// Every case is of a film of its own.
    #[error(
        "the cases are on different films: {cases} cases, {films} films by their \"sha256\", none twice; agreement needs repeats of the same film"
    )]
    DifferentFilms {
        /// How many cases.
        cases: usize,
        /// How many films.
        films: usize,
    },
    /// The films repeat, the teeth do not.
    #[error(
        "the cases are of different teeth: {cases} cases on {films} films, and no tooth of a film twice (\"fdi\" in /tooth)"
    )]
    DifferentTeeth {
        /// How many cases.
        cases: usize,
        /// How many films.
        films: usize,
    },
    /// Repeats share nothing.
    #[error("the cases have no landmark and no measurement in common; place the same landmarks in each")]
    NothingInCommon,
}

/// Compares sittings: the observers with each other, where there are several, and each observer who repeated with
/// themselves. The order of `sittings` is of no account.
///
/// # Errors
/// No tooth was read twice, or nothing was read of it twice.
pub fn agree(mut sittings: Vec<Sitting>) -> Result<Agreement, NoAgreement> {
    sittings.sort_by(|one, other| {
        (&one.target, &one.observer, &one.order).cmp(&(&other.target, &other.observer, &other.order))
    });
    let films: BTreeSet<&str> = sittings.iter().map(|it| it.target.sha256.as_str()).collect();
    let (cases, films) = (sittings.len(), films.len());
    if cases < 2 {
        return Err(NoAgreement::TooFewCases(cases));
    }
    let mut times: BTreeMap<&Target, usize> = BTreeMap::new();
    for sitting in &sittings {
        *times.entry(&sitting.target).or_default() += 1;
    }
    if times.values().all(|times| *times == 1) {
        return Err(if films == cases {
            NoAgreement::DifferentFilms { cases, films }
        } else {
            NoAgreement::DifferentTeeth { cases, films }
        });
    }
    let gathered = gather(&sittings);
    let mut comparisons = Vec::new();
    if gathered.observers.len() > 1 {
        comparisons.extend(comparison(&gathered, None));
    }
    comparisons.extend((0..gathered.observers.len()).filter_map(|one| comparison(&gathered, Some(one))));
    if comparisons.is_empty() {
        return Err(NoAgreement::NothingInCommon);
    }
    let placing = placing(&gathered);
    Ok(Agreement {
        format: FORMAT,
        version: VERSION,
        cases,
        films,
        teeth: times.len(),
        teeth_read_once: times.values().filter(|times| **times == 1).count(),
        teeth_without_axis: gathered.teeth_without_axis,
        identical: gathered.identical,
        observers: gathered.observers,
        comparisons,
        placing,
    })
}

/// One table: of all observers, or of one observer's sittings; none where nothing was read twice.
fn comparison(gathered: &Gathered, observer: Option<usize>) -> Option<Comparison> {
    let columns: Vec<String> = match observer {
        None => gathered.observers.iter().map(|observer| observer.name.clone()).collect(),
        Some(one) => {
            (1..=sittings_compared(gathered, one)?).map(|sitting| format!("sitting {sitting}")).collect()
        }
    };
    let rows = |readings: &[Reading]| rows(readings, observer, columns.len());
    let quantities: Vec<Compared> = gathered
        .readings
        .iter()
        .filter_map(|(quantity, readings)| compared(quantity, &rows(readings), &columns))
        .collect();
    let visibility: Vec<Visibility> = gathered
        .seen
        .iter()
        .filter_map(|(landmark, readings)| visibility(landmark.key(), &rows(readings)))
        .collect();
    (!quantities.is_empty() || visibility.iter().any(|row| row.disputed > 0)).then(|| Comparison {
        between: if observer.is_some() { Between::Sittings } else { Between::Observers },
        observer: observer.and_then(|one| gathered.observers.get(one)).map(|it| it.name.clone()),
        columns,
        quantities,
        visibility,
    })
}

/// How many sittings of an observer are compared: as many as leave the most repeats in teeth that have all of them.
fn sittings_compared(gathered: &Gathered, observer: usize) -> Option<usize> {
    let counts = gathered.sittings.get(observer)?;
    let most = counts.iter().copied().max()?;
    let repeats = |k: usize| counts.iter().filter(|count| **count >= k).count() * (k - 1);
    (2..=most).max_by_key(|k| (repeats(*k), *k))
}

/// A row a tooth, a column an observer or a sitting.
type Rows = Vec<Vec<Option<f64>>>;

fn rows(readings: &[Reading], observer: Option<usize>, columns: usize) -> Rows {
    let mut rows: Rows = Vec::new();
    let mut last = None;
    for reading in readings {
        let column = match observer {
            None if reading.sitting == 0 => reading.observer,
            Some(one) if reading.observer == one => reading.sitting,
            _ => continue,
        };
        if last != Some(reading.subject) {
            last = Some(reading.subject);
            rows.push(vec![None; columns]);
        }
        if let Some(cell) = rows.last_mut().and_then(|row| row.get_mut(column)) {
            *cell = Some(reading.value);
        }
    }
    rows.retain(|row| row.iter().flatten().count() >= 2);
    rows
}

fn compared(quantity: &Quantity, rows: &Rows, columns: &[String]) -> Option<Compared> {
    if rows.is_empty() {
        return None;
    }
    let teeth: Vec<Vec<f64>> = rows.iter().map(|row| row.iter().flatten().copied().collect()).collect();
    let complete: Vec<Vec<f64>> = teeth.iter().filter(|row| row.len() == columns.len()).cloned().collect();
    let is_coordinate = quantity.component().is_some();
    let within = within(teeth.iter().map(Vec::as_slice));
    let intraclass = if is_coordinate { Err(Withheld::CoordinateOrigin) } else { intraclass(&complete) };
    let pairs = columns.iter().enumerate().flat_map(|(first, name)| {
        columns.iter().enumerate().skip(first + 1).map(move |(second, other)| {
            let cell = |row: &[Option<f64>], column: usize| row.get(column).copied().flatten();
            let pairs: Vec<[f64; 2]> =
                rows.iter().filter_map(|row| Some([cell(row, first)?, cell(row, second)?])).collect();
            let concordance =
                if is_coordinate { Err(Withheld::CoordinateOrigin) } else { concordance(&pairs) };
            Pair {
                first: name.clone(),
                second: other.clone(),
                n: pairs.len(),
                dahlberg: dahlberg(&pairs).into(),
                bland_altman: bland_altman(&pairs).into(),
                concordance: concordance.into(),
            }
        })
    });
    Some(Compared {
        quantity: quantity.clone(),
        n: rows.len(),
        complete: complete.len(),
        smallest_detectable_change: within.map(|it| smallest_detectable_change(&it)).into(),
        within: within.into(),
        intraclass: intraclass.into(),
        pairs: pairs.collect(),
    })
}

fn visibility(landmark: &'static str, rows: &Rows) -> Option<Visibility> {
    let mut found = Visibility { landmark, placed: 0, unseen: 0, disputed: 0 };
    for row in rows {
        let placed = row.iter().flatten().filter(|seen| **seen > 0.0).count();
        if placed == row.iter().flatten().count() {
            found.placed += 1;
        } else if placed == 0 {
            found.unseen += 1;
        } else {
            found.disputed += 1;
        }
    }
    (!rows.is_empty()).then_some(found)
}
