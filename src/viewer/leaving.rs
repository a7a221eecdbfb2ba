//! Opening films and cases, and leaving the case that is open. Work that is not saved is never left unasked.

use super::neighbours::{case_of, neighbour};
use super::opening::{FilmSource, Opening, Purpose, Unopened, file_name};
use super::practice::{Practising, films_of_practice, not_compared_yet};
use super::question::{Question, Then};
use super::session::Session;
use super::shown_film::{FilmState, ShownFilm};
use super::viewport::Viewport;
use super::work::{Stand, Work};
use crate::case::{self, Begun, compare_film};
use crate::caution::Caution;
use crate::editor::{Edit, Meanwhile, Offer, OpenCase, again, waiting};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// A look along the films of a folder, which a clinic's network may take its time over.
#[derive(Debug)]
pub(super) struct LookingAlong {
    forwards: bool,
    receive: Receiver<Option<PathBuf>>,
}

/// Unsaved work that is taken in once what it belongs to is open.
#[derive(Debug)]
pub(super) struct GoingOn {
    /// The case or film it belongs to.
    pub(super) opens: PathBuf,
    /// Where it was found.
    pub(super) unsaved: PathBuf,
}

impl Session {
    /// Goes on with something that leaves the open case, asking first where work is not saved.
    pub fn before_leaving(&mut self, then: Then) {
        if self.work.as_ref().is_some_and(|work| work.open.has_unsaved_work()) {
            self.question = Some(Question::Unsaved(then));
        } else {
            self.question = None;
            self.go_on(then);
        }
    }

    /// Leaves the open case; work that is not saved is given up, at the user's word.
    pub(super) fn go_on(&mut self, then: Then) {
        if then == Then::Quit
            && let Some(file) = self.reporting.writes()
        {
            // What it comes to must still be told, and mended where it failed.
            self.question = Some(Question::StillWriting(file.to_path_buf()));
            return;
        }
        match then {
            Then::Close => {
                self.give_up_round();
                self.leave_case();
                self.look_for_waiting();
            }
            Then::Quit => {
                self.leave_case();
                self.quits = true;
            }
            Then::Open(file) => self.open(&file),
            Then::OpenSample => self.open_sample(),
            Then::Again => self.question = self.work.is_some().then_some(Question::Again),
            Then::Practise => self.begin_practice(),
            Then::Round => self.begin_round(),
        }
    }

    /// Begins a repeat of the open case, with the film as it is seen.
    pub(super) fn begin_again(&mut self, keeps_scale: bool) {
        let Some(before) = self.work.take() else { return };
        let mut case = again(before.open.case(), keeps_scale);
        let folder = before.open.folder().to_path_buf();
        let (film, film_of, viewport, tone) =
            (before.film.clone(), before.film_of.clone(), before.viewport, before.tone);
        let cautions = before.open.film_cautions().to_vec();
        let practice = before.practice.clone();
        not_compared_yet(&mut case, practice.is_some());
        self.work = Some(before);
        self.forget_what_was_told();
        self.leave();
        let (engine, state_folder) = (Arc::clone(&self.engine), self.state_folder.clone());
        let mut work = Work::new(OpenCase::unfiled(case, folder, engine, state_folder));
        work.open.film_checked(cautions);
        (work.film, work.film_of, work.viewport, work.tone) = (film, film_of, viewport, tone);
        work.is_repeat = true;
        work.practice = practice.map(Practising::anew);
        work.aim_along(true);
        self.work = Some(work);
    }

    /// Goes to the next film of the folder, or the one before: to its case where one lies beside it.
    pub(super) fn go_along_films(&mut self, forwards: bool) {
        let Some(film) = self.work.as_ref().and_then(Work::film_file) else {
            self.problem("this case lies on no film of a folder".to_owned());
            return;
        };
        let (send, receive) = channel();
        let wake = Arc::clone(&self.wake);
        std::thread::spawn(move || {
            let next = neighbour(&film, forwards).map(|next| case_of(&next).unwrap_or(next));
            // Nobody waits any more where the case was left.
            if send.send(next).is_ok() {
                wake();
            }
        });
        self.looking_along = Some(LookingAlong { forwards, receive });
    }

