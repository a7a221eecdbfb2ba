//! Reports of the open case: pages and the patient's drawing, made by another thread whenever the case changed while one
//! of them is seen, and files that are written. No drawing.

use super::opening::file_name;
use super::question::{Question, Then};
use super::session::Session;
use super::shown_film::{FilmState, ShownFilm};
use super::work::Work;
use crate::case::{Replace, is_same_file, write_atomically};
use crate::caution::{Caution, CautionKind};
use crate::editor::ForReport;
use crate::editor::finally::Finally;
use crate::film::dicom::{FilmIdentifiers, identifiers};
use crate::film::{Bounds, Format, Sha256, file_bytes_while};
use crate::plan::NoPlan;
use crate::report::{
    Audience, Day, Drawing, Ending, Mark, Setting, Subject, missing_in_structured_report, pages,
    patients_picture, written,
};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Instant, SystemTime};

/// The longest side of a film on a page that is only looked at, pixels; what is written has all of them.
const MOST_PIXELS: u32 = 2048;
/// The least and the largest size pages are seen in, 1 being that of the paper.
const SIZES: [f64; 2] = [0.25, 6.0];

/// What is seen of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Its pages, in the film's place.
    Pages,
    /// The patient's drawing, over the whole screen.
    Picture,
}

/// What pages or a drawing are made from: while it is the same, they are.
#[derive(Debug, Clone, PartialEq)]
struct Wanted {
    opened: Instant,
    revision: u64,
    film: Option<u64>,
    noticed: Vec<Caution>,
    kind: Kind,
}

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Pages(Setting),
    /// The patient's drawing, so many times as wide as it is high.
    Picture(f64),
}

impl Kind {
    const fn shows(self) -> Shows {
        match self {
            Self::Pages(_) => Shows::Pages,
            Self::Picture(_) => Shows::Picture,
        }
    }
}

/// What another thread came to, or why there is none.
type Made = Result<Arc<Drawing>, String>;

/// A report as the window has it.
#[derive(Debug, Default)]
pub struct Reporting {
    /// What is seen of it.
    pub shows: Option<Shows>,
    /// The day that stands on it; none for today.
    pub day: Option<Day>,
    /// The page that is seen, counted from 0.
    pub page: usize,
    /// How large pages are seen, 1 being the size of the paper; none for a whole page.
    pub size: Option<f64>,
    /// The size at which a whole page is seen.
    pub size_of_whole: f64,
    /// Whether the patient's drawing is turned, for somebody opposite.
    pub is_turned: bool,
    /// How many times as wide as high the screen is.
    pub shape_of_screen: f64,
    ready: Option<(Wanted, Made)>,
    making: Option<(Wanted, Receiver<Made>)>,
    writing: Option<Writing>,
}

/// A file that is being written.
#[derive(Debug)]
struct Writing {
    file: PathBuf,
    opened: Instant,
    revision: u64,
    receive: Receiver<Result<String, NotWritten>>,
}

/// Why a report was not written.
enum NotWritten {
    /// The file is there.
    Exists,
    /// In words.
    Because(String),
}

impl Reporting {
    /// What was made last, or why nothing could be; none until something is.
    pub fn made(&self) -> Option<&Made> {
        self.ready
            .as_ref()
            .filter(|(wanted, _)| Some(wanted.kind.shows()) == self.shows)
            .map(|(_, made)| made)
    }

    /// Whether what is seen is out of date and being made anew.
    pub const fn is_making(&self) -> bool {
        self.making.is_some()
    }

    /// The file that is being written.
    pub fn writes(&self) -> Option<&Path> {
        self.writing.as_ref().map(|writing| writing.file.as_path())
    }

    /// How many pages there are.
    pub fn count(&self) -> usize {
        self.made().and_then(|made| made.as_ref().ok()).map_or(0, |drawing| drawing.pages.len())
    }

    /// The size pages are seen in now.
    pub fn size_seen(&self) -> f64 {
        self.size.unwrap_or(self.size_of_whole)
    }

