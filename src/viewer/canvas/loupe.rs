//! The loupe: the film around a point at its own pixels, with a cross-hair and the grey values along both of its lines.

use super::ring::Ring;
use super::sheet::{Sheet, screen};
use crate::film::{Cut, Picture, Tone};
use crate::geometry::{Displacement, Position, Stored};
use crate::viewer::ShownFilm;
use crate::viewer::toning::Toner;
use eframe::egui::{
    self, Align2, Color32, FontId, Mesh, Pos2, Rect, Stroke, TextureHandle, TextureOptions, Vec2, pos2, vec2,
};

/// Side of the magnified square, points of the screen.
const SIDE: f32 = 168.0;
/// Depth of the strips with the grey values.
const PROFILE: f32 = 34.0;
/// Height of the line of text.
const TEXT: f32 = 18.0;
/// From the point to the loupe.
const OFF: f32 = 44.0;
/// How much larger than the view the loupe shows the film.
const MAGNIFIES: f64 = 4.0;
/// The least and the greatest size of a pixel in the loupe, points of the screen.
const PIXEL: std::ops::RangeInclusive<f64> = 2.0..=32.0;
/// Copies of the film are made larger than needed by so many pixels, so that a small way needs no new one.
const SPARE: i32 = 16;

const BACKDROP: Color32 = Color32::from_rgb(24, 24, 26);
const BESIDE_FILM: Color32 = Color32::from_rgb(52, 46, 60);
const LINE: Color32 = Color32::from_rgb(240, 228, 66);

/// What lies in the loupe's middle.
pub(super) struct Middle {
    /// Where on the film.
    pub(super) place: Position<Stored>,
    /// What is drawn around it.
    pub(super) ring: Option<Ring>,
}

/// What the loupe keeps from frame to frame.
#[derive(Default)]
pub(super) struct Loupe {
    copy: Option<Copied>,
    toner: Option<Toner>,
    quadrant: Quadrant,
}

/// A small copy of the film.
struct Copied {
    texture: TextureHandle,
    /// The film's serial.
    of: u64,
    tone: Tone,
    middle: Pixel,
    radius: i32,
}

/// A pixel of the film, or beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Pixel {
    x: i32,
    y: i32,
}

impl Loupe {
    /// Draws the loupe for a place of the film.
    pub(super) fn draw(
        &mut self,
        painter: &egui::Painter,
        sheet: &Sheet<'_>,
        film: &ShownFilm,
        tone: Tone,
        middle: &Middle,
        clear: &Clear,
    ) {
        let place = middle.place;
        let size = vec2(SIDE + PROFILE, SIDE + PROFILE + TEXT);
        let Some((whole, quadrant)) = beside(sheet.seen(place), size, sheet.rect, self.quadrant, clear)
        else {
            return;
        };
        self.quadrant = quadrant;
        let square = Rect::from_min_size(whole.min, vec2(SIDE, SIDE));
        let pixel = (sheet.viewport.zoom() * MAGNIFIES).clamp(*PIXEL.start(), *PIXEL.end());
        let glass = Glass { square, place, shrink: sheet.viewport.zoom() / pixel, sheet };

        painter.rect_filled(whole.expand(2.0), 3.0, BACKDROP);
        self.paint(painter, &glass, film, tone, pixel);
        if let Some(ring) = &middle.ring {
            around_the_middle(painter, &glass, ring);
        }
        cross_hair(painter, square);
        profiles(painter, &glass, &film.film.picture);
        painter.rect_stroke(
            whole.expand(2.0),
            3.0,
            Stroke::new(1.0, Color32::from_gray(150)),
            egui::StrokeKind::Inside,
        );
        let grey =
            grey_at(&film.film.picture, place).map_or_else(|| "\u{2013}".to_owned(), |grey| grey.to_string());
        let text = format!("x {:.1}  y {:.1}  grey {grey}", place.x, place.y);
        let at = pos2(whole.left() + 4.0, whole.bottom() - TEXT / 2.0);
        painter.text(at, Align2::LEFT_CENTER, text, FontId::monospace(11.0), Color32::WHITE);
    }

