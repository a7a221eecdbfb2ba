//! What was placed beside the truth, in words and numbers: landmarks, measurements, verdicts.

use super::vectors;
use crate::practice::{LandmarkScore, MeasurementError, across_words};
use crate::quantity::Unit;
use crate::report::{
    SAFETY, changed_criterion, not_counted_words, outcomes_words, scored_name, scored_verdict,
    set_right_words, unmeasured_in_short, unmeasured_words,
};
use crate::viewer::action::{Action, Look};
use crate::viewer::app::Desk;
use crate::viewer::keyboard;
use crate::viewer::practice::{Ask, Compared};
use crate::viewer::theme;
use crate::viewer::worksheet::FIRST;
use crate::wording::{capital, signed};
use eframe::egui::{self, Align, Button, Id, Label, Layout, Rect, RichText, ScrollArea, vec2};

/// Draws it in the worksheet's place.
pub(in crate::viewer) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let Some(work) = &desk.session.work else { return };
    let Some((practice, compared)) = work.shown_comparison() else { return };
    let (before, compared) = (practice.pointed, compared.clone());
    let criteria = &work.open.engine().criteria;
    let mut pointed = None;
    ScrollArea::vertical().id_salt(("comparison", work.opened)).auto_shrink([false, false]).show(ui, |ui| {
        // Below the last button there is nothing the keyboard could go to. A window that lies over it scrolls by the same keys.
        if desk.session.help.is_none() && desk.session.question.is_none() {
            keyboard::pages(ui);
        }
        egui::Frame::new().inner_margin(egui::Margin { right: 8, ..Default::default() }).show(ui, |ui| {
            let score = &compared.score;
            if let Some(words) = compared.changed_words(work.open.case()) {
                ui.label(RichText::new(words).strong().color(theme::caution(ui.visuals().dark_mode)));
            }
            summary(ui, &compared);
            vectors::key(ui);
            let copy =
                ui.button("Copy the comparison").on_hover_text("as text, in the words of crestgauge score");
            if copy.clicked() {
                desk.ask(Action::Practice(Ask::CopyComparison));
            }
            heading(ui, "Landmarks: your error, mm");
            for at in 0..score.landmarks.len() {
                if landmark(ui, desk, &compared, at, before == Some(at)) {
                    pointed = Some(at);
                }
            }
            heading(ui, "Measurements: by the key, by you, error");
            measurements(ui, &score.measurements);
            heading(ui, "Verdicts that differ");
            if score.verdicts.is_empty() {
                ui.label("No verdict differs from what the key\u{2019}s landmarks and scale would give.");
            }
            for change in &score.verdicts {
                ui.label(RichText::new(capital(&changed_criterion(change, criteria))).strong());
                let key = scored_verdict(change.key, change.key_class.as_deref());
                let own = scored_verdict(change.case, change.case_class.as_deref());
                ui.label(format!(
                    "{key} by the key, {own} by you; {}",
                    set_right_words(&change.set_right_by)
                ));
            }
            ui.separator();
            ui.label(&compared.kept);
            ui.label(RichText::new(SAFETY).small().color(theme::faint(ui.visuals().dark_mode)));
        });
    });
    if pointed != before {
        desk.ask(Action::Practice(Ask::PointLine(pointed)));
    }
}

fn heading(ui: &mut egui::Ui, words: &str) {
    ui.add_space(8.0);
    ui.label(RichText::new(words).strong());
}

fn summary(ui: &mut egui::Ui, compared: &Compared) {
    let score = &compared.score;
    ui.label(RichText::new(outcomes_words(&score.landmarks)).strong());
    if let Some(words) = not_counted_words(&score.landmarks) {
        ui.label(words);
    }
    if compared.is_consensus {
        ui.label("Against the consensus of experts, which is uncertain itself: an error of up to 2.4 sd is no error.");
    }
    if !score.same_film_known {
        ui.label("Key and case do not both name their film; make sure it is the same one.");
    }
    for landmark in &score.exchanged_sides {
        let name = capital(&scored_name(landmark, None));
        ui.label(format!("{name}: mesial and distal look exchanged."));
    }
}

/// What became of a landmark, in words.
pub(super) fn line_words(line: &LandmarkScore) -> String {
    error_words(line).unwrap_or_else(|| line.words().to_owned())
}

/// An error in words: "0.31 apical, 0.05 distal".
fn error_words(line: &LandmarkScore) -> Option<String> {
    let error = line.error.summed()?;
    let in_sd = line.error.in_sd().map(|it| format!(" ({:.1} sd)", it.distance)).unwrap_or_default();
    Some(format!(
        "{:.2} {}, {:.2} {}{in_sd}",
        error.along_mm.abs(),
        line.error.along_word(),
        error.across_mm.abs(),
        across_words(error.across_mm)
    ))
}

