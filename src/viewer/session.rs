//! What the window works on: the open case, what is being opened, what is asked and what is to be told. Actions are
//! taken in here. No drawing.

use super::action::Action;
use super::command::Command;
use super::opening::{FilmSource, Opening, Purpose, file_name};
use super::question::{Question, Then};
use super::remembered::{Remembered, Theme};
use super::shown_film::{FilmState, ShownFilm};
use super::viewport::Viewport;
use super::work::Work;
use crate::calibration::Extra;
use crate::case::{self, Begun, Mark};
use crate::editor::{DiskChange, Edit, Engine, Numbers, OpenCase};
use crate::film::{Bounds, Tone};
use crate::geometry::Position;
use crate::measure::Draws;
use std::collections::VecDeque;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant, SystemTime};

/// How often unsaved work is put by.
pub const AUTOSAVE_INTERVAL: Duration = Duration::from_secs(5);
/// How long the case must stand still before doubtful intervals are drawn anew.
const DRAWING_WAITS: Duration = Duration::from_millis(400);
/// Draws for doubtful intervals.
const DRAWS: Draws = Draws { count: 20_000, seed: 1 };
/// How often the file on the disk is looked at while somebody is at work.
const DISK_INTERVAL: Duration = Duration::from_secs(2);

/// What a window starts with.
#[derive(Debug, Clone)]
pub struct Start {
    /// The film or case to open.
    pub file: Option<PathBuf>,
    /// What everything is computed with.
    pub engine: Arc<Engine>,
    /// Where autosaves and what is remembered go.
    pub state_folder: Option<PathBuf>,
    /// How large films may be.
    pub bounds: Bounds,
}

/// Something to be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Whether something went wrong.
    pub kind: NoticeKind,
    /// What.
    pub text: String,
}

/// How a notice is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoticeKind {
    /// Something could not be done.
    Problem,
    /// Something was done.
    Done,
}

/// What a dialog of the system is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choosing {
    /// A film or case to open.
    Open,
    /// The film of the case.
    Film,
    /// Where to save the case.
    Save,
}

/// Everything the window works on.
pub struct Session {
    /// The open case.
    pub work: Option<Work>,
    /// The film being opened.
    pub opening: Option<Opening>,
    /// What is asked.
    pub question: Option<Question>,
    /// What is to be told, oldest first.
    pub notices: VecDeque<Notice>,
    /// What is remembered.
    pub remembered: Remembered,
    /// A dialog of the system that is wanted; the window opens it.
    pub choosing: Option<Choosing>,
    /// Whether the list of shortcuts is shown.
    pub shows_shortcuts: bool,
    /// Whether the cautions and the program's version are shown.
    pub shows_about: bool,
    /// Whether the program is to end.
    pub quits: bool,
    /// Whether the keyboard is to go from the film to the worksheet or back.
    pub switches: bool,
    /// Points of the screen for one physical pixel.
    pub points_per_pixel: f64,
    engine: Arc<Engine>,
    state_folder: Option<PathBuf>,
    bounds: Bounds,
    wake: Arc<dyn Fn() + Send + Sync>,
    drawing: Option<(u64, Receiver<Numbers>)>,
    changed_at: Option<(u64, Instant)>,
    disk_looked_at: Option<Instant>,
    disk_change_told: bool,
}

impl fmt::Debug for Session {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Session")
            .field("work", &self.work)
            .field("opening", &self.opening)
            .finish_non_exhaustive()
    }
}

impl Session {
    /// A session that opens what it is started with. `wake` has the window look after finished work of other threads.
    pub fn new(start: Start, wake: impl Fn() + Send + Sync + 'static) -> Self {
        let (remembered, is_first_time) = Remembered::read(start.state_folder.as_deref());
        let mut session = Self {
            work: None,
            opening: None,
            question: None,
            notices: VecDeque::new(),
            remembered,
            choosing: None,
            shows_shortcuts: false,
            shows_about: false,
            quits: false,
            switches: false,
            points_per_pixel: 1.0,
            engine: start.engine,
            state_folder: start.state_folder,
            bounds: start.bounds,
            wake: Arc::new(wake),
            drawing: None,
            changed_at: None,
            disk_looked_at: None,
            disk_change_told: false,
        };
        match start.file {
            Some(file) => session.open(&file),
            None if is_first_time => {
                session.open_sample();
                session.remembered.write(session.state_folder.as_deref());
            }
            None => {}
        }
        session
    }