    fn paint(
        &mut self,
        painter: &egui::Painter,
        glass: &Glass<'_>,
        film: &ShownFilm,
        tone: Tone,
        pixel: f64,
    ) {
        let reach = reach(pixel, glass.sheet.viewport.pixel_aspect());
        let (texture, origin, side) = self.copied(painter.ctx(), film, tone, glass.place, reach);
        let corner = |at: Pos2| {
            let place = glass.under(at);
            let along =
                |coordinate: f64, origin: i32| screen((coordinate - f64::from(origin)) / f64::from(side));
            egui::epaint::Vertex {
                pos: at,
                uv: pos2(along(place.x, origin.x), along(place.y, origin.y)),
                color: Color32::WHITE,
            }
        };
        let square = glass.square;
        let mut mesh = Mesh::with_texture(texture);
        mesh.vertices = [square.left_top(), square.right_top(), square.right_bottom(), square.left_bottom()]
            .map(corner)
            .to_vec();
        mesh.indices = vec![0, 1, 2, 0, 2, 3];
        painter.add(mesh);
    }

    /// A copy of the film around a place: its texture, its first pixel, and its side in pixels.
    fn copied(
        &mut self,
        context: &egui::Context,
        film: &ShownFilm,
        tone: Tone,
        place: Position<Stored>,
        reach: i32,
    ) -> (egui::TextureId, Pixel, i32) {
        let wanted = Pixel { x: whole(place.x.floor()), y: whole(place.y.floor()) };
        let serves = self.copy.as_ref().is_some_and(|copy| {
            let off = (copy.middle.x - wanted.x).abs().max((copy.middle.y - wanted.y).abs());
            copy.of == film.serial
                && copy.tone == tone
                && copy.radius >= off + reach
                && copy.radius <= 4 * (reach + SPARE)
        });
        if !serves {
            let radius = reach + SPARE;
            let image = self.around(film, tone, wanted, radius);
            let texture = match self.copy.take() {
                Some(mut copy) => {
                    copy.texture.set(image, TextureOptions::NEAREST);
                    copy.texture
                }
                None => context.load_texture("loupe", image, TextureOptions::NEAREST),
            };
            self.copy = Some(Copied { texture, of: film.serial, tone, middle: wanted, radius });
        }
        let (id, middle, radius) =
            self.copy.as_ref().map_or((egui::TextureId::default(), wanted, reach), |copy| {
                (copy.texture.id(), copy.middle, copy.radius)
            });
        (id, Pixel { x: middle.x - radius, y: middle.y - radius }, 2 * radius + 1)
    }

    /// The film's pixels around a place as they are shown.
    fn around(&mut self, film: &ShownFilm, tone: Tone, middle: Pixel, radius: i32) -> egui::ColorImage {
        let toner = match self.toner.take() {
            Some(toner) if toner.is_for(tone, film) => toner,
            _ => Toner::new(tone, film),
        };
        let picture = &film.film.picture;
        let (across, left) = span(middle.x, radius, picture.width());
        let (down, top) = span(middle.y, radius, picture.height());
        let image = toner.image(
            film,
            0,
            Cut {
                from: [across.start, down.start],
                size: [across.end - across.start, down.end - down.start],
            },
        );
        self.toner = Some(toner);
        let side = usize::try_from(2 * radius + 1).unwrap_or(0);
        let mut around = egui::ColorImage::filled([side, side], BESIDE_FILM);
        let width = image.size[0].max(1);
        for (row, seen) in around.pixels.chunks_mut(side.max(1)).skip(top).zip(image.pixels.chunks(width)) {
            row.iter_mut().skip(left).zip(seen).for_each(|(pixel, seen)| *pixel = *seen);
        }
        around
    }
}

/// The pixels of a film that lie within a radius of one of them, and how many beside the film come before them.
fn span(middle: i32, radius: i32, length: u32) -> (std::ops::Range<u32>, usize) {
    let (from, to) = (middle.saturating_sub(radius), middle.saturating_add(radius).saturating_add(1));
    let on_film = |at: i32| u32::try_from(at).unwrap_or(0).min(length);
    (on_film(from)..on_film(to), usize::try_from(from.saturating_neg()).unwrap_or(0))
}

/// The magnified square and what lies under it.
struct Glass<'a> {
    square: Rect,
    place: Position<Stored>,
    /// Points of the view for a point of the loupe.
    shrink: f64,
    sheet: &'a Sheet<'a>,
}

