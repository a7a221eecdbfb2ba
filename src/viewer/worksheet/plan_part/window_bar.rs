//! The window of admissible depths as a bar: its marks, the planned tip that can be moved along it, and what stands at
//! its ends.

use super::super::super::action::Action;
use super::super::super::app::Desk;
use super::super::super::keyboard::heard_steps;
use super::super::super::planning::{Planned, STEP_MM, Tip, TipKind};
use super::super::super::theme;
use super::super::super::work::Work;
use super::super::rows::aside;
use super::axis::{Axis, MarkShape, shape, shape_here};
use crate::editor::Selection;
use crate::plan::{Depth, Depths, Plan};
use crate::report::plan_words;
use crate::wording::capital;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, EventFilter, Key, RichText, Sense, Stroke, StrokeKind, WidgetInfo, pos2, vec2};

/// The marks in the order they are listed in.
fn marks(plan: &Plan) -> [(MarkShape, &'static str, Option<&Depth>); 4] {
    let marks = &plan.marks;
    [
        (MarkShape::Recommended, "recommended", marks.recommended.as_ref()),
        (MarkShape::Shortest, "shortest allowed", marks.shortest_allowed.as_ref()),
        (MarkShape::Preferences, "all preferences met", marks.all_preferences_met.as_ref()),
        (MarkShape::Deepest, "deepest allowed", marks.deepest_allowed.as_ref()),
    ]
}

/// Draws the bar, its marks and what can be done with them.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, planned: &Planned, depths: &Depths) {
    let case = work.open.case();
    let plan = &planned.plan;
    let tip = planned.tip(case);
    aside(
        ui,
        "mm along the canal, from where the post starts to hold to the end of the root. Filled: every requirement with \
         p 0.95 at least.",
    );
    bar(ui, desk, work, planned, depths, tip);
    if plan.window.is_some() {
        ui.label(capital(&plan.marks.why));
    } else {
        ui.label(RichText::new(format!("{}.", capital(&plan.marks.why))).strong());
    }
    for binding in &plan.binding {
        let title = plan_words::rule_title(plan, &binding.rule);
        ui.label(format!("{}: {title}", capital(plan_words::not_beyond(binding.end))));
    }
    if let Some(open) = plan_words::still_open(plan) {
        ui.label(RichText::new(format!("Still open: {open}")).color(theme::caution(ui.visuals().dark_mode)));
    }
    let below = plan_words::depth_from(case.roots.len() > 1);
    for (shape, name, mark) in marks(plan) {
        match mark {
            Some(mark) => {
                ui.horizontal_wrapped(|ui| {
                    shape_here(ui, shape);
                    ui.label(RichText::new(capital(name)).strong());
                    ui.label(format!("{} {below}", plan_words::depth(mark)));
                    let is_there = planned.has_post(case);
                    if !is_there
                        && ui
                            .small_button("Plan the tip here")
                            .accessible_name(format!("plan the tip at the {name} depth"))
                            .clicked()
                    {
                        plan_at(desk, work, planned, mark.along_canal_mm);
                    }
                });
            }
            None if plan.window.is_some() => {
                ui.horizontal_wrapped(|ui| {
                    shape_here(ui, shape);
                    ui.label(format!("{}: no depth within the window", capital(name)));
                });
            }
            None => {}
        }
    }
    tip_line(ui, desk, work, planned, depths, tip);
}

/// Plans the tip at a depth and selects it.
fn plan_at(desk: &mut Desk<'_>, work: &Work, planned: &Planned, depth: f64) {
    if let (Some(edit), Some(at)) = (planned.plan_tip(work.open.case(), depth), planned.tip_at()) {
        desk.ask(Action::Edit(edit));
        desk.ask(Action::Select(Some(Selection::Landmark(at))));
    }
}

