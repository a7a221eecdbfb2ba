//! Measurements and verdicts as they stand.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::command::Command;
use super::super::theme;
use super::super::work::Work;
use super::curve_drawing;
use super::plan_part::under_banner;
use super::results::{Answer, Block, NumberLine, VerdictLine};
use super::rows::aside;
use super::sheet::Sheet;
use super::verdict_detail::VerdictDetail;
use crate::case::{RowRef, State, Verdict};
use crate::editor::Selection;
use crate::report::verdict_words;
use crate::wording::capital;
use eframe::egui::accesskit::Role;
use eframe::egui::text_selection::LabelSelectionState;
use eframe::egui::{
    self, Align, Color32, Event, Grid, Layout, Pos2, Rect, RichText, Sense, Shape, Stroke, StrokeKind,
    WidgetInfo, pos2, vec2,
};
use std::collections::HashSet;

/// Width of a verdict's shape and word.
const VERDICT: f32 = 112.0;
/// Width of the mark that says whether a verdict is open.
const FOLD: f32 = 18.0;
/// Part of the width that the names of measurements take.
const NAMES: f32 = 0.46;

/// What the part keeps from frame to frame.
#[derive(Debug, Default)]
pub(super) struct ResultsPart {
    /// The verdicts that are open.
    open: HashSet<String>,
    /// The number that is pointed at in this frame: under the pointer, else that which has the keyboard.
    pub(super) pointed: Option<RowRef>,
}

impl ResultsPart {
    /// Draws the part.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, sheet: &Sheet) {
        if let Some(why) = &sheet.failed {
            ui.label(why);
            return;
        }
        // Rows are pressed and copied as wholes.
        ui.style_mut().interaction.selectable_labels = false;
        aside(ui, "\u{b1} is half a 95 % interval, p the probability that the bound is met.");
        for (at, block) in sheet.blocks.iter().enumerate() {
            ui.push_id(at, |ui| self.block(ui, desk, work, block));
        }
        lacks(ui, desk, sheet);
    }

    fn block(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, block: &Block) {
        let title = match block.state {
            State::Present => "What is there",
            State::Planned => "What is planned",
        };
        ui.add_space(6.0);
        ui.heading(title);
        for answer in &block.answers {
            self.answer(ui, desk, work, answer);
        }
    }

    fn answer(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, answer: &Answer) {
        ui.add_space(6.0);
        ui.label(RichText::new(answer.question.words()).strong());
        if !answer.numbers.is_empty() {
            let names = (ui.available_width() * NAMES).max(100.0);
            let room = ui.available_width() - names - ui.spacing().item_spacing.x;
            Grid::new(answer.question.words())
                .num_columns(2)
                .max_col_width(names)
                .min_row_height(19.0)
                .striped(true)
                .show(ui, |ui| {
                    for line in &answer.numbers {
                        self.number(ui, desk, work, line, [names, room]);
                        ui.end_row();
                    }
                });
        }
        for line in &answer.verdicts {
            self.verdict(ui, desk, line);
        }
        if !answer.not_applying.is_empty() {
            judged(ui, Some(Verdict::DoesNotApply), |ui| {
                aside(ui, capital(&answer.not_applying.join("; ")));
            });
        }
    }

    fn number(
        &mut self,
        ui: &mut egui::Ui,
        desk: &mut Desk<'_>,
        work: &Work,
        line: &NumberLine,
        [names, room]: [f32; 2],
    ) {
        let ground = ui.painter().add(Shape::Noop);
        let is_lit = work.pointed_place.is_some_and(|at| line.uses(at));
        let words = |words: &str| {
            let words = RichText::new(words);
            if is_lit { words.strong() } else { words }
        };
        // Every question's names are as wide, so that all values stand under one another.
        let name = ui.vertical(|ui| {
            ui.set_min_width(names);
            ui.label(words(&line.name));
        });
        let NumberLine { value, spread, unit, .. } = line;
        let [whole, parted] = ["", "\n"]
            .map(|parting| words(format!("{value:>7}{parting} {spread} {unit}").trim_end()).monospace());
        // A long interval takes a line of its own where it must, whole, and does not break within.
        let wide = egui::WidgetText::from(whole.clone())
            .into_galley(ui, Some(egui::TextWrapMode::Extend), f32::INFINITY, egui::TextStyle::Monospace)
            .size()
            .x;
        let fits = wide <= room;
        let value = ui.add(if fits { egui::Label::new(whole).extend() } else { egui::Label::new(parted) });
        let rect = name.response.rect.union(value.rect).expand2(vec2(4.0, 1.0));
        let row = ui.interact(rect, ui.scope_id().with(("number", line.of.listed())), Sense::click());
        let spoken = format!("{} {}", line.name, line.value_with_unit());
        let spoken = if is_lit { format!("{spoken}, uses the point") } else { spoken };
        row.widget_info(|| WidgetInfo::labeled(Role::ListItem, true, &spoken));
        if row.clicked() {
            row.request_focus();
        }
        if row.gained_focus() {
            row.scroll_to_me(None);
        }
        let is_pointed_at = row.hovered() || row.has_focus();
        if row.hovered() || (row.has_focus() && self.pointed.is_none()) {
            self.pointed = Some(line.of.clone());
        }
        let visuals = ui.visuals();
        if is_lit {
            ui.painter().set(ground, Shape::rect_filled(rect, 2.0, visuals.selection.bg_fill));
            let bar = Rect::from_min_max(rect.left_top() - vec2(5.0, 0.0), rect.left_bottom());
            ui.painter().rect_filled(bar, 0.0, theme::caution(visuals.dark_mode));
        } else if is_pointed_at {
            ui.painter().set(ground, Shape::rect_filled(rect, 2.0, visuals.extreme_bg_color));
        }
        if row.has_focus() {
            ui.painter().rect_stroke(rect, 2.0, visuals.selection.stroke, StrokeKind::Inside);
            if ui.input(|input| input.events.contains(&Event::Copy)) {
                desk.ask(Action::Copy(line.value_with_unit()));
            }
        }
        // What is drawn on the film is told there; a tip here would cover the rows below.
        let is_read = line.from.iter().all(|from| from == "clinical");
        let row = if is_read { row.on_hover_text(line.meaning) } else { row };
        row.context_menu(|ui| copies(ui, desk, line));
    }

    fn verdict(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, line: &VerdictLine) {
        let is_open = self.open.contains(&line.key);
        let ground = ui.painter().add(Shape::Noop);
        let drawn = ui.scope(|ui| {
            ui.set_min_width(ui.available_width());
            judged(ui, line.verdict, |ui| {
                ui.set_max_width(ui.available_width() - FOLD);
                ui.label(capital(&line.claim));
                aside(ui, &*line.weight);
                if let Some(settled_by) = line.settled_by.as_ref().filter(|_| !is_open) {
                    aside(ui, format!("Settled by: {settled_by}"));
                }
            });
        });
        let rect = drawn.response.rect;
        let row = ui.interact(rect, ui.scope_id().with(("verdict", &line.key)), Sense::click());
        let (_, word) = verdict_words(line.verdict);
        let does = if is_open { "hide why" } else { "show why" };
        row.widget_info(|| {
            WidgetInfo::labeled(Role::Button, true, format!("{word}: {}, {does}", line.claim))
        });
        if row.gained_focus() {
            row.scroll_to_me(None);
        }
        if row.hovered() || (row.has_focus() && self.pointed.is_none()) {
            self.pointed.clone_from(&line.of);
        }
        let visuals = ui.visuals();
        if row.hovered() || row.has_focus() {
            ui.painter().set(ground, Shape::rect_filled(rect, 2.0, visuals.extreme_bg_color));
        }
        if row.has_focus() {
            ui.painter().rect_stroke(rect, 2.0, visuals.selection.stroke, StrokeKind::Inside);
            // Words that are selected in what is open are copied before the row.
            let is_selecting =
                ui.with_plugin(|it: &mut LabelSelectionState| it.has_selection()) == Some(true);
            if !is_selecting && ui.input(|input| input.events.contains(&Event::Copy)) {
                copy(desk, line);
            }
        }
        let at = pos2(rect.right() - FOLD / 2.0, rect.top() + 9.0);
        let corners = if is_open {
            [vec2(-5.0, -2.5), vec2(5.0, -2.5), vec2(0.0, 4.0)]
        } else {
            [vec2(-2.5, -5.0), vec2(4.0, 0.0), vec2(-2.5, 5.0)]
        };
        let corners = corners.map(|corner| at + corner).to_vec();
        ui.painter().add(Shape::convex_polygon(corners, theme::faint(visuals.dark_mode), Stroke::NONE));
        row.context_menu(|ui| {
            if ui.button("Copy the verdict with its source").clicked() {
                copy(desk, line);
            }
        });
        if row.clicked() && !self.open.remove(&line.key) {
            self.open.insert(line.key.clone());
        }
        if is_open {
            ui.indent(&line.key, |ui| {
                // It is read, not pressed.
                ui.style_mut().interaction.selectable_labels = true;
                why(ui, &line.detail);
            });
        }
    }
}

