//! A ring of known size around the loupe's middle, for a landmark that is found by a width.

use super::sheet::Sheet;
use crate::case::{Landmark, WALL_TOP_THICKNESS};
use crate::editor::{LandmarkAt, PointAt};
use crate::geometry::{Displacement, Position, Stored};
use crate::measure::way_in_plane;
use crate::quantity::Millimetres;
use crate::viewer::Work;
use crate::viewer::action::{Handle, Target};
use eframe::egui::Vec2;

/// Corners of the ring: nobody sees that it is none.
const CORNERS: u8 = 48;

/// The ring.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ring {
    /// From its middle to its corners, on the film.
    corners: Vec<Displacement<Stored>>,
    /// Its diameter.
    pub(super) across: Millimetres,
}

impl Ring {
    /// From its middle to its corners, points of the view.
    pub(super) fn seen(&self, sheet: &Sheet<'_>, middle: Position<Stored>) -> impl Iterator<Item = Vec2> {
        self.corners.iter().map(move |way| sheet.seen(middle.moved(*way)) - sheet.seen(middle))
    }
}

/// The ring for what is being moved, else for what is aimed at; `None` where it needs none, and where there is no scale.
pub(super) fn of(work: &Work, moved: Option<Handle>) -> Option<Ring> {
    let across = match (moved, work.aim) {
        (Some(Handle::Case(PointAt::Landmark(at))), _) | (None, Some(Target::Landmark(at))) => {
            width_that_finds(at)
        }
        _ => None,
    }?;
    let scale = work.numbers.as_ref().as_ref().ok()?.measured.scale.as_ref().ok()?;
    let corners = (0..CORNERS).map(|at| {
        let turn = std::f64::consts::TAU * f64::from(at) / f64::from(CORNERS);
        let way = Displacement::new(turn.cos(), turn.sin());
        let length = way_in_plane(work.open.case(), scale, way).get();
        let times = across.get() / 2.0 / length;
        times.is_finite().then(|| way.times(times))
    });
    Some(Ring { corners: corners.collect::<Option<Vec<_>>>()?, across })
}

/// The width by which a landmark is found.
fn width_that_finds(at: LandmarkAt) -> Option<Millimetres> {
    (at.id.landmark() == Landmark::WallTop).then_some(WALL_TOP_THICKNESS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Side, film_102};
    use crate::editor::{Engine, OpenCase};
    use std::path::PathBuf;
    use std::sync::Arc;

    #[test]
    fn a_wall_top_is_looked_for_with_a_ring_of_one_millimetre_and_nothing_else_is() {
        let engine = Arc::new(Engine::embedded().unwrap());
        let mut work = Work::new(OpenCase::unfiled(film_102(), PathBuf::new(), engine, None));
        let aim = |landmark: Landmark| {
            Some(Target::Landmark(LandmarkAt { root: None, id: landmark.on(Side::Mesial) }))
        };
        work.aim = aim(Landmark::FinishLine);
        assert_eq!(of(&work, None), None);
        work.aim = aim(Landmark::WallTop);
        let ring = of(&work, None).unwrap();
        assert_eq!(ring.corners.len(), usize::from(CORNERS));
        let numbers = work.numbers.clone();
        let scale = numbers.as_ref().as_ref().unwrap().measured.scale.as_ref().unwrap();
        // Opposite corners lie one millimetre apart, along the tooth as across it.
        for (one, other) in ring.corners.iter().zip(&ring.corners[24..]) {
            let across = Displacement::new(one.x - other.x, one.y - other.y);
            let length = way_in_plane(work.open.case(), scale, across).get();
            assert!((length - 1.0).abs() < 1e-9, "{length}");
        }
        work.open
            .apply(crate::editor::Edit::References(crate::editor::ListChange::Whole(Vec::new())))
            .unwrap();
        work.refresh();
        assert_eq!(of(&work, None), None, "without a scale nobody knows what a millimetre is");
    }
}
