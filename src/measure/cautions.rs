//! Cautions about landmarks, axes and scale: what a reader must know before trusting the numbers.

use super::average_teeth::average;
use super::axes::{MadeAxis, root_axis, tooth_axis};
use super::construction::{Construction, Course, PlaceIndex, Term};
use super::courses;
use super::inputs::Inputs;
use super::orders;
use super::places::Places;
use super::propagate::Value;
use super::resolve::Resolved;
use super::{Compared, Missing};
use crate::calibration::{self, Reference, Scale};
use crate::case::{Case, FilmSide, Landmark, Side, Stage, plausible};
use crate::caution::{Caution, CautionKind};
use crate::geometry::{Displacement, Plane, Position, Square};
use crate::quantity::Unit;

/// Measured this far from the direction of the reference that scales it, degrees.
const MOST_OFF_REFERENCE_DEG: f64 = 20.0;
/// Measured this many times the length of the reference that scales it.
const MOST_TIMES_REFERENCE: f64 = 2.0;
/// A root or width this much larger or smaller than the average tooth's points to a wrong scale.
const IMPLAUSIBLE_FACTOR: f64 = 1.6;

pub(super) fn cautions(
    places: &Places<'_>,
    inputs: Option<&Inputs<'_>>,
    rows: &[Resolved],
    results: &[Result<Value, Missing>],
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if places.case().tooth.fdi.is_none() {
        cautions.push(Caution::about(CautionKind::ToothNotStated, "tooth/fdi"));
    }
    axes(places, &mut cautions);
    on_film(places, &mut cautions);
    sides(places, inputs.map(|inputs| &inputs.scale), &mut cautions);
    orders::turned(places, &mut cautions);
    readings(places.case(), &mut cautions);
    if let Some(inputs) = inputs {
        cautions.extend(inputs.scale.cautions().iter().cloned());
        against_references(inputs, rows, results, &mut cautions);
        courses::canals_and_sections(inputs, &mut cautions);
        beyond_apex(places, inputs, &mut cautions);
        orders::orders(places, inputs, &mut cautions);
    }
    values(places, rows, results, &mut cautions);
    cautions
}

/// Readings outside the range one meets.
fn readings(case: &Case, cautions: &mut Vec<Caution>) {
    for odd in plausible::readings(&case.clinical) {
        let limit = if odd.value > odd.most {
            odd.most
        } else if odd.value < odd.least {
            odd.least
        } else {
            continue;
        };
        let about = format!("clinical/{}", odd.key);
        cautions.push(Caution::about(CautionKind::ReadingOutOfRange, about).value(odd.value).limit(limit));
    }
}

fn axes(places: &Places<'_>, cautions: &mut Vec<Caution>) {
    let several = places.has_several_roots();
    let mut fallback = |made: Result<MadeAxis, _>, about: String| {
        if let Ok(MadeAxis { fallback: Some(how), .. }) = made {
            cautions.push(Caution::about(CautionKind::AxisFallback, about).detail(how));
        }
    };
    fallback(tooth_axis(places), "tooth".to_owned());
    if several {
        for (index, root) in places.roots.iter().enumerate() {
            fallback(root_axis(places, index), root_name(root.name));
        }
    }
    let apices = (0..places.roots.len())
        .filter(|root| places.find(Landmark::Apex.id(), Some(*root)).is_some())
        .count();
    if several && apices > 0 && apices < places.roots.len() {
        cautions.push(
            Caution::about(CautionKind::FewerApices, "apex")
                .value(count(apices))
                .limit(count(places.roots.len())),
        );
    }
}

pub(super) fn section_name(section: usize, root: crate::case::RootName) -> String {
    format!("sections@{section} ({})", root.word())
}

fn root_name(name: crate::case::RootName) -> String {
    format!("{} root", name.word())
}

#[allow(clippy::cast_precision_loss)] // a count of roots or points is far below 2^52
fn count(number: usize) -> f64 {
    number as f64
}

/// The name of a place for people: its landmark, with its root where there are several.
fn place_name(places: &Places<'_>, place: PlaceIndex) -> String {
    let Some(place) = places.points.get(place) else { return String::new() };
    let root = place.root.and_then(|root| places.roots.get(root)).filter(|_| places.has_several_roots());
    match root {
        Some(root) => format!("{} ({})", place.landmark.key(), root.name.word()),
        None => place.landmark.key().to_owned(),
    }
}

