//! The points on the film that can be dragged, and which of them the pointer means.

use crate::case::{Case, LandmarkId, Mark};
use crate::editor::{HalfPlaced, LandmarkAt, PointAt, Selection};
use crate::geometry::{Position, Stored};
use crate::viewer::Work;
use crate::viewer::action::Handle;
use crate::viewer::ruler::Ruler;
use crate::viewer::viewport::View;

/// A point that can be dragged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Which.
    pub(super) handle: Handle,
    /// Where.
    pub(super) at: Position<Stored>,
    /// Whether it shows what is planned.
    pub(super) planned: bool,
}

/// Every point on the film that can be dragged, in the order of the case file.
pub(super) fn spots(case: &Case, half: Option<&HalfPlaced>, ruler: Option<&Ruler>) -> Vec<Spot> {
    let mut spots = Vec::new();
    let mut landmarks = |root, id: LandmarkId, mark: &Mark| {
        if let Some(point) = mark.point() {
            spots.push(Spot {
                handle: Handle::Case(PointAt::Landmark(LandmarkAt { root, id })),
                at: Position::new(point.x, point.y),
                planned: point.is_planned(),
            });
        }
    };
    for (id, mark) in &case.landmarks.marks {
        landmarks(None, *id, mark);
    }
    for root in &case.roots {
        for (id, mark) in &root.landmarks.marks {
            landmarks(Some(root.name), *id, mark);
        }
    }
    for root in &case.roots {
        let name = root.name;
        let canal =
            root.canal.iter().enumerate().map(|(at, point)| (PointAt::Canal { root: name, at }, point));
        let sections = root.sections.iter().enumerate().flat_map(|(section, it)| {
            it.points
                .iter()
                .enumerate()
                .map(move |(at, point)| (PointAt::Section { root: name, section, at }, point))
        });
        spots.extend(canal.chain(sections).map(|(point_at, point)| Spot {
            handle: Handle::Case(point_at),
            at: Position::new(point.x, point.y),
            planned: point.is_planned(),
        }));
    }
    for (reference, it) in case.calibration.references.iter().enumerate() {
        spots.extend(it.points().iter().enumerate().map(|(at, point)| Spot {
            handle: Handle::Case(PointAt::Reference { reference, at }),
            at: point.position(),
            planned: false,
        }));
    }
    let clicked = half.into_iter().flat_map(|half| half.points().iter().enumerate());
    spots.extend(clicked.map(|(at, point)| Spot {
        handle: Handle::Clicked(at),
        at: point.position(),
        planned: false,
    }));
    let ends = ruler.into_iter().flat_map(|ruler| ruler.ends().iter().enumerate());
    spots.extend(ends.map(|(end, at)| Spot { handle: Handle::Ruler(end), at: *at, planned: false }));
    spots
}

/// The point that a place of the view means: the selected one where it is within reach, else the nearest.
pub(super) fn meant(
    spots: &[Spot],
    seen: impl Fn(Position<Stored>) -> Position<View>,
    at: Position<View>,
    reach: f64,
    selected: Option<Handle>,
) -> Option<&Spot> {
    let within = spots.iter().filter_map(|spot| {
        let distance = seen(spot.at).way_from(at).length();
        (distance <= reach).then_some((distance, spot))
    });
    within
        .min_by(|(one, first), (other, second)| {
            let is_selected = |spot: &Spot| Some(spot.handle) == selected;
            is_selected(second).cmp(&is_selected(first)).then(one.total_cmp(other))
        })
        .map(|(_, spot)| spot)
}

/// The point that is selected, where it is one point.
pub(super) fn selected(work: &Work) -> Option<Handle> {
    match work.open.selection()? {
        Selection::Landmark(at) => Some(Handle::Case(PointAt::Landmark(at))),
        Selection::Point(point) => Some(Handle::Case(point)),
        Selection::Root(_) | Selection::Section { .. } | Selection::Reference(_) => None,
    }
}

/// A point in words.
pub(super) fn words(handle: Handle, half: Option<&HalfPlaced>) -> String {
    match handle {
        Handle::Case(point) => point.words(),
        Handle::Clicked(at) => {
            let what = half.map_or_else(String::new, |half| format!(" of the {}", half.what().words()));
            format!("point {}{what}", at + 1)
        }
        Handle::Ruler(end) => format!("scratch ruler, end {}", end + 1),
    }
}

/// A point with its place, for those who hear the film instead of seeing it.
pub(super) fn spoken(spot: &Spot, work: &Work) -> String {
    let how = if spot.planned { "planned" } else { "placed" };
    let name = words(spot.handle, work.open.half_placed());
    let said = format!("{name}, {how} at {:.1}, {:.1}", spot.at.x, spot.at.y);
    // What the ruler comes to stands beside it on the film, and nowhere else.
    let length =
        work.ruler.as_ref().filter(|_| matches!(spot.handle, Handle::Ruler(_))).and_then(Ruler::words);
    length.map_or_else(|| said.clone(), |length| format!("{said}; {length}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(at: usize, x: f64) -> Spot {
        Spot { handle: Handle::Clicked(at), at: Position::new(x, 0.0), planned: false }
    }

    fn means(spots: &[Spot], x: f64, selected: Option<usize>) -> Option<usize> {
        let seen = |place: Position<Stored>| Position::new(place.x * 0.5, place.y * 0.5);
        let spot = meant(spots, seen, Position::new(x, 0.0), 8.0, selected.map(Handle::Clicked))?;
        match spot.handle {
            Handle::Clicked(at) => Some(at),
            Handle::Case(_) | Handle::Ruler(_) => None,
        }
    }

    #[test]
    fn the_nearest_point_is_meant_and_the_selected_one_first() {
        // Seen at 0, 5 and 20 points of the screen.
        let spots = [spot(0, 0.0), spot(1, 10.0), spot(2, 40.0)];
        assert_eq!(means(&spots, 3.0, None), Some(1));
        assert_eq!(means(&spots, 2.0, None), Some(0));
        assert_eq!(means(&spots, 3.0, Some(0)), Some(0));
        assert_eq!(means(&spots, 3.0, Some(2)), Some(1), "the selected one is out of reach");
        assert_eq!(means(&spots, 12.4, None), Some(1));
        assert_eq!(means(&spots, 12.6, None), Some(2));
        assert_eq!(means(&spots, 28.1, None), None);
    }

    #[test]
    fn every_point_of_the_sample_can_be_taken_hold_of() {
        let case = crate::case::film_102();
        let spots = spots(&case, None, None);
        for spot in &spots {
            let Handle::Case(point) = spot.handle else { panic!("{spot:?}") };
            assert_eq!(point.position(&case), Some(spot.at), "{}", point.words());
        }
        let marks = |landmarks: &crate::case::Landmarks| {
            landmarks.marks.values().filter(|mark| mark.point().is_some()).count()
        };
        let count = marks(&case.landmarks)
            + case
                .roots
                .iter()
                .map(|root| marks(&root.landmarks) + root.canal.len() + 4 * root.sections.len())
                .sum::<usize>()
            + case.calibration.references.iter().map(|reference| reference.points().len()).sum::<usize>();
        assert_eq!(spots.len(), count);
    }
}
