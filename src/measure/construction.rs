//! Constructions over places, evaluated in any scalar: as numbers, and as numbers with their derivatives.

use crate::case::Reason;
use crate::geometry::{Direction, Displacement, Path, Plane, Position, Space, angle_between, crossing};
use crate::quantity::Scalar;

/// Index of a placed point of the case being measured.
pub type PlaceIndex = usize;
/// Index of a reading of the case being measured.
pub type ReadingIndex = usize;

/// No ratio is given over a denominator below this, mm.
const LEAST_DENOMINATOR_MM: f64 = 0.5;
/// What is shorter has no direction, mm.
const LEAST_LENGTH_MM: f64 = 1e-9;
/// No radius is given below this curvature, degrees.
const LEAST_CURVATURE_DEG: f64 = 5.0;

/// A place, or one made from several.
#[derive(Debug, Clone, PartialEq)]
pub enum Spot {
    /// One place.
    At(PlaceIndex),
    /// The point halfway between two.
    Middle(PlaceIndex, PlaceIndex),
    /// The mean of several.
    Mean(Vec<PlaceIndex>),
}

/// An axis, pointing apically.
#[derive(Debug, Clone, PartialEq)]
pub enum Axis {
    /// From one spot to another.
    Along(Spot, Spot),
    /// Square to the line through two places, on the side of a third.
    SquareTo {
        /// The line.
        line: (PlaceIndex, PlaceIndex),
        /// On whose side it points.
        toward: PlaceIndex,
    },
}

/// What lengths along a canal are measured on.
#[derive(Debug, Clone, PartialEq)]
pub enum Course {
    /// The canal.
    Canal(Vec<PlaceIndex>),
    /// The root's axis, without a canal.
    Straight(Axis),
}

/// The crest, by two points or one.
#[derive(Debug, Clone, PartialEq)]
pub enum Crest {
    /// The line through both.
    Line(PlaceIndex, PlaceIndex),
    /// One point; the line through it is square to the axis.
    Point(PlaceIndex),
}

/// A length over places.
#[derive(Debug, Clone, PartialEq)]
pub enum Term {
    /// Component along an axis.
    Axial(Spot, Spot, Axis),
    /// Straight from end to end.
    Straight(Spot, Spot),
    /// Difference of the lengths along a course.
    Along(Spot, Spot, Course),
    /// From the crest to a spot along an axis.
    FromCrest(Crest, Spot, Axis),
    /// From a spot to the crest along an axis.
    ToCrest(Crest, Spot, Axis),
    /// A reading.
    Reading(ReadingIndex),
    /// The sum of two lengths.
    Sum(Box<Term>, Box<Term>),
    /// A length known without measuring.
    Known(f64),
    /// The seal: filling top, post tip, filling tip, apex.
    Seal([PlaceIndex; 4], Course),
    /// Across the course between two places of a section whose outer points are given.
    Across {
        /// From and to.
        between: (PlaceIndex, PlaceIndex),
        /// The section's outer points.
        outer: (PlaceIndex, PlaceIndex),
        /// The course it is square to.
        course: Course,
    },
    /// Schneider's angle in degrees: canal start, curve start, canal end.
    Curvature([PlaceIndex; 3]),
    /// Radius of the curve from the same three.
    CurvatureRadius([PlaceIndex; 3]),
}

/// A measurement over places.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// A single term.
    Plain(Term),
    /// (numerator − less) / (denominator − less).
    Quotient {
        /// Above the fraction bar.
        numerator: Term,
        /// Under the fraction bar.
        denominator: Term,
        /// Taken from both, mm.
        less: f64,
    },
}

/// The values of all places and readings in one scalar.
#[derive(Debug, Clone)]
pub struct Values<S> {
    /// Places in the millimetre plane.
    pub points: Vec<Position<Plane, S>>,
    /// Readings in mm.
    pub readings: Vec<S>,
}

