//! Beginning to practise, and going on to the next film.

use super::making::{Ready, Wanted};
use super::prepared::{Prepared, With};
use super::wishes::REPEATS;
use super::{Ask, Making, Practising, Source, Wishes, fresh_seed, store};
use crate::editor::OpenCase;
use crate::viewer::opening::Purpose;
use crate::viewer::question::Then;
use crate::viewer::session::{Help, Session};
use crate::viewer::work::Work;
use std::path::PathBuf;
use std::sync::Arc;

impl Session {
    /// Takes in what is asked for about practice.
    pub(in crate::viewer) fn take_ask(&mut self, ask: Ask) {
        match ask {
            Ask::Wish(wishes) => self.wish(*wishes),
            Ask::Begin | Ask::Next => self.before_leaving(Then::Practise),
            Ask::BeginRound => self.before_leaving(Then::Round),
            Ask::CancelMaking if self.practice.making.as_ref().is_some_and(|it| it.continues_round) => {
                self.ask_end_of_round();
            }
            Ask::CancelMaking => self.practice.making = None,
            Ask::Finish => self.ask_to_finish(),
            Ask::EndRound => self.ask_end_of_round(),
            Ask::ShowComparison(shows) => {
                if let Some(practice) = self.practising() {
                    practice.shows_comparison = shows;
                }
            }
            Ask::CopyComparison => self.copy_comparison(),
            Ask::PointLine(line) => {
                if let Some(practice) = self.practising() {
                    practice.pointed = line;
                }
            }
            Ask::PickCurve(at) => {
                if let Some(curves) = &mut self.practice.curves {
                    curves.pick(at);
                }
            }
        }
    }

    fn practising(&mut self) -> Option<&mut Practising> {
        self.work.as_mut()?.practice.as_mut()
    }

    fn wish(&mut self, wishes: Wishes) {
        if wishes.folder != self.remembered.practice.folder {
            self.practice.queue.clear();
        }
        let repeats = wishes.repeats.clamp(*REPEATS.start(), *REPEATS.end());
        self.remembered.practice = Wishes { repeats, ..wishes };
        self.remember();
    }

    fn with(&self) -> Option<With> {
        Some(With {
            scale_is_given: self.remembered.practice.scale_is_given,
            student: self.remembered.practice.student(),
            store: store::folder(self.state_folder.as_deref()?),
            bounds: self.bounds,
            library: Arc::new(self.engine.library.clone()),
        })
    }

    /// Begins to make the next film ready to practise on.
    pub(in crate::viewer) fn begin_practice(&mut self) {
        self.help = self.help.filter(|help| *help != Help::Practice);
        let seed = self.seed();
        let wishes = &self.remembered.practice;
        let wanted = match wishes.source {
            Source::Made => Wanted::Made { kind: wishes.kind, difficulty: wishes.difficulty, seed },
            Source::Folder => Wanted::OfFolder {
                folder: wishes.folder.trim().to_owned(),
                to_come: self.practice.queue.clone(),
                seed,
            },
        };
        self.make(wanted);
    }

    /// The seed of what is drawn next.
    pub(super) fn seed(&mut self) -> u64 {
        self.practice.next_seed.take().unwrap_or_else(fresh_seed)
    }

    /// Makes a film ready in a thread.
    pub(super) fn make(&mut self, wanted: Wanted) {
        let Some(with) = self.with() else {
            self.problem(
                "there is no folder for films to practise on: the system names no place for what a program keeps (HOME)"
                    .to_owned(),
            );
            return;
        };
        let wake = Arc::clone(&self.wake);
        let given_up = self.work.as_ref().map(Work::stand);
        self.practice.making = Some(Making::begin(wanted, with, given_up, move || wake()));
    }

    /// Takes in a film that was made ready. While something is asked, dragged or opened it waits.
    pub(in crate::viewer) fn take_made(&mut self) {
        let is_opening =
            self.opening.as_ref().is_some_and(|opening| matches!(opening.purpose, Purpose::NewCase { .. }));
        let in_gesture = self.work.as_ref().is_some_and(|work| work.open.in_gesture());
        if self.question.is_some() || is_opening || in_gesture {
            return;
        }
        let Some(making) = &self.practice.making else { return };
        let Some(made) = making.take() else { return };
        let goes_on = self.work.as_ref().is_some_and(|work| work.has_new_work(making.given_up));
        let continues_round = making.continues_round;
        self.practice.making = None;
        if goes_on {
            self.problem(
                "the film to practise on was not shown: work on the open case went on meanwhile".to_owned(),
            );
            return;
        }
        match made {
            Ok(ready) => self.take_ready(ready, continues_round),
            Err(why) => {
                self.problem(why);
                if continues_round {
                    self.end_round();
                }
            }
        }
    }

    fn take_ready(&mut self, ready: Ready, continues_round: bool) {
        let Ready { film, to_come, round, passed_over } = ready;
        if let Some((folder, to_come)) = to_come
            && folder == self.remembered.practice.folder.trim()
        {
            self.practice.queue = to_come;
        }
        if let Some(film) = film {
            self.forget_what_was_told();
            if !continues_round {
                self.give_up_round();
            }
            self.practice.round = round;
            self.put_before(*film);
        } else if continues_round {
            self.practice.round = round;
            self.end_round();
        }
        for why in passed_over {
            self.problem(why);
        }
    }

    fn put_before(&mut self, prepared: Prepared) {
        let Prepared { case, folder, film, key, placing } = prepared;
        self.leave_case();
        let (engine, state_folder) = (Arc::clone(&self.engine), self.state_folder.clone());
        let mut open = OpenCase::unfiled(case, folder, engine, state_folder);
        // Work on this film that was put by is another sitting's: what is asked for is a placing anew.
        let found: Vec<PathBuf> = open.offers().iter().map(|offer| offer.file.clone()).collect();
        for file in found {
            open.decline(&file);
        }
        open.film_checked(film.cautions.clone());
        let mut work = Work::new(open);
        work.practice = placing.map(Practising::of_round).or_else(|| key.map(Practising::against));
        work.show(film);
        work.film_of = work.film_named();
        work.aim_along(true);
        // Pages of the case before must not become pages of this one: results are not shown yet.
        self.reporting.shows = None;
        self.work = Some(work);
    }
}
