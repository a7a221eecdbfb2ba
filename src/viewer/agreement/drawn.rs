//! The window of agreement: which cases, what came of them, the plot, and what can be done with it.

use super::{Ask, Look, Written, subjects};
use crate::agreement::{Agreement, Between, Compared, Comparison, Quantity};
use crate::report::{StatisticRow, statistic_rows, without_axis_words};
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use crate::viewer::practice::drawn::window::path;
use crate::viewer::session::{Choosing, Place};
use crate::viewer::worksheet::{choice, row, scrolled};
use crate::viewer::{plot_drawing, theme};
use crate::wording::{capital, list};
use eframe::egui::{self, Align2, Grid, Label, RichText, ScrollArea};

/// Draws it.
pub(in crate::viewer) fn show(ui: &egui::Ui, desk: &mut Desk<'_>) {
    let mut open = true;
    let screen = ui.content_rect();
    theme::window(ui.ctx(), "Agreement of repeats")
        .open(&mut open)
        .default_width((screen.width() - 80.0).min(860.0))
        .default_height((screen.height() - 90.0).min(680.0))
        .pivot(Align2::CENTER_CENTER)
        .default_pos(screen.center())
        .show(ui.ctx(), |ui| {
            // What came of other cases is read from its beginning.
            let of = desk.session.agreement.outcome.as_ref().map(std::sync::Arc::as_ptr);
            let whole = ScrollArea::vertical().id_salt(of).max_height((screen.height() - 120.0).max(160.0));
            whole.show(ui, |ui| {
                what(ui, desk);
                // After the plot, which arrow keys move by itself.
                crate::viewer::keyboard::pages(ui);
            });
        });
    if !open {
        desk.ask(Action::Command(Command::Agreement));
    }
}

fn what(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    ui.label("Repeated cases of the same films, by one observer or by several. Folders in the folder are read, too.");
    let mut folder = session.agreement.folder.clone();
    row(ui, "Cases", |ui| {
        path(ui, desk, "Folder of repeated cases", &mut folder, "", Choosing::Place(Place::Agreement));
        if ui.button("Compare").clicked() {
            desk.ask(Action::Agreement(Ask::Read));
        }
    });
    if folder != session.agreement.folder {
        desk.actions.insert(0, Action::Agreement(Ask::Folder(folder)));
    }
    if session.agreement.is_reading() {
        ui.label("Reading the cases.");
    }
    let Some(outcome) = session.agreement.outcome.clone() else { return };
    for why in &outcome.left_out {
        ui.label(RichText::new(format!("Left out: {why}")).color(theme::caution(ui.visuals().dark_mode)));
    }
    match &outcome.agreement {
        Err(why) => {
            ui.label(RichText::new(format!("Nothing is compared: {why}")).strong());
        }
        Ok(agreement) => found(ui, desk, agreement),
    }
}

fn found(ui: &mut egui::Ui, desk: &mut Desk<'_>, agreement: &Agreement) {
    let names: Vec<String> = agreement.observers.iter().map(|observer| observer.name.clone()).collect();
    ui.label(
        RichText::new(format!(
            "{} cases of {} teeth on {} films by {}",
            agreement.cases,
            agreement.teeth,
            agreement.films,
            list(&names)
        ))
        .strong(),
    );
    for [first, second] in &agreement.identical {
        ui.label(format!("{first} and {second} hold the very same points: a copy is no repeat."));
    }
    if agreement.teeth_without_axis > 0 {
        ui.label(format!("{}.", without_axis_words(agreement.teeth_without_axis)));
    }
    let look = desk.session.agreement.look;
    let tables: Vec<(String, usize)> =
        agreement.comparisons.iter().enumerate().map(|(at, table)| (table_words(table), at)).collect();
    row(ui, "Table", |ui| {
        choice(ui, "Table", None, &tables, Some(look.comparison), |at| {
            let comparison = at.unwrap_or(look.comparison);
            desk.ask(Action::Agreement(Ask::Look(Look { comparison, ..look })));
        });
    });
    if let Some(comparison) = desk.session.agreement.comparison() {
        table(ui, desk, comparison, look);
    }
    ui.separator();
    placing(ui, desk, agreement);
    ui.separator();
    key(ui, desk);
    ui.separator();
    write(ui, desk);
}

fn table_words(comparison: &Comparison) -> String {
    match (comparison.between, &comparison.observer) {
        (Between::Sittings, Some(observer)) => format!("{observer} with themselves"),
        _ => "between observers, first sittings".to_owned(),
    }
}

