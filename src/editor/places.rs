//! Where autosaves stand.

use crate::case::Case;
use crate::film::Sha256;
use std::ffi::{OsStr, OsString};
use std::io;
use std::path::{Path, PathBuf};

/// How many autosaves of one case or film can stand side by side: one that nobody wanted to recover is kept, so the
/// next one needs a name of its own.
const MOST: u32 = 20;

/// The folder for what a program keeps of its own from one run to the next: `$XDG_STATE_HOME/crestgauge`, else
/// `~/.local/state/crestgauge`; on Windows `%LOCALAPPDATA%\crestgauge`. `variable` looks up a variable of the
/// environment.
pub fn state_folder(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    // A relative path there counts as none (XDG Base Directory Specification).
    let folder = |name| variable(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let state = if cfg!(windows) {
        folder("LOCALAPPDATA")
    } else {
        folder("XDG_STATE_HOME").or_else(|| folder("HOME").map(|home| home.join(".local/state")))
    };
    state.map(|state| state.join("crestgauge"))
}

/// Makes a folder that only its owner can look into, where it is not there yet: paths may carry a patient's name.
///
/// # Errors
/// It cannot be made.
pub fn private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// Beside a case `NAME.case.json`: `.NAME.case.json.unsaved`, which no `*.case.json` catches.
pub(super) fn beside(case_file: &Path) -> Option<PathBuf> {
    // Whatever link it was opened by, the next one to open it must find this.
    let target = case_file.canonicalize().unwrap_or_else(|_| case_file.to_path_buf());
    let name = target.file_name()?;
    let mut hidden = OsString::from(".");
    hidden.push(name);
    hidden.push(".unsaved");
    Some(target.with_file_name(hidden))
}

/// In the user's state folder, by the film's digest; a case without one goes by its path.
pub(super) fn in_state_folder(state_folder: &Path, case: &Case, case_file: Option<&Path>) -> PathBuf {
    let key = match (&case.film.sha256, case_file) {
        (Some(film), _) => film.clone(),
        (None, Some(file)) => Sha256::of(file.as_os_str().as_encoded_bytes()).to_string(),
        (None, None) => "no-film".to_owned(),
    };
    state_folder.join("unsaved").join(key + ".unsaved")
}

/// The names for autosaves in one place: the first one, then the same with a number.
pub(super) fn names(first: &Path) -> impl Iterator<Item = PathBuf> {
    let name = first.file_name().map(OsStr::to_owned).unwrap_or_default();
    (1..=MOST).map(move |number| {
        let mut name = name.clone();
        if number > 1 {
            name.push(format!("-{number}"));
        }
        first.with_file_name(name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn the_state_folder_by_the_users_environment() {
        let with = |set: &[(&str, &str)]| {
            let set: Vec<_> =
                set.iter().map(|(name, value)| ((*name).to_owned(), OsString::from(value))).collect();
            state_folder(|wanted| set.iter().find(|(name, _)| name == wanted).map(|(_, value)| value.clone()))
        };
        let home = ("HOME", "/home/ada");
        assert_eq!(with(&[home]), Some("/home/ada/.local/state/crestgauge".into()));
        assert_eq!(with(&[home, ("XDG_STATE_HOME", "/state")]), Some("/state/crestgauge".into()));
        assert_eq!(
            with(&[home, ("XDG_STATE_HOME", "state")]),
            Some("/home/ada/.local/state/crestgauge".into())
        );
        assert_eq!(with(&[]), None);
    }

    #[test]
    fn names_side_by_side() {
        let names: Vec<_> = names(Path::new("films/.a.case.json.unsaved")).take(2).collect();
        assert_eq!(
            names,
            [Path::new("films/.a.case.json.unsaved"), Path::new("films/.a.case.json.unsaved-2")]
        );
        assert_eq!(beside(Path::new("nowhere/a.case.json")), Some("nowhere/.a.case.json.unsaved".into()));
    }
}
