//! The shape of each kind of mark, so that no two kinds differ by colour alone.

use crate::case::Landmark;
use crate::editor::PointAt;
use crate::viewer::action::Handle;
use crate::viewer::theme;
use eframe::egui::Color32;

/// The colour of references.
pub(super) const REFERENCE: Color32 = Color32::from_rgb(235, 235, 235);

/// What a mark looks like: the corners of an outline within a square from -1 to 1, y down, and a colour.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::viewer) struct Shape {
    /// The corners, in order.
    pub(in crate::viewer) corners: Vec<[f32; 2]>,
    /// The colour of its part of the tooth.
    pub(in crate::viewer) colour: Color32,
}

/// The shape of a landmark.
pub(in crate::viewer) fn landmark(landmark: Landmark) -> Shape {
    use std::f32::consts::FRAC_PI_2;
    let up = -FRAC_PI_2;
    let (corners, colour) = match landmark {
        Landmark::CrownEdge => (vec![[-1.0, -0.45], [1.0, -0.45], [1.0, 0.45], [-1.0, 0.45]], theme::ORANGE),
        Landmark::StopReference => (vec![[-0.9, -0.9], [0.9, -0.9], [-0.9, 0.9], [0.9, 0.9]], theme::ORANGE),
        Landmark::CoreTop => (regular(5, up), theme::VERMILION),
        Landmark::CoreBase => (regular(5, -up), theme::VERMILION),
        Landmark::WallTop => (regular(3, up), theme::ORANGE),
        Landmark::FinishLine => (regular(4, up), theme::ORANGE),
        Landmark::Cej => (regular(4, up / 2.0), theme::BLUISH_GREEN),
        Landmark::Crest => (regular(3, -up), theme::SKY_BLUE),
        Landmark::BonePeak => (star(4, up), theme::SKY_BLUE),
        Landmark::Furcation => (star(3, up), theme::BLUISH_GREEN),
        Landmark::FurcalCrest => (star(3, -up), theme::SKY_BLUE),
        Landmark::Orifice => (regular(6, up), theme::BLUISH_GREEN),
        Landmark::CurveStart => (star(5, up), theme::BLUISH_GREEN),
        Landmark::PostHead => {
            (vec![[-0.5, -1.0], [0.5, -1.0], [0.5, 0.4], [0.0, 1.0], [-0.5, 0.4]], theme::REDDISH_PURPLE)
        }
        Landmark::PostTip => {
            (vec![[0.0, -1.0], [0.5, -0.4], [0.5, 1.0], [-0.5, 1.0], [-0.5, -0.4]], theme::REDDISH_PURPLE)
        }
        Landmark::FillingTop => (vec![[-1.0, -0.9], [1.0, -0.9], [0.5, 0.5], [-0.5, 0.5]], theme::YELLOW),
        Landmark::FillingTip => (vec![[-0.5, -0.5], [0.5, -0.5], [1.0, 0.9], [-1.0, 0.9]], theme::YELLOW),
        Landmark::Apex => (regular(24, up), theme::BLUISH_GREEN),
        Landmark::Canal => (scaled(regular(12, up), 0.55), theme::YELLOW),
        Landmark::Sections => (vec![[-0.3, -1.0], [0.3, -1.0], [0.3, 1.0], [-0.3, 1.0]], theme::SKY_BLUE),
    };
    Shape { corners, colour }
}

/// The shape of a point on the film.
pub(super) fn of(handle: Handle) -> Shape {
    match handle {
        Handle::Case(PointAt::Landmark(at)) => landmark(at.id.landmark()),
        Handle::Case(PointAt::Canal { .. }) => landmark(Landmark::Canal),
        Handle::Case(PointAt::Section { .. }) => landmark(Landmark::Sections),
        Handle::Ruler(_) => Shape { corners: star(6, 0.0), colour: theme::REDDISH_PURPLE },
        Handle::Case(PointAt::Reference { .. }) | Handle::Clicked(_) => {
            Shape { corners: cross(), colour: REFERENCE }
        }
    }
}

/// A figure of equal sides, one corner at this angle.
fn regular(corners: u8, from: f32) -> Vec<[f32; 2]> {
    let turn = std::f32::consts::TAU / f32::from(corners);
    (0..corners).map(|at| f32::from(at).mul_add(turn, from)).map(|angle| [angle.cos(), angle.sin()]).collect()
}

/// A star with so many points, one at this angle.
fn star(points: u8, from: f32) -> Vec<[f32; 2]> {
    let both = regular(points * 2, from).into_iter().enumerate();
    both.map(|(at, [x, y])| if at % 2 == 0 { [x, y] } else { [x * 0.4, y * 0.4] }).collect()
}

fn scaled(corners: Vec<[f32; 2]>, by: f32) -> Vec<[f32; 2]> {
    corners.into_iter().map(|[x, y]| [x * by, y * by]).collect()
}

/// An upright cross.
fn cross() -> Vec<[f32; 2]> {
    let (long, thin) = (1.0, 0.25);
    vec![
        [-thin, -long],
        [thin, -long],
        [thin, -thin],
        [long, -thin],
        [long, thin],
        [thin, thin],
        [thin, long],
        [-thin, long],
        [-thin, thin],
        [-long, thin],
        [-long, -thin],
        [-thin, -thin],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_kinds_of_landmark_share_a_shape() {
        for (at, one) in Landmark::ALL.iter().enumerate() {
            for other in &Landmark::ALL[at + 1..] {
                assert_ne!(landmark(*one).corners, landmark(*other).corners, "{one:?} and {other:?}");
            }
            assert_ne!(landmark(*one).corners, cross(), "{one:?}");
        }
    }

    #[test]
    fn every_shape_fits_its_square() {
        for shape in Landmark::ALL.iter().map(|it| landmark(*it)) {
            assert!(shape.corners.len() >= 3);
            assert!(shape.corners.iter().flatten().all(|it| it.abs() <= 1.0 + 1e-6), "{shape:?}");
        }
    }
}
