//! Which tooth shows which landmark.

use super::{Definition, Seen};
use crate::case::{Landmark, Stage};
use crate::phantom::recipe::Recipe;
use crate::phantom::treatment::{CrownKind, PostKind};

const PLAIN: Recipe = Recipe {
    stage: Some(Stage::PostCore),
    post_root: None,
    root_length_mm: None,
    bend_deg: Some(0.0),
    canal_width_mm: None,
    cej_to_crest_mm: [Some(1.6), Some(1.6)],
    defect_mm: [Some(0.0), Some(0.0)],
    margin_to_crest_mm: [Some(2.4), Some(2.4)],
    ferrule_mm: [Some(2.2), Some(2.2)],
    filling_short_mm: Some(1.0),
    seal_mm: Some(4.5),
    post_depth_mm: None,
    planned_depth_mm: None,
    post_width_mm: None,
    post_tip: None,
    post_kind: Some(PostKind::Titanium),
    core_height_mm: None,
    crown: None,
    instrument_mm: None,
    lesion_mm: None,
    beside: None,
};

const FILLED: Recipe = Recipe { stage: Some(Stage::Filled), seal_mm: None, post_kind: None, ..PLAIN };
const DEFECT: Recipe =
    Recipe { defect_mm: [Some(3.5), Some(0.0)], cej_to_crest_mm: [Some(5.0), Some(1.6)], ..PLAIN };
const CROWNED: Recipe = Recipe { stage: Some(Stage::Crowned), crown: Some(CrownKind::Metal), ..PLAIN };

const fn shown(
    name: &'static str,
    landmark: Landmark,
    caption: &'static str,
    tooth: &'static str,
    recipe: Recipe,
) -> Definition {
    Definition { name, landmark, caption, seen: Seen::Plainly, tooth, seed: 3, recipe }
}

/// Every picture, those of one landmark together, the plain case first.
pub const DEFINITIONS: &[Definition] = &[
    shown(
        "crown-edge",
        Landmark::CrownEdge,
        "the edge of the crown, in the middle of the tooth; only its level along the tooth is measured",
        "21",
        CROWNED,
    ),
    shown(
        "crown-edge-cusps",
        Landmark::CrownEdge,
        "of several cusps the tip of the highest, not the fissure between them",
        "46",
        CROWNED,
    ),
    shown(
        "stop-reference",
        Landmark::StopReference,
        "the higher wall, on which the stop of an instrument rests",
        "21",
        Recipe {
            stage: Some(Stage::WorkingLength),
            seal_mm: None,
            post_kind: None,
            ferrule_mm: [Some(2.2), Some(0.8)],
            ..PLAIN
        },
    ),
    shown("core-top", Landmark::CoreTop, "the most coronal point of the core", "21", PLAIN),
    shown(
        "core-base",
        Landmark::CoreBase,
        "the level of the standing dentine beside the canal, on the canal line",
        "21",
        PLAIN,
    ),
    shown(
        "core-base-uneven",
        Landmark::CoreBase,
        "in doubt, sides of unlike height: the more apical side counts, carried square onto the canal line",
        "21",
        Recipe { ferrule_mm: [Some(0.6), Some(3.4)], ..PLAIN },
    ),
    shown(
        "wall-top",
        Landmark::WallTop,
        "the top of the wall, in the middle of its thickness of 1 mm",
        "21",
        PLAIN,
    ),
    Definition {
        seen: Seen::AtThinWall,
        ..shown(
            "wall-top-thin",
            Landmark::WallTop,
            "in doubt, a wall that thins out beside a wide canal: where it is still 1 mm thick, not where its last edge ends",
            "21",
            Recipe { canal_width_mm: Some(3.6), ferrule_mm: [Some(2.4), Some(2.0)], ..FILLED },
        )
    },
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "wall-top-crowned",
            Landmark::WallTop,
            "in doubt, under a metal crown: it is there and not seen, so it is marked hidden and not guessed",
            "21",
            CROWNED,
        )
    },
    shown(
        "finish-line",
        Landmark::FinishLine,
        "the crown margin, where the cut ends on the root",
        "21",
        PLAIN,
    ),
    shown(
        "cej",
        Landmark::Cej,
        "the cemento-enamel junction, where enamel thins out to nothing",
        "21",
        Recipe { margin_to_crest_mm: [Some(3.6), Some(3.6)], ..FILLED },
    ),
    shown(
        "crest",
        Landmark::Crest,
        "the crest: where the ligament space beside the root has its even width",
        "21",
        PLAIN,
    ),
    shown(
        "crest-defect",
        Landmark::Crest,
        "in doubt, an angular defect: its floor is the crest, not the top of the septum",
        "21",
        DEFECT,
    ),
    shown(
        "bone-peak-defect",
        Landmark::BonePeak,
        "the top of the septum beside the same defect; marked only where it differs from the crest",
        "21",
        DEFECT,
    ),
    shown(
        "furcation",
        Landmark::Furcation,
        "the roof of the furcation, dentine coronal of it, bone or ligament apical",
        "36",
        FILLED,
    ),
    shown(
        "furcal-crest",
        Landmark::FurcalCrest,
        "the bone in the furcation, apical of the roof\u{2019}s ligament space",
        "36",
        FILLED,
    ),
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "furcation-upper",
            Landmark::Furcation,
            "in doubt, an upper premolar whose roots lie one behind the other: it is marked hidden",
            "14",
            FILLED,
        )
    },
    shown(
        "orifice",
        Landmark::Orifice,
        "the orifice, where root dentine first encloses the canal on both sides",
        "21",
        FILLED,
    ),
    shown(
        "curve-start",
        Landmark::CurveStart,
        "where the canal leaves its straight coronal line",
        "46",
        Recipe { bend_deg: Some(40.0), ..FILLED },
    ),
    shown("post-head", Landmark::PostHead, "the coronal end of the post, within the core", "21", PLAIN),
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "post-head-crowned",
            Landmark::PostHead,
            "in doubt, under a metal crown: marked hidden; through a ceramic one it is seen",
            "21",
            CROWNED,
        )
    },
    shown("post-tip", Landmark::PostTip, "the apical end of the post, on its axis", "21", PLAIN),
    shown(
        "filling-top",
        Landmark::FillingTop,
        "the coronal end of the root filling, here beneath an empty post space",
        "21",
        Recipe { stage: Some(Stage::PostSpace), post_kind: None, ..PLAIN },
    ),
    shown("filling-tip", Landmark::FillingTip, "the apical end of the root filling", "21", PLAIN),
    shown(
        "filling-tip-beyond",
        Landmark::FillingTip,
        "in doubt, a filling beyond the apex: its own end is marked, past the root",
        "21",
        Recipe { filling_short_mm: Some(-1.2), ..PLAIN },
    ),
    shown(
        "apex",
        Landmark::Apex,
        "the radiographic apex: the end of the root, not that of the filling",
        "21",
        PLAIN,
    ),
    shown(
        "apex-lesion",
        Landmark::Apex,
        "in doubt, a radiolucency around it: the root\u{2019}s own outline ends here",
        "21",
        Recipe { lesion_mm: Some(3.5), ..PLAIN },
    ),
    shown(
        "canal",
        Landmark::Canal,
        "points along the middle of the canal, from coronal to apical",
        "46",
        Recipe { bend_deg: Some(30.0), ..FILLED },
    ),
    shown(
        "sections",
        Landmark::Sections,
        "four points square across the root: outer wall, canal or post, canal or post, outer wall",
        "21",
        PLAIN,
    ),
];
