//! Where names stand beside their points: none over another, none over a point, and none where one is to look.

use eframe::egui::{Pos2, Rect, Vec2, pos2, vec2};

/// A name that wants a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// What it stands beside: the square around a point, or a region.
    pub(super) own: Rect,
    /// Its width and height.
    pub(super) size: Vec2,
    /// Whether it stands to the left rather than to the right: outwards, off the tooth.
    pub(super) leftwards: bool,
    /// Whether it is shown farther off where there is no room beside.
    pub(super) must: bool,
}

/// The square around a point that names keep off.
const MARK: Vec2 = Vec2::splat(14.0);
/// The squares along a line that names keep off, and the most of them: no line on a screen is longer.
const THIN: Vec2 = Vec2::splat(6.0);
const MOST: usize = 1000;
/// From what a name stands beside to the name.
const GAP: f32 = 4.0;
/// From place to place where a name farther off is tried.
const STEP: f32 = 8.0;
/// A name that stands farther off than this is led to.
const NEAR: f32 = 16.0;

/// The square around a point that names keep off.
pub(super) fn around_point(at: Pos2) -> Rect {
    Rect::from_center_size(at, MARK)
}

/// Gives names their places: first those that must be shown, then the others where there is room beside. None covers
/// another, nor what is taken. One that must be shown goes to the nearest free place; `None` for those that fit nowhere.
pub(super) fn lay(wanted: &[Wanted], taken: &[Rect], area: Rect) -> Vec<Option<Rect>> {
    let mut used = taken.to_vec();
    let mut laid: Vec<(usize, Option<Rect>)> = Vec::with_capacity(wanted.len());
    let (must, may): (Vec<_>, Vec<_>) = wanted.iter().enumerate().partition(|(_, name)| name.must);
    for (at, name) in must.into_iter().chain(may) {
        let is_free =
            |place: &Rect| area.contains_rect(*place) && !used.iter().any(|other| cover(*other, *place));
        let place = beside(name)
            .into_iter()
            .find(is_free)
            .or_else(|| if name.must { nearest_free(name, area, is_free) } else { None });
        used.extend(place);
        laid.push((at, place));
    }
    laid.sort_by_key(|(at, _)| *at);
    laid.into_iter().map(|(_, place)| place).collect()
}

/// The line that leads from what a name belongs to, to a name that stands farther off.
pub(super) fn leader(own: Rect, name: Rect) -> Option<[Pos2; 2]> {
    let from = own.center();
    let to = name.clamp(from);
    let edge = own.clamp(to);
    (edge.distance(to) > NEAR).then_some([edge, to])
}

/// Whether two rectangles have more than an edge in common.
pub(super) fn cover(one: Rect, other: Rect) -> bool {
    let common = one.intersect(other);
    common.width() > 0.0 && common.height() > 0.0
}

/// The nearest place of an area where a name covers nothing.
fn nearest_free(name: &Wanted, area: Rect, is_free: impl Fn(&Rect) -> bool) -> Option<Rect> {
    let room = area.size() - name.size;
    if room.x < 0.0 || room.y < 0.0 {
        return None;
    }
    let steps = |length: f32| {
        std::iter::successors(Some(0.0), |at| Some(at + STEP)).take_while(move |at: &f32| *at <= length)
    };
    let mut best: Option<(f32, Rect)> = None;
    for y in steps(room.y) {
        for x in steps(room.x) {
            let place = Rect::from_min_size(area.min + vec2(x, y), name.size);
            let middle = name.own.center();
            let off = place.clamp(middle).distance(middle);
            if best.is_none_or(|(nearest, _)| off < nearest) && is_free(&place) {
                best = Some((off, place));
            }
        }
    }
    best.map(|(_, place)| place)
}

/// The squares along a line that names keep off.
pub(super) fn along([from, to]: [Pos2; 2]) -> impl Iterator<Item = Rect> {
    let way = to - from;
    let step = way.normalized() * STEP;
    let squares = std::iter::successors(Some(from), move |at| Some(*at + step));
    squares
        .take_while(move |at| (*at - from).length() < way.length())
        .map(|at| Rect::from_center_size(at, THIN))
        .take(MOST)
}

