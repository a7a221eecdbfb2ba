//! One case in memory, from its landmarks to numbers and verdicts: what a window does on every movement of a point.

// A benchmark that cannot read its own data has nothing to say.
#![allow(clippy::unwrap_used, missing_docs)]

use crestgauge::calibration::Library;
use crestgauge::case::read_text;
use crestgauge::measure::{Draws, measure};
use crestgauge::verdict::{Criteria, assess};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

const ONE_ROOT: &str = include_str!("../tests/data/films-truth/film-102.case.json");
const TWO_ROOTS: &str = include_str!("../tests/data/check-cases/1-000.case.json");

fn one_case(bench: &mut Criterion) {
    let library = Library::embedded().unwrap();
    let criteria = Criteria::default_set().unwrap();
    for (name, text) in [("one root", ONE_ROOT), ("two roots", TWO_ROOTS)] {
        let case = read_text(text).unwrap().case;
        let mut group = bench.benchmark_group(name);
        group
            .bench_function("read the case file", |bench| bench.iter(|| read_text(black_box(text)).unwrap()));
        group.bench_function("measure, all sds", |bench| {
            bench.iter(|| measure(black_box(&case), &library, Draws::default()).unwrap());
        });
        group.bench_function("measure and judge", |bench| {
            bench.iter(|| assess(black_box(&case), &library, &criteria, Draws::default(), &[]).unwrap());
        });
        group.sample_size(10);
        group.bench_function("20000 draws", |bench| {
            bench.iter(|| measure(black_box(&case), &library, Draws { count: 20_000, seed: 1 }).unwrap());
        });
        group.finish();
    }
}

criterion_group!(benches, one_case);
criterion_main!(benches);
