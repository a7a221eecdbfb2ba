//! What a key takes over because all cases say the same: film, tooth, roots, and what gives the scale.

use super::mean_place::{MeanPlace, Placing};
use super::opinions::Opinions;
use super::{Found, WhyLeftOut};
use crate::calibration::{Extra, Reference, ReferencePoint};
use crate::case::{Calibration, Case, Film, RootName, Tooth};
use crate::geometry::Position;

/// The film, without its path.
pub(super) fn film(opinions: &Opinions, found: &mut Found) -> Film {
    Film {
        file: None,
        sha256: opinions.shared(|case| case.film.sha256.clone()).flatten(),
        width_px: opinions.shared(|case| case.film.width_px).flatten(),
        height_px: opinions.shared(|case| case.film.height_px).flatten(),
        pixel_aspect: opinions.shared(|case| case.film.pixel_aspect).flatten(),
        date: same(opinions, found, "the film's date", |case| case.film.date.clone()),
        stage: same(opinions, found, "the film's stage", |case| case.film.stage),
        technique: same(opinions, found, "the film's technique", |case| case.film.technique),
        extra: Extra::new(),
    }
}

/// The tooth.
pub(super) fn tooth(opinions: &Opinions, found: &mut Found) -> Tooth {
    Tooth {
        fdi: opinions.shared(|case| case.tooth.fdi).flatten(),
        mesial_is: same(opinions, found, "where mesial is", |case| case.tooth.mesial_is),
        extra: Extra::new(),
    }
}

/// The roots that every case names, in the order of the first, each with whether a post is there.
pub(super) fn roots(opinions: &Opinions, found: &mut Found) -> Vec<(RootName, Option<bool>)> {
    let names = |case: &Case| -> Vec<RootName> { case.roots.iter().map(|root| root.name).collect() };
    let mut all: Vec<RootName> = Vec::new();
    for name in opinions.cases().flat_map(names) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    let mut agreed = Vec::new();
    for name in all {
        if opinions.cases().all(|case| names(case).contains(&name)) {
            let here = |case: &Case| case.roots.iter().find(|root| root.name == name)?.post_here;
            let what = format!("whether a post is in the {} root", name.word());
            agreed.push((name, same(opinions, found, &what, here)));
        } else {
            found.leave_out(format!("the {} root", name.word()), WhyLeftOut::Differs);
        }
    }
    agreed
}

/// What gives the scale: references that all cases have alike. Where only their points differ, and correspond one to one,
/// as the two ends of an instrument or the two sides of a width do, these are placings like any others.
pub(super) fn calibration(opinions: &Opinions, found: &mut Found) -> Calibration {
    let ratio_sd = same(opinions, found, "the sd of the scales' ratio", |case| case.calibration.ratio_sd);
    let count = opinions.shared(|case| case.calibration.references.len());
    if count.is_none() {
        found.leave_out("the references of the scale".to_owned(), WhyLeftOut::Differs);
    }
    let mut references = Vec::new();
    for index in 0..count.unwrap_or(0) {
        match reference(opinions, index) {
            Some(reference) => references.push(reference),
            None => found.leave_out(format!("reference {} of the scale", index + 1), WhyLeftOut::Differs),
        }
    }
    Calibration { references, ratio_sd, extra: Extra::new() }
}

fn reference(opinions: &Opinions, index: usize) -> Option<Reference> {
    let of = |case: &Case| case.calibration.references.get(index).cloned();
    if let Some(reference) = opinions.shared(of) {
        return reference;
    }
    let bare = opinions.shared(|case| of(case).map(|it| it.with_points(Vec::new()))).flatten()?;
    let aspect = opinions.aspect();
    let ends = |case: &Case| -> Option<[Position<_>; 2]> {
        let reference = of(case)?;
        let [from, to] = reference.points() else { return None };
        Some([from.squared(aspect), to.squared(aspect)])
    };
    let mut drawn = Vec::new();
    for voice in opinions.voices() {
        let of_one: Vec<_> = voice.cases.iter().map(ends).collect::<Option<_>>()?;
        drawn.push((voice.who.as_str(), of_one));
    }
    let ways =
        drawn.iter().flat_map(|(who, of_one)| of_one.iter().map(|[from, to]| (*who, to.way_from(*from))));
    if super::marks::other_way_round(ways).is_some() {
        return None;
    }
    let end = |which: usize| {
        let placings = drawn.iter().filter_map(|(who, of_one)| {
            let at = Position::mean(of_one.iter().filter_map(|ends| ends.get(which).copied()))?;
            Some(Placing { who, at })
        });
        let mean = MeanPlace::of(&placings.collect::<Vec<_>>())?;
        let [x, y] = mean.stored(aspect);
        let sd_px = Some(mean.agreed.sd_px);
        Some(ReferencePoint { x, y, sd_px, placed: None, extra: Extra::new() })
    };
    Some(bare.with_points(vec![end(0)?, end(1)?]))
}

/// What all cases say alike; what they do not is left out by name.
fn same<T: PartialEq>(
    opinions: &Opinions,
    found: &mut Found,
    what: &str,
    of: impl Fn(&Case) -> Option<T>,
) -> Option<T> {
    let shared = opinions.shared(of);
    if shared.is_none() {
        found.leave_out(what.to_owned(), WhyLeftOut::Differs);
    }
    shared.flatten()
}