fn on_film(places: &Places<'_>, cautions: &mut Vec<Caution>) {
    let film = &places.case().film;
    let (Some(width), Some(height)) = (film.width_px, film.height_px) else { return };
    let (width, height) = (f64::from(width), f64::from(height) * film.aspect());
    for (index, place) in places.points.iter().enumerate() {
        let Position { x, y, .. } = place.position;
        let outside = (-x).max(x - width).max(-y).max(y - height);
        if outside > 0.0 {
            cautions.push(Caution::about(CautionKind::OffFilm, place_name(places, index)).value(outside));
        }
    }
    for (index, reference) in places.case().calibration.references.iter().enumerate() {
        let outside = reference
            .points()
            .iter()
            .map(|point| point.squared(film.aspect()))
            .map(|at| (-at.x).max(at.x - width).max(-at.y).max(at.y - height))
            .fold(0.0, f64::max);
        if outside > 0.0 {
            let about = format!("calibration/references/{index}");
            cautions.push(Caution::about(CautionKind::OffFilm, about).value(outside));
        }
    }
}

/// Mesial and distal: against the quadrant, against what the case says, and against one another.
fn sides(places: &Places<'_>, scale: Option<&Scale>, cautions: &mut Vec<Caution>) {
    let tooth = &places.case().tooth;
    if let (Some(fdi), Some(stated)) = (tooth.fdi, tooth.mesial_is)
        && stated != fdi.mesial_seen_from_in_front()
    {
        cautions.push(Caution::about(CautionKind::MesialAgainstQuadrant, "tooth/mesial_is"));
    }
    let pairs = Landmark::ALL.iter().filter(|landmark| landmark.declaration().sided).filter_map(|landmark| {
        let (mesial, distal) = places.pair(*landmark)?;
        let (mesial, distal) = (places.points.get(mesial)?, places.points.get(distal)?);
        let names = Side::BOTH.map(|side| landmark.on(side).key().to_owned());
        Some((names.to_vec(), distal.position.way_from(mesial.position)))
    });
    let sections = places.roots.iter().flat_map(|root| {
        root.sections.iter().enumerate().filter_map(move |(section, [one, .., other])| {
            let (one, other) = (places.points.get(*one)?, places.points.get(*other)?);
            Some((vec![section_name(section, root.name)], other.position.way_from(one.position)))
        })
    });
    let pairs: Vec<_> = pairs.chain(sections).collect();
    // The sum of all pairs is the direction in which most of them agree.
    let sum = pairs.iter().fold(Displacement::<Square>::new(0.0, 0.0), |sum, (_, way)| {
        Displacement::new(sum.x + way.x, sum.y + way.y)
    });
    let crossed = pairs.iter().filter(|(_, way)| way.dot(sum) < 0.0);
    let (mut about, mut most) = (Vec::new(), 0.0_f64);
    for (names, way) in crossed {
        about.extend(names.iter().cloned());
        most = most.max(way.dot(sum).abs() / sum.length());
    }
    if !about.is_empty() {
        let mut caution = Caution::general(CautionKind::SidesCrossed)
            .value(most)
            .detail("these lie the other way round than the rest");
        caution.about = about;
        cautions.push(caution);
    }
    let across = sum.x / count(pairs.len().max(1));
    let on_each_others_side = match tooth.mesial_is() {
        Some(FilmSide::Left) => -across,
        Some(FilmSide::Right) => across,
        None => 0.0,
    };
    if on_each_others_side > 0.0 {
        let (says, lies) = if across < 0.0 { ("left", "right") } else { ("right", "left") };
        let wide = scale.map_or_else(String::new, |scale| {
            let wide = scale.plane(Position::new(across, 0.0)).way_from(scale.plane(Position::new(0.0, 0.0)));
            format!(", {:.1} mm apart on average", wide.length())
        });
        cautions.push(
            Caution::about(CautionKind::SidesCrossed, "tooth/mesial_is")
                .suspicion("the tooth's number or the side of mesial may be wrong")
                .value(on_each_others_side)
                .detail(format!("on the film as stored the case has mesial on the {says}, the landmarks have it on the {lies}{wide}")),
        );
    }
}

