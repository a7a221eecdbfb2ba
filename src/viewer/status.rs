//! The line at the foot of the window: what is under the pointer, and how the film is seen. Its parts keep their
//! places, whatever they say.

use super::action::Action;
use super::app::Desk;
use super::canvas::{Canvas, seen_turn};
use super::command::Command;
use super::viewport::Viewport;
use super::work::Work;
use crate::case::ScaleRow;
use crate::film::Picture;
use crate::geometry::{Plane, Position, Stored};
use crate::measure::in_plane;
use crate::report::percent_words;
use crate::wording::unsigned_zero;
use eframe::egui::{self, RichText};

/// Letters in the words for a place in pixels.
const PIXEL_WORDS: usize = 33;
/// Letters in the words for a place in millimetres.
const MILLIMETRE_WORDS: usize = 31;
/// Letters in the words for the scale.
const SCALE_WORDS: usize = 28;
/// Letters in the words for how the film is seen.
const SEEN_WORDS: usize = 34;
/// Room for the line between two parts, points.
const BETWEEN: f32 = 20.0;
/// Room for the button at the end of the line, points.
const BUTTON: f32 = 120.0;

/// Draws the line.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, canvas: &Canvas) {
    let Some(work) = &desk.session.work else {
        ui.label("no case is open");
        return;
    };
    let scale = scale_of(work);
    let measured =
        work.numbers.as_ref().as_ref().ok().and_then(|numbers| numbers.measured.scale.as_ref().ok());
    let place = canvas.pointer().or(work.cursor);
    ui.horizontal(|ui| {
        let [has_seen, has_scale, has_millimetres] = fitting(ui);
        let picture = work.film.shown().map(|film| &film.film.picture);
        part(ui, &pixel_words(place, picture), "place on the film, pixels from the outer corner of its first pixel; and the grey value there");
        if has_millimetres {
            ui.separator();
            part(
                ui,
                &millimetre_words(place.zip(measured).map(|(at, by)| in_plane(work.open.case(), by, at)), scale.is_some()),
                "the same place in millimetres from that corner, by the scale: along the tooth, apical positive, and \
                 across it. It is no measurement: nothing corrects it",
            );
        }
        if has_scale {
            ui.separator();
            part(ui, &scale_words(scale), "millimetres per pixel along the tooth, with its 95 % interval");
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let strip = egui::Button::selectable(desk.session.remembered.shows_tone, Command::ToneStrip.title());
            if ui.add(strip).on_hover_text(Command::ToneStrip.hint()).clicked() {
                desk.ask(Action::Command(Command::ToneStrip));
            }
            if has_seen {
                ui.separator();
                part(ui, &seen_words(&work.viewport, desk.session.points_per_pixel), "how the film is seen");
            }
        });
    });
}

/// Which parts there is room for beside the first: a narrow window, or one of large letters, goes without the last ones,
/// so that the others are whole.
fn fitting(ui: &egui::Ui) -> [bool; 3] {
    let letter = ui.painter().layout_no_wrap("0".to_owned(), font(), egui::Color32::WHITE).size().x;
    // A few dozen letters are far below the precision of f32.
    #[expect(clippy::cast_precision_loss, reason = "see above")]
    let wide = |letters: usize| letters as f32 * letter + BETWEEN;
    let mut room = ui.available_width() - BUTTON - wide(PIXEL_WORDS);
    [SEEN_WORDS, SCALE_WORDS, MILLIMETRE_WORDS].map(|letters| {
        room -= wide(letters);
        room >= 0.0
    })
}

/// Letters of one width.
const fn font() -> egui::FontId {
    egui::FontId::monospace(11.5)
}

/// One part of the line, in letters of one width.
fn part(ui: &mut egui::Ui, words: &str, hint: &str) {
    ui.add(egui::Label::new(RichText::new(words).font(font())).truncate().selectable(false))
        .on_hover_text(hint);
}

fn scale_of(work: &Work) -> Option<&ScaleRow> {
    work.numbers.as_ref().as_ref().ok()?.derived.computed.scale.as_ref()
}

