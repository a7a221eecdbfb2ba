//! Measuring: the catalogue, its constructions, and the uncertainty of every number.
//!
//! Nothing here knows about grey values, files or criteria.

mod assumptions;
mod average_teeth;
mod axes;
mod catalogue;
mod cautions;
mod construction;
mod courses;
mod definition;
mod draws;
mod first_order;
mod inputs;
mod on_film;
mod orders;
mod places;
mod propagate;
mod resolve;
mod scratch;
mod span;
mod study;
mod tooth_frame;

pub use assumptions::Assumptions;
pub use average_teeth::{AVERAGE_TEETH, AverageTooth, average};
pub use catalogue::CATALOGUE;
pub use construction::{
    Axis, Construction, Course, Crest, Outcome, PlaceIndex, ReadingIndex, Spot, Term, Values, evaluate,
};
pub use definition::{Applies, Compared, Definition, Length, PlaceName, Question, Repeat, Row};
pub use draws::{Drawn, DrawnSpread, FEWEST_DRAWS};
pub use first_order::FirstOrder;
pub use inputs::{Source, Variances};
pub use on_film::{ToothLines, in_plane, way_in_pixels, way_in_plane};
pub use places::Places;
pub use propagate::Value;
pub use scratch::between;
pub use span::{Span, SpanPart, spans};
pub use study::{FilmMap, NoStudy, Studied, Study, StudyRow};
pub use tooth_frame::{NoToothFrame, ToothFrame};

use crate::calibration::{self, Library, Scale};
use crate::case::{Case, Lack, LandmarkId, Reason, RowRef, Site, State};
use crate::caution::{Caution, CautionKind};
use inputs::{Inputs, ScaleMissing};
use propagate::Propagator;
use resolve::{Resolved, resolve};
use std::collections::BTreeSet;

/// Monte Carlo, where wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Draws {
    /// How many; 0 for first order alone.
    pub count: u32,
    /// Seed of the random numbers.
    pub seed: u64,
}

/// One measurement of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// Its row of the catalogue.
    pub row: &'static Row,
    /// Its name.
    pub of: RowRef,
    /// Index of its root in the case.
    pub root: Option<usize>,
    /// Its site, where it has one.
    pub site: Option<Site>,
    /// Its section, where it has one.
    pub section: Option<usize>,
    /// How it is made, where no landmark is lacking.
    pub construction: Option<Construction>,
    /// Its value, or why it has none.
    pub result: Result<Value, Missing>,
    /// What the draws came to, where there were any.
    pub drawn: Option<Drawn>,
    /// Landmarks it used.
    pub from: BTreeSet<LandmarkId>,
    /// Whether it used a reading.
    pub uses_reading: bool,
    /// Present or planned.
    pub state: State,
}

/// Why a measurement has no value.
#[derive(Debug, Clone, PartialEq)]
pub enum Missing {
    /// Landmarks are lacking.
    Landmarks(Vec<Lack>),
    /// Another reason.
    Reason(Reason),
}

impl Measurement {
    /// The 95 % interval: by the draws where there were any, else first order; clipped where the row is.
    pub fn interval(&self) -> Option<[f64; 2]> {
        let value = self.result.as_ref().ok()?;
        let spread = self.drawn.and_then(|drawn| drawn.spread);
        let interval = spread.map_or_else(|| value.estimate.interval(), |spread| spread.interval);
        Some(interval.map(|end| self.clip(end)))
    }

    /// The value as reported: clipped where the row is.
    pub fn value(&self) -> Option<f64> {
        self.result.as_ref().ok().map(|value| self.clip(value.estimate.value))
    }

    /// The standard uncertainty: by the draws where there were any, else first order.
    pub fn sd(&self) -> Option<f64> {
        let value = self.result.as_ref().ok()?;
        Some(self.drawn.and_then(|drawn| drawn.spread).map_or(value.estimate.sd, |spread| spread.sd))
    }

    /// Whether the first-order interval is doubtful: a curvature under 2 sd, or a quotient whose denominator has a
    /// relative sd over 0.1.
    pub fn first_order_is_doubtful(&self) -> bool {
        is_doubtful(self.row, &self.result)
    }

