//! One's own placing, as repeats showed it, in place of the default in a case.

use super::edit::{Edit, UncertaintyOf};
use super::whereabouts::LandmarkAt;
use crate::agreement::Placing;
use crate::case::{Case, LandmarkId, Mark, Point, RootName};
use crate::quantity::MillimetresPerPixel;

/// Why a case cannot take it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotTaken {
    /// It has no scale, so that mm are no pixels.
    #[error("the case has no scale yet; give it one, so that millimetres can become pixels of its film")]
    NoScale,
    /// The repeats do not differ.
    #[error("the repeats do not differ at all, which nobody manages: look whether one is a copy of another")]
    NoSpread,
}

/// The edit that lets a case reckon with somebody's own placing: `uncertainty.placing_mm` from all landmarks together, and
/// for every placed landmark that was repeated its own `sd_px`, which is its sd in mm over `axial`, the case's own scale.
/// What is planned keeps its sd, and so do landmarks that were not repeated.
///
/// # Errors
/// The case has no scale, or the repeats do not differ.
pub fn own_placing(
    case: &Case,
    placing: &Placing,
    axial: Option<MillimetresPerPixel>,
) -> Result<Edit, NotTaken> {
    let scale = axial.map(MillimetresPerPixel::get).filter(|scale| *scale > 0.0).ok_or(NotTaken::NoScale)?;
    if placing.placing_mm.sd.value.is_nan() || placing.placing_mm.sd.value <= 0.0 {
        return Err(NotTaken::NoSpread);
    }
    let sd_of = |id: LandmarkId| {
        let row = placing.landmarks.iter().find(|row| row.landmark == id.key())?;
        // One landmark that fell twice on the same place by chance keeps the sd of all together.
        Some(row.placing_mm.sd.value / scale).filter(|sd| *sd > 0.0)
    };
    let mut edits =
        vec![Edit::Uncertainty { of: UncertaintyOf::Placing, value: Some(placing.placing_mm.sd.value) }];
    let mut take = |root: Option<RootName>, id: LandmarkId, mark: &Mark| {
        let Mark::Placed(point) = mark else { return };
        if let Some(sd) = sd_of(id).filter(|_| !point.is_planned()) {
            let mark = Some(Mark::Placed(Point { sd_px: Some(sd), ..point.clone() }));
            edits.push(Edit::Mark { at: LandmarkAt { root, id }, mark });
        }
    };
    for (id, mark) in &case.landmarks.marks {
        take(None, *id, mark);
    }
    for root in &case.roots {
        for (id, mark) in &root.landmarks.marks {
            take(Some(root.name), *id, mark);
        }
    }
    Ok(Edit::Several { name: "take one's own placing".to_owned(), edits })
}
