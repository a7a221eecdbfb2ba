//! The rules a depth is held against: one for each criterion about the post's tip, and a few of planning itself.

use super::rows::{Amount, End};
use super::track::Curve;
use crate::case::{Site, Strength};
use crate::measure::{Definition, Length, Missing, PlaceName};
use crate::quantity::Estimate;
use crate::verdict::{Bound, Criterion};

/// A rule.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rule {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) bound: String,
    pub(super) strength: Strength,
    pub(super) source: String,
    /// The measurement it is about; empty for a rule of planning itself.
    pub(super) measurement: &'static str,
    /// What giving it up costs.
    pub(super) warning: &'static str,
    pub(super) limits: End,
    pub(super) kind: Kind,
    /// The depths it admits with the tip planned on the film, where they are known once for all.
    pub(super) admitted_on_film: Option<Vec<[f64; 2]>>,
    /// What some of its places lack.
    pub(super) missing: Vec<Missing>,
}

/// How a rule is judged.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    /// By what is left over at each of its places, which must not be below 0.
    Margins(Vec<Margin>),
    /// By the walls a drill leaves, each at least this, mm.
    Walls(f64),
}

/// What is left over at one place of a rule as the tip goes down the canal.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Margin {
    /// Which place, in words, where there are several.
    pub(super) place: Option<String>,
    /// Whether 0 is not enough.
    pub(super) strictly: bool,
    /// How lifting the tooth or lowering its bone changes it.
    pub(super) lifted: Lifted,
    /// With the tip planned on the film.
    pub(super) on_film: Curve,
    /// With the tip where a stop puts it.
    pub(super) by_stop: Option<Curve>,
}

/// How lifting a tooth or lowering its bone changes what is left over, for each mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Lifted {
    /// Not at all.
    No,
    /// By this with the lift at a site.
    AtSite(Site, f64),
    /// By this with the tooth's extrusion, which shortens the core.
    ByExtrusion(f64),
}

/// By what the tip's place is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TipBy {
    /// A planned point on the film.
    Film,
    /// An instrument's stop.
    Stop,
}

impl Margin {
    pub(super) fn at(&self, depth: f64, by: TipBy) -> Option<Estimate> {
        match by {
            TipBy::Film => Some(self.on_film.at(depth)),
            TipBy::Stop => self.by_stop.as_ref().map(|curve| curve.at(depth)),
        }
    }

    pub(super) fn probability(&self, depth: f64, by: TipBy) -> Option<f64> {
        self.at(depth, by).map(|estimate| above_zero(estimate, self.strictly))
    }
}

/// The probability that a margin is above 0, or not below it.
pub(super) fn above_zero(margin: Estimate, strictly: bool) -> f64 {
    if strictly { 1.0 - margin.probability_at_most(0.0) } else { 1.0 - margin.probability_below(0.0) }
}

/// How a bound turns a value into what is left over: value × `sign` − `sign` × bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    pub(super) sign: f64,
    pub(super) bound: f64,
    pub(super) strictly: bool,
}

/// The sides of a bound. Outside a band means apical of it: the other side is an alternative of its own.
pub(super) fn sides(bound: &Bound) -> Vec<Side> {
    let above = |bound, strictly| Side { sign: 1.0, bound, strictly };
    let below = |bound, strictly| Side { sign: -1.0, bound, strictly };
    match bound {
        Bound::AtLeast(value) => vec![above(*value, false)],
        Bound::MoreThan(value) => vec![above(*value, true)],
        Bound::AtMost(value) => vec![below(*value, false)],
        Bound::LessThan(value) => vec![below(*value, true)],
        Bound::Between(low, high) => vec![above(*low, false), below(*high, false)],
        Bound::Outside(_, high) => vec![above(*high, true)],
        Bound::SitesAtLeast { .. } | Bound::Classes(_) => Vec::new(),
    }
}

/// Whether a criterion is about where the post's tip lies.
pub(super) fn moves_with_the_tip(criterion: &Criterion) -> bool {
    !criterion.rows.is_empty()
        && criterion.rows.iter().all(|row| match row.definition {
            Definition::Length(length) => has_tip(length),
            Definition::Quotient { numerator, .. } => has_tip(numerator),
            _ => false,
        })
        && !sides(&criterion.bound).is_empty()
}

fn has_tip(length: Length) -> bool {
    let tip = |name: PlaceName| name == PlaceName::The(crate::case::Landmark::PostTip);
    match length {
        Length::Axial(from, to) | Length::AlongCanal(from, to) => tip(from) || tip(to),
        Length::FromCrestLine { to, .. } => tip(to),
        Length::Seal => true,
        _ => false,
    }
}

/// What giving up a rule about this measurement costs.
pub(super) fn warning(measurement: &str) -> &'static str {
    match measurement {
        "post_to_core" => {
            "a core higher than its post is deep levers it out; only ferrule and bonding hold it"
        }
        "tip_beyond_crest" => {
            "a tip at the level of the crest stresses the root where the bone ends: roots break there"
        }
        "seal_length" => {
            "less root filling seals worse; under 3 mm, lesions were more frequent (from memory)"
        }
        "wall" => "thin dentine breaks or is perforated, and a film shows it thicker than it is",
        "post_to_root_in_bone" => "a post that ends in the coronal half of the root in bone is a short lever",
        _ => "it asks for a reason that is written down",
    }
}

/// A margin as it is reported.
pub(super) fn amount(margin: Estimate) -> Amount {
    margin.into()
}
