//! The terminal: standard output that may close early, standard error, colour and progress.

use crate::report::Style;
use std::io::{self, IsTerminal as _, Write as _};
use std::time::{Duration, Instant};

/// Exit codes, the same for every command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Done, whatever the verdicts.
    Done,
    /// Some input could not be used, or an output exists; everything else was done.
    SomeFailed,
    /// The command line itself is wrong.
    WrongUse,
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        match exit {
            Exit::Done => Self::SUCCESS,
            Exit::SomeFailed => Self::from(1),
            Exit::WrongUse => Self::from(2),
        }
    }
}

/// Whether a reader is still there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reader {
    /// It is.
    Listening,
    /// The pipe is closed; nothing more needs to be said.
    Gone,
    /// What was written did not arrive: a full disk, for one.
    Failed,
}

impl From<Reader> for Exit {
    fn from(reader: Reader) -> Self {
        match reader {
            Reader::Listening | Reader::Gone => Self::Done,
            Reader::Failed => Self::SomeFailed,
        }
    }
}

/// Writes to standard output; a closed pipe is no error.
pub(super) fn print(text: &str) -> Reader {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Reader::Listening,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Reader::Gone,
        Err(error) => {
            complain(&format!("standard output: {error}"));
            Reader::Failed
        }
    }
}

/// Writes one line to standard error. Control characters, which a hostile file name could hold, are shown as escapes.
pub(super) fn complain(line: &str) {
    let safe: String = line
        .chars()
        .flat_map(|character| {
            let control = character.is_control()
                || matches!(character, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
            if control { character.escape_default().collect::<Vec<_>>() } else { vec![character] }
        })
        .collect();
    // With standard error gone there is nobody left to tell.
    let _ = writeln!(io::stderr().lock(), "{safe}");
}

/// Colour only on a terminal, and not where `NO_COLOR` is set to anything but nothing.
pub(super) fn style() -> Style {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    if !refused && io::stdout().is_terminal() { Style::Colour } else { Style::Plain }
}

/// Tells how far a long run has come, on a terminal and only once it has taken a while.
pub(super) struct Progress {
    begun: Instant,
    shown: Option<Instant>,
    total: usize,
    on_terminal: bool,
}

impl Progress {
    /// Begins.
    pub(super) fn new(total: usize) -> Self {
        // Where results go to the same terminal, they are the progress.
        let on_terminal = io::stderr().is_terminal() && !io::stdout().is_terminal();
        Self { begun: Instant::now(), shown: None, total, on_terminal }
    }

    /// So many are done.
    pub(super) fn done(&mut self, count: usize) {
        let now = Instant::now();
        let long_run = now.duration_since(self.begun) > Duration::from_secs(1);
        let due = self.shown.is_none_or(|shown| now.duration_since(shown) > Duration::from_millis(200));
        if self.on_terminal && long_run && due {
            self.shown = Some(now);
            let _ = write!(io::stderr().lock(), "\r{count} of {} cases", self.total);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown.is_some() {
            let _ = write!(io::stderr().lock(), "\r{:40}\r", "");
        }
    }
}
