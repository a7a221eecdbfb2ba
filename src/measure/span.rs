//! What a measurement measures, as places on the film: the axis it goes by, the feet of its places, the span between
//! them and how far its end may lie off. For hover and report to draw; nothing here is a new number.

use super::construction::{Axis, Construction, Course, Crest, PlaceIndex, Spot, Term};
use super::places::Places;
use super::study::FilmMap;
use super::{Measured, Measurement};
use crate::case::{Case, Point};
use crate::geometry::{Displacement, Path, Plane, Position, Stored};
use crate::quantity::{COVERAGE_FACTOR, Pixels};

/// Which part of a measurement a span is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpanPart {
    /// All of it.
    Whole,
    /// What stands above the fraction bar.
    Numerator,
    /// What stands under the fraction bar.
    Denominator,
}

/// One length or angle that a measurement is made of, on the film.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// Which part it is.
    pub part: SpanPart,
    /// The axis or line it is measured along or from, from end to end; none for what is measured from point to point.
    pub axis: Option<[Position<Stored>; 2]>,
    /// What is measured, from its first foot to its last, in the order in which it counts: in millimetres it is as
    /// long as the value. Of an angle its two arms.
    pub line: Vec<Position<Stored>>,
    /// From each place to where it is carried onto the line.
    pub feet: Vec<[Position<Stored>; 2]>,
    /// Where the end of the line would lie at either end of the 95 % interval, along the direction of measuring; none
    /// where nothing on the film shows it.
    pub spread: Option<[Position<Stored>; 2]>,
}

impl Span {
    /// The place half-way along what is measured, as it is seen on the film.
    pub fn middle(&self) -> Option<Position<Stored>> {
        let length = |pair: &[Position<Stored>]| match pair {
            [one, other] => other.way_from(*one).length(),
            _ => 0.0,
        };
        let mut left = self.line.windows(2).map(length).sum::<f64>() / 2.0;
        for pair in self.line.windows(2) {
            let (here, [one, other]) = (length(pair), [*pair.first()?, *pair.last()?]);
            if left <= here {
                let part = if here > 0.0 { left / here } else { 0.0 };
                return Some(one.moved(other.way_from(one).times(part)));
            }
            left -= here;
        }
        self.line.first().copied()
    }
}

/// A span in the millimetre plane.
struct Traced {
    axis: Option<[Position<Plane>; 2]>,
    line: Vec<Position<Plane>>,
    feet: Vec<[Position<Plane>; 2]>,
    end: End,
}

/// How the end of a span moves when the value changes.
#[derive(Clone, Copy)]
enum End {
    /// Along a direction of length 1, by the change in mm.
    Along(Displacement<Plane>),
    /// Around a place, by the change in degrees.
    Around(Position<Plane>),
    /// It does not show.
    Unseen,
}

/// The spans of a measurement; none for what is not measured on the film.
pub fn spans(case: &Case, measured: &Measured, measurement: &Measurement) -> Vec<Span> {
    let (Ok(scale), Some(construction), Ok(value)) =
        (&measured.scale, &measurement.construction, &measurement.result)
    else {
        return Vec::new();
    };
    let places = Places::of(case);
    let map = FilmMap::of(scale);
    let tracer = Tracer { at: places.points.iter().map(|place| scale.plane(place.position)).collect() };
    let aspect = case.film.aspect();
    let film = |place: Position<Plane>| {
        let squared = map.on_film(place);
        Position::<Stored>::new(squared.x, squared.y / aspect)
    };
    let half = |variance: f64| {
        let half = COVERAGE_FACTOR * variance.max(0.0).sqrt();
        [-half, half]
    };
    let parts: Vec<(SpanPart, &Term, [f64; 2])> = match (construction, &value.quotient) {
        (Construction::Quotient { numerator, denominator, .. }, Some(quotient)) => vec![
            (SpanPart::Numerator, numerator, half(quotient.numerator_variance)),
            (SpanPart::Denominator, denominator, half(quotient.denominator_variance)),
        ],
        (Construction::Plain(term), _) => {
            let ends = measurement.interval().unwrap_or_else(|| value.estimate.interval());
            vec![(SpanPart::Whole, term, ends.map(|end| end - value.estimate.value))]
        }
        (Construction::Quotient { .. }, None) => Vec::new(),
    };
    let mut spans = Vec::new();
    for (part, term, off) in parts {
        let mut traced = Vec::new();
        tracer.term(term, &mut traced);
        let last = traced.len().saturating_sub(1);
        for (at, Traced { axis, line, feet, end }) in traced.into_iter().enumerate() {
            // Of a sum the last part moves.
            let spread = line.last().filter(|_| at == last).and_then(|place| moved(*place, end, off));
            spans.push(Span {
                part,
                axis: axis.map(|ends| ends.map(film)),
                line: line.into_iter().map(film).collect(),
                feet: feet.into_iter().map(|foot| foot.map(film)).collect(),
                spread: spread.map(|ends| ends.map(film)),
            });
        }
    }
    spans
}

