//! Films of teeth whose lengths are known, measured: how far off the numbers are, and how often their intervals contain the
//! truth. Writes the tables of docs/validation.md and its pictures anew:
//!
//! `cargo run --no-default-features --example validation`

mod dice;
mod film;
mod practice;
mod study;

use film::ScaleFrom;
use practice::PRACTICES;
use std::io::Write as _;
use study::{Plan, names, run};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let films = std::env::args().nth(1).map_or(Ok(1000), |it| it.parse())?;
    let draws = std::env::args().nth(2).map_or(Ok(0), |it| it.parse())?;
    let mut out = std::io::stdout();
    for practice in PRACTICES {
        let start = std::time::Instant::now();
        let findings = run(&Plan { practice, assume: |_| (), seed: 20_261_129, films, draws })?;
        writeln!(out, "\n{} {:?}", practice.name, start.elapsed())?;
        for (scale, findings) in ScaleFrom::ALL.iter().zip(&findings) {
            writeln!(out, "{} unmatched {}", scale.word(), findings.unmatched)?;
            for (at, name) in names().iter().enumerate() {
                let t = findings.of(at);
                if t.count == 0.0 { continue }
                write!(out, "{name:28} n {:5} bias {:+.3} rms {:.3} half/1.96rms {:.2} cov {:.1}", t.count, t.bias(), t.rms(), t.half_width()/1.96/t.rms(), 100.0*t.coverage())?;
                write!(out, " dbt {:.2} mc {:.1}", t.doubtful/t.count, 100.0*t.drawn_coverage().unwrap_or(f64::NAN))?;
                for several_roots in [false, true] {
                    if let Some(t) = findings.tallies.get(&study::Key { measurement: at, several_roots }) {
                        write!(out, " | {:+.3} {:.2} {:.1}", t.bias(), t.half_width()/1.96/t.rms(), 100.0*t.coverage())?;
                    }
                }
                writeln!(out)?;
            }
            for (id, j) in &findings.verdicts {
                writeln!(out, "  {id:30} {j:?}")?;
            }
        }
    }
    Ok(())
}