impl Glass<'_> {
    /// The place of the film that a point of the loupe shows: turned and mirrored as the view is.
    fn under(&self, at: Pos2) -> Position<Stored> {
        let off = at - self.square.center();
        let seen = Displacement::new(f64::from(off.x) * self.shrink, f64::from(off.y) * self.shrink);
        self.place.moved(self.sheet.viewport.way(seen))
    }
}

/// A ring of known size, as far as it can be seen whole, and what it is.
fn around_the_middle(painter: &egui::Painter, glass: &Glass<'_>, ring: &Ring) {
    let square = glass.square;
    let magnified = screen(1.0 / glass.shrink);
    let corners = ring.seen(glass.sheet, glass.place).map(|way| square.center() + way * magnified);
    let corners: Vec<Pos2> = corners.collect();
    if !corners.iter().all(|corner| square.contains(*corner)) {
        return;
    }
    for stroke in [Stroke::new(3.0, Color32::from_black_alpha(150)), Stroke::new(1.0, LINE)] {
        painter.add(egui::Shape::closed_line(corners.clone(), stroke));
    }
    let words = format!("ring {} mm", ring.across.get());
    let at = square.left_bottom() + vec2(4.0, -4.0);
    super::marks::text(painter, at, Align2::LEFT_BOTTOM, &words, FontId::proportional(12.0), Color32::WHITE);
}

fn cross_hair(painter: &egui::Painter, square: Rect) {
    let (middle, gap) = (square.center(), 5.0);
    let halo = Stroke::new(3.0, Color32::from_black_alpha(150));
    for stroke in [halo, Stroke::new(1.0, LINE)] {
        painter.hline(square.left()..=middle.x - gap, middle.y, stroke);
        painter.hline(middle.x + gap..=square.right(), middle.y, stroke);
        painter.vline(middle.x, square.top()..=middle.y - gap, stroke);
        painter.vline(middle.x, middle.y + gap..=square.bottom(), stroke);
    }
    painter.circle_filled(middle, 1.0, LINE);
}

/// The grey values along the cross-hair's two lines: brighter is higher, and further right.
fn profiles(painter: &egui::Painter, glass: &Glass<'_>, picture: &Picture) {
    let square = glass.square;
    let middle = square.center();
    let steps = 84_u8;
    let along = |at: u8| f32::from(at) / f32::from(steps) * SIDE;
    let read = |at: Pos2| grey_at(picture, glass.under(at)).map(f32::from);
    let flat: Vec<_> =
        (0..=steps).map(|at| (along(at), read(pos2(square.left() + along(at), middle.y)))).collect();
    let upright: Vec<_> =
        (0..=steps).map(|at| (along(at), read(pos2(middle.x, square.top() + along(at))))).collect();
    let values = flat.iter().chain(&upright).filter_map(|(_, grey)| *grey);
    let (least, greatest) =
        values.fold((f32::MAX, f32::MIN), |(least, greatest), grey| (least.min(grey), greatest.max(grey)));
    // Noise alone is not blown up to the full height.
    let span = (greatest - least).max(f32::from(picture.largest_possible()) / 32.0);
    let height = |grey: f32| (grey - least) / span * (PROFILE - 6.0) + 3.0;
    let stroke = Stroke::new(1.0, Color32::WHITE);
    let faint = Stroke::new(1.0, Color32::from_gray(110));
    painter.vline(middle.x, square.bottom()..=square.bottom() + PROFILE, faint);
    painter.hline(square.right()..=square.right() + PROFILE, middle.y, faint);
    let (bottom, right) = (square.bottom() + PROFILE, square.right());
    curve(painter, &flat, |along, grey| pos2(square.left() + along, bottom - height(grey)), stroke);
    curve(painter, &upright, |along, grey| pos2(right + height(grey), square.top() + along), stroke);
}

/// A curve that breaks off beside the film.
fn curve(
    painter: &egui::Painter,
    values: &[(f32, Option<f32>)],
    at: impl Fn(f32, f32) -> Pos2,
    stroke: Stroke,
) {
    for part in values.split(|(_, grey)| grey.is_none()) {
        let points: Vec<Pos2> = part.iter().filter_map(|(along, grey)| Some(at(*along, (*grey)?))).collect();
        painter.line(points, stroke);
    }
}

/// How many stored pixels the square reaches from its middle at any turn, where a square pixel is so many points. Flat
/// pixels lie closer down than across.
fn reach(pixel: f64, aspect: f64) -> i32 {
    let square = f64::from(SIDE) / 2.0 * std::f64::consts::SQRT_2 / pixel;
    whole((square / aspect.min(1.0)).ceil()) + 1
}