    /// Goes on to the film that was found along the folder. While something is asked or dragged it waits.
    pub(super) fn take_neighbour(&mut self) {
        let is_busy =
            self.question.is_some() || self.work.as_ref().is_some_and(|work| work.open.in_gesture());
        let Some(LookingAlong { forwards, receive }) = self.looking_along.as_ref().filter(|_| !is_busy)
        else {
            return;
        };
        let found = match receive.try_recv() {
            Err(TryRecvError::Empty) => return,
            Ok(found) => Some((found, *forwards)),
            Err(TryRecvError::Disconnected) => None,
        };
        self.looking_along = None;
        match found {
            Some((Some(next), _)) => self.before_leaving(Then::Open(next)),
            Some((None, true)) => self.done("this is the last film of its folder".to_owned()),
            Some((None, false)) => self.done("this is the first film of its folder".to_owned()),
            None => self.problem("looking for the films of the folder was broken off".to_owned()),
        }
    }

    /// Takes in the unsaved work that somebody asked to go on with, now that what it belongs to is open. Where the case's
    /// file was changed since, it stays an offer, which says so.
    fn go_on_with_unsaved(&mut self, opened: &Path) {
        let Some(GoingOn { unsaved, .. }) = self.going_on.take().filter(|it| it.opens == opened) else {
            return;
        };
        let is_safe = |offer: &Offer| offer.file == unsaved && offer.meanwhile == Meanwhile::Unchanged;
        if self.work.as_ref().is_some_and(|work| work.open.offers().iter().any(is_safe)) {
            self.take_offer(&unsaved);
        }
    }

    /// Leaves the open case for another one. A round ends with it, and a film that is being made ready to practise on is given up:
    /// it must not come over what was opened since it was asked for.
    pub(super) fn leave(&mut self) {
        self.give_up_round();
        if self.practice.making.take().is_some() {
            self.problem(
                "the film to practise on was given up, because something else was opened meanwhile; it can be asked for again"
                    .to_owned(),
            );
        }
        self.leave_case();
    }

    /// Leaves the open case.
    pub(super) fn leave_case(&mut self) {
        if let Some(work) = &mut self.work {
            // One that cannot be removed is offered at the next opening, where it can be deleted.
            let _ = work.open.remove_autosaves();
        }
        self.work = None;
        self.opening = None;
        self.looking_along = None;
        self.proposed_film = None;
        self.forget_tending();
        self.reporting.forget();
    }

    /// Looks for unsaved work that no open case offers: of films made for practice, too, which stand in no list of recent ones.
    pub(super) fn look_for_waiting(&mut self) {
        let films = self.state_folder.as_deref().map(films_of_practice).unwrap_or_default();
        self.waiting = waiting(&self.remembered.recent, &films, self.state_folder.as_deref());
    }

    /// Opens a film or a case; what is open stays so where it cannot be read.
    pub(super) fn open(&mut self, file: &Path) {
        // What is asked for now is newer than a wish for the next film that a slow disk has not answered yet.
        self.looking_along = None;
        let is_case = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
        if !is_case {
            let given_up = self.work.as_ref().map(Work::stand);
            self.told_before_opening = self.notices.iter().cloned().collect();
            self.begin_opening(FilmSource::File(file.to_path_buf()), Purpose::NewCase { given_up });
            return;
        }
        match OpenCase::open(file, Arc::clone(&self.engine), self.state_folder.clone()) {
            Ok(mut open) => {
                self.forget_what_was_told();
                self.leave();
                // Where the same case is opened again, what was just given up was found, and is gone now.
                let gone: Vec<PathBuf> = open.offers().iter().map(|offer| offer.file.clone()).collect();
                for file in gone.iter().filter(|file| !file.exists()) {
                    open.decline(file);
                }
                self.opened(file);
                self.begin_case(open);
                self.go_on_with_unsaved(file);
            }
            Err(why) => self.not_opened(&why.to_string()),
        }
    }

    /// Tells that something could not be opened, and what is shown instead.
    fn not_opened(&mut self, why: &str) {
        let stays = self.work.as_ref().map(|work| {
            let tooth = work.open.case().tooth.fdi.map(|fdi| self.remembered.tooth_numbers.words(fdi));
            tooth.map_or_else(|| "the case".to_owned(), |tooth| format!("the case of tooth {tooth}"))
        });
        self.problem(stays.map_or_else(|| why.to_owned(), |case| format!("{why}. Still open is {case}")));
    }

