//! What the window works on: the open case, what is being opened, what is asked and what is to be told. Actions are
//! taken in here. No drawing.

use super::action::Action;
use super::agreement::{AgreementDesk, Ask as AgreementAsk};
use super::behind::Behind;
use super::command::Command;
use super::leaving::{GoingOn, LookingAlong};
use super::opening::{FilmSource, Opening, Purpose};
use super::practice::{Ask as PracticeAsk, PracticeDesk, is_film_of_practice};
use super::question::{Question, Then};
use super::remembered::{Remembered, Scale, Setting, Theme};
use super::reporting::{Reporting, Shows};
use super::shown_film::ShownFilm;
use super::tending::Tending;
use super::work::Work;
use crate::editor::{Engine, Waiting};
use crate::film::{Bounds, Tone};
use crate::geometry::Position;
use crate::report::{MEASUREMENTS_HEADER, Style, case_text, csv_record, measurements_csv};
use std::collections::VecDeque;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Instant, SystemTime};

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

/// A window over all others: help, or the card for the chair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Help {
    /// How the job is done, from a film to a saved case.
    Guide,
    /// What keys and pointer do.
    Shortcuts,
    /// Cautions, the program's version and its licences.
    About,
    /// How the program looks.
    Settings,
    /// The card for the chair.
    Card,
    /// What to practise on.
    Practice,
    /// How the student comes along.
    Curves,
    /// Agreement of repeated cases.
    Agreement,
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
    /// Where to write the report.
    Report,
    /// A path for practice or agreement.
    Place(Place),
}

/// What a path is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The folder of cases to practise on.
    Practice,
    /// The file of the history.
    History,
    /// The folder for placings of rounds.
    Round,
    /// The folder of repeated cases.
    Agreement,
    /// The folder for tables and plots.
    Out,
}

