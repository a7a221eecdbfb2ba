//! A statistic as it is stated: with its interval, or withheld with the reason in its place.

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

/// A statistic, or why it is withheld. In JSON the reason stands in the statistic's place: `{"value": null,
/// "reason": "too_few_pairs", "needs": 2, "has": 1}`.
#[derive(Debug, Clone, PartialEq)]
pub enum Stated<T> {
    /// The statistic.
    Given(T),
    /// Why there is none.
    Withheld(Withheld),
}

impl<T> Stated<T> {
    /// The statistic, where it is given.
    pub fn given(&self) -> Option<&T> {
        match self {
            Self::Given(statistic) => Some(statistic),
            Self::Withheld(_) => None,
        }
    }

    /// Why it is withheld, where it is.
    pub fn withheld(&self) -> Option<Withheld> {
        match self {
            Self::Given(_) => None,
            Self::Withheld(why) => Some(*why),
        }
    }
}

impl<T> From<Result<T, Withheld>> for Stated<T> {
    fn from(result: Result<T, Withheld>) -> Self {
        result.map_or_else(Self::Withheld, Self::Given)
    }
}

impl<T: Serialize> Serialize for Stated<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Given(statistic) => statistic.serialize(serializer),
            Self::Withheld(why) => why.serialize(serializer),
        }
    }
}

/// Why a statistic is withheld.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Withheld {
    /// Fewer pairs of readings than it needs.
    #[error("needs {needs} pairs of readings, there {}", Count(*.has))]
    TooFewPairs {
        /// How many it needs.
        needs: usize,
        /// How many there are.
        has: usize,
    },
    /// Fewer teeth read by everyone compared than it needs.
    #[error("needs {needs} teeth read in every column, there {}", Count(*.has))]
    TooFewComplete {
        /// How many it needs.
        needs: usize,
        /// How many there are.
        has: usize,
    },
    /// No tooth was read twice.
    #[error("needs a tooth read twice")]
    NoRepeats,
    /// The teeth do not differ, or by too little beside the scatter, so that they cannot be told apart.
    #[error("the teeth differ too little to be told apart")]
    NoSpread,
    /// The readings of each tooth agree exactly; a ratio of variances has nothing under its bar.
    #[error("the readings of each tooth agree exactly")]
    NoScatter,
    /// A coordinate's spread between teeth is where the film's edges happen to lie.
    #[error("a coordinate has no spread between teeth of its own")]
    CoordinateOrigin,
}

/// "is 1", "are 3".
struct Count(usize);

impl std::fmt::Display for Count {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.0 {
            0 => write!(f, "is none"),
            1 => write!(f, "is 1"),
            count => write!(f, "are {count}"),
        }
    }
}

impl Withheld {
    /// The word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TooFewPairs { .. } => "too_few_pairs",
            Self::TooFewComplete { .. } => "too_few_complete",
            Self::NoRepeats => "no_repeats",
            Self::NoSpread => "no_spread",
            Self::NoScatter => "no_scatter",
            Self::CoordinateOrigin => "coordinate_origin",
        }
    }
}

impl Serialize for Withheld {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Row {
            value: Option<f64>,
            reason: &'static str,
            #[serde(skip_serializing_if = "Option::is_none")]
            needs: Option<usize>,
            #[serde(skip_serializing_if = "Option::is_none")]
            has: Option<usize>,
        }
        let (needs, has) = match *self {
            Self::TooFewPairs { needs, has } | Self::TooFewComplete { needs, has } => {
                (Some(needs), Some(has))
            }
            _ => (None, None),
        };
        Row { value: None, reason: self.word(), needs, has }.serialize(serializer)
    }
}

/// A value with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Bounded {
    /// The value.
    pub value: f64,
    /// Its 95 % interval.
    pub interval: [f64; 2],
}

impl Bounded {
    /// Value ± half width.
    pub(super) fn around(value: f64, half: f64) -> Self {
        Self { value, interval: [value - half, value + half] }
    }

    /// The same `factor` times.
    pub(super) fn times(self, factor: f64) -> Self {
        Self { value: self.value * factor, interval: self.interval.map(|end| end * factor) }
    }
}
