//! What was placed beside the truth, in words and numbers: landmarks, measurements, verdicts.

use super::vectors;
use crate::practice::{LandmarkScore, MeasurementError, across_words};
use crate::quantity::Unit;
use crate::report::{
    SAFETY, changed_criterion, outcomes_words, scored_name, scored_verdict, set_right_words, unmeasured_words,
};
use crate::viewer::action::{Action, Look};
use crate::viewer::app::Desk;
use crate::viewer::practice::{Ask, Compared};
use crate::viewer::theme;
use crate::viewer::worksheet::FIRST;
use crate::wording::{capital, list};
use eframe::egui::{self, Align, Button, Id, Label, Layout, Rect, RichText, ScrollArea, vec2};

/// Draws it in the worksheet's place.
pub(in crate::viewer) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let Some(work) = &desk.session.work else { return };
    let Some((practice, compared)) = work.shown_comparison() else { return };
    let (before, compared) = (practice.pointed, compared.clone());
    let criteria = &work.open.engine().criteria;
    let mut pointed = None;
    ScrollArea::vertical().id_salt(("comparison", work.opened)).auto_shrink([false, false]).show(ui, |ui| {
        egui::Frame::new().inner_margin(egui::Margin { right: 8, ..Default::default() }).show(ui, |ui| {
            let score = &compared.score;
            if let Some(words) = compared.changed_words(work.open.case()) {
                ui.label(RichText::new(words).strong().color(theme::caution(ui.visuals().dark_mode)));
            }
            summary(ui, &compared);
            vectors::key(ui);
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
    ui.label(RichText::new(outcomes_words(&compared.counted())).strong());
    let left: Vec<String> = compared
        .not_asked
        .iter()
        .filter_map(|at| score.landmarks.get(*at))
        .map(|line| scored_name(&line.landmark, line.root.as_deref()))
        .collect();
    if !left.is_empty() {
        ui.label(format!(
            "Not counted, because a film of this stage does not ask for them and you left them: {}.",
            list(&left)
        ));
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
pub(super) fn line_words(compared: &Compared, line: &LandmarkScore, at: usize) -> String {
    let outcome =
        if compared.not_asked.contains(&at) { "left, and not asked for" } else { line.outcome.words() };
    error_words(line).unwrap_or_else(|| outcome.to_owned())
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
    let words = line_words(compared, line, at);
    let mut points = false;
    ui.horizontal_wrapped(|ui| {
        let button = ui.push_id(("comparison", at), |ui| {
            name_column(ui, |ui| ui.add(Button::selectable(is_pointed, &name).truncate()))
        });
        let button = button.inner.on_hover_text("press to have the film go there");
        let button = button.accessible_name(format!("{name}: {words}"));
        // Where the keyboard comes to from the film.
        if at == 0 && ui.memory(|memory| memory.has_focus(Id::unique(FIRST))) {
            button.request_focus();
        }
        let colour = if line.outcome.is_right() || compared.not_asked.contains(&at) {
            ui.visuals().text_color()
        } else {
            theme::caution(ui.visuals().dark_mode)
        };
        let said = ui.label(RichText::new(words).color(colour));
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

/// The left column, as wide in every row.
fn name_column<T>(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui) -> T) -> T {
    let width = (ui.available_width() * 0.46).max(120.0);
    let size = vec2(width, ui.spacing().interact_size.y);
    let column = ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_width(width);
        add(ui)
    });
    column.inner
}

fn measurements(ui: &mut egui::Ui, rows: &[MeasurementError]) {
    if rows.is_empty() {
        ui.label("The key gives none.");
    }
    for row in rows {
        let name = capital(&scored_name(&row.of.id, row.of.root.as_deref()));
        let digits = if row.unit == Unit::Degree { 1 } else { 2 };
        let words = match (row.value, row.error) {
            (Some(value), Some(error)) => {
                let in_sd = row.in_sd.map(|it| format!(" ({it:+.1} sd)")).unwrap_or_default();
                format!(
                    "{:.digits$}, {value:.digits$}, {error:+.digits$} {}{in_sd}",
                    row.key,
                    row.unit.suffix()
                )
            }
            _ => format!("{:.digits$}, none: {}", row.key, unmeasured_words(row)),
        };
        ui.horizontal_wrapped(|ui| {
            name_column(ui, |ui| ui.add(Label::new(name).truncate()));
            ui.label(words.replace('-', "\u{2212}"));
        });
    }
}
