//! What the numbers of many films come to beside the truth.

use super::film::{Film, ScaleFrom, Variation};
use super::practice::Practice;
use crestgauge::calibration::Library;
use crestgauge::case::{Case, RowRef, Verdict};
use crestgauge::measure::{CATALOGUE, Draws, Measured, Measurement, Repeat, Row, measure};
use crestgauge::verdict::{Bound, Criteria, rows};
use std::collections::{BTreeMap, HashMap};

/// What follows the name of a measurement that is held against its truth in a plane.
const IN_PLANE: &str = ", in the plane";

/// Seed of teeth, exposures and placing errors.
pub(crate) const SEED: u64 = 20_261_129;

/// Changes what a case assumes, to try another default.
pub(crate) type Assume = fn(&mut Case);

/// What is studied.
#[derive(Clone, Copy)]
pub(crate) struct Plan {
    /// How films are taken.
    pub(crate) practice: Practice,
    /// What is changed in teeth or in their truth.
    pub(crate) variation: Variation,
    /// What cases assume.
    pub(crate) assume: Assume,
    /// Seed of teeth, exposures and placing errors.
    pub(crate) seed: u64,
    /// How many films.
    pub(crate) films: u64,
    /// Monte Carlo draws for each film; 0 for first order alone.
    pub(crate) draws: u32,
    /// Relative sd of each root's lengths, because roots lean: added to intervals afterwards, where an instrument in one root of
    /// several measures another root or the tooth, and where a ratio has a length of either.
    pub(crate) lean_sd: f64,
}

/// One number beside its truth.
struct Beside {
    key: Key,
    error: f64,
    half_width: f64,
    covers: bool,
    /// Whether the drawn interval contains the truth, where there were draws.
    drawn_covers: Option<bool>,
    is_doubtful: bool,
}

/// Which numbers are counted together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Key {
    /// The measurement: its place in [`names`].
    pub(crate) measurement: usize,
    /// Of teeth with several roots.
    pub(crate) several_roots: bool,
}

/// Errors and intervals of one measurement.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Tally {
    /// How many numbers.
    pub(crate) count: f64,
    errors: f64,
    squares: f64,
    half_widths: f64,
    covering: f64,
    /// How many of them first order is doubtful for.
    pub(crate) doubtful: f64,
    drawn: f64,
    drawn_covering: f64,
}

impl Tally {
    fn add(&mut self, one: &Beside) {
        let counted = |yes: bool| if yes { 1.0 } else { 0.0 };
        self.count += 1.0;
        self.errors += one.error;
        self.squares += one.error * one.error;
        self.half_widths += one.half_width;
        self.covering += counted(one.covers);
        self.doubtful += counted(one.is_doubtful);
        if let Some(covers) = one.drawn_covers {
            self.drawn += 1.0;
            self.drawn_covering += counted(covers);
        }
    }

    /// Both together.
    pub(crate) fn with(mut self, other: &Self) -> Self {
        self.count += other.count;
        self.errors += other.errors;
        self.squares += other.squares;
        self.half_widths += other.half_widths;
        self.covering += other.covering;
        self.doubtful += other.doubtful;
        self.drawn += other.drawn;
        self.drawn_covering += other.drawn_covering;
        self
    }

    /// Mean error.
    pub(crate) fn bias(&self) -> f64 {
        self.errors / self.count
    }

    /// Root of the mean squared error.
    pub(crate) fn rms(&self) -> f64 {
        (self.squares / self.count).sqrt()
    }

    /// Mean half width of the 95 % interval.
    pub(crate) fn half_width(&self) -> f64 {
        self.half_widths / self.count
    }

    /// Share of intervals that contain the truth.
    pub(crate) fn coverage(&self) -> f64 {
        self.covering / self.count
    }

    /// The same of drawn intervals; no number without draws.
    pub(crate) fn drawn_coverage(&self) -> Option<f64> {
        (self.drawn > 0.0).then(|| self.drawn_covering / self.drawn)
    }
}

/// Verdicts on one criterion beside the truth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Judged {
    /// Meets.
    pub(crate) meets: u32,
    /// Meets, though it does not.
    pub(crate) false_meets: u32,
    /// Falls short.
    pub(crate) falls_short: u32,
    /// Falls short, though it does not.
    pub(crate) false_falls_short: u32,
    /// Undecided.
    pub(crate) undecided: u32,
}

