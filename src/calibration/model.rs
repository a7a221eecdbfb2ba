//! The scale as a function of its inputs, written once on any scalar: as numbers for a value and for Monte Carlo
//! draws, as duals for the exact derivatives.

use super::reference::{Reference, size_spread};
use super::scale::{NoScale, ScaleInput, Source, Spread};
use super::{
    DEFAULT_DIAMETER_TOLERANCE_MM, DEFAULT_LENGTH_TOLERANCE_MM, DEFAULT_MAGNIFICATION,
    DEFAULT_MAGNIFICATION_SD, Library,
};
use crate::geometry::{Direction, Position, Square, circle_diameter};
use crate::quantity::Scalar;

/// The two scale factors and the axial direction they refer to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame<S> {
    /// Angle of the axial direction on the squared grid, radians from x towards y.
    pub(super) angle: S,
    /// Natural logarithm of the mm per pixel along it.
    pub(super) ln_axial: S,
    /// Natural logarithm of the mm per pixel across it.
    pub(super) ln_transverse: S,
}

/// How a reference turns its points into a scale factor.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    Polyline,
    Width,
    Ball,
    /// mm per pixel at the receptor; the size is the magnification.
    Pitch(f64),
}

/// One reference, its inputs by index into the model's list.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Term {
    form: Form,
    first_point: usize,
    points: usize,
    size: usize,
    /// Which reference of the calibration this is.
    pub(super) reference: usize,
    /// Share of this term in the mean of its group.
    pub(super) weight: f64,
}

impl Term {
    pub(super) fn is_axial(&self) -> bool {
        self.form == Form::Polyline
    }

    /// The inputs this term owns: its points' coordinates and its size.
    pub(super) fn inputs(&self) -> std::ops::RangeInclusive<usize> {
        self.first_point..=self.size
    }

    fn points<'a, S: Scalar>(
        &self,
        inputs: &'a [S],
    ) -> impl Iterator<Item = Position<Square, S>> + use<'a, S> {
        let end = self.first_point + 2 * self.points;
        inputs.get(self.first_point..end).unwrap_or_default().chunks_exact(2).filter_map(|pair| match pair {
            [x, y] => Some(Position::new(*x, *y)),
            _ => None,
        })
    }

    /// The natural logarithm of this reference's own mm per pixel; `None` where its points make none.
    pub(super) fn ln_scale<S: Scalar>(&self, inputs: &[S], axial: Direction<Square, S>) -> Option<S> {
        let ratio = *inputs.first()?;
        let size = *inputs.get(self.size)?;
        let on_film = match self.form {
            Form::Polyline => {
                let mut length = S::constant(0.0);
                let mut points = self.points(inputs);
                let mut start = points.next()?;
                for end in points {
                    let way = end.way_from(start);
                    let (along, across) = (way.along(axial), way.across(axial) * ratio);
                    length = length + (along * along + across * across).sqrt();
                    start = end;
                }
                length
            }
            Form::Width => {
                let mut points = self.points(inputs);
                let first = points.next()?;
                points.next()?.way_from(first).across(axial).abs()
            }
            Form::Ball => circle_diameter(&self.points(inputs).collect::<Vec<_>>()).ok()?,
            Form::Pitch(pitch) => return (size.value() > 0.0).then(|| S::constant(pitch.ln()) - size.ln()),
        };
        let usable = on_film.value() >= 1e-9 && size.value() > 0.0 && ratio.value() > 0.0;
        usable.then(|| size.ln() - on_film.ln())
    }
}

/// The references of a calibration, how much each counts, and how the two directions pull on one another.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Model {
    pub(super) terms: Vec<Term>,
    /// The part of δ the axial scale takes, `s_A²/V`, where both directions have references.
    pub(super) axial_pull: f64,
    /// The part of δ the transverse scale takes, `s_B²/V`.
    pub(super) transverse_pull: f64,
}

impl Model {
    /// Reads the references into terms and inputs. The first input is the ratio r; each reference then adds its
    /// points' coordinates on the squared grid, and its size.
    pub(super) fn new(
        references: &[Reference],
        library: &Library,
        pixel_aspect: f64,
        ratio_sd: f64,
    ) -> Result<(Self, Vec<ScaleInput>), NoScale> {
        let mut inputs = vec![ScaleInput {
            source: Source::Ratio,
            nominal: 1.0,
            sd: ratio_sd,
            spread: Spread::Normal,
            reference: None,
        }];
        let mut terms = Vec::new();
        for (index, reference) in references.iter().enumerate() {
            let first_point = inputs.len();
            for point in reference.points() {
                let place = point.squared(pixel_aspect);
                for nominal in [place.x, place.y] {
                    inputs.push(ScaleInput {
                        source: Source::Placing { stated_sd_px: point.sd_px },
                        nominal,
                        sd: 0.0,
                        spread: Spread::Normal,
                        reference: Some(index),
                    });
                }
            }
            let (form, size) = size_of(reference, library)
                .map_err(|object| NoScale::UnknownObject { reference: index, object })?;
            terms.push(Term {
                form,
                first_point,
                points: reference.points().len(),
                size: inputs.len(),
                reference: index,
                weight: 0.0,
            });
            inputs.push(ScaleInput { reference: Some(index), ..size });
        }
        Ok((Self { terms, axial_pull: 0.0, transverse_pull: 0.0 }, inputs))
    }

