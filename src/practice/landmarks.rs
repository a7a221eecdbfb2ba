//! What became of every landmark of the key.

use super::error::{CanalError, InSd, PointError, SectionError, along_words};
use super::key::Key;
use crate::case::{
    Case, Landmark, LandmarkId, Landmarks, Mark, Root, RootName, Section, Side, Sight, sights,
};
use crate::quantity::Pixels;
use crate::wording::words;
use serde::Serialize;

words! {
    /// What became of a landmark of the key.
    Outcome {
        /// Placed, as in the key; its error says how well.
        Placed: "placed",
        /// Marked hidden, as in the key.
        RightlyHidden: "rightly_hidden",
        /// Marked absent, as in the key.
        RightlyAbsent: "rightly_absent",
        /// Neither placed nor marked.
        Missed: "missed",
        /// Placed, where the key says that it is hidden or absent.
        WronglyPlaced: "wrongly_placed",
        /// Marked hidden, where the key has it placed or absent.
        WronglyHidden: "wrongly_hidden",
        /// Marked absent, where the key has it placed or hidden.
        WronglyAbsent: "wrongly_absent",
        /// Placed as planned, where the key shows it present.
        WronglyPlanned: "wrongly_planned",
    }
}

impl Outcome {
    /// Whether it is as in the key, whatever the error.
    pub const fn is_right(self) -> bool {
        matches!(self, Self::Placed | Self::RightlyHidden | Self::RightlyAbsent)
    }

    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Placed => "placed",
            Self::RightlyHidden => "right: hidden",
            Self::RightlyAbsent => "right: absent",
            Self::Missed => "missed",
            Self::WronglyPlaced => "wrongly placed",
            Self::WronglyHidden => "wrongly hidden",
            Self::WronglyAbsent => "wrongly absent",
            Self::WronglyPlanned => "wrongly planned",
        }
    }
}

/// One landmark of the key, and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LandmarkScore {
    /// Its key; `canal`, and `sections@0` for the key's first section.
    pub landmark: String,
    /// Its root, for a root's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root: Option<String>,
    /// What became of it.
    pub outcome: Outcome,
    /// How far it lies off, where both have it.
    #[serde(flatten)]
    pub error: Error,
    /// Whether a film of the key's stage asks for it; else nobody is led to it. In no file.
    #[serde(skip)]
    pub is_asked: bool,
}

impl LandmarkScore {
    /// Whether it counts. What a film of this stage does not ask for is not missed where it is left.
    pub fn counts(&self) -> bool {
        self.is_asked || self.outcome != Outcome::Missed
    }

    /// What became of it, for people.
    pub fn words(&self) -> &'static str {
        if self.counts() { self.outcome.words() } else { "left, and not asked for" }
    }
}

/// The error of what was placed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Error {
    /// Of a point.
    Point(PointError),
    /// Of a canal.
    Canal(CanalError),
    /// Of a section.
    Section(Box<SectionError>),
    /// None, because one of the two has no place.
    #[serde(untagged)]
    None {},
}

/// An error of any shape as three numbers for lists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summed {
    /// Along: of a point; a canal's length error; a section's level.
    pub along_mm: f64,
    /// Across: of a point; a canal's mean; a section's mean of its four points.
    pub across_mm: f64,
    /// Distance of a point; root mean square of a canal; root mean square across of a section.
    pub distance_mm: f64,
}

impl Error {
    /// In units of the combined standard uncertainty: of a point, where the key is a consensus.
    pub fn in_sd(&self) -> Option<InSd> {
        match self {
            Self::Point(error) => error.in_sd,
            _ => None,
        }
    }

    /// Which way the component along the tooth goes: a canal's is its length.
    pub fn along_word(&self) -> &'static str {
        match self.summed() {
            None => "",
            Some(error) => match self {
                Self::Canal(_) if error.along_mm < 0.0 => "shorter",
                Self::Canal(_) => "longer",
                _ => along_words(error.along_mm),
            },
        }
    }

    /// As three numbers; `None` where nothing was placed.
    pub fn summed(&self) -> Option<Summed> {
        Some(match self {
            Self::Point(error) => Summed {
                along_mm: error.along_mm,
                across_mm: error.across_mm,
                distance_mm: error.distance_mm,
            },
            Self::Canal(error) => Summed {
                along_mm: error.length_error_mm,
                across_mm: error.across_mm,
                distance_mm: error.rms_mm,
            },
            Self::Section(error) => Summed {
                along_mm: error.level_mm,
                across_mm: error.points.iter().map(|point| point.across_mm).sum::<f64>() / 4.0,
                distance_mm: error.rms_across_mm,
            },
            Self::None {} => return None,
        })
    }
}

