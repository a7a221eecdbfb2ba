//! What the pointer does on the film.

use super::drag::Drag;
use super::handles::{self, Spot};
use super::held::{self, Held, Toning};
use super::sheet::Sheet;
use super::{Canvas, snap};
use crate::case::Sight;
use crate::editor::{HalfPlaced, PointAt, Selection, next_of};
use crate::geometry::{Displacement, Position, Stored};
use crate::viewer::Work;
use crate::viewer::action::{Action, Handle, Look, Target};
use crate::viewer::app::Desk;
use crate::viewer::ruler::Ruler;
use crate::viewer::viewport::View;
use eframe::egui::{self, CursorIcon, Key, PointerButton, Pos2};

/// How near to a point a press means it, points of the screen.
pub(super) const REACH: f64 = 12.0;
/// The same while something is aimed at: landmarks lie close together.
const REACH_AIMING: f64 = 7.0;
/// How far the pointer must go, in points of the screen, before a press is a drag.
const DRAG_BEGINS: f32 = 3.0;
/// How near a second press must be to count as a double one, points of the screen.
const DOUBLE_WITHIN: f32 = 5.0;

/// What the pointer does in this frame.
struct Doing {
    at: Option<Pos2>,
    /// Where the button that is down was pressed: the pointer may have gone on since, in the same frame.
    pressed_at: Option<Pos2>,
    delta: egui::Vec2,
    pressed: Option<PointerButton>,
    down: [bool; 2],
    slowly: bool,
    space: bool,
    time: f64,
    /// How soon a second press counts as a double one, seconds.
    double_within: f64,
}

impl Doing {
    fn now(ui: &egui::Ui) -> Self {
        let space_counts = ui.memory(|memory| {
            memory.focused().is_none_or(|focused| focused == egui::Id::unique(super::CANVAS))
        });
        let double_within = ui.options(|options| options.input_options.max_double_click_delay);
        ui.input(|input| {
            let pointer = &input.pointer;
            let pressed = [PointerButton::Primary, PointerButton::Middle]
                .into_iter()
                .find(|button| pointer.button_pressed(*button));
            Self {
                at: pointer.interact_pos(),
                pressed_at: pointer.press_origin().or(pointer.interact_pos()),
                delta: pointer.delta(),
                pressed,
                down: [pointer.primary_down(), pointer.middle_down()],
                slowly: goes_slowly(input.modifiers),
                space: space_counts && input.key_down(Key::Space),
                time: input.time,
                double_within,
            }
        })
    }

    const fn is_down(&self, button: PointerButton) -> bool {
        match button {
            PointerButton::Primary => self.down[0],
            PointerButton::Middle => self.down[1],
            _ => false,
        }
    }
}

/// Whether a drag is slow, and a point free of the line it would fall onto. Many window managers keep Alt to themselves.
pub(super) const fn goes_slowly(held: egui::Modifiers) -> bool {
    held.shift || held.alt
}

/// Takes in what the pointer does on the film.
pub(super) fn take_in(
    ui: &egui::Ui,
    response: &egui::Response,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    let session = desk.session;
    let Some(work) = &session.work else { return };
    let doing = Doing::now(ui);
    let is_covered = |at: Pos2| canvas.covered.iter().any(|badge| badge.contains(at));
    let over = response.contains_pointer() && !doing.at.is_some_and(is_covered);
    canvas.is_free = doing.slowly;
    if doing.delta != egui::Vec2::ZERO || doing.pressed.is_some() {
        canvas.by_keyboard = false;
        if over && work.cursor.is_some() {
            desk.ask(Action::Cursor(None));
        }
    }
    let under = doing.at.filter(|_| over).map(|at| sheet.place(at)).filter(|at| sheet.is_on_film(*at));
    canvas.pointer = under.filter(|_| !canvas.by_keyboard);
    magnify(ui, sheet, doing.at.filter(|_| over), desk);
    held::mind(work, spots, desk, canvas);
    tone(ui, doing.at.filter(|_| over), desk, canvas);
    let Some(at) = doing.at else {
        canvas.hovered = None;
        let_go(&doing, canvas.last, sheet, work, desk, canvas);
        return;
    };
    if doing.pressed.is_some() && over && !egui::Popup::is_any_open(ui) {
        response.request_focus();
        let pressed_at = doing.pressed_at.unwrap_or(at);
        press(pressed_at, &doing, sheet, spots, work, desk, canvas);
        canvas.last = pressed_at;
    }
    carry(at, &doing, sheet, work, desk, canvas);
    canvas.last = at;
    let_go(&doing, at, sheet, work, desk, canvas);
    canvas.hovered = None;
    if over {
        cursor(ui, work, sheet, spots, at, &doing, canvas);
    }
}