    /// Takes in what was asked for.
    pub fn take(&mut self, action: Action) {
        match action {
            Action::Command(command) => self.command(command),
            Action::Open(file) => self.before_leaving(Then::Open(file)),
            Action::FindFilm(file) => {
                if self.work.is_some() {
                    self.begin_opening(FilmSource::File(file), Purpose::Instead);
                }
            }
            Action::CancelOpening => self.cancel_opening(),
            Action::SaveAs(file) => self.save_as(&file, None),
            Action::Answer(answer) => self.answer(answer),
            Action::DismissNotice => {
                self.notices.pop_front();
            }
            Action::ForgetRecent => {
                self.remembered.recent.clear();
                self.remember();
            }
            Action::RememberRecent(yes) => {
                self.remembered.remember(yes);
                self.remember();
            }
            Action::TakeOffer(file) => {
                let taken = self.work.as_mut().map(|work| work.open.accept(&file));
                if let Some(Err(why)) = taken {
                    self.problem(why.to_string());
                }
            }
            Action::LeaveOffer(file) => {
                if let Some(work) = &mut self.work {
                    work.open.decline(&file);
                }
            }
            Action::DeleteOffer(file) => {
                let deleted = self.work.as_mut().map(|work| work.open.discard(&file));
                if let Some(Err(why)) = deleted {
                    self.problem(format!("{}: {why}", file.display()));
                }
            }
            of_work => self.take_in_work(of_work),
        }
        if let Some(work) = &mut self.work {
            work.refresh();
        }
    }

    /// Actions that change the open case or how it is seen.
    fn take_in_work(&mut self, action: Action) {
        let points_per_pixel = self.points_per_pixel;
        let Some(work) = &mut self.work else { return };
        let done = match action {
            Action::Edit(edit) => work.open.apply(edit).map(drop),
            Action::BeginGesture => {
                work.open.begin_gesture();
                Ok(())
            }
            Action::EndGesture => {
                work.open.end_gesture();
                Ok(())
            }
            Action::CancelGesture => {
                work.open.cancel_gesture();
                Ok(())
            }
            Action::Select(selection) => {
                work.open.select(selection);
                Ok(())
            }
            Action::Aim(target) => {
                work.aim = target;
                Ok(())
            }
            Action::Place(to) => work.place(to),
            Action::Move { point, to } => work.move_point(point, to),
            Action::BeginPlacing { what, whole_at } => work.begin(what, whole_at),
            Action::CompletePlacing => work.complete(),
            Action::CancelPlacing => {
                work.open.cancel_placing();
                Ok(())
            }
            Action::Look(look) => {
                work.look(look, points_per_pixel);
                Ok(())
            }
            Action::Tone(tone) => {
                work.tone = tone;
                Ok(())
            }
            Action::Cursor(place) => {
                work.cursor = place;
                Ok(())
            }
            // All others were taken in before.
            _ => Ok(()),
        };
        if let Err(refused) = done {
            self.problem(refused.to_string());
        }
    }

    fn command(&mut self, command: Command) {
        if !command.is_enabled(self) {
            return;
        }
        match command {
            Command::Open => self.choosing = Some(Choosing::Open),
            Command::OpenNamed => {
                self.question = Some(Question::OpenName { name: String::new(), why_not: None });
            }
            Command::OpenSample => self.before_leaving(Then::OpenSample),
            Command::Save => self.save(None),
            Command::SaveAs => self.ask_name(None),
            Command::Close => self.before_leaving(Then::Close),
            Command::Quit => self.before_leaving(Then::Quit),
            Command::Theme => {
                self.remembered.theme = match self.remembered.theme {
                    Theme::Dark | Theme::System => Theme::Light,
                    Theme::Light => Theme::Dark,
                };
                self.remember();
            }
            Command::Shortcuts => self.shows_shortcuts = !self.shows_shortcuts,
            Command::About => self.shows_about = !self.shows_about,
            Command::Switch => self.switches = true,
            of_work => self.command_of_work(of_work),
        }
    }

