//! What is tried, one thing at a time, where coverage is off: another default, or a tooth without what may be the cause.

use super::film::{ScaleFrom, Variation};
use super::practice::{PRACTICES, Practice};
use crestgauge::calibration::Reference;
use crestgauge::case::{Case, Fdi};

/// One trial.
pub(crate) struct Trial {
    /// What is changed, in words.
    pub(crate) change: &'static str,
    /// How films are taken, before and after.
    pub(crate) practice: Practice,
    /// What is changed in teeth or in their truth.
    pub(crate) variation: Variation,
    /// Relative sd of each root's lengths.
    pub(crate) lean_sd: f64,
    /// What cases assume.
    pub(crate) assume: fn(&mut Case),
    /// Which numbers to look at: scale, teeth with several roots or with one, measurement.
    pub(crate) watched: &'static [(ScaleFrom, bool, &'static str)],
}

use ScaleFrom::{Instrument, Receptor};

const HEIGHTS: &[(ScaleFrom, bool, &str)] = &[
    (Instrument, false, "ferrule_height.*"),
    (Instrument, true, "ferrule_height.*"),
    (Instrument, false, "margin_to_crest.*"),
    (Instrument, true, "margin_to_crest.*"),
    (Instrument, false, "crown_to_root"),
    (Instrument, true, "crest_to_furcation.*"),
    (Instrument, true, "tip_beyond_crest.*"),
    (Instrument, true, "root_length"),
];

const TOOTH_HEIGHTS: &[(ScaleFrom, bool, &str)] = &[
    (Instrument, false, "ferrule_height.*"),
    (Instrument, true, "ferrule_height.*"),
    (Instrument, false, "margin_to_crest.*"),
    (Instrument, true, "margin_to_crest.*"),
    (Instrument, true, "crest_to_furcation.*"),
];

const LEANING: &[(ScaleFrom, bool, &str)] = &[
    (Instrument, true, "core_height"),
    (Instrument, true, "post_to_core"),
    (Instrument, true, "filling_length"),
    (Instrument, true, "tip_beyond_crest.*"),
    (Receptor, true, "tip_beyond_crest.*"),
    (Instrument, true, "root_in_bone"),
    (Instrument, true, "post_depth"),
];

const BY_LEAN: &[(ScaleFrom, bool, &str)] = &[
    (Instrument, true, "core_height"),
    (Instrument, true, "post_to_core"),
    (Instrument, true, "filling_length"),
    (Instrument, true, "root_length"),
    (Instrument, true, "root_in_bone"),
    (Instrument, true, "crown_length"),
];

const BY_RECEPTOR: &[(ScaleFrom, bool, &str)] = &[
    (Receptor, false, "post_length"),
    (Receptor, false, "root_length"),
    (Receptor, true, "root_length"),
    (Receptor, false, "seal_length"),
    (Receptor, false, "root_width@*"),
    (Receptor, true, "root_width@*"),
];

/// The trials, in the order of the questions they answer.
pub(crate) fn trials() -> [Trial; 11] {
    let [paralleling, off_by_8, bisecting, _] = PRACTICES;
    let plain = Variation::AsTheyAre;
    [
        Trial {
            change: "roots neither lean nor bend towards buccal or lingual",
            practice: paralleling,
            variation: Variation::UprightRoots,
            lean_sd: 0.0,
            assume: |_| (),
            watched: LEANING,
        },
        Trial {
            change: "in teeth with several roots the instrument's length is less certain by 2 %",
            practice: paralleling,
            variation: plain,
            lean_sd: 0.0,
            assume: doubt_lean,
            watched: LEANING,
        },
        Trial {
            change: "lengths of each of several roots uncertain by 2.5 %",
            practice: paralleling,
            variation: plain,
            lean_sd: 0.025,
            assume: |_| (),
            watched: BY_LEAN,
        },
        Trial {
            change: "lengths of each of several roots uncertain by 4 %",
            practice: bisecting,
            variation: plain,
            lean_sd: 0.04,
            assume: |_| (),
            watched: BY_LEAN,
        },
        Trial {
            change: "sd of the magnification 0.02",
            practice: paralleling,
            variation: plain,
            lean_sd: 0.0,
            assume: magnification,
            watched: BY_RECEPTOR,
        },
        Trial {
            change: "sd of the magnification 0.02",
            practice: bisecting,
            variation: plain,
            lean_sd: 0.0,
            assume: magnification,
            watched: BY_RECEPTOR,
        },
        Trial {
            change: "depths as faces are deep",
            practice: paralleling,
            variation: plain,
            lean_sd: 0.0,
            assume: depth,
            watched: HEIGHTS,
        },
        Trial {
            change: "depths as faces are deep, angle 8 deg",
            practice: off_by_8,
            variation: plain,
            lean_sd: 0.0,
            assume: depth_and_angle,
            watched: HEIGHTS,
        },
        Trial {
            change: "depths as faces are deep, angle 8 deg",
            practice: paralleling,
            variation: plain,
            lean_sd: 0.0,
            assume: depth_and_angle,
            watched: HEIGHTS,
        },
        Trial {
            change: "depths as faces are deep",
            practice: bisecting,
            variation: plain,
            lean_sd: 0.0,
            assume: depth,
            watched: HEIGHTS,
        },
        Trial {
            change: "true midpoint of the margin where its points lie, out of the tooth's plane",
            practice: paralleling,
            variation: Variation::MidpointWherePointsLie,
            lean_sd: 0.0,
            assume: |_| (),
            watched: TOOTH_HEIGHTS,
        },
    ]
}

/// Depths of points as proximal faces are deep: 1.5 mm in front teeth, 2 in premolars, 2.5 in molars.
pub(crate) fn depth(case: &mut Case) {
    case.uncertainty.parallax_depth_mm = Some(match case.tooth.fdi.map(Fdi::position) {
        Some(1..=3) => 1.5,
        Some(4 | 5) => 2.0,
        _ => 2.5,
    });
}

fn depth_and_angle(case: &mut Case) {
    depth(case);
    case.uncertainty.angulation_deg = Some(8.0);
}

fn magnification(case: &mut Case) {
    for reference in &mut case.calibration.references {
        if let Reference::Receptor(it) = reference {
            (it.magnification, it.magnification_sd) = (Some(1.05), Some(0.02));
        }
    }
}

/// A root that leans by 11 deg looks 2 % shorter than one that does not.
fn doubt_lean(case: &mut Case) {
    if case.roots.len() < 2 {
        return;
    }
    for reference in &mut case.calibration.references {
        if let Reference::Instrument(it) = reference
            && let (Some(length), Some(tolerance)) = (it.length_mm, it.tolerance_mm)
        {
            it.length_sd_mm = Some(libm::hypot(tolerance / 3.0_f64.sqrt(), 0.02 * length));
        }
    }
}
