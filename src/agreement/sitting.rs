//! A sitting: one observer's landmarks on one tooth of one film, reduced to what is compared.

use super::quantity::Quantity;
use crate::calibration::Library;
use crate::case::{Case, Fdi, LandmarkId, Mark, RootName, State};
use crate::geometry::{Position, Square};
use crate::measure::{Draws, ToothFrame, UnknownObject, measure};
use std::collections::BTreeMap;

/// The key of a case that names who placed it.
pub const OBSERVER_KEY: &str = "x-observer";
/// The key of a case that orders an observer's sittings: a number, or words in alphabetical order.
pub const SITTING_KEY: &str = "x-sitting";

/// How many digits of a digest tell cases apart for people.
const SHORT: usize = 12;

/// Who placed a case, and which of their sittings it is, as far as the case says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Signed {
    /// The observer.
    pub observer: Option<String>,
    /// The sitting; sorts as text.
    pub sitting: Option<String>,
}

/// What a case says of its observer and sitting. Anything but words and numbers counts as not said.
pub fn signed(case: &Case) -> Signed {
    let word = |key: &str| match case.extra.get(key)? {
        serde_json::Value::String(word) => plain(word),
        // Numbers in the order of numbers: 2 before 10.
        serde_json::Value::Number(number) => {
            Some(number.as_u64().map_or_else(|| number.to_string(), |it| format!("{it:06}")))
        }
        _ => None,
    };
    Signed { observer: word(OBSERVER_KEY), sitting: word(SITTING_KEY) }
}

/// A name goes to terminals and into plots, where control characters have no place; `None` where nothing is left of it.
fn plain(name: &str) -> Option<String> {
    let name: String = name.chars().filter(|character| !character.is_control()).collect();
    Some(name.trim().to_owned()).filter(|name| !name.is_empty())
}

/// One tooth on one film.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Target {
    /// SHA-256 of the film.
    pub sha256: String,
    /// Two digits by ISO 3950; empty where the case names no tooth.
    pub tooth: String,
}

/// What a sitting made of a landmark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// Placed, on the squared grid.
    Placed(Position<Square>),
    /// Said to be hidden, or not to exist.
    Unseen,
}

/// One observer's landmarks on one tooth of one film.
#[derive(Debug, Clone, PartialEq)]
pub struct Sitting {
    pub(super) observer: String,
    /// Orders the sittings of one observer on one tooth.
    pub(super) order: (Option<String>, String),
    /// What the case is called by whoever placed it.
    pub(super) label: Option<String>,
    /// The beginning of the digest of its file, where it has one.
    pub(super) digest: Option<String>,
    pub(super) target: Target,
    pub(super) frame: Option<ToothFrame>,
    pub(super) places: BTreeMap<(LandmarkId, Option<RootName>), Seen>,
    pub(super) values: BTreeMap<(Quantity, Option<RootName>), f64>,
}

/// Why a case cannot be compared.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotComparable {
    /// It does not say which film it lies on.
    #[error(
        "it names no film by \"sha256\", so nothing tells what it repeats (in /film); `crestgauge draft` writes it"
    )]
    NoFilm,
    /// It is what several observers agreed on.
    #[error("it is a consensus (\"x-consensus\"), and no observer's placing; leave it out")]
    IsConsensus,
    /// A reference names an unknown object.
    #[error(transparent)]
    UnknownObject(#[from] UnknownObject),
}

impl Sitting {
    /// What is compared of a case. `name` orders the sittings of one observer that carry no order of their own, and stands in no
    /// report: it may be a path.
    ///
    /// Planned points and what rests on them are left out: a plan is no observation. So are values typed in rather than
    /// placed, and canals and sections as such, whose points do not correspond; what is measured on them counts.
    ///
    /// # Errors
    /// The case names no film, is a consensus, or a reference names an object the library lacks.
    pub fn of(case: &Case, observer: &str, name: &str, library: &Library) -> Result<Self, NotComparable> {
        if case.consensus().is_some() {
            return Err(NotComparable::IsConsensus);
        }
        let sha256 = case.film.sha256.clone().ok_or(NotComparable::NoFilm)?;
        let measured = measure(case, library, Draws::default())?;
        let mut places = BTreeMap::new();
        let aspect = case.film.aspect();
        let mut see = |marks: &BTreeMap<LandmarkId, Mark>, root: Option<RootName>| {
            for (id, mark) in marks {
                let seen = match mark {
                    Mark::Placed(point) if point.is_planned() => continue,
                    Mark::Placed(point) => Seen::Placed(point.squared(aspect)),
                    Mark::Hidden { .. } | Mark::Absent { .. } => Seen::Unseen,
                };
                places.insert((*id, root), seen);
            }
        };
        see(&case.landmarks.marks, None);
        for root in &case.roots {
            see(&root.landmarks.marks, Some(root.name));
        }
        let values = measured
            .measurements
            .iter()
            .filter(|it| it.state == State::Present && !it.from.is_empty() && !it.uses_reading)
            .filter_map(|it| {
                let root = it.root.and_then(|root| case.roots.get(root)).map(|root| root.name);
                let key = (Quantity::measurement(it), root);
                Some((key, it.value()?))
            })
            .collect();
        let scale = measured.scale.as_ref().ok();
        Ok(Self {
            observer: observer.to_owned(),
            order: (signed(case).sitting, name.to_owned()),
            label: case.label.as_deref().and_then(plain),
            digest: None,
            target: Target {
                sha256,
                tooth: case.tooth.fdi.map(|fdi: Fdi| fdi.to_string()).unwrap_or_default(),
            },
            frame: scale.and_then(|scale| ToothFrame::of(case, scale).ok()),
            places,
            values,
        })
    }

    /// The same, known by the digest of the case's file, lower hex: that is how a report tells it from others.
    #[must_use]
    pub fn of_file(self, sha256: &str) -> Self {
        Self { digest: Some(sha256.chars().take(SHORT).collect()), ..self }
    }

    /// What it is called in a report: who placed it, which of their sittings on the tooth it is, its label and its digest.
    pub(super) fn called(&self, sitting: usize) -> String {
        let digest = self.digest.as_ref().map(|digest| format!("case {digest}"));
        let beside: Vec<String> = self.label.clone().into_iter().chain(digest).collect();
        let beside = if beside.is_empty() { String::new() } else { format!(" ({})", beside.join(", ")) };
        format!("{}, sitting {sitting}{beside}", self.observer)
    }

    /// The tooth and film it is of.
    pub fn target(&self) -> &Target {
        &self.target
    }

    /// Who placed it.
    pub fn observer(&self) -> &str {
        &self.observer
    }
}