/// Everything the window works on.
pub struct Session {
    /// The open case.
    pub work: Option<Work>,
    /// The film being opened.
    pub opening: Option<Opening>,
    /// What is asked.
    pub question: Option<Question>,
    /// What is to be told, the newest last.
    pub notices: VecDeque<Notice>,
    /// What was told before a film began to be opened: old news once it is there.
    pub(super) told_before_opening: Vec<Notice>,
    /// What is remembered.
    pub remembered: Remembered,
    /// Unsaved work found while no case is open.
    pub waiting: Vec<Waiting>,
    /// What is kept of practice.
    pub practice: PracticeDesk,
    /// What is kept of agreement.
    pub agreement: AgreementDesk,
    /// A dialog of the system that is wanted; the window opens it.
    pub choosing: Option<Choosing>,
    /// The window of help that is open.
    pub help: Option<Help>,
    /// What is seen and written of reports.
    pub reporting: Reporting,
    /// Whether the program is to end.
    pub quits: bool,
    /// Words that are to go on the clipboard; the window puts them there.
    pub copied: Option<String>,
    /// Whether the keyboard is to go from the film to the worksheet or back.
    pub switches: bool,
    /// Points of the screen for one physical pixel.
    pub points_per_pixel: f64,
    /// The theme the window is drawn in, light or dark; where the system has it, the window says which.
    pub drawn_in: Theme,
    pub(super) engine: Arc<Engine>,
    pub(super) state_folder: Option<PathBuf>,
    pub(super) bounds: Bounds,
    pub(super) wake: Arc<dyn Fn() + Send + Sync>,
    /// Draws and pages are made by it.
    pub(super) behind: Behind,
    pub(super) tending: Tending,
    /// A film that is not the one the case's points lie on, until somebody says whether it is to be taken.
    pub(super) proposed_film: Option<(ShownFilm, PathBuf)>,
    /// A look along the films of the folder that is going on.
    pub(super) looking_along: Option<LookingAlong>,
    /// Unsaved work that is taken in once what it belongs to is open.
    pub(super) going_on: Option<GoingOn>,
    /// Since when the newest notice of something done is shown.
    pub(super) done_since: Option<SystemTime>,
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
        let (mut remembered, is_first_time) = Remembered::read(start.state_folder.as_deref());
        if let Some(state) = start.state_folder.as_deref() {
            remembered.recent.retain(|file| !is_film_of_practice(file, state));
        }
        let drawn_in = if remembered.theme == Theme::Light { Theme::Light } else { Theme::Dark };
        let mut session = Self {
            work: None,
            opening: None,
            question: None,
            notices: VecDeque::new(),
            told_before_opening: Vec::new(),
            remembered,
            waiting: Vec::new(),
            practice: PracticeDesk::default(),
            agreement: AgreementDesk::default(),
            choosing: None,
            help: None,
            reporting: Reporting::default(),
            quits: false,
            copied: None,
            switches: false,
            points_per_pixel: 1.0,
            drawn_in,
            engine: start.engine,
            state_folder: start.state_folder,
            bounds: start.bounds,
            wake: Arc::new(wake),
            behind: Behind::default(),
            tending: Tending::default(),
            proposed_film: None,
            looking_along: None,
            going_on: None,
            done_since: None,
        };
        match start.file {
            Some(file) => session.open(&file),
            None if is_first_time => {
                session.open_sample();
                session.remembered.write(session.state_folder.as_deref());
            }
            None => session.look_for_waiting(),
        }
        session
    }

    /// Takes in what was asked for.
    pub fn take(&mut self, action: Action) {
        match action {
            Action::Command(command) => self.command(command),
            // What is asked comes first. A file that is dropped meanwhile can be dropped again.
            Action::Open(_) | Action::GoOn { .. } if self.question.is_some() => {}
            Action::Open(file) => {
                self.going_on = None;
                self.before_leaving(Then::Open(file));
            }
            Action::GoOn { opens, unsaved } => {
                self.going_on = Some(GoingOn { opens: opens.clone(), unsaved });
                self.before_leaving(Then::Open(opens));
            }
            Action::FindFilm(file) => {
                if self.work.is_some() {
                    self.begin_opening(FilmSource::File(file), Purpose::Instead);
                }
            }
            Action::CancelOpening => self.cancel_opening(),
            Action::SaveAs(file) => self.save_as(&file),
            Action::WriteReportAs(file) => self.write_report_as(&file),
            Action::ReportDay(day) => self.reporting.day = day,
            Action::Page(page) => self.reporting.go_to(page),
            Action::PageSize(size) => self.reporting.see_in(size),
            Action::WholePage(size) => self.reporting.size_of_whole = size,
            Action::TurnPicture => self.reporting.is_turned ^= true,
            Action::ShapeOfScreen(shape) => self.reporting.shape_of_screen = shape,
            Action::Answer(answer) => self.answer(answer),
            Action::Problem(why) => self.problem(why),
            Action::DismissNotice => {
                self.notices.pop_back();
            }
            Action::ForgetRecent => {
                self.remembered.recent.clear();
                self.remember();
            }
            Action::RememberRecent(yes) => {
                self.remembered.remember(yes);
                self.remember();
            }
            Action::Set(setting) => self.set(setting),
            Action::Practice(ask) => self.take_ask(ask),
            Action::Agreement(ask) => self.take_agreement(ask),
            Action::Choose(choosing) => self.choosing = Some(choosing),
            Action::TakeOffer(file) => self.take_offer(&file),
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
            Action::Copy(words) => self.copied = Some(words),
            of_work => self.take_in_work(of_work),
        }
        self.follow();
    }

    /// Brings what follows from the case up to date: its numbers, and which film is shown.
    pub(super) fn follow(&mut self) {
        if let Some(work) = &mut self.work {
            work.refresh();
            if self.remembered.follows_next {
                work.go_to_next();
            }
        }
        self.follow_film();
    }

    /// Actions that change the open case or how it is seen.
    fn take_in_work(&mut self, action: Action) {
        let points_per_pixel = self.points_per_pixel;
        if matches!(action, Action::Aim(Some(_)) | Action::BeginPlacing { .. }) {
            // Whoever places looks at the film.
            self.reporting.shows = None;
        }
        let Some(work) = &mut self.work else { return };
        let done = match action {
            Action::Edit(edit) => work.open.apply(edit).map(drop),
            Action::BeginGesture => {
                work.open.begin_gesture();
                Ok(())
            }
            Action::EndGesture => work.end_gesture(),
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
            Action::PlaceAgain(at) => {
                work.place_again(at);
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
                let film = work.film.shown();
                work.tone = tone.held(film.map_or(u16::MAX, |film| film.first_look.largest()));
                Ok(())
            }
            Action::Cursor(place) => {
                work.cursor = place;
                Ok(())
            }
            Action::PointNumber(number) => {
                work.pointed_number = number;
                Ok(())
            }
            Action::ShowPlan(shows) => {
                work.planning.shows = shows;
                Ok(())
            }
            Action::ShareExtrusion(share) => {
                work.planning.share = share.clamp(0.0, 1.0);
                Ok(())
            }
            Action::PointPlace(place) => {
                work.pointed_place = place;
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
        // What is asked comes first; a window can be closed all the same, which asks anew.
        if !command.is_enabled(self) || (self.question.is_some() && command != Command::Quit) {
            return;
        }
        match command {
            Command::Open => self.choosing = Some(Choosing::Open),
            Command::OpenNamed => {
                self.question =
                    Some(Question::OpenName { name: String::new(), why_not: None, for_film: false });
            }
            Command::OpenSample => self.before_leaving(Then::OpenSample),
            Command::FindFilm => self.choosing = Some(Choosing::Film),
            Command::ToneStrip => {
                self.remembered.shows_tone = !self.remembered.shows_tone;
                self.remember();
            }
            Command::Save => self.save(None),
            Command::SaveAs => self.ask_name(None),
            Command::NextFilm => self.go_along_films(true),
            Command::PreviousFilm => self.go_along_films(false),
            Command::CopyTable | Command::CopyCsv => self.copy_table(command == Command::CopyCsv),
            Command::Again => self.before_leaving(Then::Again),
            Command::FollowNext => self.follow_next(),
            Command::Close => self.before_leaving(Then::Close),
            Command::Quit => self.before_leaving(Then::Quit),
            Command::Theme => {
                let other = if self.drawn_in == Theme::Dark { Theme::Light } else { Theme::Dark };
                self.set(Setting::Theme(other));
            }
            Command::InterfaceLarger => self.set(Setting::Scale(self.remembered.scale.larger())),
            Command::InterfaceSmaller => self.set(Setting::Scale(self.remembered.scale.smaller())),
            Command::InterfaceUsual => self.set(Setting::Scale(Scale::default())),
            Command::Settings => self.toggle(Help::Settings),
            Command::Guide => self.toggle(Help::Guide),
            Command::Shortcuts => self.toggle(Help::Shortcuts),
            Command::About => self.toggle(Help::About),
            Command::Card => self.toggle(Help::Card),
            Command::Practise => self.toggle(Help::Practice),
            Command::Curves => {
                self.read_curves();
                self.toggle(Help::Curves);
            }
            Command::Agreement => self.toggle(Help::Agreement),
            Command::FinishPlacing => self.take_ask(PracticeAsk::Finish),
            Command::NextPractice => self.take_ask(PracticeAsk::Next),
            Command::Switch => self.switches = true,
            Command::Report => self.show_report(Shows::Pages),
            Command::Picture => self.show_report(Shows::Picture),
            Command::WriteReport => self.ask_report_name(),
            Command::Cancel if self.help.is_some() => self.help = None,
            Command::Cancel if self.reporting.shows.is_some() => self.reporting.shows = None,
            Command::Fit if self.reporting.shows.is_some() => self.reporting.see_in(None),
            Command::FullSize if self.reporting.shows.is_some() => self.reporting.see_in(Some(1.0)),
            Command::ZoomIn if self.reporting.shows.is_some() => {
                self.reporting.see_in(Some(1.25 * self.reporting.size_seen()));
            }
            Command::ZoomOut if self.reporting.shows.is_some() => {
                self.reporting.see_in(Some(0.8 * self.reporting.size_seen()));
            }
            of_work => self.command_of_work(of_work),
        }
    }

    fn command_of_work(&mut self, command: Command) {
        let points_per_pixel = self.points_per_pixel;
        let Some(work) = &mut self.work else { return };
        let middle = Position::new(0.0, 0.0);
        let done = match command {
            Command::Undo => {
                work.undo();
                Ok(())
            }
            Command::Redo => {
                work.redo();
                Ok(())
            }
            Command::Next | Command::Previous => {
                work.aim_along(command == Command::Next);
                Ok(())
            }
            Command::Hide => work.hide(),
            Command::Absent => work.rule_out(),
            Command::Plan => work.toggle_planned(),
            Command::Delete => work.delete_selected(),
            Command::Cancel => {
                work.cancel();
                Ok(())
            }
            Command::Ruler => {
                work.toggle_ruler();
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
                    Command::LocalContrast => work.tone.local_contrast.is_on ^= true,
                    Command::Sharpen => work.tone.sharpening.is_on ^= true,
                    Command::Compare => work.compares = !work.compares,
                    Command::Bare => work.is_bare = !work.is_bare,
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

    /// Goes to where the next landmark is likely to be and stays with it, or shows the whole film again.
    fn follow_next(&mut self) {
        self.remembered.follows_next ^= true;
        self.remember();
        let Some(work) = &mut self.work else { return };
        work.went_to = None;
        if !self.remembered.follows_next {
            work.viewport.fit();
            return;
        }
        if work.aim.is_none() {
            work.aim_along(true);
        }
        if work.aim.is_none() {
            self.done("nothing is left to place; the view goes to whatever is aimed at".to_owned());
        }
    }

    /// The table of the case for the clipboard; it bears the label, never a file's name.
    fn copy_table(&mut self, as_csv: bool) {
        let Some(work) = &self.work else { return };
        let Some(derived) = work.shown_numbers() else { return };
        let case = work.open.case();
        let name = case.label.clone().unwrap_or_default();
        let (words, what) = if as_csv {
            let mut text = String::new();
            csv_record(&mut text, MEASUREMENTS_HEADER);
            text.push_str(&measurements_csv(&name, case, &derived));
            (text, "the measurements as CSV")
        } else {
            let name = if name.is_empty() { "no label".to_owned() } else { name };
            (case_text(&name, case, &derived, &work.open.engine().criteria, Style::Plain), "the table")
        };
        self.copied = Some(words);
        self.done(format!("copied {what}"));
    }

    fn toggle(&mut self, help: Help) {
        self.help = if self.help == Some(help) { None } else { Some(help) };
    }

    /// The system has no dialog to choose in: names are typed instead.
    pub(super) fn no_dialog(&mut self, choosing: Choosing) {
        let why = "This system offers no dialog to choose in; type the path.";
        match &mut self.question {
            _ if matches!(choosing, Choosing::Place(_)) => self.problem(why.to_owned()),
            Some(Question::SaveName { why_not, .. } | Question::ReportName { why_not, .. }) => {
                *why_not = Some(why.to_owned());
            }
            Some(_) => {}
            None => {
                let why_not = Some(why.to_owned());
                let for_film = choosing == Choosing::Film;
                self.question = Some(Question::OpenName { name: String::new(), why_not, for_film });
            }
        }
    }

    /// Takes in what was chosen in a dialog of the system. `opened` is the case that was open when the dialog was: a
    /// film, or a place to save, was meant for that one.
    pub fn chosen(&mut self, choosing: Choosing, opened: Option<Instant>, file: PathBuf) {
        let is_same_case = self.work.as_ref().map(|work| work.opened) == opened;
        match choosing {
            Choosing::Place(place) => self.chosen_place(place, &file),
            Choosing::Open => self.take(Action::Open(file)),
            Choosing::Film if is_same_case => self.take(Action::FindFilm(file)),
            Choosing::Save if is_same_case && matches!(self.question, Some(Question::SaveName { .. })) => {
                self.take(Action::SaveAs(file));
            }
            Choosing::Report if is_same_case => self.take(Action::WriteReportAs(file)),
            Choosing::Film => self.problem(format!(
                "{} was not taken: it was chosen for a case that is no longer open",
                file.display()
            )),
            Choosing::Save | Choosing::Report => {
                self.problem(format!("nothing was saved as {}: it was no longer asked for", file.display()));
            }
        }
    }

    /// Takes a path that was chosen for practice or agreement.
    fn chosen_place(&mut self, place: Place, path: &Path) {
        let path = path.display().to_string();
        let mut wishes = self.remembered.practice.clone();
        match place {
            Place::Practice => wishes.folder = path,
            Place::History => wishes.history = path,
            Place::Round => wishes.round_folder = path,
            Place::Agreement => return self.take_agreement(AgreementAsk::Folder(path)),
            Place::Out => return self.take_agreement(AgreementAsk::OutFolder(path)),
        }
        self.take_ask(PracticeAsk::Wish(Box::new(wishes)));
    }

    /// The folder somebody will look in first: the one of the case, else of what was opened last.
    pub(super) fn folder_at_hand(&self) -> Option<PathBuf> {
        let of_case = self.work.as_ref().map(|work| work.open.folder().to_path_buf());
        let of_last = self.remembered.recent.first().and_then(|file| file.parent()).map(Path::to_path_buf);
        of_case.into_iter().chain(of_last).find(|folder| folder.is_dir())
    }

    fn set(&mut self, setting: Setting) {
        if let Setting::Theme(theme) = setting
            && theme != Theme::System
        {
            self.drawn_in = theme;
        }
        self.remembered.set(setting);
        self.remember();
    }

    pub(super) fn remember(&self) {
        self.remembered.write(self.state_folder.as_deref());
    }

    /// Puts a file first among the recent ones. A film that was put by for practice is none: its name tells nobody anything.
    pub(super) fn opened(&mut self, file: &Path) {
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        if self.state_folder.as_deref().is_some_and(|state| is_film_of_practice(&file, state)) {
            return;
        }
        self.remembered.opened(&file);
        self.remember();
    }

    /// Tells that something could not be done, once however often it is tried.
    pub fn problem(&mut self, text: String) {
        let notice = Notice { kind: NoticeKind::Problem, text };
        self.notices.retain(|it| *it != notice);
        self.notices.push_back(notice);
    }

    /// Tells that something was done; what was told of before is old news.
    pub fn done(&mut self, text: String) {
        self.notices.retain(|notice| notice.kind != NoticeKind::Done);
        self.done_since = None;
        self.notices.push_back(Notice { kind: NoticeKind::Done, text });
    }
}