/// Copies a verdict; the sample's under its banner.
fn copy(desk: &mut Desk<'_>, line: &VerdictLine) {
    let session = desk.session;
    if let Some(work) = &session.work {
        desk.ask(Action::Copy(under_banner(work, line.words())));
    }
}

/// What can be copied of a number.
fn copies(ui: &mut egui::Ui, desk: &mut Desk<'_>, line: &NumberLine) {
    let value = line.value_with_unit();
    let with_name = format!("{} {value}", line.name);
    for (title, words) in [("Copy the number with its unit", value), ("Copy it with its name", with_name)] {
        if ui.button(title).clicked() {
            desk.ask(Action::Copy(words));
        }
    }
    for command in [Command::CopyTable, Command::CopyCsv] {
        if ui.button(command.title()).on_hover_text(command.hint()).clicked() {
            desk.ask(Action::Command(command));
        }
    }
}

/// What stands behind a verdict.
fn why(ui: &mut egui::Ui, detail: &VerdictDetail) {
    ui.label(capital(&detail.criterion));
    ui.label(format!("On the word of: {}", detail.source));
    match &detail.judged_by {
        Some(judged) => {
            ui.label(format!("Judged by {}: {}", judged.name, judged.value));
            if let Some(curve) = &judged.curve {
                curve_drawing::show(ui, judged, curve);
                aside(ui, format!("Filled: where the bound is met, {}", judged.probability));
            }
            if !judged.shares.is_empty() {
                ui.label("Where its uncertainty comes from:");
                for share in &judged.shares {
                    aside(ui, share);
                }
            }
        }
        None => aside(ui, "Nothing it could be judged by is measured yet."),
    }
    if let Some(settled_by) = &detail.settled_by {
        ui.label(format!("Settled by: {settled_by}"));
    }
    ui.add_space(4.0);
}

/// A verdict's shape and word, and what is to be said beside it.
pub(in crate::viewer) fn judged(
    ui: &mut egui::Ui,
    verdict: Option<Verdict>,
    beside: impl FnOnce(&mut egui::Ui),
) {
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
    ui.heading("Not measured: these are missing");
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
