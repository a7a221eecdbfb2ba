//! Canals and sections that are agreed on: points that correspond by how they were drawn and not by name.

use super::marks::other_way_round;
use super::mean_place::{MeanPlace, Placing, least_sure};
use super::opinions::Opinions;
use super::{Agreed, Found, WhyLeftOut, spoken};
use crate::calibration::Extra;
use crate::case::{Case, Point, Root, RootName, Section};
use crate::geometry::{Displacement, Path, Position, Square};

/// Two places along a canal, as parts of its length, that lie nearer than this are one.
const SAME_PART: f64 = 1e-9;

/// A canal as it was drawn.
struct Course {
    path: Path<Square>,
    length: f64,
    whole: Displacement<Square>,
}

impl Course {
    /// `None` where it is no path, or planned.
    fn of(points: &[Point], aspect: f64) -> Option<Self> {
        if points.iter().any(Point::is_planned) {
            return None;
        }
        let places: Vec<Position<Square>> = points.iter().map(|point| point.squared(aspect)).collect();
        let path = Path::through(places.iter().copied())?;
        let steps = places.iter().zip(places.iter().skip(1));
        let length = steps.map(|(from, to)| to.way_from(*from).length()).sum();
        Some(Self { path, length, whole: places.last()?.way_from(*places.first()?) })
    }

    /// The place at a part of its length.
    fn at(&self, part: f64) -> Option<Position<Square>> {
        self.path.at(part * self.length)
    }
}

/// The canal of a root: at every part of its length at which anybody has a point, the mean of all courses at that part of
/// theirs, so that the mean of the same course is that course.
pub(super) fn canal(opinions: &Opinions, name: RootName, found: &mut Found) -> Vec<Point> {
    let aspect = opinions.aspect();
    let courses: Vec<(&str, Vec<Course>)> = opinions
        .voices()
        .iter()
        .map(|voice| {
            let drawn = voice.cases.iter().filter_map(|case| Course::of(&root(case, name)?.canal, aspect));
            (voice.who.as_str(), drawn.collect::<Vec<_>>())
        })
        .filter(|(_, courses)| !courses.is_empty())
        .collect();
    let what = || spoken("canal", Some(name));
    match courses.as_slice() {
        [] => return Vec::new(),
        [(only, _)] => {
            found.leave_out(what(), WhyLeftOut::Alone((*only).to_owned()));
            return Vec::new();
        }
        _ => {}
    }
    let drawn = || courses.iter().flat_map(|(who, of_one)| of_one.iter().map(|course| (*who, course)));
    if let Some((one, other)) = other_way_round(drawn().map(|(who, course)| (who, course.whole))) {
        found.leave_out(what(), WhyLeftOut::OtherWayRound { one, other });
        return Vec::new();
    }
    let mut parts: Vec<f64> = drawn()
        .flat_map(|(_, course)| course.path.corners().map(|corner| corner / course.length))
        .chain([0.0, 1.0])
        .collect();
    parts.sort_by(f64::total_cmp);
    parts.dedup_by(|next, kept| *next - *kept < SAME_PART);
    let means: Vec<MeanPlace> = parts
        .iter()
        .filter_map(|part| {
            let placings = courses.iter().filter_map(|(who, of_one)| {
                let at = Position::mean(of_one.iter().filter_map(|course| course.at(*part)))?;
                Some(Placing { who, at })
            });
            MeanPlace::of(&placings.collect::<Vec<_>>())
        })
        .collect();
    found.agreed.push(Agreed { what: what(), n: courses.len(), place: least_sure(&means) });
    means.iter().map(|mean| mean.point(aspect)).collect()
}

/// The sections of a root, matched by their level: each of the four points is the mean of those of the same level.
pub(super) fn sections(opinions: &Opinions, name: RootName, found: &mut Found) -> Vec<Section> {
    let mut levels: Vec<&str> = Vec::new();
    for voice in opinions.voices() {
        for section in voice.cases.iter().filter_map(|case| root(case, name)).flat_map(|root| &root.sections)
        {
            match level(section) {
                Some(level) if levels.contains(&level) => {}
                Some(level) => levels.push(level),
                None => {
                    let why = WhyLeftOut::NoLevel(voice.who.clone());
                    let what = spoken("sections", Some(name));
                    if !found.left_out.iter().any(|it| it.what == what && it.why == why) {
                        found.leave_out(what, why);
                    }
                }
            }
        }
    }
    levels.into_iter().filter_map(|level| section(opinions, name, level, found)).collect()
}

fn section(opinions: &Opinions, name: RootName, wanted: &str, found: &mut Found) -> Option<Section> {
    let what = spoken("section", Some(name)).replacen("section", &format!("section \"{wanted}\""), 1);
    let aspect = opinions.aspect();
    let mut drawn: Vec<(&str, Vec<[Position<Square>; 4]>)> = Vec::new();
    for voice in opinions.voices() {
        let mut of_one = Vec::new();
        for case in &voice.cases {
            let here = root(case, name).into_iter().flat_map(|root| &root.sections);
            let here: Vec<&Section> = here.filter(|section| level(section) == Some(wanted)).collect();
            if here.len() > 1 {
                found.leave_out(what, WhyLeftOut::LevelTwice(voice.who.clone()));
                return None;
            }
            let present = here.into_iter().filter(|section| !section.points.iter().any(Point::is_planned));
            of_one
                .extend(present.map(|section| section.points.each_ref().map(|point| point.squared(aspect))));
        }
        if !of_one.is_empty() {
            drawn.push((&voice.who, of_one));
        }
    }
    match drawn.as_slice() {
        [] => return None,
        [(only, _)] => {
            found.leave_out(what, WhyLeftOut::Alone((*only).to_owned()));
            return None;
        }
        _ => {}
    }
    let across = drawn
        .iter()
        .flat_map(|(who, of_one)| of_one.iter().map(|[mesial, .., distal]| (*who, distal.way_from(*mesial))));
    if let Some((one, other)) = other_way_round(across) {
        found.leave_out(what, WhyLeftOut::OtherWayRound { one, other });
        return None;
    }
    let means = [0, 1, 2, 3].map(|index: usize| {
        let placings = drawn.iter().filter_map(|(who, of_one)| {
            let at = Position::mean(of_one.iter().filter_map(|points| points.get(index).copied()))?;
            Some(Placing { who, at })
        });
        MeanPlace::of(&placings.collect::<Vec<_>>())
    });
    let [Some(one), Some(two), Some(three), Some(four)] = means else { return None };
    let means = [one, two, three, four];
    found.agreed.push(Agreed { what, n: drawn.len(), place: least_sure(&means) });
    let points = means.each_ref().map(|mean| mean.point(aspect));
    Some(Section { level: Some(wanted.to_owned()), points, extra: Extra::new() })
}

fn level(section: &Section) -> Option<&str> {
    section.level.as_deref().map(str::trim).filter(|level| !level.is_empty())
}

fn root(case: &Case, name: RootName) -> Option<&Root> {
    case.roots.iter().find(|root| root.name == name)
}
