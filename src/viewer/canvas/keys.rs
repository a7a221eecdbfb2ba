//! What keys do on the film: they move the cursor and the selected point, and place.

use super::handles::{self, Spot};
use super::pointer::{complete, goes_slowly, placed_by};
use super::sheet::Sheet;
use super::{Canvas, planned_post, snap, steps};
use crate::editor::hint;
use crate::geometry::{Position, Stored};
use crate::viewer::Work;
use crate::viewer::action::{Action, Handle, Look, Target};
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use eframe::egui::{self, Event, EventFilter, Id, Key, Modifiers};

/// Nudges of one point that follow within so many seconds are one step of undo.
const ONE_STEP_S: f64 = 0.7;
/// How near to the edge of the view the cursor may come before the view follows, points of the screen.
const EDGE: f32 = 24.0;
/// Why Enter pressed again places nothing.
const MOVE_FIRST: &str = "move the cursor first: what was placed last lies exactly here";

/// A run of nudges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    /// The point.
    pub(super) handle: Handle,
    last: f64,
}

/// What was typed in this frame.
#[derive(Debug, Default, PartialEq)]
struct Typed {
    right: f64,
    down: f64,
    enter: bool,
    /// Whether what is placed is to be free of the line it would fall onto.
    free: bool,
    /// Whether something was done that ends a run of nudges.
    other: bool,
    time: f64,
}

impl Typed {
    fn now(ui: &egui::Ui) -> Self {
        ui.input(|input| {
            let mut typed = Self {
                free: goes_slowly(input.modifiers),
                other: input.pointer.any_pressed(),
                time: input.time,
                ..Self::default()
            };
            for event in &input.events {
                let Event::Key { key, pressed: true, modifiers, .. } = event else { continue };
                typed.take(*key, *modifiers);
            }
            typed
        })
    }

    fn take(&mut self, key: Key, held: Modifiers) {
        let length = steps::length(held.shift, held.command);
        match key {
            Key::ArrowRight => self.right += length,
            Key::ArrowLeft => self.right -= length,
            Key::ArrowDown => self.down += length,
            Key::ArrowUp => self.down -= length,
            Key::Enter => self.enter = true,
            // Held with another key they do nothing of their own.
            Key::ShiftLeft
            | Key::ShiftRight
            | Key::ControlLeft
            | Key::ControlRight
            | Key::AltLeft
            | Key::AltRight => {}
            _ => self.other = true,
        }
    }

    fn moves(&self) -> bool {
        self.right.abs() > 0.0 || self.down.abs() > 0.0
    }
}

/// Takes in the keys. `node` is a point that has the keyboard itself.
pub(super) fn take_in(
    ui: &egui::Ui,
    response: &egui::Response,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    node: Option<Handle>,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    let session = desk.session;
    let Some(work) = &session.work else { return };
    mind_focus(ui, response, work, desk, canvas);
    let typed = Typed::now(ui);
    // Behind what is asked or read nobody sees what keys do.
    let is_seen = session.question.is_none() && session.help.is_none();
    let on_film = response.has_focus() && is_seen;
    let node = node.filter(|_| is_seen);
    end_run(ui, work, &typed, on_film || node.is_some(), desk, canvas);
    if typed.moves() && (on_film || node.is_some()) {
        let selected = node.or_else(|| handles::selected(work).filter(|_| work.aim.is_none()));
        let way = steps::way(sheet.viewport, typed.right, typed.down);
        let film = sheet.viewport.film_size();
        if let Some(spot) = selected.and_then(|wanted| spots.iter().find(|spot| spot.handle == wanted)) {
            canvas.by_keyboard = true;
            begin_run(spot.handle, typed.time, desk, canvas);
            let to = planned_post::stepped(work, spot.handle, way)
                .unwrap_or_else(|| steps::moved(spot.at, way, film));
            desk.ask(Action::Move { point: spot.handle, to });
            follow(sheet, to, desk);
        } else if on_film {
            let to = steps::moved(cursor(work, sheet, canvas), way, film);
            canvas.by_keyboard = true;
            canvas.entered = None;
            desk.ask(Action::Cursor(Some(to)));
            follow(sheet, to, desk);
        }
    }
    if typed.enter && on_film && work.aim.is_some() {
        enter(work, sheet, typed.free, desk, canvas);
    }
}

/// The keyboard comes to the film when something is aimed at, stays there on Tab, and goes on a last Escape.
fn mind_focus(
    ui: &egui::Ui,
    response: &egui::Response,
    work: &Work,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    let is_behind = desk.session.question.is_some() || desk.session.help.is_some();
    if response.has_focus() && !is_behind {
        let filter = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: true };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        let cancels = desk.actions.contains(&Action::Command(Command::Cancel));
        let nothing_left = work.aim.is_none() && work.open.selection().is_none() && !work.open.in_gesture();
        if cancels && nothing_left {
            if work.cursor.is_some() {
                desk.ask(Action::Cursor(None));
            } else {
                response.surrender_focus();
            }
        }
    }
    if work.aim != canvas.aim_before {
        canvas.aim_before = work.aim;
        if work.aim.is_some() && !is_behind && !ui.text_edit_focused() {
            response.request_focus();
        }
    }
}

fn begin_run(handle: Handle, time: f64, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    if canvas.run.is_none_or(|run| run.handle != handle) {
        desk.ask(Action::BeginGesture);
    }
    canvas.run = Some(Run { handle, last: time });
}

