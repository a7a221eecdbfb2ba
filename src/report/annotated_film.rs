//! The film with its landmarks and what was measured drawn over it, names and values beside it.

use super::callouts::{Label, Sides};
use super::drawing::{Block, Colour, Face, Mark, Path, Picture, Role, Shades, Spot, Stroke, Text, width_of};
use super::subject::Subject;
use super::words::{measurement_name, value_words};
use crate::calibration::Reference;
use crate::case::{FilmSide, Point, RowRef, State};
use crate::film::{Film, FirstLook, Tone};
use crate::geometry::{Position, Stored};
use crate::measure::spans;
use crate::quantity::Millimetres;
use std::fmt::Write as _;
use std::sync::Arc;

/// The measurements drawn, by their rows in the catalogue: those a film is measured for, which hardly cover one another.
const DRAWN: &[&str] = &[
    "ferrule_height",
    "margin_to_crest",
    "defect_depth",
    "core_height",
    "post_depth",
    "tip_beyond_crest",
    "seal_length",
    "tip_to_filling",
    "filling_short_of_apex",
    "wall",
];

/// Room over the film for the sides' names, mm.
const ABOVE: f64 = 4.0;
/// Between the film and the names beside it, mm.
const BESIDE: f64 = 7.0;

/// A drawn film, its upper left corner at the origin.
pub(super) struct AnnotatedFilm {
    pub(super) width: f64,
    pub(super) height: f64,
    /// Whether a film is shown in part.
    pub(super) is_part: bool,
    /// One block, a figure.
    pub(super) block: Block,
}

/// What the signs on it mean.
pub(super) const KEY: &str = "Dots (yellow): landmarks that are there; hollow diamonds: planned ones. Lines (blue): what was measured, \
dashed where it rests on anything planned; thin lines carry a point onto the line it is measured along, and bars across \
the end are the 95 % interval. White dashes: canal. Squares: what the scale was taken from.";

/// The film of a case as wide as asked, names included, and no higher than asked; `None` where there is neither a film
/// nor a placed point.
pub(super) fn annotated_film(
    subject: &Subject<'_>,
    width: f64,
    most_high: f64,
    view: View,
) -> Option<AnnotatedFilm> {
    let frame = Frame::of(subject, width, most_high, view)?;
    let mut drawn = Drawn { subject, frame, under: Vec::new(), over: Vec::new(), labels: Vec::new() };
    drawn.film();
    drawn.canals();
    drawn.references();
    drawn.measured();
    drawn.landmarks();
    drawn.scale_bar();
    drawn.sides();
    Some(drawn.finish())
}

/// How much of a film is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum View {
    /// All of it.
    Whole,
    /// What was placed, and around it more than a third as much again on every side.
    AroundTooth,
}

/// How much more than what was placed is shown on every side, as a part of its longer side.
const AROUND: f64 = 0.35;

/// No less than this part of a film's sides is shown.
const LEAST_SHOWN: f64 = 0.6;

/// Where the film lies on the page, and how large its pixels are.
#[derive(Clone, Copy)]
struct Frame {
    left: f64,
    width: f64,
    height: f64,
    total: f64,
    /// The part of the film that is shown, stored pixels: its corner and its size, whole pixels of a film at hand.
    origin: [f64; 2],
    shown: [f64; 2],
    /// mm of page for a stored pixel, across and down.
    per_px: [f64; 2],
}

impl Frame {
    fn of(subject: &Subject<'_>, total: f64, most_high: f64, view: View) -> Option<Self> {
        let case = subject.case;
        let stated = case.film.width_px.zip(case.film.height_px);
        let size = subject.film.as_ref().map(|shades| (shades.width(), shades.height())).or(stated);
        let size = size.map(|(wide, high)| [f64::from(wide), f64::from(high)]);
        let around = around(subject);
        let (origin, [wide, high]) = match (size, around.filter(|_| view == View::AroundTooth)) {
            (Some(size), Some(around)) => within(size, around),
            (Some(size), None) => ([0.0, 0.0], size),
            (None, _) => around?,
        };
        let aspect = case.film.aspect();
        let column = (0.255 * total).min(47.0);
        let room = total - 2.0 * (column + BESIDE);
        let scale = (room / wide).min((most_high - ABOVE) / (high * aspect));
        let (width, height) = (wide * scale, high * aspect * scale);
        let sane = scale.is_finite() && scale > 0.0 && width > 0.1 && height > 0.1;
        let left = (total - width) / 2.0;
        sane.then_some(Self {
            left,
            width,
            height,
            total,
            origin,
            shown: [wide, high],
            per_px: [scale, scale * aspect],
        })
    }

