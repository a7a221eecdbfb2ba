//! Errors on the film: where the key has each landmark, and an arrow from there to where it was placed.

use crate::case::{LandmarkId, Mark, Point};
use crate::geometry::{Position, Stored};
use crate::practice::{Error, LandmarkScore, Outcome};
use crate::report::scored_name;
use crate::viewer::Work;
use crate::viewer::canvas::Sheet;
use crate::viewer::theme;
use eframe::egui::{self, Color32, Pos2, Rect, Sense, Shape, Stroke, Vec2, pos2, vec2};

const HALO: Color32 = Color32::from_black_alpha(200);
/// Half the size of a key's mark, points.
const SIZE: f32 = 6.0;
/// An arrow shorter than this has no room for its head.
const SHORTEST: f32 = 5.0;

/// One error as it is drawn.
struct Drawn {
    /// Where the key has it.
    key: Position<Stored>,
    /// Where it was placed, as the same kind.
    placed: Option<Position<Stored>>,
}

fn place([x, y]: [f64; 2]) -> Position<Stored> {
    Position::new(x, y)
}

fn of_point(point: &Point) -> Position<Stored> {
    Position::new(point.x, point.y)
}

/// The key's point of a line.
fn key_point<'a>(work: &'a Work, line: &LandmarkScore) -> Option<&'a Point> {
    let case = work.practice.as_ref()?.key.as_ref()?.key.case();
    let id = LandmarkId::of_key(&line.landmark)?;
    let marks = match &line.root {
        None => &case.landmarks,
        Some(root) => &case.roots.iter().find(|it| it.name.word() == root)?.landmarks,
    };
    marks.marks.get(&id).and_then(Mark::point)
}

fn drawn(work: &Work, line: &LandmarkScore) -> Vec<Drawn> {
    match &line.error {
        Error::Point(error) => {
            vec![Drawn { key: place(error.key_px), placed: Some(place(error.placed_px)) }]
        }
        Error::Section(section) => section
            .points
            .iter()
            .map(|error| Drawn { key: place(error.key_px), placed: Some(place(error.placed_px)) })
            .collect(),
        Error::Canal(_) => Vec::new(),
        // Missed, or marked as what it is not: the key alone has a place.
        Error::None {} => key_point(work, line)
            .map(|point| Drawn { key: of_point(point), placed: None })
            .into_iter()
            .collect(),
    }
}

/// Where a line of the comparison lies on the film.
pub(super) fn place_of(work: &Work, at: usize) -> Option<Position<Stored>> {
    let line = work.practice.as_ref()?.compared.as_ref()?.score.landmarks.get(at)?;
    match &line.error {
        Error::Canal(canal) => canal.key_px.get(canal.key_px.len() / 2).copied().map(place),
        _ => drawn(work, line).first().map(|it| it.key),
    }
}

/// Draws every error, the one that is pointed at last and stronger. Gives the words beside that one and where they belong.
pub(in crate::viewer) fn draw(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
) -> Option<(Pos2, String)> {
    let (practice, compared) = work.shown_comparison()?;
    let lines = &compared.score.landmarks;
    let is_missed = |line: &LandmarkScore| line.outcome == Outcome::Missed && line.counts();
    for (at, line) in lines.iter().enumerate() {
        if practice.pointed != Some(at) {
            one(painter, sheet, work, line, is_missed(line), false);
        }
    }
    let pointed = practice.pointed?;
    let line = lines.get(pointed)?;
    let at = one(painter, sheet, work, line, is_missed(line), true)?;
    let words = super::comparison::line_words(line);
    Some((at, format!("{}: {words}", scored_name(&line.landmark, line.root.as_deref()))))
}