/// Ends a run of nudges once something else is done, or nothing for a moment.
fn end_run(
    ui: &egui::Ui,
    work: &Work,
    typed: &Typed,
    has_keyboard: bool,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    let Some(run) = canvas.run else { return };
    if !work.open.in_gesture() {
        canvas.run = None;
        return;
    }
    let waited = typed.time - run.last;
    // Keys of commands are no longer among what was typed.
    let asked = desk.actions.iter().any(|it| !matches!(it, Action::Look(_) | Action::Cursor(_)));
    if asked || typed.other || typed.enter || !has_keyboard || waited >= ONE_STEP_S {
        // Before anything else of this frame, so that an undo takes the run back and Escape does not.
        desk.actions.insert(0, Action::EndGesture);
        canvas.run = None;
    } else {
        ui.request_repaint_after(std::time::Duration::from_secs_f64((ONE_STEP_S - waited).max(0.01)));
    }
}

/// Where the cursor is, or would begin.
pub(super) fn cursor(work: &Work, sheet: &Sheet<'_>, canvas: &Canvas) -> Position<Stored> {
    let seen = |place: &Position<Stored>| sheet.rect.shrink(EDGE).contains(sheet.seen(*place));
    let begin = || match work.aim {
        Some(Target::Landmark(at)) if at.mark(work.open.case()).is_none() => {
            hint(work.open.case(), at).map(|hint| hint.middle).filter(seen)
        }
        _ => None,
    };
    work.cursor.or(canvas.pointer).unwrap_or_else(|| {
        let place = begin().unwrap_or_else(|| sheet.place(sheet.rect.center()));
        super::drag::onto(place, sheet.viewport.film_size())
    })
}

/// Enter places at the cursor; a second time at the same place it completes what takes
/// any number of points, and places nothing on what it placed just before. Where no cursor is seen it only shows one,
/// where the pointer rests if it rests on the film: nothing is placed where nobody looks.
pub(super) fn enter(work: &Work, sheet: &Sheet<'_>, free: bool, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let to = cursor(work, sheet, canvas);
    let is_shown = work.cursor.is_some() && sheet.rect.contains(sheet.seen(to));
    if !is_shown {
        canvas.by_keyboard = true;
        desk.ask(Action::Cursor(Some(to)));
        follow(sheet, to, desk);
        return;
    }
    let to = snap::snapped(work, to, free);
    if snap::last_point(work) == Some(to) {
        complete(work, desk);
    } else if canvas.entered == Some(to) && lies_there(work, to) {
        // Whoever means it moves away and back; whoever only pressed again would pile up landmarks.
        desk.ask(Action::Problem(MOVE_FIRST.to_owned()));
    } else {
        canvas.by_keyboard = true;
        canvas.entered = Some(to);
        desk.ask(Action::Cursor(Some(to)));
        desk.ask(Action::Place(to));
    }
}

/// Whether another point than the one aimed at lies exactly here.
fn lies_there(work: &Work, to: Position<Stored>) -> bool {
    let aimed = work.aim.map(|target| placed_by(work, target));
    let spots = handles::spots(work.open.case(), work.open.half_placed(), work.ruler.as_ref());
    spots.iter().any(|spot| spot.at == to && Some(spot.handle) != aimed)
}

/// The view follows what would leave it.
pub(super) fn follow(sheet: &Sheet<'_>, place: Position<Stored>, desk: &mut Desk<'_>) {
    if !sheet.rect.shrink(EDGE).contains(sheet.seen(place)) {
        desk.ask(Action::Look(Look::Centre(place)));
    }
}

/// The point that has the keyboard itself, where one has; each point is a node of its own for screen readers.
pub(super) fn nodes(
    ui: &egui::Ui,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    work: &Work,
    desk: &mut Desk<'_>,
) -> Option<Handle> {
    let mut focused = None;
    for spot in spots {
        let rect = egui::Rect::from_center_size(sheet.seen(spot.at), egui::Vec2::splat(24.0));
        let id = Id::unique(super::CANVAS).with(spot.handle);
        let response = ui.interact(rect, id, egui::Sense::focusable_noninteractive());
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, handles::spoken(spot, work))
        });
        let pressed =
            ui.input(|input| input.has_accesskit_action_request(id, egui::accesskit::Action::Click));
        if response.gained_focus() || pressed {
            desk.ask(Action::Select(super::pointer::selection(spot.handle)));
        }
        if response.has_focus() && desk.session.help.is_none() {
            let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
            focused = Some(spot.handle);
        }
    }
    focused
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(keys: &[(Key, Modifiers)]) -> Typed {
        let mut typed = Typed::default();
        for (key, held) in keys {
            typed.take(*key, *held);
        }
        typed
    }

    #[test]
    fn arrows_go_by_pixels_tenths_and_tens() {
        let typed = typed(&[
            (Key::ArrowRight, Modifiers::NONE),
            (Key::ArrowDown, Modifiers::COMMAND),
            (Key::ArrowUp, Modifiers::SHIFT),
            (Key::ArrowLeft, Modifiers::NONE),
            (Key::ArrowLeft, Modifiers::NONE),
        ]);
        assert_eq!(typed, Typed { right: -1.0, down: 9.9, ..Typed::default() });
    }

    #[test]
    fn holding_shift_ends_no_run_of_nudges_and_other_keys_do() {
        assert!(!typed(&[(Key::ShiftLeft, Modifiers::SHIFT), (Key::ArrowUp, Modifiers::SHIFT)]).other);
        assert!(typed(&[(Key::H, Modifiers::NONE)]).other);
    }
}
