//! What is asked, and what help shows.

use super::action::Action;
use super::app::Desk;
use super::command::{Command, Menu, keys_words};
use super::guide;
use super::opening::file_name;
use super::question::{Answer, Question, Then};
use super::report_pages::{audience_words, paper_words};
use super::session::Help;
use super::theme;
use super::within;
use super::work::Work;
use crate::wording::capital;
use eframe::egui::{self, Id, RichText};

/// What the endings of reports mean.
const ENDINGS: &str = "Its ending says what is written: .pdf pages, .png or .svg the annotated film alone (for the patient \
the sketch), and of the record .csv or .json its numbers, .dcm a structured report. Without one, pages.";

/// Draws the question that is asked, and the windows of help.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let asked_before = ui.data(|data| data.get_temp::<Kind>(asked()));
    match desk.session.question.clone() {
        Some(question) => {
            let kind = std::mem::discriminant(&question);
            ui.data_mut(|data| data.insert_temp(asked(), kind));
            ask(ui, desk, &question, Beginning(asked_before != Some(kind)));
        }
        None if asked_before.is_some() => {
            ui.data_mut(|data| data.remove::<Kind>(asked()));
            if desk.session.help.is_some() {
                within::come(ui);
            } else {
                go_on(ui, desk);
            }
        }
        None => {}
    }
    let helped_before = ui.data(|data| data.get_temp::<Option<Help>>(helped())).flatten();
    ui.data_mut(|data| data.insert_temp(helped(), desk.session.help));
    if helped_before != desk.session.help {
        within::leave(ui);
        match desk.session.help {
            None if desk.session.question.is_none() => go_on(ui, desk),
            // Two of them say themselves where it begins.
            None | Some(Help::Settings | Help::Practice) => {}
            Some(_) => within::come(ui),
        }
    }
    within::enter(ui, desk.session);
    match desk.session.help {
        Some(Help::Guide) => {
            let stays = guide::show(ui);
            desk.actions.extend((!stays).then_some(Action::Command(Command::Guide)));
        }
        Some(Help::Shortcuts) => shortcuts(ui, desk),
        Some(Help::About) => super::about::show(ui, desk),
        Some(Help::Settings) => {
            super::settings::show(ui, desk, Beginning(helped_before != desk.session.help));
        }
        Some(Help::Card) => super::chair_card::show(ui, desk),
        Some(Help::Practice) => {
            super::practice::drawn::window::show(ui, desk, Beginning(helped_before != desk.session.help));
        }
        Some(Help::Curves) => super::practice::drawn::curves::show(ui, desk),
        Some(Help::Agreement) => super::agreement::drawn::show(ui, desk),
        None => {}
    }
    within::end(ui, desk.session);
}

/// Whoever answered or read goes on where the work is.
fn go_on(ui: &egui::Ui, desk: &Desk<'_>) {
    if ui.memory(|memory| memory.focused().is_none()) {
        ui.memory_mut(|memory| memory.request_focus(super::keyboard::beside_worksheet(desk.session)));
    }
}

/// Where it is kept which window of help was open in the frame before.
fn helped() -> Id {
    Id::unique("the window of help that is open")
}

/// Which question it is, whatever has been typed into it.
type Kind = std::mem::Discriminant<Question>;

/// Where it is kept which question was asked in the frame before.
fn asked() -> Id {
    Id::unique("the question that is asked")
}

/// Whether a question or a window has just come up: only then it takes the keyboard, from wherever it was. One question may follow
/// another, and an Enter meant for the first must not find itself on a button of the second.
#[derive(Clone, Copy)]
pub(super) struct Beginning(bool);

impl Beginning {
    pub(super) fn at(self, control: &egui::Response) {
        if self.0 {
            control.request_focus();
        }
    }
}

