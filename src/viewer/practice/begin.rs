//! Beginning to practise, going on to the next film, and rounds.

use super::prepared::{Prepared, Wanted, With};
use super::wishes::REPEATS;
use super::{Ask, Making, Practising, Round, Source, Wishes, fresh_seed, store};
use crate::case::{Case, Replace, read};
use crate::editor::{OpenCase, in_utc};
use crate::practice::Key;
use crate::viewer::neighbours::CASE_ENDING;
use crate::viewer::opening::file_name;
use crate::viewer::question::Then;
use crate::viewer::session::{Help, Session};
use crate::viewer::shown_film::FilmState;
use crate::viewer::work::Work;
use rand::SeedableRng as _;
use rand::seq::SliceRandom as _;
use rand_chacha::ChaCha8Rng;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// More cases than a folder to practise on holds.
const MOST_CASES: usize = 5_000;

impl Session {
    /// Takes in what is asked for about practice.
    pub(in crate::viewer) fn take_ask(&mut self, ask: Ask) {
        match ask {
            Ask::Wish(wishes) => self.wish(*wishes),
            Ask::Begin | Ask::Next => self.before_leaving(Then::Practise),
            Ask::BeginRound => self.before_leaving(Then::Round),
            Ask::CancelMaking => {
                self.practice.making = None;
                self.end_round();
            }
            Ask::Finish => self.finish_placing(),
            Ask::EndRound => self.end_round(),
            Ask::ShowComparison(shows) => {
                if let Some(practice) = self.practising() {
                    practice.shows_comparison = shows;
                }
            }
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
        let wishes = &self.remembered.practice;
        let wanted = match wishes.source {
            Source::Made => Ok(Wanted::Made {
                kind: wishes.kind,
                difficulty: wishes.difficulty,
                seed: self.practice.next_seed.take().unwrap_or_else(fresh_seed),
            }),
            Source::Folder => self.next_of_folder().map(Wanted::Key),
        };
        match wanted {
            Ok(wanted) => self.make(wanted),
            Err(why) => self.problem(why),
        }
    }

    fn make(&mut self, wanted: Wanted) {
        let Some(with) = self.with() else {
            self.problem(
                "there is no folder for films to practise on: the system names no place for what a program keeps (HOME)"
                    .to_owned(),
            );
            return;
        };
        let wake = Arc::clone(&self.wake);
        let given_up = self.work.as_ref().map(|work| work.open.content());
        self.practice.making = Some(Making::begin(wanted, with, given_up, move || wake()));
    }

    /// The next case of the folder, all of them once in an order of chance, and then again.
    fn next_of_folder(&mut self) -> Result<PathBuf, String> {
        if self.practice.queue.is_empty() {
            let folder = self.remembered.practice.folder.trim().to_owned();
            let library = Arc::clone(&self.engine);
            let mut cases = cases_of(&folder, |case| Key::of(case, &library.library).is_ok())?;
            if cases.is_empty() {
                return Err(format!(
                    "{folder}: holds no case with a truth or a consensus; make one with `crestgauge phantom` or, of experts\u{2019} cases, with `crestgauge agreement --consensus`, or choose another folder"
                ));
            }
            let seed = self.practice.next_seed.take().unwrap_or_else(fresh_seed);
            cases.shuffle(&mut ChaCha8Rng::seed_from_u64(seed));
            self.practice.queue = cases;
        }
        self.practice.queue.pop().ok_or_else(|| "there is no case to practise on".to_owned())
    }

    /// Begins a round of repeats over the folder.
    pub(in crate::viewer) fn begin_round(&mut self) {
        self.help = self.help.filter(|help| *help != Help::Practice);
        let wishes = self.remembered.practice.clone();
        let folder = wishes.folder.trim().to_owned();
        // A film is enough for a repeat, and a case says which film and tooth.
        let cases = cases_of(&folder, |case| case.film.file.is_some());
        let cases = match cases {
            Ok(cases) if cases.is_empty() => {
                Err(format!("{folder}: holds no case that names a film; a round needs some"))
            }
            other => other,
        };
        let placings = self.round_folder(&wishes);
        match cases.and_then(|cases| Ok((cases, placings?))) {
            Ok((cases, placings)) => {
                let seed = self.practice.next_seed.take().unwrap_or_else(fresh_seed);
                self.practice.round = Some(Round::shuffled(&cases, wishes.repeats, seed, placings));
                self.next_placing();
            }
            Err(why) => self.problem(why),
        }
    }

    /// A folder of its own for the placings of a round, named by the day and a number.
    fn round_folder(&self, wishes: &Wishes) -> Result<PathBuf, String> {
        let named = wishes.round_folder.trim();
        let within = if named.is_empty() {
            let state = self.state_folder.as_deref().ok_or_else(|| {
                "there is no folder for placings; name one in the practice window".to_owned()
            })?;
            state.join("rounds")
        } else {
            PathBuf::from(named)
        };
        let day: String = in_utc(SystemTime::now()).chars().take(10).collect();
        (1_u32..10_000)
            .map(|number| within.join(format!("round-{day}-{number}")))
            .find(|folder| !folder.exists())
            .ok_or_else(|| format!("{}: has no room for another round", within.display()))
    }

    /// Makes the next placing of the round ready, or ends the round.
    fn next_placing(&mut self) {
        let Some(round) = &mut self.practice.round else { return };
        match round.to_come.pop() {
            Some((case, of)) => {
                let folder = round.folder.clone();
                self.make(Wanted::Placing { case, of, folder });
            }
            None => self.end_round(),
        }
    }

    /// Ends the round; what was kept is looked at.
    fn end_round(&mut self) {
        let Some(mut round) = self.practice.round.take() else { return };
        self.practice.making = None;
        let in_hand = self.work.as_ref().and_then(|work| work.practice.as_ref()?.placing.clone());
        if let (Some(placing), Some(work)) = (in_hand, &mut self.work) {
            // What is placed so far is work: it is kept with the rest, and what it lacks it lacks.
            if work.open.has_unsaved_work() {
                let file = round.file_of(&placing);
                match work.open.save_as(&file, Replace::No) {
                    Ok(_) => round.kept.push(file),
                    Err(why) => {
                        self.practice.round = Some(round);
                        self.problem(why.to_string());
                        return;
                    }
                }
            }
            self.leave();
        }
        if round.kept.len() < 2 {
            self.done(
                "the round is over; fewer than two placings were kept, so nothing is compared".to_owned(),
            );
        } else {
            self.done(format!("{} placings were kept in {}", round.kept.len(), round.folder.display()));
            self.agreement.folder = round.folder.display().to_string();
            self.compare_files(round.kept);
        }
    }

    /// A round that is left for something else ends; what was kept stays.
    pub(in crate::viewer) fn give_up_round(&mut self) {
        if let Some(round) = self.practice.round.take() {
            self.practice.making = None;
            if !round.kept.is_empty() {
                let kept = round.kept.len();
                self.done(format!("the round was left; {kept} placings stay in {}", round.folder.display()));
            }
        }
    }

    /// What was placed is whole: it is compared with its key, or kept as a placing of the round.
    fn finish_placing(&mut self) {
        let Some(work) = &mut self.work else { return };
        if work.open.in_gesture() {
            work.open.end_gesture();
        }
        let Some(practice) = &work.practice else { return };
        let Some(placing) = practice.placing.clone() else {
            if practice.compared.is_none() {
                self.compare();
            }
            return;
        };
        let Some(round) = &mut self.practice.round else { return };
        let file = round.file_of(&placing);
        match work.open.save_as(&file, Replace::No) {
            Ok(_) => {
                round.kept.push(file);
                self.leave();
                self.next_placing();
            }
            Err(why) => self.problem(why.to_string()),
        }
    }

    /// Takes in a film that was made ready. While something is asked or dragged it waits.
    pub(in crate::viewer) fn take_made(&mut self) {
        if self.question.is_some() || self.work.as_ref().is_some_and(|work| work.open.in_gesture()) {
            return;
        }
        let Some(making) = &self.practice.making else { return };
        let Some(made) = making.take() else { return };
        let is_new_work =
            |work: &Work| work.open.has_unsaved_work() && making.given_up != Some(work.open.content());
        let goes_on = self.work.as_ref().is_some_and(is_new_work);
        self.practice.making = None;
        if goes_on {
            self.problem(
                "the film to practise on was not shown: work on the open case went on meanwhile".to_owned(),
            );
            self.give_up_round();
            return;
        }
        match made {
            Ok(prepared) => self.put_before(*prepared),
            Err(why) => {
                self.problem(why);
                // What cannot be used is passed over; the round goes on.
                self.next_placing();
            }
        }
    }

    fn put_before(&mut self, prepared: Prepared) {
        let Prepared { case, folder, film, key, placing } = prepared;
        self.leave();
        self.forget_what_was_told();
        let (engine, state_folder) = (Arc::clone(&self.engine), self.state_folder.clone());
        let mut open = OpenCase::unfiled(case, folder, engine, state_folder);
        // Work on this film that was put by is another sitting's: what is asked for is a placing anew.
        let found: Vec<PathBuf> = open.offers().iter().map(|offer| offer.file.clone()).collect();
        for file in found {
            open.decline(&file);
        }
        let mut work = Work::new(open);
        // Found again after a crash: opening the film offers what was put by. A round's film is not named anywhere.
        let film_file = work.open.case().film.file.as_ref().map(|name| work.open.folder().join(name));
        if let Some(file) = film_file.filter(|_| placing.is_none()) {
            self.opened(&file);
        }
        work.practice = placing.map(Practising::of_round).or_else(|| key.map(Practising::against));
        work.film = FilmState::Shown(Arc::new(film));
        work.film_of = work.film_named();
        work.aim_along(true);
        // Pages of the case before must not become pages of this one: results are not shown yet.
        self.reporting.shows = None;
        self.work = Some(work);
    }

    /// A film that is placed again for practice is one whose truth nobody has seen: its case, opened another time, shows none.
    pub(in crate::viewer) fn hide_truth_again(&self) {
        if let Some(work) = self.work.as_ref().filter(|work| work.hides_results()) {
            store::seal_again(self.state_folder.as_deref(), work.open.case());
        }
    }

    /// Goes on practising where an opened case was placed for it.
    pub(in crate::viewer) fn resume_practice(&mut self) {
        let Some(work) = &self.work else { return };
        if work.practice.is_some() {
            return;
        }
        let found = store::key_of(work.open.case(), self.state_folder.as_deref(), &self.engine.library);
        let Some((known, was_compared)) = found else { return };
        if let Some(work) = &mut self.work {
            work.practice = Some(Practising::against(Arc::new(known)));
        }
        if was_compared {
            self.compare_again();
        }
    }
}

/// The cases of a folder that are wanted, in the order of their names.
fn cases_of(folder: &str, wanted: impl Fn(&Case) -> bool) -> Result<Vec<PathBuf>, String> {
    if folder.is_empty() {
        return Err("name the folder of cases first".to_owned());
    }
    let entries = std::fs::read_dir(Path::new(folder)).map_err(|error| format!("{folder}: {error}"))?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|file| {
            let name = file_name(file);
            name.ends_with(CASE_ENDING) && !name.starts_with('.')
        })
        .take(MOST_CASES)
        .collect();
    files.sort();
    files.retain(|file| read(file).is_ok_and(|read| wanted(&read.case)));
    Ok(files)
}