/// What a construction came to: a plain value, or numerator and denominator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome<S> {
    /// A plain value.
    Plain(S),
    /// Numerator and denominator, each less what is taken off.
    Quotient(S, S),
}

impl<S: Scalar> Outcome<S> {
    /// The measurement's value.
    pub fn value(self) -> S {
        match self {
            Self::Plain(value) => value,
            Self::Quotient(numerator, denominator) => numerator / denominator,
        }
    }
}

impl Spot {
    /// Where it lies, given where places lie.
    pub fn position<U: Space, S: Scalar>(
        &self,
        at: &impl Fn(PlaceIndex) -> Option<Position<U, S>>,
    ) -> Option<Position<U, S>> {
        match self {
            Self::At(place) => at(*place),
            Self::Middle(one, other) => Some(at(*one)?.middle(at(*other)?)),
            Self::Mean(places) => {
                Position::mean(places.iter().map(|place| at(*place)).collect::<Option<Vec<_>>>()?)
            }
        }
    }

    fn visit(&self, visit: &mut impl FnMut(PlaceIndex)) {
        match self {
            Self::At(place) => visit(*place),
            Self::Middle(one, other) => [one, other].into_iter().copied().for_each(&mut *visit),
            Self::Mean(places) => places.iter().copied().for_each(&mut *visit),
        }
    }
}

impl Axis {
    /// Its direction, given where places lie, on the film as in the millimetre plane; `None` where it has no length.
    pub fn direction<U: Space, S: Scalar>(
        &self,
        at: &impl Fn(PlaceIndex) -> Option<Position<U, S>>,
    ) -> Option<Direction<U, S>> {
        match self {
            Self::Along(from, to) => to.position(at)?.way_from(from.position(at)?).direction(),
            Self::SquareTo { line: (one, other), toward } => {
                let (one, other) = (at(*one)?, at(*other)?);
                let square = other.way_from(one).direction()?.quarter_turn();
                let side = at(*toward)?.way_from(one).along(square).value();
                // A crest point on the margin's line has no side.
                if side.abs() < 1e-9 {
                    return None;
                }
                Some(if side < 0.0 { square.reversed() } else { square })
            }
        }
    }

    /// Calls `visit` with every place the axis depends on.
    pub fn visit(&self, visit: &mut impl FnMut(PlaceIndex)) {
        match self {
            Self::Along(from, to) => {
                from.visit(visit);
                to.visit(visit);
            }
            Self::SquareTo { line: (one, other), toward } => {
                [one, other, toward].into_iter().copied().for_each(&mut *visit);
            }
        }
    }
}

impl Course {
    fn visit(&self, visit: &mut impl FnMut(PlaceIndex)) {
        match self {
            Self::Canal(places) => places.iter().copied().for_each(&mut *visit),
            Self::Straight(axis) => axis.visit(visit),
        }
    }
}

impl Crest {
    fn visit(&self, visit: &mut impl FnMut(PlaceIndex)) {
        match self {
            Self::Line(one, other) => [one, other].into_iter().copied().for_each(&mut *visit),
            Self::Point(only) => visit(*only),
        }
    }
}

impl Term {
    /// Calls `visit` with every place the term depends on; a place may come more than once.
    pub fn visit(&self, visit: &mut impl FnMut(PlaceIndex)) {
        match self {
            Self::Axial(from, to, axis) => {
                from.visit(visit);
                to.visit(visit);
                axis.visit(visit);
            }
            Self::Straight(from, to) => {
                from.visit(visit);
                to.visit(visit);
            }
            Self::Along(from, to, course) => {
                from.visit(visit);
                to.visit(visit);
                course.visit(visit);
            }
            Self::FromCrest(crest, spot, axis) | Self::ToCrest(crest, spot, axis) => {
                crest.visit(visit);
                spot.visit(visit);
                axis.visit(visit);
            }
            Self::Reading(_) | Self::Known(_) => {}
            Self::Sum(one, other) => {
                one.visit(visit);
                other.visit(visit);
            }
            Self::Seal(places, course) => {
                places.iter().copied().for_each(&mut *visit);
                course.visit(visit);
            }
            Self::Across { between: (from, to), outer: (one, other), course } => {
                [from, to, one, other].into_iter().copied().for_each(&mut *visit);
                course.visit(visit);
            }
            Self::Curvature(places) | Self::CurvatureRadius(places) => {
                places.iter().copied().for_each(&mut *visit);
            }
        }
    }