    /// The part of a film that is shown.
    fn part(&self, shades: &Arc<Shades>) -> Arc<Shades> {
        // Whole numbers, held to the film's own size.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the film's size")]
        let [x, y, wide, high] =
            [self.origin[0], self.origin[1], self.shown[0], self.shown[1]].map(|it| it.max(0.0) as u32);
        shades.part([x, y], [wide, high]).map_or_else(|| Arc::clone(shades), Arc::new)
    }

    fn spot(&self, place: Position<Stored>) -> Spot {
        Spot::new(
            self.left + (place.x - self.origin[0]) * self.per_px[0],
            ABOVE + (place.y - self.origin[1]) * self.per_px[1],
        )
    }

    fn point(&self, point: &Point) -> Spot {
        self.spot(Position::new(point.x, point.y))
    }
}

/// A box around all placed points and more on every side: its corner and its size, stored pixels.
fn around(subject: &Subject<'_>) -> Option<([f64; 2], [f64; 2])> {
    let case = subject.case;
    let of_roots = case
        .roots
        .iter()
        .flat_map(|root| root.canal.iter().chain(root.sections.iter().flat_map(|section| &section.points)));
    let references = case.calibration.references.iter().flat_map(Reference::points);
    let points = placed(subject).into_iter().map(|(_, point)| [point.x, point.y]);
    let points = points.chain(of_roots.map(|point| [point.x, point.y]));
    let points = points.chain(references.map(|point| [point.position().x, point.position().y]));
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for [x, y] in points {
        low = [low[0].min(x), low[1].min(y)];
        high = [high[0].max(x), high[1].max(y)];
    }
    let size = [high[0] - low[0], high[1] - low[1]];
    let margin = AROUND * size[0].max(size[1]).max(30.0);
    let is_some = size.iter().all(|it| it.is_finite());
    is_some.then_some((low.map(|it| it - margin), size.map(|it| it + 2.0 * margin)))
}

/// A side of a box and its length, made as long as is shown at the least of a film's side.
fn at_least(film: f64, from: f64, length: f64) -> [f64; 2] {
    let more = LEAST_SHOWN * film - length;
    if more <= 0.0 {
        return [from, length];
    }
    [(from - more / 2.0).clamp(0.0, film - LEAST_SHOWN * film), length + more]
}

/// A box held to a film of a size, at whole pixels; the film itself where the box lies beside it. Less than a part of the
/// film's sides would be no picture of a tooth: so much around it is shown all the same.
fn within(size: [f64; 2], (corner, extent): ([f64; 2], [f64; 2])) -> ([f64; 2], [f64; 2]) {
    let ([left, wide], [top, high]) =
        (at_least(size[0], corner[0], extent[0]), at_least(size[1], corner[1], extent[1]));
    let (corner, extent) = ([left, top], [wide, high]);
    let low = [corner[0].max(0.0).floor(), corner[1].max(0.0).floor()];
    let high = [(corner[0] + extent[0]).min(size[0]).ceil(), (corner[1] + extent[1]).min(size[1]).ceil()];
    let held = [high[0] - low[0], high[1] - low[1]];
    if held.iter().all(|it| *it >= 16.0) { (low, held) } else { ([0.0, 0.0], size) }
}

/// Every placed landmark that is a single point, with its name.
fn placed<'c>(subject: &Subject<'c>) -> Vec<(String, &'c Point)> {
    let case = subject.case;
    let of_tooth = case.landmarks.marks.iter().filter_map(|(id, mark)| Some((id.words(), mark.point()?)));
    let of_roots = case.roots.iter().flat_map(|root| {
        let name = move |words: String| {
            if case.roots.len() > 1 { format!("{words}, {} root", root.name.word()) } else { words }
        };
        root.landmarks.marks.iter().filter_map(move |(id, mark)| Some((name(id.words()), mark.point()?)))
    });
    of_tooth.chain(of_roots).collect()
}

struct Drawn<'a, 'c> {
    subject: &'a Subject<'c>,
    frame: Frame,
    under: Vec<Mark>,
    over: Vec<Mark>,
    labels: Vec<Label>,
}

/// A line that shows on bone and on air: a dark one with a bright core.
fn cased(points: &[Spot], colour: Colour, width: f64, dashes: &[f64]) -> [Path; 2] {
    [
        Path::line(points, Stroke::solid(Colour::BLACK, width + 0.22)),
        Path::line(points, Stroke::dashed(colour, width, dashes)),
    ]
}

impl Drawn<'_, '_> {
    fn film(&mut self) {
        let Frame { left, width, height, .. } = self.frame;
        let at = Spot::new(left, ABOVE);
        let mark = if let Some(shades) = &self.subject.film {
            let shades = self.frame.part(shades);
            Mark::Picture(Picture { at, width: Millimetres(width), height: Millimetres(height), shades })
        } else {
            Mark::Path(Path::rectangle(at, width, height, Some(Colour::grey(205)), None))
        };
        self.under.push(mark);
        let edge = Path::rectangle(at, width, height, None, Some(Stroke::solid(Colour::BLACK, 0.15)));
        self.over.push(Mark::Path(edge));
    }

