//! The scale: millimetres per pixel along and across the axial direction, with everything it depends on.

use super::combine::{Combined, Own, combine};
use super::model::{Frame, Model};
use super::reference::{Reference, placing_sd};
use super::{DEFAULT_MAGNIFICATION, Library};
use crate::caution::{Caution, CautionKind};
use crate::geometry::{Direction, Plane, Position, Square};
use crate::quantity::{Degrees, Dual, Millimetres, MillimetresPerPixel, Pixels, Scalar as _, WIDTH};

/// Directions more than this far off raise a caution on a `width` reference, in degrees.
const WIDTH_OBLIQUE_DEG: f64 = 10.0;
/// How much metal blooms on a film, in mm (common practice).
const METAL_BLOOM_MM: f64 = 0.1;
/// References that differ by more than this many standard uncertainties raise a caution.
pub const MOST_SD: f64 = 2.0;
/// The resolutions programs write when nobody measured one, in dots per inch.
const UNMEASURED_DPI: [f64; 2] = [72.0, 96.0];

/// What a scale is made from.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The references, each checked.
    pub references: &'a [Reference],
    /// Where references that name an object find its size.
    pub library: &'a Library,
    /// Standard uncertainty of the ratio r of the two scale factors.
    pub ratio_sd: f64,
    /// Standard uncertainty of placing, each axis.
    pub placing: Millimetres,
    /// Pixels' aspect, down / across.
    pub pixel_aspect: f64,
    /// The axial direction on the squared grid where no instrument gives it: radians from x towards y, apically.
    pub axis_angle: Option<f64>,
}

/// Why there is no scale.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoScale {
    /// The calibration holds no reference.
    #[error("no reference gives a scale")]
    NoReference,
    /// No instrument and no tooth axis give an axial direction.
    #[error("neither an instrument nor the tooth gives an axial direction")]
    NoAxis,
    /// A reference has no length in its direction.
    #[error("reference {reference} has no length in the direction it scales")]
    Degenerate {
        /// Which reference.
        reference: usize,
    },
    /// A reference names an object that the library lacks, or that has no size of the kind wanted.
    #[error(
        "reference {reference} names the object {object:?}, which the library does not have in this kind"
    )]
    UnknownObject {
        /// Which reference.
        reference: usize,
        /// The name.
        object: String,
    },
}

/// What kind of uncertainty an input of the scale carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// Placing of a reference's point, with the point's own standard uncertainty where it states one.
    Placing {
        /// In widths of a pixel.
        stated_sd_px: Option<f64>,
    },
    /// The stated length or diameter.
    Reference,
    /// The ratio of the two scale factors.
    Ratio,
    /// The magnification.
    Magnification,
}

/// How an input is drawn in Monte Carlo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// Normal.
    Normal,
    /// Rectangular, as a tolerance is read.
    Rectangular,
}

/// One input the scale depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleInput {
    /// Where its uncertainty comes from.
    pub source: Source,
    /// Its value.
    pub nominal: f64,
    /// Its standard uncertainty.
    pub sd: f64,
    /// How it is drawn.
    pub spread: Spread,
    /// Which reference it belongs to; none for the ratio.
    pub reference: Option<usize>,
}

/// The exposure's elongation or foreshortening, where both directions have references.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distortion {
    /// ρ = transverse over axial mm per pixel, each from its own references alone: above 1 the tooth is projected too
    /// long, below 1 too short.
    pub ratio: f64,
    /// The tilt that would explain it: arccos(min(ρ, 1/ρ)).
    pub tilt: Degrees,
    /// |δ| in units of √V: how far the references disagree beyond what their uncertainties allow.
    pub disagreement_sd: f64,
}