    fn command_of_work(&mut self, command: Command) {
        let points_per_pixel = self.points_per_pixel;
        let Some(work) = &mut self.work else { return };
        let extra = Extra::new;
        let middle = Position::new(0.0, 0.0);
        let done = match command {
            Command::Undo => {
                work.open.undo();
                Ok(())
            }
            Command::Redo => {
                work.open.redo();
                Ok(())
            }
            Command::Next | Command::Previous => {
                work.aim_along(command == Command::Next);
                Ok(())
            }
            Command::Hide => {
                work.mark_as(Mark::Hidden { hidden: "not seen on this film".to_owned(), extra: extra() })
            }
            Command::Absent => work.mark_as(Mark::Absent { absent: "not there".to_owned(), extra: extra() }),
            Command::Plan => work.toggle_planned(),
            Command::Delete => work.delete_selected(),
            Command::Cancel => {
                work.cancel();
                Ok(())
            }
            _ => {
                let viewport = &mut work.viewport;
                match command {
                    Command::Fit => viewport.fit(),
                    Command::FullSize => viewport.zoom_to(points_per_pixel, middle),
                    Command::ZoomIn => viewport.zoom_by(1.25, middle),
                    Command::ZoomOut => viewport.zoom_by(0.8, middle),
                    Command::TurnLeft => viewport.turn_by(-90.0),
                    Command::TurnRight => viewport.turn_by(90.0),
                    Command::Mirror => viewport.mirror(),
                    Command::Upright => {
                        viewport.turn_to(0.0);
                        if viewport.is_mirrored() {
                            viewport.mirror();
                        }
                    }
                    Command::Invert => work.tone.inverted = !work.tone.inverted,
                    Command::ResetTone => work.tone = Tone::default(),
                    // All others were done before.
                    _ => {}
                }
                Ok(())
            }
        };
        if let Err(refused) = done {
            self.problem(refused.to_string());
        }
    }

    /// Looks after finished work of other threads, autosaves, and what another program did. Says after how long it
    /// wants to be called again, where it does.
    pub fn tend(&mut self, now: SystemTime) -> Option<Duration> {
        self.take_opened();
        self.tend_disk();
        let autosave = self.tend_autosave(now);
        let drawing = self.tend_drawing();
        if let Some(work) = &mut self.work {
            work.refresh();
        }
        autosave.into_iter().chain(drawing).min()
    }

    fn tend_autosave(&mut self, now: SystemTime) -> Option<Duration> {
        let work = self.work.as_mut()?;
        if work.open.autosave_is_due(now, AUTOSAVE_INTERVAL) {
            if let Err(why) = work.open.autosave(now) {
                let text = why.to_string();
                if !self.notices.iter().any(|notice| notice.text == text) {
                    self.problem(text);
                }
            }
            return None;
        }
        work.open.autosave_is_due(now, Duration::ZERO).then_some(AUTOSAVE_INTERVAL)
    }

    /// Doubtful first-order intervals are replaced by drawn ones a moment after the last change.
    fn tend_drawing(&mut self) -> Option<Duration> {
        let work = self.work.as_mut()?;
        let revision = work.open.revision();
        if let Some((of, receive)) = &self.drawing {
            match receive.try_recv() {
                Ok(numbers) => {
                    if *of == revision {
                        work.drawn = Some((revision, Arc::new(numbers)));
                    }
                    self.drawing = None;
                }
                Err(std::sync::mpsc::TryRecvError::Empty) => return None,
                Err(std::sync::mpsc::TryRecvError::Disconnected) => self.drawing = None,
            }
        }
        let doubtful = matches!(&*work.numbers, Ok(numbers)
            if numbers.derived.measurements.iter().any(|row| row.first_order_doubtful));
        if !doubtful || work.drawn.is_some() {
            return None;
        }
        let since = match self.changed_at {
            Some((of, since)) if of == revision => since,
            _ => {
                self.changed_at = Some((revision, Instant::now()));
                return Some(DRAWING_WAITS);
            }
        };
        let waited = since.elapsed();
        if waited < DRAWING_WAITS || work.open.in_gesture() {
            return Some(DRAWING_WAITS.saturating_sub(waited).max(Duration::from_millis(50)));
        }
        let (send, receive) = channel();
        let (draw, wake) = (work.open.drawing(DRAWS), Arc::clone(&self.wake));
        std::thread::spawn(move || {
            if let Ok(numbers) = draw()
                && send.send(numbers).is_ok()
            {
                wake();
            }
        });
        self.drawing = Some((revision, receive));
        None
    }

