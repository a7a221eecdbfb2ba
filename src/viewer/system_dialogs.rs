//! The system's own dialogs, in which a file or a folder is chosen.

use super::neighbours::FILM_ENDINGS;
use super::question::Question;
use super::session::{Choosing, Place, Session};
use crate::report::Ending;
use eframe::egui;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// A dialog that is closed sooner was never seen.
const SOONEST_ANSWER: Duration = Duration::from_millis(250);

/// The dialog that is open, where any is, and whether there are any.
#[derive(Debug, Default)]
pub(super) struct SystemDialogs {
    chosen: Option<Chosen>,
    are_none: bool,
}

/// A dialog that is open.
#[derive(Debug)]
struct Chosen {
    choosing: Choosing,
    /// The case that was open when it was opened.
    of: Option<Instant>,
    receive: Receiver<Option<PathBuf>>,
    since: Instant,
}

impl SystemDialogs {
    /// A system that has none: names are typed.
    pub(super) const fn none() -> Self {
        Self { chosen: None, are_none: true }
    }

    /// Opens the dialog that is wanted. It is made here, on the window's thread, and awaited on another.
    pub(super) fn open(&mut self, context: &egui::Context, session: &mut Session) {
        let Some(choosing) = session.choosing.take() else { return };
        if self.are_none {
            session.no_dialog(choosing);
            return;
        }
        let mut dialog = rfd::AsyncFileDialog::new().set_title(title(choosing));
        let asked_name = match &session.question {
            Some(Question::SaveName { name, .. }) if choosing == Choosing::Save => {
                Some(Path::new(name.trim()))
            }
            Some(Question::ReportName { name, .. }) if choosing == Choosing::Report => {
                Some(Path::new(name.trim()))
            }
            _ => None,
        };
        let folder = asked_name.and_then(Path::parent).filter(|folder| folder.is_dir());
        if let Some(folder) = folder.map(Path::to_path_buf).or_else(|| session.folder_at_hand()) {
            dialog = dialog.set_directory(folder);
        }
        if let Some(name) = asked_name.and_then(Path::file_name) {
            dialog = dialog.set_file_name(name.to_string_lossy());
        }
        let (send, receive) = channel();
        let wake = context.clone();
        let answer = move |file: Option<rfd::FileHandle>| {
            // Nobody waits any more where another dialog was opened meanwhile.
            let _ = send.send(file.map(|file| file.path().to_path_buf()));
            wake.request_repaint();
        };
        match choosing {
            Choosing::Open | Choosing::Film => {
                let mut films = FILM_ENDINGS.to_vec();
                let mut name = "films";
                if choosing == Choosing::Open {
                    films.push("json");
                    name = "films and cases";
                }
                let asked = dialog.add_filter(name, &films).add_filter("all files", &["*"]).pick_file();
                std::thread::spawn(move || answer(pollster::block_on(asked)));
            }
            Choosing::Report => {
                let endings: Vec<&str> = Ending::ALL.iter().map(|(word, _)| *word).collect();
                let asked = dialog.add_filter("reports", &endings).save_file();
                std::thread::spawn(move || answer(pollster::block_on(asked)));
            }
            Choosing::Place(Place::History) => {
                let asked = dialog.add_filter("histories", &["jsonl"]).save_file();
                std::thread::spawn(move || answer(pollster::block_on(asked)));
            }
            Choosing::Place(_) => {
                let asked = dialog.pick_folder();
                std::thread::spawn(move || answer(pollster::block_on(asked)));
            }
            Choosing::Save => {
                let asked = dialog.add_filter("cases", &["json"]).save_file();
                std::thread::spawn(move || answer(pollster::block_on(asked)));
            }
        }
        let of = session.work.as_ref().map(|work| work.opened);
        self.chosen = Some(Chosen { choosing, of, receive, since: Instant::now() });
    }

    /// Takes in what was chosen.
    pub(super) fn take(&mut self, session: &mut Session) {
        let Some(Chosen { choosing, of, receive, since }) = &self.chosen else { return };
        if !matches!(choosing, Choosing::Save | Choosing::Report) && session.question.is_some() {
            // What is asked comes first; the answer of the dialog keeps.
            return;
        }
        let answer = match receive.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => None,
        };
        let (choosing, of, lasted) = (*choosing, *of, since.elapsed());
        self.chosen = None;
        match answer {
            Some(file) => session.chosen(choosing, of, file),
            // Nobody is as quick: this system has no such dialog.
            None if lasted < SOONEST_ANSWER => session.no_dialog(choosing),
            None => {}
        }
    }
}

/// What stands over a dialog.
const fn title(choosing: Choosing) -> &'static str {
    match choosing {
        Choosing::Open => "Open a film or a case",
        Choosing::Film => "The film of the case",
        Choosing::Save => "Save the case as",
        Choosing::Report => "Write the report to",
        Choosing::Place(Place::History) => "File of the history",
        Choosing::Place(Place::Practice) => "Folder of cases to practise on",
        Choosing::Place(Place::Round) => "Folder for placings",
        Choosing::Place(Place::Agreement) => "Folder of repeated cases",
        Choosing::Place(Place::Out) => "Folder for tables and plots",
    }
}
