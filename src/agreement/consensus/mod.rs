//! A consensus: what several observers made of one tooth on one film, as a case that others can be scored against.
//!
//! Every landmark stands at the mean of its placings, with the standard uncertainty of that mean. What the observers do not
//! agree on is left out by name; nothing is chosen for them.

mod courses;
mod marks;
mod mean_place;
mod opinions;
mod shared;

pub use mean_place::LEAST_SD_PX;
pub use opinions::{NoConsensus, Opinion};

use crate::calibration::Extra;
use crate::case::{CONSENSUS_KEY, Case, Clinical, Root, RootName, RowRef, Uncertainty};
use crate::wording::list;
use opinions::Opinions;

/// What several observers agree on.
#[derive(Debug, Clone, PartialEq)]
pub struct Consensus {
    /// The key: what is agreed on, and who agreed. It names no path of a film, for nothing here knows where it will lie.
    pub case: Case,
    /// Who agreed, in words.
    pub who: String,
    /// What stands in it.
    pub agreed: Vec<Agreed>,
    /// What does not, in the order it was come upon.
    pub left_out: Vec<LeftOut>,
}

/// One thing that is agreed on.
#[derive(Debug, Clone, PartialEq)]
pub struct Agreed {
    /// What it is, in words.
    pub what: String,
    /// How many observers, or sittings where one observer repeated, it rests on.
    pub n: usize,
    /// Where it lies; of a canal or a section its least certain point. `None` where it is marked hidden or absent.
    pub place: Option<AgreedPlace>,
}

/// How surely a place is agreed on.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreedPlace {
    /// The standard uncertainty of the mean, each axis, in widths of a pixel.
    pub sd_px: f64,
    /// How far the placing that lies farthest is from the mean, in widths of a pixel.
    pub farthest_px: f64,
    /// Whose that is.
    pub farthest: String,
}

/// Something that is no part of the key, and why.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}: {why}")]
pub struct LeftOut {
    /// What it is, in words.
    pub what: String,
    /// Why it is left out.
    pub why: WhyLeftOut,
}

/// Why something is no part of a consensus.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WhyLeftOut {
    /// One alone says anything of it.
    #[error("by {0} alone; a consensus takes two")]
    Alone(String),
    /// Some placed it, some say that it cannot be seen or is not there.
    #[error("{}", disputed_words(.placed, .hidden, .absent))]
    Disputed {
        /// Who placed it.
        placed: Vec<String>,
        /// Who marked it hidden.
        hidden: Vec<String>,
        /// Who marked it absent.
        absent: Vec<String>,
    },
    /// It is drawn the other way round by one than by another.
    #[error("{one} and {other} have it the other way round")]
    OtherWayRound {
        /// One of the two.
        one: String,
        /// The other.
        other: String,
    },
    /// Sections are matched by their level, and this one has none.
    #[error("sections are matched by their \"level\"; {0} names none")]
    NoLevel(String),
    /// One case has two sections of this level.
    #[error("{0} has two of this level")]
    LevelTwice(String),
    /// The cases say different things.
    #[error("the cases do not agree on it")]
    Differs,
    /// None of the cases' films is there, so that the key cannot name it.
    #[error("none of the films that the cases name is there")]
    NoFilmFile,
}

fn disputed_words(placed: &[String], hidden: &[String], absent: &[String]) -> String {
    let parts: Vec<String> = [("placed", placed), ("marked hidden", hidden), ("marked absent", absent)]
        .into_iter()
        .filter(|(_, who)| !who.is_empty())
        .map(|(word, who)| format!("{word} by {}", list(who)))
        .collect();
    parts.join(", ")
}

/// What is found on the way: what stands in the key, and what does not.
#[derive(Debug, Default)]
struct Found {
    agreed: Vec<Agreed>,
    left_out: Vec<LeftOut>,
}

impl Found {
    fn leave_out(&mut self, what: String, why: WhyLeftOut) {
        self.left_out.push(LeftOut { what, why });
    }
}

/// A landmark, canal or section in words.
fn spoken(id: &str, root: Option<RootName>) -> String {
    RowRef { id: id.to_owned(), root: root.map(|root| root.word().to_owned()) }.spoken()
}

/// What several observers agree on of one tooth on one film. Where all cases are one observer's, each sitting counts by
/// itself; otherwise each observer counts once, with the mean of their sittings. The order of `opinions` is of no account.
///
/// # Errors
/// They are not of one tooth on one film, one of them is no placing of its own, or nothing is agreed on.
pub fn consensus(opinions: Vec<Opinion>) -> Result<Consensus, NoConsensus> {
    let opinions = Opinions::of(opinions)?;
    let mut found = Found::default();
    let film = shared::film(&opinions, &mut found);
    let tooth = shared::tooth(&opinions, &mut found);
    let calibration = shared::calibration(&opinions, &mut found);
    let landmarks = marks::agreed(&opinions, None, &mut found);
    let mut roots = Vec::new();
    for (name, post_here) in shared::roots(&opinions, &mut found) {
        let landmarks = marks::agreed(&opinions, Some(name), &mut found);
        let canal = courses::canal(&opinions, name, &mut found);
        let sections = courses::sections(&opinions, name, &mut found);
        roots.push(Root { name, post_here, landmarks, canal, sections, extra: Extra::new() });
    }
    let Found { agreed, left_out } = found;
    if agreed.is_empty() {
        return Err(NoConsensus::NothingAgreed(left_out.iter().map(LeftOut::to_string).collect()));
    }
    let who = opinions.who();
    let extra = Extra::from_iter([(CONSENSUS_KEY.to_owned(), who.clone().into())]);
    // Readings at the chair, uncertainties and labels are nobody's landmarks, and no part of a key.
    let (label, uncertainty, clinical) = (None, Uncertainty::default(), Clinical::default());
    let case = Case { film, tooth, label, calibration, uncertainty, landmarks, roots, clinical, extra };
    Ok(Consensus { case, who, agreed, left_out })
}
