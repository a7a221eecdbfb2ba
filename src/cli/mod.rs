//! The command line: what was typed, into what it means, into what is done and an exit code.

mod agreement;
mod arguments;
mod console;
mod films;
mod manual;
mod measure;
mod phantom;
mod phantom_arguments;
mod plan;
mod report;
mod score;
mod stem;

pub use arguments::definition;
pub use console::Exit;

use crate::calibration::Library;
use crate::editor::Engine;
use crate::film::Bounds;
use crate::verdict::Criteria;
use crate::wording::near;
use arguments::{Arguments, Command, MeansArguments};
use clap::Parser as _;
use clap::error::ErrorKind;
use console::{complain, print};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// What a window is wanted for.
#[derive(Debug, Clone)]
pub struct WindowAsked {
    /// The film or case to open; none for what the window itself begins with.
    pub file: Option<PathBuf>,
    /// What everything is computed with.
    pub engine: Engine,
    /// How large films may be.
    pub bounds: Bounds,
}

/// Runs the program with what was typed. `window` opens the window and stays until it is closed; its error is the
/// sentence that says why there is none.
pub fn run(
    typed: impl IntoIterator<Item = OsString>,
    window: impl FnOnce(WindowAsked) -> Result<(), String>,
) -> Exit {
    crate::film::silence_decoders();
    let typed = with_csv_joined(typed);
    if let Some(exit) = first_word_is_nothing(&typed) {
        return exit;
    }
    match Arguments::try_parse_from(&typed) {
        Ok(arguments) => dispatch(arguments, window),
        Err(error) => {
            let is_help = matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion);
            if is_help {
                print(&error.render().to_string()).into()
            } else {
                for line in
                    error.render().to_string().trim_end().lines().filter(|line| !line.trim().is_empty())
                {
                    complain(line);
                }
                Exit::WrongUse
            }
        }
    }
}

fn dispatch(arguments: Arguments, window: impl FnOnce(WindowAsked) -> Result<(), String>) -> Exit {
    match arguments.command {
        Some(Command::Measure(arguments)) => measure::run(&arguments),
        Some(Command::Plan(arguments)) => plan::run(&arguments),
        Some(Command::Report(arguments)) => report::run(&arguments),
        Some(Command::Inspect(arguments)) => films::inspect(&arguments),
        Some(Command::Draft(arguments)) => films::draft(&arguments),
        Some(Command::Phantom(arguments)) => phantom::run(&arguments),
        Some(Command::Score(arguments)) => score::run(&arguments),
        Some(Command::Agreement(arguments)) => agreement::run(&arguments),
        Some(Command::Schema) => match serde_json::to_string_pretty(&crate::case::schema()) {
            Ok(schema) => print(&(schema + "\n")).into(),
            Err(error) => {
                complain(&format!("crestgauge schema: {error}"));
                Exit::SomeFailed
            }
        },
        Some(Command::Completions { shell }) => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut definition(), "crestgauge", &mut script);
            print(&String::from_utf8_lossy(&script)).into()
        }
        Some(Command::Man) => match manual::page() {
            Ok(page) => print(&page).into(),
            Err(error) => {
                complain(&format!("crestgauge man: {error}"));
                Exit::SomeFailed
            }
        },
        None => {
            let opened = engine(&arguments.means).and_then(|engine| {
                window(WindowAsked { file: arguments.file, engine, bounds: arguments.bounds.into() })
            });
            match opened {
                Ok(()) => Exit::Done,
                Err(why) => {
                    complain(&format!("crestgauge: {why}"));
                    Exit::SomeFailed
                }
            }
        }
    }
}

/// What cases are measured and judged with, as it was asked for.
fn engine(means: &MeansArguments) -> Result<Engine, String> {
    let library = match &means.references {
        Some(file) => Library::with_file(file),
        None => Library::embedded(),
    };
    let criteria = match &means.criteria {
        Some(file) => Criteria::from_file(file),
        None => Criteria::default_set(),
    };
    Ok(Engine {
        library: library.map_err(|error| error.to_string())?,
        criteria: criteria.map_err(|error| error.to_string())?,
    })
}

/// `--csv verdicts` is written with a space; `--csv CASE` names a case. Joined here, since only the word tells them
/// apart.
fn with_csv_joined(typed: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut joined: Vec<OsString> = Vec::new();
    for word in typed {
        match joined.last_mut() {
            Some(last) if last == "--csv" && (word == "verdicts" || word == "measurements") => {
                last.push("=");
                last.push(word);
            }
            _ => joined.push(word),
        }
    }
    joined
}

/// A first word that is neither a command nor an existing file: the near command is named.
fn first_word_is_nothing(typed: &[OsString]) -> Option<Exit> {
    let first = typed.get(1)?;
    let mut definition = definition();
    // Building adds the help command.
    definition.build();
    let commands: Vec<&str> = definition.get_subcommands().map(clap::Command::get_name).collect();
    let word = first.to_string_lossy();
    if word.starts_with('-') || commands.contains(&word.as_ref()) || Path::new(first).exists() {
        return None;
    }
    let advice = near(&word, commands.iter().copied()).map_or_else(
        || format!("commands: {}", commands.join(", ")),
        |near| format!("did you mean `crestgauge {near}`?"),
    );
    complain(&format!("crestgauge: {word:?} is neither a command nor an existing file; {advice}"));
    Some(Exit::WrongUse)
}
