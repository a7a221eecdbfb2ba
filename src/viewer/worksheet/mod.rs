//! The worksheet: the job from top to bottom.
//!
//! What stands in it is worked out without drawing (`sheet`, `progress`, `results`, `lacks`, `reference_form`); the
//! parts draw that and propose edits.

mod curve_drawing;
mod definitions;
mod film_part;
mod first_look_part;
mod heading;
mod known;
mod lacks;
mod landmarks_part;
mod links;
mod number_field;
mod plan_part;
mod plan_progress;
mod progress;
mod readings_part;
mod recovery_part;
mod reference_form;
mod report_part;
mod results;
mod results_part;
mod root_part;
mod rows;
mod scale_part;
mod sheet;
mod tooth_drawing;
mod tooth_picker;
mod tooth_picture;
mod top;
mod verdict_detail;

pub(super) use results_part::judged;

use super::action::Action;
use super::app::Desk;
use super::keyboard;
use super::work::Work;
use crate::report::SAFETY;
use eframe::egui::{self, Align, ScrollArea};
pub(super) use number_field::refused;
use progress::{Part, Progress, Standing};
use rows::aside;
pub(super) use rows::{choice, row, scrolled};
use sheet::{Kept, Sheet};
use std::time::Instant;

/// The first control, where the keyboard goes.
pub(super) const FIRST: &str = "worksheet";
/// Of how much of the worksheet's height on the top scrolls with the parts, and below how much it stands fast again: its
/// height differs between the two.
const TOP: std::ops::Range<f32> = 0.4..0.5;
/// The part in which a post is planned.
const PLAN: &str = "worksheet, plan";

/// What the worksheet keeps from frame to frame.
#[derive(Default)]
pub(super) struct Worksheet {
    kept: Kept,
    folds: Folds,
    /// How much room the top takes of this case.
    top: f32,
    /// Whether it is so high that it scrolls with the parts, as between large letters.
    top_scrolls: bool,
    scale: scale_part::ScalePart,
    landmarks: landmarks_part::LandmarksPart,
    results: results_part::ResultsPart,
    /// The part a link goes to in the next frame.
    linked: Option<Part>,
    anchor: Anchor,
}

/// The part that was seen at the top of the sheet in the frame before, and how far down the sheet it began. What grows or
/// goes above it must not move it under a hand that is about to press.
#[derive(Debug, Default)]
struct Anchor {
    at: Option<(Part, f32)>,
    /// The same in this frame, as it is drawn.
    now: Option<(Part, f32)>,
    /// How far what it stands on has moved down since.
    moved: f32,
}

impl Anchor {
    /// Takes in that a part begins so far down the sheet, and whether that is above what is seen.
    fn pass(&mut self, part: Part, down: f32, is_above: bool) {
        if let Some((anchored, before)) = self.at
            && anchored == part
        {
            self.moved = down - before;
        }
        if is_above {
            self.now = Some((part, down));
        }
    }

    /// Ends the frame; gives how far the sheet has to follow.
    fn follow(&mut self) -> f32 {
        self.at = self.now.take();
        std::mem::take(&mut self.moved)
    }
}

/// Which parts are open.
#[derive(Debug, Default)]
struct Folds {
    /// The case they are open for.
    of: Option<Instant>,
    open: Vec<Part>,
    /// The part work was last found to be done in.
    last: Option<Part>,
}

impl Folds {
    /// Opens the part where work is to be done, once it becomes that part. Nothing closes by itself.
    fn follow(&mut self, opened: Instant, sheet: &Sheet) {
        if self.of != Some(opened) {
            *self = Self { of: Some(opened), ..Self::default() };
        }
        let now = sheet.next.map_or(Part::Results, Part::of_step);
        if self.last != Some(now) {
            self.last = Some(now);
            self.open(now);
        }
    }

    fn is_open(&self, part: Part) -> bool {
        self.open.contains(&part)
    }

    fn open(&mut self, part: Part) {
        if !self.is_open(part) {
            self.open.push(part);
        }
    }

    fn toggle(&mut self, part: Part) {
        if self.is_open(part) {
            self.open.retain(|it| *it != part);
        } else {
            self.open(part);
        }
    }
}

