//! The patient's words: what verdicts and options come to, without a term of the trade that is not explained.

use crate::case::Verdict;
use crate::plan::{Way, WithoutPost};

/// What a verdict means to the patient, by criterion: met, short, open. Criteria that are not here are not told.
const FOUND: &[(&str, [&str; 3])] = &[
    (
        "ferrule",
        [
            "Enough of your own tooth stands above the edge of the future crown for the crown to hold on to.",
            "Too little of your own tooth stands above the edge of the future crown. A crown would lack something to hold on to \
             unless more is gained first.",
            "Whether enough of your own tooth stands above the edge of the future crown cannot be told from the film alone. Your \
             dentist will measure it in the mouth.",
        ],
    ),
    (
        "room_for_the_supracrestal_tissue_attachment",
        [
            "The edge of the crown keeps its distance from the bone, so that the gum can stay healthy.",
            "The edge of the crown would come too close to the bone, and the gum would stay inflamed.",
            "Whether the edge of the crown keeps its distance from the bone is not certain yet.",
        ],
    ),
    (
        "apical_seal",
        [
            "Enough root filling stays in the root to keep it sealed.",
            "Too little root filling would stay in the root to keep it sealed.",
            "Whether enough root filling stays in the root to keep it sealed is not certain yet.",
        ],
    ),
    (
        "dentine_wall_on_the_film",
        [
            "The walls of the root are thick enough as far as the film shows them.",
            "A wall of the root is thin, and the root could crack.",
            "Whether the walls of the root are thick enough is not certain yet.",
        ],
    ),
];

/// The sentences for a criterion that was judged.
pub(super) fn found(criterion: &str, verdict: Verdict) -> Option<&'static str> {
    let (_, [meets, short, open]) = FOUND.iter().find(|(id, _)| *id == criterion)?;
    match verdict {
        Verdict::Meets => Some(meets),
        Verdict::FallsShort => Some(short),
        Verdict::Undecided => Some(open),
        Verdict::DoesNotApply => None,
    }
}

/// The criteria that are told, in their order.
pub(super) fn told() -> impl Iterator<Item = &'static str> {
    FOUND.iter().map(|(id, _)| *id)
}

/// Building the tooth up without a post.
pub(super) const fn without_a_post(outlook: WithoutPost) -> &'static str {
    match outlook {
        WithoutPost::SpeaksForIt => {
            "Building the tooth up without a post: enough walls stand for the filling of the tooth to hold without one. No \
             root has to be hollowed out for it."
        }
        WithoutPost::ToBeWeighed => {
            "Building the tooth up without a post: possible, and to be weighed against a post. No root has to be hollowed out \
             for it."
        }
        WithoutPost::LittleToHoldOn => {
            "Building the tooth up without a post: few walls stand, so the filling of the tooth would have little to hold on."
        }
        WithoutPost::NotKnown => {
            "Building the tooth up without a post: whether that can hold is known once the standing walls are counted."
        }
    }
}

/// What is known of a post's length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lengths {
    /// There are lengths that satisfy everything.
    Some,
    /// There are none.
    None,
    /// Too little is known.
    NotKnown,
    /// A post is there, whatever a new one could be.
    PostIsThere,
}

/// Building the tooth up with a post.
pub(super) const fn with_a_post(lengths: Lengths) -> &'static str {
    match lengths {
        Lengths::Some => {
            "Building the tooth up on a post: a pin in the root holds the part above it. Some of the root is hollowed out for \
             it, and a root with a post can crack later."
        }
        Lengths::None => {
            "Building the tooth up on a post: a pin in the root would hold the part above it. By the film as it is, no length \
             of it satisfies everything that is asked for, so it would need a compromise or another film first."
        }
        Lengths::NotKnown => {
            "Building the tooth up on a post: a pin in the root would hold the part above it. How long it could be is not known \
             yet."
        }
        Lengths::PostIsThere => {
            "Building the tooth up on a post: a pin in the root already holds the part above it. Whether it can stay is to be \
             talked about; a root with a post can crack later."
        }
    }
}

/// What a way to more tooth above the gum means to the patient.
pub(super) const fn way(way: Way) -> &'static str {
    match way {
        Way::SulcusOnly => {
            "A lower edge: the edge of the crown goes a little way under the gum. Nothing is moved or cut; there must be \
             room for it."
        }
        Way::Extrusion => {
            "Pulling the tooth out a little: a brace on the neighbouring teeth draws it slowly out of the bone until enough of \
             it shows, then it is held there. The part in the bone becomes shorter."
        }
        Way::Surgery => {
            "Lowering gum and bone: under local anaesthetic a little bone and gum around the tooth is taken away. The \
             tooth will look longer, and the neighbours lose some bone too."
        }
        Way::Both => {
            "Some of both: the tooth is drawn out a little, and a little bone and gum is taken away."
        }
        Way::SurgicalExtrusion => {
            "Moving the tooth by surgery: the tooth is loosened, set higher and splinted in one visit. It can heal badly; it is \
             for those trained in it."
        }
        Way::Extraction => {
            "Taking the tooth out: afterwards a bridge, an implant, a denture or a gap. Each has costs and care of its own."
        }
    }
}
