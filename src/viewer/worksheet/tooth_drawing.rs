//! The schematic tooth: where its parts and its landmarks stand in the drawing. No drawing.
//!
//! Across runs from mesial (negative) to distal, down from the crown's edge at 0 to the apex at nearly 1. It is a
//! tooth in section as one thinks of it, to no scale.

use crate::case::{Case, Landmark, RootName, Side};
use crate::editor::LandmarkAt;

/// A place in the drawing: across and down.
pub(super) type Spot = [f64; 2];

/// Where the crown ends.
pub(super) const MARGIN: f64 = 0.33;
/// Where the walls end.
pub(super) const WALL_TOP: f64 = 0.23;
/// Where the core begins and ends.
pub(super) const CORE: [f64; 2] = [0.115, 0.28];
/// Where the bone begins.
pub(super) const CREST: f64 = 0.465;
/// Where the septum's top lies.
pub(super) const SEPTUM: f64 = 0.42;
/// Where the roots part.
pub(super) const FURCATION: f64 = 0.52;
/// Where dentine encloses the canal.
pub(super) const ORIFICE: f64 = 0.385;
/// Where the post begins and ends.
pub(super) const POST: [f64; 2] = [0.175, 0.61];
/// Where the root filling begins and ends.
pub(super) const FILLING: [f64; 2] = [0.73, 0.905];
/// Where the root ends.
pub(super) const APEX: f64 = 0.965;
/// Thickness of the walls.
pub(super) const WALL: f64 = 0.15;

/// A root in the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DrawnRoot {
    /// Which root.
    pub(super) name: RootName,
    /// Where its apex lies across.
    pub(super) apex: f64,
    /// Half its width where it leaves the neck.
    pub(super) half_width: f64,
}

/// A tooth in the drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DrawnTooth {
    /// Its roots from mesial to distal, as one thinks of them.
    pub(super) roots: Vec<DrawnRoot>,
    /// Half its width at the neck.
    pub(super) half_neck: f64,
}

/// Where a root stands among others, from mesial to distal; those behind one another stand in the middle.
const fn order(root: RootName) -> u8 {
    match root {
        RootName::Mesiobuccal => 0,
        RootName::Mesial => 1,
        RootName::Mesiolingual => 2,
        RootName::Buccal => 3,
        RootName::Single => 4,
        RootName::Palatal => 5,
        RootName::Lingual => 6,
        RootName::Distolingual => 7,
        RootName::Distal => 8,
        RootName::Distobuccal => 9,
    }
}

impl DrawnTooth {
    /// The tooth of a case.
    pub(super) fn of(case: &Case) -> Self {
        let mut names: Vec<RootName> = case.roots.iter().map(|root| root.name).collect();
        names.sort_by_key(|name| order(*name));
        let (half_neck, reach, half_width) = match names.len() {
            0 | 1 => (0.42, 0.0, 0.36),
            2 => (0.60, 0.40, 0.24),
            3 => (0.74, 0.56, 0.19),
            _ => (0.84, 0.70, 0.14),
        };
        let last = u32::try_from(names.len().saturating_sub(1)).unwrap_or(u32::MAX);
        let roots = names
            .into_iter()
            .zip(0_u32..)
            .map(|(name, at)| {
                let part = if last == 0 { 0.5 } else { f64::from(at) / f64::from(last) };
                DrawnRoot { name, apex: reach * (2.0 * part - 1.0), half_width }
            })
            .collect();
        Self { roots, half_neck }
    }

