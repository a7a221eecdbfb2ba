//! Agreement in the window: which cases are compared, what came of it, and what of it is looked at. No drawing.

pub(super) mod drawn;
mod key;

use super::action::Action;
use super::neighbours::CASE_ENDING;
use super::opening::file_name;
use super::session::{Help, Session};
use crate::agreement::{Agreement, Compared, Comparison, Component, Placing, agree};
use crate::calibration::Scale;
use crate::case::{Replace, write_atomically};
use crate::editor::{OwnPlacing, own_placing, read_sittings};
use crate::report::{
    AGREEMENT_HEADER, Plot, Style, agreement_csv, agreement_plots, agreement_text, csv_record, pair_plot,
};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// More cases than are compared in the window.
const MOST_CASES: usize = 20_000;

/// What is asked for about agreement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ask {
    /// The folder of cases, as it is typed.
    Folder(String),
    /// Reads it and compares.
    Read,
    /// Looks at one table, one quantity of it, one pair of its columns.
    Look(Look),
    /// Takes somebody's own placing into the open case: which of those that are given.
    TakePlacing(usize),
    /// Where files are written, as it is typed.
    OutFolder(String),
    /// Writes files.
    Write(Written),
    /// Writes what the cases agree on, as a key for practice.
    WriteKey,
    /// Puts the tables on the clipboard, as text.
    Copy,
}

/// What of an agreement is looked at, each counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// The table.
    pub comparison: usize,
    /// What was compared: a landmark, or a measurement.
    pub quantity: usize,
    /// The two columns.
    pub pair: usize,
}

/// What can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// Tables for people.
    Text,
    /// One row a statistic.
    Csv,
    /// The plot that is shown.
    Plot,
    /// Every plot.
    Plots,
}

/// What came of comparing.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The folder the cases came from: files go there where no other is named.
    pub folder: PathBuf,
    /// The agreement, or why there is none.
    pub agreement: Result<Agreement, String>,
    /// Cases that could not be used, each with the reason.
    pub left_out: Vec<String>,
    /// The files that were read.
    pub files: Vec<PathBuf>,
}

/// What the window keeps of agreement.
#[derive(Debug, Default)]
pub struct AgreementDesk {
    /// The folder of cases, as it is typed.
    pub folder: String,
    /// Where files are written, as it is typed; empty for the folder of cases.
    pub out_folder: String,
    /// What came of comparing.
    pub outcome: Option<Arc<Outcome>>,
    /// What of it is looked at.
    pub look: Look,
    reading: Option<Receiver<Outcome>>,
}

/// One thing that can be looked at: a landmark, or a measurement.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// Its statistics; of a landmark those along the tooth.
    pub first: &'a Compared,
    /// Of a landmark those across it.
    pub across: Option<&'a Compared>,
}

/// The things of a table, in its order.
pub fn subjects(comparison: &Comparison) -> Vec<Subject<'_>> {
    let of = |compared: &'_ Compared| compared.quantity.component() != Some(Component::Across);
    comparison
        .quantities
        .iter()
        .filter(|compared| of(compared))
        .map(|first| {
            let is_other = |it: &&Compared| {
                it.quantity.id() == first.quantity.id()
                    && it.quantity.component() == Some(Component::Across)
                    && first.quantity.component().is_some()
            };
            Subject { first, across: comparison.quantities.iter().find(is_other) }
        })
        .collect()
}

impl AgreementDesk {
    /// Whether cases are being read.
    pub const fn is_reading(&self) -> bool {
        self.reading.is_some()
    }

    /// The agreement, where there is one.
    pub fn agreement(&self) -> Option<&Agreement> {
        self.outcome.as_ref()?.agreement.as_ref().ok()
    }

    /// The table that is looked at.
    pub fn comparison(&self) -> Option<&Comparison> {
        self.agreement()?.comparisons.get(self.look.comparison)
    }

    /// The folder files are written into: the one named for them, else where the cases that are shown came from.
    fn files_go_to(&self) -> PathBuf {
        match (self.out_folder.trim(), &self.outcome) {
            ("", Some(outcome)) => outcome.folder.clone(),
            (named, _) => PathBuf::from(named),
        }
    }

    /// The plot that is shown, with the name of its file.
    pub fn plot(&self) -> Option<(String, Plot)> {
        let comparison = self.comparison()?;
        let subject = subjects(comparison).get(self.look.quantity).copied()?;
        pair_plot(comparison, &subject.first.quantity, self.look.pair)
    }

    /// Holds what is looked at within what there is.
    fn hold(&mut self) {
        let tables = self.agreement().map_or(0, |it| it.comparisons.len());
        self.look.comparison = self.look.comparison.min(tables.saturating_sub(1));
        let Some(comparison) = self.comparison() else {
            self.look = Look::default();
            return;
        };
        let of = subjects(comparison);
        let (count, pairs) = (of.len(), of.first().map_or(0, |subject| subject.first.pairs.len()));
        self.look.quantity = self.look.quantity.min(count.saturating_sub(1));
        self.look.pair = self.look.pair.min(pairs.saturating_sub(1));
    }
}

impl Session {
    /// Takes in what is asked for about agreement.
    pub(super) fn take_agreement(&mut self, ask: Ask) {
        match ask {
            Ask::Folder(folder) => self.agreement.folder = folder,
            Ask::Read => {
                let folder = PathBuf::from(self.agreement.folder.trim());
                match cases_in(&folder) {
                    Ok(files) => self.compare_files(folder, files),
                    Err(why) => self.problem(why),
                }
            }
            Ask::Look(look) => {
                self.agreement.look = look;
                self.agreement.hold();
            }
            Ask::TakePlacing(at) => self.take_placing(at),
            Ask::OutFolder(folder) => self.agreement.out_folder = folder,
            Ask::Write(what) => self.write_agreement(what),
            Ask::WriteKey => self.write_key(),
            Ask::Copy => {
                let text = self.agreement.agreement().map(|it| agreement_text(it, Style::Plain));
                if let Some(text) = text {
                    self.copied = Some(text);
                    self.done("copied the tables".to_owned());
                }
            }
        }
    }