    /// Sees pages in another size; none for a whole page.
    pub fn see_in(&mut self, size: Option<f64>) {
        self.size = size.filter(|size| size.is_finite()).map(|size| size.clamp(SIZES[0], SIZES[1]));
    }

    /// Goes to a page; to the last where there are not as many.
    pub fn go_to(&mut self, page: usize) {
        self.page = page.min(self.count().saturating_sub(1));
    }

    /// Nothing of the case that is left is shown of the next one, and a day that was typed was that one's.
    pub(super) fn forget(&mut self) {
        let writing = self.writing.take();
        *self = Self { shape_of_screen: self.shape_of_screen, writing, ..Self::default() };
    }
}

/// What a report is made from, to be taken along by another thread.
struct Material<M: FnOnce() -> Result<ForReport, NoPlan>> {
    make: M,
    film: Option<Arc<ShownFilm>>,
}

impl<M: FnOnce() -> Result<ForReport, NoPlan>> Material<M> {
    fn with<T>(self, then: impl FnOnce(&Subject<'_>) -> Result<T, String>) -> Result<T, String> {
        let made = (self.make)().map_err(|why| why.to_string())?;
        then(&Subject {
            case: &made.case,
            measured: &made.measured,
            derived: &made.derived,
            criteria: &made.engine.criteria,
            plan: &made.plan,
            film: self.film.and_then(|film| film.shades()),
        })
    }
}

impl Work {
    fn material(&self) -> Material<impl FnOnce() -> Result<ForReport, NoPlan> + Send + use<>> {
        let make = self.open.for_report();
        Material { make, film: self.film_for_report() }
    }

    /// The film, where points of the case lie on one of its size.
    fn film_for_report(&self) -> Option<Arc<ShownFilm>> {
        let differs = |caution: &Caution| caution.kind == CautionKind::FilmSizeDiffers;
        let is_other = self.open.film_cautions().iter().any(differs);
        self.film.shared().filter(|_| !is_other).cloned()
    }

    /// Why reports have no picture of the film, in words.
    fn why_no_film(&self) -> Option<&'static str> {
        match &self.film {
            _ if self.film_for_report().is_some() => None,
            FilmState::Shown(_) => Some("the film has another size than the one the case was placed on"),
            FilmState::None => Some("the case names no film"),
            FilmState::Opening | FilmState::Failed(_) => Some("the film cannot be shown"),
        }
    }
}

impl Session {
    /// Looks after what is seen of a report, and after a file that is being written.
    pub(super) fn tend_report(&mut self, now: SystemTime) {
        self.take_written();
        self.take_pages();
        let Some(work) = &self.work else { return };
        // While somebody practises, pages would tell what is kept for the end.
        if work.hides_results() {
            self.reporting.shows = None;
        }
        let Some(shows) = self.reporting.shows else { return };
        // A report without its film would be made for nothing.
        if self.reporting.making.is_some() || matches!(work.film, FilmState::Opening) {
            return;
        }
        let kind = match shows {
            Shows::Pages => Kind::Pages(self.report_setting(now)),
            Shows::Picture => Kind::Picture(self.reporting.shape_of_screen),
        };
        let wanted = Wanted {
            opened: work.opened,
            revision: work.open.revision(),
            film: work.film_for_report().map(|film| film.serial),
            noticed: work.open.film_cautions().to_vec(),
            kind,
        };
        if self.reporting.ready.as_ref().is_some_and(|(of, _)| *of == wanted) {
            return;
        }
        let (send, receive) = channel();
        let (material, wake) = (work.material(), Arc::clone(&self.wake));
        self.behind.have_done(move || {
            let made = material.with(|subject| Ok(Arc::new(to_be_seen(made(subject, kind)))));
            // Nobody waits any more where the case was left.
            if send.send(made).is_ok() {
                wake();
            }
        });
        self.reporting.making = Some((wanted, receive));
    }

    /// How reports are wanted now.
    pub fn report_setting(&self, now: SystemTime) -> Setting {
        Setting {
            audience: self.remembered.audience,
            paper: self.remembered.paper,
            date: self.reporting.day.unwrap_or_else(|| Day::here(now)),
        }
    }