/// A line, which lights its vector; says whether it is pointed at.
fn landmark(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    compared: &Compared,
    at: usize,
    is_pointed: bool,
) -> bool {
    let Some(line) = compared.score.landmarks.get(at) else { return false };
    let name = capital(&scored_name(&line.landmark, line.root.as_deref()));
    let words = line_words(line);
    let mut points = false;
    ui.horizontal_top(|ui| {
        let button = ui.push_id(("comparison", at), |ui| {
            name_column(ui, |ui| ui.add(Button::selectable(is_pointed, &name).wrap()))
        });
        let button = button.inner.on_hover_text("press to have the film go there");
        let button = button.accessible_name(format!("{name}: {words}"));
        // Where the keyboard comes to from the film.
        if at == 0 && ui.memory(|memory| memory.has_focus(Id::unique(FIRST))) {
            button.request_focus();
        }
        let colour = if line.outcome.is_right() || !line.counts() {
            ui.visuals().text_color()
        } else {
            theme::caution(ui.visuals().dark_mode)
        };
        let said = words_column(ui, |ui| {
            // On the line of the name, which has a button's room around it.
            ui.add_space(ui.spacing().button_padding.y);
            ui.add(Label::new(RichText::new(words).color(colour)).wrap())
        });
        let row = Rect::from_x_y_ranges(ui.max_rect().x_range(), button.rect.union(said.rect).y_range());
        points = ui.rect_contains_pointer(row) || button.has_focus();
        if button.clicked()
            && let Some(place) = desk.session.work.as_ref().and_then(|work| vectors::place_of(work, at))
        {
            desk.ask(Action::Look(Look::Centre(place)));
        }
    });
    points
}

/// The left column, as wide in every row; what is longer wraps in it.
fn name_column<T>(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui) -> T) -> T {
    let width = (ui.available_width() * 0.46).max(120.0);
    column(ui, width, add)
}

/// What is left beside it.
fn words_column<T>(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui) -> T) -> T {
    column(ui, ui.available_width(), add)
}

fn column<T>(ui: &mut egui::Ui, width: f32, add: impl FnOnce(&mut egui::Ui) -> T) -> T {
    let size = vec2(width, ui.spacing().interact_size.y);
    let column = ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
        ui.set_width(width);
        add(ui)
    });
    column.inner
}

fn measurements(ui: &mut egui::Ui, rows: &[MeasurementError]) {
    if rows.is_empty() {
        ui.label("The key gives none.");
    }
    for (at, row) in rows.iter().enumerate() {
        let name = capital(&scored_name(&row.of.id, row.of.root.as_deref()));
        let digits = if row.unit == Unit::Degree { 1 } else { 2 };
        let minus = |words: String| words.replace('-', "\u{2212}");
        let words = match (row.value, row.error) {
            (Some(value), Some(error)) => {
                let in_sd = row.in_sd.map(|it| format!(" ({} sd)", signed(it, 1))).unwrap_or_default();
                minus(format!(
                    "{:.digits$}, {value:.digits$}, {} {}{in_sd}",
                    row.key,
                    signed(error, digits),
                    row.unit.suffix()
                ))
            }
            _ => format!("{}, none: {}", minus(format!("{:.digits$}", row.key)), unmeasured_words(row)),
        };
        ui.horizontal_top(|ui| {
            name_column(ui, |ui| ui.add(Label::new(&name).wrap()));
            words_column(ui, |ui| match unmeasured_in_short(row).filter(|_| row.value.is_none()) {
                Some(short) => {
                    let short = format!("{}, none: {short}", minus(format!("{:.digits$}", row.key)));
                    unfolding(ui, at, &name, &short, &words);
                }
                None => drop(ui.add(Label::new(words).wrap())),
            });
        });
    }
}

/// Words too long for a row: the short ones, until they are pressed.
fn unfolding(ui: &mut egui::Ui, at: usize, name: &str, short: &str, whole: &str) {
    let id = Id::unique(("unfolded", name, whole));
    let is_unfolded = ui.data(|data| data.get_temp::<bool>(id)).unwrap_or(false);
    let seen = if is_unfolded { whole } else { short };
    let button = ui.push_id(("measurement", at), |ui| ui.add(Button::new(seen).frame(false).wrap())).inner;
    let button = button.on_hover_text(whole).accessible_name(format!("{name}: {whole}"));
    if button.clicked() {
        ui.data_mut(|data| data.insert_temp(id, !is_unfolded));
    }
}