    /// Where a landmark stands; `None` where its root is not listed or it is no single point.
    pub(super) fn spot(&self, at: LandmarkAt) -> Option<Spot> {
        let landmark = at.id.landmark();
        if let Some(name) = at.root {
            let root = self.roots.iter().find(|root| root.name == name)?;
            let down = match landmark {
                Landmark::PostHead => POST[0],
                Landmark::Orifice => ORIFICE,
                Landmark::PostTip => POST[1],
                Landmark::CurveStart => 0.67,
                Landmark::FillingTop => FILLING[0],
                Landmark::FillingTip => FILLING[1],
                Landmark::Apex => APEX,
                _ => return None,
            };
            return Some([root.across(down), down]);
        }
        let sign = if at.id.side() == Some(Side::Mesial) { -1.0 } else { 1.0 };
        let between_roots = match self.roots.as_slice() {
            [one, other, ..] => f64::midpoint(one.across(FURCATION), other.across(FURCATION)),
            _ => 0.0,
        };
        Some(match landmark {
            Landmark::CrownEdge => [0.0, 0.025],
            Landmark::StopReference => [self.half_neck * 0.62, 0.06],
            Landmark::CoreTop => [0.0, CORE[0]],
            Landmark::CoreBase => [0.0, CORE[1]],
            Landmark::WallTop => [sign * (self.half_neck - WALL / 2.0), WALL_TOP],
            Landmark::FinishLine => [sign * (self.half_neck + 0.03), MARGIN],
            Landmark::Cej => [sign * self.half_neck, 0.395],
            Landmark::Crest => [sign * (self.half_neck + 0.07), CREST],
            Landmark::BonePeak => [sign * (self.half_neck + 0.30), SEPTUM],
            Landmark::Furcation => [between_roots, FURCATION],
            Landmark::FurcalCrest => [between_roots, FURCATION + 0.07],
            _ => return None,
        })
    }
}

impl DrawnRoot {
    /// Where its canal lies across, so far down: from the middle of the crown to its apex.
    pub(super) fn across(&self, down: f64) -> f64 {
        self.apex * (0.45 + 0.55 * ((down - POST[0]) / (FURCATION - POST[0])).clamp(0.0, 1.0))
    }

    /// Half its width so far down.
    pub(super) fn half_at(&self, down: f64) -> f64 {
        let part = ((down - CREST) / (1.0 - CREST)).clamp(0.0, 1.0);
        // A taper that ends round.
        self.half_width * (1.0 - 0.55 * part) * (1.0 - part.powi(8)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Fdi;
    use crate::editor::landmarks;
    use crate::viewer::worksheet::film_part::bare_root;

    fn tooth(roots: &[RootName]) -> Case {
        let text = r#"{"format": "crestgauge.case", "version": 1}"#;
        let mut case = crate::case::read_text(text).unwrap().case;
        case.roots = roots.iter().map(|name| bare_root(*name)).collect();
        case
    }

    #[test]
    fn every_landmark_has_a_spot_of_its_own_in_every_tooth() {
        for fdi in Fdi::all() {
            let case = tooth(fdi.usual_roots());
            let drawn = DrawnTooth::of(&case);
            let spots: Vec<(LandmarkAt, Spot)> = landmarks(&case)
                .into_iter()
                .map(|(at, _)| (at, drawn.spot(at).unwrap_or_else(|| panic!("{fdi}: {}", at.words()))))
                .collect();
            for (index, (one, [x, y])) in spots.iter().enumerate() {
                assert!(x.abs() < 1.15 && (0.0..1.0).contains(y), "{fdi}: {}", one.words());
                for (other, [other_x, other_y]) in &spots[index + 1..] {
                    // The drawing is about twice as far across per unit as it is wide down per unit.
                    let apart = (0.5 * (x - other_x)).hypot(y - other_y);
                    assert!(apart > 0.045, "{fdi}: {} and {}", one.words(), other.words());
                }
            }
        }
    }

    #[test]
    fn mesial_stands_on_the_mesial_side() {
        let case = tooth(&[RootName::Distal, RootName::Mesial]);
        let drawn = DrawnTooth::of(&case);
        assert_eq!(drawn.roots[0].name, RootName::Mesial);
        let spot = |root, landmark: Landmark| drawn.spot(LandmarkAt { root: Some(root), id: landmark.id() });
        let (mesial, distal) =
            (spot(RootName::Mesial, Landmark::Apex), spot(RootName::Distal, Landmark::Apex));
        assert!(mesial.unwrap()[0] < 0.0 && distal.unwrap()[0] > 0.0);
        let wall = LandmarkAt { root: None, id: Landmark::WallTop.on(Side::Mesial) };
        assert!(drawn.spot(wall).unwrap()[0] < 0.0);
    }
}