    fn clip(&self, value: f64) -> f64 {
        if self.row.clipped { value.max(0.0) } else { value }
    }
}

/// See [`Measurement::first_order_is_doubtful`].
fn is_doubtful(row: &Row, result: &Result<Value, Missing>) -> bool {
    let Ok(value) = result else { return false };
    let slight =
        matches!(row.definition, Definition::Curvature) && value.estimate.value < 2.0 * value.estimate.sd;
    slight || value.quotient.is_some_and(|quotient| quotient.denominator_relative_sd() > 0.1)
}

/// Everything measured on a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The measurements, in the catalogue's order.
    pub measurements: Vec<Measurement>,
    /// The scale, or why there is none.
    pub scale: Result<Scale, Reason>,
    /// The uncertainties in force.
    pub assumptions: Assumptions,
    /// What to know before trusting the numbers.
    pub cautions: Vec<Caution>,
}

/// A reference of the case names an object that cannot give it its size.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("object {object:?} {why} (at /calibration/references/{reference}/object)")]
pub struct UnknownObject {
    /// Which reference.
    pub reference: usize,
    /// The name it gives.
    pub object: String,
    /// Why it will not do, and what would.
    pub why: String,
}

impl UnknownObject {
    fn new(case: &Case, library: &Library, reference: usize, object: String) -> Self {
        let kind = case.calibration.references.get(reference);
        let serves =
            |kind_of: calibration::ObjectKind| kind.is_some_and(|reference| kind_of.serves(reference));
        let why = match library.get(&object) {
            Some(known) if !serves(known.kind) => {
                let wants = kind.map_or("reference", calibration::Reference::kind);
                format!(
                    "is a {} of the library, which gives no size to a reference of kind {wants:?}",
                    known.kind.word()
                )
            }
            _ => {
                let names = library.objects().iter().filter(|it| serves(it.kind)).map(|it| it.name.as_str());
                format!(
                    "is not in the library{}; --references adds a file of your own",
                    crate::wording::did_you_mean(&object, names)
                )
            }
        };
        Self { reference, object, why }
    }
}

/// Measures a case.
///
/// # Errors
/// Only where a reference names an object the library lacks; whatever else is missing is said row by row.
pub fn measure(case: &Case, library: &Library, draws: Draws) -> Result<Measured, UnknownObject> {
    measured(case, library, draws, |_, _| true)
}

/// As [`measure`], with draws of the rows that want them; what others draw changes nothing of a row's draws.
fn measured(
    case: &Case,
    library: &Library,
    draws: Draws,
    wants_draws: impl Fn(&Row, &Result<Value, Missing>) -> bool,
) -> Result<Measured, UnknownObject> {
    let places = Places::of(case);
    let assumptions = Assumptions::of(case);
    let rows = resolve(&places);
    let inputs = match Inputs::new(&places, library, &assumptions) {
        Ok(inputs) => Ok(inputs),
        Err(ScaleMissing::Reason(reason)) => Err((reason, None)),
        Err(ScaleMissing::Degenerate { reference }) => Err((Reason::Degenerate, Some(reference))),
        Err(ScaleMissing::UnknownObject { reference, object }) => {
            return Err(UnknownObject::new(case, library, reference, object));
        }
    };
    let results = match &inputs {
        Ok(inputs) => {
            let mut propagator = Propagator::new(inputs);
            rows.iter().map(|row| result(row, &places, &mut propagator)).collect()
        }
        Err((reason, _)) => rows.iter().map(|row| without_scale(row, &places, *reason)).collect::<Vec<_>>(),
    };
    let drawn = match &inputs {
        Ok(inputs) if draws.count > 0 => {
            let wanted: Vec<Option<&Construction>> = rows
                .iter()
                .zip(&results)
                .map(|(row, result)| row.construction.as_ref().ok().filter(|_| wants_draws(row.row, result)))
                .collect();
            drawn(inputs, &wanted, &assumptions, draws)
        }
        _ => vec![None; rows.len()],
    };
    let mut cautions = cautions::cautions(&places, inputs.as_ref().ok(), &rows, &results);
    if let Err((_, Some(reference))) = inputs {
        let about = format!("calibration/references/{reference}");
        cautions.push(Caution::about(CautionKind::ReferenceWithoutLength, about));
    }
    let measurements = rows
        .into_iter()
        .zip(results)
        .zip(drawn)
        .map(|((row, result), drawn)| {
            let used = Used::by(&row, &places);
            let drawn = drawn.filter(|_| result.is_ok());
            Measurement {
                row: row.row,
                of: row.of,
                root: row.root,
                site: row.site,
                section: row.section,
                construction: row.construction.ok(),
                result,
                drawn,
                from: used.landmarks,
                uses_reading: used.reading,
                state: if used.planned { State::Planned } else { State::Present },
            }
        })
        .collect();
    let scale = inputs.map(|inputs| inputs.scale).map_err(|(reason, _)| reason);
    Ok(Measured { measurements, scale, assumptions, cautions })
}

