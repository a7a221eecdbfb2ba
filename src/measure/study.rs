//! One case with a post tip that can be put anywhere: what plans are computed on.
//!
//! Every quantity is made by the constructions of the catalogue, and comes out with its derivative by every input, so
//! that a plan's bounds keep all correlations.

use super::assumptions::Assumptions;
use super::construction::{Construction, Outcome, PlaceIndex};
use super::definition::{Length, Row};
use super::first_order::FirstOrder;
use super::inputs::{Inputs, ScaleMissing, Source, Variances};
use super::places::Places;
use super::propagate::Propagator;
use super::resolve::{Resolved, construct, resolve};
use super::{Missing, UnknownObject};
use crate::calibration::{Library, Scale};
use crate::case::{Landmark, LandmarkId, Reason, RowRef, Side, Site};
use crate::geometry::{Direction, Displacement, Path, Plane, Position, Square};

/// A case with a movable post tip.
#[derive(Debug, Clone)]
pub struct Study<'a> {
    places: &'a Places<'a>,
    inputs: Inputs<'a>,
    rows: Vec<Resolved>,
    root: usize,
    tip: Option<PlaceIndex>,
}

/// Why a case cannot be studied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoStudy {
    /// Nothing on the film can be measured in mm.
    Reason(Reason),
    /// A reference names an object the library lacks.
    UnknownObject(UnknownObject),
}

/// A row of the catalogue for this case.
#[derive(Debug, Clone, Copy)]
pub struct StudyRow<'a> {
    /// Its row of the catalogue.
    pub row: &'static Row,
    /// Its name.
    pub of: &'a RowRef,
    /// Index of its root in the case.
    pub root: Option<usize>,
    /// Its site, where it has one.
    pub site: Option<Site>,
    /// Its section, where it has one.
    pub section: Option<usize>,
    resolved: &'a Resolved,
}

/// A quantity to first order; of a quotient, numerator and denominator.
#[derive(Debug, Clone, PartialEq)]
pub enum Studied {
    /// A plain one.
    Plain(FirstOrder),
    /// Numerator and denominator.
    Quotient(FirstOrder, FirstOrder),
}

impl Studied {
    /// The quantity as one, a quotient divided out.
    pub fn single(&self) -> Option<FirstOrder> {
        match self {
            Self::Plain(quantity) => Some(quantity.clone()),
            Self::Quotient(numerator, denominator) => numerator.over(denominator),
        }
    }
}

impl<'a> Study<'a> {
    /// Prepares a case for the planning of one root.
    ///
    /// # Errors
    /// There is no scale, or a reference names an object the library lacks.
    pub fn new(places: &'a Places<'a>, library: &Library, root: usize) -> Result<Self, NoStudy> {
        let case = places.case();
        let inputs =
            Inputs::new(places, library, &Assumptions::of(case)).map_err(|missing| match missing {
                ScaleMissing::Reason(reason) => NoStudy::Reason(reason),
                ScaleMissing::Degenerate { .. } => NoStudy::Reason(Reason::Degenerate),
                ScaleMissing::UnknownObject { reference, object } => {
                    NoStudy::UnknownObject(UnknownObject::new(case, library, reference, object))
                }
            })?;
        let tip = places.find(Landmark::PostTip.id(), Some(root));
        Ok(Self { places, inputs, rows: resolve(places), root, tip })
    }

    /// Puts the post tip elsewhere.
    pub fn put_tip(&mut self, at: Position<Plane>) {
        if let Some(point) = self.tip.and_then(|tip| self.inputs.nominal.points.get_mut(tip)) {
            *point = at;
        }
    }

