//! Points that fall into place by themselves: a section lies square to its canal.

use super::planned_post;
use crate::calibration::ReferencePoint;
use crate::editor::{HalfPlaced, Placing, PointAt, SquareSection};
use crate::geometry::{Position, Stored};
use crate::viewer::Work;
use crate::viewer::action::{Handle, Target};

/// The line that the section being placed lies on, once its first point is clicked.
pub(super) fn line(work: &Work) -> Option<SquareSection> {
    let half = work.open.half_placed()?;
    let Placing::Section { root, .. } = half.what() else { return None };
    SquareSection::through(work.open.case(), *root, half.points().first()?.position())
}

/// Where a point that is aimed at here comes to lie; where it is meant if it is to be free.
pub(super) fn snapped(work: &Work, to: Position<Stored>, free: bool) -> Position<Stored> {
    let line = if free || work.aim != Some(Target::HalfPlaced) { None } else { line(work) };
    line.map_or(to, |line| line.nearest_within(to, work.viewport.film_size()))
}

/// The same for a point that is on its way.
pub(super) fn snapped_on_its_way(
    work: &Work,
    handle: Handle,
    to: Position<Stored>,
    free: bool,
) -> Position<Stored> {
    match handle {
        Handle::Clicked(1..) if !free => {
            line(work).map_or(to, |line| line.nearest_within(to, work.viewport.film_size()))
        }
        Handle::Case(_) => planned_post::on_canal(work, handle, to).unwrap_or(to),
        _ => to,
    }
}

/// The point placed last of what takes as many points as one likes.
pub(super) fn last_point(work: &Work) -> Option<Position<Stored>> {
    match work.aim? {
        Target::HalfPlaced => work.open.half_placed()?.points().last().map(ReferencePoint::position),
        Target::CanalPoint(root) => {
            let case = work.open.case();
            let count = case.roots.iter().find(|it| it.name == root)?.canal.len();
            PointAt::Canal { root, at: count.checked_sub(1)? }.position(case)
        }
        Target::Landmark(_) | Target::Ruler => None,
    }
}

/// Whether what is half-placed can be made whole by being asked, because it takes as many points as one likes.
pub(super) fn waits_for_its_end(half: &HalfPlaced) -> bool {
    half.can_be_completed() && !half.takes_no_more()
}