/// Wheel and pinch magnify around the pointer.
fn magnify(ui: &egui::Ui, sheet: &Sheet<'_>, at: Option<Pos2>, desk: &mut Desk<'_>) {
    let Some(at) = at else { return };
    let (scrolled, pinched) = ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta()));
    let by = f64::from(pinched) * (f64::from(scrolled.y) / 240.0).exp();
    if (by - 1.0).abs() > 1e-6 {
        desk.ask(Action::Look(Look::Zoom { by, at: sheet.view(at) }));
    }
}

/// A drag with the secondary button changes window and level; a click opens a menu.
fn tone(ui: &egui::Ui, at: Option<Pos2>, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let session = desk.session;
    let Some(work) = &session.work else { return };
    let (pressed, down, now, delta) = ui.input(|input| {
        let pointer = &input.pointer;
        (pointer.secondary_pressed(), pointer.secondary_down(), pointer.interact_pos(), pointer.delta())
    });
    if let Some(at) = at.filter(|_| pressed) {
        canvas.toning = Toning::Pressed(at);
    }
    if !down {
        canvas.toning = Toning::Not;
    }
    match (canvas.toning, now, work.film.shown()) {
        // A click that shakes is still a click.
        (Toning::Pressed(from), Some(now), _) if from.distance(now) > DRAG_BEGINS => {
            canvas.toning = Toning::Drags;
        }
        (Toning::Drags, _, Some(film)) if delta != egui::Vec2::ZERO => {
            let tone = work.tone.dragged(&film.first_look, f64::from(delta.x), f64::from(delta.y));
            desk.ask(Action::Tone(tone));
        }
        _ => {}
    }
}

fn press(
    at: Pos2,
    doing: &Doing,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    work: &Work,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    let button = doing.pressed.unwrap_or(PointerButton::Primary);
    if button == PointerButton::Middle || doing.space {
        canvas.held = Held::Film { button, unmoved: None };
        return;
    }
    let twice = canvas.last_press.is_some_and(|(time, place)| {
        doing.time - time <= doing.double_within && place.distance(at) <= DOUBLE_WITHIN
    });
    canvas.last_press = Some((doing.time, at));
    if twice && work.aim.is_some() {
        complete(work, desk);
        return;
    }
    let reach = if work.aim.is_some() { REACH_AIMING } else { REACH };
    let seen = |place| sheet.viewport.seen(place);
    let selected = handles::selected(work);
    if let Some(spot) = handles::meant(spots, seen, sheet.view(at), reach, selected) {
        if work.aim.is_none() {
            desk.ask(Action::Select(selection(spot.handle)));
        }
        canvas.held = Held::Pressed { spot: *spot, at };
    } else if let Some(target) = work.aim
        && sheet.is_on_film(sheet.place(at))
    {
        let place = snap::snapped(work, sheet.place(at), doing.slowly);
        desk.ask(Action::BeginGesture);
        desk.ask(Action::Place(place));
        begin_drag(Drag::of(placed_by(work, target), place, Some(target)), canvas);
    } else {
        canvas.held = Held::Film { button, unmoved: Some(at) };
    }
}

fn begin_drag(drag: Drag, canvas: &mut Canvas) {
    canvas.held = Held::Dragged(drag);
    canvas.gesture_was_seen = false;
}

/// Puts the point that is dragged where the drag has come to.
fn put(work: &Work, drag: &mut Drag, film: [f64; 2], slowly: bool, desk: &mut Desk<'_>) {
    let to = snap::snapped_on_its_way(work, drag.handle, drag.place(film), slowly);
    drag.left_at = to;
    desk.ask(Action::Move { point: drag.handle, to });
}

/// Moves what the pointer holds.
fn carry(at: Pos2, doing: &Doing, sheet: &Sheet<'_>, work: &Work, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let film = sheet.viewport.film_size();
    let last = canvas.last;
    let way = |from: Pos2| -> Displacement<View> { sheet.view(at).way_from(sheet.view(from)) };
    match &mut canvas.held {
        Held::Nothing => {}
        Held::Pressed { spot, at: pressed } => {
            if pressed.distance(at) > DRAG_BEGINS {
                let mut drag = Drag::of(spot.handle, spot.at, None);
                drag.go(sheet.viewport.way(way(*pressed)), doing.slowly);
                desk.ask(Action::Select(selection(spot.handle)));
                desk.ask(Action::BeginGesture);
                put(work, &mut drag, film, doing.slowly, desk);
                begin_drag(drag, canvas);
            }
        }
        Held::Dragged(drag) => {
            if let Some(end) = other_end(drag, at, sheet, work) {
                desk.ask(Action::Place(end));
                *drag = Drag::of(Handle::Ruler(1), end, drag.placed_for);
            } else if at != last {
                drag.go(sheet.viewport.way(way(last)), doing.slowly);
                put(work, drag, film, doing.slowly, desk);
            }
        }
        Held::Film { unmoved, .. } => {
            let by = match *unmoved {
                Some(pressed) if pressed.distance(at) > DRAG_BEGINS => way(pressed),
                Some(_) => return,
                None => way(last),
            };
            *unmoved = None;
            if by.length() > 0.0 {
                desk.ask(Action::Look(Look::Pan(by)));
            }
        }
    }
}

