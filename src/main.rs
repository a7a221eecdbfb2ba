//! The `crestgauge` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    crestgauge::cli::run(std::env::args_os()).into()
}
