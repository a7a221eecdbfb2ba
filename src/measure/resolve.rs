//! From the catalogue's definitions to constructions over the places of a case, or to the list of what is lacking.

use super::axes::{Lacking, each_root, lacking_apices, lacking_margin, margin_pair, root_axis, tooth_axis};
use super::catalogue::CATALOGUE;
use super::construction::{Axis, Construction, Course, Crest, PlaceIndex, Spot, Term};
use super::definition::{Applies, Definition, Length, PlaceName, Repeat, Row};
use super::places::Places;
use crate::case::{Landmark, LandmarkId, RowRef, Side, Site};

/// A row of this case, ready to be evaluated, or what it lacks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Resolved {
    /// Its row of the catalogue.
    pub(super) row: &'static Row,
    /// Its name.
    pub(super) of: RowRef,
    /// Index of its root.
    pub(super) root: Option<usize>,
    /// Its site, where it has one.
    pub(super) site: Option<Site>,
    /// Its section, where it has one.
    pub(super) section: Option<usize>,
    /// The construction, or the landmarks it lacks.
    pub(super) construction: Result<Construction, Lacking>,
    /// Whether the value comes from readings at the chair alone.
    pub(super) is_reading: bool,
}

/// Every row this case has, in the catalogue's order, the tooth's first and then root by root.
pub(super) fn resolve(places: &Places<'_>) -> Vec<Resolved> {
    let mut rows = Vec::new();
    for row in CATALOGUE.iter().filter(|row| !row.applies.is_root()) {
        if row.applies != Applies::ToothWithSeveralRoots || places.has_several_roots() {
            rows.extend(Resolver { places, root: None }.rows(row));
        }
    }
    for (index, _) in places.roots.iter().enumerate() {
        for row in CATALOGUE.iter().filter(|row| row.applies.is_root()) {
            let resolver = Resolver { places, root: Some(index) };
            let applies = match row.applies {
                Applies::OnlyRoot => !places.has_several_roots(),
                Applies::RootWithoutPlannedPost => !resolver.post_is_planned(),
                _ => true,
            };
            if applies {
                rows.extend(resolver.rows(row));
            }
        }
    }
    rows
}

struct Resolver<'a> {
    places: &'a Places<'a>,
    root: Option<usize>,
}

/// A length that is no row of the catalogue: of a root, or of the tooth.
pub(super) fn construct(
    places: &Places<'_>,
    root: Option<usize>,
    length: Length,
    side: Option<Side>,
    section: Option<usize>,
) -> Result<Term, Lacking> {
    Resolver { places, root }.length(length, Here { side, section })
}