/// The grey value of the pixel a place lies in.
fn grey_at(picture: &Picture, place: Position<Stored>) -> Option<u16> {
    let pixel = |coordinate: f64| u32::try_from(whole(coordinate.floor())).ok();
    picture.at(pixel(place.x)?, pixel(place.y)?)
}

/// A whole number of pixels.
fn whole(pixels: f64) -> i32 {
    // No place of a film is farther out than a million pixels; a cast saturates beyond that.
    #[allow(clippy::cast_possible_truncation)]
    {
        pixels as i32
    }
}

/// A quadrant around a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Quadrant {
    left: bool,
    below: bool,
}

/// What the loupe leaves to be seen.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Clear {
    /// Points: the pointer and what is selected.
    pub(super) points: Vec<Pos2>,
    /// Where one is to look, and words that belong to it.
    pub(super) parts: Vec<Rect>,
}

impl Clear {
    /// How much of it a rectangle covers: points first, then the area of the parts.
    fn covered(&self, by: Rect) -> (usize, f32) {
        let points = self.points.iter().filter(|at| by.intersects(super::labels::around_point(**at))).count();
        let area = |part: &Rect| {
            let common = part.intersect(by);
            common.width().max(0.0) * common.height().max(0.0)
        };
        (points, self.parts.iter().map(area).sum())
    }
}

