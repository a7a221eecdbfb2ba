//! Where names stand beside their points: none over another, and none over a point.

use eframe::egui::{Pos2, Rect, Vec2, vec2};

/// A name that wants a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// The point it belongs to.
    pub(super) at: Pos2,
    /// Its width and height.
    pub(super) size: Vec2,
    /// Whether it is shown even where it covers something.
    pub(super) must: bool,
}

/// From a point to the near edge of its name.
const GAP: f32 = 11.0;
/// The square around a point that names keep off.
const MARK: Vec2 = Vec2::splat(14.0);

/// Gives names their places: first those that must be shown, then the others where they fit without covering a
/// point or another name; `None` for those that fit nowhere. `taken` are places where none may stand.
pub(super) fn lay(wanted: &[Wanted], points: &[Pos2], taken: &[Rect], area: Rect) -> Vec<Option<Rect>> {
    let marks: Vec<Rect> = points.iter().map(|at| Rect::from_center_size(*at, MARK)).collect();
    let mut used = taken.to_vec();
    let mut laid: Vec<(usize, Option<Rect>)> = Vec::with_capacity(wanted.len());
    let (must, may): (Vec<_>, Vec<_>) = wanted.iter().enumerate().partition(|(_, name)| name.must);
    for (at, name) in must.into_iter().chain(may) {
        let own = Rect::from_center_size(name.at, MARK);
        let places = around(name);
        let clear_of_names =
            |place: &&Rect| area.contains_rect(**place) && !used.iter().any(|other| cover(*other, **place));
        let clear_of_points = |place: &Rect| !marks.iter().any(|mark| *mark != own && cover(*mark, *place));
        let free = places.iter().filter(clear_of_names).find(|place| clear_of_points(place));
        let least_bad = || {
            places.iter().find(clear_of_names).or_else(|| places.iter().find(|it| area.contains_rect(**it)))
        };
        let place = free.or_else(|| if name.must { least_bad() } else { None }).copied();
        used.extend(place);
        laid.push((at, place));
    }
    laid.sort_by_key(|(at, _)| *at);
    laid.into_iter().map(|(_, place)| place).collect()
}

/// Whether two rectangles have more than an edge in common.
fn cover(one: Rect, other: Rect) -> bool {
    let common = one.intersect(other);
    common.width() > 0.0 && common.height() > 0.0
}

/// Where a name can stand: right, left, above and below, then at the corners.
fn around(name: &Wanted) -> [Rect; 8] {
    let size = name.size;
    let aside = GAP + size.x / 2.0;
    let over = GAP + size.y / 2.0;
    [
        (aside, 0.0),
        (-aside, 0.0),
        (0.0, -over),
        (0.0, over),
        (aside - 3.0, 3.0 - over),
        (aside - 3.0, over - 3.0),
        (3.0 - aside, 3.0 - over),
        (3.0 - aside, over - 3.0),
    ]
    .map(|(x, y)| Rect::from_center_size(name.at + vec2(x, y), size))
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui::pos2;

    fn area(width: f32, height: f32) -> Rect {
        Rect::from_min_size(Pos2::ZERO, vec2(width, height))
    }

    fn name(x: f32, y: f32, must: bool) -> Wanted {
        Wanted { at: pos2(x, y), size: vec2(40.0, 10.0), must }
    }

    /// The upper left corners of the names.
    fn laid(wanted: &[Wanted]) -> Vec<Option<Pos2>> {
        let points: Vec<_> = wanted.iter().map(|it| it.at).collect();
        lay(wanted, &points, &[], area(200.0, 100.0)).iter().map(|it| it.map(|it| it.min)).collect()
    }

    #[test]
    fn a_name_stands_to_the_right_and_at_the_edge_to_the_left() {
        assert_eq!(laid(&[name(100.0, 50.0, false)]), [Some(pos2(111.0, 45.0))]);
        assert_eq!(laid(&[name(190.0, 50.0, false)]), [Some(pos2(139.0, 45.0))]);
    }

    #[test]
    fn a_name_gives_way_to_a_point_and_to_a_name_that_must_be_shown() {
        // The second point lies where the first name would stand; its own name has room to the right.
        assert_eq!(
            laid(&[name(60.0, 50.0, false), name(90.0, 50.0, false)]),
            [Some(pos2(9.0, 45.0)), Some(pos2(101.0, 45.0))]
        );
        // Two points on one another: the one that must be shown is laid first.
        let both = laid(&[name(100.0, 50.0, false), name(100.0, 50.0, true)]);
        assert_eq!(both, [Some(pos2(49.0, 45.0)), Some(pos2(111.0, 45.0))]);
    }

    #[test]
    fn a_name_without_room_is_left_out_unless_it_must_be_shown() {
        let points = [pos2(5.0, 6.0), pos2(25.0, 6.0)];
        let lay = |must| lay(&[name(5.0, 6.0, must)], &points, &[], area(60.0, 12.0));
        assert_eq!(lay(false), [None]);
        assert_eq!(lay(true), [Some(Rect::from_min_size(pos2(16.0, 1.0), vec2(40.0, 10.0)))]);
    }

    #[test]
    fn no_name_stands_where_a_place_is_taken() {
        let taken = [Rect::from_min_size(pos2(110.0, 40.0), vec2(80.0, 20.0))];
        let wanted = [name(100.0, 50.0, false)];
        let laid = lay(&wanted, &[wanted[0].at], &taken, area(200.0, 100.0));
        assert_eq!(laid[0].map(|it| it.min), Some(pos2(49.0, 45.0)));
    }

    #[test]
    fn forty_names_never_cover_each_other() {
        let wanted: Vec<_> = (0..40_u8)
            .map(|at| name(f32::from(at % 8) * 37.0 + 100.0, f32::from(at / 8) * 23.0 + 100.0, false))
            .collect();
        let points: Vec<_> = wanted.iter().map(|it| it.at).collect();
        let laid: Vec<_> = lay(&wanted, &points, &[], area(800.0, 700.0)).into_iter().flatten().collect();
        assert!(laid.len() > 10);
        for (at, one) in laid.iter().enumerate() {
            assert!(laid[at + 1..].iter().all(|other| !cover(*one, *other)));
        }
    }
}