    fn tend_disk(&mut self) {
        if self.question.is_some() || self.disk_looked_at.is_some_and(|at| at.elapsed() < DISK_INTERVAL) {
            return;
        }
        self.disk_looked_at = Some(Instant::now());
        match self.work.as_mut().and_then(|work| work.open.disk_change()) {
            None => self.disk_change_told = false,
            Some(_) if self.disk_change_told => {}
            Some(change) => {
                self.disk_change_told = true;
                match change {
                    DiskChange::Changed => self.question = Some(Question::ChangedOnDisk { then: None }),
                    DiskChange::Gone => self.problem(
                        "the case's file is gone; the work is still here: save it to have a file again"
                            .to_owned(),
                    ),
                    DiskChange::Unreadable(why) => {
                        self.problem(format!("the case's file cannot be read any more: {why}"));
                    }
                }
            }
        }
    }

    /// Goes on with something that leaves the open case, asking first where work is not saved.
    pub fn before_leaving(&mut self, then: Then) {
        if self.work.as_ref().is_some_and(|work| work.open.has_unsaved_work()) {
            self.question = Some(Question::Unsaved(then));
        } else {
            self.go_on(then);
        }
    }

    /// Leaves the open case; work that is not saved is given up, at the user's word.
    pub(super) fn go_on(&mut self, then: Then) {
        match then {
            Then::Close => self.leave(),
            Then::Quit => {
                self.leave();
                self.quits = true;
            }
            Then::Open(file) => self.open(&file),
            Then::OpenSample => self.open_sample(),
        }
    }

    fn leave(&mut self) {
        if let Some(work) = &mut self.work {
            // One that cannot be removed is offered at the next opening, where it can be deleted.
            let _ = work.open.remove_autosaves();
        }
        self.work = None;
        self.opening = None;
        self.drawing = None;
    }

    /// Opens a film or a case; what is open stays so where it cannot be read.
    fn open(&mut self, file: &Path) {
        let is_case = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
        if !is_case {
            self.begin_opening(FilmSource::File(file.to_path_buf()), Purpose::NewCase);
            return;
        }
        match OpenCase::open(file, Arc::clone(&self.engine), self.state_folder.clone()) {
            Ok(open) => {
                self.leave();
                self.opened(file);
                self.begin_case(open, false);
            }
            Err(why) => self.problem(why.to_string()),
        }
    }

    fn open_sample(&mut self) {
        match case::sample() {
            Ok(read) => {
                self.leave();
                let open = OpenCase::unfiled(read.case, PathBuf::new(), Arc::clone(&self.engine), None);
                self.begin_case(open, true);
            }
            Err(why) => self.problem(why.to_string()),
        }
    }

    fn begin_case(&mut self, open: OpenCase, is_sample: bool) {
        let work = Work::new(open, is_sample);
        let case = work.open.case().clone();
        let folder = work.open.folder().to_path_buf();
        let source = if is_sample {
            Some(FilmSource::Embedded(case::SAMPLE_FILM))
        } else {
            case.film.file.as_ref().map(|file| FilmSource::File(folder.join(file)))
        };
        self.work = Some(work);
        self.disk_change_told = false;
        if let Some(source) = source {
            self.begin_opening(source, Purpose::OfCase { case: Box::new(case), folder });
        }
    }