/// Where a rectangle of this size stands beside a point, and in which quadrant. It stands on the outer side, since the
/// tooth is mostly in the middle; it never covers the point and never leaves the area. `None` where that cannot be. Up
/// or down, and near the middle, it stays where it was as long as it can. It covers nothing of what is to be clear as
/// long as any place beside the point, or any corner of the area, allows that; else as little as it can.
fn beside(at: Pos2, size: Vec2, area: Rect, before: Quadrant, clear: &Clear) -> Option<(Rect, Quadrant)> {
    let off_middle = at.x - area.center().x;
    let left = if off_middle.abs() <= area.width() * 0.1 { before.left } else { off_middle < 0.0 };
    let order = [(left, before.below), (left, !before.below), (!left, before.below), (!left, !before.below)]
        .map(|(left, below)| Quadrant { left, below });
    let standing = |quadrant: Quadrant| {
        let way = size / 2.0 + Vec2::splat(OFF);
        let x = if quadrant.left { -way.x } else { way.x };
        let y = if quadrant.below { way.y } else { -way.y };
        Rect::from_center_size(at + vec2(x, y), size)
    };
    // Slid along the edge of the area.
    let slid = |quadrant: Quadrant| {
        let least = standing(quadrant).min.min(area.max - size).max(area.min);
        Rect::from_min_size(least, size)
    };
    let corner = |quadrant: Quadrant| {
        let x = if quadrant.left { area.left() } else { area.right() - size.x };
        let y = if quadrant.below { area.bottom() - size.y } else { area.top() };
        Rect::from_min_size(pos2(x, y), size)
    };
    let places = order.map(|it| (standing(it), it)).into_iter();
    let places = places.chain(order.map(|it| (slid(it), it))).chain(order.map(|it| (corner(it), it)));
    let mut best: Option<((usize, f32), (Rect, Quadrant))> = None;
    for (rect, quadrant) in places {
        if !area.contains_rect(rect) || rect.expand(OFF / 2.0).contains(at) {
            continue;
        }
        let covered = clear.covered(rect);
        if best.as_ref().is_none_or(|(least, _)| covered < *least) {
            best = Some((covered, (rect, quadrant)));
        }
    }
    best.map(|(_, place)| place)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Vec2 = vec2(200.0, 220.0);
    const RIGHT_ABOVE: Quadrant = Quadrant { left: false, below: false };
    const RIGHT_BELOW: Quadrant = Quadrant { left: false, below: true };
    const LEFT_ABOVE: Quadrant = Quadrant { left: true, below: false };
    const LEFT_BELOW: Quadrant = Quadrant { left: true, below: true };

    fn area() -> Rect {
        Rect::from_min_size(Pos2::ZERO, vec2(800.0, 600.0))
    }

    fn stands(x: f32, y: f32, before: Quadrant) -> (f32, f32, Quadrant) {
        let (rect, quadrant) =
            beside(pos2(x, y), SIZE, area(), before, &Clear::default()).expect("there is room");
        (rect.min.x, rect.min.y, quadrant)
    }

    #[test]
    fn the_loupe_stands_on_the_outer_side_where_it_can() {
        assert_eq!(stands(300.0, 300.0, RIGHT_ABOVE), (56.0, 36.0, LEFT_ABOVE));
        assert_eq!(stands(550.0, 300.0, LEFT_BELOW), (594.0, 344.0, RIGHT_BELOW));
        assert_eq!(stands(700.0, 300.0, RIGHT_ABOVE), (456.0, 36.0, LEFT_ABOVE));
        assert_eq!(stands(700.0, 100.0, RIGHT_ABOVE), (456.0, 144.0, LEFT_BELOW));
    }

    #[test]
    fn near_the_middle_it_stays_where_it_is_as_long_as_it_can() {
        assert_eq!(stands(400.0, 300.0, RIGHT_ABOVE), (444.0, 36.0, RIGHT_ABOVE));
        assert_eq!(stands(400.0, 300.0, LEFT_BELOW), (156.0, 344.0, LEFT_BELOW));
        assert_eq!(stands(400.0, 100.0, RIGHT_ABOVE), (444.0, 144.0, RIGHT_BELOW));
    }

    #[test]
    fn it_never_covers_its_point_nor_leaves_the_area() {
        for x in 0..=80_u8 {
            for y in 0..=60_u8 {
                let at = pos2(f32::from(x) * 10.0, f32::from(y) * 10.0);
                let (rect, _) =
                    beside(at, SIZE, area(), RIGHT_ABOVE, &Clear::default()).expect("there is room");
                assert!(!rect.contains(at), "{at:?} lies under {rect:?}");
                assert!(area().contains_rect(rect));
            }
        }
    }

    #[test]
    fn it_covers_neither_hint_nor_pointer_nor_the_selected_point() {
        let hint = Rect::from_min_size(pos2(420.0, 60.0), vec2(160.0, 180.0));
        let label = Rect::from_min_size(pos2(590.0, 140.0), vec2(120.0, 16.0));
        for x in 0..=40_u8 {
            for y in 0..=30_u8 {
                let at = pos2(f32::from(x) * 20.0, f32::from(y) * 20.0);
                for selected in [pos2(350.0, 450.0), pos2(120.0, 80.0), pos2(at.x - 120.0, at.y - 120.0)] {
                    let clear = Clear { points: vec![at, selected], parts: vec![hint, label] };
                    for before in [RIGHT_ABOVE, LEFT_BELOW] {
                        let (rect, _) = beside(at, SIZE, area(), before, &clear).expect("there is room");
                        assert_eq!(clear.covered(rect), (0, 0.0), "{at:?}, {selected:?}: {rect:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn where_the_hint_is_everywhere_the_points_stay_clear() {
        let at = pos2(400.0, 300.0);
        let clear = Clear { points: vec![at, pos2(500.0, 150.0)], parts: vec![area()] };
        let (rect, _) = beside(at, SIZE, area(), RIGHT_ABOVE, &clear).expect("there is room");
        assert!(!rect.contains(pos2(500.0, 150.0)) && !rect.contains(at));
    }

    #[test]
    fn what_lies_beside_the_film_is_left_free() {
        assert_eq!(span(10, 3, 100), (7..14, 0));
        assert_eq!(span(1, 3, 100), (0..5, 2));
        assert_eq!(span(98, 3, 100), (95..100, 0));
        assert_eq!(span(-9, 3, 100), (0..0, 12));
        assert_eq!(span(200, 3, 100), (100..100, 0));
    }

    /// Half the diagonal of 168 points is 118.8 points: at 4 points a pixel 29.7 pixels, and twice as many rows of half
    /// the height.
    #[test]
    fn the_copy_reaches_every_corner_on_pixels_of_any_shape() {
        assert_eq!(reach(4.0, 1.0), 31);
        assert_eq!(reach(4.0, 2.0), 31);
        assert_eq!(reach(4.0, 0.5), 61);
    }

    #[test]
    fn it_is_left_out_where_there_is_no_room() {
        let narrow = Rect::from_min_size(Pos2::ZERO, vec2(210.0, 230.0));
        assert_eq!(beside(pos2(100.0, 100.0), SIZE, narrow, RIGHT_ABOVE, &Clear::default()), None);
    }
}
