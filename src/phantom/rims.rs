//! The margin and the tops of the walls all around a prepared tooth, as surfaces across it.

use super::solid::Surface;
use super::space::Point3;
use super::tooth::Tooth;
use crate::case::{Landmark, Side};

/// Where a prepared tooth's margin and walls end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rims {
    /// The crown margin.
    pub(super) margin: Option<Surface>,
    /// The tops of the walls.
    pub(super) walls: Option<Surface>,
}

/// How much walls fall from the sides to the front and the back, per mm².
const WALLS_FALL: f64 = 0.05;
/// Before and behind the tooth the margin lies this far above the bone's edge, or as high as at the sides.
const MARGIN_ABOVE_EDGE: f64 = 1.5;

impl Rims {
    pub(super) fn of(tooth: &Tooth) -> Self {
        if !tooth.treatment.walls {
            return Self { margin: None, walls: None };
        }
        let points = tooth.landmarks().tooth;
        let both = |landmark: Landmark| {
            let [mesial, distal] = Side::BOTH.map(|side| points.get(&landmark.on(side)).copied());
            Some([mesial?, distal?])
        };
        let margin = both(Landmark::FinishLine).map(|margin| {
            let edge = 0.5 * (tooth.buccal_crest_mm + tooth.lingual_crest_mm) - MARGIN_ABOVE_EDGE;
            let [mesial, distal] = margin.map(|point| point.z);
            // To there it falls from its highest place on the far side of the tooth.
            let [one, two] = margin.map(|point| point.y.abs());
            let reach = 0.5 * tooth.crown.cervix_depth_mm + one.max(two);
            scallop(margin, ((edge - 0.5 * (mesial + distal)) / (reach * reach)).max(0.01))
        });
        Self { margin, walls: both(Landmark::WallTop).map(|walls| scallop(walls, WALLS_FALL)) }
    }
}

/// The surface through both landmarks, falling from there towards buccal and lingual.
fn scallop([one, two]: [Point3; 2], curve: f64) -> Surface {
    let per_x = |one: f64, two: f64, width: f64| if width.abs() > 1e-9 { (two - one) / width } else { 0.0 };
    let width = two.x - one.x;
    let deeper = per_x(one.y, two.y, width);
    Surface {
        level: one.z,
        slope: [one.x, per_x(one.z, two.z, width)],
        curve,
        depth: [one.y - deeper * one.x, deeper],
    }
}
