//! Everything a measurement can depend on, in one list, and where the places of a case lie as a function of it.
//!
//! The order is: the coordinates of each place on the squared grid, the inputs of the scale, the parallax shifts
//! of single points, those of whole roots, and the readings.

use super::assumptions::Assumptions;
use super::axes::tooth_axis;
use super::construction::{Axis, PlaceIndex, Values};
use super::places::Places;
use crate::calibration::{self, Given, Library, NoScale, Scale};
use crate::case::Reason;
use crate::geometry::{Position, Square};
use crate::quantity::{Dual, WIDTH};

/// Where an uncertainty comes from: the keys of `shares`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// Placing of points, a reference's included.
    Placing,
    /// The stated length or diameter of a reference.
    Reference,
    /// The ratio of the two scale factors.
    Ratio,
    /// The magnification.
    Magnification,
    /// Points before or behind the canal plane.
    Parallax,
    /// Readings at the chair.
    Reading,
}

impl Source {
    /// Every source.
    pub const ALL: [Self; 6] =
        [Self::Placing, Self::Reference, Self::Ratio, Self::Magnification, Self::Parallax, Self::Reading];

    /// The key in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Placing => "placing",
            Self::Reference => "reference",
            Self::Ratio => "ratio",
            Self::Magnification => "magnification",
            Self::Parallax => "parallax",
            Self::Reading => "reading",
        }
    }
}

/// A variance split by where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Variances([f64; Source::ALL.len()]);

impl Variances {
    /// A variance that comes from one source alone.
    pub fn only(source: Source, variance: f64) -> Self {
        let mut variances = Self::default();
        variances.add(source, variance);
        variances
    }

    /// Adds to the part of a source.
    pub(super) fn add(&mut self, source: Source, variance: f64) {
        // The array has one place for each source, so there always is one.
        if let Some(part) = self.0.get_mut(source as usize) {
            *part += variance;
        }
    }

    /// The part of a source.
    pub fn of(&self, source: Source) -> f64 {
        self.0.get(source as usize).copied().unwrap_or_default()
    }

    /// The whole variance.
    pub fn total(&self) -> f64 {
        self.0.iter().sum()
    }

    /// The share of each source that contributes; the shares sum to 1.
    pub fn shares(&self) -> impl Iterator<Item = (Source, f64)> {
        let total = self.total();
        Source::ALL
            .into_iter()
            .map(|source| (source, self.of(source)))
            .filter(|(_, variance)| *variance > 0.0)
            .map(move |(source, variance)| (source, variance / total))
    }
}

/// One input: its uncertainty and where that comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Input {
    pub(super) source: Source,
    pub(super) sd: f64,
}

/// A case ready to be measured: its scale, its inputs, and its places in the millimetre plane.
#[derive(Debug, Clone)]
pub(super) struct Inputs<'a> {
    pub(super) places: &'a Places<'a>,
    pub(super) scale: Scale,
    pub(super) list: Vec<Input>,
    pub(super) nominal: Values<f64>,
    /// Where the axial direction comes from the tooth: the axis, and the derivatives of its angle.
    pub(super) axis: Option<(Axis, Vec<(usize, f64)>)>,
    first_scale: usize,
    point_shift: Vec<Option<usize>>,
    root_shift: Vec<Option<usize>>,
    first_reading: usize,
}

