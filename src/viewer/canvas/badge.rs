//! That the film is mirrored, turned or toned, said at its top where nobody can miss it: on a mirrored film left is right,
//! and a film that is sharpened shows edges that are not in it.

use super::sheet::Sheet;
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use crate::viewer::theme;
use eframe::egui::accesskit::Role;
use eframe::egui::{
    self, Color32, CursorIcon, FontId, Id, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, StrokeKind,
    Vec2, WidgetInfo, pos2, vec2,
};

/// From the top of the film's part of the window; lower where that is taken by other words.
const TOP: f32 = 8.0;
const LOWER: f32 = 46.0;
/// Room for each shape before the words.
const SHAPE: f32 = 24.0;
const PADDING: Vec2 = vec2(9.0, 5.0);

/// How far the film is seen turned, degrees, and which way; no way where it is upright or upside down.
pub(in crate::viewer) fn seen_turn(is_mirrored: bool, turn_deg: f64) -> (f64, Option<&'static str>) {
    // A film that is turned and then mirrored looks like one that is mirrored and then turned the other way.
    let seen = if is_mirrored { -turn_deg } else { turn_deg };
    let tenths = (seen * 10.0).round().rem_euclid(3600.0);
    match tenths {
        0.0 | 1800.0 => (tenths / 10.0, None),
        right if right < 1800.0 => (right / 10.0, Some("right")),
        right => ((3600.0 - right) / 10.0, Some("left")),
    }
}

/// How the film is seen, in words; `None` where it is seen upright.
fn words(is_mirrored: bool, turn_deg: f64) -> Option<String> {
    let turned = match seen_turn(is_mirrored, turn_deg) {
        (0.0, _) => None,
        (_, None) => Some("upside down".to_owned()),
        (angle, Some(way)) => Some(format!("turned {angle}\u{b0} to the {way}")),
    };
    match (is_mirrored, turned) {
        (false, turned) => turned,
        (true, None) => Some("mirrored".to_owned()),
        (true, Some(turned)) => Some(format!("mirrored and {turned}")),
    }
}

/// Draws the badge, where the film is not seen upright; a click shows it so. Gives where it stands.
pub(super) fn show(ui: &egui::Ui, sheet: &Sheet<'_>, is_lower: bool, desk: &mut Desk<'_>) -> Option<Rect> {
    let (is_mirrored, turn) = (sheet.viewport.is_mirrored(), sheet.viewport.turn_deg());
    let words = words(is_mirrored, turn)?;
    let is_turned = words != "mirrored";
    let shapes = SHAPE * (f32::from(u8::from(is_mirrored)) + f32::from(u8::from(is_turned)));
    let top = sheet.rect.top() + if is_lower { LOWER } else { TOP };
    let said = Said {
        id: "how the film is seen",
        words: &words,
        name: &format!("the film is {words}: show it upright, not mirrored"),
        hint: "click to show it upright, not mirrored",
    };
    let (response, rect) = plate(ui, sheet, &said, top, shapes);
    let painter = ui.painter_at(sheet.rect);
    let mut at = pos2(rect.left() + PADDING.x + SHAPE / 2.0 - 3.0, rect.center().y);
    if is_mirrored {
        mirrored(&painter, at);
        at.x += SHAPE;
    }
    if is_turned {
        turned(&painter, at);
    }
    if response.clicked() {
        desk.ask(Action::Command(Command::Upright));
    }
    Some(rect)
}

/// Draws that the film is toned otherwise than it asks, under the badge above; a click takes that back. Gives where it
/// stands.
pub(super) fn toned(
    ui: &egui::Ui,
    sheet: &Sheet<'_>,
    words: &str,
    above: Option<Rect>,
    desk: &mut Desk<'_>,
) -> Rect {
    let top = above.map_or(sheet.rect.top() + TOP, |above| above.bottom() + TOP / 2.0);
    let name = format!("the film is {words}: show it as it asks");
    let said = Said { id: "how the film is toned", words, name: &name, hint: "click to show it as it asks" };
    let (response, rect) = plate(ui, sheet, &said, top, 0.0);
    if response.clicked() {
        desk.ask(Action::Command(Command::ResetTone));
    }
    rect
}

/// What a badge says, to those who see and to those who hear it.
struct Said<'a> {
    id: &'static str,
    words: &'a str,
    name: &'a str,
    hint: &'static str,
}

