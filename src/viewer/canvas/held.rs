//! What the pointer holds while its button is down, and what makes it let go before the button comes up.

use super::Canvas;
use super::drag::Drag;
use super::handles::Spot;
use crate::viewer::Work;
use crate::viewer::action::{Action, Target};
use crate::viewer::app::Desk;
use crate::viewer::command::Menu;
use eframe::egui::{PointerButton, Pos2};

/// What the pointer holds while its button is down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) enum Held {
    /// Nothing.
    #[default]
    Nothing,
    /// A point that was pressed and may yet be dragged.
    Pressed {
        /// The point.
        spot: Spot,
        /// Where it was pressed.
        at: Pos2,
    },
    /// A point on its way.
    Dragged(Drag),
    /// The film itself.
    Film {
        /// With which button.
        button: PointerButton,
        /// Where it was pressed; `None` once it has moved.
        unmoved: Option<Pos2>,
    },
}

/// What the secondary button does while it is down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) enum Toning {
    /// Nothing.
    #[default]
    Not,
    /// It was pressed here.
    Pressed(Pos2),
    /// It changes window and level.
    Drags,
}

/// Lets go of what cannot be carried on: while a question is asked, after a command that changes the case, and where
/// the point is no longer where it was left. A file command and one of the view cancel nothing.
pub(super) fn mind(work: &Work, spots: &[Spot], desk: &mut Desk<'_>, canvas: &mut Canvas) {
    if let Some(drag) = canvas.broken_off.take()
        && let Some(target) = drag.placed_for
        && is_to_place(work, spots, &drag, target)
    {
        desk.ask(Action::Aim(Some(target)));
    }
    if desk.session.question.is_some() {
        canvas.toning = Toning::Not;
        if let Held::Dragged(_) = std::mem::take(&mut canvas.held) {
            desk.ask(Action::EndGesture);
        }
        return;
    }
    let Held::Dragged(drag) = canvas.held else { return };
    let changes = |action: &Action| match action {
        Action::Command(command) => command.menu() == Menu::Case,
        _ => false,
    };
    let is_over = canvas.gesture_was_seen && !work.open.in_gesture();
    canvas.gesture_was_seen |= work.open.in_gesture();
    let is_there = spots.iter().any(|spot| spot.handle == drag.handle && spot.at == drag.left_at);
    if desk.actions.iter().any(changes) || (is_over && !is_there) {
        canvas.held = Held::Nothing;
        canvas.broken_off = Some(drag);
        desk.ask(Action::EndGesture);
    } else if is_over {
        // Saving ends a gesture and leaves the point under the pointer: what follows is another one.
        canvas.gesture_was_seen = false;
        desk.ask(Action::BeginGesture);
    }
}

/// Whether what a press placed was taken back, so that it is still to be placed.
fn is_to_place(work: &Work, spots: &[Spot], drag: &Drag, target: Target) -> bool {
    match target {
        Target::Landmark(at) => at.mark(work.open.case()).is_none(),
        Target::CanalPoint(_) | Target::Ruler => !spots.iter().any(|spot| spot.handle == drag.handle),
        Target::HalfPlaced => false,
    }
}