    /// The rows of the tooth and of the root studied.
    pub fn rows(&self) -> impl Iterator<Item = StudyRow<'_>> {
        self.rows.iter().filter(|row| row.root.is_none_or(|root| root == self.root)).map(|resolved| {
            StudyRow {
                row: resolved.row,
                of: &resolved.of,
                root: resolved.root,
                site: resolved.site,
                section: resolved.section,
                resolved,
            }
        })
    }

    /// The construction of a row, or what it lacks.
    ///
    /// # Errors
    /// The landmarks that are missing.
    pub fn construction_of(&self, row: StudyRow<'_>) -> Result<Construction, Missing> {
        row.resolved.construction.clone().map_err(|lacking| self.lacks(lacking))
    }

    /// The construction of a length that is no row: of the root studied, or of the tooth.
    ///
    /// # Errors
    /// The landmarks that are missing.
    pub fn construct(
        &self,
        length: Length,
        of_root: bool,
        side: Option<Side>,
        section: Option<usize>,
    ) -> Result<Construction, Missing> {
        let root = of_root.then_some(self.root);
        construct(self.places, root, length, side, section)
            .map(Construction::Plain)
            .map_err(|lacking| self.lacks(lacking))
    }

    fn lacks(&self, lacking: impl IntoIterator<Item = (LandmarkId, Option<usize>)>) -> Missing {
        Missing::Landmarks(lacking.into_iter().map(|(id, root)| self.places.lack(id, root)).collect())
    }

    /// What constructions come to, with the tip where it is.
    pub fn evaluate<'c>(
        &self,
        constructions: impl IntoIterator<Item = &'c Construction>,
    ) -> Vec<Result<Studied, Reason>> {
        let mut propagator = Propagator::new(&self.inputs);
        constructions
            .into_iter()
            .map(|construction| {
                let (outcome, by_above, by_under) = propagator.differentiated(construction)?;
                let first_order = |value: f64, slopes: Vec<f64>| {
                    let parts =
                        slopes.iter().zip(&self.inputs.list).map(|(slope, input)| slope * input.sd).collect();
                    FirstOrder::of(value, parts)
                };
                let studied = match (outcome, by_under) {
                    (Outcome::Quotient(above, under), Some(by_under)) => {
                        Studied::Quotient(first_order(above, by_above), first_order(under, by_under))
                    }
                    (outcome, _) => Studied::Plain(first_order(outcome.value(), by_above)),
                };
                let is_finite = |it: &FirstOrder| it.value().is_finite() && it.variance().is_finite();
                let finite = match &studied {
                    Studied::Plain(it) => is_finite(it),
                    Studied::Quotient(above, under) => is_finite(above) && is_finite(under),
                };
                if finite { Ok(studied) } else { Err(Reason::Degenerate) }
            })
            .collect()
    }

    /// Where the variance of a quantity comes from; what nothing else depends on is a reading.
    pub fn variances(&self, quantity: &FirstOrder) -> Variances {
        let mut variances = Variances::default();
        for (part, input) in quantity.parts().iter().zip(&self.inputs.list) {
            variances.add(input.source, part * part);
        }
        variances.add(Source::Reading, quantity.own_variance());
        variances
    }

    /// The canal of the root in the millimetre plane, its ends prolonged; without a canal the line along the root's
    /// axis through where the post starts.
    ///
    /// # Errors
    /// What is missing for either.
    pub fn canal(&self) -> Result<Path<Plane>, Missing> {
        let degenerate = || Missing::Reason(Reason::Degenerate);
        let at = |place: PlaceIndex| self.inputs.nominal.points.get(place).copied();
        if let Some(root) = self.places.roots.get(self.root).filter(|root| root.canal.len() >= 2) {
            let points = root.canal.iter().filter_map(|place| at(*place));
            return Path::through(points).ok_or_else(degenerate);
        }
        let start = self.start()?;
        let axis = super::axes::root_axis(self.places, self.root).map_err(|lacking| self.lacks(lacking))?;
        let way = axis.axis.direction(&at).ok_or_else(degenerate)?.displacement();
        Path::through([start, start.moved(Displacement::new(way.x, way.y))]).ok_or_else(degenerate)
    }

    /// Where the post starts to hold.
    ///
    /// # Errors
    /// The core base, or the orifice of a root of several, is missing.
    pub fn start(&self) -> Result<Position<Plane>, Missing> {
        let landmark = if self.places.has_several_roots() { Landmark::Orifice } else { Landmark::CoreBase };
        self.position(landmark.id()).ok_or_else(|| self.lacks([(landmark.id(), self.root_of(landmark))]))
    }

    const fn root_of(&self, landmark: Landmark) -> Option<usize> {
        match landmark {
            Landmark::CoreBase => None,
            _ => Some(self.root),
        }
    }

    /// Where a landmark of the tooth or of the root studied lies.
    pub fn position(&self, id: LandmarkId) -> Option<Position<Plane>> {
        let place = self.places.find(id, Some(self.root))?;
        self.inputs.nominal.points.get(place).copied()
    }

    /// How the millimetre plane lies on the film.
    pub fn film_map(&self) -> FilmMap {
        FilmMap::of(&self.inputs.scale)
    }
}

/// How the millimetre plane of a scale lies on the film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmMap {
    axial: Direction<Square>,
    mm_per_px: [f64; 2],
}

impl FilmMap {
    /// The map of a scale.
    pub fn of(scale: &Scale) -> Self {
        Self { axial: scale.axial_direction(), mm_per_px: [scale.axial().get(), scale.transverse().get()] }
    }

    /// A place of the millimetre plane on the squared grid of the film.
    pub fn on_film(&self, place: Position<Plane>) -> Position<Square> {
        let [along, across] = self.mm_per_px;
        let (one, other) = (self.axial.displacement(), self.axial.quarter_turn().displacement());
        Position::new(0.0, 0.0).moved(one.times(place.x / along)).moved(other.times(place.y / across))
    }

    /// A place of the film's squared grid in the millimetre plane.
    pub fn in_plane(&self, place: Position<Square>) -> Position<Plane> {
        let way = place.way_from(Position::new(0.0, 0.0));
        let [along, across] = self.mm_per_px;
        Position::new(along * way.along(self.axial), across * way.across(self.axial))
    }
}
