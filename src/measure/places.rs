//! The placed points of a case by index, with what each one's uncertainty needs to know.

use crate::case::{Case, Lack, Landmark, LandmarkId, Mark, Owner, Point, RootName, Side, Site, Why};
use crate::geometry::{Position, Square};
use std::collections::BTreeMap;

use super::construction::{PlaceIndex, ReadingIndex};

/// A placed point.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    /// Which landmark it is, or belongs to.
    pub(super) landmark: LandmarkId,
    /// Index of its root; none for the tooth's.
    pub(super) root: Option<usize>,
    /// Where it lies on the squared grid.
    pub(super) position: Position<Square>,
    /// Its own standard uncertainty where stated, px.
    pub(super) stated_sd_px: Option<f64>,
    /// Whether it is planned.
    pub(super) is_planned: bool,
}

/// A reading used by a measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ReadingValue {
    /// mm.
    pub(super) value: f64,
    /// Standard uncertainty, mm.
    pub(super) sd: f64,
    /// Whether it is planned rather than read.
    pub(super) is_planned: bool,
}

/// One root's places.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RootPlaces {
    /// Its name.
    pub(super) name: RootName,
    /// Its landmarks.
    pub(super) landmarks: BTreeMap<LandmarkId, PlaceIndex>,
    /// Its canal, coronal to apical.
    pub(super) canal: Vec<PlaceIndex>,
    /// Its sections.
    pub(super) sections: Vec<[PlaceIndex; 4]>,
}

/// All places and readings of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Places<'a> {
    case: &'a Case,
    /// The placed points.
    pub(super) points: Vec<Place>,
    /// The tooth's landmarks.
    pub(super) tooth: BTreeMap<LandmarkId, PlaceIndex>,
    /// The roots.
    pub(super) roots: Vec<RootPlaces>,
    /// The readings.
    pub(super) readings: Vec<ReadingValue>,
    /// The planned core height.
    pub(super) planned_core: Option<ReadingIndex>,
    /// The planned crown length.
    pub(super) planned_crown: Option<ReadingIndex>,
    /// Probed heights of wall above the margin.
    pub(super) probed_ferrule: BTreeMap<Site, ReadingIndex>,
    /// Probed wall thicknesses.
    pub(super) probed_wall: BTreeMap<Site, ReadingIndex>,
}

impl<'a> Places<'a> {
    /// Collects the places of a case.
    pub fn of(case: &'a Case) -> Self {
        let mut places = Self {
            case,
            points: Vec::new(),
            tooth: BTreeMap::new(),
            roots: Vec::new(),
            readings: Vec::new(),
            planned_core: None,
            planned_crown: None,
            probed_ferrule: BTreeMap::new(),
            probed_wall: BTreeMap::new(),
        };
        places.tooth = places.add_marks(&case.landmarks.marks, None);
        for (index, root) in case.roots.iter().enumerate() {
            let landmarks = places.add_marks(&root.landmarks.marks, Some(index));
            let mut add = |landmark: Landmark, point: &Point| places.add(landmark.id(), Some(index), point);
            let canal = root.canal.iter().map(|point| add(Landmark::Canal, point)).collect();
            let sections = root
                .sections
                .iter()
                .map(|section| section.points.each_ref().map(|point| add(Landmark::Sections, point)))
                .collect();
            places.roots.push(RootPlaces { name: root.name, landmarks, canal, sections });
        }
        let clinical = &case.clinical;
        let mut read = |reading: &crate::case::Reading, is_planned: bool| {
            places.readings.push(ReadingValue { value: reading.value, sd: reading.sd(), is_planned });
            places.readings.len() - 1
        };
        places.planned_core = clinical.planned_core_height_mm.as_ref().map(|it| read(it, true));
        places.planned_crown = clinical.planned_crown_length_mm.as_ref().map(|it| read(it, true));
        places.probed_ferrule =
            clinical.ferrule_mm.readings.iter().map(|(site, it)| (*site, read(it, false))).collect();
        places.probed_wall =
            clinical.wall_mm.readings.iter().map(|(site, it)| (*site, read(it, false))).collect();
        places
    }

    fn add_marks(
        &mut self,
        marks: &BTreeMap<LandmarkId, Mark>,
        root: Option<usize>,
    ) -> BTreeMap<LandmarkId, PlaceIndex> {
        marks
            .iter()
            .filter_map(|(id, mark)| mark.point().map(|point| (*id, self.add(*id, root, point))))
            .collect()
    }

    fn add(&mut self, landmark: LandmarkId, root: Option<usize>, point: &Point) -> PlaceIndex {
        self.points.push(Place {
            landmark,
            root,
            position: point.squared(self.case.film.aspect()),
            stated_sd_px: point.sd_px,
            is_planned: point.is_planned(),
        });
        self.points.len() - 1
    }

    /// The case.
    pub(super) fn case(&self) -> &'a Case {
        self.case
    }

    /// Whether the case lists several roots.
    pub(super) fn has_several_roots(&self) -> bool {
        self.roots.len() > 1
    }

    /// Where a landmark of the tooth, or of a root, is placed.
    pub(super) fn find(&self, id: LandmarkId, root: Option<usize>) -> Option<PlaceIndex> {
        match id.landmark().declaration().owner {
            Owner::Tooth => self.tooth.get(&id).copied(),
            Owner::Root => self.roots.get(root?)?.landmarks.get(&id).copied(),
        }
    }

    /// Both points of a sided landmark, mesial first, if both are placed.
    pub(super) fn pair(&self, landmark: Landmark) -> Option<(PlaceIndex, PlaceIndex)> {
        Some((self.find(landmark.on(Side::Mesial), None)?, self.find(landmark.on(Side::Distal), None)?))
    }

    /// What is known of a landmark.
    pub(super) fn mark(&self, id: LandmarkId, root: Option<usize>) -> Option<&'a Mark> {
        match id.landmark().declaration().owner {
            Owner::Tooth => self.case.landmarks.marks.get(&id),
            Owner::Root => self.case.roots.get(root?)?.landmarks.marks.get(&id),
        }
    }

    /// A lacking landmark as it stands in files.
    pub(super) fn lack(&self, id: LandmarkId, root: Option<usize>) -> Lack {
        let why = match self.mark(id, root) {
            Some(Mark::Hidden { .. }) => Why::Hidden,
            Some(Mark::Absent { .. }) => Why::Absent,
            Some(Mark::Placed(_)) | None => Why::NotPlaced,
        };
        let root = match id.landmark().declaration().owner {
            Owner::Tooth => None,
            Owner::Root => root.and_then(|root| self.roots.get(root)).map(|root| root.name.word().to_owned()),
        };
        Lack { landmark: id.key().to_owned(), root, why }
    }
}
