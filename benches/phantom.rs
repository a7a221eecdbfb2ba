//! How long a synthetic film takes: 1300 by 1700 pixels, on as many threads as there are cores, and on one.

// A benchmark that cannot make its own film has nothing to say.
#![allow(clippy::expect_used, missing_docs)]

use crestgauge::case::Fdi;
use crestgauge::phantom::{Aim, Attenuation, Beam, Exposure, Point3, Recipe, Response, Scene, expose};
use crestgauge::quantity::Millimetres;
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::num::NonZeroUsize;
use std::time::Duration;

fn films(criterion: &mut Criterion) {
    let fdi = Fdi::parse("36").expect("a tooth");
    let tooth = Recipe::default().tooth(fdi, 1).expect("a tooth");
    let aim = Aim { pitch: Millimetres(0.02), width_px: 1300, height_px: 1700, ..Aim::default() };
    let exposure = Exposure::aimed(fdi, Point3::new(0.0, 0.0, 3.0), &aim).expect("an exposure");
    let tables = Attenuation::embedded().expect("the tables are whole");
    let beam = Beam::of_tube(&tables, 65.0, Millimetres(2.0)).expect("a beam");
    let mut group = criterion.benchmark_group("phantom");
    group.sample_size(10).measurement_time(Duration::from_secs(15)).warm_up_time(Duration::from_secs(1));
    group.bench_function("scene", |bencher| bencher.iter(|| Scene::of(black_box(&tooth), 1)));
    let scene = Scene::of(&tooth, 1);
    let all = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
    for (name, threads) in [("film, every core", all), ("film, one thread", NonZeroUsize::MIN)] {
        group.bench_function(name, |bencher| {
            bencher.iter(|| expose(&scene, &exposure, &beam, &Response::default(), 1, threads));
        });
    }
    group.finish();
}

criterion_group!(benches, films);
criterion_main!(benches);
