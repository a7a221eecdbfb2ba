//! Reports of the sample in memory: its film toned, pages set, and each output written. Beside them a film of 2.2
//! megapixels, with noise that compresses as badly as a film can.

// A benchmark that cannot read its own data has nothing to say.
#![allow(clippy::unwrap_used, missing_docs)]

use crestgauge::calibration::Library;
use crestgauge::case::read_text;
use crestgauge::editor::{Engine, ForReport};
use crestgauge::film::{Bounds, read_bytes};
use crestgauge::measure::{Draws, measure};
use crestgauge::plan::{Wish, plan};
use crestgauge::report::{Audience, Day, Ending, Paper, Setting, Shades, Subject, pages, shades_of, written};
use crestgauge::verdict::{Criteria, rows};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::sync::Arc;

/// A molar some of whose intervals are skewed, so that they are drawn.
const MOLAR: &str = include_str!("../sample-images/bone-loss-36.case.json");
const CASE: &str = include_str!("../tests/data/films-truth/film-102.case.json");
const FILM: &[u8] = include_bytes!("../tests/data/films-truth/film-102.png");

/// The sample's film, 1300 by 1700 pixels by taking the nearest, with noise of 16 levels.
fn large(film: &Shades) -> Shades {
    let (width, height) = (1300_u32, 1700_u32);
    let mut state = 1_u32;
    let shade = |x: u32, y: u32| {
        let at = (y * film.height() / height) * film.width() + x * film.width() / width;
        film.shades().get(at as usize).copied().unwrap_or(0)
    };
    let shades = (0..width * height).map(|at| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [.., noise] = (state >> 28).to_be_bytes();
        shade(at % width, at / width).saturating_add(noise)
    });
    Shades::new(width, height, shades.collect()).unwrap()
}

fn what_it_says(bench: &mut Criterion) {
    let engine = Arc::new(Engine::embedded().unwrap());
    for (name, text) in [("the sample", CASE), ("a molar, 7 rows of it drawn", MOLAR)] {
        let case = read_text(text).unwrap().case;
        bench.bench_function(&format!("everything a report says: {name}"), |bench| {
            bench.iter(|| ForReport::of(black_box(&case).clone(), Arc::clone(&engine), &[]).unwrap());
        });
    }
}

fn reports(bench: &mut Criterion) {
    let (library, criteria) = (Library::embedded().unwrap(), Criteria::default_set().unwrap());
    let mut case = read_text(CASE).unwrap().case;
    let film = read_bytes(FILM, &Bounds::default()).unwrap();
    let small = Arc::new(shades_of(&film).unwrap());
    bench.bench_function("tone the film", |bench| bench.iter(|| shades_of(black_box(&film)).unwrap()));
    for (name, shades) in
        [("1.3 megapixels", Arc::clone(&small)), ("2.2 megapixels", Arc::new(large(&small)))]
    {
        // The points stay where they are: pages show the same part of a larger film.
        (case.film.width_px, case.film.height_px) = (Some(shades.width()), Some(shades.height()));
        let measured = measure(&case, &library, Draws::default()).unwrap();
        let derived = rows(&case, &measured, &criteria, Draws::default(), &[]);
        let plan = plan(&case, &library, &criteria, &Wish::default(), &[]).unwrap();
        let subject = Subject {
            case: &case,
            measured: &measured,
            derived: &derived,
            criteria: &criteria,
            plan: &plan,
            film: Some(shades),
        };
        let setting =
            Setting { audience: Audience::Record, paper: Paper::A4, date: Day::parse("2026-11-24").unwrap() };
        let mut group = bench.benchmark_group(name);
        group.sample_size(20);
        group.bench_function("pages", |bench| bench.iter(|| pages(black_box(&subject), setting)));
        for (word, ending) in Ending::ALL {
            let bytes = written(&subject, setting, *ending, None).unwrap().bytes.len();
            group.bench_function(format!("{word}, {bytes} bytes"), |bench| {
                bench.iter(|| written(black_box(&subject), setting, *ending, None).unwrap());
            });
        }
        group.finish();
    }
}

criterion_group!(benches, what_it_says, reports);
criterion_main!(benches);
