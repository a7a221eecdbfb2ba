//! How much each reference counts: weights from its own relative uncertainty, and how far the two directions
//! pull on one another.

use super::model::{Model, Term};
use super::reference::placing_sd;
use super::scale::{ScaleInput, Source};
use crate::geometry::{Direction, Square};
use crate::quantity::{Dual, Scalar as _, WIDTH};

/// No reference and no combination is trusted beyond this relative standard uncertainty.
const LEAST_RELATIVE_SD: f64 = 1e-6;

/// A reference's own ln k and its relative standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Own {
    pub(super) is_axial: bool,
    pub(super) reference: usize,
    pub(super) ln_scale: f64,
    pub(super) relative_sd: f64,
}

/// What the combination found: each reference's own, and the variances of the two means.
pub(super) struct Combined {
    pub(super) own: Vec<Own>,
    pub(super) axial_variance: Option<f64>,
    pub(super) transverse_variance: Option<f64>,
}

/// Weighs the references at nominal inputs and writes weights and pulls into the model. `Err` holds the reference
/// whose points make no scale in this direction.
pub(super) fn combine(
    model: &mut Model,
    inputs: &[ScaleInput],
    axial: Direction<Square>,
    placing_mm: f64,
    ratio_sd: f64,
) -> Result<Combined, usize> {
    let mut own = Vec::new();
    for term in &model.terms {
        own.push(own_scale(term, inputs, axial, placing_mm).ok_or(term.reference)?);
    }
    let precision = |axial: bool| {
        own.iter().filter(|it| it.is_axial == axial).map(|it| it.relative_sd.powi(-2)).sum::<f64>()
    };
    let (axial_precision, transverse_precision) = (precision(true), precision(false));
    for (term, it) in model.terms.iter_mut().zip(&own) {
        let whole = if it.is_axial { axial_precision } else { transverse_precision };
        term.weight = it.relative_sd.powi(-2) / whole;
    }
    let variance = |precision: f64| (precision > 0.0).then(|| 1.0 / precision);
    let (axial_variance, transverse_variance) = (variance(axial_precision), variance(transverse_precision));
    if let (Some(axial), Some(transverse)) = (axial_variance, transverse_variance) {
        let whole = axial + transverse + ratio_sd.max(LEAST_RELATIVE_SD).powi(2);
        model.axial_pull = axial / whole;
        model.transverse_pull = transverse / whole;
    }
    Ok(Combined { own, axial_variance, transverse_variance })
}

/// A reference's ln k and relative sd, first order in its own size and points, direction and ratio held fixed.
fn own_scale(term: &Term, inputs: &[ScaleInput], axial: Direction<Square>, placing_mm: f64) -> Option<Own> {
    let nominal: Vec<f64> = inputs.iter().map(|input| input.nominal).collect();
    let ln_scale = term.ln_scale(&nominal, axial)?;
    let fixed = Direction::at_angle(Dual::constant(axial.angle()));
    let owned: Vec<usize> = term.inputs().collect();
    let mut variance = 0.0;
    for batch in owned.chunks(WIDTH) {
        let duals: Vec<Dual> = nominal
            .iter()
            .enumerate()
            .map(|(index, value)| match batch.iter().position(|&it| it == index) {
                Some(slot) => Dual::input(*value, slot),
                None => Dual::constant(*value),
            })
            .collect();
        let slopes = term.ln_scale(&duals, fixed)?;
        for (slope, &index) in slopes.slopes().iter().zip(batch) {
            let input = inputs.get(index)?;
            let sd = match input.source {
                Source::Placing { stated_sd_px } => {
                    placing_sd(stated_sd_px, placing_mm, ln_scale.exp()).get()
                }
                _ => input.sd,
            };
            variance += (slope * sd).powi(2);
        }
    }
    Some(Own {
        is_axial: term.is_axial(),
        reference: term.reference,
        ln_scale,
        relative_sd: variance.sqrt().max(LEAST_RELATIVE_SD),
    })
}