impl<'a> Inputs<'a> {
    /// Makes the scale and lists the inputs.
    pub(super) fn new(
        places: &'a Places<'a>,
        library: &Library,
        assumptions: &Assumptions,
    ) -> Result<Self, ScaleMissing> {
        let case = places.case();
        if case.calibration.references.is_empty() {
            return Err(ScaleMissing::Reason(Reason::NoScale));
        }
        let has_instrument = case.calibration.references.iter().any(calibration::Reference::is_axial);
        let made = if has_instrument { None } else { tooth_axis(places).ok() };
        let axis = match &made {
            Some(made) => Some(angle_of(&made.axis, places).ok_or(ScaleMissing::Reason(Reason::Degenerate))?),
            None => None,
        };
        let scale = calibration::scale(&Given {
            references: &case.calibration.references,
            library,
            ratio_sd: assumptions.ratio_sd,
            placing: assumptions.placing,
            pixel_aspect: case.film.aspect(),
            axis_angle: axis.as_ref().map(|(angle, _)| *angle),
        })
        .map_err(|no_scale| match no_scale {
            NoScale::NoReference => ScaleMissing::Reason(Reason::NoScale),
            NoScale::NoAxis => ScaleMissing::Reason(Reason::NoAxis),
            NoScale::Degenerate { reference } => ScaleMissing::Degenerate { reference },
            NoScale::UnknownObject { reference, object } => ScaleMissing::UnknownObject { reference, object },
        })?;
        let mut list = Vec::new();
        for place in &places.points {
            let sd = match place.stated_sd_px {
                Some(sd) => sd,
                None if place.is_planned => 0.0,
                None => scale.placing_sd().get(),
            };
            list.extend([Input { source: Source::Placing, sd }; 2]);
        }
        let first_scale = list.len();
        list.extend(scale.inputs().iter().map(|input| Input {
            source: match input.source {
                calibration::Source::Placing { .. } => Source::Placing,
                calibration::Source::Reference => Source::Reference,
                calibration::Source::Ratio => Source::Ratio,
                calibration::Source::Magnification => Source::Magnification,
            },
            sd: input.sd,
        }));
        let shift = Input { source: Source::Parallax, sd: assumptions.shift_sd().get() };
        let mut add_shift = |wanted: bool| {
            wanted.then(|| {
                list.push(shift);
                list.len() - 1
            })
        };
        let point_shift = places
            .points
            .iter()
            .map(|place| add_shift(place.landmark.landmark().declaration().parallax))
            .collect();
        let root_shift = places.roots.iter().map(|_| add_shift(places.has_several_roots())).collect();
        let first_reading = list.len();
        list.extend(places.readings.iter().map(|reading| Input { source: Source::Reading, sd: reading.sd }));
        let nominal = Values {
            points: places.points.iter().map(|place| scale.plane(place.position)).collect(),
            readings: places.readings.iter().map(|reading| reading.value).collect(),
        };
        let axis = made.zip(axis).map(|(made, (_, slopes))| (made.axis, slopes));
        Ok(Self { places, scale, list, nominal, axis, first_scale, point_shift, root_shift, first_reading })
    }

    /// The input that is a reading.
    pub(super) fn reading_input(&self, reading: usize) -> usize {
        self.first_reading + reading
    }

    /// The inputs that shift a place along the axial direction: its own, and its root's.
    pub(super) fn shifts(&self, place: PlaceIndex) -> impl Iterator<Item = usize> + use<> {
        let own = self.point_shift.get(place).copied().flatten();
        let root = self.places.points.get(place).and_then(|place| place.root);
        let root = root.and_then(|root| self.root_shift.get(root).copied().flatten());
        own.into_iter().chain(root)
    }

    /// Every shift input: those of points, then those of roots.
    pub(super) fn all_shifts(&self) -> impl Iterator<Item = usize> {
        self.point_shift.iter().chain(&self.root_shift).copied().flatten()
    }

    /// Turns derivatives by places in the millimetre plane and by readings into derivatives by every input, by the
    /// chain rule through the scale.
    pub(super) fn pull_back(
        &self,
        by_place: &[(PlaceIndex, [f64; 2])],
        by_reading: &[(usize, f64)],
    ) -> Vec<f64> {
        let mut slopes = vec![0.0; self.list.len()];
        let mut add = |input: usize, slope: f64| {
            if let Some(sum) = slopes.get_mut(input) {
                *sum += slope;
            }
        };
        let axial = self.scale.axial_direction().displacement();
        let (along, across) = (self.scale.axial().get(), self.scale.transverse().get());
        // Derivatives by the axial angle, ln axial and ln transverse mm per pixel, summed over the places.
        let mut by_frame = [0.0; 3];
        for &(place, [by_x, by_y]) in by_place {
            add(2 * place, by_x * along * axial.x - by_y * across * axial.y);
            add(2 * place + 1, by_x * along * axial.y + by_y * across * axial.x);
            if let Some(point) = self.nominal.points.get(place) {
                by_frame[0] += by_x * point.y * along / across - by_y * point.x * across / along;
                by_frame[1] += by_x * point.x;
                by_frame[2] += by_y * point.y;
            }
            for shift in self.shifts(place) {
                add(shift, by_x);
            }
        }
        let through = |slopes: &[f64; 3]| slopes.iter().zip(by_frame).map(|(one, by)| one * by).sum::<f64>();
        for (index, frame_slopes) in self.scale.slopes().iter().enumerate() {
            add(self.first_scale + index, through(frame_slopes));
        }
        if let Some((_, angle_slopes)) = &self.axis {
            let by_angle = through(&self.scale.angle_slopes());
            for (input, slope) in angle_slopes {
                add(*input, by_angle * slope);
            }
        }
        for &(reading, slope) in by_reading {
            add(self.reading_input(reading), slope);
        }
        slopes
    }

