//! A student's history on disk: lines appended to a file the student owns.

use crate::practice::{Attempt, HISTORY_FORMAT, History, line, read_history};
use crate::quantity::Day;
use std::fs::{self, File};
use std::io::{ErrorKind, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

/// No history comes near this many bytes.
const MOST_BYTES: u64 = 256 << 20;

/// Appends attempts to a history, and gives all it holds then. Nothing that stands in the file is changed; where its last
/// line was cut short, the next begins on a line of its own.
///
/// # Errors
/// A sentence that names the file: it is a folder, no history, too long, or cannot be written.
pub fn append_attempts(file: &Path, attempts: &[Attempt]) -> Result<History, String> {
    let name = file.display();
    let failed = |error: std::io::Error| format!("{name}: the history was not written: {error}");
    if fs::metadata(file).is_ok_and(|about| about.is_dir()) {
        return Err(format!("{name}: is a folder; name a file for the history, such as history.jsonl"));
    }
    let mut opened = File::options().read(true).append(true).create(true).open(file).map_err(failed)?;
    if opened.metadata().map_err(failed)?.len() > MOST_BYTES {
        return Err(format!("{name}: is too long for a history; begin a new one"));
    }
    let mut bytes = Vec::new();
    opened.read_to_end(&mut bytes).map_err(failed)?;
    let before = String::from_utf8_lossy(&bytes);
    // The first line, even one cut short, begins as every line does.
    let begins = format!("{{\"format\":\"{HISTORY_FORMAT}\"");
    let is_history = before.is_empty() || before.starts_with(&begins) || begins.starts_with(before.as_ref());
    if !is_history {
        return Err(format!(
            "{name}: is no history, and nothing was added to it; name another file after --history"
        ));
    }
    let mut added = String::new();
    if !before.is_empty() && !before.ends_with('\n') {
        added.push('\n');
    }
    for attempt in attempts {
        added.push_str(&line(attempt).map_err(|error| format!("{name}: {error}"))?);
    }
    opened.seek(SeekFrom::End(0)).map_err(failed)?;
    opened.write_all(added.as_bytes()).and_then(|()| opened.sync_all()).map_err(failed)?;
    Ok(read_history(&format!("{before}{added}")))
}

/// What a history holds; nothing where there is no such file yet.
///
/// # Errors
/// A sentence that names the file: it cannot be read, or is too long.
pub fn attempts_of(file: &Path) -> Result<History, String> {
    let name = file.display();
    match fs::metadata(file) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(History::default()),
        Err(error) => return Err(format!("{name}: the history cannot be read: {error}")),
        Ok(about) if about.len() > MOST_BYTES => {
            return Err(format!("{name}: is too long for a history; begin a new one"));
        }
        Ok(_) => {}
    }
    let bytes = fs::read(file).map_err(|error| format!("{name}: the history cannot be read: {error}"))?;
    Ok(read_history(&String::from_utf8_lossy(&bytes)))
}

/// A time in RFC 3339, UTC.
pub fn in_utc(time: SystemTime) -> String {
    rfc_3339(time)
}

fn rfc_3339(moment: SystemTime) -> String {
    let second = moment.duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs()) % 86_400;
    format!("{}T{:02}:{:02}:{:02}Z", Day::of(moment), second / 3600, second / 60 % 60, second % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By `date -u -d @SECONDS` of GNU coreutils.
    #[test]
    fn seconds_become_dates() {
        for (seconds, date) in [
            (0, "1970-01-01T00:00:00Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (1_709_251_199, "2024-02-29T23:59:59Z"),
            (1_795_615_843, "2026-11-25T14:10:43Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
        ] {
            assert_eq!(rfc_3339(UNIX_EPOCH + std::time::Duration::from_secs(seconds)), date);
        }
    }
}