/// Where a drag that began a ruler lays its other end: once it goes on from the first.
fn other_end(drag: &Drag, at: Pos2, sheet: &Sheet<'_>, work: &Work) -> Option<Position<Stored>> {
    let begins = drag.handle == Handle::Ruler(0) && drag.placed_for == Some(Target::Ruler);
    let ends = work.ruler.as_ref().filter(|_| begins)?.ends();
    let &[first] = ends else { return None };
    let goes_on = sheet.seen(first).distance(at) > DRAG_BEGINS;
    goes_on.then(|| super::drag::onto(sheet.place(at), sheet.viewport.film_size()))
}

/// Ends what the pointer does once its button is up.
fn let_go(doing: &Doing, at: Pos2, sheet: &Sheet<'_>, work: &Work, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let button = if let Held::Film { button, .. } = canvas.held { button } else { PointerButton::Primary };
    if doing.is_down(button) {
        return;
    }
    match std::mem::take(&mut canvas.held) {
        Held::Nothing => {}
        Held::Pressed { at: pressed, .. } => {
            // A click on a point places what is aimed at: points may lie on one another.
            let place = sheet.place(pressed);
            if work.aim.is_some() && sheet.is_on_film(place) {
                desk.ask(Action::Place(snap::snapped(work, place, doing.slowly)));
            }
        }
        Held::Dragged(_) => desk.ask(Action::EndGesture),
        Held::Film { unmoved, .. } => {
            if unmoved.is_some_and(|pressed| pressed.distance(at) <= DRAG_BEGINS)
                && work.aim.is_none()
                && work.open.selection().is_some()
            {
                desk.ask(Action::Select(None));
            }
        }
    }
}

/// Makes whole what takes as many points as one likes, or puts a canal down.
pub(super) fn complete(work: &Work, desk: &mut Desk<'_>) {
    match work.aim {
        Some(Target::HalfPlaced) => {
            if work.open.half_placed().is_some_and(HalfPlaced::can_be_completed) {
                desk.ask(Action::CompletePlacing);
            }
        }
        Some(Target::CanalPoint(_)) => {
            let next = next_of(work.open.case(), None, Sight::Asked);
            desk.ask(Action::Aim(next.map(Target::Landmark)));
        }
        Some(Target::Landmark(_) | Target::Ruler) | None => {}
    }
}

/// The point that placing a target makes.
pub(super) fn placed_by(work: &Work, target: Target) -> Handle {
    match target {
        Target::Landmark(at) => Handle::Case(PointAt::Landmark(at)),
        Target::CanalPoint(root) => {
            let roots = &work.open.case().roots;
            let at = roots.iter().find(|it| it.name == root).map_or(0, |it| it.canal.len());
            Handle::Case(PointAt::Canal { root, at })
        }
        Target::Ruler => Handle::Ruler(work.ruler.as_ref().map_or(0, Ruler::next)),
        Target::HalfPlaced => Handle::Clicked(work.open.half_placed().map_or(0, |half| half.points().len())),
    }
}

/// What is selected with a point.
pub(super) const fn selection(handle: Handle) -> Option<Selection> {
    match handle {
        Handle::Case(PointAt::Landmark(at)) => Some(Selection::Landmark(at)),
        Handle::Case(point) => Some(Selection::Point(point)),
        Handle::Clicked(_) | Handle::Ruler(_) => None,
    }
}

fn cursor(
    ui: &egui::Ui,
    work: &Work,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    at: Pos2,
    doing: &Doing,
    canvas: &mut Canvas,
) {
    let reach = if work.aim.is_some() { REACH_AIMING } else { REACH };
    let seen = |place| sheet.viewport.seen(place);
    let hovered = handles::meant(spots, seen, sheet.view(at), reach, handles::selected(work));
    canvas.hovered = hovered.map(|spot| spot.handle);
    let icon = match canvas.held {
        Held::Film { unmoved: None, .. } => CursorIcon::Grabbing,
        Held::Dragged(_) => CursorIcon::None,
        _ if doing.space => CursorIcon::Grab,
        _ if work.aim.is_some() => CursorIcon::Crosshair,
        _ if hovered.is_some() => CursorIcon::Move,
        _ => CursorIcon::Default,
    };
    ui.set_cursor_icon(icon);
}