/// Measures a case as [`measure`] does without draws, and draws for those rows alone whose first-order interval is
/// doubtful. Says whether there were any.
///
/// # Errors
/// As [`measure`].
pub fn measure_drawing_doubtful(
    case: &Case,
    library: &Library,
    draws: Draws,
) -> Result<(Measured, bool), UnknownObject> {
    let measured = measured(case, library, draws, is_doubtful)?;
    let any = measured.measurements.iter().any(Measurement::first_order_is_doubtful);
    Ok((measured, any))
}

fn lacks(row: &Resolved, places: &Places<'_>) -> Option<Missing> {
    let lacking = row.construction.as_ref().err()?;
    Some(Missing::Landmarks(lacking.iter().map(|(id, root)| places.lack(*id, *root)).collect()))
}

fn result(
    row: &Resolved,
    places: &Places<'_>,
    propagator: &mut Propagator<'_, '_>,
) -> Result<Value, Missing> {
    match &row.construction {
        Ok(construction) => propagator.value(construction).map_err(Missing::Reason),
        Err(_) => Err(lacks(row, places).unwrap_or(Missing::Landmarks(Vec::new()))),
    }
}

/// Without a scale only readings keep their value.
fn without_scale(row: &Resolved, places: &Places<'_>, reason: Reason) -> Result<Value, Missing> {
    match &row.construction {
        Ok(Construction::Plain(Term::Reading(reading))) if row.is_reading => {
            let reading = places.readings.get(*reading).ok_or(Missing::Reason(Reason::Degenerate))?;
            let variance = reading.sd * reading.sd;
            Ok(Value {
                estimate: crate::quantity::Estimate { value: reading.value, sd: reading.sd },
                quotient: None,
                variances: Variances::only(Source::Reading, variance),
            })
        }
        _ => Err(Missing::Reason(reason)),
    }
}

fn drawn(
    inputs: &Inputs<'_>,
    wanted: &[Option<&Construction>],
    assumptions: &Assumptions,
    draws: Draws,
) -> Vec<Option<Drawn>> {
    let constructions: Vec<&Construction> = wanted.iter().copied().flatten().collect();
    if constructions.is_empty() {
        return vec![None; wanted.len()];
    }
    let mut drawn = draws::draw(inputs, &constructions, assumptions, draws.count, draws.seed).into_iter();
    wanted.iter().map(|construction| construction.and_then(|_| drawn.next())).collect()
}

/// What a row used.
#[derive(Default)]
struct Used {
    landmarks: BTreeSet<LandmarkId>,
    reading: bool,
    planned: bool,
}

impl Used {
    fn by(row: &Resolved, places: &Places<'_>) -> Self {
        let mut used = Self::default();
        let Ok(construction) = &row.construction else { return used };
        for term in construction.terms() {
            term.visit(&mut |place| {
                if let Some(place) = places.points.get(place) {
                    used.landmarks.insert(place.landmark);
                    used.planned |= place.is_planned;
                }
            });
            term.visit_readings(&mut |reading| {
                used.reading = true;
                used.planned |= places.readings.get(reading).is_some_and(|reading| reading.is_planned);
            });
        }
        used
    }
}
