//! Rounds as they go: begun, placing after placing, ended or left.

use super::Wishes;
use super::making::Wanted;
use crate::case::{Replace, Sight};
use crate::editor::{LandmarkAt, landmarks};
use crate::quantity::Day;
use crate::viewer::question::Question;
use crate::viewer::session::{Help, Session};
use std::path::PathBuf;
use std::time::SystemTime;

impl Session {
    /// Begins a round of repeats over the folder. One that is going on ends once the first film of the new one is there.
    pub(in crate::viewer) fn begin_round(&mut self) {
        self.help = self.help.filter(|help| *help != Help::Practice);
        let wishes = self.remembered.practice.clone();
        match self.round_folder(&wishes) {
            Ok(placings) => {
                let folder = wishes.folder.trim().to_owned();
                let seed = self.seed();
                self.make(Wanted::NewRound { folder, repeats: wishes.repeats, seed, placings });
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
        let day = Day::here(SystemTime::now());
        (1_u32..10_000)
            .map(|number| within.join(format!("round-{day}-{number}")))
            .find(|folder| !folder.exists())
            .ok_or_else(|| format!("{}: has no room for another round", within.display()))
    }

    /// Makes the next placing of the round ready; where none is left, the round ends.
    fn next_placing(&mut self) {
        if let Some(round) = self.practice.round.clone() {
            self.make(Wanted::NextPlacing(round));
        }
    }

    /// Ends the round; where placings are lost by it, that is asked first.
    pub(super) fn ask_end_of_round(&mut self) {
        let Some(round) = &self.practice.round else { return };
        let in_hand = self.work.as_ref().filter(|work| work.is_of_round());
        let kept = round.kept.len() + usize::from(in_hand.is_some_and(|work| work.open.has_unsaved_work()));
        let is_placed = in_hand.is_none_or(|work| work.open.has_unsaved_work());
        let is_in_making = self.practice.making.as_ref().is_some_and(|making| making.continues_round);
        if round.to_come.is_empty() && is_placed && !is_in_making {
            self.end_round();
        } else {
            self.question = Some(Question::EndRound { kept, of: round.of });
        }
    }

    /// Ends the round; what was kept is looked at.
    pub(in crate::viewer) fn end_round(&mut self) {
        let Some(mut round) = self.practice.round.take() else { return };
        self.practice.making = self.practice.making.take().filter(|making| !making.continues_round);
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
            self.leave_case();
        }
        if round.kept.len() < 2 {
            self.done(
                "the round is over; fewer than two placings were kept, so nothing is compared".to_owned(),
            );
        } else {
            self.done(format!("{} placings were kept in {}", round.kept.len(), round.folder.display()));
            self.compare_files(round.folder, round.kept);
        }
    }

    /// A round that is left for something else ends; what was kept stays.
    pub(in crate::viewer) fn give_up_round(&mut self) {
        if let Some(round) = self.practice.round.take() {
            self.practice.making = self.practice.making.take().filter(|making| !making.continues_round);
            // One that was in hand may have been saved with the rest, by its own name.
            let saved = self.work.as_ref().and_then(|work| work.open.file());
            let in_hand = saved.filter(|file| file.parent() == Some(&*round.folder));
            let kept = round.kept.len()
                + usize::from(in_hand.is_some_and(|file| round.kept.iter().all(|it| it != file)));
            if kept > 0 {
                self.done(format!("the round was left; {kept} placings stay in {}", round.folder.display()));
            }
        }
    }

    /// Finishes what is placed; where landmarks are left that its film is asked for, that is asked first.
    pub(super) fn ask_to_finish(&mut self) {
        let Some(work) = &self.work else { return };
        let case = work.open.case();
        let is_open = |(at, sight): &&(LandmarkAt, Sight)| *sight == Sight::Asked && at.mark(case).is_none();
        let open = landmarks(case).iter().filter(is_open).count();
        if open > 0 && work.hides_results() {
            self.question = Some(Question::Finish { open });
        } else {
            self.finish_placing();
        }
    }

    /// What was placed is whole: it is compared with its key, or kept as a placing of the round.
    pub(in crate::viewer) fn finish_placing(&mut self) {
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
                self.leave_case();
                self.next_placing();
            }
            Err(why) => self.problem(why.to_string()),
        }
    }
}
