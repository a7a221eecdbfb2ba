//! First-order propagation of uncertainty with exact derivatives (JCGM 100:2008, 5.1): every shared input stays
//! shared, so that a quotient of two lengths hardly feels the scale.

use super::construction::{Construction, Outcome, Term, Values, evaluate};
use super::inputs::{Inputs, Variances};
use crate::case::Reason;
use crate::geometry::{Plane, Position};
use crate::quantity::{Dual, Estimate, Quotient, Scalar as _, WIDTH};

/// A measurement's value with its first-order uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// Value and standard uncertainty, not clipped.
    pub estimate: Estimate,
    /// The two parts of a quotient, which its verdicts are judged by.
    pub quotient: Option<Quotient>,
    /// Variance by source.
    pub variances: Variances,
}

/// Evaluates constructions with their derivatives; keeps the duals of a case between rows.
pub(super) struct Propagator<'a, 'b> {
    inputs: &'b Inputs<'a>,
    duals: Values<Dual>,
}

/// An outcome with the derivatives of its two parts by every input.
type Differentiated = (Outcome<f64>, Vec<f64>, Option<Vec<f64>>);
/// Derivatives by every input, of the value's two parts.
type Slopes = (Vec<f64>, Option<Vec<f64>>);

impl<'a, 'b> Propagator<'a, 'b> {
    pub(super) fn new(inputs: &'b Inputs<'a>) -> Self {
        let constant =
            |point: &Position<Plane>| Position::new(Dual::constant(point.x), Dual::constant(point.y));
        let duals = Values {
            points: inputs.nominal.points.iter().map(constant).collect(),
            readings: inputs.nominal.readings.iter().map(|reading| Dual::constant(*reading)).collect(),
        };
        Self { inputs, duals }
    }

    /// The value of a construction with its uncertainty.
    pub(super) fn value(&mut self, construction: &Construction) -> Result<Value, Reason> {
        let (outcome, numerator, denominator) = self.differentiated(construction)?;
        let mut variances = Variances::default();
        let (value, quotient) = match (outcome, denominator) {
            (Outcome::Quotient(above, under), Some(denominator)) => {
                let value = above / under;
                let mut quotient = Quotient {
                    numerator: above,
                    denominator: under,
                    numerator_variance: 0.0,
                    denominator_variance: 0.0,
                    covariance: 0.0,
                };
                for ((input, by_above), by_under) in self.inputs.list.iter().zip(&numerator).zip(&denominator)
                {
                    let (above, below) = (by_above * input.sd, by_under * input.sd);
                    quotient.numerator_variance += above * above;
                    quotient.denominator_variance += below * below;
                    quotient.covariance += above * below;
                    variances.add(input.source, ((above - value * below) / under).powi(2));
                }
                (value, Some(quotient))
            }
            (outcome, _) => {
                for (input, slope) in self.inputs.list.iter().zip(&numerator) {
                    variances.add(input.source, (slope * input.sd).powi(2));
                }
                (outcome.value(), None)
            }
        };
        let variance = variances.total();
        if !(value.is_finite() && variance.is_finite()) {
            return Err(Reason::Degenerate);
        }
        Ok(Value { estimate: Estimate { value, sd: variance.sqrt() }, quotient, variances })
    }

    /// What a construction comes to, with the derivatives of its numerator and denominator by every input.
    pub(super) fn differentiated(&mut self, construction: &Construction) -> Result<Differentiated, Reason> {
        let outcome = evaluate(construction, &self.inputs.nominal)?;
        let (above, under) = self.slopes(construction)?;
        Ok((outcome, above, under))
    }

    /// Derivatives of numerator and denominator by every input: by the coordinates of the places used, eight at a
    /// time, then through the scale.
    fn slopes(&mut self, construction: &Construction) -> Result<Slopes, Reason> {
        let mut places = Vec::new();
        let mut readings = Vec::new();
        construction.terms().for_each(|term: &Term| {
            term.visit(&mut |place| places.push(place));
            term.visit_readings(&mut |reading| readings.push(reading));
        });
        for used in [&mut places, &mut readings] {
            used.sort_unstable();
            used.dedup();
        }
        // A variable is a coordinate (2 × place + axis) or, after all of them, a reading.
        let coordinates: Vec<usize> = places.iter().flat_map(|place| [2 * place, 2 * place + 1]).collect();
        let variables: Vec<Variable> = coordinates
            .iter()
            .map(|it| Variable::Coordinate(*it))
            .chain(readings.iter().map(|it| Variable::Reading(*it)))
            .collect();
        let (mut above, mut under) = (vec![0.0; variables.len()], None::<Vec<f64>>);
        for (index, batch) in variables.chunks(WIDTH).enumerate() {
            for (slot, variable) in batch.iter().enumerate() {
                self.seed(*variable, slot);
            }
            let outcome = evaluate(construction, &self.duals);
            for variable in batch {
                self.seed(*variable, WIDTH);
            }
            let store = |slopes: &mut Vec<f64>, dual: Dual| {
                for (place, slope) in slopes.iter_mut().skip(index * WIDTH).zip(dual.slopes()) {
                    *place = *slope;
                }
            };
            match outcome? {
                Outcome::Plain(value) => store(&mut above, value),
                Outcome::Quotient(numerator, denominator) => {
                    store(&mut above, numerator);
                    store(under.get_or_insert_with(|| vec![0.0; variables.len()]), denominator);
                }
            }
        }
        let pull_back = |slopes: &[f64]| {
            let (by_coordinate, by_reading) = slopes.split_at(coordinates.len().min(slopes.len()));
            let by_place: Vec<_> = places
                .iter()
                .zip(by_coordinate.chunks_exact(2))
                .filter_map(|(place, pair)| <[f64; 2]>::try_from(pair).ok().map(|pair| (*place, pair)))
                .collect();
            let by_reading: Vec<_> = readings.iter().copied().zip(by_reading.iter().copied()).collect();
            self.inputs.pull_back(&by_place, &by_reading)
        };
        Ok((pull_back(&above), under.as_deref().map(pull_back)))
    }

    /// Makes a variable an input in a slot of the duals; a slot past their width makes it constant again.
    fn seed(&mut self, variable: Variable, slot: usize) {
        match variable {
            Variable::Coordinate(coordinate) => {
                if let Some(point) = self.duals.points.get_mut(coordinate / 2) {
                    let part = if coordinate % 2 == 0 { &mut point.x } else { &mut point.y };
                    *part = Dual::input(part.value(), slot);
                }
            }
            Variable::Reading(reading) => {
                if let Some(reading) = self.duals.readings.get_mut(reading) {
                    *reading = Dual::input(reading.value(), slot);
                }
            }
        }
    }
}

#[derive(Debug, Clone, Copy)]
enum Variable {
    Coordinate(usize),
    Reading(usize),
}
