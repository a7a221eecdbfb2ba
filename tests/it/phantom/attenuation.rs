//! Attenuation against published tables (tests/data/attenuation.json, made outside this project) and the law of Beer and
//! Lambert.

use super::beam;
use crate::support::text;
use crestgauge::phantom::{Attenuation, Beam, Material, NoBeam, Thickness};
use crestgauge::quantity::Millimetres;
use serde_json::Value;

fn entries() -> Vec<Value> {
    serde_json::from_str(&text("attenuation.json")).unwrap()
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|it| it.as_f64().unwrap()).collect()
}

const SAME: [(&str, Material); 14] = [
    ("F_soft_tissue_ICRU-44", Material::SoftTissue),
    ("F_cortical_bone_ICRU-44", Material::CorticalBone),
    ("F_dentine_70/20/10", Material::Dentine),
    ("F_enamel_97/1.5/1.5", Material::Enamel),
    ("F_cementum_60/25/15", Material::Cementum),
    ("F_gutta-percha_20/66/11/3", Material::GuttaPercha),
    ("F_stainless_steel_18-10", Material::StainlessSteel),
    ("F_nickel-titanium", Material::NickelTitanium),
    ("F_titanium", Material::Titanium),
    ("F_gold_casting_alloy_type_III", Material::GoldAlloy),
    ("F_resin_composite,_Ba_glass_75_%", Material::Composite),
    ("F_glass-fibre_post,_radiopaque_(ZrO2_12_%)", Material::GlassFibre),
    ("F_aluminium", Material::Aluminium),
    ("F_air", Material::Air),
];

#[test]
fn materials_attenuate_as_tables_computed_outside_say() {
    let tables = Attenuation::embedded().unwrap();
    for (id, material) in SAME {
        let entry = entries().into_iter().find(|entry| entry["id"] == id).unwrap();
        let energies = numbers(&entry["inputs"]["keV"]);
        let (mass, linear) =
            (numbers(&entry["expected"]["mu_rho_cm2_g"]), numbers(&entry["expected"]["mu_per_mm"]));
        // 35 keV lies between the energies of our table.
        for (at, energy) in energies.iter().enumerate().filter(|(_, energy)| **energy != 35.0) {
            let ours = tables.cm2_per_g(material, *energy).unwrap();
            assert!((ours / mass[at] - 1.0).abs() < 0.01, "{id} at {energy}: {ours}, not {}", mass[at]);
            let ours = tables.per_mm(material, *energy).unwrap();
            assert!((ours / linear[at] - 1.0).abs() < 0.01, "{id} at {energy}: {ours}, not {}", linear[at]);
        }
    }
}

/// Values read in copies of NIST's own tables.
#[test]
fn aluminium_and_cortical_bone_attenuate_as_nist_says() {
    let tables = Attenuation::embedded().unwrap();
    for (id, material) in
        [("F02_nist_aluminium", Material::Aluminium), ("F03_nist_cortical_bone", Material::CorticalBone)]
    {
        let entry = entries().into_iter().find(|entry| entry["id"] == id).unwrap();
        let expected = numbers(&entry["expected"]["mu_rho"]);
        for (energy, expected) in numbers(&entry["inputs"]["keV"]).into_iter().zip(expected) {
            let ours = tables.cm2_per_g(material, energy).unwrap();
            assert!((ours - expected).abs() <= 0.0006, "{id} at {energy}: {ours}, not {expected}");
        }
    }
}

#[test]
fn fractions_of_every_material_make_a_whole() {
    let file: toml::Table = toml::from_str(include_str!("../../../phantom/materials.toml")).unwrap();
    for row in file["material"].as_array().unwrap() {
        let sum: f64 = row["fractions"].as_table().unwrap().values().map(|it| it.as_float().unwrap()).sum();
        assert!((sum - 1.0).abs() < 0.002, "{:?}: {sum}", row["name"]);
    }
}