/// What one scale came to over all films.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Findings {
    /// By measurement, and whether the tooth has several roots.
    pub(crate) tallies: BTreeMap<Key, Tally>,
    /// By criterion.
    pub(crate) verdicts: BTreeMap<String, Judged>,
    /// Numbers without a truth, or truths without a number, by measurement: a curve of 4.9 deg has no radius, one that is
    /// read as 5.1 deg has.
    pub(crate) unmatched: BTreeMap<String, u32>,
}

impl Findings {
    /// The tally of a measurement over all teeth.
    pub(crate) fn of(&self, measurement: usize) -> Tally {
        [false, true]
            .into_iter()
            .filter_map(|several_roots| self.tallies.get(&Key { measurement, several_roots }))
            .fold(Tally::default(), Tally::with)
    }
}

/// The measurements of a film as tables name them, in the catalogue's order; probed readings, which no film makes, are left
/// out. The last two are Schneider's angle and its radius, held against those in the plane of mesial, distal and apical.
pub(crate) fn names() -> Vec<String> {
    let film = CATALOGUE.iter().filter(|row| row.repeat != Repeat::ByProbedSite);
    film.map(name).chain(["curvature", "curvature_radius"].map(|id| format!("{id}{IN_PLANE}"))).collect()
}

fn name(row: &Row) -> String {
    let places = match row.repeat {
        Repeat::BySide => ".*",
        Repeat::BySection => "@*",
        Repeat::BySideAndSection => ".*@*",
        Repeat::Once | Repeat::ByProbedSite => "",
    };
    format!("{}{places}", row.id)
}

/// Runs a plan: findings for each scale of [`ScaleFrom::ALL`].
pub(crate) fn run(plan: &Plan) -> Result<[Findings; 3], String> {
    let library = Library::embedded().map_err(|error| error.to_string())?;
    let criteria = Criteria::default_set().map_err(|error| error.to_string())?;
    let runner = Runner { plan, library, criteria, names: names() };
    let workers = std::thread::available_parallelism().map_or(1, |it| u64::try_from(it.get()).unwrap_or(1));
    let films: Vec<Vec<(u64, Outcome)>> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers)
            .map(|worker| {
                let runner = &runner;
                scope.spawn(move || {
                    (worker..plan.films)
                        .step_by(usize::try_from(workers).unwrap_or(1))
                        .map(|number| (number, runner.film(number)))
                        .collect()
                })
            })
            .collect();
        handles.into_iter().filter_map(|handle| handle.join().ok()).collect()
    });
    // In the order of films, so that sums do not depend on how many threads there were.
    let films: BTreeMap<u64, _> = films.into_iter().flatten().collect();
    if u64::try_from(films.len()) != Ok(plan.films) {
        return Err("a thread of the study died".to_owned());
    }
    let mut findings = [Findings::default(), Findings::default(), Findings::default()];
    for seen in films.into_values() {
        for (findings, seen) in findings.iter_mut().zip(seen?) {
            for one in &seen.numbers {
                findings.tallies.entry(one.key).or_default().add(one);
            }
            for (criterion, verdict, truth) in seen.verdicts {
                findings.verdicts.entry(criterion).or_default().add(verdict, truth);
            }
            for name in seen.unmatched {
                *findings.unmatched.entry(name).or_default() += 1;
            }
        }
    }
    Ok(findings)
}

impl Judged {
    /// Both together.
    pub(crate) fn join(&mut self, other: &Self) {
        self.meets += other.meets;
        self.false_meets += other.false_meets;
        self.falls_short += other.falls_short;
        self.false_falls_short += other.false_falls_short;
        self.undecided += other.undecided;
    }

    fn add(&mut self, verdict: Verdict, truth: bool) {
        match verdict {
            Verdict::Meets => {
                self.meets += 1;
                self.false_meets += u32::from(!truth);
            }
            Verdict::FallsShort => {
                self.falls_short += 1;
                self.false_falls_short += u32::from(truth);
            }
            Verdict::Undecided => self.undecided += 1,
            Verdict::DoesNotApply => {}
        }
    }
}

/// What one film showed with each scale.
type Outcome = Result<[Seen; 3], String>;

/// What one film showed with one scale.
struct Seen {
    numbers: Vec<Beside>,
    verdicts: Vec<(String, Verdict, bool)>,
    unmatched: Vec<String>,
}