    fn take_pages(&mut self) {
        let Some((_, receive)) = &self.reporting.making else { return };
        let made = match receive.try_recv() {
            Ok(made) => made,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => Err("making it was broken off".to_owned()),
        };
        let Some((wanted, _)) = self.reporting.making.take() else { return };
        self.reporting.ready = Some((wanted, made));
        self.reporting.go_to(self.reporting.page);
    }

    /// Shows pages or the patient's drawing, or what was there before.
    pub(super) fn show_report(&mut self, shows: Shows) {
        let is_shown = self.reporting.shows == Some(shows);
        self.reporting.shows = (!is_shown).then_some(shows);
        self.reporting.is_turned = false;
        self.help = None;
        if let Some(work) = &mut self.work {
            // Nothing of the film is pointed at where none is seen.
            work.pointed_place = None;
        }
    }

    /// Asks under which name the report is to be written; proposed is the case's, with whom it is for.
    pub(super) fn ask_report_name(&mut self) {
        let Some(work) = &self.work else { return };
        let case = work.open.file().map_or_else(|| self.proposed_name(), Path::to_path_buf);
        let stem = file_name(&case);
        let stem =
            [".case.json", ".json"].iter().find_map(|ending| stem.strip_suffix(ending)).unwrap_or(&stem);
        let name = case.with_file_name(format!("{stem}-{}.pdf", self.remembered.audience.word()));
        self.question =
            Some(Question::ReportName { name: name.display().to_string(), why_not: None, exists: None });
    }

    /// Writes the report under a name that a dialog gave.
    pub(super) fn write_report_as(&mut self, file: &Path) {
        if matches!(self.question, Some(Question::ReportName { .. })) {
            self.question = None;
            self.write_report(file, Replace::No, SystemTime::now());
        }
    }

    /// Writes the report, as another thread's work.
    pub(super) fn write_report(&mut self, file: &Path, replace: Replace, now: SystemTime) {
        let mut file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        if file.extension().is_none() {
            file.as_mut_os_string().push(".pdf");
        }
        let name = file.display().to_string();
        let setting = self.report_setting(now);
        let Some(work) = &self.work else { return };
        let why_not = match Ending::of(&file, setting.audience) {
            Err(why) => Some(format!("{}: {why}", file_name(&file))),
            Ok(_) if self.reporting.writing.is_some() => {
                Some("another report is being written; try again in a moment".to_owned())
            }
            Ok(_) if matches!(work.film, FilmState::Opening) => {
                Some("the film is still being opened; try again once it is there".to_owned())
            }
            Ok(_) if work.open.file().is_some_and(|case| is_same_file(case, &file)) => {
                Some("this is the case itself; a report needs a file of its own".to_owned())
            }
            Ok(_) if work.film_file().is_some_and(|film| is_same_file(&film, &file)) => {
                Some("this is the film itself; a report needs a file of its own".to_owned())
            }
            Ok(ending) => {
                let (send, receive) = channel();
                let wake = Arc::clone(&self.wake);
                let job = Job {
                    file: file.clone(),
                    setting,
                    ending,
                    replace,
                    film: work.film_file(),
                    bounds: self.bounds,
                    why_no_film: work.why_no_film(),
                };
                let (opened, revision, material) = (work.opened, work.open.revision(), work.material());
                std::thread::spawn(move || {
                    // Dropped in the opposite order; one that dies is told of, too.
                    let _wake = Finally(Some(move || wake()));
                    let send = send;
                    // It is told even where the case was left; a window that is gone hears nothing.
                    let _ = send.send(job.done(material));
                });
                self.reporting.writing = Some(Writing { file, opened, revision, receive });
                None
            }
        };
        if why_not.is_some() {
            self.question = Some(Question::ReportName { name, why_not, exists: None });
        }
    }