impl Worksheet {
    /// Draws it.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>) {
        let session = desk.session;
        let Some(work) = &session.work else { return };
        let sheet = self.kept.of(work);
        let is_another = self.folds.of != Some(work.opened);
        if is_another {
            self.scale = scale_part::ScalePart::default();
            self.landmarks.forget();
            self.results = results_part::ResultsPart::default();
            self.top = 0.0;
        }
        self.folds.follow(work.opened, &sheet);
        self.results.pointed = None;
        let room = ui.available_rect_before_wrap();
        let linked = self.linked.take();
        let mut goes_to = linked;
        let scrolls = self.top_scrolls;
        if !scrolls {
            goes_to = self.top(ui, desk, &sheet, room).or(linked);
        }
        let mut parts = ScrollArea::vertical().id_salt("worksheet").auto_shrink([false, false]);
        if is_another {
            parts = parts.vertical_scroll_offset(0.0);
        }
        parts.show(ui, |ui| {
            // Room for the bar that scrolls.
            egui::Frame::new().inner_margin(egui::Margin { right: 8, ..Default::default() }).show(ui, |ui| {
                if scrolls {
                    goes_to = self.top(ui, desk, &sheet, room).or(linked);
                }
                ui.push_id(work.opened, |ui| self.parts(ui, desk, work, &sheet, goes_to));
                let moved = self.anchor.follow();
                if moved.abs() > 0.5 && goes_to.is_none() && !is_another {
                    ui.scroll_with_delta_animation(
                        egui::vec2(0.0, -moved),
                        egui::style::ScrollAnimation::none(),
                    );
                    ui.request_repaint();
                }
                ui.separator();
                aside(ui, SAFETY);
            });
            // After what is scrolled within it by the same keys.
            keyboard::pages_of_part(ui, room);
        });
        if self.linked.is_some() {
            ui.request_repaint();
        }
        let shows_plan = self.folds.is_open(Part::Plan) && !work.hides_results();
        if shows_plan != work.planning.shows {
            desk.ask(Action::ShowPlan(shows_plan));
        }
        if self.results.pointed != work.pointed_number {
            desk.ask(Action::PointNumber(self.results.pointed.clone()));
        }
    }

    /// Draws what stands on top; gives the part that somebody goes to.
    fn top(
        &mut self,
        ui: &mut egui::Ui,
        desk: &mut Desk<'_>,
        sheet: &Sheet,
        room: egui::Rect,
    ) -> Option<Part> {
        let top = ui.scope(|ui| top::show(ui, desk, sheet));
        let height = top.response.rect.height();
        // A line that goes leaves its room while the pointer is here: nothing below it moves under a hand that is about
        // to press. Once the hand is elsewhere there is no reason for a hole.
        // An open list lies over the worksheet: it must not go with what it belongs to.
        let hand_is_here = ui.rect_contains_pointer(room) || egui::Popup::is_any_open(ui);
        self.top = if hand_is_here { self.top.max(height) } else { height };
        ui.add_space(self.top - height);
        ui.separator();
        let share = height / room.height();
        self.top_scrolls = share > if self.top_scrolls { TOP.start } else { TOP.end };
        top.inner
    }

    fn parts(
        &mut self,
        ui: &mut egui::Ui,
        desk: &mut Desk<'_>,
        work: &Work,
        sheet: &Sheet,
        goes_to: Option<Part>,
    ) {
        if let Some(part) = goes_to {
            self.folds.open(part);
        }
        let begins = ui.cursor().top();
        for (part, progress) in Part::ALL.into_iter().zip(&sheet.progress) {
            if work.hides_results() && !part.is_placed() {
                continue;
            }
            // A caution that is not shown is not to be looked at.
            let quiet = Progress::done();
            let is_quiet = work.hides_results() && progress.standing == Standing::LookHere;
            let progress = if is_quiet { &quiet } else { progress };
            let heading = heading::show(ui, part, progress, self.folds.is_open(part));
            let top = heading.rect.top();
            self.anchor.pass(part, top - begins, top <= ui.clip_rect().top());
            if heading.clicked() {
                self.folds.toggle(part);
            }
            if heading.gained_focus() {
                heading.scroll_to_me(None);
            }
            if goes_to == Some(part) {
                heading.scroll_to_me(Some(Align::Min));
            }
            if self.folds.is_open(part) {
                ui.indent(part, |ui| self.part(ui, desk, work, sheet, part));
                ui.add_space(8.0);
            }
        }
    }

    fn part(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, sheet: &Sheet, part: Part) {
        match part {
            Part::Film => film_part::show(ui, desk, work),
            Part::Scale => self.scale.show(ui, desk, work, sheet),
            Part::Landmarks => self.landmarks.show(ui, desk, work),
            Part::Readings => readings_part::show(ui, desk, work),
            Part::FirstLook => first_look_part::show(ui, desk, work),
            Part::Results => self.results.show(ui, desk, work, sheet),
            Part::Plan => self.linked = plan_part::show(ui, desk, work).or(self.linked),
            Part::Recovery => self.linked = recovery_part::show(ui, desk, work).or(self.linked),
            Part::Report => report_part::show(ui, desk),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::Step;

    fn with_next(next: Option<Step>) -> Sheet {
        Sheet { next, ..Sheet::default() }
    }

    #[test]
    fn the_part_where_work_is_to_be_done_opens_and_none_closes_by_itself() {
        let (mut folds, first) = (Folds::default(), Instant::now());
        folds.follow(first, &with_next(Some(Step::NameTooth)));
        assert!(folds.is_open(Part::Film) && !folds.is_open(Part::Scale));
        folds.follow(first, &with_next(Some(Step::GiveScale)));
        assert!(folds.is_open(Part::Film) && folds.is_open(Part::Scale));
        folds.toggle(Part::Scale);
        folds.follow(first, &with_next(Some(Step::GiveScale)));
        assert!(!folds.is_open(Part::Scale), "what somebody closed stays closed");
        folds.follow(first, &with_next(None));
        assert!(folds.is_open(Part::Results));
    }

    #[test]
    fn another_case_begins_with_its_own_parts() {
        let (mut folds, first) = (Folds::default(), Instant::now());
        folds.follow(first, &with_next(Some(Step::NameTooth)));
        folds.follow(first + std::time::Duration::from_secs(1), &with_next(None));
        assert_eq!(folds.open, [Part::Results]);
    }
}

#[cfg(test)]
#[cfg(feature = "window-tests")]
mod window_tests;