/// Where a name can stand beside what it belongs to: outwards, inwards, above and below, then at the corners.
fn beside(name: &Wanted) -> [Rect; 8] {
    let (size, own) = (name.size, name.own);
    let (left, right) = (own.left() - GAP - size.x, own.right() + GAP);
    let (above, below) = (own.top() - GAP - size.y, own.bottom() + GAP);
    let (middle, level) = (own.center().x - size.x / 2.0, own.center().y - size.y / 2.0);
    let near = GAP - 1.0;
    let (outer, inner) = if name.leftwards { (left, right) } else { (right, left) };
    // At a corner a name comes a little nearer.
    let nearer = |x: f32| if x < middle { x + near } else { x - near };
    [
        (outer, level),
        (inner, level),
        (middle, above),
        (middle, below),
        (nearer(outer), above + near),
        (nearer(outer), below - near),
        (nearer(inner), above + near),
        (nearer(inner), below - near),
    ]
    .map(|(x, y)| Rect::from_min_size(pos2(x, y), size))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(width: f32, height: f32) -> Rect {
        Rect::from_min_size(Pos2::ZERO, vec2(width, height))
    }

    fn name(x: f32, y: f32, must: bool) -> Wanted {
        Wanted { own: around_point(pos2(x, y)), size: vec2(40.0, 10.0), leftwards: false, must }
    }

    fn marks(wanted: &[Wanted]) -> Vec<Rect> {
        wanted.iter().map(|it| it.own).collect()
    }

    /// The upper left corners of the names.
    fn laid(wanted: &[Wanted]) -> Vec<Option<Pos2>> {
        lay(wanted, &marks(wanted), area(200.0, 100.0)).iter().map(|it| it.map(|it| it.min)).collect()
    }

    #[test]
    fn a_name_stands_to_the_right_and_at_the_edge_to_the_left() {
        assert_eq!(laid(&[name(100.0, 50.0, false)]), [Some(pos2(111.0, 45.0))]);
        assert_eq!(laid(&[name(190.0, 50.0, false)]), [Some(pos2(139.0, 45.0))]);
    }

    #[test]
    fn a_name_stands_outwards_where_it_can_and_over_no_line() {
        let outwards = Wanted { leftwards: true, ..name(100.0, 50.0, false) };
        assert_eq!(laid(&[outwards]), [Some(pos2(49.0, 45.0))]);
        let line = [pos2(100.0, 50.0), pos2(190.0, 52.0)];
        let taken: Vec<Rect> = along(line).chain([outwards.own]).collect();
        assert!(taken.len() > 10 && along([line[0], line[0]]).next().is_none());
        let place = lay(&[name(100.0, 50.0, false)], &taken, area(200.0, 100.0))[0].expect("there is room");
        assert_eq!(place.min, pos2(49.0, 45.0), "not over the line on its right");
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
    fn a_name_without_room_is_left_out_and_one_that_must_be_shown_goes_farther_off() {
        let points = [pos2(5.0, 6.0), pos2(25.0, 6.0), pos2(45.0, 6.0)].map(around_point);
        let lay = |must, height| lay(&[name(5.0, 6.0, must)], &points, area(60.0, height));
        assert_eq!(lay(false, 12.0), [None]);
        assert_eq!(lay(true, 12.0), [None], "rather no name than one over a point");
        let place = lay(true, 60.0)[0].expect("there is room below");
        assert!(points.iter().all(|point| !cover(*point, place)), "{place:?}");
        assert!(place.top() < 26.0, "{place:?} is as near as can be");
    }

    #[test]
    fn a_name_farther_off_is_led_to() {
        let own = around_point(pos2(50.0, 50.0));
        assert_eq!(leader(own, Rect::from_min_size(pos2(61.0, 45.0), vec2(40.0, 10.0))), None);
        let far = Rect::from_min_size(pos2(97.0, 45.0), vec2(40.0, 10.0));
        assert_eq!(leader(own, far), Some([pos2(57.0, 50.0), pos2(97.0, 50.0)]));
    }

    #[test]
    fn no_name_stands_over_any_landmark_nor_where_one_is_to_look() {
        let hint = Rect::from_min_size(pos2(300.0, 100.0), vec2(180.0, 260.0));
        for column in 0..16_u8 {
            for row in 0..12_u8 {
                let at = pos2(f32::from(column) * 50.0, f32::from(row) * 50.0);
                let crest = [pos2(at.x + 20.0, at.y), pos2(at.x - 20.0, at.y), pos2(400.0, 500.0)];
                let mut taken: Vec<Rect> = crest.into_iter().chain([at]).map(around_point).collect();
                taken.push(hint);
                let wanted = [
                    Wanted {
                        own: around_point(at),
                        size: vec2(90.0, 16.0),
                        leftwards: at.x < 300.0,
                        must: true,
                    },
                    Wanted { own: hint, size: vec2(140.0, 16.0), leftwards: false, must: true },
                ];
                for place in lay(&wanted, &taken, area(800.0, 600.0)) {
                    let place = place.expect("there is room");
                    assert!(taken.iter().all(|other| !cover(*other, place)), "{at:?}: {place:?}");
                }
            }
        }
    }

    #[test]
    fn no_name_stands_where_a_place_is_taken() {
        let wanted = [name(100.0, 50.0, false)];
        let taken = [wanted[0].own, Rect::from_min_size(pos2(110.0, 40.0), vec2(80.0, 20.0))];
        let laid = lay(&wanted, &taken, area(200.0, 100.0));
        assert_eq!(laid[0].map(|it| it.min), Some(pos2(49.0, 45.0)));
    }

    #[test]
    fn forty_names_never_cover_each_other() {
        let wanted: Vec<_> = (0..40_u8)
            .map(|at| name(f32::from(at % 8) * 37.0 + 100.0, f32::from(at / 8) * 23.0 + 100.0, false))
            .collect();
        let laid: Vec<_> = lay(&wanted, &marks(&wanted), area(800.0, 700.0)).into_iter().flatten().collect();
        assert!(laid.len() > 10);
        for (at, one) in laid.iter().enumerate() {
            assert!(laid[at + 1..].iter().all(|other| !cover(*one, *other)));
        }
    }
}