/// Millimetres per pixel in two directions, as a function of everything that made it.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    frame: Frame<f64>,
    model: Model,
    inputs: Vec<ScaleInput>,
    /// For each input, the derivatives of (angle, ln axial, ln transverse).
    slopes: Vec<[f64; 3]>,
    /// The same by the given angle; zeros where an instrument gives the direction.
    angle_slopes: [f64; 3],
    uses_given_angle: bool,
    placing: Millimetres,
    distortion: Option<Distortion>,
    cautions: Vec<Caution>,
}

/// Makes the scale.
///
/// # Errors
/// There is no reference, no direction, or a reference that has no length in its direction.
pub fn scale(given: &Given<'_>) -> Result<Scale, NoScale> {
    if given.references.is_empty() {
        return Err(NoScale::NoReference);
    }
    let (mut model, mut inputs) =
        Model::new(given.references, given.library, given.pixel_aspect, given.ratio_sd)?;
    let nominal: Vec<f64> = inputs.iter().map(|input| input.nominal).collect();
    let axial = model.direction(&nominal, given.axis_angle).ok_or(NoScale::NoAxis)?;
    let combined = combine(&mut model, &inputs, axial, given.placing.get(), given.ratio_sd)
        .map_err(|reference| NoScale::Degenerate { reference })?;
    let uses_given_angle = !given.references.iter().any(Reference::is_axial);
    let given_angle = given.axis_angle.filter(|_| uses_given_angle);
    let frame = model.frame(&nominal, given_angle).ok_or(NoScale::Degenerate { reference: 0 })?;
    let axial_mm_per_px = frame.ln_axial.exp();
    for input in &mut inputs {
        if let Source::Placing { stated_sd_px } = input.source {
            input.sd = placing_sd(stated_sd_px, given.placing.get(), axial_mm_per_px).get();
        }
    }
    let (slopes, angle_slopes) =
        slopes(&model, &nominal, given_angle).ok_or(NoScale::Degenerate { reference: 0 })?;
    let distortion = distortion(&combined, &model, &nominal, axial, given.ratio_sd);
    let mut cautions = reference_cautions(given, axial);
    cautions.extend(agreement_cautions(&combined, distortion));
    Ok(Scale {
        frame,
        model,
        inputs,
        slopes,
        angle_slopes,
        uses_given_angle,
        placing: given.placing,
        distortion,
        cautions,
    })
}

type Slopes = (Vec<[f64; 3]>, [f64; 3]);

/// The derivatives of (angle, ln axial, ln transverse) by every input, and by the given angle.
fn slopes(model: &Model, nominal: &[f64], given_angle: Option<f64>) -> Option<Slopes> {
    let mut slopes = Vec::with_capacity(nominal.len());
    let of = |frame: &Frame<Dual>, slot: usize| {
        [frame.angle, frame.ln_axial, frame.ln_transverse]
            .map(|part| part.slopes().get(slot).copied().unwrap_or_default())
    };
    for first in (0..nominal.len()).step_by(WIDTH) {
        let duals: Vec<Dual> = nominal
            .iter()
            .enumerate()
            .map(|(index, value)| Dual::input(*value, index.checked_sub(first).unwrap_or(WIDTH)))
            .collect();
        let frame = model.frame(&duals, given_angle.map(Dual::constant))?;
        slopes.extend((0..WIDTH.min(nominal.len() - first)).map(|slot| of(&frame, slot)));
    }
    let angle_slopes = match given_angle {
        Some(angle) => {
            let duals: Vec<Dual> = nominal.iter().map(|value| Dual::constant(*value)).collect();
            of(&model.frame(&duals, Some(Dual::input(angle, 0)))?, 0)
        }
        None => [0.0; 3],
    };
    Some((slopes, angle_slopes))
}

