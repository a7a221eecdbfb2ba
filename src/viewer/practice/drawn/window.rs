//! The window in which it is said what to practise on.

use crate::phantom::{Amount, EXERCISE_WIRE, ToothKind};
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use crate::viewer::dialogs::Beginning;
use crate::viewer::practice::wishes::REPEATS;
use crate::viewer::practice::{Ask, Source, Wishes};
use crate::viewer::session::{Choosing, Place};
use crate::viewer::theme;
use crate::viewer::worksheet::{choice, row};
use eframe::egui::{self, Align2, Button, Id, RichText, ScrollArea, TextEdit};
use std::path::Path;

/// Draws it; the keyboard begins at the source that is chosen.
pub(in crate::viewer) fn show(ui: &egui::Ui, desk: &mut Desk<'_>, beginning: Beginning) {
    let mut open = true;
    let screen = ui.content_rect();
    let before = &desk.session.remembered.practice;
    let mut wishes = before.clone();
    theme::window(ui.ctx(), "Practice")
        .open(&mut open)
        .default_width(520.0_f32.min(screen.width() - 40.0))
        .default_height((screen.height() - 90.0).min(680.0))
        .pivot(Align2::CENTER_CENTER)
        .default_pos(screen.center())
        .show(ui.ctx(), |ui| {
            ScrollArea::vertical().max_height((screen.height() - 120.0).max(160.0)).show(ui, |ui| {
                what(ui, desk, &mut wishes, beginning);
            });
        });
    if wishes != desk.session.remembered.practice {
        desk.actions.insert(0, Action::Practice(Ask::Wish(Box::new(wishes))));
    }
    if !open {
        desk.ask(Action::Command(Command::Practise));
    }
}

fn what(ui: &mut egui::Ui, desk: &mut Desk<'_>, wishes: &mut Wishes, beginning: Beginning) {
    ui.label(
        "Place the landmarks of a film whose truth is known, without seeing what comes of them; then see yours beside it.",
    );
    ui.add_space(6.0);
    ui.label(RichText::new("Films").strong());
    for (source, words) in [
        (Source::Made, "Made for it: a tooth that never was, another one each time"),
        (Source::Folder, "From a folder of cases with their truth, or an experts\u{2019} consensus"),
    ] {
        let radio = ui.radio(wishes.source == source, words);
        if wishes.source == source {
            beginning.at(&radio);
        }
        if radio.clicked() {
            wishes.source = source;
        }
    }
    match wishes.source {
        Source::Made => made(ui, wishes),
        Source::Folder => {
            row(ui, "Folder", |ui| {
                path(ui, desk, "Folder of cases", &mut wishes.folder, "", Choosing::Place(Place::Practice));
            });
        }
    }
    ui.checkbox(&mut wishes.scale_is_given, "The scale is given").on_hover_text(format!(
        "without it, what is of known size on the film is placed, too: on a made film a wire of {} mm beside the tooth",
        EXERCISE_WIRE.get()
    ));
    row(ui, "Your name", |ui| {
        let field = ui.add(TextEdit::singleline(&mut wishes.student).desired_width(220.0));
        field.accessible_name("Your name, as it stands in the history");
    });
    row(ui, "History", |ui| {
        let usual = Wishes::default().history_file(desk.session.state_folder.as_deref());
        let usual = usual.map(|file| file.display().to_string()).unwrap_or_default();
        path(ui, desk, "File of the history", &mut wishes.history, &usual, Choosing::Place(Place::History));
    });
    ui.horizontal_wrapped(|ui| {
        if ui.add(Button::new("Begin")).on_hover_text("makes the film ready and shows it").clicked() {
            desk.ask(Action::Practice(Ask::Begin));
        }
        let curves = ui.button(Command::Curves.title()).on_hover_text(Command::Curves.hint());
        if curves.clicked() {
            desk.ask(Action::Command(Command::Curves));
        }
    });
    ui.separator();
    round(ui, desk, wishes);
}