    /// Compares case files of a folder, and opens the view of it.
    pub(super) fn compare_files(&mut self, folder: PathBuf, files: Vec<PathBuf>) {
        self.agreement.folder = folder.display().to_string();
        let (send, receive) = channel();
        let (engine, wake) = (Arc::clone(&self.engine), Arc::clone(&self.wake));
        std::thread::spawn(move || {
            let mut left_out = Vec::new();
            let mut sittings = Vec::new();
            for read in read_sittings(&files, None, &engine.library, |_| {}) {
                match read {
                    Ok(sitting) => sittings.push(sitting),
                    Err(why) => left_out.push(why),
                }
            }
            let agreement = agree(sittings).map_err(|why| why.to_string());
            // Nobody waits any more where other cases are read meanwhile.
            let _ = send.send(Outcome { folder, agreement, left_out, files });
            wake();
        });
        self.agreement.reading = Some(receive);
        self.agreement.outcome = None;
        self.help = Some(Help::Agreement);
    }

    /// Takes in what reading came to.
    pub(super) fn take_agreement_read(&mut self) {
        let Some(receive) = &self.agreement.reading else { return };
        let outcome = match receive.try_recv() {
            Ok(outcome) => outcome,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => {
                let folder = PathBuf::from(self.agreement.folder.trim());
                let agreement = Err("reading was broken off".to_owned());
                Outcome { folder, agreement, left_out: Vec::new(), files: Vec::new() }
            }
        };
        self.agreement.reading = None;
        self.agreement.outcome = Some(Arc::new(outcome));
        self.agreement.hold();
    }

    fn take_placing(&mut self, at: usize) {
        let Some(outcome) = self.agreement.outcome.clone() else { return };
        let placing: Option<&Placing> =
            outcome.agreement.as_ref().ok().and_then(|agreement| agreement.placing.get(at));
        let (Some(placing), Some(work)) = (placing, &self.work) else {
            self.problem("open the case that is to be reckoned with it first".to_owned());
            return;
        };
        let numbers = work.numbers.as_ref().as_ref();
        let scale = numbers.ok().and_then(|numbers| numbers.measured.scale.as_ref().ok());
        match own_placing(work.open.case(), placing, scale.map(Scale::axial)) {
            Ok(OwnPlacing { edit, of_its_own, of_all }) => {
                if let Some(refused) = work.open.objection(&edit) {
                    self.problem(refused.to_string());
                    return;
                }
                self.take(Action::Edit(edit));
                let rarely = match of_all {
                    0 => String::new(),
                    count => format!(" ({count} have none of their own)"),
                };
                self.done(format!(
                    "the case reckons with a placing sd of {:.3} mm, and with an own one at {of_its_own} landmarks{rarely}; Undo takes it back",
                    placing.placing_mm.sd.value
                ));
            }
            Err(why) => self.problem(why.to_string()),
        }
    }

    fn write_agreement(&mut self, what: Written) {
        let desk = &self.agreement;
        let Some(agreement) = desk.agreement() else { return };
        let folder = desk.files_go_to();
        let files: Vec<(String, String)> = match what {
            Written::Text => vec![("agreement.txt".to_owned(), agreement_text(agreement, Style::Plain))],
            Written::Csv => {
                let mut text = String::new();
                csv_record(&mut text, AGREEMENT_HEADER);
                vec![("agreement.csv".to_owned(), text + &agreement_csv(agreement))]
            }
            Written::Plot => desk.plot().into_iter().map(|(name, plot)| (name, plot.svg())).collect(),
            Written::Plots => {
                let plots = agreement.comparisons.iter().flat_map(agreement_plots);
                plots.map(|(name, plot)| (name, plot.svg())).collect()
            }
        };
        if let Err(error) = std::fs::create_dir_all(&folder) {
            self.problem(format!("{}: cannot be made: {error}", folder.display()));
            return;
        }
        let mut written = Vec::new();
        for (name, text) in files {
            match write_atomically(&folder.join(&name), text.as_bytes(), Replace::No) {
                Ok(()) => written.push(name),
                Err(why) => self.problem(why.to_string()),
            }
        }
        match written.as_slice() {
            [] => {}
            [only] => self.done(format!("wrote {only} in {}", folder.display())),
            several => self.done(format!("wrote {} files in {}", several.len(), folder.display())),
        }
    }
}

/// The cases of a folder and of the folders in it: one folder an observer or a sitting is usual.
fn cases_in(folder: &Path) -> Result<Vec<PathBuf>, String> {
    if folder.as_os_str().is_empty() {
        return Err("name the folder of repeated cases first".to_owned());
    }
    let listed = |folder: &Path| -> Result<Vec<PathBuf>, String> {
        let entries = std::fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        Ok(entries.filter_map(Result::ok).map(|entry| entry.path()).take(MOST_CASES).collect())
    };
    let is_case = |file: &Path| {
        let name = file_name(file);
        name.ends_with(CASE_ENDING) && !name.starts_with('.')
    };
    let mut files = Vec::new();
    for entry in listed(folder)? {
        if entry.is_dir() {
            files.extend(listed(&entry).unwrap_or_default().into_iter().filter(|file| is_case(file)));
        } else if is_case(&entry) {
            files.push(entry);
        }
    }
    files.sort();
    files.truncate(MOST_CASES);
    if files.is_empty() { Err(format!("{}: holds no case", folder.display())) } else { Ok(files) }
}
