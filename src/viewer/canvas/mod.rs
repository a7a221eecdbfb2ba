//! The film's part of the window: the picture, what lies on it, and the pointer and keyboard that place it.

mod badge;
mod compare;
mod drag;
mod handles;
mod heard;
mod held;
mod help;
mod keys;
mod labels;
mod line;
mod look_here;
mod loupe;
mod marks;
mod menu;
mod planned_post;
mod pointer;
mod ring;
mod scale_bar;
pub(super) mod shape;
mod sheet;
mod snap;
mod spans;
mod steps;
mod strip;
mod unseen;

use super::action::{Action, Handle, Look, Target};
use super::app::Desk;
use super::command::Command;
use super::practice::drawn::vectors;
use super::ruler::Ruler;
use super::shown_film::ShownFilm;
use super::tiles::Tiles;
use super::work::Work;
use crate::case::RowRef;
use crate::editor::{PointAt, hint};
use crate::film::Tone;
use crate::geometry::{Position, Stored};
pub(super) use badge::seen_turn;
use drag::Drag;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Color32, Event, Id, Pos2, Rect, Sense, Stroke, StrokeKind, WidgetInfo};
use held::{Held, Toning};
use look_here::Band;
use loupe::{Clear, Middle};
pub(in crate::viewer) use sheet::Sheet;
use std::sync::Arc;
use std::time::Instant;

/// The name of the film's part of the window.
pub(super) const CANVAS: &str = "film";

/// What lies around the film, in both themes: eyes used to a film need dark around it.
const BESIDE_FILM: Color32 = Color32::from_rgb(26, 26, 29);

/// What the film's part of the window keeps from frame to frame.
#[derive(Default)]
pub(super) struct Canvas {
    /// When the case was opened that all but the pictures belongs to.
    of: Option<Instant>,
    tiles: Tiles,
    /// The film as it asks to be seen, while it is compared.
    asked: Tiles,
    pointer: Option<Position<Stored>>,
    hovered: Option<Handle>,
    held: Held,
    toning: Toning,
    /// Whether the session has begun the gesture of what is held.
    gesture_was_seen: bool,
    /// A drag that came to its end in the frame before without being let go.
    broken_off: Option<Drag>,
    last_press: Option<(f64, Pos2)>,
    /// Where the pointer was in the frame before.
    last: Pos2,
    /// Nudges that are one step of undo.
    run: Option<keys::Run>,
    /// What was aimed at in the frame before.
    aim_before: Option<Target>,
    /// Where Enter placed last, as long as the cursor was not moved since.
    entered: Option<Position<Stored>>,
    /// Whether the keyboard moved last, and not the pointer.
    by_keyboard: bool,
    /// Whether a key lets a point be free of the line it would fall onto.
    is_free: bool,
    /// The point whose menu is open.
    menu_of: Option<Handle>,
    /// Where badges lie over the film: the film is not pressed there.
    covered: Vec<Rect>,
    loupe: loupe::Loupe,
}

impl Canvas {
    /// The place of the film under the pointer.
    pub(super) const fn pointer(&self) -> Option<Position<Stored>> {
        self.pointer
    }

    /// Forgets what belongs to another case: its points may bear the same names.
    fn take_up(&mut self, work: &Work) {
        if self.of != Some(work.opened) {
            let Self { tiles, asked, loupe, .. } = std::mem::take(self);
            *self = Self { of: Some(work.opened), tiles, asked, loupe, ..Self::default() };
        }
    }

    /// The point that is being moved.
    fn busy(&self) -> Option<Handle> {
        match self.held {
            Held::Dragged(drag) => Some(drag.handle),
            _ => self.run.map(|run| run.handle),
        }
    }

    /// The point of the case that is pointed at: under the pointer, on its way, or reached by the keyboard.
    fn points_at(&self, work: &Work, node: Option<Handle>) -> Option<PointAt> {
        let by_keyboard = || if self.by_keyboard { handles::selected(work) } else { None };
        match self.busy().or(self.hovered).or(node).or_else(by_keyboard)? {
            Handle::Case(at) => Some(at),
            Handle::Clicked(_) | Handle::Ruler(_) => None,
        }
    }