fn bar(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    work: &Work,
    planned: &Planned,
    depths: &Depths,
    tip: Option<Tip>,
) {
    let case = work.open.case();
    ui.add_space(16.0);
    let axis = Axis::make(ui, 22.0, depths.end_of_root());
    ui.add_space(18.0);
    let window: Vec<[f64; 2]> =
        planned.plan.window.iter().map(|window| [window.from_mm, window.to_mm]).collect();
    axis.stretches(ui, &window, theme::verdict(Some(crate::case::Verdict::Meets), ui.visuals().dark_mode));
    axis.scale(ui);
    for (of, _, mark) in marks(&planned.plan) {
        if let Some(mark) = mark {
            // Ends of the window stand on the bar, what lies between them above it.
            let is_end = matches!(of, MarkShape::Shortest | MarkShape::Deepest);
            let y = if is_end { axis.rect.center().y } else { axis.rect.top() - 8.0 };
            let at = pos2(axis.x(mark.along_canal_mm), y);
            if is_end {
                let out = if of == MarkShape::Shortest { -3.0 } else { 3.0 };
                ui.painter().circle_filled(at + vec2(out, 0.0), 8.0, ui.visuals().panel_fill);
                shape(ui, of, at + vec2(out, 0.0));
            } else {
                shape(ui, of, at);
            }
        }
    }
    if let Some(tip) = tip.filter(|tip| tip.kind != TipKind::Recommended) {
        axis.tip(ui, tip.depth);
        shape(ui, MarkShape::Tip, pos2(axis.x(tip.depth), axis.rect.center().y));
    }
    let is_there = planned.has_post(case);
    let sense = if is_there { Sense::hover() } else { Sense::click_and_drag() };
    let response = ui.interact(axis.rect.expand2(vec2(0.0, 6.0)), ui.scope_id().with("planned tip"), sense);
    let spoken = match tip {
        Some(Tip { depth, kind: TipKind::Planned }) => format!("{depth:.2} mm"),
        Some(Tip { depth, kind: TipKind::There }) => format!("a post is there, {depth:.2} mm"),
        _ => "not planned yet".to_owned(),
    };
    response.widget_info(|| WidgetInfo {
        // What is not planned has no depth, and not one of 0.
        value: tip.filter(|tip| tip.kind != TipKind::Recommended).map(|tip| tip.depth),
        ..WidgetInfo::labeled(Role::Slider, !is_there, format!("planned tip along the canal: {spoken}"))
    });
    if is_there {
        return;
    }
    let heard = heard_steps(ui, &response);
    if heard != 0.0
        && let Some(depth) = tip.map(|tip| tip.depth).or(planned.first_depth())
    {
        plan_at(desk, work, planned, rounded(depth + heard * STEP_MM));
    }
    if response.has_focus() {
        let stroke = Stroke::new(2.0, ui.visuals().hyperlink_color);
        ui.painter().rect_stroke(response.rect, 2.0, stroke, StrokeKind::Outside);
        let arrows = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        if let Some(depth) = typed(ui, tip.map(|tip| tip.depth).or(planned.first_depth())) {
            plan_at(desk, work, planned, depth);
        }
    }
    if response.drag_started() {
        response.request_focus();
        desk.ask(Action::BeginGesture);
    }
    if let Some(at) = response.interact_pointer_pos().filter(|_| response.dragged() || response.clicked()) {
        plan_at(desk, work, planned, axis.depth(at.x));
    }
    if response.drag_stopped() {
        desk.ask(Action::EndGesture);
    }
}

/// Where the arrow keys move a tip; `None` where none was pressed.
fn typed(ui: &egui::Ui, depth: Option<f64>) -> Option<f64> {
    let depth = depth?;
    let (by, held) = ui.input(|input| {
        let presses = |key| f64::from(u32::try_from(input.num_presses(key)).unwrap_or(0));
        (presses(Key::ArrowRight) - presses(Key::ArrowLeft), input.modifiers)
    });
    let step = match (held.shift, held.command) {
        (true, _) => STEP_MM / 10.0,
        (false, true) => STEP_MM * 10.0,
        (false, false) => STEP_MM,
    };
    (by != 0.0).then_some(rounded(depth + by * step))
}

/// A depth without the dust of adding steps.
fn rounded(depth: f64) -> f64 {
    (depth * 1e6).round() / 1e6
}

/// The tip as it is, and how one is planned.
fn tip_line(
    ui: &mut egui::Ui,
    desk: &mut Desk<'_>,
    work: &Work,
    planned: &Planned,
    depths: &Depths,
    tip: Option<Tip>,
) {
    let below = plan_words::depth_from(work.open.case().roots.len() > 1);
    ui.add_space(4.0);
    match tip {
        Some(Tip { depth, kind: TipKind::Planned }) => {
            ui.horizontal_wrapped(|ui| {
                shape_here(ui, MarkShape::Tip);
                ui.label(RichText::new("The planned tip").strong());
                ui.label(format!("{} {below}", plan_words::depth(&depths.at(depth))));
            });
            aside(ui, "Drag it on the film or on the bar; arrow keys move it by 0.1 mm, with Shift by 0.01.");
        }
        Some(Tip { depth, kind: TipKind::There }) => {
            ui.horizontal_wrapped(|ui| {
                shape_here(ui, MarkShape::Tip);
                ui.label(RichText::new("A post is there").strong());
                ui.label(format!("{} {below}", plan_words::depth(&depths.at(depth))));
            });
            if let Some(depth) = planned.first_depth() {
                if ui.button("Plan a new post").clicked() {
                    plan_at(desk, work, planned, depth);
                }
                aside(
                    ui,
                    "Head and tip of the post that is there give way to the planned tip; undo brings them back.",
                );
            }
        }
        _ => {
            if let Some(depth) = planned.first_depth()
                && ui.button("Plan a post").clicked()
            {
                plan_at(desk, work, planned, depth);
            }
        }
    }
}