    /// The places in the millimetre plane for another set of inputs; `None` where they make no scale.
    pub(super) fn drawn(&self, inputs: &[f64]) -> Option<Values<f64>> {
        let square = |place: PlaceIndex| match inputs.get(2 * place..2 * place + 2) {
            Some([x, y]) => Some(Position::<Square>::new(*x, *y)),
            _ => None,
        };
        let angle = match &self.axis {
            Some((axis, _)) => Some(axis.direction(&square)?.angle()),
            None => None,
        };
        let scale_end = self.first_scale + self.scale.inputs().len();
        let plane = self.scale.drawn(inputs.get(self.first_scale..scale_end)?, angle)?;
        let mut points = Vec::with_capacity(self.places.points.len());
        for place in 0..self.places.points.len() {
            let mut point = plane(square(place)?);
            for shift in self.shifts(place) {
                point.x += inputs.get(shift)?;
            }
            points.push(point);
        }
        Some(Values { points, readings: inputs.get(self.first_reading..)?.to_vec() })
    }

    /// The value of every input at which the numbers were made.
    pub(super) fn nominal_inputs(&self) -> Vec<f64> {
        let coordinates = self.places.points.iter().flat_map(|place| [place.position.x, place.position.y]);
        let scale = self.scale.inputs().iter().map(|input| input.nominal);
        let shifts = self.all_shifts().map(|_| 0.0);
        coordinates.chain(scale).chain(shifts).chain(self.nominal.readings.iter().copied()).collect()
    }

    /// The scale's inputs, by index.
    pub(super) fn scale_inputs(&self) -> impl Iterator<Item = (usize, &calibration::ScaleInput)> {
        self.scale.inputs().iter().enumerate().map(|(index, input)| (self.first_scale + index, input))
    }
}

/// Why nothing can be measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum ScaleMissing {
    /// For a reason rows can give.
    Reason(Reason),
    /// Because a reference has no length in the direction it scales.
    Degenerate { reference: usize },
    /// Because a reference names an object nobody knows; the case cannot be used.
    UnknownObject { reference: usize, object: String },
}

/// The angle of an axis on the squared grid, and its derivatives by the coordinates it depends on.
fn angle_of(axis: &Axis, places: &Places<'_>) -> Option<(f64, Vec<(usize, f64)>)> {
    let position = |place: PlaceIndex| places.points.get(place).map(|place| place.position);
    let angle = axis.direction(&position)?.angle();
    let mut coordinates = Vec::new();
    axis.visit(&mut |place| coordinates.extend([2 * place, 2 * place + 1]));
    coordinates.sort_unstable();
    coordinates.dedup();
    let mut slopes = Vec::new();
    for batch in coordinates.chunks(WIDTH) {
        let slot = |coordinate: usize| batch.iter().position(|&it| it == coordinate).unwrap_or(WIDTH);
        let dual = |place: PlaceIndex| {
            position(place).map(|at| {
                Position::<Square, Dual>::new(
                    Dual::input(at.x, slot(2 * place)),
                    Dual::input(at.y, slot(2 * place + 1)),
                )
            })
        };
        let angle = axis.direction(&dual)?.angle();
        slopes.extend(batch.iter().copied().zip(angle.slopes().iter().copied()));
    }
    Some((angle, slopes))
}
