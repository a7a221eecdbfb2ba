//! Wishes: what can be is made, what cannot is refused by name, and nothing panics.

use super::{aimed, case_of, fdi, made, small};
use crate::properties::runs;
use crestgauge::case::{Fdi, RootName, Stage};
use crestgauge::phantom::{Aim, Beside, Impossible, Recipe, true_values};
use crestgauge::quantity::Degrees;
use proptest::prelude::*;

fn value(recipe: &Recipe, tooth: &str, id: &str) -> f64 {
    let values = true_values(&made(recipe, tooth, 3));
    values.into_iter().find(|it| it.of.id == id).unwrap_or_else(|| panic!("no {id}")).value
}

#[test]
fn wishes_come_true() {
    let wish = Recipe::default();
    // A wish is a level; the tooth's axis leans against levels by a few degrees, over points some mm before or behind it.
    for (recipe, id, expected) in [
        (Recipe { seal_mm: Some(4.5), ..wish.clone() }, "seal_length", 4.5),
        (Recipe { post_depth_mm: Some(9.0), ..wish.clone() }, "post_depth", 9.0),
        (Recipe { ferrule_mm: [Some(0.5), None], ..wish.clone() }, "ferrule_height.mesial", 0.5),
        (Recipe { ferrule_mm: [None, Some(3.0)], ..wish.clone() }, "ferrule_height.distal", 3.0),
        (Recipe { margin_to_crest_mm: [Some(1.0), None], ..wish.clone() }, "margin_to_crest.mesial", 1.0),
        (Recipe { cej_to_crest_mm: [None, Some(4.0)], ..wish.clone() }, "cej_to_crest.distal", 4.0),
        (Recipe { defect_mm: [Some(3.0), None], ..wish.clone() }, "defect_depth.mesial", 3.0),
        (Recipe { core_height_mm: Some(3.5), ..wish.clone() }, "core_height", 3.5),
        (Recipe { filling_short_mm: Some(2.0), ..wish.clone() }, "filling_short_of_apex", 2.0),
        (
            Recipe {
                post_width_mm: Some(1.1),
                post_tip: Some(crestgauge::phantom::PostTip::Flat),
                ..wish.clone()
            },
            "canal_width@2",
            1.1,
        ),
    ] {
        let value = value(&recipe, "21", id);
        assert!((value - expected).abs() < 0.25, "{id}: {value}, not {expected}");
    }
}

#[test]
fn what_cannot_be_is_refused_naming_both_parameters() {
    let refused =
        |recipe: Recipe, tooth: &str| recipe.tooth(fdi(tooth), 1).expect_err("impossible").to_string();
    let wish = Recipe::default();
    let long = refused(Recipe { post_depth_mm: Some(25.0), ..wish.clone() }, "21");
    assert!(long.contains("post's depth") && long.contains("root's length"), "{long}");
    let wide =
        refused(Recipe { canal_width_mm: Some(4.0), stage: Some(Stage::Filled), ..wish.clone() }, "31");
    assert!(wide.contains("canal's width") && wide.contains("root's width"), "{wide}");
    let thick = refused(Recipe { post_width_mm: Some(3.0), ..wish.clone() }, "31");
    assert!(thick.contains("post's width") && thick.contains("root's width"), "{thick}");
    let lost = refused(Recipe { cej_to_crest_mm: [Some(15.0), None], ..wish.clone() }, "31");
    assert!(lost.contains("crest's level") && lost.contains("root's length"), "{lost}");
    let high = refused(Recipe { ferrule_mm: [Some(8.0), None], ..wish.clone() }, "36");
    assert!(high.contains("ferrule") && high.contains("crown's length"), "{high}");
    let nothing = refused(Recipe { post_width_mm: Some(0.0), ..wish.clone() }, "21");
    assert!(nothing.contains("the post's width is 0"), "{nothing}");
    let none = refused(Recipe { seal_mm: Some(f64::NAN), ..wish.clone() }, "21");
    assert!(none.contains("the seal is NaN"), "{none}");
    let root = Recipe { post_root: Some(RootName::Palatal), ..wish }.tooth(fdi("21"), 1);
    assert!(matches!(root, Err(Impossible::NoSuchRoot { .. })), "{root:?}");
}

/// Every tooth can be made in every stage from most seeds, without any wish.
#[test]
fn no_wish_is_refused_where_nothing_is_wished() {
    for tooth in Fdi::all() {
        for (_, stage) in Stage::ALL {
            for seed in 0..12 {
                let recipe = Recipe { stage: Some(*stage), ..Recipe::default() };
                let made = recipe.tooth(tooth, seed);
                assert!(made.is_ok(), "{tooth} {stage:?} {seed}: {}", made.unwrap_err());
            }
        }
    }
}

fn wish(low: f64, high: f64) -> impl Strategy<Value = Option<f64>> {
    prop_oneof![20 => Just(None), 6 => (low..high).prop_map(Some), 1 => Just(Some(f64::NAN))]
}

proptest! {
    #![proptest_config(runs(120))]

    /// Whatever is wished, there is a tooth or a sentence; and of a tooth every number is one.
    #[test]
    fn any_wish_gives_a_tooth_or_a_sentence(
        tooth in 0..32_usize, seed in any::<u64>(), stage in 0..7_usize,
        numbers in prop::collection::vec(wish(-1.0, 12.0), 18),
        (vertical, horizontal, tilt) in (-20.0..20.0, -20.0..20.0, -20.0..20.0),
    ) {
        let fdi = Fdi::all().nth(tooth).unwrap();
        let stage = Stage::ALL[stage].1;
        let recipe = Recipe {
            stage: Some(stage),
            post_root: None,
            root_length_mm: numbers[0],
            bend_deg: numbers[1],
            canal_width_mm: numbers[2],
            cej_to_crest_mm: [numbers[3], numbers[4]],
            defect_mm: [numbers[5], numbers[6]],
            margin_to_crest_mm: [numbers[7], numbers[8]],
            ferrule_mm: [numbers[9], numbers[10]],
            filling_short_mm: numbers[11],
            seal_mm: numbers[12],
            post_depth_mm: numbers[13],
            post_width_mm: numbers[14],
            core_height_mm: numbers[15],
            instrument_mm: numbers[16],
            lesion_mm: numbers[17],
            beside: numbers[0].map(|diameter_mm| Beside::Ball { diameter_mm }),
            ..Recipe::default()
        };
        match recipe.tooth(fdi, seed) {
            Err(why) => prop_assert!(why.to_string().len() > 20),
            Ok(tooth) => {
                for it in true_values(&tooth) {
                    prop_assert!(it.value.is_finite(), "{:?}", it);
                }
                let aim = Aim {
                    vertical: Degrees(vertical), horizontal: Degrees(horizontal),
                    receptor_tilt: Degrees(tilt), ..small(0.5, 40, 60)
                };
                let exposure = aimed(&tooth, &aim);
                let case = case_of(&tooth, &exposure, stage);
                for mark in case.landmarks.marks.values().chain(case.roots.iter().flat_map(|root| root.landmarks.marks.values())) {
                    if let Some(point) = mark.point() {
                        prop_assert!(point.x.is_finite() && point.y.is_finite());
                    }
                }
                let picture = super::film(&tooth, &exposure, &crestgauge::phantom::Response::default(), seed, 1);
                prop_assert!(picture.grey().iter().any(|grey| *grey > 0));
            }
        }
    }
}
