//! What the phantom is made of, and how much of a beam each material takes: `phantom/materials.toml` and
//! `phantom/elements.toml`.

use serde::Deserialize;
use std::collections::BTreeMap;

const ELEMENTS: &str = include_str!("../../phantom/elements.toml");
const MATERIALS: &str = include_str!("../../phantom/materials.toml");

macro_rules! materials {
    ($($name:ident: $word:literal),+ $(,)?) => {
        /// A material, by its row of `phantom/materials.toml`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Material { $(#[doc = concat!("`", $word, "`.")] $name),+ }

        impl Material {
            /// Every material with its name in the file.
            pub const ALL: &'static [(&'static str, Self)] = &[$(($word, Self::$name)),+];
        }
    };
}

materials! {
    Air: "air",
    SoftTissue: "soft_tissue",
    Marrow: "marrow",
    CorticalBone: "cortical_bone",
    Dentine: "dentine",
    Cementum: "cementum",
    Enamel: "enamel",
    GuttaPercha: "gutta_percha",
    StainlessSteel: "stainless_steel",
    NickelTitanium: "nickel_titanium",
    Titanium: "titanium",
    GoldAlloy: "gold_alloy",
    GlassFibre: "glass_fibre",
    Composite: "composite",
    Ceramic: "ceramic",
    Rubber: "rubber",
    Aluminium: "aluminium",
}

/// How many materials there are.
pub(super) const MATERIAL_COUNT: usize = Material::ALL.len();

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ElementFile {
    energies_kev: Vec<f64>,
    cm2_per_g: BTreeMap<String, Vec<f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialFile {
    material: Vec<MaterialRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialRow {
    name: String,
    density: f64,
    fractions: BTreeMap<String, f64>,
    #[serde(rename = "source")]
    _source: String,
}

/// The tables of attenuation, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Attenuation {
    energies_kev: Vec<f64>,
    /// By material: 1/mm at each energy.
    per_mm: Vec<Vec<f64>>,
    densities: Vec<f64>,
}

/// The files of attenuation contradict themselves, which no shipped version of them does.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("phantom/{file}: {what}")]
pub struct NoAttenuation {
    file: &'static str,
    what: String,
}

impl Attenuation {
    /// The embedded tables.
    ///
    /// # Errors
    /// None in a program whose tests passed.
    pub fn embedded() -> Result<Self, NoAttenuation> {
        let wrong = |file: &'static str, what: String| NoAttenuation { file, what };
        let elements: ElementFile =
            toml::from_str(ELEMENTS).map_err(|error| wrong("elements.toml", error.to_string()))?;
        let materials: MaterialFile =
            toml::from_str(MATERIALS).map_err(|error| wrong("materials.toml", error.to_string()))?;
        let (mut per_mm, mut densities) = (Vec::new(), Vec::new());
        for (name, _) in Material::ALL {
            let row = materials
                .material
                .iter()
                .find(|row| row.name == *name)
                .ok_or_else(|| wrong("materials.toml", format!("there is no {name}")))?;
            let mut sums = vec![0.0; elements.energies_kev.len()];
            for (symbol, fraction) in &row.fractions {
                let values = elements
                    .cm2_per_g
                    .get(symbol)
                    .filter(|values| values.len() == sums.len())
                    .ok_or_else(|| wrong("elements.toml", format!("{symbol} is not whole")))?;
                for (sum, value) in sums.iter_mut().zip(values) {
                    *sum += fraction * value;
                }
            }
            // cm²/g times g/cm³ is 1/cm.
            per_mm.push(sums.into_iter().map(|sum| sum * row.density / 10.0).collect());
            densities.push(row.density);
        }
        Ok(Self { energies_kev: elements.energies_kev, per_mm, densities })
    }

    /// The linear attenuation coefficient at one of the table's energies, 14 to 70 keV in steps of 2; `None` at others.
    pub fn per_mm(&self, material: Material, energy_kev: f64) -> Option<f64> {
        let at = self.energies_kev.iter().position(|energy| *energy == energy_kev)?;
        self.per_mm.get(material as usize)?.get(at).copied()
    }

    /// The mass attenuation coefficient at one of the table's energies, cm²/g.
    pub fn cm2_per_g(&self, material: Material, energy_kev: f64) -> Option<f64> {
        Some(10.0 * self.per_mm(material, energy_kev)? / self.densities.get(material as usize)?)
    }
}
