//! The beam of a dental tube as a coarse spectrum, and what a stack of materials leaves of it.

use super::material::{Attenuation, MATERIAL_COUNT, Material};
use crate::quantity::Millimetres;

/// Bins of the spectrum: 4 keV each, their middles at 16, 20, … 68 keV. No bin straddles barium's K edge by more than half a
/// keV.
const BINS: usize = 14;
const FIRST_KEV: f64 = 16.0;
const BIN_KEV: f64 = 4.0;

/// A beam, ready to be sent through materials.
#[derive(Debug, Clone, PartialEq)]
pub struct Beam {
    /// The part of the receptor's signal each bin gives without an object; the sum is 1.
    weights: [f64; BINS],
    /// By material: 1/mm in each bin.
    per_mm: [[f64; BINS]; MATERIAL_COUNT],
}

/// A tube voltage or filter that no dental tube has.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoBeam {
    /// The voltage.
    #[error("a tube voltage of {0} kV is not 50 to 70 kV")]
    Voltage(f64),
    /// The filter.
    #[error("a filter of {0} mm of aluminium is not 0.5 to 5 mm")]
    Filter(f64),
}

impl Beam {
    /// The beam of a tube: Kramers' law (Kramers 1923: photons of energy E in proportion to `E0`/E − 1) behind an aluminium
    /// filter, on a receptor whose signal is the energy it takes up.
    ///
    /// # Errors
    /// A voltage or filter that no dental tube has.
    pub fn of_tube(tables: &Attenuation, kilovolts: f64, filter: Millimetres) -> Result<Self, NoBeam> {
        if !(50.0..=70.0).contains(&kilovolts) {
            return Err(NoBeam::Voltage(kilovolts));
        }
        if !(0.5..=5.0).contains(&filter.get()) {
            return Err(NoBeam::Filter(filter.get()));
        }
        let mut per_mm = [[0.0; BINS]; MATERIAL_COUNT];
        let mut energies = [0.0; BINS];
        let mut energy = FIRST_KEV;
        for bin in &mut energies {
            *bin = energy;
            energy += BIN_KEV;
        }
        for ((_, material), row) in Material::ALL.iter().zip(&mut per_mm) {
            for (value, energy) in row.iter_mut().zip(energies) {
                // Every middle of a bin is an energy of the table.
                *value = tables.per_mm(*material, energy).unwrap_or(0.0);
            }
        }
        let mut weights = [0.0; BINS];
        for (weight, energy) in weights.iter_mut().zip(energies) {
            let filtered = tables.per_mm(Material::Aluminium, energy).unwrap_or(0.0) * filter.get();
            *weight = (kilovolts / energy - 1.0).max(0.0) * energy * libm::exp(-filtered);
        }
        let sum: f64 = weights.iter().sum();
        for weight in &mut weights {
            *weight /= sum;
        }
        Ok(Self { weights, per_mm })
    }

    /// What is left of the receptor's signal behind so many mm of each material (Beer and Lambert).
    pub fn left_behind(&self, thickness: &Thickness) -> f64 {
        let mut depth = [0.0; BINS];
        for (length, row) in thickness.0.iter().zip(&self.per_mm) {
            if *length > 0.0 {
                for (sum, value) in depth.iter_mut().zip(row) {
                    *sum += length * value;
                }
            }
        }
        self.weights.iter().zip(depth).map(|(weight, depth)| weight * libm::exp(-depth)).sum()
    }

    /// The mean energy of the receptor's photons without an object, keV.
    pub fn mean_energy_kev(&self) -> f64 {
        let (mut energy, mut photons, mut sum) = (FIRST_KEV, 0.0, 0.0);
        for weight in self.weights {
            photons += weight / energy;
            sum += weight;
            energy += BIN_KEV;
        }
        sum / photons
    }
}

/// How many mm of each material lie on a ray.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness([f64; MATERIAL_COUNT]);

impl Thickness {
    /// Nothing on the way.
    pub const NOTHING: Self = Self([0.0; MATERIAL_COUNT]);

    /// With so many mm more of a material.
    pub fn with(mut self, material: Material, length: Millimetres) -> Self {
        self.add(material, length.get());
        self
    }

    /// Adds so many mm of a material.
    pub(super) fn add(&mut self, material: Material, length: f64) {
        if let Some(sum) = self.0.get_mut(material as usize) {
            *sum += length;
        }
    }
}
