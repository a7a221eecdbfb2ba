//! What is looked after between actions: work of other threads, autosaves, the case's file on the disk, intervals by
//! Monte Carlo, and notices that have been read. The time is handed in.

use super::question::Question;
use super::session::{NoticeKind, Session};
use crate::editor::{DRAWS, DiskChange, Numbers};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, SystemTime};

/// How often unsaved work is put by.
pub const AUTOSAVE_INTERVAL: Duration = Duration::from_secs(5);
/// How long the case must stand still before doubtful intervals are drawn anew.
const DRAWING_WAITS: Duration = Duration::from_millis(400);
/// How often the file on the disk is looked at while somebody is at work.
const DISK_INTERVAL: Duration = Duration::from_secs(2);
/// How long it is told that something was done.
const DONE_SHOWS: Duration = Duration::from_secs(8);

/// What looking after things keeps in mind.
#[derive(Debug, Default)]
pub(super) struct Tending {
    /// Draws that are being made, and for which revision of the case.
    drawing: Option<(u64, Receiver<Numbers>)>,
    /// The revision seen last, and since when.
    still: Option<(u64, SystemTime)>,
    /// When the file on the disk was looked at.
    disk_looked_at: Option<SystemTime>,
    /// Whether it was told that another program changed it.
    disk_change_told: bool,
    /// When autosaving failed last; it was told then.
    autosave_failed: Option<SystemTime>,
}

/// What is left to wait until `wait` has passed since `since`; zero where it has, or where the clock was set back.
fn left(since: SystemTime, wait: Duration, now: SystemTime) -> Duration {
    now.duration_since(since).map_or(Duration::ZERO, |passed| wait.saturating_sub(passed))
}

impl Session {
    /// Looks after finished work of other threads, autosaves, and what another program did. Says after how long it
    /// wants to be called again, where it does.
    pub fn tend(&mut self, now: SystemTime) -> Option<Duration> {
        self.take_opened();
        self.take_neighbour();
        self.take_made();
        self.take_agreement_read();
        self.tend_disk(now);
        self.tend_report(now);
        let waits = [self.tend_autosave(now), self.tend_drawing(now), self.tend_notices(now)];
        self.follow();
        waits.into_iter().flatten().min()
    }

    /// Nothing of the case that is left concerns the next one.
    pub(super) fn forget_tending(&mut self) {
        self.tending = Tending::default();
    }

    fn tend_autosave(&mut self, now: SystemTime) -> Option<Duration> {
        self.take_autosaved(now);
        let work = self.work.as_mut()?;
        // The end of one that is being written has the window look here again.
        if work.open.is_autosaving() || !work.open.autosave_is_due(now, Duration::ZERO) {
            return None;
        }
        let failed = self.tending.autosave_failed;
        let retry = failed.map_or(Duration::ZERO, |at| left(at, AUTOSAVE_INTERVAL, now));
        if !retry.is_zero() || !work.open.autosave_is_due(now, AUTOSAVE_INTERVAL) {
            return Some(retry.max(AUTOSAVE_INTERVAL));
        }
        let wake = Arc::clone(&self.wake);
        work.open.begin_autosave(now, move || wake());
        None
    }

    /// Tells once that work cannot be put by, however often it is tried.
    fn take_autosaved(&mut self, now: SystemTime) {
        let Some(came_to) = self.work.as_mut().and_then(|work| work.open.take_autosaved()) else { return };
        let failed_before = self.tending.autosave_failed;
        self.tending.autosave_failed = came_to.is_err().then_some(now);
        if let Err(why) = came_to
            && failed_before.is_none()
        {
            self.problem(why.to_string());
        }
    }

    /// Doubtful first-order intervals are replaced by drawn ones a moment after the last change.
    fn tend_drawing(&mut self, now: SystemTime) -> Option<Duration> {
        let work = self.work.as_mut()?;
        let revision = work.open.revision();
        if let Some((of, receive)) = &self.tending.drawing {
            match receive.try_recv() {
                Ok(numbers) if *of == revision => work.drawn = Some((revision, Arc::new(numbers))),
                Ok(_) | Err(TryRecvError::Disconnected) => {}
                Err(TryRecvError::Empty) => return None,
            }
            self.tending.drawing = None;
        }
        let doubtful = matches!(&*work.numbers, Ok(numbers)
            if numbers.derived.measurements.iter().any(|row| row.first_order_doubtful));
        if !doubtful || work.drawn.is_some() {
            return None;
        }
        let since = match self.tending.still {
            Some((of, since)) if of == revision => since,
            _ => {
                self.tending.still = Some((revision, now));
                return Some(DRAWING_WAITS);
            }
        };
        let wait = left(since, DRAWING_WAITS, now);
        if !wait.is_zero() {
            return Some(wait);
        }
        if work.open.in_gesture() {
            // The end of the gesture has the window look here again.
            return None;
        }
        let (send, receive) = channel();
        let (draw, wake) = (work.open.drawing(DRAWS), Arc::clone(&self.wake));
        self.behind.have_done(move || {
            if let Ok(numbers) = draw()
                && send.send(numbers).is_ok()
            {
                wake();
            }
        });
        self.tending.drawing = Some((revision, receive));
        None
    }

    fn tend_disk(&mut self, now: SystemTime) {
        let Some(work) = &mut self.work else { return };
        let recently = self.tending.disk_looked_at.is_some_and(|at| !left(at, DISK_INTERVAL, now).is_zero());
        // Nobody is asked in the middle of a drag.
        if recently || self.question.is_some() || work.open.in_gesture() {
            return;
        }
        self.tending.disk_looked_at = Some(now);
        let change = work.open.disk_change();
        let told = std::mem::replace(&mut self.tending.disk_change_told, change.is_some());
        match change {
            Some(_) if told => {}
            None => {}
            Some(DiskChange::Changed) => self.question = Some(Question::ChangedOnDisk { then: None }),
            Some(DiskChange::Gone) => self.problem(
                "the case's file is gone; the work is still here: save it to have a file again".to_owned(),
            ),
            Some(DiskChange::Unreadable(why)) => {
                self.problem(format!("the case's file cannot be read any more: {why}"));
            }
        }
    }

    /// What was done is told for a while; what could not be done stays until somebody says it was read.
    fn tend_notices(&mut self, now: SystemTime) -> Option<Duration> {
        if self.notices.back().is_none_or(|notice| notice.kind != NoticeKind::Done) {
            self.done_since = None;
            return None;
        }
        let wait = left(*self.done_since.get_or_insert(now), DONE_SHOWS, now);
        if wait.is_zero() {
            self.notices.pop_back();
            self.done_since = None;
            return None;
        }
        Some(wait)
    }
}