fn table(ui: &mut egui::Ui, desk: &mut Desk<'_>, comparison: &Comparison, look: Look) {
    let subjects = subjects(comparison);
    let words: Vec<(String, usize)> = subjects
        .iter()
        .enumerate()
        .map(|(at, subject)| (capital(&Quantity::words_of(subject.first.quantity.id())), at))
        .collect();
    row(ui, "Of what", |ui| {
        choice(ui, "Landmark or measurement", None, &words, Some(look.quantity), |at| {
            let quantity = at.unwrap_or(look.quantity);
            desk.ask(Action::Agreement(Ask::Look(Look { quantity, ..look })));
        });
    });
    let Some(subject) = subjects.get(look.quantity) else { return };
    if subject.first.pairs.len() > 1 {
        let pairs: Vec<(String, usize)> = subject
            .first
            .pairs
            .iter()
            .enumerate()
            .map(|(at, pair)| (format!("{} and {}", pair.first, pair.second), at))
            .collect();
        row(ui, "Columns", |ui| {
            choice(ui, "Two columns", None, &pairs, Some(look.pair), |at| {
                let pair = at.unwrap_or(look.pair);
                desk.ask(Action::Agreement(Ask::Look(Look { pair, ..look })));
            });
        });
    }
    let seen = comparison.visibility.iter().find(|row| row.landmark == subject.first.quantity.id());
    if let Some(seen) = seen.filter(|row| row.disputed > 0) {
        ui.label(format!(
            "Placed in one and marked hidden or absent in another on {} of {} teeth.",
            seen.disputed,
            seen.disputed + seen.placed + seen.unseen
        ));
    }
    match subject.across {
        None => statistics(ui, "statistics", subject.first, look.pair),
        Some(across) => {
            ui.label(RichText::new("Along the tooth, apical positive").strong());
            statistics(ui, "along", subject.first, look.pair);
            ui.label(RichText::new("Across it, distal positive").strong());
            statistics(ui, "across", across, look.pair);
        }
    }
    match desk.session.agreement.plot() {
        Some((_, plot)) => {
            let area = ScrollArea::horizontal().id_salt("plot");
            scrolled(ui, "the plot; arrow keys move it sideways", area, |ui| plot_drawing::show(ui, &plot));
        }
        None => {
            ui.label("There is no plot: the limits of agreement are withheld.");
        }
    }
}

fn statistics(ui: &mut egui::Ui, id: &str, compared: &Compared, pair: usize) {
    let teeth = if compared.n == 1 { "tooth" } else { "teeth" };
    ui.label(format!("{} {teeth} read at least twice, {} in every column", compared.n, compared.complete));
    Grid::new(("statistics", id)).num_columns(2).striped(true).show(ui, |ui| {
        for StatisticRow { name, words, is_given } in statistic_rows(compared, pair) {
            ui.label(name);
            let words = if is_given {
                RichText::new(words)
            } else {
                RichText::new(format!("none: {words}")).italics()
            };
            ui.add(Label::new(words).wrap());
            ui.end_row();
        }
    });
}

fn placing(ui: &mut egui::Ui, desk: &mut Desk<'_>, agreement: &Agreement) {
    ui.label(RichText::new("One\u{2019}s own placing").strong());
    if agreement.placing.is_empty() {
        ui.label("Nobody placed the same landmark of a tooth twice.");
    }
    for (at, placing) in agreement.placing.iter().enumerate() {
        let whose = placing.observer.clone().unwrap_or_else(|| "all who repeated".to_owned());
        let [low, high] = placing.placing_mm.sd.interval;
        ui.label(format!(
            "{whose}: {:.3} mm (95 % {low:.3} to {high:.3}) on each axis over {} landmarks",
            placing.placing_mm.sd.value,
            placing.landmarks.len()
        ));
        let can = desk.session.work.as_ref().is_some_and(|work| !work.hides_results());
        let button = egui::Button::new(format!("Use as placing sd in the open case: {whose}"));
        let button = ui.add_enabled(can, button).on_hover_text(
            "one step of undo: placing_mm over all landmarks, and sd_px at each landmark that was repeated often enough",
        );
        if button.on_disabled_hover_text("open the case that is to be reckoned with it first").clicked() {
            desk.ask(Action::Agreement(Ask::TakePlacing(at)));
        }
    }
}

fn key(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    ui.label(RichText::new("A key for practice").strong());
    let button = ui.button("Write the consensus as a key").on_hover_text(
        "of cases of one tooth on one film: each landmark at the mean of its placings, with the sd of that mean; what they do not \
         agree on is left out and named. It goes where files go",
    );
    if button.clicked() {
        desk.ask(Action::Agreement(Ask::WriteKey));
    }
}

fn write(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    ui.label(RichText::new("For a thesis").strong());
    let mut folder = session.agreement.out_folder.clone();
    row(ui, "Files go to", |ui| {
        let of_cases = session.agreement.outcome.as_ref().map(|outcome| outcome.folder.display().to_string());
        let usual = of_cases.unwrap_or_default();
        path(ui, desk, "Folder for tables and plots", &mut folder, &usual, Choosing::Place(Place::Out));
    });
    if folder != session.agreement.out_folder {
        desk.actions.insert(0, Action::Agreement(Ask::OutFolder(folder)));
    }
    ui.horizontal_wrapped(|ui| {
        for (words, what) in [
            ("Write tables as text", Written::Text),
            ("Write statistics as CSV", Written::Csv),
            ("Write this plot as SVG", Written::Plot),
            ("Write every plot as SVG", Written::Plots),
        ] {
            if ui.button(words).clicked() {
                desk.ask(Action::Agreement(Ask::Write(what)));
            }
        }
        if ui.button("Copy the tables").clicked() {
            desk.ask(Action::Agreement(Ask::Copy));
        }
    });
}