/// Draws the plate of a badge and its words, with room for shapes before them.
fn plate(ui: &egui::Ui, sheet: &Sheet<'_>, said: &Said<'_>, top: f32, shapes: f32) -> (Response, Rect) {
    let painter = ui.painter_at(sheet.rect);
    let room = (sheet.rect.width() - shapes - 2.0 * PADDING.x - 16.0).max(60.0);
    let galley = painter.layout(said.words.to_owned(), FontId::proportional(14.0), Color32::WHITE, room);
    let size = galley.size() + vec2(shapes, 0.0) + 2.0 * PADDING;
    let rect = Rect::from_min_size(pos2(sheet.rect.center().x - size.x / 2.0, top), size);
    let response = ui.interact(rect, Id::unique(said.id), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, said.name));
    let is_pointed_at = response.hovered() || response.has_focus();
    painter.rect_filled(rect, 5.0, Color32::from_black_alpha(if is_pointed_at { 255 } else { 225 }));
    let edge = Stroke::new(if is_pointed_at { 2.5 } else { 1.5 }, theme::YELLOW);
    painter.rect_stroke(rect, 5.0, edge, StrokeKind::Inside);
    painter.galley(pos2(rect.left() + PADDING.x + shapes, rect.top() + PADDING.y), galley, Color32::WHITE);
    (response.on_hover_text(said.hint).on_hover_cursor(CursorIcon::PointingHand), rect)
}

/// Two triangles, one the mirror image of the other.
fn mirrored(painter: &Painter, at: Pos2) {
    let stroke = Stroke::new(1.4, theme::YELLOW);
    painter.vline(at.x, at.y - 8.0..=at.y + 8.0, stroke);
    for side in [-1.0, 1.0] {
        let corners = [(2.5, 6.0), (9.0, 6.0), (2.5, -6.0)].map(|(x, y)| at + vec2(side * x, y)).to_vec();
        let fill = if side < 0.0 { theme::YELLOW } else { Color32::TRANSPARENT };
        painter.add(Shape::convex_polygon(corners, fill, stroke));
    }
}

/// A quarter of a turn.
fn turned(painter: &Painter, at: Pos2) {
    let stroke = Stroke::new(1.6, theme::YELLOW);
    let arc: Vec<Pos2> =
        (0..=18_u8).map(|step| at + Vec2::angled(f32::from(step) / 18.0 * 4.4 - 3.6) * 7.0).collect();
    if let Some(end) = arc.last().copied() {
        painter.line(arc, stroke);
        painter.line_segment([end, end + vec2(0.5, -6.0)], stroke);
        painter.line_segment([end, end + vec2(-6.0, -1.0)], stroke);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Position;
    use crate::viewer::viewport::Viewport;

    #[test]
    fn the_words_say_how_the_film_is_seen() {
        let right = "turned 90\u{b0} to the right";
        for (is_mirrored, turn, expected) in [
            (false, 0.0, None),
            (false, 359.99, None),
            (false, 90.0, Some(right)),
            (false, 270.0, Some("turned 90\u{b0} to the left")),
            (false, 180.0, Some("upside down")),
            (false, 12.5, Some("turned 12.5\u{b0} to the right")),
            (true, 0.0, Some("mirrored")),
            (true, 270.0, Some("mirrored and turned 90\u{b0} to the right")),
        ] {
            assert_eq!(words(is_mirrored, turn).as_deref(), expected, "{is_mirrored} {turn}");
        }
    }

    /// Upwards on the film, as it is seen, tells how far a film was turned, mirrored or not.
    #[test]
    fn the_words_agree_with_where_the_films_top_is_seen() {
        for is_mirrored in [false, true] {
            let mut viewport = Viewport::new([100, 100], 1.0);
            viewport.resize([100.0, 100.0]);
            if is_mirrored {
                viewport.mirror();
            }
            viewport.turn_by(90.0);
            let top = viewport.seen(Position::new(50.0, 0.0));
            assert!(top.x > 30.0, "its top is seen on the right");
            let words = words(viewport.is_mirrored(), viewport.turn_deg()).expect("it is turned");
            assert!(words.ends_with("turned 90\u{b0} to the right"), "{words}");
        }
    }
}
