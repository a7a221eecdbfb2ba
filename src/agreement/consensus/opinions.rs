//! Whose placings a consensus is made of: cases of one tooth on one film, each placed by somebody who had no other before
//! them.

use crate::agreement::sitting::signed;
use crate::calibration::Placed;
use crate::case::{Case, Landmarks, Mark, Point};
use crate::wording::list;
use std::collections::BTreeMap;

/// One case, and who placed it.
#[derive(Debug, Clone, PartialEq)]
pub struct Opinion {
    /// Who placed it.
    pub observer: String,
    /// What it is called in messages; it orders sittings that carry no order of their own.
    pub name: String,
    /// The case.
    pub case: Case,
}

/// Why there is no consensus.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoConsensus {
    /// There is no case, or one.
    #[error("a consensus takes at least two cases of the same tooth on the same film, there {}", if *.0 == 1 { "is one" } else { "is none" })]
    TooFewCases(usize),
    /// A case does not say which film it lies on.
    #[error(
        "{0}: it names no film by \"sha256\", so nothing tells that it is the others' (in /film); `crestgauge draft` writes it"
    )]
    NoFilm(String),
    /// A case lies on another film.
    #[error(
        "{name}: lies on another film than {first} (\"sha256\" in /film); a consensus is of one film, so name the cases of one"
    )]
    OtherFilm {
        /// The case.
        name: String,
        /// The case it is compared with.
        first: String,
    },
    /// A case has another size of film or pixel, though its film is the same.
    #[error(
        "{name}: has another size of film or shape of pixel than {first}, though the film is the same; its points would lie elsewhere (in /film)"
    )]
    OtherGrid {
        /// The case.
        name: String,
        /// The case it is compared with.
        first: String,
    },
    /// A case is of another tooth.
    #[error(
        "{name}: is of another tooth than {first} (\"fdi\" in /tooth); a consensus is of one tooth, so name the cases of one"
    )]
    OtherTooth {
        /// The case.
        name: String,
        /// The case it is compared with.
        first: String,
    },
    /// A case is a consensus itself.
    #[error("{0}: is a consensus itself (\"x-consensus\"), and no observer's placing; leave it out")]
    IsConsensus(String),
    /// A case holds points of a truth.
    #[error(
        "{0}: holds points of a truth (\"placed\": \"truth\"), which nobody placed; score against it itself, and leave it out here"
    )]
    IsTruth(String),
    /// Two cases hold the very same points.
    #[error(
        "{one} and {other} hold the very same points, and a copy is no second opinion; leave one of them out"
    )]
    Copies {
        /// One of the two.
        one: String,
        /// The other.
        other: String,
    },
    /// Nothing is agreed on by two.
    #[error("there is nothing that two agree on{}", if .0.is_empty() { ": no landmark is placed".to_owned() } else { format!("; {}", .0.join("; ")) })]
    NothingAgreed(Vec<String>),
}

/// What counts once: an observer with all their sittings, or one sitting where there is one observer.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Voice {
    pub(super) who: String,
    pub(super) cases: Vec<Case>,
}

/// Cases that can be compared, in an order that is theirs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Opinions {
    voices: Vec<Voice>,
    who: String,
}

impl Opinions {
    /// # Errors
    /// They are not of one tooth on one film, or one of them is no placing of its own.
    pub(super) fn of(mut opinions: Vec<Opinion>) -> Result<Self, NoConsensus> {
        let key = |it: &Opinion| (it.observer.clone(), signed(&it.case).sitting, it.name.clone());
        opinions.sort_by_cached_key(key);
        check(&opinions)?;
        let mut observers: Vec<Voice> = Vec::new();
        for Opinion { observer, case, .. } in opinions {
            match observers.last_mut().filter(|last| last.who == observer) {
                Some(last) => last.cases.push(case),
                None => observers.push(Voice { who: observer, cases: vec![case] }),
            }
        }
        Ok(match <[Voice; 1]>::try_from(observers) {
            Ok([Voice { who, cases }]) => Self {
                who: format!("{} sittings of {who}", cases.len()),
                voices: (1..)
                    .zip(cases)
                    .map(|(sitting, case)| Voice { who: format!("sitting {sitting}"), cases: vec![case] })
                    .collect(),
            },
            Err(observers) => {
                let named = |voice: &Voice| match voice.cases.len() {
                    1 => voice.who.clone(),
                    sittings => format!("{} ({sittings} sittings)", voice.who),
                };
                let names: Vec<String> = observers.iter().map(named).collect();
                Self { who: list(&names), voices: observers }
            }
        })
    }

    pub(super) fn voices(&self) -> &[Voice] {
        &self.voices
    }

    pub(super) fn cases(&self) -> impl Iterator<Item = &Case> + Clone {
        self.voices.iter().flat_map(|voice| &voice.cases)
    }

    /// What all cases say alike; `None` where they do not.
    pub(super) fn shared<T: PartialEq>(&self, of: impl Fn(&Case) -> T) -> Option<T> {
        let mut all = self.cases().map(of);
        let first = all.next()?;
        all.all(|other| other == first).then_some(first)
    }

    /// Height of a pixel over its width, the same in all.
    pub(super) fn aspect(&self) -> f64 {
        self.shared(|case| case.film.aspect()).unwrap_or(1.0)
    }

    /// Who agreed, in words.
    pub(super) fn who(&self) -> String {
        self.who.clone()
    }
}

/// The cases are of one tooth on one film, and each is a placing of its own.
fn check(opinions: &[Opinion]) -> Result<(), NoConsensus> {
    let [first, _, ..] = opinions else { return Err(NoConsensus::TooFewCases(opinions.len())) };
    let mut known: BTreeMap<Vec<[u64; 2]>, &str> = BTreeMap::new();
    for it in opinions {
        let (name, beside) = (it.name.clone(), first.name.clone());
        let film = |case: &Case| case.film.sha256.clone();
        let grid = |case: &Case| (case.film.width_px, case.film.height_px, case.film.aspect().to_bits());
        if film(&it.case).is_none() {
            return Err(NoConsensus::NoFilm(name));
        }
        if film(&it.case) != film(&first.case) {
            return Err(NoConsensus::OtherFilm { name, first: beside });
        }
        if it.case.tooth.fdi != first.case.tooth.fdi {
            return Err(NoConsensus::OtherTooth { name, first: beside });
        }
        if grid(&it.case) != grid(&first.case) {
            return Err(NoConsensus::OtherGrid { name, first: beside });
        }
        if it.case.consensus().is_some() {
            return Err(NoConsensus::IsConsensus(name));
        }
        if points(&it.case).any(|point| point.placed == Some(Placed::Truth)) {
            return Err(NoConsensus::IsTruth(name));
        }
        let places: Vec<[u64; 2]> = points(&it.case)
            .filter(|it| !it.is_planned())
            .map(|it| [it.x.to_bits(), it.y.to_bits()])
            .collect();
        if let Some(one) = known.get(&places).filter(|_| !places.is_empty()) {
            return Err(NoConsensus::Copies { one: (*one).to_owned(), other: name });
        }
        known.insert(places, &it.name);
    }
    Ok(())
}

/// The points of the landmarks.
fn points(case: &Case) -> impl Iterator<Item = &Point> {
    let of_roots = case.roots.iter().map(|root| &root.landmarks);
    std::iter::once(&case.landmarks)
        .chain(of_roots)
        .flat_map(|landmarks: &Landmarks| landmarks.marks.values().filter_map(Mark::point))
}