/// Mean photon energies of Kramers' spectrum behind aluminium, computed outside the program, keV.
#[test]
fn the_beam_has_the_mean_energy_of_kramers_spectrum() {
    let tables = Attenuation::embedded().unwrap();
    for (kilovolts, filter, mean) in
        [(60.0, 1.5, 31.87), (60.0, 2.5, 34.36), (65.0, 2.0, 34.77), (70.0, 1.5, 34.72), (70.0, 2.5, 37.45)]
    {
        let ours = Beam::of_tube(&tables, kilovolts, Millimetres(filter)).unwrap().mean_energy_kev();
        assert!((ours / mean - 1.0).abs() < 0.02, "{kilovolts} kV, {filter} mm: {ours}, not {mean}");
    }
}

fn depth(beam: &Beam, material: Material, length: f64) -> f64 {
    -beam.left_behind(&Thickness::NOTHING.with(material, Millimetres(length))).ln()
}

#[test]
fn a_slab_takes_what_beer_and_lambert_say() {
    let (beam, tables) = (beam(), Attenuation::embedded().unwrap());
    assert!((beam.left_behind(&Thickness::NOTHING) - 1.0).abs() < 1e-12);
    for (_, material) in Material::ALL {
        let (once, twice) = (depth(&beam, *material, 1.0), depth(&beam, *material, 2.0));
        // Of many energies the soft ones go first, so that the second mm takes less than the first, and neither more than
        // the softest or less than the hardest would lose.
        assert!(once < twice && twice <= 2.0 * once + 1e-12, "{material:?}: {once}, {twice}");
        let hardest = tables.per_mm(*material, 68.0).unwrap();
        let softest = tables.per_mm(*material, 16.0).unwrap();
        assert!((hardest.min(softest)..=softest.max(hardest)).contains(&once), "{material:?}: {once}");
    }
    // Of two slabs the order does not matter, and a thickness is the sum of its parts.
    let parts = Thickness::NOTHING
        .with(Material::Dentine, Millimetres(1.0))
        .with(Material::Enamel, Millimetres(0.5))
        .with(Material::Dentine, Millimetres(2.0));
    let whole =
        Thickness::NOTHING.with(Material::Enamel, Millimetres(0.5)).with(Material::Dentine, Millimetres(3.0));
    assert!((beam.left_behind(&parts) - beam.left_behind(&whole)).abs() < 1e-15);
}

/// How many mm of an aluminium step wedge look like 1 mm of a material: Eliasson and Haasken's measure of radiopacity.
fn like_aluminium(material: Material) -> f64 {
    let beam = beam();
    let wanted = depth(&beam, material, 1.0);
    let (mut thin, mut thick) = (0.0, 30.0);
    for _ in 0..60 {
        let middle = 0.5 * (thin + thick);
        if depth(&beam, Material::Aluminium, middle) < wanted {
            thin = middle;
        } else {
            thick = middle;
        }
    }
    thin
}

/// J Endod 1990;16:211, as read in its record: film measurements; films and receptors differ by 7 to 20 %.
#[test]
fn radiopacity_beside_a_step_wedge_is_as_published() {
    let entry = entries().into_iter().find(|entry| entry["id"] == "F91_radiopacity").unwrap();
    for (material, key) in [(Material::Dentine, "dentine"), (Material::GuttaPercha, "gutta_percha_D")] {
        let (expected, tolerance) =
            (entry["expected"][key].as_f64().unwrap(), entry["tolerance"][key].as_f64().unwrap());
        let ours = like_aluminium(material);
        assert!((ours - expected).abs() <= tolerance, "{key}: {ours} mm, not {expected}");
    }
    assert!((1.6..2.2).contains(&like_aluminium(Material::Enamel)), "about 2 mm of aluminium");
}

#[test]
fn no_dental_tube_is_refused() {
    let tables = Attenuation::embedded().unwrap();
    assert_eq!(Beam::of_tube(&tables, 120.0, Millimetres(2.0)), Err(NoBeam::Voltage(120.0)));
    assert_eq!(Beam::of_tube(&tables, 65.0, Millimetres(0.0)), Err(NoBeam::Filter(0.0)));
    assert!(Beam::of_tube(&tables, f64::NAN, Millimetres(2.0)).is_err());
}