fn distortion(
    combined: &Combined,
    model: &Model,
    nominal: &[f64],
    axial: Direction<Square>,
    ratio_sd: f64,
) -> Option<Distortion> {
    let (axial_variance, transverse_variance) = (combined.axial_variance?, combined.transverse_variance?);
    let (a, b, q) = model.means(nominal, axial)?;
    let (a, b) = (a?, b?);
    let ratio = (b - a).exp();
    let allowed = axial_variance + transverse_variance + ratio_sd.max(1e-6).powi(2);
    Some(Distortion {
        ratio,
        tilt: Degrees(ratio.min(1.0 / ratio).acos().to_degrees()),
        disagreement_sd: (b - a - q).abs() / allowed.sqrt(),
    })
}

/// Where a reference stands in the case file, for cautions.
fn pointer(reference: usize) -> String {
    format!("calibration/references/{reference}")
}

fn reference_cautions(given: &Given<'_>, axial: Direction<Square>) -> Vec<Caution> {
    let mut cautions = Vec::new();
    for (index, reference) in given.references.iter().enumerate() {
        let about = |kind| Caution::about(kind, pointer(index));
        let (magnification, dpi) = match reference {
            Reference::Width(width) => {
                if let [first, second] = width.points.as_slice() {
                    let way = second.squared(given.pixel_aspect).way_from(first.squared(given.pixel_aspect));
                    let off = way.along(axial).abs().atan2(way.across(axial).abs()).to_degrees();
                    if off > WIDTH_OBLIQUE_DEG {
                        cautions.push(about(CautionKind::WidthOblique).value(off).limit(WIDTH_OBLIQUE_DEG));
                    }
                }
                cautions.push(about(CautionKind::MetalBloom).value(METAL_BLOOM_MM));
                continue;
            }
            Reference::Receptor(receptor) => {
                let [across, down] = receptor.pitch_mm;
                if ((down / across) / given.pixel_aspect - 1.0).abs() > 0.01 {
                    cautions.push(
                        about(CautionKind::PitchAgainstAspect).value(down / across).limit(given.pixel_aspect),
                    );
                }
                (receptor.magnification, 25.4 / across)
            }
            Reference::Scan(scan) => (scan.magnification, scan.dpi),
            Reference::Instrument(_) | Reference::Sphere(_) => continue,
        };
        if magnification.is_none() {
            cautions.push(about(CautionKind::MagnificationAssumed).value(DEFAULT_MAGNIFICATION));
        }
        if UNMEASURED_DPI.iter().any(|unmeasured| (dpi - unmeasured).abs() < 0.05) {
            cautions.push(about(CautionKind::PitchNotMeasured).value(dpi));
        }
    }
    cautions
}

fn agreement_cautions(combined: &Combined, distortion: Option<Distortion>) -> Vec<Caution> {
    let mut cautions = Vec::new();
    for axial in [true, false] {
        let group: Vec<&Own> = combined.own.iter().filter(|own| own.is_axial == axial).collect();
        let mut worst: Option<(f64, usize, usize)> = None;
        for (position, one) in group.iter().enumerate() {
            for other in group.iter().skip(position + 1) {
                let sd = one.relative_sd.hypot(other.relative_sd);
                let apart = (one.ln_scale - other.ln_scale).abs() / sd;
                if apart > worst.map_or(MOST_SD, |(most, _, _)| most) {
                    worst = Some((apart, one.reference, other.reference));
                }
            }
        }
        if let Some((apart, one, other)) = worst {
            let mut caution =
                Caution::about(CautionKind::ReferencesInconsistent, pointer(one)).value(apart).limit(MOST_SD);
            caution.about.push(pointer(other));
            cautions.push(caution);
        }
    }
    let Some(distortion) = distortion else { return cautions };
    let every = combined.own.iter().map(|own| pointer(own.reference)).collect::<Vec<_>>();
    if distortion.disagreement_sd > MOST_SD {
        let mut caution = Caution::general(CautionKind::ReferenceDisagreement)
            .value(distortion.disagreement_sd)
            .limit(MOST_SD);
        caution.about.clone_from(&every);
        cautions.push(caution);
    }
    // Beyond what the references' own uncertainties explain, the exposure itself is distorted.
    let variance = combined.axial_variance.unwrap_or(0.0) + combined.transverse_variance.unwrap_or(0.0);
    let allowed = MOST_SD * variance.sqrt();
    let mut distorted = |kind, limit: f64| {
        let mut caution = Caution::general(kind)
            .value(distortion.ratio)
            .limit(limit)
            .detail(format!("a tilt of about {:.0} deg would explain it", distortion.tilt.get()));
        caution.about.clone_from(&every);
        cautions.push(caution);
    };
    if distortion.ratio.ln() > allowed {
        distorted(CautionKind::Elongation, allowed.exp());
    } else if distortion.ratio.ln() < -allowed {
        distorted(CautionKind::Foreshortening, (-allowed).exp());
    }
    cautions
}

