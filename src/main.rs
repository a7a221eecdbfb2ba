//! The `crestgauge` program.

use crestgauge::cli::{WindowAsked, run};
use std::process::ExitCode;

fn main() -> ExitCode {
    run(std::env::args_os(), open_window).into()
}

#[cfg(feature = "viewer")]
fn open_window(asked: WindowAsked) -> Result<(), String> {
    use crestgauge::editor::state_folder;
    use crestgauge::viewer::{Start, run};

    let WindowAsked { file, engine, bounds } = asked;
    let state_folder = state_folder(|variable| std::env::var_os(variable));
    run(Start { file, engine: engine.into(), state_folder, bounds }).map_err(|error| error.to_string())
}

#[cfg(not(feature = "viewer"))]
fn open_window(_: WindowAsked) -> Result<(), String> {
    Err("this build has no window; use `crestgauge measure CASE` for numbers, `crestgauge inspect FILM` for a film, \
`crestgauge --help` for the rest"
        .to_owned())
}