    /// Tells what became of a file; while something else is asked it waits.
    fn take_written(&mut self) {
        let is_waited_for = matches!(self.question, Some(Question::StillWriting(_)));
        let may_tell = is_waited_for || self.question.is_none();
        let Some(writing) = self.reporting.writing.as_ref().filter(|_| may_tell) else { return };
        let outcome = match writing.receive.try_recv() {
            Ok(outcome) => outcome,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => {
                Err(NotWritten::Because("writing it was broken off".to_owned()))
            }
        };
        let Some(Writing { file, opened, revision, .. }) = self.reporting.writing.take() else { return };
        let name = file.display().to_string();
        self.question = None;
        let same = self.work.as_mut().filter(|work| work.opened == opened);
        match (outcome, same) {
            (Ok(what), same) => {
                if let Some(work) = same {
                    work.reported = Some(revision);
                }
                self.done(format!("wrote {}: {what}", file_name(&file)));
                if is_waited_for {
                    self.go_on(Then::Quit);
                }
            }
            (Err(NotWritten::Exists), Some(_)) => {
                self.question = Some(Question::ReportName { name, why_not: None, exists: Some(file) });
            }
            (Err(NotWritten::Because(why)), Some(_)) => {
                self.question = Some(Question::ReportName { name, why_not: Some(why), exists: None });
            }
            (Err(NotWritten::Exists), None) => self.problem(format!("{name}: exists and was left as it is")),
            (Err(NotWritten::Because(why)), None) => self.problem(format!("{name}: {why}")),
        }
    }
}

/// What is seen.
fn made(subject: &Subject<'_>, kind: Kind) -> Drawing {
    match kind {
        Kind::Pages(setting) => pages(subject, setting),
        Kind::Picture(shape) => Drawing {
            title: "Drawing for the patient".to_owned(),
            pages: vec![patients_picture(subject, shape)],
        },
    }
}

/// The same with no more pixels than a screen shows.
fn to_be_seen(mut drawing: Drawing) -> Drawing {
    for block in drawing.pages.iter_mut().flat_map(|page| &mut page.blocks) {
        for mark in &mut block.marks {
            if let Mark::Picture(picture) = mark
                && let Some(smaller) = picture.shades.no_larger_than(MOST_PIXELS)
            {
                picture.shades = Arc::new(smaller);
            }
        }
    }
    drawing
}

/// A file to be written.
struct Job {
    file: PathBuf,
    setting: Setting,
    ending: Ending,
    replace: Replace,
    film: Option<PathBuf>,
    bounds: Bounds,
    why_no_film: Option<&'static str>,
}

impl Job {
    fn done(
        self,
        material: Material<impl FnOnce() -> Result<ForReport, NoPlan>>,
    ) -> Result<String, NotWritten> {
        // Looked at first, so that nobody waits for a report that then finds its place taken.
        if self.replace == Replace::No && self.file.exists() {
            return Err(NotWritten::Exists);
        }
        let identifiers = self.identifiers(material.film.as_deref());
        let made = material.with(|subject| {
            written(subject, self.setting, self.ending, identifiers.as_ref()).map_err(|why| why.to_string())
        });
        let made = made.map_err(NotWritten::Because)?;
        write_atomically(&self.file, &made.bytes, self.replace).map_err(|error| match error.kind {
            crate::case::ErrorKind::Exists => NotWritten::Exists,
            _ => NotWritten::Because(error.to_string()),
        })?;
        let mut said = vec![made.what];
        if self.ending == Ending::Dcm {
            let missing = missing_in_structured_report(identifiers.as_ref());
            said.extend(missing.into_iter().map(str::to_owned));
        } else if matches!(self.ending, Ending::Pdf | Ending::Png | Ending::Svg)
            && self.setting.audience != Audience::Patient
        {
            said.extend(self.why_no_film.map(|why| format!("without a picture of the film: {why}")));
        }
        Ok(said.join("; "))
    }

    /// The identifiers of the film's file, where it is the film that is shown: no other report reads them.
    fn identifiers(&self, shown: Option<&ShownFilm>) -> Option<FilmIdentifiers> {
        let shown = shown.filter(|film| self.ending == Ending::Dcm && film.film.format == Format::Dicom)?;
        let bytes = file_bytes_while(self.film.as_ref()?, &self.bounds, |_, _| true).ok()??;
        let is_same = Sha256::of(&bytes) == shown.film.description().sha256;
        identifiers(&bytes, &self.bounds).ok()?.filter(|_| is_same)
    }
}
