//! The keyboard in a window of help: it comes there when the window opens, and Tab and arrow keys stay within. What lies behind
//! is still pressed by the pointer, which a guide beside the film is for.

use super::keyboard::{beside_worksheet, control};
use super::session::Session;
use eframe::egui::{self, FocusDirection, Id, Key, Modifiers, Order};

/// A window that opens is drawn out of sight in its first frame; after so many nothing in it takes the keyboard.
const TRIES: u8 = 4;

/// What is kept from frame to frame while a window of help is open.
#[derive(Debug, Clone, Copy, Default)]
struct Kept {
    /// How often the keyboard is still to be sent into the window, until it is there.
    comes: u8,
    /// What of the window had the keyboard when the frame before began.
    began_at: Option<Id>,
    /// The same at its end.
    ended_at: Option<Id>,
    /// Where a key was to take the keyboard in the frame before.
    went: Option<Way>,
}

/// Where a key takes the keyboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Next,
    Previous,
    Arrow,
}

fn kept(context: &egui::Context) -> Kept {
    context.data(|data| data.get_temp(place())).unwrap_or_default()
}

fn keep(context: &egui::Context, kept: Kept) {
    context.data_mut(|data| data.insert_temp(place(), kept));
}

fn place() -> Id {
    Id::unique("the keyboard in a window of help")
}

/// Whether the keyboard belongs to a window of help. What is asked comes first, and keys choose in a list that is open.
fn is_on(context: &egui::Context, session: &Session) -> bool {
    session.help.is_some() && session.question.is_none() && !egui::Popup::is_any_open(context)
}

/// What has the keyboard, if it is of a window of help.
pub(super) fn focused(context: &egui::Context) -> Option<Id> {
    let focused = context.memory(egui::Memory::focused)?;
    let layer = control(context, focused)?.layer_id;
    // Of all that lies over the panels only notices are no windows of help.
    (layer.order == Order::Middle && layer.id != Id::unique(super::notices::NOTICES)).then_some(focused)
}

/// Begins the frame, before anything is drawn.
pub(super) fn begin(context: &egui::Context, session: &Session) {
    if !is_on(context, session) {
        return;
    }
    let mut kept = kept(context);
    let focus = context.memory(egui::Memory::focused);
    let within = focused(context);
    match (kept.went.take(), kept.ended_at) {
        // From its first control back to its last.
        (Some(Way::Previous), Some(_)) if within.is_none() => {
            give_up(context);
            context.memory_mut(|memory| memory.move_focus(FocusDirection::Previous));
        }
        (Some(Way::Arrow), Some(held)) if within.is_none() => {
            context.memory_mut(|memory| memory.request_focus(held));
        }
        // From its last control to its first; which of those behind it came to is known once they are drawn.
        (Some(Way::Next), _) if kept.began_at.is_some() && within.is_none() => kept.comes = TRIES,
        _ => {}
    }
    let way = way(context);
    // Whoever has only looked at what lies behind, or pressed the film, comes in by Tab.
    let is_nowhere = focus.is_none_or(|focus| focus == beside_worksheet(session));
    if way == Some(Way::Next) && is_nowhere {
        kept.comes = TRIES;
    }
    if way == Some(Way::Previous) && is_nowhere {
        give_up(context);
        context.memory_mut(|memory| memory.move_focus(FocusDirection::Previous));
    }
    kept.began_at = focused(context);
    kept.went = way;
    keep(context, kept);
}

/// Where a key that was pressed takes the keyboard.
fn way(context: &egui::Context) -> Option<Way> {
    const ARROWS: [Key; 4] = [Key::ArrowUp, Key::ArrowDown, Key::ArrowLeft, Key::ArrowRight];
    context.input(|input| {
        let is_pressed = |key| input.key_pressed(key);
        match input.modifiers {
            Modifiers::NONE if is_pressed(Key::Tab) => Some(Way::Next),
            held if held.shift_only() && is_pressed(Key::Tab) => Some(Way::Previous),
            Modifiers::NONE if ARROWS.into_iter().any(is_pressed) => Some(Way::Arrow),
            _ => None,
        }
    })
}

/// Has the keyboard come into the window of help.
pub(super) fn come(context: &egui::Context) {
    keep(context, Kept { comes: TRIES, ..kept(context) });
}

/// Nothing of this is kept once no window of help is open, or another one is; what had the keyboard in it is gone.
pub(super) fn leave(context: &egui::Context) {
    context.data_mut(|data| data.remove::<Kept>(place()));
    if focused(context).is_some() {
        give_up(context);
    }
}

/// Just before the window is drawn: where the keyboard is to come in, its first control takes it.
pub(super) fn enter(context: &egui::Context, session: &Session) {
    let mut kept = kept(context);
    if kept.comes == 0 || !is_on(context, session) {
        return;
    }
    kept.comes -= 1;
    if focused(context).is_some() {
        kept.comes = 0;
    } else {
        give_up(context);
        context.memory_mut(|memory| memory.move_focus(FocusDirection::Next));
        context.request_repaint();
    }
    keep(context, kept);
}

/// Ends the frame, once the window is drawn.
pub(super) fn end(context: &egui::Context, session: &Session) {
    if !is_on(context, session) {
        return;
    }
    let mut kept = kept(context);
    kept.ended_at = focused(context);
    if kept.ended_at.is_some() {
        kept.comes = 0;
    }
    if kept.went.is_some() {
        context.request_repaint();
    }
    keep(context, kept);
}

fn give_up(context: &egui::Context) {
    context.memory_mut(|memory| {
        if let Some(focused) = memory.focused() {
            memory.surrender_focus(focused);
        }
    });
}
