//! Decodes a film once for every line on standard input, and answers each with the nanoseconds that took. So
//! another program can take turns with it: `benches/beside_opencv.py` does.

use crestgauge::film::{Bounds, read_picture};
use std::error::Error;
use std::hint::black_box;
use std::io::{Write as _, stdin, stdout};
use std::time::Instant;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("usage: time_decode FILM")?;
    let bytes = std::fs::read(path)?;
    for line in stdin().lines() {
        line?;
        let start = Instant::now();
        black_box(read_picture(black_box(&bytes), &Bounds::default())?);
        writeln!(stdout(), "{}", start.elapsed().as_nanos())?;
        stdout().flush()?;
    }
    Ok(())
}
