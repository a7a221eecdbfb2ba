//! Where in a case something stands: landmarks, points that can be moved, what is selected.

use super::refused::EditRefused;
use crate::calibration::ReferencePoint;
use crate::case::{
    Case, Lack, Landmark, LandmarkId, Landmarks, Mark, Point, Root, RootName, RowRef, Section,
};
use crate::geometry::{Position, Stored};

/// A landmark of the tooth or of one of its roots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct LandmarkAt {
    /// The root it belongs to; `None` for a landmark of the tooth.
    pub root: Option<RootName>,
    /// Which landmark.
    pub id: LandmarkId,
}

/// A point of the case that can be dragged. Entries of lists are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PointAt {
    /// A landmark that is one point.
    Landmark(LandmarkAt),
    /// A point of a canal.
    Canal {
        /// Whose canal.
        root: RootName,
        /// Which point.
        at: usize,
    },
    /// A point of a section.
    Section {
        /// Whose section.
        root: RootName,
        /// Which section.
        section: usize,
        /// Which of its four points.
        at: usize,
    },
    /// A point of a reference.
    Reference {
        /// Which reference.
        reference: usize,
        /// Which point.
        at: usize,
    },
}

/// What is selected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Selection {
    /// A landmark, placed or not.
    Landmark(LandmarkAt),
    /// A point of a canal, a section or a reference.
    Point(PointAt),
    /// A root.
    Root(RootName),
    /// A section.
    Section {
        /// Whose section.
        root: RootName,
        /// Which section, counted from 0.
        at: usize,
    },
    /// A reference, counted from 0.
    Reference(usize),
}

impl LandmarkAt {
    /// The landmark in words: "finish line, mesial", "apex, mesiobuccal root".
    pub fn words(self) -> String {
        super::names::landmark(self)
    }

    /// The landmark that a measurement lacks.
    pub fn of_lack(lack: &Lack) -> Option<Self> {
        let root = match lack.root.as_deref() {
            None => None,
            Some(word) => {
                Some(RootName::ALL.iter().find(|(known, _)| *known == word).map(|(_, root)| *root)?)
            }
        };
        Some(Self { root, id: LandmarkId::of_key(&lack.landmark)? })
    }

    /// What is known of it in a case.
    pub fn mark(self, case: &Case) -> Option<&Mark> {
        let landmarks = match self.root {
            None => &case.landmarks,
            Some(name) => &case.roots.iter().find(|root| root.name == name)?.landmarks,
        };
        landmarks.marks.get(&self.id)
    }

    /// The landmarks it stands among.
    pub(super) fn landmarks(self, case: &mut Case) -> Result<&mut Landmarks, EditRefused> {
        match self.root {
            None => Ok(&mut case.landmarks),
            Some(root) => Ok(&mut root_of(case, root)?.landmarks),
        }
    }
}

impl PointAt {
    /// Whether a number uses it: which number, and the landmarks it is from. Every number in millimetres uses the points of
    /// references, which are counted to none.
    pub fn is_used_by(self, of: &RowRef, from: &[String]) -> bool {
        let (key, root, section) = match self {
            Self::Landmark(at) => (at.id.key(), at.root, None),
            Self::Canal { root, .. } => (Landmark::Canal.id().key(), Some(root), None),
            Self::Section { root, section, .. } => (Landmark::Sections.id().key(), Some(root), Some(section)),
            Self::Reference { .. } => return false,
        };
        // A number of the tooth may use landmarks of any root, one of a root only its own.
        let of_root = |name: &str| root.is_none_or(|root| root.word() == name);
        let of_section =
            |wanted: usize| of.id.split_once('@').is_none_or(|(_, own)| own.parse() == Ok(wanted));
        from.iter().any(|from| from == key)
            && of.root.as_deref().is_none_or(of_root)
            && section.is_none_or(of_section)
    }