fn made(ui: &mut egui::Ui, wishes: &mut Wishes) {
    row(ui, "Teeth", |ui| {
        let kinds: Vec<_> =
            ToothKind::ALL.iter().map(|(_, kind)| (kind_words(*kind).to_owned(), *kind)).collect();
        let mut kind = wishes.kind;
        choice(ui, "Teeth", None, &kinds, Some(kind), |picked| kind = picked.unwrap_or(kind));
        wishes.kind = kind;
    });
    let dials = &mut wishes.difficulty;
    for (name, hint, dial) in [
        ("Noise", "few quanta and much scatter", &mut dials.noise),
        (
            "Angulation",
            "beam inclined and receptor tilted: lengths are drawn out or shortened",
            &mut dials.angulation,
        ),
        ("Curved roots", "how far roots bend", &mut dials.bend),
        (
            "Overlap",
            "beam turned: neighbours and roots lie over one another, septa over angular defects",
            &mut dials.overlap,
        ),
    ] {
        row(ui, name, |ui| {
            ui.horizontal_wrapped(|ui| {
                for (word, amount) in Amount::ALL {
                    let button = Button::selectable(*dial == *amount, *word).frame_when_inactive(true);
                    let button = ui.add(button).on_hover_text(hint);
                    if button.accessible_name(format!("{name}: {word}")).clicked() {
                        *dial = *amount;
                    }
                }
            });
        });
    }
}

fn kind_words(kind: ToothKind) -> &'static str {
    match kind {
        ToothKind::Any => "any tooth",
        ToothKind::Incisor => "incisors",
        ToothKind::Canine => "canines",
        ToothKind::Premolar => "premolars",
        ToothKind::Molar => "molars",
    }
}

/// A path that is typed or chosen.
pub(in crate::viewer) fn path(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    name: &str,
    typed: &mut String,
    usual: &str,
    choosing: Choosing,
) {
    ui.horizontal_wrapped(|ui| {
        let width = (ui.available_width() - 90.0).clamp(120.0, 300.0);
        let field =
            TextEdit::singleline(typed).id(Id::unique(("path", name))).desired_width(width).hint_text(usual);
        ui.add(field).accessible_name(name);
        let button = ui.button("Choose\u{2026}").accessible_name(format!("Choose: {name}"));
        if button.clicked() {
            desk.ask(Action::Choose(choosing));
        }
    });
}

fn round(ui: &mut egui::Ui, desk: &mut Desk<'_>, wishes: &mut Wishes) {
    ui.label(RichText::new("A round of repeats, blinded and shuffled").strong());
    ui.label(
        "Every film of a folder of cases several times, in an order nobody knows; each placing is kept as a case, and at the \
         end they are compared with each other. No truth is needed.",
    );
    row(ui, "Folder", |ui| match (wishes.source, Path::new(wishes.folder.trim()).file_name()) {
        (Source::Made, _) => {
            path(ui, desk, "Folder of cases", &mut wishes.folder, "", Choosing::Place(Place::Practice));
        }
        (Source::Folder, Some(name)) => {
            ui.label(format!("the one above: {}", name.to_string_lossy()));
        }
        (Source::Folder, None) => {
            ui.label("the one above, once it is named");
        }
    });
    row(ui, "Each film", |ui| {
        let field = egui::DragValue::new(&mut wishes.repeats).range(REPEATS).suffix(" times");
        ui.add(field).accessible_name("How often each film comes");
    });
    row(ui, "Placings go to", |ui| {
        let usual =
            desk.session.state_folder.as_ref().map(|state| state.join("rounds").display().to_string());
        let usual = usual.unwrap_or_default();
        path(
            ui,
            desk,
            "Folder for placings",
            &mut wishes.round_folder,
            &usual,
            Choosing::Place(Place::Round),
        );
    });
    if ui.button("Begin a round").clicked() {
        desk.ask(Action::Practice(Ask::BeginRound));
    }
}