fn ask(ui: &mut egui::Ui, desk: &mut Desk<'_>, question: &Question, beginning: Beginning) {
    let id = Id::unique("question").with(std::mem::discriminant(question));
    let modal = egui::Modal::new(id).show(ui.ctx(), |ui| {
        ui.set_max_width(520.0);
        match question {
            Question::Unsaved(then) => unsaved(ui, desk, then, beginning),
            Question::ChangedOnDisk { .. } => {
                ui.heading("Another program changed the case's file");
                ui.label("What it wrote and what stands here differ. Nothing is lost until you choose.");
                let choices = [
                    ("Save mine over it", Answer::Yes),
                    ("Take over what is there", Answer::TakeOver),
                    ("Save mine under another name…", Answer::OtherName),
                    ("Decide later", Answer::No),
                ];
                answers(ui, desk, &choices, Some((3, beginning)));
            }
            Question::StillWriting(file) => {
                ui.heading("A report is still being written");
                ui.label(format!("The program ends once {} is there.", file_name(file)));
                answers(ui, desk, &[("Stay here", Answer::No)], Some((0, beginning)));
            }
            Question::Finish { .. } | Question::EndRound { .. } => ask_of_practice(ui, desk, question, beginning),
            Question::Again => {
                ui.heading("Place again");
                ui.label(
                    "A new case on the same film and tooth, with nothing placed: the earlier points are hidden, so \
                     that a repeat is a repeat. The earlier case stays as it was saved.",
                );
                let choices = [
                    ("Keep its scale", Answer::Yes),
                    ("Place the scale anew, too", Answer::ScaleToo),
                    ("Stay here", Answer::No),
                ];
                answers(ui, desk, &choices, Some((0, beginning)));
            }
            Question::OtherFilm { points, why } => {
                ui.heading("This is another film");
                ui.label(format!(
                    "The case has {points} points on the film it names. They would stay at the same pixels, wherever \
                     the tooth is on this one."
                ));
                ui.label(capital(why));
                let choices = [
                    ("Keep the film the case names", Answer::No),
                    ("Take it all the same, and look at every point", Answer::Yes),
                ];
                answers(ui, desk, &choices, Some((0, beginning)));
            }
            Question::SaveName { name, why_not, exists, .. } => {
                ui.heading("Save the case as");
                // Enter pressed twice must not replace a file.
                typed(ui, desk, "Name of the case's file", name, exists.is_none(), beginning);
                said(ui, why_not.as_deref());
                said(ui, exists.as_ref().map(|_| "A file of this name exists. Replace it?"));
                ui.label("A file name can carry a patient's name; reports print the label instead.");
                let yes = if exists.is_some() { "Replace" } else { "Save" };
                let choices =
                    [(yes, Answer::Yes), ("Choose a place…", Answer::Choose), ("Do not save", Answer::No)];
                answers(ui, desk, &choices, None);
            }
            Question::ReportName { name, why_not, exists } => {
                ui.heading("Write the report");
                let remembered = &desk.session.remembered;
                let day = desk.session.reporting.day.map_or_else(|| "today".to_owned(), |day| day.to_string());
                ui.label(format!(
                    "For {}; pages on {}; the day on it: {day}.",
                    audience_words(remembered.audience),
                    paper_words(remembered.paper)
                ));
                typed(ui, desk, "Name of the report's file", name, exists.is_none(), beginning);
                said(ui, why_not.as_deref());
                said(ui, exists.as_ref().map(|_| "A file of this name exists. Replace it?"));
                ui.label(ENDINGS);
                ui.label("A file name can carry a patient's name; the report itself prints the label instead.");
                let yes = if exists.is_some() { "Replace" } else { "Write" };
                let choices =
                    [(yes, Answer::Yes), ("Choose a place…", Answer::Choose), ("Write nothing", Answer::No)];
                answers(ui, desk, &choices, None);
            }
            Question::OpenName { name, why_not, for_film } => {
                let (title, what) = if *for_film {
                    ("The film of this case", "Path of the film")
                } else {
                    ("Open a film or a case", "Path of the film or case")
                };
                ui.heading(title);
                typed(ui, desk, what, name, true, beginning);
                said(ui, why_not.as_deref());
                answers(ui, desk, &[("Open", Answer::Yes), ("Open nothing", Answer::No)], None);
            }
        }
    });
    if modal.should_close() {
        desk.ask(Action::Answer(Answer::No));
    }
}