fn one(
    painter: &egui::Painter,
    sheet: &Sheet<'_>,
    work: &Work,
    line: &LandmarkScore,
    is_missed: bool,
    is_pointed: bool,
) -> Option<Pos2> {
    let mut first = None;
    if let Error::Canal(canal) = &line.error {
        let path: Vec<Pos2> = canal.key_px.iter().map(|at| sheet.seen(place(*at))).collect();
        let width = if is_pointed { 2.5 } else { 1.4 };
        painter.extend(Shape::dashed_line(&path, Stroke::new(width + 2.0, HALO), 7.0, 4.0));
        painter.extend(Shape::dashed_line(&path, Stroke::new(width, theme::YELLOW), 7.0, 4.0));
        first = path.get(path.len() / 2).copied();
    }
    // A section's points are many and small: their arrows say enough.
    let is_small = matches!(line.error, Error::Section(_)) && !is_pointed;
    for Drawn { key, placed } in drawn(work, line) {
        let key = sheet.seen(key);
        first = first.or(Some(key));
        if let Some(placed) = placed {
            arrow(painter, key, sheet.seen(placed), is_pointed);
        }
        mark(painter, key, if is_small { 0.6 } else { 1.0 }, is_pointed);
        if placed.is_none() && is_missed {
            missed(painter, key);
        }
    }
    first
}

/// The key's mark: an open diamond with a cross in it.
fn mark(painter: &egui::Painter, at: Pos2, size: f32, is_pointed: bool) {
    let reach = SIZE * size * if is_pointed { 1.4 } else { 1.0 };
    let corners =
        [vec2(0.0, -reach), vec2(reach, 0.0), vec2(0.0, reach), vec2(-reach, 0.0)].map(|by| at + by);
    for stroke in [Stroke::new(3.6, HALO), Stroke::new(1.6, theme::YELLOW)] {
        painter.add(Shape::closed_line(corners.to_vec(), stroke));
    }
    painter.circle_filled(at, 1.3, theme::YELLOW);
}

/// A ring around what was missed altogether.
fn missed(painter: &egui::Painter, at: Pos2) {
    let ring: Vec<Pos2> = (0_u8..=24)
        .map(|step| at + Vec2::angled(f32::from(step) / 24.0 * std::f32::consts::TAU) * (SIZE + 5.0))
        .collect();
    painter.extend(Shape::dashed_line(&ring, Stroke::new(3.4, HALO), 4.0, 3.0));
    painter.extend(Shape::dashed_line(&ring, Stroke::new(1.6, Color32::WHITE), 4.0, 3.0));
}

/// From where the key has it to where it was placed.
fn arrow(painter: &egui::Painter, from: Pos2, to: Pos2, is_pointed: bool) {
    let way = to - from;
    let width = if is_pointed { 2.6 } else { 1.6 };
    for stroke in [Stroke::new(width + 2.4, HALO), Stroke::new(width, theme::ORANGE)] {
        painter.line_segment([from, to], stroke);
    }
    if way.length() >= SHORTEST {
        let ahead = way.normalized();
        let side = ahead.rot90();
        let length = (0.5 * way.length()).clamp(4.0, 9.0);
        let head =
            vec![to, to - ahead * length + side * length * 0.5, to - ahead * length - side * length * 0.5];
        painter.add(Shape::convex_polygon(head, theme::ORANGE, Stroke::new(1.0, HALO)));
    }
}

/// What the marks on the film mean.
pub(super) fn key(ui: &mut egui::Ui) {
    let faint = theme::faint(ui.visuals().dark_mode);
    ui.horizontal_wrapped(|ui| {
        for (at, words) in
            ["where the key has it", "from there to your point", "missed: neither placed nor marked"]
                .iter()
                .enumerate()
        {
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 20.0), Sense::hover());
            // As on the film, which is dark around.
            ui.painter().rect_filled(rect, 3.0, Color32::from_gray(40));
            let painter = ui.painter_at(rect);
            match at {
                0 => mark(&painter, rect.center(), 1.0, false),
                1 => arrow(
                    &painter,
                    pos2(rect.left() + 4.0, rect.center().y),
                    pos2(rect.right() - 4.0, rect.center().y),
                    false,
                ),
                _ => {
                    let within = Rect::from_center_size(rect.center(), vec2(20.0, 20.0));
                    mark(&painter, within.center(), 0.6, false);
                    missed(&painter, within.center());
                }
            }
            ui.label(egui::RichText::new(*words).small().color(faint));
        }
    });
}
