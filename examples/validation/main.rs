//! Films of teeth whose lengths are known, measured: how far off the numbers are, and how often their intervals contain the
//! truth. Writes the tables of docs/validation.md and its pictures anew:
//!
//! `cargo run --no-default-features --example validation`
//!
//! With a number behind it, it prints the tables of that many films and writes nothing.

mod dice;
mod film;
mod plot;
mod practice;
mod study;
mod tables;
mod trials;

use film::Variation;
use practice::PRACTICES;
use std::error::Error;
use std::io::Write as _;
use std::path::Path;
use study::{Findings, Plan, SEED, run};

/// Films of each practice and each trial.
const FILMS: u64 = 1000;
/// As many times more films for verdicts, some of which are rare.
const FOR_VERDICTS: u64 = 5;
/// Films that are drawn as well, and draws for each.
const DRAWN_FILMS: u64 = 300;
const DRAWS: u32 = 1000;

fn main() -> Result<(), Box<dyn Error>> {
    let asked = std::env::args().nth(1);
    let films = asked.as_deref().map_or(Ok(FILMS), str::parse)?;
    let parts = parts(films)?;
    if asked.is_some() {
        let mut out = std::io::stdout().lock();
        for (name, text) in &parts.texts {
            writeln!(out, "{name}\n\n{text}")?;
        }
        return Ok(());
    }
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    for (name, picture) in &parts.pictures {
        std::fs::write(docs.join("pictures").join(name), picture)?;
    }
    let path = docs.join("validation.md");
    let mut document = std::fs::read_to_string(&path)?;
    for (name, text) in &parts.texts {
        document = replaced(&document, name, text)?;
    }
    std::fs::write(path, document)?;
    Ok(())
}

struct Parts {
    texts: Vec<(&'static str, String)>,
    pictures: Vec<(&'static str, String)>,
}

fn parts(films: u64) -> Result<Parts, String> {
    let [paralleling, _, bisecting, _] = PRACTICES;
    let plain = |practice| Plan {
        practice,
        variation: Variation::AsTheyAre,
        assume: |_| (),
        seed: SEED,
        films,
        draws: 0,
        lean_sd: 0.0,
    };
    let mut by_practice = Vec::new();
    for practice in PRACTICES {
        by_practice.push((practice, run(&plain(practice))?));
    }
    let before = |practice| -> Result<[Findings; 3], String> {
        let known = by_practice.iter().find(|(it, _)| *it == practice);
        known.map(|(_, findings)| findings.clone()).ok_or_else(|| "a trial of films not taken".to_owned())
    };
    let mut tried = Vec::new();
    for trial in trials::trials() {
        let (variation, assume, lean_sd) = (trial.variation, trial.assume, trial.lean_sd);
        let after = run(&Plan { variation, assume, lean_sd, ..plain(trial.practice) })?;
        let before = before(trial.practice)?;
        tried.push((trial, before, after));
    }
    let drawn = |practice, assume| {
        run(&Plan { assume, films: films.min(DRAWN_FILMS), draws: DRAWS, ..plain(practice) })
    };
    let drawn = [
        ("paralleling", drawn(paralleling, |_| ())?),
        ("bisecting, depths as faces are deep", drawn(bisecting, trials::depth)?),
    ];
    let main = before(paralleling)?;
    let (_, others) = by_practice.split_first().ok_or("no practice")?;
    let judged = run(&Plan { films: FOR_VERDICTS * films, ..plain(paralleling) })?;
    let header = format!(
        "{films} films of each kind, {} for verdicts; draws: {} films, {DRAWS} draws each. Seed {SEED}, {}.\n",
        FOR_VERDICTS * films,
        films.min(DRAWN_FILMS),
        crestgauge::verdict::PROGRAM,
    );
    Ok(Parts {
        texts: vec![
            ("how it was run", header),
            ("coverage", tables::coverage(&main)),
            ("not compared", tables::not_compared(&main)),
            ("errors", tables::errors(&main)),
            ("other practices", tables::practices(others)),
            ("draws", tables::draws(&drawn)),
            ("verdicts", tables::verdicts(&judged)),
            ("trials", tables::trials(&tried)),
        ],
        pictures: vec![
            ("validation-paralleling.svg", plot::picture("Paralleling technique", &main)),
            ("validation-bisecting.svg", plot::picture("Bisecting technique", &before(bisecting)?)),
        ],
    })
}

/// The document with the part of this name replaced.
fn replaced(document: &str, name: &str, text: &str) -> Result<String, String> {
    let begin = format!("<!-- made by the study: {name} -->\n");
    let (before, rest) =
        document.split_once(&begin).ok_or_else(|| format!("docs/validation.md has no part {name:?}"))?;
    let end = rest.find("<!-- end -->").ok_or_else(|| format!("docs/validation.md: {name} has no end"))?;
    let after = rest.get(end..).unwrap_or_default();
    Ok(format!("{before}{begin}{text}{after}"))
}