/// What is asked of a placing for practice and of a round.
fn ask_of_practice(ui: &mut egui::Ui, desk: &mut Desk<'_>, question: &Question, beginning: Beginning) {
    match question {
        Question::Finish { open } => {
            let is_round = desk.session.work.as_ref().is_some_and(Work::is_of_round);
            ui.heading("Is that all?");
            let landmarks = if *open == 1 { "landmark is" } else { "landmarks are" };
            let (becomes, all_the_same) = if is_round {
                ("be lacking in this placing", "Keep it all the same")
            } else {
                ("count as missed", "Compare all the same")
            };
            ui.label(format!(
                "{open} {landmarks} neither placed nor said to be hidden or absent, and would {becomes}."
            ));
            let choices = [("Go on placing", Answer::No), (all_the_same, Answer::Yes)];
            answers(ui, desk, &choices, Some((0, beginning)));
        }
        Question::EndRound { kept, of } => {
            ui.heading("End the round?");
            ui.label(format!("{kept} of {of} placings are kept; the rest is not placed."));
            let choices = [("Go on with the round", Answer::No), ("End it here", Answer::Yes)];
            answers(ui, desk, &choices, Some((0, beginning)));
        }
        _ => {}
    }
}

fn unsaved(ui: &mut egui::Ui, desk: &mut Desk<'_>, then: &Then, beginning: Beginning) {
    ui.heading("The case is not saved");
    ui.label(format!("Save it before {}?", then.words()));
    let half = desk.session.work.as_ref().and_then(|work| work.open.half_placed());
    if let Some(half) = half.filter(|half| !half.points().is_empty()) {
        ui.label(format!(
            "The half-placed {} is not saved with it; finish it first to keep it.",
            half.what().words()
        ));
    }
    let choices =
        [("Save", Answer::Yes), ("Go on without saving", Answer::GoOnWithout), ("Stay here", Answer::No)];
    answers(ui, desk, &choices, Some((0, beginning)));
}

fn said(ui: &mut egui::Ui, words: Option<&str>) {
    if let Some(words) = words {
        ui.label(RichText::new(words).strong());
    }
}

fn typed(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    what: &str,
    name: &str,
    enter_answers: bool,
    beginning: Beginning,
) {
    let mut text = name.to_owned();
    let label = ui.label(what);
    let edit = ui.add(egui::TextEdit::singleline(&mut text).desired_width(500.0)).labelled_by(label.id);
    if edit.changed() {
        desk.ask(Action::Answer(Answer::Typed(text)));
    }
    let is_entered = edit.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    if is_entered {
        // The answer may be refused, and what is typed is mended then.
        edit.request_focus();
        if enter_answers {
            desk.ask(Action::Answer(Answer::Yes));
        }
    }
    beginning.at(&edit);
}

/// The answers as buttons; the keyboard begins at the one that `first` counts.
fn answers(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    choices: &[(&str, Answer)],
    first: Option<(usize, Beginning)>,
) {
    ui.add_space(8.0);
    ui.horizontal_wrapped(|ui| {
        for (at, (words, answer)) in choices.iter().enumerate() {
            let button = ui.button(*words);
            if button.clicked() {
                desk.ask(Action::Answer(answer.clone()));
            } else if let Some((first, beginning)) = first
                && first == at
            {
                beginning.at(&button);
            }
        }
    });
}

fn shortcuts(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let mut open = true;
    theme::window(ui.ctx(), "Shortcuts")
        .open(&mut open)
        .default_size([560.0, (ui.content_rect().height() - 120.0).max(160.0)])
        .show(ui.ctx(), |ui| {
            egui::ScrollArea::vertical().auto_shrink([false, true]).show(ui, |ui| {
                super::keyboard::pages(ui);
                for menu in Menu::ALL {
                    ui.label(RichText::new(menu.title()).strong());
                    egui::Grid::new(menu.title()).num_columns(2).striped(true).show(ui, |ui| {
                        for command in Command::ALL {
                            if command.menu() != menu || command.shortcuts().is_empty() {
                                continue;
                            }
                            let is_mac = ui.os().is_mac();
                            let keys: Vec<String> =
                                command.shortcuts().iter().map(|keys| keys_words(keys, is_mac)).collect();
                            ui.label(RichText::new(keys.join("  or  ")).monospace());
                            ui.label(format!("{}: {}", command.title(), command.hint()));
                            ui.end_row();
                        }
                    });
                    ui.add_space(6.0);
                }
                super::canvas::help(ui);
            });
        });
    if !open {
        desk.ask(Action::Command(Command::Shortcuts));
    }
}
