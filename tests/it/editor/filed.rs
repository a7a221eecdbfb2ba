//! Opening and saving, other programs, the film.

use super::{Desk, engine, sample, second, text};
use crestgauge::case::{Landmark, Replace, Side};
use crestgauge::caution::CautionKind;
use crestgauge::editor::{DiskChange, Edit, Effect, FilmLink, OpenCase, SaveRefused};
use crestgauge::film::Bounds;
use std::path::{Path, PathBuf};

fn label(text: &str) -> Edit {
    Edit::Label(Some(text.to_owned()))
}

#[test]
fn saving_writes_the_case_and_its_numbers_and_is_clean_again() {
    let desk = Desk::new();
    let mut open = desk.open();
    assert!(!open.is_changed(), "opening changes nothing");
    open.apply(label("saved")).unwrap();
    open.autosave(second(1)).unwrap();
    assert_eq!(open.save(Replace::No).unwrap(), [Effect::SavedState]);
    assert_eq!(desk.on_disk(), *open.case());
    assert_eq!(desk.files(), ["tooth.case.json"], "the autosave is gone");
    let document: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(desk.file()).unwrap()).unwrap();
    let rows = &open.numbers().unwrap().derived;
    assert_eq!(document["measurements"], serde_json::to_value(&rows.measurements).unwrap());
    assert_eq!(document["verdicts"], serde_json::to_value(&rows.verdicts).unwrap());
    // Undo reaches behind the save, and counts as a change.
    assert_eq!(open.undo(), [Effect::Case, Effect::SavedState]);
    assert!(open.is_changed());
    assert_eq!(open.redo(), [Effect::Case, Effect::SavedState]);
    assert!(!open.is_changed());
    assert_eq!(open.disk_change(), None);
}

#[test]
fn a_case_without_a_file_gets_one_and_its_film_is_found_from_there() {
    let folder = tempfile::tempdir().unwrap();
    let films = folder.path().join("films");
    let cases = folder.path().join("cases");
    for folder in [&films, &cases] {
        std::fs::create_dir(folder).unwrap();
    }
    let film = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth/film-102.png");
    std::fs::copy(film, films.join("film-102.png")).unwrap();
    let mut open = OpenCase::unfiled(sample(), films, engine(), None);
    assert!(!open.is_changed());
    assert!(matches!(open.save(Replace::No), Err(SaveRefused::NoFile)));
    let link = FilmLink { pixel_aspect: Some(1.1), ..FilmLink::of(open.case()) };
    open.apply(Edit::FilmLink(Box::new(link))).unwrap();
    open.save_as(&cases.join("a.case.json"), Replace::No).unwrap();
    let film = |open: &OpenCase| open.case().film.file.clone().map(PathBuf::from);
    let moved = Some(Path::new("..").join("films").join("film-102.png"));
    assert_eq!((film(&open), open.is_changed()), (moved.clone(), false));
    open.check_film(&Bounds::default());
    assert_eq!(open.film_cautions(), []);
    // What is undone behind the save finds its film too.
    open.undo();
    assert_eq!((film(&open), open.case().film.pixel_aspect), (moved, None));
    let refused = open.save_as(&cases.join("a.case.json"), Replace::No);
    assert!(matches!(refused, Err(SaveRefused::Failed(_))), "{refused:?}");
}

#[test]
fn a_file_changed_by_another_program_is_noticed_and_not_written_over() {
    let desk = Desk::new();
    let mut open = desk.open();
    let mut other = desk.open();
    other.apply(label("theirs")).unwrap();
    other.save(Replace::No).unwrap();
    assert_eq!(other.disk_change(), None);
    assert_eq!(open.disk_change(), Some(DiskChange::Changed));
    open.apply(label("ours")).unwrap();
    assert!(matches!(open.save(Replace::No), Err(SaveRefused::ChangedOnDisk)));
    assert_eq!(desk.on_disk().label.as_deref(), Some("theirs"));
    // Either side can be taken; theirs is a step that can be undone.
    open.take_over_from_disk().unwrap();
    assert_eq!((open.case().label.as_deref(), open.is_changed()), (Some("theirs"), false));
    assert_eq!((open.disk_change(), open.next_undo()), (None, Some("take over the file's content")));
    open.undo();
    assert_eq!((open.case().label.as_deref(), open.is_changed()), (Some("ours"), true));
    open.save(Replace::No).unwrap();
    assert_eq!(desk.on_disk().label.as_deref(), Some("ours"));
    assert!(matches!(other.save(Replace::No), Err(SaveRefused::ChangedOnDisk)));
    other.save(Replace::Yes).unwrap();
    assert_eq!(desk.on_disk().label.as_deref(), Some("theirs"));
    // A new date on the same bytes is no change; a file that is gone is one, and can be saved anew.
    std::fs::write(desk.file(), std::fs::read(desk.file()).unwrap()).unwrap();
    assert_eq!(other.disk_change(), None);
    std::fs::remove_file(desk.file()).unwrap();
    assert_eq!(other.disk_change(), Some(DiskChange::Gone));
    other.save(Replace::No).unwrap();
    assert_eq!(other.disk_change(), None);
    // What is no case any more is not taken over.
    std::fs::write(desk.file(), "no case").unwrap();
    let before = text(other.case());
    assert!(other.take_over_from_disk().is_err());
    assert_eq!((text(other.case()), other.disk_change()), (before, Some(DiskChange::Changed)));
}

