//! The command line: what was typed, into what it means, into what is done and an exit code.

mod arguments;
mod console;
mod films;
mod manual;
mod measure;

pub use arguments::definition;
pub use console::Exit;

use crate::wording::near;
use arguments::{Arguments, Command};
use clap::Parser as _;
use clap::error::ErrorKind;
use console::{complain, print};
use std::ffi::OsString;
use std::path::Path;

/// Runs the program with what was typed.
pub fn run(typed: impl IntoIterator<Item = OsString>) -> Exit {
    crate::film::silence_decoders();
    let typed = with_csv_joined(typed);
    if let Some(exit) = first_word_is_nothing(&typed) {
        return exit;
    }
    match Arguments::try_parse_from(&typed) {
        Ok(arguments) => dispatch(arguments),
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

fn dispatch(arguments: Arguments) -> Exit {
    match arguments.command {
        Some(Command::Measure(arguments)) => measure::run(&arguments),
        Some(Command::Inspect(arguments)) => films::inspect(&arguments),
        Some(Command::Draft(arguments)) => films::draft(&arguments),
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
            let file = arguments.file.map_or_else(String::new, |file| format!(" {}", file.display()));
            complain(&format!(
                "crestgauge{file}: this build has no window; use `crestgauge measure CASE` for numbers, `crestgauge inspect FILM` for a film, `crestgauge --help` for the rest"
            ));
            Exit::SomeFailed
        }
    }
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