fn moved(place: Position<Plane>, end: End, off: [f64; 2]) -> Option<[Position<Plane>; 2]> {
    match end {
        End::Along(way) => Some(off.map(|off| place.moved(way.times(off)))),
        End::Around(pivot) => Some(off.map(|off| {
            let (arm, (sin, cos)) = (place.way_from(pivot), off.to_radians().sin_cos());
            pivot.moved(Displacement::new(arm.x * cos - arm.y * sin, arm.x * sin + arm.y * cos))
        })),
        End::Unseen => None,
    }
}

struct Tracer {
    at: Vec<Position<Plane>>,
}

impl Tracer {
    fn place(&self, place: PlaceIndex) -> Option<Position<Plane>> {
        self.at.get(place).copied()
    }

    fn spot(&self, spot: &Spot) -> Option<Position<Plane>> {
        spot.position(&|place| self.place(place))
    }

    fn way(&self, axis: &Axis) -> Option<Displacement<Plane>> {
        Some(axis.direction(&|place| self.place(place))?.displacement())
    }

    fn ends(&self, axis: &Axis) -> Option<[Position<Plane>; 2]> {
        match axis {
            Axis::Along(from, to) => Some([self.spot(from)?, self.spot(to)?]),
            Axis::SquareTo { line: (one, other), .. } => Some([self.place(*one)?, self.place(*other)?]),
        }
    }

    fn path(&self, places: &[PlaceIndex]) -> Option<(Path<Plane>, Vec<Position<Plane>>)> {
        let points = places.iter().map(|place| self.place(*place)).collect::<Option<Vec<_>>>()?;
        Some((Path::through(points.iter().copied())?, points))
    }

    /// The spans of a term, in the order in which they add up.
    fn term(&self, term: &Term, spans: &mut Vec<Traced>) {
        if let Term::Sum(one, other) = term {
            self.term(one, spans);
            self.term(other, spans);
        } else {
            spans.extend(self.single(term));
        }
    }

    fn single(&self, term: &Term) -> Option<Traced> {
        match term {
            Term::Axial(from, to, axis) => self.along_axis(self.spot(from)?, self.spot(to)?, axis),
            Term::Straight(from, to) => {
                let (from, to) = (self.spot(from)?, self.spot(to)?);
                let way = to.way_from(from).direction()?.displacement();
                Some(Traced { axis: None, line: vec![from, to], feet: Vec::new(), end: End::Along(way) })
            }
            Term::Along(from, to, course) => self.along(self.spot(from)?, self.spot(to)?, course),
            Term::FromCrest(crest, spot, axis) => self.beyond_crest(crest, self.spot(spot)?, axis, false),
            Term::ToCrest(crest, spot, axis) => self.beyond_crest(crest, self.spot(spot)?, axis, true),
            Term::Reading(_) | Term::Known(_) | Term::Sum(..) => None,
            Term::Seal([filling_top, post_tip, filling_tip, apex], course) => {
                let reach = |place: &PlaceIndex| Some((self.reach(self.place(*place)?, course)?, *place));
                let (top, tip) = (reach(filling_top)?, reach(post_tip)?);
                let (end, apex) = (reach(filling_tip)?, reach(apex)?);
                let (_, from) = if tip.0 > top.0 { tip } else { top };
                let (_, to) = if apex.0 < end.0 { apex } else { end };
                self.along(self.place(from)?, self.place(to)?, course)
            }
            Term::Across { between: (from, to), outer: (one, other), course } => {
                let (from, to) = (self.place(*from)?, self.place(*to)?);
                let (along, axis) = match course {
                    Course::Canal(places) => {
                        let middle = self.place(*one)?.middle(self.place(*other)?);
                        let foot = self.path(places)?.0.nearest(middle)?;
                        let reach = foot.direction.displacement().times(to.way_from(from).length());
                        let ends = [foot.place.moved(reach.times(-1.0)), foot.place.moved(reach)];
                        (foot.direction, Some(ends))
                    }
                    Course::Straight(axis) => (axis.direction(&|place| self.place(place))?, self.ends(axis)),
                };
                let square = along.quarter_turn().displacement();
                let across = to.way_from(from).across(along);
                let foot = from.moved(square.times(across));
                let way = square.times(if across < 0.0 { -1.0 } else { 1.0 });
                Some(Traced { axis, line: vec![from, foot], feet: vec![[to, foot]], end: End::Along(way) })
            }
            Term::Curvature([start, bend, end]) | Term::CurvatureRadius([start, bend, end]) => {
                let (start, bend, end) = (self.place(*start)?, self.place(*bend)?, self.place(*end)?);
                // The straight part goes on past the bend: the angle lies between it and the other arm.
                let straight = bend.way_from(start).direction()?.displacement();
                let on = bend.moved(straight.times(end.way_from(bend).length()));
                let moves = if matches!(term, Term::Curvature(_)) { End::Around(bend) } else { End::Unseen };
                let line = vec![start, bend, end];
                Some(Traced { axis: Some([bend, on]), line, feet: Vec::new(), end: moves })
            }
        }
    }

