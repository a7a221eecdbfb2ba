//! Raises the local contrast of a picture of 16-bit grey values once for every line on standard input, each time with
//! nothing kept from before, and answers each with the nanoseconds that took. So another program can take turns with
//! it: `benches/local_contrast_beside_opencv.py` does.

use crestgauge::film::{Cut, Division, Equaliser, Picture, Regions};
use std::error::Error;
use std::hint::black_box;
use std::io::{Write as _, stdin, stdout};
use std::time::Instant;

const USAGE: &str =
    "usage: time_local_contrast FILE WIDTH HEIGHT LIMIT THREADS; FILE is 16-bit little endian";

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, width, height, limit, threads] = arguments.as_slice() else { return Err(USAGE.into()) };
    let (limit, threads) = (limit.parse()?, threads.parse()?);
    let bytes = std::fs::read(file)?;
    let grey = bytes.as_chunks().0.iter().map(|pair| u16::from_le_bytes(*pair)).collect();
    let picture = Picture::new(width.parse()?, height.parse()?, 16, grey)?;
    for line in stdin().lines() {
        line?;
        let start = Instant::now();
        let regions = Regions::new(black_box(&picture), Division::default(), 0..=u16::MAX, None);
        let equaliser = Equaliser::new(&regions, limit);
        let grey = equaliser.cut_in_threads(&regions, &picture, &picture, 0, Cut::whole(&picture), threads);
        writeln!(stdout(), "{}", start.elapsed().as_nanos())?;
        stdout().flush()?;
        black_box(grey);
    }
    Ok(())
}
