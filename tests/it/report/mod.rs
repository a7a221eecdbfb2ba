//! Reports: pages, pictures, structured reports, and the command that writes them.

mod command;
mod numbers;
mod page;
mod pdf;
mod picture;
mod structured;

use crate::support::{data, library};
use crestgauge::case::{Case, Derived, read_text};
use crestgauge::film;
use crestgauge::measure::{Draws, Measured, measure_drawing_doubtful};
use crestgauge::plan::{Plan, Wish, plan};
use crestgauge::report::{Audience, Day, Drawing, Mark, Page, Paper, Setting, Subject, shades_of};
use crestgauge::verdict::{Criteria, rows};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What doubtful intervals are drawn with: the command draws more often, and so many cases here would take long.
const DRAWS: Draws = Draws { count: 200, seed: 1 };

/// A case with everything a report needs.
struct Made {
    case: Case,
    measured: Measured,
    derived: Derived,
    criteria: Criteria,
    plan: Plan,
    film: Option<Arc<crestgauge::report::Shades>>,
}

impl Made {
    fn of(text: &str) -> Self {
        let read = read_text(text).unwrap();
        let (case, library, criteria) = (read.case, library(), Criteria::default_set().unwrap());
        let (measured, has_drawn) = measure_drawing_doubtful(&case, &library, DRAWS).unwrap();
        let draws = if has_drawn { DRAWS } else { Draws::default() };
        let derived = rows(&case, &measured, &criteria, draws, &read.cautions);
        let plan = plan(&case, &library, &criteria, &Wish::default(), &read.cautions).unwrap();
        Self { case, measured, derived, criteria, plan, film: None }
    }

    /// The built-in sample on its film.
    fn sample() -> Self {
        Self::on_film("sample-images/short-wall-21")
    }

    /// Film 102, which was made outside this project.
    fn film_102() -> Self {
        Self::on_film("tests/data/films-truth/film-102")
    }

    fn on_film(stem: &str) -> Self {
        let mut made = Self::of(&std::fs::read_to_string(root(&format!("{stem}.case.json"))).unwrap());
        let film = film::read(&root(&format!("{stem}.png")), &film::Bounds::default()).unwrap();
        made.film = shades_of(&film).map(Arc::new);
        made
    }

    fn subject(&self) -> Subject<'_> {
        Subject {
            case: &self.case,
            measured: &self.measured,
            derived: &self.derived,
            criteria: &self.criteria,
            plan: &self.plan,
            film: self.film.clone(),
        }
    }
}

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn setting(audience: Audience, paper: Paper) -> Setting {
    Setting { audience, paper, date: Day::parse("2026-11-24").unwrap() }
}

/// Every case there is to check, by name.
fn cases() -> Vec<(String, String)> {
    let within = |folder: PathBuf| {
        let found = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        found.filter(|path| path.to_string_lossy().ends_with(".case.json")).collect::<Vec<_>>()
    };
    let (checks, samples) = (within(data("check-cases")), within(root("sample-images")));
    assert!(checks.len() > 80 && samples.len() > 10, "{} and {}", checks.len(), samples.len());
    let mut files = [checks, samples, within(data("plans")), within(data("films-truth"))].concat();
    files.sort();
    let read = |file: PathBuf| (file.display().to_string(), std::fs::read_to_string(&file).unwrap());
    files.into_iter().map(read).collect()
}

fn words(page: &Page) -> impl Iterator<Item = &str> {
    page.blocks.iter().flat_map(|block| &block.marks).filter_map(|mark| match mark {
        Mark::Text(text) => Some(text.words.as_str()),
        Mark::Path(_) | Mark::Picture(_) => None,
    })
}

/// All words of all pages, parted by single blanks.
fn all_words(drawing: &Drawing) -> String {
    let words: Vec<&str> = drawing.pages.iter().flat_map(words).flat_map(str::split_whitespace).collect();
    words.join(" ")
}