    /// Calls `visit` with every reading the term depends on.
    pub fn visit_readings(&self, visit: &mut impl FnMut(ReadingIndex)) {
        match self {
            Self::Reading(reading) => visit(*reading),
            Self::Sum(one, other) => {
                one.visit_readings(visit);
                other.visit_readings(visit);
            }
            _ => {}
        }
    }
}

impl Construction {
    /// The terms it is made of.
    pub fn terms(&self) -> impl Iterator<Item = &Term> {
        match self {
            Self::Plain(term) => [Some(term), None],
            Self::Quotient { numerator, denominator, .. } => [Some(numerator), Some(denominator)],
        }
        .into_iter()
        .flatten()
    }
}

/// Evaluates a construction.
///
/// # Errors
/// Why it has no value at these places: a crest line along the axis, a small denominator, a curve too slight for a
/// radius, or a direction without length.
pub fn evaluate<S: Scalar>(construction: &Construction, values: &Values<S>) -> Result<Outcome<S>, Reason> {
    match construction {
        Construction::Plain(term) => Ok(Outcome::Plain(values.term(term)?)),
        Construction::Quotient { numerator, denominator, less } => {
            let less = S::constant(*less);
            let (numerator, denominator) = (values.term(numerator)? - less, values.term(denominator)? - less);
            if denominator.value() < LEAST_DENOMINATOR_MM {
                return Err(Reason::DenominatorSmall);
            }
            Ok(Outcome::Quotient(numerator, denominator))
        }
    }
}

/// The straight part of a canal and the line from its bend to its end.
type Lines<S> = (Displacement<Plane, S>, Displacement<Plane, S>);

impl<S: Scalar> Values<S> {
    fn at(&self, place: PlaceIndex) -> Result<Position<Plane, S>, Reason> {
        // Indices come from the same `Places` as the values; were one out of range, no number is the safe answer.
        self.points.get(place).copied().ok_or(Reason::Degenerate)
    }

    fn spot(&self, spot: &Spot) -> Result<Position<Plane, S>, Reason> {
        spot.position(&|place| self.points.get(place).copied()).ok_or(Reason::Degenerate)
    }

    fn axis(&self, axis: &Axis) -> Result<Direction<Plane, S>, Reason> {
        axis.direction(&|place| self.points.get(place).copied()).ok_or(Reason::Degenerate)
    }

    fn canal(&self, places: &[PlaceIndex]) -> Result<Path<Plane, S>, Reason> {
        let points = places.iter().map(|place| self.at(*place)).collect::<Result<Vec<_>, _>>()?;
        Path::through(points).ok_or(Reason::Degenerate)
    }