/// How far a length can be trusted beside the references that scale its direction.
fn against_references(
    inputs: &Inputs<'_>,
    rows: &[Resolved],
    results: &[Result<Value, Missing>],
    cautions: &mut Vec<Caution>,
) {
    let axial = longest(inputs, true);
    let transverse = longest(inputs, false);
    let (mut off, mut beyond) = (Worst::default(), Worst::default());
    for (row, result) in rows.iter().zip(results) {
        let (Ok(value), Ok(Construction::Plain(term))) = (result, &row.construction) else { continue };
        if row.row.unit != Unit::Millimetre {
            continue;
        }
        let Some(bearing) = bearing(inputs, term) else { continue };
        // 0 along the axial direction, 90 across it.
        let from_axial = bearing.y.abs().atan2(bearing.x.abs()).to_degrees();
        let scaled_by = if from_axial <= 45.0 { axial.or(transverse) } else { transverse.or(axial) };
        let Some(scaled_by) = scaled_by else { continue };
        let away = match (axial, transverse) {
            (Some(_), Some(_)) => from_axial.min(90.0 - from_axial),
            (Some(_), None) => from_axial,
            (None, Some(reference)) if reference.has_direction => 90.0 - from_axial,
            _ => 0.0,
        };
        off.note(away, MOST_OFF_REFERENCE_DEG, row);
        beyond.note(value.estimate.value.abs() / scaled_by.length_mm, MOST_TIMES_REFERENCE, row);
    }
    off.raise(CautionKind::DirectionOffReference, MOST_OFF_REFERENCE_DEG, cautions);
    beyond.raise(CautionKind::BeyondReference, MOST_TIMES_REFERENCE, cautions);
}

/// The rows past a limit, and the largest number among them.
#[derive(Default)]
struct Worst {
    most: f64,
    rows: Vec<String>,
}

impl Worst {
    fn note(&mut self, number: f64, limit: f64, row: &Resolved) {
        if number > limit {
            self.most = self.most.max(number);
            self.rows.push(row.of.listed());
        }
    }

    fn raise(self, kind: CautionKind, limit: f64, cautions: &mut Vec<Caution>) {
        if !self.rows.is_empty() {
            let mut caution = Caution::general(kind).value(self.most).limit(limit);
            caution.about = self.rows;
            cautions.push(caution);
        }
    }
}

#[derive(Clone, Copy)]
struct Longest {
    length_mm: f64,
    has_direction: bool,
}

/// The longest reference of one direction, its size as the scale has it. A pitch has no end, and neither it nor a
/// ball has a direction.
fn longest(inputs: &Inputs<'_>, axial: bool) -> Option<Longest> {
    let mut longest: Option<Longest> = None;
    let references = inputs.places.case().calibration.references.iter().enumerate();
    for (index, reference) in references.filter(|(_, reference)| reference.is_axial() == axial) {
        let size =
            inputs.scale.inputs().iter().find(|input| {
                input.reference == Some(index) && input.source == calibration::Source::Reference
            });
        let length_mm = size.map_or(f64::INFINITY, |input| input.nominal);
        let has_direction = matches!(reference, Reference::Instrument(_) | Reference::Width(_));
        let previous = longest.map_or(0.0, |it| it.length_mm);
        longest = Some(Longest {
            length_mm: length_mm.max(previous),
            has_direction: has_direction && longest.is_none_or(|it| it.has_direction),
        });
    }
    longest
}

/// The direction a length is measured in, in the millimetre plane.
fn bearing(inputs: &Inputs<'_>, term: &Term) -> Option<Displacement<Plane>> {
    let at = |place: PlaceIndex| inputs.nominal.points.get(place).copied();
    match term {
        Term::Axial(_, _, axis) | Term::FromCrest(_, _, axis) | Term::ToCrest(_, _, axis) => {
            Some(axis.direction(&at)?.displacement())
        }
        Term::Straight(from, to) | Term::Along(from, to, _) => {
            Some(to.position(&at)?.way_from(from.position(&at)?))
        }
        Term::Seal([top, _, tip, _], _) => Some(at(*tip)?.way_from(at(*top)?)),
        Term::Across { outer: (one, other), .. } => Some(at(*other)?.way_from(at(*one)?)),
        Term::Reading(_) | Term::Sum(..) | Term::Known(_) | Term::Curvature(_) | Term::CurvatureRadius(_) => {
            None
        }
    }
}