/// Scores every landmark of the key, in the order of the landmark table, the tooth's first.
pub(super) fn landmarks(key: &Key, own: &Case, placing: Pixels) -> Vec<LandmarkScore> {
    let asked = sights(&key.case).into_iter().filter(|(.., sight)| *sight == Sight::Asked);
    let asked = asked.map(|(id, root, _)| (id, root)).collect();
    let against = Against { key, aspect: own.film.aspect(), placing, asked };
    let mut scores = Vec::new();
    against.marks(&key.case.landmarks, Some(&own.landmarks), None, &mut scores);
    for root in &key.case.roots {
        let own_root = own.roots.iter().find(|own| own.name == root.name);
        against.marks(&root.landmarks, own_root.map(|own| &own.landmarks), Some(root), &mut scores);
        against.canal(root, own_root, &mut scores);
        for (index, section) in root.sections.iter().enumerate() {
            let placed = own_root.and_then(|own| same_level(index, section, own));
            let error = placed.map_or(Error::None {}, |placed| {
                Error::Section(Box::new(SectionError::of(key, section, placed, against.aspect, placing)))
            });
            scores.push(placed_or_missed(&format!("{}@{index}", Landmark::Sections.id().key()), root, error));
        }
    }
    scores
}

/// The section of the same level by its name, else by its place in the list.
fn same_level<'a>(index: usize, section: &Section, own: &'a Root) -> Option<&'a Section> {
    let named = section
        .level
        .as_ref()
        .and_then(|level| own.sections.iter().find(|it| it.level.as_ref() == Some(level)));
    named.or_else(|| own.sections.get(index).filter(|it| section.level.is_none() || it.level.is_none()))
}

struct Against<'a> {
    key: &'a Key,
    aspect: f64,
    placing: Pixels,
    /// The landmarks that a film of the key's stage asks for, each with its root. What the student's case says of stage and
    /// roots is the student's.
    asked: Vec<(LandmarkId, Option<RootName>)>,
}

impl Against<'_> {
    fn marks(
        &self,
        key: &Landmarks,
        own: Option<&Landmarks>,
        root: Option<&Root>,
        scores: &mut Vec<LandmarkScore>,
    ) {
        for (id, mark) in &key.marks {
            let own = own.and_then(|own| own.marks.get(id));
            let outcome = outcome(mark, own);
            let error = match (mark.point(), own.and_then(Mark::point)) {
                (Some(at), Some(placed)) if outcome == Outcome::Placed => {
                    Error::Point(PointError::of(self.key, at, placed, self.aspect, self.placing))
                }
                _ => Error::None {},
            };
            let is_asked = self.asked.contains(&(*id, root.map(|root| root.name)));
            let root = root.map(|root| root.name.word().to_owned());
            scores.push(LandmarkScore { landmark: id.key().to_owned(), root, outcome, error, is_asked });
        }
    }

    fn canal(&self, root: &Root, own: Option<&Root>, scores: &mut Vec<LandmarkScore>) {
        if root.canal.len() < 2 {
            return;
        }
        let error = own
            .and_then(|own| CanalError::of(self.key, &root.canal, &own.canal, self.aspect))
            .map_or(Error::None {}, Error::Canal);
        scores.push(placed_or_missed(Landmark::Canal.id().key(), root, error));
    }
}

/// A canal or a section, which is placed or missed. Neither is asked for at any stage.
fn placed_or_missed(landmark: &str, root: &Root, error: Error) -> LandmarkScore {
    let outcome = if error == (Error::None {}) { Outcome::Missed } else { Outcome::Placed };
    let root = Some(root.name.word().to_owned());
    LandmarkScore { landmark: landmark.to_owned(), root, outcome, error, is_asked: false }
}

fn outcome(key: &Mark, own: Option<&Mark>) -> Outcome {
    match (key, own) {
        (_, None) => Outcome::Missed,
        (Mark::Placed(_), Some(Mark::Placed(placed))) if placed.is_planned() => Outcome::WronglyPlanned,
        (Mark::Placed(_), Some(Mark::Placed(_))) => Outcome::Placed,
        (_, Some(Mark::Placed(_))) => Outcome::WronglyPlaced,
        (Mark::Hidden { .. }, Some(Mark::Hidden { .. })) => Outcome::RightlyHidden,
        (Mark::Absent { .. }, Some(Mark::Absent { .. })) => Outcome::RightlyAbsent,
        (_, Some(Mark::Hidden { .. })) => Outcome::WronglyHidden,
        (_, Some(Mark::Absent { .. })) => Outcome::WronglyAbsent,
    }
}

/// Landmarks whose mesial and distal point each lie nearer to the key's other one: most likely exchanged.
pub(super) fn exchanged_sides(key: &Key, own: &Case) -> Vec<&'static str> {
    let distance = |own_id: LandmarkId, key_id: LandmarkId| -> Option<f64> {
        let at = key.case.landmarks.point(key_id)?.squared(key.case.film.aspect());
        let way = own.landmarks.point(own_id)?.squared(own.film.aspect()).way_from(at);
        Some(key.frame.way(way).length())
    };
    Landmark::ALL
        .iter()
        .filter(|landmark| landmark.declaration().sided)
        .filter(|landmark| {
            let [mesial, distal] = Side::BOTH.map(|side| landmark.on(side));
            let nearer_other = |own_id, other| {
                distance(own_id, other)
                    .zip(distance(own_id, own_id))
                    .is_some_and(|(to_other, to_own)| to_other < to_own)
            };
            nearer_other(mesial, distal) && nearer_other(distal, mesial)
        })
        .map(|landmark| landmark.id().key())
        .collect()
}