    fn line(&mut self, points: &[Spot], colour: Colour, width: f64, dashes: &[f64], name: Option<&str>) {
        let [casing, core] = cased(points, colour, width, dashes);
        let core = if let Some(name) = name { core.named(name) } else { core };
        self.over.extend([casing, core].map(Mark::Path));
    }

    fn canals(&mut self) {
        for root in &self.subject.case.roots {
            let points: Vec<Spot> = root.canal.iter().map(|point| self.frame.point(point)).collect();
            if points.len() > 1 {
                self.line(&points, Colour::WHITE, 0.15, &[0.8, 0.8], None);
            }
        }
    }

    fn references(&mut self) {
        for (index, reference) in self.subject.case.calibration.references.iter().enumerate() {
            let spots: Vec<Spot> =
                reference.points().iter().map(|point| self.frame.spot(point.position())).collect();
            let is_line = matches!(reference.kind(), "instrument" | "width");
            if is_line && spots.len() > 1 {
                self.line(&spots, Colour::grey(230), 0.12, &[0.4, 0.6], None);
            }
            for spot in &spots {
                let corner = Spot::new(spot.x - 0.5, spot.y - 0.5);
                let casing =
                    Path::rectangle(corner, 1.0, 1.0, None, Some(Stroke::solid(Colour::BLACK, 0.45)));
                let core = Path::rectangle(corner, 1.0, 1.0, None, Some(Stroke::solid(Colour::WHITE, 0.2)));
                self.over.extend([casing, core].map(Mark::Path));
            }
            if let Some(first) = spots.first() {
                let words = format!("reference {}, {}", index + 1, reference.kind());
                self.labels.push(Label::new(*first, vec![words], false));
            }
        }
    }

    fn measured(&mut self) {
        let Subject { case, measured, derived, .. } = self.subject;
        for measurement in &measured.measurements {
            let Some(row) = derived.measurements.iter().find(|row| row.of == measurement.of) else {
                continue;
            };
            let id = row.of.id.split(['.', '@']).next().unwrap_or_default();
            let Some(value) = value_words(row).filter(|_| DRAWN.contains(&id)) else { continue };
            // The one beyond the line through both crests lies beside those beyond each.
            if row.of.id == "tip_beyond_crest" && has_sided(self.subject, &row.of) {
                continue;
            }
            let dashes: &[f64] = if row.state == Some(State::Planned) { &[1.3, 0.7] } else { &[] };
            let unit = row.unit.suffix();
            let name = measurement_name(case, &row.of);
            let said = format!("{} {} {unit}", value.value, value.spread);
            let full = format!("{name}: {said}");
            let mut anchor = None;
            for span in spans(case, measured, measurement) {
                let line: Vec<Spot> = span.line.iter().map(|place| self.frame.spot(*place)).collect();
                for foot in &span.feet {
                    let foot = foot.map(|place| self.frame.spot(place));
                    self.line(&foot, Colour::grey(225), 0.08, &[], None);
                }
                self.line(&line, Colour::SKY, 0.32, dashes, Some(&full));
                if let Some(ends) = span.spread {
                    self.bars(ends.map(|place| self.frame.spot(place)));
                }
                anchor = anchor.or_else(|| middle(&line));
            }
            if let Some(anchor) = anchor {
                self.labels.push(Label::new(anchor, vec![name, said], true));
            }
        }
    }

    /// Bars across the ends of an interval.
    fn bars(&mut self, ends: [Spot; 2]) {
        let Some(way) = ends[1].way_from(ends[0]).direction() else { return };
        let across = way.quarter_turn().displacement().times(0.5);
        for end in ends {
            self.line(&[end.moved(across), end.moved(across.times(-1.0))], Colour::SKY, 0.12, &[], None);
        }
    }

    fn landmarks(&mut self) {
        for (name, point) in placed(self.subject) {
            let spot = self.frame.point(point);
            let mark = if point.is_planned() {
                let corner = |x: f64, y: f64| Spot::new(spot.x + x, spot.y + y);
                let corners = [corner(0.0, -0.75), corner(0.75, 0.0), corner(0.0, 0.75), corner(-0.75, 0.0)];
                let casing = Path::area(&corners, None, Some(Stroke::solid(Colour::BLACK, 0.5)));
                self.over.push(Mark::Path(casing));
                Path::area(&corners, None, Some(Stroke::solid(Colour::YELLOW, 0.22)))
            } else {
                let ring = Some(Stroke::solid(Colour::BLACK, 0.18));
                Path::disc(spot, 0.42, Some(Colour::YELLOW), ring)
            };
            self.over.push(Mark::Path(mark.named(&name)));
            self.labels.push(Label::new(spot, vec![name], false));
        }
        for section in self.subject.case.roots.iter().flat_map(|root| &root.sections) {
            for point in &section.points {
                let ring = Some(Stroke::solid(Colour::BLACK, 0.12));
                let dot = Path::disc(self.frame.point(point), 0.28, Some(Colour::YELLOW), ring);
                self.over.push(Mark::Path(dot));
            }
        }
    }