    /// How far along the course a spot lies: length along the canal, or component along the axis.
    fn reach<'a>(
        &'a self,
        course: &'a Course,
    ) -> Result<impl Fn(Position<Plane, S>) -> Result<S, Reason> + use<'a, S>, Reason> {
        let (path, axis) = match course {
            Course::Canal(places) => (Some(self.canal(places)?), None),
            Course::Straight(axis) => (None, Some(self.axis(axis)?)),
        };
        Ok(move |place: Position<Plane, S>| match (&path, axis) {
            (Some(path), _) => path.nearest(place).map(|foot| foot.arc).ok_or(Reason::Degenerate),
            (None, Some(axis)) => {
                Ok(place.way_from(Position::new(S::constant(0.0), S::constant(0.0))).along(axis))
            }
            (None, None) => Err(Reason::Degenerate),
        })
    }

    fn beyond_crest(&self, crest: &Crest, spot: &Spot, axis: &Axis) -> Result<S, Reason> {
        let (place, axis) = (self.spot(spot)?, self.axis(axis)?);
        match crest {
            Crest::Line(one, other) => {
                let origin = self.at(*one)?;
                let line = self.at(*other)?.way_from(origin);
                if line.direction().is_none() {
                    return Err(Reason::Degenerate);
                }
                crossing(origin, line, axis, place).ok_or(Reason::Parallel)
            }
            Crest::Point(only) => Ok(place.way_from(self.at(*only)?).along(axis)),
        }
    }

    fn term(&self, term: &Term) -> Result<S, Reason> {
        match term {
            Term::Axial(from, to, axis) => {
                Ok(self.spot(to)?.way_from(self.spot(from)?).along(self.axis(axis)?))
            }
            Term::Straight(from, to) => {
                let length = self.spot(to)?.way_from(self.spot(from)?).length();
                // A distance of nothing has no derivative: its sd would come out as 0, a certainty it does not have.
                if length.value() < LEAST_LENGTH_MM { Err(Reason::Degenerate) } else { Ok(length) }
            }
            Term::Along(from, to, course) => {
                let reach = self.reach(course)?;
                Ok(reach(self.spot(to)?)? - reach(self.spot(from)?)?)
            }
            Term::FromCrest(crest, spot, axis) => self.beyond_crest(crest, spot, axis),
            Term::ToCrest(crest, spot, axis) => Ok(-self.beyond_crest(crest, spot, axis)?),
            Term::Reading(reading) => self.readings.get(*reading).copied().ok_or(Reason::Degenerate),
            Term::Sum(one, other) => Ok(self.term(one)? + self.term(other)?),
            Term::Known(length) => Ok(S::constant(*length)),
            Term::Seal([filling_top, post_tip, filling_tip, apex], course) => {
                let reach = self.reach(course)?;
                let (top, tip) = (reach(self.at(*filling_top)?)?, reach(self.at(*post_tip)?)?);
                let (end, apex) = (reach(self.at(*filling_tip)?)?, reach(self.at(*apex)?)?);
                // At a tie the derivative is the filling's.
                let start = if tip.value() > top.value() { tip } else { top };
                Ok(if apex.value() < end.value() { apex - start } else { end - start })
            }
            Term::Across { between: (from, to), outer: (one, other), course } => {
                let along = match course {
                    Course::Canal(places) => {
                        let middle = self.at(*one)?.middle(self.at(*other)?);
                        self.canal(places)?.nearest(middle).ok_or(Reason::Degenerate)?.direction
                    }
                    Course::Straight(axis) => self.axis(axis)?,
                };
                Ok(self.at(*to)?.way_from(self.at(*from)?).across(along).abs())
            }
            Term::Curvature(places) => {
                let (straight, curved) = self.curve(*places)?;
                Ok(angle_between(straight, curved) * S::constant(180.0 / std::f64::consts::PI))
            }
            Term::CurvatureRadius(places) => {
                let (straight, curved) = self.curve(*places)?;
                let angle = angle_between(straight, curved);
                if angle.value().to_degrees() < LEAST_CURVATURE_DEG {
                    return Err(Reason::Below5Deg);
                }
                let sine = angle.sin();
                // A canal that doubles back on itself lies on no arc.
                if sine.value() < 1e-9 {
                    return Err(Reason::Degenerate);
                }
                Ok(curved.length() / (sine * S::constant(2.0)))
            }
        }
    }

    /// The two lines of Schneider's construction: the canal's straight part, and from the bend to its end.
    fn curve(&self, [start, bend, end]: [PlaceIndex; 3]) -> Result<Lines<S>, Reason> {
        let bend = self.at(bend)?;
        let (straight, curved) = (bend.way_from(self.at(start)?), self.at(end)?.way_from(bend));
        if straight.direction().is_none() || curved.direction().is_none() {
            return Err(Reason::Degenerate);
        }
        Ok((straight, curved))
    }
}
