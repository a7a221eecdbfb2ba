//! A thousand kills at random moments of saving and autosaving. The one killed is this very program, started again
//! with one test and a variable that says where.

#![cfg(unix)]

use super::make::Dice;
use super::{Desk, engine, second};
use crestgauge::case::{Case, Replace, read};
use crestgauge::editor::{Edit, OpenCase};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

const WHERE: &str = "CRESTGAUGE_TEST_KILLS";
const KILLS: usize = 1000;
const WORKERS: usize = 2;
/// Edits are made one a second by the clock that is handed in, so an interval is a number of edits.
const INTERVAL: u64 = 5;
const SAVE_EVERY: u64 = 17;

/// Which edit a case holds: its label counts them.
fn count(case: &Case) -> u64 {
    case.label.as_deref().map_or(0, |label| label.parse().unwrap())
}

/// The case with the latest work that can be had, as a user would recover it.
fn recovered(file: &Path) -> OpenCase {
    let mut open = OpenCase::open(file, engine(), None).unwrap();
    assert!(open.spoiled().is_empty(), "{:?}", open.spoiled());
    let best = open.offers().iter().max_by_key(|offer| count(&offer.unsaved.case));
    let best = best.filter(|offer| count(&offer.unsaved.case) > count(open.case()));
    if let Some(file) = best.map(|offer| offer.file.clone()) {
        open.accept(&file).unwrap();
    }
    let rest: Vec<_> = open.offers().iter().map(|offer| offer.file.clone()).collect();
    for file in rest {
        open.discard(&file).unwrap();
    }
    open
}

fn progress(folder: &Path) -> PathBuf {
    folder.join("progress")
}

/// Edits, autosaves and saves until it is killed.
#[test]
fn helper_that_is_killed() {
    let Some(folder) = std::env::var_os(WHERE).map(PathBuf::from) else { return };
    let mut open = recovered(&folder.join("tooth.case.json"));
    let mut progress = std::fs::OpenOptions::new().append(true).open(progress(&folder)).unwrap();
    for edit in count(open.case()) + 1.. {
        open.apply(Edit::Label(Some(edit.to_string()))).unwrap();
        // Written at once, one line a call: what a kill leaves of it is whole lines.
        progress.write_all(format!("{edit}\n").as_bytes()).unwrap();
        if open.autosave_is_due(second(edit), Duration::from_secs(INTERVAL)) {
            open.autosave(second(edit)).unwrap();
        }
        if edit % SAVE_EVERY == 0 {
            open.save(Replace::No).unwrap();
        }
    }
}

struct Killed(Child);

impl Drop for Killed {
    fn drop(&mut self) {
        // On a failed assertion too: nothing may go on working in the background.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn made(progress: &Path) -> Vec<u64> {
    std::fs::read_to_string(progress).unwrap().lines().map(|line| line.parse().unwrap()).collect()
}

/// One worker killed again and again over one case. Gives how many kills found work to recover.
fn kill_again_and_again(seed: u64, kills: usize) -> usize {
    let mut dice = Dice(seed);
    let desk = Desk::new();
    let folder = desk.file().parent().unwrap().to_path_buf();
    let progress = progress(&folder);
    let mut recoveries = 0;
    for kill in 0..kills {
        std::fs::write(&progress, "").unwrap();
        let helper = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "editor::kills::helper_that_is_killed"])
            .env(WHERE, &folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut helper = Killed(helper);
        let enough = 1 + dice.below(20);
        while made(&progress).len() < enough {
            assert!(helper.0.try_wait().unwrap().is_none(), "it ends only by being killed");
            std::thread::yield_now();
        }
        // From there to somewhere in the middle of the next few things it does.
        for _ in 0..dice.below(2000) {
            std::thread::yield_now();
        }
        drop(helper);
        let last = *made(&progress).last().unwrap();
        let on_disk = read(&desk.file()).unwrap_or_else(|why| panic!("kill {kill}: {why}")).case;
        let open = OpenCase::open(&desk.file(), engine(), None).unwrap();
        assert!(open.spoiled().is_empty(), "kill {kill}: {:?}", open.spoiled());
        let offered = open.offers().iter().map(|offer| count(&offer.unsaved.case)).max().unwrap_or(0);
        let kept = offered.max(count(&on_disk));
        assert!(kept + INTERVAL >= last, "kill {kill}: {kept} of {last} edits are left");
        // The last edit may have been made and not been written down as made.
        assert!(kept <= last + 1, "kill {kill}: {kept} of {last}");
        recoveries += usize::from(offered > count(&on_disk));
    }
    recoveries
}

#[test]
fn a_thousand_kills() {
    let recoveries: usize = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..WORKERS as u64)
            .map(|seed| scope.spawn(move || kill_again_and_again(seed, KILLS / WORKERS)))
            .collect();
        workers.into_iter().map(|worker| worker.join().unwrap()).sum()
    });
    assert!(recoveries > KILLS / 10, "{recoveries} kills left something to recover");
}
