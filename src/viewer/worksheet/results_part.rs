//! Measurements and verdicts as they stand.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::theme;
use super::results::{Answer, Block, NumberLine, VerdictLine};
use super::rows::aside;
use super::sheet::Sheet;
use super::top::capital;
use crate::case::{State, Verdict};
use crate::editor::Selection;
use crate::report::verdict_words;
use eframe::egui::{
    self, Align, Color32, Grid, Layout, Pos2, Rect, RichText, Sense, Stroke, StrokeKind, vec2,
};

/// Width of a verdict's shape and word.
const VERDICT: f32 = 112.0;
/// Part of the width that the names of measurements take.
const NAMES: f32 = 0.46;

/// Draws the part.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, sheet: &Sheet) {
    if let Some(why) = &sheet.failed {
        ui.label(why);
        return;
    }
    aside(ui, "\u{b1} is half a 95 % interval, p the probability that the bound is met.");
    for (at, block) in sheet.blocks.iter().enumerate() {
        ui.push_id(at, |ui| show_block(ui, block));
    }
    lacks(ui, desk, sheet);
}

fn show_block(ui: &mut egui::Ui, block: &Block) {
    let title = match block.state {
        State::Present => "What is there",
        State::Planned => "What is planned",
    };
    ui.add_space(6.0);
    ui.heading(title);
    for answer in &block.answers {
        show_answer(ui, answer);
    }
}

fn show_answer(ui: &mut egui::Ui, answer: &Answer) {
    ui.add_space(6.0);
    ui.label(RichText::new(answer.question.words()).strong());
    if !answer.numbers.is_empty() {
        let names = (ui.available_width() * NAMES).max(100.0);
        Grid::new(answer.question.words())
            .num_columns(2)
            .max_col_width(names)
            .min_row_height(19.0)
            .striped(true)
            .show(ui, |ui| {
                for line in &answer.numbers {
                    number(ui, line, names);
                    ui.end_row();
                }
            });
    }
    for line in &answer.verdicts {
        verdict(ui, line);
    }
    if !answer.not_applying.is_empty() {
        judged(ui, Some(Verdict::DoesNotApply), |ui| aside(ui, capital(&answer.not_applying.join("; "))));
    }
}

fn number(ui: &mut egui::Ui, line: &NumberLine, names: f32) {
    // Every question's names are as wide, so that all values stand under one another.
    ui.vertical(|ui| {
        ui.set_min_width(names);
        ui.label(&line.name).on_hover_text(line.meaning);
    });
    let NumberLine { value, spread, unit, .. } = line;
    ui.label(RichText::new(format!("{value:>7} {spread} {unit}")).monospace());
}

fn verdict(ui: &mut egui::Ui, line: &VerdictLine) {
    judged(ui, line.verdict, |ui| {
        ui.label(capital(&line.claim)).on_hover_text(format!("by {}", line.source));
        aside(ui, &*line.weight);
        if let Some(settled_by) = &line.settled_by {
            aside(ui, format!("Settled by: {settled_by}"));
        }
    });
}

/// A verdict's shape and word, and what is to be said beside it.
fn judged(ui: &mut egui::Ui, verdict: Option<Verdict>, beside: impl FnOnce(&mut egui::Ui)) {
    let (_, word) = verdict_words(verdict);
    let colour = theme::verdict(verdict, ui.visuals().dark_mode);
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(vec2(VERDICT, 0.0), Layout::left_to_right(Align::Min), |ui| {
            ui.set_min_width(VERDICT);
            let (rect, _) = ui.allocate_exact_size(vec2(14.0, 17.0), Sense::hover());
            verdict_shape(ui, rect.center(), verdict, colour);
            ui.label(RichText::new(word).strong().color(colour));
        });
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            beside(ui);
        });
    });
}

/// The shape of a verdict, painted so that it is as large and as straight as its neighbours.
fn verdict_shape(ui: &egui::Ui, centre: Pos2, verdict: Option<Verdict>, colour: Color32) {
    let square = Rect::from_center_size(centre, vec2(10.0, 10.0));
    let line = Stroke::new(1.6, colour);
    let painter = ui.painter();
    match verdict {
        Some(Verdict::Meets) => {
            painter.rect_filled(square, 0.0, colour);
        }
        Some(Verdict::FallsShort) => {
            painter.rect_stroke(square, 0.0, line, StrokeKind::Inside);
        }
        Some(Verdict::Undecided) => {
            painter.rect_stroke(square, 0.0, line, StrokeKind::Inside);
            painter.rect_filled(square.with_max_x(centre.x), 0.0, colour);
        }
        Some(Verdict::DoesNotApply) => {
            painter.line_segment([square.left_center(), square.right_center()], line);
        }
        None => {
            painter.circle_filled(centre, 2.0, colour);
        }
    }
}

fn lacks(ui: &mut egui::Ui, desk: &mut Desk<'_>, sheet: &Sheet) {
    if sheet.lacks.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.heading("Not measured, for want of");
    for lack in &sheet.lacks {
        ui.horizontal_wrapped(|ui| {
            if let Some(target) = lack.place
                && ui
                    .button("Place it")
                    .on_hover_text(&lack.what)
                    .accessible_name(format!("place {}", lack.what))
                    .clicked()
            {
                desk.ask(Action::Aim(Some(target)));
                if let Target::Landmark(at) = target {
                    desk.ask(Action::Select(Some(Selection::Landmark(at))));
                }
            }
            ui.label(RichText::new(capital(&lack.what)).strong());
            ui.label(&lack.rows);
        });
    }
}
