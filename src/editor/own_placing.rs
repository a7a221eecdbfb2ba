//! One's own placing, as repeats showed it, in place of the default in a case.

use super::edit::{Edit, UncertaintyOf};
use super::whereabouts::LandmarkAt;
use crate::agreement::{LEAST_DF, Placing, Within};
use crate::case::{Case, LandmarkId, Mark, Point, RootName};
use crate::quantity::MillimetresPerPixel;

/// Why a case cannot take it.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NotTaken {
    /// It has no scale, so that mm are no pixels.
    #[error("the case has no scale yet; give it one, so that millimetres can become pixels of its film")]
    NoScale,
    /// The repeats do not differ.
    #[error("the repeats do not differ at all, which nobody manages: look whether one is a copy of another")]
    NoSpread,
    /// Too little was repeated for the sd to be worth more than the default.
    #[error(
        "the repeats have {df} degrees of freedom, two each time a landmark is placed again, and leave the sd itself uncertain by {:.0} % (JCGM 100:2008, E.4.3); it is taken from {LEAST_DF} on, which make that {:.0} %: place landmarks again {more} more {}",
        100.0 * uncertain,
        100.0 * least_uncertain,
        if *more == 1 { "time" } else { "times" }
    )]
    TooFewRepeats {
        /// The degrees of freedom there are.
        df: usize,
        /// How uncertain they leave the sd, as a part of it.
        uncertain: f64,
        /// How uncertain the least number leaves it.
        least_uncertain: f64,
        /// How many placings more would do.
        more: usize,
    },
}

impl NotTaken {
    fn too_few(placing: &Within) -> Self {
        let least = Within { df: LEAST_DF, ..*placing };
        Self::TooFewRepeats {
            df: placing.df,
            uncertain: placing.relative_uncertainty(),
            least_uncertain: least.relative_uncertainty(),
            // A further placing has one degree of freedom on each axis.
            more: LEAST_DF.saturating_sub(placing.df).div_ceil(2),
        }
    }
}

/// Somebody's own placing, ready to be taken into a case.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnPlacing {
    /// The edit that takes it.
    pub edit: Edit,
    /// Landmarks that get an sd of their own.
    pub of_its_own: usize,
    /// Landmarks that have none of their own, because they were repeated too rarely or fell on one place, and reckon with that of
    /// all together.
    pub of_all: usize,
}

/// The edit that lets a case reckon with somebody's own placing: `uncertainty.placing_mm` from all landmarks together, and
/// for every placed landmark that was repeated often enough ([`LEAST_DF`]) its own `sd_px`, which is its sd in mm over
/// `axial`, the case's own scale. One that was repeated more rarely has none, so that `placing_mm` holds for it. What is
/// planned keeps its sd, and so do landmarks that were not repeated.
///
/// # Errors
/// The case has no scale, too little was repeated, or the repeats do not differ.
pub fn own_placing(
    case: &Case,
    placing: &Placing,
    axial: Option<MillimetresPerPixel>,
) -> Result<OwnPlacing, NotTaken> {
    let scale = axial.map(MillimetresPerPixel::get).filter(|scale| *scale > 0.0).ok_or(NotTaken::NoScale)?;
    let all = &placing.placing_mm;
    if all.sd.value.is_nan() || all.sd.value <= 0.0 {
        return Err(NotTaken::NoSpread);
    }
    if all.df < LEAST_DF {
        return Err(NotTaken::too_few(all));
    }
    let (mut of_its_own, mut of_all) = (0, 0);
    let mut edits = vec![Edit::Uncertainty { of: UncertaintyOf::Placing, value: Some(all.sd.value) }];
    let mut take = |root: Option<RootName>, id: LandmarkId, mark: &Mark| {
        let Mark::Placed(point) = mark else { return };
        let row = placing.landmarks.iter().find(|row| row.landmark == id.key());
        let Some(row) = row.filter(|_| !point.is_planned()) else { return };
        // A landmark that fell on the same place by chance, however often, is not placed exactly.
        let is_enough = row.placing_mm.df >= LEAST_DF && row.placing_mm.sd.value > 0.0;
        let sd_px = is_enough.then_some(row.placing_mm.sd.value / scale);
        *(if is_enough { &mut of_its_own } else { &mut of_all }) += 1;
        if point.sd_px != sd_px {
            let mark = Some(Mark::Placed(Point { sd_px, ..point.clone() }));
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
    let edit = Edit::Several { name: "take one's own placing".to_owned(), edits };
    Ok(OwnPlacing { edit, of_its_own, of_all })
}
