//! Reading the references of a calibration: `kind` first, then what that kind holds.

use super::error::CaseError;
use super::json::{Fields, Node, Unknown, number, spread, wrong};
use super::read::coordinate;
use crate::calibration::{
    Between, Instrument, Placed, Receptor, Reference, ReferencePoint, Scan, Sphere, Width,
};
use crate::caution::Caution;

/// Reads one reference and checks all that can be wrong with it by itself.
pub(super) fn reference(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Reference, CaseError> {
    let mut fields = node.fields()?;
    let kinds: Vec<(&'static str, &'static str)> =
        Reference::KINDS.iter().map(|kind| (*kind, *kind)).collect();
    let kind = fields.required("kind", |it| it.word(&kinds))?;
    let reference = match kind {
        "instrument" => Reference::Instrument(Instrument {
            points: fields.required("points", |it| points(it, cautions))?,
            length_mm: fields.optional("length_mm", number)?,
            tolerance_mm: fields.optional("tolerance_mm", number)?,
            length_sd_mm: fields.optional("length_sd_mm", number)?,
            between: fields.optional("between", |it| it.word(Between::ALL))?,
            object: text(&mut fields, "object")?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        "width" => Reference::Width(Width {
            points: fields.required("points", |it| points(it, cautions))?,
            diameter_mm: fields.optional("diameter_mm", number)?,
            tolerance_mm: fields.optional("tolerance_mm", number)?,
            diameter_sd_mm: fields.optional("diameter_sd_mm", number)?,
            object: text(&mut fields, "object")?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        "sphere" => Reference::Sphere(Sphere {
            points: fields.required("points", |it| points(it, cautions))?,
            diameter_mm: fields.optional("diameter_mm", number)?,
            tolerance_mm: fields.optional("tolerance_mm", number)?,
            diameter_sd_mm: fields.optional("diameter_sd_mm", number)?,
            object: text(&mut fields, "object")?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        "receptor" => Reference::Receptor(Receptor {
            pitch_mm: fields.required("pitch_mm", |it| {
                <[f64; 2]>::try_from(it.items(number)?).map_err(|found| {
                    it.wrong(format!("takes 2 numbers (across, down), here are {}", found.len()))
                })
            })?,
            magnification: fields.optional("magnification", number)?,
            magnification_sd: fields.optional("magnification_sd", number)?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        _ => Reference::Scan(Scan {
            dpi: fields.required("dpi", number)?,
            magnification: fields.optional("magnification", number)?,
            magnification_sd: fields.optional("magnification_sd", number)?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
    };
    reference.check().map_err(|refused| {
        let mut error = wrong(node.at, refused.why);
        // The key at fault is a path below the reference.
        error.pointer = Some(format!("{}/{}", node.at, refused.key));
        error
    })?;
    Ok(reference)
}

/// How a point was placed.
pub(super) fn placed(node: Node<'_>) -> Result<Placed, CaseError> {
    node.word(Placed::ALL)
}

fn text(fields: &mut Fields<'_>, key: &'static str) -> Result<Option<String>, CaseError> {
    fields.optional(key, |it| it.text().map(str::to_owned))
}

fn points(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Vec<ReferencePoint>, CaseError> {
    node.items(|one| {
        let mut fields = one.fields()?;
        Ok(ReferencePoint {
            x: fields.required("x", coordinate)?,
            y: fields.required("y", coordinate)?,
            sd_px: fields.optional("sd_px", spread)?,
            placed: fields.optional("placed", placed)?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        })
    })
}