/// Values no tooth has: below 0 where that cannot be, beyond the apex, and sizes that point to a wrong scale.
fn values(
    places: &Places<'_>,
    rows: &[Resolved],
    results: &[Result<Value, Missing>],
    cautions: &mut Vec<Caution>,
) {
    let average = places.case().tooth.fdi.and_then(average);
    let mut heights = Vec::new();
    for (row, result) in rows.iter().zip(results) {
        let Ok(value) = result else { continue };
        let value = value.estimate.value;
        if let Some(kind) = row.row.below_zero.filter(|_| value < 0.0) {
            cautions.push(Caution::about(kind, row.of.listed()).value(-value));
        }
        if value == 0.0 && ends_coincide(places, row) {
            cautions.push(Caution::about(CautionKind::EndsCoincide, row.of.listed()));
        }
        if row.row.is_provisional && !row.is_reading {
            heights.push(row.of.listed());
        }
        let usual = match (row.row.compared_with, average) {
            (Some(Compared::Root), Some(average)) => Some((average.root, true)),
            // A root is thinner further down, and one of several thinner than the cervix: only a width too large
            // says anything.
            (Some(Compared::Cervix), Some(average)) if !places.has_several_roots() => {
                Some((average.cervix, false))
            }
            _ => None,
        };
        if let Some((usual, may_be_too_small)) = usual.map(|(usual, small)| (usual.get(), small)) {
            let too_small = may_be_too_small && value < usual / (IMPLAUSIBLE_FACTOR * IMPLAUSIBLE_FACTOR);
            if value > usual * IMPLAUSIBLE_FACTOR || too_small {
                let caution = Caution::about(CautionKind::ScaleImplausible, row.of.listed());
                cautions.push(caution.value(value).limit(usual));
            }
        }
    }
    if places.case().film.stage == Some(Stage::Assessment) && !heights.is_empty() {
        let mut caution = Caution::general(CautionKind::HeightsProvisional);
        caution.about = heights;
        cautions.push(caution);
    }
}

/// Whether a row that no tooth has at 0 runs between two landmarks clicked, or copied, onto one place. A post that
/// touches the filling is no such row.
fn ends_coincide(places: &Places<'_>, row: &Resolved) -> bool {
    let Ok(Construction::Plain(
        Term::Axial(from, to, _) | Term::Straight(from, to) | Term::Along(from, to, _),
    )) = &row.construction
    else {
        return false;
    };
    let (super::Spot::At(from), super::Spot::At(to)) = (from, to) else { return false };
    let ends = [from, to].map(|place| places.points.get(*place).map(|place| place.position));
    let never_nothing = row.row.below_zero.is_some() || row.row.is_provisional;
    never_nothing && matches!(ends, [Some(from), Some(to)] if from == to)
}

/// A post or a filling that ends beyond the apex, by the course the seal is measured on.
fn beyond_apex(places: &Places<'_>, inputs: &Inputs<'_>, cautions: &mut Vec<Caution>) {
    for (index, root) in places.roots.iter().enumerate() {
        let Some(apex) = places.find(Landmark::Apex.id(), Some(index)) else { continue };
        let course = if root.canal.len() >= 2 {
            Some(Course::Canal(root.canal.clone()))
        } else {
            root_axis(places, index).ok().map(|made| Course::Straight(made.axis))
        };
        let Some(course) = course else { continue };
        for landmark in [Landmark::PostTip, Landmark::FillingTip] {
            let Some(tip) = places.find(landmark.id(), Some(index)) else { continue };
            let term = Term::Along(super::Spot::At(apex), super::Spot::At(tip), course.clone());
            let past =
                super::evaluate(&Construction::Plain(term), &inputs.nominal).map(super::Outcome::value);
            if let Ok(past) = past
                && past > 0.0
            {
                cautions
                    .push(Caution::about(CautionKind::TipBeyondApex, place_name(places, tip)).value(past));
            }
        }
    }
}