    pub(super) fn open_sample(&mut self) {
        match case::sample() {
            Ok(read) => {
                self.forget_what_was_told();
                self.leave();
                let (engine, state_folder) = (Arc::clone(&self.engine), self.state_folder.clone());
                self.begin_case(OpenCase::unfiled(read.case, PathBuf::new(), engine, state_folder));
            }
            Err(why) => self.problem(why.to_string()),
        }
    }

    /// What could not be opened, and what was done with the case before, is old news once
    /// another is opened.
    pub(super) fn forget_what_was_told(&mut self) {
        self.notices.clear();
    }

    fn begin_case(&mut self, open: OpenCase) {
        for spoiled in open.spoiled() {
            let text = format!("unsaved work was found and cannot be read: {}", spoiled.why);
            self.problem(format!("{}: {text}", spoiled.file.display()));
        }
        self.work = Some(Work::new(open));
        self.resume_practice();
        self.open_film_of_case();
    }

    /// Whether the case is the built-in sample, which stands on no disk yet.
    pub(super) fn is_built_in(&self) -> bool {
        self.work.as_ref().is_some_and(|work| {
            work.is_sample && work.open.file().is_none() && work.open.folder().as_os_str().is_empty()
        })
    }

    fn open_film_of_case(&mut self) {
        let is_built_in = self.is_built_in();
        let Some(work) = &mut self.work else { return };
        work.film_of = work.film_named();
        let folder = work.open.folder().to_path_buf();
        let Some(name) = &work.open.case().film.file else {
            work.film = FilmState::None;
            return;
        };
        let source = if is_built_in {
            FilmSource::Embedded(case::SAMPLE_FILM)
        } else {
            FilmSource::File(folder.join(name))
        };
        let case = Box::new(work.open.case().clone());
        work.film = FilmState::Opening;
        self.begin_opening(source, Purpose::OfCase { case, folder });
    }

    /// Shows the film the case names: an undo, recovered work or another program's may name another one, and opening
    /// it may have been put off for another film.
    pub(super) fn follow_film(&mut self) {
        let Some(work) = &self.work else { return };
        let named_other = work.film_named() != work.film_of;
        let put_off = matches!(work.film, FilmState::Opening);
        let wanted = match &self.opening {
            None => named_other || put_off,
            Some(opening) => named_other && matches!(opening.purpose, Purpose::OfCase { .. }),
        };
        if wanted {
            self.open_film_of_case();
        }
    }

    pub(super) fn begin_opening(&mut self, source: FilmSource, purpose: Purpose) {
        let wake = Arc::clone(&self.wake);
        self.opening = Some(Opening::begin(source, purpose, self.bounds, move || wake()));
    }

    pub(super) fn cancel_opening(&mut self) {
        if let Some(opening) = self.opening.take()
            && matches!(opening.purpose, Purpose::OfCase { .. })
            && let Some(work) = &mut self.work
        {
            work.film = FilmState::Failed("opening it was given up".to_owned());
        }
    }

    /// Takes in a film that was opened. While something is asked or dragged it waits.
    pub(super) fn take_opened(&mut self) {
        let busy = self.question.is_some() || self.work.as_ref().is_some_and(|work| work.open.in_gesture());
        let Some(opening) = &self.opening else { return };
        if busy && !matches!(opening.purpose, Purpose::OfCase { .. }) {
            return;
        }
        let Some(opened) = opening.take() else { return };
        let Some(Opening { source, purpose, .. }) = self.opening.take() else { return };
        match opened {
            Ok(film) => self.show(*film, &source, purpose),
            Err(Unopened { why, cautions }) => {
                let name = match &source {
                    FilmSource::File(file) => file.display().to_string(),
                    FilmSource::Embedded(_) => "the sample's film".to_owned(),
                };
                match (&mut self.work, purpose) {
                    (Some(work), Purpose::OfCase { .. }) => {
                        work.open.film_checked(cautions);
                        work.drawn = None;
                        work.film = FilmState::Failed(format!("{name}: {why}"));
                    }
                    (Some(_), Purpose::Instead) => self.problem(format!("{name}: {why}")),
                    _ => self.not_opened(&format!("{name}: {why}")),
                }
            }
        }
    }