    /// Where the point lies in a case, if it is there.
    pub fn position(self, case: &Case) -> Option<Position<Stored>> {
        match self {
            Self::Landmark(_) | Self::Canal { .. } | Self::Section { .. } => {
                self.point(case).map(|point| Position::new(point.x, point.y))
            }
            Self::Reference { reference, at: index } => {
                case.calibration.references.get(reference)?.points().get(index).map(ReferencePoint::position)
            }
        }
    }

    /// The landmark, canal or section point itself, if it is there; none for a reference's, which is another kind.
    pub fn point(self, case: &Case) -> Option<&Point> {
        let root = |name: RootName| case.roots.iter().find(|root| root.name == name);
        match self {
            Self::Landmark(landmark) => landmark.mark(case)?.point(),
            Self::Canal { root: name, at } => root(name)?.canal.get(at),
            Self::Section { root: name, section, at } => root(name)?.sections.get(section)?.points.get(at),
            Self::Reference { .. } => None,
        }
    }

    /// The point in words: "apex", "canal point 2", "point 3 of section 1, distal root".
    pub fn words(self) -> String {
        super::names::point(self)
    }

    /// The coordinates of a placed point.
    pub(super) fn coordinates(self, case: &mut Case) -> Result<(&mut f64, &mut f64), EditRefused> {
        match self {
            Self::Landmark(at) => match at.landmarks(case)?.marks.get_mut(&at.id) {
                Some(Mark::Placed(point)) => Ok((&mut point.x, &mut point.y)),
                _ => Err(EditRefused::NotPlaced(super::names::landmark(at))),
            },
            Self::Canal { root, at } => {
                let canal = &mut root_of(case, root)?.canal;
                let point = entry("canal point", canal, at)?;
                Ok((&mut point.x, &mut point.y))
            }
            Self::Section { root, section, at } => {
                let section: &mut Section = entry("section", &mut root_of(case, root)?.sections, section)?;
                let point = entry("point of the section", &mut section.points, at)?;
                Ok((&mut point.x, &mut point.y))
            }
            Self::Reference { reference, at } => {
                let reference = entry("reference", &mut case.calibration.references, reference)?;
                let point = entry("point of the reference", reference.points_mut(), at)?;
                Ok((&mut point.x, &mut point.y))
            }
        }
    }
}

impl Selection {
    /// Whether the case has it. A landmark need not be placed to be selected; its root must be there.
    pub(super) fn is_in(self, case: &Case) -> bool {
        let root = |name: RootName| case.roots.iter().find(|root| root.name == name);
        match self {
            Self::Landmark(at) => at.root.is_none_or(|name| root(name).is_some()),
            Self::Root(name) => root(name).is_some(),
            Self::Section { root: name, at } => root(name).is_some_and(|root| at < root.sections.len()),
            Self::Reference(at) => at < case.calibration.references.len(),
            Self::Point(PointAt::Landmark(at)) => Self::Landmark(at).is_in(case),
            Self::Point(PointAt::Canal { root: name, at }) => {
                root(name).is_some_and(|root| at < root.canal.len())
            }
            Self::Point(PointAt::Section { root: name, section, at }) => root(name)
                .and_then(|root| root.sections.get(section))
                .is_some_and(|section| at < section.points.len()),
            Self::Point(PointAt::Reference { reference, at }) => case
                .calibration
                .references
                .get(reference)
                .is_some_and(|reference| at < reference.points().len()),
        }
    }
}

/// The root of this name.
pub(super) fn root_of(case: &mut Case, name: RootName) -> Result<&mut Root, EditRefused> {
    case.roots.iter_mut().find(|root| root.name == name).ok_or(EditRefused::NoRoot(name))
}

fn entry<'a, T>(what: &'static str, list: &'a mut [T], at: usize) -> Result<&'a mut T, EditRefused> {
    let count = list.len();
    list.get_mut(at).ok_or(EditRefused::NoEntry { what, at, count })
}
