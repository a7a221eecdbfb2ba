//! Tones a film of 16 bits once for every line on standard input, to the pixels of a screen, and answers each with
//! the nanoseconds that took. So another program can take turns with it: `benches/beside_opencv.py` does.

use crestgauge::film::{Bounds, Cut, FirstDisplay, FirstLook, Tone, Window, read_picture};
use crestgauge::viewer::toning::Colours;
use std::error::Error;
use std::hint::black_box;
use std::io::{Write as _, stdin, stdout};
use std::time::Instant;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("usage: time_tone FILM")?;
    let picture = read_picture(&std::fs::read(path)?, &Bounds::default())?;
    let look = FirstLook::of(&FirstDisplay::plain(picture.bits(), false), &picture.histogram());
    let window = Window { low: 21_000.0, high: 43_000.0 };
    let colours = Colours::of(Tone { window: Some(window), ..Tone::default() }, &look);
    let whole = Cut::whole(&picture);
    for line in stdin().lines() {
        line?;
        let start = Instant::now();
        black_box(colours.image(black_box(&picture), whole));
        writeln!(stdout(), "{}", start.elapsed().as_nanos())?;
        stdout().flush()?;
    }
    Ok(())
}
