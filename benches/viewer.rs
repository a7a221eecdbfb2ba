//! What the window costs without a graphics card: toning, opening, and the program's own time for a frame.

// A benchmark that cannot read its own data has nothing to say.
#![allow(clippy::unwrap_used, missing_docs)]

use crestgauge::film::{FirstDisplay, FirstLook, Picture, Pyramid, Tone, Window};
use crestgauge::viewer::toning::{Colours, Texels};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

const WIDTH: u32 = 1300;
const HEIGHT: u32 = 1700;

/// Slow gradients under fine grain, as in benches/film.rs.
fn picture(width: u32, height: u32) -> Picture {
    use rand::{RngExt as _, SeedableRng as _};
    let mut grain = rand_chacha::ChaCha8Rng::seed_from_u64(1);
    let grey = (0..height)
        .flat_map(|y| (0..width).map(move |x| 20_000 + (8 * x + 6 * y) % 40_000))
        .map(|level| u16::try_from(level + grain.random_range(0..512)).unwrap())
        .collect();
    Picture::new(width, height, 16, grey).unwrap()
}

fn toning(bench: &mut Criterion) {
    let picture = picture(WIDTH, HEIGHT);
    let look = FirstLook::of(&FirstDisplay::plain(16, false), &picture.histogram());
    let tone = Tone { window: Some(Window { low: 21_000.0, high: 43_000.0 }), gamma: 1.3, inverted: false };
    let mut group = bench.benchmark_group("tone");
    group.bench_function("first look", |bench| {
        let histogram = picture.histogram();
        bench.iter(|| FirstLook::of(&FirstDisplay::plain(16, false), black_box(&histogram)));
    });
    group.bench_function("table", |bench| bench.iter(|| Colours::of(black_box(tone), &look)));
    let colours = Colours::of(tone, &look);
    let texels = Texels { from: [0, 0], size: [WIDTH, HEIGHT] };
    group.bench_function("2.2 megapixels", |bench| bench.iter(|| colours.image(black_box(&picture), texels)));
    group.bench_function("pyramid", |bench| bench.iter(|| Pyramid::of(black_box(&picture))));
    group.bench_function("histogram", |bench| bench.iter(|| black_box(&picture).histogram()));
    group.finish();
}

criterion_group!(benches, toning);
criterion_main!(benches);