    /// The axial direction: of the first instrument, else the given one.
    pub(super) fn direction<S: Scalar>(
        &self,
        inputs: &[S],
        given: Option<S>,
    ) -> Option<Direction<Square, S>> {
        match self.terms.iter().find(|term| term.is_axial()) {
            Some(term) => {
                let mut points = term.points(inputs);
                let first = points.next()?;
                points.last()?.way_from(first).direction()
            }
            None => given.map(Direction::at_angle),
        }
    }

    /// The weighted means of ln k over the axial and over the transverse references, and q = ln r.
    pub(super) fn means<S: Scalar>(
        &self,
        inputs: &[S],
        direction: Direction<Square, S>,
    ) -> Option<(Option<S>, Option<S>, S)> {
        let (mut axial, mut transverse) = (None, None);
        for term in &self.terms {
            let share = term.ln_scale(inputs, direction)? * S::constant(term.weight);
            let mean = if term.is_axial() { &mut axial } else { &mut transverse };
            *mean = Some(mean.map_or(share, |sum: S| sum + share));
        }
        let ratio = *inputs.first()?;
        (ratio.value() > 0.0).then(|| (axial, transverse, ratio.ln()))
    }

    /// The scale at these inputs; `None` where they make none.
    pub(super) fn frame<S: Scalar>(&self, inputs: &[S], given_angle: Option<S>) -> Option<Frame<S>> {
        let direction = self.direction(inputs, given_angle)?;
        let (ln_axial, ln_transverse) = match self.means(inputs, direction)? {
            (Some(axial), None, ratio) => (axial, axial + ratio),
            (None, Some(transverse), ratio) => (transverse - ratio, transverse),
            (Some(axial), Some(transverse), ratio) => {
                let disagreement = transverse - axial - ratio;
                (
                    axial + disagreement * S::constant(self.axial_pull),
                    transverse - disagreement * S::constant(self.transverse_pull),
                )
            }
            (None, None, _) => return None,
        };
        Some(Frame { angle: direction.angle(), ln_axial, ln_transverse })
    }
}

/// The form of a reference, and its size as an input; the name of an object the library does not have as the error.
fn size_of(reference: &Reference, library: &Library) -> Result<(Form, ScaleInput), String> {
    let object = match reference.object() {
        Some(name) => {
            let known = library.get(name).filter(|object| object.kind.serves(reference));
            Some(known.ok_or_else(|| name.to_owned())?)
        }
        None => None,
    };
    let tolerance = |stated: Option<f64>| stated.or_else(|| object.and_then(|object| object.tolerance_mm));
    let input = |nominal: f64, (sd, rectangular): (f64, bool), source: Source| ScaleInput {
        source,
        nominal,
        sd,
        spread: if rectangular { Spread::Rectangular } else { Spread::Normal },
        reference: None,
    };
    let diameter = |form: Form, stated: Option<f64>, sd: Option<f64>, stated_tolerance: Option<f64>| {
        let nominal = stated
            .or_else(|| object.and_then(|object| object.diameter_mm))
            .ok_or_else(|| reference.object().unwrap_or_default().to_owned())?;
        let spread = size_spread(sd, tolerance(stated_tolerance), DEFAULT_DIAMETER_TOLERANCE_MM);
        Ok((form, input(nominal, spread, Source::Reference)))
    };
    match reference {
        Reference::Instrument(it) => {
            let nominal = it
                .length_mm
                .or_else(|| object.and_then(|object| object.length_mm))
                .ok_or_else(|| reference.object().unwrap_or_default().to_owned())?;
            let spread =
                size_spread(it.length_sd_mm, tolerance(it.tolerance_mm), DEFAULT_LENGTH_TOLERANCE_MM);
            Ok((Form::Polyline, input(nominal, spread, Source::Reference)))
        }
        Reference::Width(it) => diameter(Form::Width, it.diameter_mm, it.diameter_sd_mm, it.tolerance_mm),
        Reference::Sphere(it) => diameter(Form::Ball, it.diameter_mm, it.diameter_sd_mm, it.tolerance_mm),
        Reference::Receptor(it) => {
            Ok((Form::Pitch(it.pitch_mm[0]), magnification(it.magnification, it.magnification_sd)))
        }
        Reference::Scan(it) => {
            Ok((Form::Pitch(25.4 / it.dpi), magnification(it.magnification, it.magnification_sd)))
        }
    }
}

fn magnification(stated: Option<f64>, sd: Option<f64>) -> ScaleInput {
    ScaleInput {
        source: Source::Magnification,
        nominal: stated.unwrap_or(DEFAULT_MAGNIFICATION),
        sd: sd.unwrap_or(DEFAULT_MAGNIFICATION_SD),
        spread: Spread::Normal,
        reference: None,
    }
}
