//! One case in memory, from its landmarks to a whole plan, and the rules that follow a dragged post.

// A benchmark that cannot read its own data has nothing to say.
#![allow(clippy::unwrap_used, missing_docs)]

use crestgauge::calibration::Library;
use crestgauge::case::read_text;
use crestgauge::measure::Draws;
use crestgauge::plan::{Wish, depths, plan};
use crestgauge::verdict::{Criteria, assess};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

const ONE_ROOT: &str = include_str!("../tests/data/films-truth/film-102.case.json");
const MOLAR: &str = include_str!("../tests/data/check-cases/2-004.case.json");

fn one_case(bench: &mut Criterion) {
    let library = Library::embedded().unwrap();
    let criteria = Criteria::default_set().unwrap();
    for (name, text) in [("one root", ONE_ROOT), ("molar, bent canals", MOLAR)] {
        let case = read_text(text).unwrap().case;
        let wish = Wish::default();
        let mut group = bench.benchmark_group(name);
        group.bench_function("measure and judge, to compare", |bench| {
            bench.iter(|| assess(black_box(&case), &library, &criteria, Draws::default(), &[]).unwrap());
        });
        group.bench_function("plan", |bench| {
            bench.iter(|| plan(black_box(&case), &library, &criteria, &wish, &[]).unwrap());
        });
        group.bench_function("depths for dragging", |bench| {
            bench.iter(|| depths(black_box(&case), &library, &criteria, &wish).unwrap());
        });
        let depths = depths(&case, &library, &criteria, &wish).unwrap().unwrap();
        group.bench_function("rules at a dragged tip", |bench| {
            let mut depth = 0.0;
            bench.iter(|| {
                depth = (depth + 0.01) % depths.end_of_root();
                depths.rules_at(black_box(depth))
            });
        });
        group.finish();
    }
}

criterion_group!(benches, one_case);
criterion_main!(benches);
