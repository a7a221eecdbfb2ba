//! The film's part of the window: the picture, what lies on it, and the pointer and keyboard that place it.

mod drag;
mod handles;
mod keys;
mod marks;
mod pointer;
mod sheet;
mod snap;
mod steps;

use super::action::{Action, Handle, Look, Target};
use super::app::Desk;
use super::tiles::Tiles;
use crate::geometry::{Position, Stored};
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Id, Pos2, Sense, WidgetInfo};
use pointer::Held;
use sheet::Sheet;

/// The name of the film's part of the window.
pub(super) const CANVAS: &str = "film";

/// What the film's part of the window keeps from frame to frame.
#[derive(Default)]
pub(super) struct Canvas {
    tiles: Tiles,
    pointer: Option<Position<Stored>>,
    hovered: Option<Handle>,
    held: Held,
    /// Whether the session has begun the gesture of what is held.
    gesture_was_seen: bool,
    last_press: Option<(f64, Pos2)>,
    /// Nudges that are one step of undo.
    run: Option<keys::Run>,
    /// What was aimed at in the frame before.
    aim_before: Option<Target>,
    /// Whether the keyboard moved last, and not the pointer.
    by_keyboard: bool,
}

impl Canvas {
    /// The place of the film under the pointer.
    pub(super) const fn pointer(&self) -> Option<Position<Stored>> {
        self.pointer
    }
}

/// Draws the film's part of the window and takes in what the pointer does there.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let session = desk.session;
    let Some(work) = &session.work else {
        super::empty::show(ui, desk);
        return;
    };
    let rect = ui.available_rect_before_wrap();
    let size = [f64::from(rect.width()), f64::from(rect.height())];
    if work.viewport.view_size() != size.map(|length| length.max(1.0)) {
        desk.ask(Action::Look(Look::Resize(size)));
    }
    let response = ui.interact(rect, Id::unique(CANVAS), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "film"));
    let painter = ui.painter_at(rect);
    let sheet = Sheet { rect, viewport: &work.viewport };
    if let Some(film) = work.film.shown() {
        canvas.tiles.paint(&painter, rect, &work.viewport, film, work.tone);
    }
    let spots = handles::spots(work.open.case(), work.open.half_placed());
    marks::draw(&painter, &sheet, work, &spots);
    pointer::take_in(ui, &response, &sheet, &spots, desk, canvas);
    let node = keys::nodes(ui, &sheet, &spots, work, desk);
    keys::take_in(ui, &response, &sheet, &spots, node, desk, canvas);
}

/// What the pointer and keys do on the film, for the list of shortcuts.
pub(super) fn help(_ui: &mut egui::Ui) {}