    /// Shows a film that was opened.
    fn show(&mut self, film: ShownFilm, source: &FilmSource, purpose: Purpose) {
        match (purpose, source) {
            (Purpose::OfCase { .. }, _) => {
                let Some(work) = &mut self.work else { return };
                work.open.film_checked(film.cautions.clone());
                work.drawn = None;
                work.show(film);
            }
            (Purpose::NewCase { given_up }, FilmSource::File(file)) => {
                self.begin_case_for(film, file, given_up);
            }
            (Purpose::Instead, FilmSource::File(file)) => self.propose_film(film, file),
            // The sample's film comes with the sample's case.
            (_, FilmSource::Embedded(_)) => {}
        }
    }

    /// Begins a case for a film. `given_up` is what was open when leaving it was settled; work done since then is
    /// asked about.
    fn begin_case_for(&mut self, film: ShownFilm, file: &Path, given_up: Option<Stand>) {
        if self.work.as_ref().is_some_and(|work| work.has_new_work(given_up)) {
            // The film is opened again once that is settled.
            self.question = Some(Question::Unsaved(Then::Open(file.to_path_buf())));
            return;
        }
        // What was told while it was read is no old news.
        let before = std::mem::take(&mut self.told_before_opening);
        self.notices.retain(|notice| !before.contains(notice));
        self.leave();
        self.opened(file);
        let opened = file;
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        let folder = file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
        let case = case::draft(&file_name(&file), &film.film.description(), &Begun::default());
        let (engine, state_folder) = (Arc::clone(&self.engine), self.state_folder.clone());
        let mut work = Work::new(OpenCase::unfiled(case, folder, engine, state_folder));
        work.show(film);
        self.work = Some(work);
        self.go_on_with_unsaved(opened);
    }

    /// Puts a film in the place of the one the case names; where it is not the one the points lie on, that is asked first.
    fn propose_film(&mut self, film: ShownFilm, file: &Path) {
        let Some(work) = &self.work else { return };
        let differences = compare_film(work.open.case(), &film.film.description());
        let points = work.open.case().points();
        if points == 0 || differences.is_empty() {
            self.put_film(film, file);
            return;
        }
        let why: Vec<String> = differences.iter().map(Caution::text).collect();
        self.question = Some(Question::OtherFilm { points, why: why.join("; ") });
        self.proposed_film = Some((film, file.to_path_buf()));
    }

    /// Puts a film in the place of the one the case names.
    pub(super) fn put_film(&mut self, film: ShownFilm, file: &Path) {
        let Some(work) = &mut self.work else { return };
        let file = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
        let is_nowhere = work.open.folder().as_os_str().is_empty();
        let named = if is_nowhere { file.clone() } else { case::path_from(work.open.folder(), &file) };
        let Some(named) = named.to_str() else {
            let name = file.display();
            self.problem(format!("{name}: its path is no text and cannot stand in a case; rename it"));
            return;
        };
        let link = Work::link_to(named, &film.film.description());
        if let Err(refused) = work.open.apply(Edit::FilmLink(Box::new(link))) {
            self.problem(refused.to_string());
            return;
        }
        work.open.film_checked(Vec::new());
        work.film_of = work.film_named();
        work.show(film);
    }
}

impl Work {
    /// The file of the film it lies on; none for one that lies on no disk.
    pub(super) fn film_file(&self) -> Option<PathBuf> {
        let (file, _) = self.film_named();
        let is_nowhere = self.open.folder().as_os_str().is_empty();
        file.filter(|file| !is_nowhere || file.is_absolute())
    }

    /// Shows a film, as before where it has the shape of the one before.
    pub(super) fn show(&mut self, film: ShownFilm) {
        let picture = &film.film.picture;
        let mut fresh = Viewport::new([picture.width(), picture.height()], self.open.case().film.aspect());
        fresh.resize(self.viewport.view_size());
        let is_same_shape = fresh.film_size() == self.viewport.film_size()
            && fresh.pixel_aspect() == self.viewport.pixel_aspect();
        if !is_same_shape {
            self.viewport = fresh;
        }
        self.film = FilmState::Shown(Arc::new(film));
    }
}
