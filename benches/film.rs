//! How long reading a film of intra-oral size takes, by format, from bytes in memory and without hashing.
//! `beside_opencv.py` sets the same beside a general-purpose library.
#![allow(missing_docs, clippy::unwrap_used, reason = "a bench has no users and may fail loudly")]

use crestgauge::film::dicom::{NewFilm, encode};
use crestgauge::film::{self, Bounds, Picture};
use crestgauge::quantity::Millimetres;
use criterion::{Criterion, criterion_group, criterion_main};
use image::{ExtendedColorType, ImageEncoder as _};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::hint::black_box;
use std::io::Cursor;
use std::time::Duration;

const WIDTH: u32 = 1300;
const HEIGHT: u32 = 1700;

/// Slow gradients under fine grain, which is what the coding of a film has to deal with.
fn grey() -> Vec<u16> {
    let mut grain = ChaCha8Rng::seed_from_u64(1);
    (0..HEIGHT)
        .flat_map(|y| (0..WIDTH).map(move |x| 20_000 + 8 * x + 6 * y))
        .map(|level| u16::try_from(level + grain.random_range(0..512)).unwrap())
        .collect()
}

fn png(grey: &[u16]) -> Vec<u8> {
    let bytes: Vec<u8> = grey.iter().flat_map(|value| value.to_ne_bytes()).collect();
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png)
        .write_image(&bytes, WIDTH, HEIGHT, ExtendedColorType::L16)
        .unwrap();
    png
}

fn tiff(grey: &[u16]) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    tiff::encoder::TiffEncoder::new(&mut file)
        .unwrap()
        .write_image::<tiff::encoder::colortype::Gray16>(WIDTH, HEIGHT, grey)
        .unwrap();
    file.into_inner()
}

fn jpeg(grey: &[u16]) -> Vec<u8> {
    let bytes: Vec<u8> = grey.iter().map(|value| value.to_be_bytes()[0]).collect();
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 90)
        .encode(&bytes, WIDTH, HEIGHT, ExtendedColorType::L8)
        .unwrap();
    jpeg
}

fn dicom(grey: &[u16]) -> Vec<u8> {
    let picture = Picture::new(WIDTH, HEIGHT, 16, grey.to_vec()).unwrap();
    let pitch = Millimetres(0.02);
    encode(&NewFilm { picture: &picture, across: pitch, down: pitch, magnification: None, inverted: false })
        .unwrap()
}

fn reading(criterion: &mut Criterion) {
    let grey = grey();
    let mut group = criterion.benchmark_group("film");
    group.sample_size(20).measurement_time(Duration::from_secs(2)).warm_up_time(Duration::from_secs(1));
    let films = [
        ("png 16", png(&grey)),
        ("tiff 16", tiff(&grey)),
        ("jpeg 8", jpeg(&grey)),
        ("dicom 16", dicom(&grey)),
    ];
    for (name, bytes) in films {
        group.bench_function(name, |bencher| {
            bencher.iter(|| film::read_picture(black_box(&bytes), &Bounds::default()).unwrap());
        });
    }
    let bytes = png(&grey);
    group.bench_function("png 16 with both digests", |bencher| {
        bencher.iter(|| film::read_bytes(black_box(&bytes), &Bounds::default()).unwrap());
    });
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