impl Resolver<'_> {
    fn rows(&self, row: &'static Row) -> Vec<Resolved> {
        let sections =
            0..self.root.and_then(|root| self.places.roots.get(root)).map_or(0, |root| root.sections.len());
        match row.repeat {
            Repeat::Once => vec![self.make(row, None, None)],
            Repeat::BySide => Side::BOTH.map(|side| self.make(row, Some(side), None)).into(),
            Repeat::BySection => sections.map(|section| self.make(row, None, Some(section))).collect(),
            Repeat::BySideAndSection => sections
                .flat_map(|section| Side::BOTH.map(|side| self.make(row, Some(side), Some(section))))
                .collect(),
            Repeat::ByProbedSite => {
                Site::PROBED.into_iter().filter_map(|site| self.probed(row, site)).collect()
            }
        }
    }

    fn name(&self, row: &Row, site: Option<Site>, section: Option<usize>) -> RowRef {
        let mut id = row.id.to_owned();
        if let Some(site) = site {
            id.push('.');
            id.push_str(site.word());
        }
        if let Some(section) = section {
            id = format!("{id}@{section}");
        }
        let root =
            self.root.and_then(|root| self.places.roots.get(root)).map(|root| root.name.word().to_owned());
        RowRef { id, root }
    }

    fn make(&self, row: &'static Row, side: Option<Side>, section: Option<usize>) -> Resolved {
        let site = side.map(|side| match side {
            Side::Mesial => Site::Mesial,
            Side::Distal => Site::Distal,
        });
        let at = Here { side, section };
        let construction = match row.definition {
            Definition::Length(length) => self.length(length, at).map(Construction::Plain),
            Definition::Quotient { numerator, denominator, less } => {
                both(self.length(numerator, at), self.length(denominator, at))
                    .map(|(numerator, denominator)| Construction::Quotient { numerator, denominator, less })
            }
            Definition::Curvature => self.curve().map(|places| Construction::Plain(Term::Curvature(places))),
            Definition::CurvatureRadius => {
                self.curve().map(|places| Construction::Plain(Term::CurvatureRadius(places)))
            }
            Definition::ProbedFerrule | Definition::ProbedWall => Err(Lacking::new()),
        };
        // Every measurement of the tooth needs the tooth's axis, even one whose value is planned.
        let construction = if self.root.is_none() {
            both(construction, tooth_axis(self.places)).map(|(construction, _)| construction)
        } else {
            construction
        };
        Resolved {
            row,
            of: self.name(row, site, section),
            root: self.root,
            site,
            section,
            construction,
            is_reading: false,
        }
    }

    fn probed(&self, row: &'static Row, site: Site) -> Option<Resolved> {
        let readings = match row.definition {
            Definition::ProbedFerrule => &self.places.probed_ferrule,
            _ => &self.places.probed_wall,
        };
        let reading = *readings.get(&site)?;
        Some(Resolved {
            row,
            of: self.name(row, Some(site), None),
            root: None,
            site: Some(site),
            section: None,
            construction: Ok(Construction::Plain(Term::Reading(reading))),
            is_reading: true,
        })
    }

    fn axis(&self) -> Result<Axis, Lacking> {
        match self.root {
            Some(root) => root_axis(self.places, root),
            None => tooth_axis(self.places),
        }
        .map(|made| made.axis)
    }

    fn place(&self, id: LandmarkId) -> Result<PlaceIndex, Lacking> {
        self.places.find(id, self.root).ok_or_else(|| Lacking::from([(id, self.root)]))
    }

    fn the(&self, landmark: Landmark) -> Result<PlaceIndex, Lacking> {
        self.place(landmark.id())
    }

    fn spot(&self, name: PlaceName, at: Here) -> Result<Spot, Lacking> {
        let side = at.side.unwrap_or(Side::Mesial);
        match name {
            PlaceName::The(landmark) => self.the(landmark).map(Spot::At),
            PlaceName::OnSide(landmark) => self.place(landmark.on(side)).map(Spot::At),
            PlaceName::MarginMiddle => margin_pair(self.places)
                .map(|(one, other)| Spot::Middle(one, other))
                .ok_or_else(|| lacking_margin(self.places)),
            PlaceName::MeanApex => {
                let apices: Vec<_> = each_root(self.places)
                    .filter_map(|root| self.places.find(Landmark::Apex.id(), root))
                    .collect();
                if apices.is_empty() {
                    return Err(lacking_apices(self.places));
                }
                Ok(Spot::Mean(apices))
            }
            PlaceName::PostStart if self.places.has_several_roots() => {
                self.the(Landmark::Orifice).map(Spot::At)
            }
            PlaceName::PostStart => self.the(Landmark::CoreBase).map(Spot::At),
            PlaceName::SectionMiddle => {
                let section = self.root.and_then(|root| self.places.roots.get(root)).zip(at.section);
                match section.and_then(|(root, section)| root.sections.get(section)) {
                    Some([one, .., other]) => Ok(Spot::Middle(*one, *other)),
                    None => Err(Lacking::from([(Landmark::Sections.id(), self.root)])),
                }
            }
            PlaceName::CrestBesideRoot => {
                let name = self.root.and_then(|root| self.places.roots.get(root)).map(|root| root.name);
                let is_inner = self.places.has_several_roots()
                    && name.and_then(crate::case::RootName::inner_side) == Some(side);
                let crest = if is_inner { Landmark::FurcalCrest.id() } else { Landmark::Crest.on(side) };
                self.place(crest).map(Spot::At)
            }
        }
    }

    fn crest(&self, both_points: bool) -> Result<Crest, Lacking> {
        let points = Side::BOTH.map(|side| self.places.find(Landmark::Crest.on(side), None));
        match points {
            [Some(mesial), Some(distal)] => Ok(Crest::Line(mesial, distal)),
            [Some(only), None] | [None, Some(only)] if !both_points => Ok(Crest::Point(only)),
            _ => Err(Side::BOTH
                .into_iter()
                .zip(points)
                .filter(|(_, place)| place.is_none())
                .map(|(side, _)| (Landmark::Crest.on(side), None))
                .collect()),
        }
    }

    fn course(&self) -> Result<Course, Lacking> {
        match self.root.and_then(|root| self.places.roots.get(root)) {
            Some(root) if root.canal.len() >= 2 => Ok(Course::Canal(root.canal.clone())),
            _ => self.axis().map(Course::Straight),
        }
    }

    fn length(&self, length: Length, at: Here) -> Result<Term, Lacking> {
        let pair = |from, to| both(self.spot(from, at), self.spot(to, at));
        match length {
            Length::Axial(from, to) => {
                both(pair(from, to), self.axis()).map(|((from, to), axis)| Term::Axial(from, to, axis))
            }
            Length::Straight(from, to) => pair(from, to).map(|(from, to)| Term::Straight(from, to)),
            Length::AlongCanal(from, to) => {
                both(pair(from, to), self.course()).map(|((from, to), course)| Term::Along(from, to, course))
            }
            Length::FromCrestLine { to, both_points } => {
                both(both(self.crest(both_points), self.spot(to, at)), self.axis())
                    .map(|((crest, to), axis)| Term::FromCrest(crest, to, axis))
            }
            Length::Crown => self.crown(),
            Length::CrownAboveCrest => self.crown_above_crest(),
            Length::CoreOrPlanned => self.core_or_planned(),
            Length::Seal => self.seal(),
            Length::AlongStraightCanal(from, to) => both(pair(from, to), self.straight_canal())
                .map(|((from, to), axis)| Term::Axial(from, to, axis)),
            Length::AcrossMargin => {
                let [mesial, distal] = Side::BOTH.map(|side| self.place(Landmark::FinishLine.on(side)));
                both(both(mesial, distal), self.axis()).map(|(between, axis)| Term::Across {
                    between,
                    outer: between,
                    course: Course::Straight(axis),
                })
            }
            Length::AcrossSection(from, to) => self.across(at, from, to),
            Length::SectionWall => match at.side {
                Some(Side::Distal) => self.across(at, 2, 3),
                _ => self.across(at, 0, 1),
            },
        }
    }

    /// The line of the straight coronal canal: from the orifice to the curve's start, else to the apex.
    fn straight_canal(&self) -> Result<Axis, Lacking> {
        let end = self.the(Landmark::CurveStart).or_else(|_| self.the(Landmark::Apex));
        both(self.the(Landmark::Orifice), end)
            .map(|(orifice, end)| Axis::Along(Spot::At(orifice), Spot::At(end)))
    }

    fn tooth_axis(&self) -> Result<Axis, Lacking> {
        tooth_axis(self.places).map(|made| made.axis)
    }

    /// The planned core height where given, else core top to core base.
    fn core_or_planned(&self) -> Result<Term, Lacking> {
        if let Some(planned) = self.places.planned_core {
            return Ok(Term::Reading(planned));
        }
        let ends = both(self.the(Landmark::CoreTop), self.the(Landmark::CoreBase));
        both(ends, self.tooth_axis())
            .map(|((top, base), axis)| Term::Axial(Spot::At(top), Spot::At(base), axis))
    }

    /// Crown edge to M along the tooth's axis, else the planned length.
    fn crown(&self) -> Result<Term, Lacking> {
        let edge = self.the(Landmark::CrownEdge);
        if let (Err(_), Some(planned)) = (&edge, self.places.planned_crown) {
            return self.tooth_axis().map(|_| Term::Reading(planned));
        }
        let middle = self.spot(PlaceName::MarginMiddle, Here::default());
        both(both(edge, middle), self.tooth_axis())
            .map(|((edge, middle), axis)| Term::Axial(Spot::At(edge), middle, axis))
    }

    /// From the crown edge to the crest line along the tooth's axis; without an edge, the crown's length and from M.
    fn crown_above_crest(&self) -> Result<Term, Lacking> {
        let line = both(self.crest(false), self.tooth_axis());
        if let Ok(edge) = self.the(Landmark::CrownEdge) {
            return line.map(|(crest, axis)| Term::ToCrest(crest, Spot::At(edge), axis));
        }
        let middle = self.spot(PlaceName::MarginMiddle, Here::default());
        both(self.crown(), both(middle, line)).map(|(crown, (middle, (crest, axis)))| {
            Term::Sum(Box::new(crown), Box::new(Term::ToCrest(crest, middle, axis)))
        })
    }

    fn seal(&self) -> Result<Term, Lacking> {
        let ends = [Landmark::FillingTop, Landmark::FillingTip];
        let absent = |landmark: Landmark| {
            self.places.mark(landmark.id(), self.root).is_some_and(crate::case::Mark::is_absent)
        };
        if ends.into_iter().all(absent) {
            return Ok(Term::Known(0.0));
        }
        let filling = both(self.the(Landmark::FillingTop), self.the(Landmark::FillingTip));
        let limits = both(self.the(Landmark::PostTip), self.the(Landmark::Apex));
        both(both(filling, limits), self.course())
            .map(|(((top, tip), (post_tip, apex)), course)| Term::Seal([top, post_tip, tip, apex], course))
    }

    fn across(&self, at: Here, from: usize, to: usize) -> Result<Term, Lacking> {
        let lacking = || Lacking::from([(Landmark::Sections.id(), self.root)]);
        let section = self
            .root
            .and_then(|root| self.places.roots.get(root))
            .and_then(|root| root.sections.get(at.section?))
            .ok_or_else(lacking)?;
        let [one, .., other] = *section;
        let between = section.get(from).copied().zip(section.get(to).copied()).ok_or_else(lacking)?;
        self.course().map(|course| Term::Across { between, outer: (one, other), course })
    }

    fn curve(&self) -> Result<[PlaceIndex; 3], Lacking> {
        let canal =
            self.root.and_then(|root| self.places.roots.get(root)).map_or(&[][..], |root| &root.canal);
        let ends = match canal {
            [first, .., last] => Ok((*first, *last)),
            _ => Err(Lacking::from([(Landmark::Canal.id(), self.root)])),
        };
        both(self.the(Landmark::CurveStart), ends).map(|(bend, (first, last))| [first, bend, last])
    }

    fn post_is_planned(&self) -> bool {
        self.places
            .find(Landmark::PostTip.id(), self.root)
            .and_then(|place| self.places.points.get(place))
            .is_some_and(|place| place.is_planned)
    }
}

/// Which side and section a row is for.
#[derive(Debug, Clone, Copy, Default)]
struct Here {
    side: Option<Side>,
    section: Option<usize>,
}

/// Both results, or all that either lacks.
fn both<A, B>(one: Result<A, Lacking>, other: Result<B, Lacking>) -> Result<(A, B), Lacking> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (Err(mut lacking), Err(more)) => {
            lacking.extend(more);
            Err(lacking)
        }
        (Err(lacking), Ok(_)) | (Ok(_), Err(lacking)) => Err(lacking),
    }
}