/// What became of a case is no step of undo, and stands in every state that undo goes back to: also in whole cases.
#[test]
fn what_is_noted_in_a_case_is_undone_by_nothing() {
    let desk = Desk::new();
    let mut open = desk.open();
    let mut other = desk.open();
    other.apply(label("theirs")).unwrap();
    other.save(Replace::No).unwrap();
    open.apply(label("ours")).unwrap();
    open.take_over_from_disk().unwrap();
    open.undo();
    let steps = open.next_undo().map(str::to_owned);
    open.begin_gesture();
    assert_eq!(open.note("x-seen", &"all".into()), [Effect::Case]);
    assert_eq!(open.note("x-seen", &"all".into()), [], "it stands there already");
    assert_eq!(open.next_undo().map(str::to_owned), steps);
    let is_noted = |open: &OpenCase| open.case().extra.get("x-seen") == Some(&"all".into());
    open.redo();
    assert_eq!(open.case().label.as_deref(), Some("theirs"));
    assert!(is_noted(&open));
    while open.next_undo().is_some() {
        open.undo();
        assert!(is_noted(&open));
    }
    open.save(Replace::Yes).unwrap();
    assert_eq!(desk.on_disk().extra.get("x-seen"), Some(&"all".into()));
}

#[test]
fn a_film_missing_or_changed_is_said_among_the_numbers() {
    let desk = Desk::new();
    let mut open = desk.open();
    let kinds = |open: &OpenCase| open.film_cautions().iter().map(|it| it.kind).collect::<Vec<_>>();
    let rows = |open: &mut OpenCase| {
        open.numbers().unwrap().derived.cautions.iter().filter(|it| it.id.starts_with("film_")).count()
    };
    assert_eq!(rows(&mut open), 0, "nobody looked yet");
    open.check_film(&Bounds::default());
    assert_eq!((kinds(&open), rows(&mut open)), (vec![CautionKind::FilmMissing], 1));
    let film = desk.file().with_file_name("film-102.png");
    image::GrayImage::new(900, 1300).save(&film).unwrap();
    open.check_film(&Bounds::default());
    assert_eq!(kinds(&open), [CautionKind::FilmChanged, CautionKind::FilmSizeDiffers]);
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/films-truth/film-102.png"), film)
        .unwrap();
    open.check_film(&Bounds::default());
    assert_eq!((kinds(&open), rows(&mut open)), (Vec::new(), 0));
    assert!(!open.is_changed() && open.next_undo().is_none());
}

#[test]
fn a_case_without_numbers_can_be_saved() {
    let desk = Desk::new();
    let mut open = desk.open();
    let mut reference = open.case().calibration.references[0].clone();
    if let crestgauge::calibration::Reference::Instrument(instrument) = &mut reference {
        instrument.object = Some("no-such-file".to_owned());
        instrument.length_mm = None;
    }
    let change = crestgauge::editor::ListChange::Replace { at: 0, item: Box::new(reference) };
    open.apply(Edit::References(change)).unwrap();
    assert_eq!(open.numbers().unwrap_err().object, "no-such-file");
    open.save(Replace::No).unwrap();
    assert_eq!(desk.on_disk(), *open.case());
    open.apply(Edit::tooth_mark(Landmark::Crest.on(Side::Mesial), None)).unwrap();
    assert!(open.is_changed());
}