    fn begin_opening(&mut self, source: FilmSource, purpose: Purpose) {
        let wake = Arc::clone(&self.wake);
        self.opening = Some(Opening::begin(source, purpose, self.bounds, move || wake()));
    }

    fn cancel_opening(&mut self) {
        if let Some(opening) = self.opening.take()
            && matches!(opening.purpose, Purpose::OfCase { .. })
            && let Some(work) = &mut self.work
        {
            work.film = FilmState::Failed("opening it was given up".to_owned());
        }
    }

    fn take_opened(&mut self) {
        let Some(opened) = self.opening.as_ref().and_then(Opening::take) else { return };
        let Some(Opening { source, purpose, .. }) = self.opening.take() else { return };
        match opened {
            Ok(film) => self.show(*film, &source, &purpose),
            Err(why) => {
                let name = match &source {
                    FilmSource::File(file) => file.display().to_string(),
                    FilmSource::Embedded(_) => "the sample's film".to_owned(),
                };
                if matches!(purpose, Purpose::OfCase { .. })
                    && let Some(work) = &mut self.work
                {
                    let cautions = case::check_film(work.open.case(), work.open.folder(), &self.bounds);
                    work.open.film_checked(cautions);
                    work.film = FilmState::Failed(format!("{name}: {why}"));
                } else {
                    self.problem(format!("{name}: {why}"));
                }
            }
        }
    }

    /// Shows a film that was opened.
    fn show(&mut self, film: ShownFilm, source: &FilmSource, purpose: &Purpose) {
        let size = [film.film.picture.width(), film.film.picture.height()];
        match purpose {
            Purpose::NewCase => {
                let FilmSource::File(file) = source else { return };
                self.leave();
                self.opened(file);
                let file = std::path::absolute(file).unwrap_or_else(|_| file.clone());
                let folder = file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
                let case = case::draft(&file_name(&file), &film.film.description(), &Begun::default());
                let open =
                    OpenCase::unfiled(case, folder, Arc::clone(&self.engine), self.state_folder.clone());
                let mut work = Work::new(open, false);
                work.film = FilmState::Shown(Arc::new(film));
                self.work = Some(work);
            }
            Purpose::OfCase { .. } => {
                let Some(work) = &mut self.work else { return };
                work.open.film_checked(film.cautions.clone());
                let fresh = Viewport::new(size, work.open.case().film.aspect());
                if fresh.film_size() != work.viewport.film_size() {
                    work.viewport = fresh;
                }
                work.film = FilmState::Shown(Arc::new(film));
            }
            Purpose::Instead => {
                let Some(work) = &mut self.work else { return };
                let FilmSource::File(file) = source else { return };
                let file = std::path::absolute(file).unwrap_or_else(|_| file.clone());
                let named = case::path_from(work.open.folder(), &file);
                let Some(named) = named.to_str() else {
                    let text = format!(
                        "{}: its path is no text and cannot stand in a case; rename it",
                        file.display()
                    );
                    self.problem(text);
                    return;
                };
                let link = Work::link_to(named, &film.film.description());
                if let Err(refused) = work.open.apply(Edit::FilmLink(Box::new(link))) {
                    self.problem(refused.to_string());
                    return;
                }
                work.open.film_checked(Vec::new());
                work.viewport = Viewport::new(size, work.open.case().film.aspect());
                work.film = FilmState::Shown(Arc::new(film));
            }
        }
    }

    fn opened(&mut self, file: &Path) {
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        self.remembered.opened(&file);
        self.remember();
    }

    fn remember(&self) {
        self.remembered.write(self.state_folder.as_deref());
    }

    /// Puts a case that was just saved among the recent files.
    pub(super) fn saved(&mut self, file: &Path) {
        self.opened(file);
    }

    /// Tells that something could not be done.
    pub fn problem(&mut self, text: String) {
        self.notices.push_back(Notice { kind: NoticeKind::Problem, text });
    }

    /// Tells that something was done.
    pub fn done(&mut self, text: String) {
        self.notices.push_back(Notice { kind: NoticeKind::Done, text });
    }
}