struct Runner<'a> {
    plan: &'a Plan,
    library: Library,
    criteria: Criteria,
    names: Vec<String>,
}

impl Runner<'_> {
    fn film(&self, number: u64) -> Outcome {
        let film = Film::drawn(&self.plan.practice, self.plan.variation, self.plan.seed, number)?;
        let [one, two, three] = ScaleFrom::ALL.map(|scale| self.seen(&film, scale, number));
        Ok([one?, two?, three?])
    }

    fn seen(&self, film: &Film, scale: ScaleFrom, number: u64) -> Result<Seen, String> {
        let mut case = film.case(scale);
        (self.plan.assume)(&mut case);
        let draws = Draws { count: self.plan.draws, seed: number };
        let measured = measure(&case, &self.library, draws).map_err(|error| error.to_string())?;
        let (mut numbers, mut unmatched) = (Vec::new(), Vec::new());
        for measurement in measured.measurements.iter().filter(|it| it.row.repeat != Repeat::ByProbedSite) {
            let name = name(measurement.row);
            let truth = film.truth.get(&measurement.of).copied();
            match self.beside(film, measurement, &name, truth) {
                Some(one) => numbers.push(one),
                None if measurement.value().is_some() != truth.is_some() => unmatched.push(name.clone()),
                None => {}
            }
            let truth = film.curvature_in_plane.get(&measurement.of).copied();
            numbers.extend(self.beside(film, measurement, &format!("{name}{IN_PLANE}"), truth));
        }
        let verdicts = self.verdicts(film, &case, &measured, draws);
        Ok(Seen { numbers, verdicts, unmatched })
    }

    fn beside(
        &self,
        film: &Film,
        measurement: &Measurement,
        name: &str,
        truth: Option<f64>,
    ) -> Option<Beside> {
        let truth = truth?;
        let value = measurement.value()?;
        let clip = |end: f64| if measurement.row.clipped { end.max(0.0) } else { end };
        let mut estimate = measurement.result.as_ref().ok()?.estimate;
        if film.feels_lean(measurement) {
            estimate.sd = libm::hypot(estimate.sd, self.plan.lean_sd * estimate.value);
        }
        let [low, high] = estimate.interval().map(clip);
        let spread = measurement.drawn.and_then(|drawn| drawn.spread);
        let drawn_covers = spread.map(|spread| {
            let [low, high] = spread.interval.map(clip);
            (low..=high).contains(&truth)
        });
        let at = self.names.iter().position(|it| it == name)?;
        Some(Beside {
            key: Key { measurement: at, several_roots: film.several_roots },
            error: value - truth,
            half_width: 0.5 * (high - low),
            covers: (low..=high).contains(&truth),
            drawn_covers,
            is_doubtful: measurement.first_order_is_doubtful(),
        })
    }

    fn verdicts(
        &self,
        film: &Film,
        case: &Case,
        measured: &Measured,
        draws: Draws,
    ) -> Vec<(String, Verdict, bool)> {
        let derived = rows(case, measured, &self.criteria, draws, &[]);
        derived
            .verdicts
            .into_iter()
            .filter_map(|row| {
                let criterion = self.criteria.list.iter().find(|it| it.id == row.criterion)?;
                let truth = satisfied(&criterion.bound, &row.about, &film.truth)?;
                Some((row.criterion, row.verdict?, truth))
            })
            .collect()
    }
}

/// Whether what is true of the rows a verdict is about satisfies the bound; none where one of them has no truth.
fn satisfied(bound: &Bound, about: &[RowRef], truth: &HashMap<RowRef, f64>) -> Option<bool> {
    let values: Vec<f64> = about.iter().map(|row| truth.get(row).copied()).collect::<Option<_>>()?;
    let mut values = values.iter().copied();
    Some(match *bound {
        Bound::AtLeast(least) => values.all(|value| value >= least),
        Bound::MoreThan(least) => values.all(|value| value > least),
        Bound::AtMost(most) => values.all(|value| value <= most),
        Bound::LessThan(most) => values.all(|value| value < most),
        Bound::Between(low, high) => values.all(|value| (low..=high).contains(&value)),
        Bound::Outside(low, high) => values.all(|value| value < low || value > high),
        Bound::SitesAtLeast { sites, value: least } => {
            values.filter(|value| *value >= least).count() >= sites
        }
        Bound::Classes(_) => return None,
    })
}