    /// The place the loupe shows: that of the point being moved, else where the next click would place.
    fn under_loupe(&self, work: &Work, spots: &[handles::Spot]) -> Option<Position<Stored>> {
        if let Some(busy) = self.busy() {
            return spots.iter().find(|spot| spot.handle == busy).map(|spot| spot.at);
        }
        work.aim?;
        let place = if self.by_keyboard { work.cursor } else { self.pointer };
        place.map(|place| snap::snapped(work, place, self.is_free))
    }
}

/// Draws the film's part of the window and takes in what the pointer and keys do there.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, canvas: &mut Canvas) {
    let session = desk.session;
    let Some(work) = &session.work else {
        super::empty::show(ui, desk);
        return;
    };
    canvas.take_up(work);
    strip::show(ui, desk);
    let rect = ui.available_rect_before_wrap();
    let size = [f64::from(rect.width()), f64::from(rect.height())];
    if work.viewport.view_size() != size.map(|length| length.max(1.0)) {
        desk.ask(Action::Look(Look::Resize(size)));
    }
    let response = ui.interact(rect, Id::unique(CANVAS), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "film"));
    let sheet = Sheet { rect, viewport: &work.viewport };
    let spots = handles::spots(&work.seen_case(), work.open.half_placed(), work.ruler.as_ref());
    pointer::take_in(ui, &response, &sheet, &spots, desk, canvas);
    let node = keys::nodes(ui, &sheet, &spots, work, desk);
    keys::take_in(ui, &response, &sheet, &spots, node, desk, canvas);
    heard::take_in(ui, &response, &sheet, work, desk, canvas);
    menu::show(&response, &sheet, &spots, work, desk, canvas);
    let pointed = canvas.points_at(work, node);
    if pointed != work.pointed_place {
        desk.ask(Action::PointPlace(pointed));
    }
    let number = number_pointed_at(desk, work);
    draw(ui, &sheet, work, &spots, canvas, number.as_ref());
    // What is said of a film that is not shown stands at the top, and so do the words of two tones.
    let is_compared = compare::is_wanted(ui, work);
    let is_lower = work.film.shown().is_none() || is_compared;
    let seen = badge::show(ui, &sheet, is_lower, desk);
    // Two tones are said by their own words.
    let tone = compare::changed_words(work.tone).filter(|_| work.film.shown().is_some() && !is_compared);
    let toned = tone.map(|tone| badge::toned(ui, &sheet, &tone, seen, desk));
    canvas.covered = seen.into_iter().chain(toned).collect();
    if response.has_focus() {
        // The words say that the length is of no case, wherever they are put.
        let length = work.ruler.as_ref().and_then(Ruler::words);
        if let Some(words) = length.filter(|_| ui.input(|input| input.events.contains(&Event::Copy))) {
            desk.ask(Action::Copy(words));
        }
        let stroke = Stroke::new(2.0, ui.visuals().selection.stroke.color);
        ui.painter().rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
    }
}

/// The number that is pointed at: in this very frame, since the worksheet is drawn before the film.
fn number_pointed_at(desk: &Desk<'_>, work: &Work) -> Option<RowRef> {
    let asked = desk.actions.iter().rev().find_map(|action| match action {
        Action::PointNumber(number) => Some(number.clone()),
        _ => None,
    });
    asked.unwrap_or_else(|| work.pointed_number.clone())
}

fn draw(
    ui: &egui::Ui,
    sheet: &Sheet<'_>,
    work: &Work,
    spots: &[handles::Spot],
    canvas: &mut Canvas,
    number: Option<&RowRef>,
) {
    let painter = ui.painter_at(sheet.rect);
    painter.rect_filled(sheet.rect, 0.0, BESIDE_FILM);
    let film = work.film.shared();
    if let Some(film) = film {
        picture(ui, &painter, sheet, work, film, canvas);
    }
    let is_bare = work.is_bare || is_held(ui, Command::Bare);
    let mut clear = Clear::default();
    if !is_bare {
        clear = lie(ui, &painter, sheet, work, spots, canvas, number);
        if let Some(place) = work.cursor {
            marks::cursor(&painter, sheet, place);
        }
        if canvas.busy().is_none()
            && snap::line(work).is_some()
            && let Some(place) = canvas.under_loupe(work, spots)
        {
            marks::aim_cross(&painter, sheet.seen(place), Color32::WHITE);
        }
    }
    if let Some(film) = film
        && let Some(place) = canvas.under_loupe(work, spots)
    {
        clear.points.extend(canvas.pointer.map(|at| sheet.seen(at)));
        let ring = ring::of(work, canvas.busy());
        canvas.loupe.draw(&painter, sheet, film, work.tone, &Middle { place, ring }, &clear);
    }
}

