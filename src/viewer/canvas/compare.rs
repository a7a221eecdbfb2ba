//! The film in two tones side by side, while a key is held or as long as is wanted: as the film asks on the left, as it
//! is toned on the right. The line between them follows the pointer.

use crate::film::{FirstLook, LookFrom, Tone};
use crate::viewer::Work;
use crate::viewer::command::Command;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Color32, FontId, Galley, Id, Rect, Sense, Stroke, Vec2, WidgetInfo, pos2, vec2};
use std::ops::RangeInclusive;
use std::sync::Arc;

/// From the words to the line and to the edge of the film's part of the window, points.
const GAP: f32 = 12.0;
/// Around words.
const PLATE: Vec2 = vec2(6.0, 3.0);

/// Whether the film is compared now.
pub(super) fn is_wanted(ui: &egui::Ui, work: &Work) -> bool {
    work.compares || super::is_held(ui, Command::Compare)
}

/// The film's part of the window, in two.
pub(super) struct Sides {
    /// As the film asks.
    pub(super) asked: Rect,
    /// As it is toned.
    pub(super) toned: Rect,
    words: [Arc<Galley>; 2],
    said: String,
}

impl Sides {
    /// Parts a rectangle where the pointer is, with room for the words of either side.
    pub(super) fn of(ui: &egui::Ui, rect: Rect, tone: Tone, look: &FirstLook) -> Self {
        let [asked, toned] = [asked_words(look).to_owned(), toned_words(tone)];
        let said = format!("the film in two: on the left {asked}, on the right {toned}");
        let font = FontId::proportional(13.0);
        let words =
            [asked, toned].map(|words| ui.painter().layout_no_wrap(words, font.clone(), Color32::WHITE));
        let room = words.each_ref().map(|words| words.size().x + 2.0 * (PLATE.x + GAP));
        let pointer = ui.input(|input| input.pointer.hover_pos()).filter(|at| rect.contains(*at));
        let line = line_at(pointer.map(|at| at.x), rect.x_range().min..=rect.x_range().max, room);
        Self {
            asked: Rect::from_min_max(rect.min, pos2(line, rect.max.y)),
            toned: Rect::from_min_max(pos2(line, rect.min.y), rect.max),
            words,
            said,
        }
    }

    /// Draws the line, and the words beside its upper end.
    pub(super) fn draw(self, ui: &egui::Ui) {
        let painter = ui.painter_at(self.asked.union(self.toned));
        let (line, top) = (self.toned.left(), self.toned.top() + GAP);
        // White within black shows on any film.
        for (width, colour) in [(4.0, Color32::BLACK), (1.5, Color32::WHITE)] {
            painter.vline(line, self.toned.y_range(), Stroke::new(width, colour));
        }
        let [asked, toned] = self.words;
        for (words, left) in
            [(asked.clone(), line - GAP - PLATE.x - asked.size().x), (toned, line + GAP + PLATE.x)]
        {
            let at = pos2(left, top);
            let plate = Rect::from_min_size(at, words.size()).expand2(PLATE);
            painter.rect_filled(plate, 3.0, Color32::from_black_alpha(210));
            painter.galley(at, words, Color32::WHITE);
        }
        let response = ui.interact(self.toned, Id::unique("the film in two"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &self.said));
    }
}

/// Where the line stands: under the pointer, else in the middle, and never so near to an end that the words of a side
/// have no room; in the middle where there is not room enough for both.
fn line_at(pointer: Option<f32>, across: RangeInclusive<f32>, room: [f32; 2]) -> f32 {
    let (left, right) = (across.start() + room[0], across.end() - room[1]);
    let middle = f32::midpoint(*across.start(), *across.end());
    if left <= right { pointer.unwrap_or(middle).clamp(left, right) } else { middle }
}

/// How the film is seen before anybody changes its tone, in words.
const fn asked_words(look: &FirstLook) -> &'static str {
    match look.from() {
        LookFrom::File => "as the film asks",
        LookFrom::GreyValues => "untouched: by the grey values",
    }
}

/// What is changed in a tone, in words.
fn toned_words(tone: Tone) -> String {
    changed_words(tone).unwrap_or_else(|| "toned: nothing changed yet".to_owned())
}

/// The same; `None` where nothing is.
pub(super) fn changed_words(tone: Tone) -> Option<String> {
    let Tone { window, gamma, inverted, local_contrast, sharpening } = tone;
    let changes: Vec<String> = [
        window.map(|_| "window".to_owned()),
        (gamma != Tone::default().gamma).then(|| format!("gamma {gamma:.2}")),
        inverted.then(|| "inverted".to_owned()),
        local_contrast.is_on.then(|| format!("local contrast {:.1}", local_contrast.limit)),
        sharpening.is_on.then(|| format!("sharpened {:.1}", sharpening.amount)),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!changes.is_empty()).then(|| format!("toned: {}", changes.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::{LocalContrast, Sharpening, Window};

    #[test]
    fn the_line_follows_the_pointer_and_leaves_room_for_the_words() {
        let at = |pointer| line_at(pointer, 100.0..=900.0, [150.0, 250.0]);
        assert_eq!(at(Some(400.0)), 400.0);
        assert_eq!(at(Some(110.0)), 250.0);
        assert_eq!(at(Some(890.0)), 650.0);
        assert_eq!(at(None), 500.0);
        assert_eq!(line_at(Some(120.0), 100.0..=300.0, [150.0, 250.0]), 200.0);
    }

    #[test]
    fn the_words_name_what_is_changed_and_nothing_else() {
        assert_eq!(toned_words(Tone::default()), "toned: nothing changed yet");
        assert_eq!(changed_words(Tone::default()), None, "a film as it asks to be seen says nothing");
        let all = Tone {
            window: Some(Window { low: 1.0, high: 9.0 }),
            gamma: 1.3,
            inverted: true,
            local_contrast: LocalContrast { is_on: true, limit: 2.5 },
            sharpening: Sharpening { is_on: true, ..Sharpening::default() },
        };
        let words = "toned: window, gamma 1.30, inverted, local contrast 2.5, sharpened 0.5";
        assert_eq!(toned_words(all), words);
    }
}