impl Scale {
    /// Along the axial direction.
    pub fn axial(&self) -> MillimetresPerPixel {
        MillimetresPerPixel(self.frame.ln_axial.exp())
    }

    /// Across the axial direction.
    pub fn transverse(&self) -> MillimetresPerPixel {
        MillimetresPerPixel(self.frame.ln_transverse.exp())
    }

    /// The relative standard uncertainties of the two scale factors, axial and transverse, from the references alone.
    pub fn relative_sd(&self) -> [f64; 2] {
        let variance = |part: fn(&[f64; 3]) -> f64| {
            self.slopes
                .iter()
                .zip(&self.inputs)
                .map(|(slopes, input)| (part(slopes) * input.sd).powi(2))
                .sum::<f64>()
        };
        [variance(|&[_, axial, _]| axial).sqrt(), variance(|&[_, _, transverse]| transverse).sqrt()]
    }

    /// The axial direction on the squared grid.
    pub fn axial_direction(&self) -> Direction<Square> {
        Direction::at_angle(self.frame.angle)
    }

    /// Whether the axial direction was handed in, because no instrument gives it.
    pub fn uses_given_angle(&self) -> bool {
        self.uses_given_angle
    }

    /// Elongation or foreshortening, where both directions have references.
    pub fn distortion(&self) -> Option<Distortion> {
        self.distortion
    }

    /// What to know before trusting this scale.
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    /// The inputs the scale depends on.
    pub fn inputs(&self) -> &[ScaleInput] {
        &self.inputs
    }

    /// For each input, the derivatives of (axial angle in radians, ln axial, ln transverse mm per pixel).
    pub fn slopes(&self) -> &[[f64; 3]] {
        &self.slopes
    }

    /// The same derivatives by the angle handed in.
    pub fn angle_slopes(&self) -> [f64; 3] {
        self.angle_slopes
    }

    /// The standard uncertainty of placing a point whose own is not stated, each axis.
    pub fn placing_sd(&self) -> Pixels {
        placing_sd(None, self.placing.get(), self.axial().get())
    }

    /// Where a place of the squared grid lies in the millimetre plane.
    pub fn plane(&self, place: Position<Square>) -> Position<Plane> {
        in_plane(&self.frame, place)
    }

    /// Another draw of the scale, as a map into the millimetre plane: `inputs` in the order of [`Self::inputs`].
    /// `None` where the drawn inputs make no scale.
    pub fn drawn(
        &self,
        inputs: &[f64],
        axis_angle: Option<f64>,
    ) -> Option<impl Fn(Position<Square>) -> Position<Plane>> {
        let frame = self.model.frame(inputs, axis_angle)?;
        Some(move |place| in_plane(&frame, place))
    }
}

fn in_plane(frame: &Frame<f64>, place: Position<Square>) -> Position<Plane> {
    let way = place.way_from(Position::new(0.0, 0.0));
    let axial = Direction::at_angle(frame.angle);
    Position::new(frame.ln_axial.exp() * way.along(axial), frame.ln_transverse.exp() * way.across(axial))
}