/// Whether the key of a command that counts while it is held is down, and no text is typed with it.
fn is_held(ui: &egui::Ui, command: Command) -> bool {
    let is_down = |input: &egui::InputState| {
        let keys = command.shortcuts();
        !input.modifiers.command && keys.iter().any(|keys| input.key_down(keys.logical_key))
    };
    !ui.text_edit_focused() && ui.input(is_down)
}

/// Draws what lies on the film. Gives what of it the loupe is to leave to be seen.
fn lie(
    ui: &egui::Ui,
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    spots: &[handles::Spot],
    canvas: &Canvas,
    number: Option<&RowRef>,
) -> Clear {
    let mut around = marks::lines(painter, sheet, work);
    around.taken.extend(scale_bar::draw(painter, sheet, work));
    let mut parts = Vec::new();
    if let Some(Target::Landmark(at)) = work.aim
        && at.mark(work.open.case()).is_none()
        && let Some(hint) = hint(work.open.case(), at)
    {
        let band = Band::of(sheet, &hint);
        band.draw(painter);
        let rect = band.rect().intersect(sheet.rect);
        if rect.is_positive() {
            around.taken.push(rect);
            around.more.push((rect, format!("look here: {}", at.words()), Color32::WHITE));
            parts.push(rect);
        }
    }
    around.taken.extend(canvas.covered.iter().copied());
    around.taken.extend(unseen::draw(ui, sheet, work.open.case()));
    // A planned post lies along points that may be placed again.
    let planned = if work.again.is_none() { planned_post::draw(painter, sheet, work) } else { Vec::new() };
    around
        .more
        .extend(planned.into_iter().map(|(at, words, colour)| (labels::around_point(at), words, colour)));
    // What a number measures ends at the points it uses.
    let number = number.filter(|number| work.again.is_none_or(|again| !work.uses(number, again)));
    let words = number.and_then(|number| spans::number(painter, sheet, work, number));
    let words = words.into_iter().chain(spans::ruler(painter, sheet, work));
    around.more.extend(words.map(|(at, words)| (labels::around_point(at), words, Color32::WHITE)));
    marks::marks(painter, sheet, work, spots, canvas);
    let compared = vectors::draw(painter, sheet, work);
    around.more.extend(compared.map(|(at, words)| (labels::around_point(at), words, Color32::WHITE)));
    // Under the pointer, on its way, or where the keyboard is.
    let pointed = canvas.points_at(work, None).or(work.pointed_place);
    let pointed = pointed.filter(|at| work.again.is_none_or(|again| *at != PointAt::Landmark(again)));
    around.placing = pointed.and_then(|at| Some((at, spans::placing(painter, sheet, work, at)?)));
    parts.extend(marks::names(painter, sheet, work, spots, canvas, around));
    let selected = handles::selected(work);
    let selected = spots.iter().filter(|spot| Some(spot.handle) == selected);
    Clear { points: selected.map(|spot| sheet.seen(spot.at)).collect(), parts }
}

/// Draws the film, in two tones where it is compared.
fn picture(
    ui: &egui::Ui,
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    film: &Arc<ShownFilm>,
    canvas: &mut Canvas,
) {
    if !compare::is_wanted(ui, work) {
        canvas.asked = Tiles::default();
        canvas.tiles.paint(painter, sheet.rect, sheet.viewport, film, work.tone);
        return;
    }
    let sides = compare::Sides::of(ui, sheet.rect, work.tone, &film.first_look);
    for (tiles, side, tone) in
        [(&mut canvas.asked, sides.asked, Tone::default()), (&mut canvas.tiles, sides.toned, work.tone)]
    {
        tiles.paint(&painter.with_clip_rect(side), sheet.rect, sheet.viewport, film, tone);
    }
    sides.draw(ui);
}

/// What the pointer and keys do on the film, for the list of shortcuts.
pub(super) fn help(ui: &mut egui::Ui) {
    help::show(ui);
}