/// Where the pointer is, and the grey value there.
fn pixel_words(place: Option<Position<Stored>>, picture: Option<&Picture>) -> String {
    let Some(place) = place else { return format!("{:PIXEL_WORDS$}", "no place pointed at") };
    let grey = picture.and_then(|picture| picture.at(whole(place.x)?, whole(place.y)?));
    let grey = grey.map_or_else(|| "\u{2013}".to_owned(), |grey| grey.to_string());
    let [x, y] = [place.x, place.y].map(|it| unsigned_zero(format!("{it:.1}")));
    format!("x {x:>7} y {y:>7} px grey {grey:>5}")
}

/// The same in millimetres, where there is a scale.
fn millimetre_words(place: Option<Position<Plane>>, has_scale: bool) -> String {
    let Some(place) = place.filter(|_| has_scale) else {
        let words = if has_scale { "" } else { "no millimetres without a scale" };
        return format!("{words:MILLIMETRE_WORDS$}");
    };
    let [along, across] = [place.x, place.y].map(|it| unsigned_zero(format!("{it:.2}")));
    format!("along {along:>7} across {across:>7} mm")
}

fn scale_words(scale: Option<&ScaleRow>) -> String {
    scale.map_or_else(
        || format!("{:SCALE_WORDS$}", "no scale yet"),
        |scale| {
            let sure = percent_words(scale.axial_relative_sd);
            format!("{:.5} mm/px {:14}", scale.axial_mm_per_px, sure)
        },
    )
}

/// How large the film is seen, how far turned, and whether mirrored, as the badge over it says it.
fn seen_words(viewport: &Viewport, points_per_pixel: f64) -> String {
    let percent = 100.0 * viewport.zoom() / points_per_pixel;
    let mirrored = if viewport.is_mirrored() { "mirrored" } else { "" };
    let (angle, way) = seen_turn(viewport.is_mirrored(), viewport.turn_deg());
    let way = way.unwrap_or_default();
    format!("{mirrored:8} turn {angle:>5.1}\u{b0} {way:5} {percent:>5.0} %")
}

/// The pixel a coordinate lies in.
fn whole(coordinate: f64) -> Option<u32> {
    let inside = (0.0..f64::from(u32::MAX)).contains(&coordinate);
    // Within the range of u32.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    inside.then_some(coordinate as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_keep_their_width() {
        let picture = Picture::new(2, 1, 16, vec![7, 65_535]).unwrap();
        let places = [None, Some(Position::new(1.5, 0.5)), Some(Position::new(-1234.5, 99_999.9))];
        for place in places {
            assert_eq!(pixel_words(place, Some(&picture)).chars().count(), PIXEL_WORDS, "{place:?}");
            for has_scale in [false, true] {
                let place = place.map(|at| Position::new(at.x * 0.02, at.y * 0.02));
                let words = millimetre_words(place, has_scale);
                assert_eq!(words.chars().count(), MILLIMETRE_WORDS, "{place:?}");
            }
        }
        assert!(pixel_words(places[1], Some(&picture)).ends_with("65535"));
        assert_eq!(scale_words(None).chars().count(), SCALE_WORDS);
        let mut viewport = Viewport::new([100, 100], 1.0);
        for angle in [0.0, 12.5, 180.0, 359.9] {
            viewport.turn_to(angle);
            assert_eq!(seen_words(&viewport, 1.0).chars().count(), SEEN_WORDS, "{angle}");
        }
    }

    #[test]
    fn a_mirrored_film_is_turned_the_way_it_is_seen() {
        let mut viewport = Viewport::new([100, 100], 1.0);
        viewport.turn_to(270.0);
        assert!(seen_words(&viewport, 1.0).contains("turn  90.0\u{b0} left"));
        viewport.mirror();
        let words = seen_words(&viewport, 1.0);
        assert!(words.starts_with("mirrored turn  90.0\u{b0} right"), "{words}");
    }
}
