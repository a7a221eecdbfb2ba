//! Landmarks that are agreed on: placed by all who say anything of them, or seen by none.

use super::mean_place::{MeanPlace, Placing};
use super::opinions::{Opinions, Voice};
use super::{Agreed, Found, WhyLeftOut, spoken};
use crate::calibration::Extra;
use crate::case::{Case, LandmarkId, Landmarks, Mark, Owner, RootName, Side};
use crate::geometry::{Displacement, Position, Square};
use std::collections::BTreeSet;

/// What one observer says of a landmark: over all their sittings.
#[derive(Debug, Default)]
struct Said<'a> {
    placed: Vec<Position<Square>>,
    hidden: Vec<&'a str>,
    absent: Vec<&'a str>,
}

/// The landmarks of the tooth, or of one root, that are agreed on.
pub(super) fn agreed(opinions: &Opinions, root: Option<RootName>, found: &mut Found) -> Landmarks {
    let owner = if root.is_some() { Owner::Root } else { Owner::Tooth };
    let mut landmarks = Landmarks::default();
    for id in LandmarkId::points(owner) {
        if let Some(mark) = mark(opinions, id, root, found) {
            landmarks.marks.insert(id, mark);
        }
    }
    landmarks
}

fn mark(opinions: &Opinions, id: LandmarkId, root: Option<RootName>, found: &mut Found) -> Option<Mark> {
    let what = || spoken(id.key(), root);
    let said: Vec<(&str, Said<'_>)> =
        opinions.voices().iter().map(|voice| (voice.who.as_str(), said(voice, id, root))).collect();
    let who = |of: fn(&Said<'_>) -> bool| -> Vec<String> {
        said.iter().filter(|(_, said)| of(said)).map(|(who, _)| (*who).to_owned()).collect()
    };
    let placed = who(|said| !said.placed.is_empty());
    let hidden = who(|said| !said.hidden.is_empty());
    let absent = who(|said| !said.absent.is_empty());
    let says = who(|said| !(said.placed.is_empty() && said.hidden.is_empty() && said.absent.is_empty()));
    let ways = [&placed, &hidden, &absent].iter().filter(|who| !who.is_empty()).count();
    match says.as_slice() {
        [] => return None,
        _ if ways > 1 => {
            found.leave_out(what(), WhyLeftOut::Disputed { placed, hidden, absent });
            return None;
        }
        [only] => {
            found.leave_out(what(), WhyLeftOut::Alone(only.clone()));
            return None;
        }
        _ => {}
    }
    let n = says.len();
    let (place, mark) = if placed.is_empty() {
        let mark = if absent.is_empty() {
            Mark::Hidden {
                hidden: reasons(said.iter().flat_map(|(_, said)| &said.hidden)),
                extra: Extra::new(),
            }
        } else {
            Mark::Absent {
                absent: reasons(said.iter().flat_map(|(_, said)| &said.absent)),
                extra: Extra::new(),
            }
        };
        (None, mark)
    } else {
        if let Some((one, other)) = sides_exchanged(opinions, id) {
            found.leave_out(what(), WhyLeftOut::OtherWayRound { one, other });
            return None;
        }
        let placings: Vec<Placing<'_>> = said
            .iter()
            .filter_map(|(who, said)| Some(Placing { who, at: Position::mean(said.placed.iter().copied())? }))
            .collect();
        let mean = MeanPlace::of(&placings)?;
        (Some(mean.agreed.clone()), Mark::Placed(mean.point(opinions.aspect())))
    };
    found.agreed.push(Agreed { what: what(), n, place });
    Some(mark)
}

/// Every reason once.
fn reasons<'a>(given: impl Iterator<Item = &'a &'a str>) -> String {
    given.copied().collect::<BTreeSet<&str>>().into_iter().collect::<Vec<_>>().join("; ")
}

fn said(voice: &Voice, id: LandmarkId, root: Option<RootName>) -> Said<'_> {
    let mut said = Said::default();
    for case in &voice.cases {
        match marks_of(case, root).and_then(|landmarks| landmarks.marks.get(&id)) {
            // A plan is no observation.
            Some(Mark::Placed(point)) if point.is_planned() => {}
            Some(Mark::Placed(point)) => said.placed.push(point.squared(case.film.aspect())),
            Some(Mark::Hidden { hidden, .. }) => said.hidden.push(hidden),
            Some(Mark::Absent { absent, .. }) => said.absent.push(absent),
            None => {}
        }
    }
    said
}

fn marks_of(case: &Case, root: Option<RootName>) -> Option<&Landmarks> {
    match root {
        None => Some(&case.landmarks),
        Some(name) => case.roots.iter().find(|root| root.name == name).map(|root| &root.landmarks),
    }
}

/// Two who have mesial and distal of a landmark the other way round than one another: the mean would lie between.
fn sides_exchanged(opinions: &Opinions, id: LandmarkId) -> Option<(String, String)> {
    id.side()?;
    let ways = opinions.voices().iter().filter_map(|voice| {
        let mean = |side| Position::mean(said(voice, id.landmark().on(side), None).placed);
        Some((voice.who.as_str(), mean(Side::Distal)?.way_from(mean(Side::Mesial)?)))
    });
    other_way_round(ways)
}

/// Two of several whose ways go against one another.
pub(super) fn other_way_round<'a>(
    ways: impl IntoIterator<Item = (&'a str, Displacement<Square>)>,
) -> Option<(String, String)> {
    let ways: Vec<_> = ways.into_iter().collect();
    let pairs =
        ways.iter().enumerate().flat_map(|(at, one)| ways.iter().skip(at + 1).map(move |other| (one, other)));
    let mut against = pairs.filter(|((_, way), (_, other))| way.dot(*other) < 0.0);
    against.next().map(|((one, _), (other, _))| ((*one).to_owned(), (*other).to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first goes with each of two others, who go against one another.
    #[test]
    fn whoever_stands_first_hides_no_two_that_go_against_one_another() {
        let way = |x: f64, y: f64| Displacement::<Square>::new(x, y);
        let ways = [("anna", way(1.0, 0.0)), ("ben", way(0.5, 0.9)), ("cleo", way(0.5, -0.9))];
        assert_eq!(other_way_round(ways), Some(("ben".to_owned(), "cleo".to_owned())));
        assert_eq!(other_way_round([ways[0], ways[1]]), None);
    }
}