    /// 5 mm along the tooth, in the film's lower left corner.
    fn scale_bar(&mut self) {
        const LONG: f64 = 5.0;
        let Some(scale) = &self.subject.derived.computed.scale else { return };
        let (sin, cos) = scale.axial_angle_deg.to_radians().sin_cos();
        let length = LONG / scale.axial_mm_per_px;
        let Frame { left, width, height, per_px, .. } = self.frame;
        // Squared pixels are as wide as stored ones.
        let along = [length * cos * per_px[0], length * sin * per_px[0]];
        if along.iter().any(|it| it.abs() > 0.4 * width.min(height)) || !length.is_finite() {
            return;
        }
        let low = Spot::new(left + 3.0 + along[0].max(0.0), ABOVE + height - 3.0 - (-along[1]).max(0.0));
        let high = Spot::new(low.x - along[0], low.y - along[1]);
        self.line(&[low, high], Colour::WHITE, 0.35, &[], Some("5 mm along the tooth"));
        self.labels.push(Label::new(high, vec!["white bar: 5 mm along the tooth".to_owned()], false));
    }

    /// Which side is mesial, over the film.
    fn sides(&mut self) {
        let Some(mesial) = self.subject.case.tooth.mesial_is() else { return };
        let names = match mesial {
            FilmSide::Left => ["mesial", "distal"],
            FilmSide::Right => ["distal", "mesial"],
        };
        let size = Millimetres(2.4);
        let right = self.frame.left + self.frame.width - width_of(names[1], Face::Bold, size).get();
        for (words, x) in names.into_iter().zip([self.frame.left, right]) {
            let at = Spot::new(x, ABOVE - 1.0);
            let words = words.to_owned();
            self.over.push(Mark::Text(Text { at, words, face: Face::Bold, size, colour: Colour::BLACK }));
        }
    }

    fn finish(self) -> AnnotatedFilm {
        let Self { subject, frame, under, over, labels } = self;
        let count = labels.len();
        let sides = Sides {
            sizes: &[2.15, 1.9, 1.7],
            top: 0.0,
            bottom: ABOVE + frame.height,
            edges: [frame.left, frame.left + frame.width],
            outer: [0.0, frame.total],
            beside: BESIDE,
        };
        let (leaders, words, unnamed) = sides.placed(labels);
        let mut marks = under;
        marks.extend(leaders);
        marks.extend(over);
        marks.extend(words);
        let tooth =
            subject.case.tooth.fdi.map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
        let film = if subject.film.is_some() { "The film" } else { "The places, without the film," };
        let mut alternative = format!(
            "{film} of {tooth} with {count} landmarks, references and measurements drawn over it, each named beside it; the \
             values stand in the tables too."
        );
        if unnamed > 0 {
            let _ = write!(alternative, " {unnamed} landmarks are drawn without their names.");
        }
        AnnotatedFilm {
            width: frame.total,
            height: ABOVE + frame.height,
            is_part: subject
                .film
                .as_ref()
                .is_some_and(|shades| frame.shown != [f64::from(shades.width()), f64::from(shades.height())]),
            block: Block { role: Role::Figure { alternative }, marks },
        }
    }
}

/// Whether a root has the same measurement for its sides.
fn has_sided(subject: &Subject<'_>, of: &RowRef) -> bool {
    let sided = |id: &str| id.split_once('.').is_some_and(|(id, _)| id == of.id);
    subject
        .derived
        .measurements
        .iter()
        .any(|row| row.of.root == of.root && sided(&row.of.id) && row.value.is_some())
}

/// The place halfway along a line.
fn middle(line: &[Spot]) -> Option<Spot> {
    let total: f64 = line.iter().zip(line.iter().skip(1)).map(|(from, to)| to.way_from(*from).length()).sum();
    let along = crate::geometry::Path::through(line.iter().copied()).and_then(|path| path.at(total / 2.0));
    along.or_else(|| line.first().copied())
}

/// A film's shades as a screen first shows them.
pub fn shades_of(film: &Film) -> Option<Shades> {
    let picture = &film.picture;
    let look = FirstLook::of(&film.first_display, &picture.histogram());
    let table = Tone::default().table(&look);
    let shades =
        picture.grey().iter().map(|grey| table.get(usize::from(*grey)).copied().unwrap_or(0)).collect();
    Shades::new(picture.width(), picture.height(), shades)
}