    fn along_axis(&self, from: Position<Plane>, to: Position<Plane>, axis: &Axis) -> Option<Traced> {
        let way = self.way(axis)?;
        let foot = from.moved(way.times(to.way_from(from).dot(way)));
        let (line, feet) = (vec![from, foot], vec![[to, foot]]);
        Some(Traced { axis: self.ends(axis), line, feet, end: End::Along(way) })
    }

    fn reach(&self, place: Position<Plane>, course: &Course) -> Option<f64> {
        match course {
            Course::Canal(places) => Some(self.path(places)?.0.nearest(place)?.arc),
            Course::Straight(axis) => Some(place.way_from(Position::new(0.0, 0.0)).dot(self.way(axis)?)),
        }
    }

    fn along(&self, from: Position<Plane>, to: Position<Plane>, course: &Course) -> Option<Traced> {
        let places = match course {
            Course::Canal(places) => places,
            Course::Straight(axis) => return self.along_axis(from, to, axis),
        };
        let (path, _) = self.path(places)?;
        let (first, last) = (path.nearest(from)?, path.nearest(to)?);
        let (low, high) = (first.arc.min(last.arc), first.arc.max(last.arc));
        let mut line: Vec<Position<Plane>> =
            path.corners().filter(|arc| *arc > low && *arc < high).filter_map(|arc| path.at(arc)).collect();
        if last.arc < first.arc {
            line.reverse();
        }
        line.insert(0, first.place);
        line.push(last.place);
        let feet = vec![[from, first.place], [to, last.place]];
        Some(Traced { axis: None, line, feet, end: End::Along(last.direction.displacement()) })
    }

    fn beyond_crest(
        &self,
        crest: &Crest,
        spot: Position<Plane>,
        axis: &Axis,
        to_crest: bool,
    ) -> Option<Traced> {
        let way = self.way(axis)?;
        let (origin, line, ends) = match crest {
            Crest::Line(one, other) => {
                let (one, other) = (self.place(*one)?, self.place(*other)?);
                (one, other.way_from(one), Some([one, other]))
            }
            Crest::Point(only) => (self.place(*only)?, Displacement::new(-way.y, way.x), None),
        };
        let off = spot.way_from(origin);
        let beyond = off.cross(line) / way.cross(line);
        if !beyond.is_finite() {
            return None;
        }
        let foot = spot.moved(way.times(-beyond));
        let feet = vec![[origin, foot]];
        let (line, end) = if to_crest { (vec![spot, foot], way) } else { (vec![foot, spot], way) };
        Some(Traced { axis: ends.or_else(|| self.ends(axis)), line, feet, end: End::Along(end) })
    }
}

impl Measured {
    /// Standard uncertainty of placing a point, px on each axis of the squared grid: what it states, else what the
    /// case works with; none where nothing tells, or for a planned point, which is placed on nothing.
    pub fn placing_sd(&self, point: &Point) -> Option<Pixels> {
        let sd = match (point.sd_px, point.is_planned()) {
            (Some(sd), _) => sd,
            (None, true) => return None,
            (None, false) => self.scale.as_ref().ok()?.placing_sd().get(),
        };
        (sd > 0.0).then_some(Pixels(sd))
    }
}
