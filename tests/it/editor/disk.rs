//! A full disk and folders that may not be written to. The work is done by this very program, started again with
//! one test and a variable that says where.

#![cfg(unix)]

use super::{Desk, engine, names, sample, second, text};
use crestgauge::case::{Replace, read};
use crestgauge::editor::{Autosaved, Edit, OpenCase, SaveRefused, Unsaved};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const WHERE: &str = "CRESTGAUGE_TEST_DISK";

fn label(text: &str) -> Edit {
    Edit::Label(Some(text.to_owned()))
}

/// Where the helpers of this file work; `None` where they run as mere tests.
fn folder() -> Option<PathBuf> {
    std::env::var_os(WHERE).map(PathBuf::from)
}

fn passed(output: &Output) {
    let said = String::from_utf8_lossy(&output.stdout);
    let complained = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.contains("1 passed"), "{said}\n{complained}");
}

/// What a full disk does to an open case; works only where it is started with a limit on the size of files.
#[test]
fn helper_on_a_full_disk() {
    let Some(folder) = folder() else { return };
    let file = folder.join("tooth.case.json");
    let mut open = OpenCase::open(&file, engine(), Some(folder.join("../state"))).unwrap();
    assert_eq!(open.offers().len(), 1, "what was put by while there was space");
    let offered = open.offers()[0].file.clone();
    open.accept(&offered).unwrap();
    open.apply(label("too late")).unwrap();
    let (before, step) = (text(open.case()), open.next_undo().map(str::to_owned));
    let why = open.autosave(second(9)).unwrap_err().to_string();
    assert_eq!(why.matches("cannot be saved").count(), 2, "beside the case and in the state folder: {why}");
    let refused = open.save(Replace::No);
    assert!(matches!(&refused, Err(SaveRefused::Failed(why)) if why.to_string().contains("unharmed")));
    assert!(open.save_as(&folder.join("new.case.json"), Replace::No).is_err());
    assert_eq!((text(open.case()), open.next_undo().map(str::to_owned)), (before, step));
    assert!(open.is_changed() && open.file() == Some(file.as_path()));
}

#[test]
fn a_full_disk_loses_nothing() {
    let desk = Desk::new();
    let mut open = desk.open();
    open.apply(label("in time")).unwrap();
    open.autosave(second(1)).unwrap();
    let case = std::fs::read(desk.file()).unwrap();
    let autosave = std::fs::read(desk.autosave()).unwrap();
    let line = format!(
        "trap '' XFSZ; ulimit -f 1; exec '{}' --exact editor::disk::helper_on_a_full_disk",
        std::env::current_exe().unwrap().display()
    );
    passed(
        &Command::new("sh").args(["-c", &line]).env(WHERE, desk.file().parent().unwrap()).output().unwrap(),
    );
    assert_eq!(std::fs::read(desk.file()).unwrap(), case);
    assert_eq!(std::fs::read(desk.autosave()).unwrap(), autosave);
    assert_eq!(desk.files(), [".tooth.case.json.unsaved", "tooth.case.json"], "nothing half-written is left");
    assert_eq!(names(&desk.state().join("unsaved")), Vec::<String>::new());
}

/// What a folder that may not be written to does; works only where it is started by one who may not.
#[test]
fn helper_in_a_read_only_folder() {
    let Some(folder) = folder() else { return };
    let file = folder.join("tooth.case.json");
    let state = folder.join("../state");
    let open = || OpenCase::open(&file, engine(), Some(state.clone())).unwrap();
    let mut first = open();
    first.apply(label("kept elsewhere")).unwrap();
    let Autosaved::Written(own) = first.autosave(second(1)).unwrap() else { panic!("unsaved work") };
    assert!(own.starts_with(&state), "{}", own.display());
    let refused = first.save(Replace::No);
    assert!(
        matches!(&refused, Err(SaveRefused::Failed(why)) if why.to_string().contains("permission denied"))
    );
    // It is found from the film, too.
    let by_film = OpenCase::unfiled(first.case().clone(), folder.clone(), engine(), Some(state.clone()));
    assert!(by_film.offers().is_empty(), "work equal to what is open is no news");
    let mut film_alone = sample();
    film_alone.landmarks = crestgauge::case::Landmarks::default();
    let by_film = OpenCase::unfiled(film_alone, folder.clone(), engine(), Some(state.clone()));
    assert_eq!(by_film.offers()[0].meanwhile, crestgauge::editor::Meanwhile::Unchanged);
    // And from the case.
    let mut second_time = open();
    assert_eq!(second_time.offers().len(), 1);
    second_time.accept(&own).unwrap();
    assert_eq!(second_time.case().label.as_deref(), Some("kept elsewhere"));
    // Saved where it may be, nothing stays behind.
    second_time.save_as(&state.join("copy.case.json"), Replace::No).unwrap();
    assert!(!own.exists());
    first.apply(label("still here")).unwrap();
    first.autosave(second(2)).unwrap();
}

/// Root may write anywhere, so where the tests run as root the helper runs as nobody.
#[test]
fn in_a_read_only_folder_work_is_kept_in_the_state_folder() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;
    let allow = |path: &Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    let desk = Desk::new();
    let case = std::fs::read(desk.file()).unwrap();
    let cases = desk.file().parent().unwrap().to_path_buf();
    std::fs::create_dir(desk.state()).unwrap();
    // A copy that anybody may run: the build folder may be closed to others.
    let copy = desk.folder.path().join("program");
    std::fs::copy(std::env::current_exe().unwrap(), &copy).unwrap();
    for (path, mode) in [
        (desk.folder.path(), 0o755),
        (&copy, 0o755),
        (&desk.state(), 0o777),
        (&desk.file(), 0o644),
        (&cases, 0o555),
    ] {
        allow(path, mode);
    }
    let mut helper = Command::new(&copy);
    helper.args(["--exact", "editor::disk::helper_in_a_read_only_folder"]).env(WHERE, &cases);
    helper.current_dir(desk.folder.path());
    if std::fs::metadata("/proc/self").is_ok_and(|about| about.uid() == 0) {
        helper.uid(65_534).gid(65_534);
    }
    let output = helper.output().unwrap();
    allow(&cases, 0o755);
    passed(&output);
    assert_eq!(std::fs::read(desk.file()).unwrap(), case);
    assert_eq!(desk.files(), ["tooth.case.json"]);
    let kept = names(&desk.state().join("unsaved"));
    assert_eq!(kept.len(), 1);
    let unsaved = Unsaved::read(&desk.state().join("unsaved").join(&kept[0])).unwrap();
    assert_eq!(unsaved.case.label.as_deref(), Some("still here"));
    assert!(read(&desk.state().join("copy.case.json")).is_ok());
}
