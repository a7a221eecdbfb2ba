//! Agreement: what repeated sittings of one observer, or of several, on the same films are worth.
//!
//! From cases to tables: [`Sitting::of`] reduces a case to what is compared, [`agree`] compares. From cases to a key:
//! [`consensus()`] makes one case of what several observers agree on. The statistics stand by
//! themselves too ([`bland_altman()`], [`intraclass()`], …), over plain pairs and rows of readings in one unit.
//!
//! A statistic that the readings cannot give is [`Stated::Withheld`] with its reason, never a number.

mod bland_altman;
mod compare;
mod concordance;
mod consensus;
mod gather;
mod intraclass;
mod placing;
mod quantile;
mod quantity;
mod scatter;
mod sitting;
mod stated;

pub use bland_altman::{BlandAltman, Limit, bland_altman};
pub use compare::{
    Agreement, Between, Compared, Comparison, FORMAT, NoAgreement, Observer, Pair, VERSION, Visibility, agree,
};
pub use concordance::{Concordance, concordance};
pub use consensus::{
    Agreed, AgreedPlace, Consensus, LEAST_SD_PX, LeftOut, NoConsensus, Opinion, WhyLeftOut, consensus,
};
pub use intraclass::{Intraclass, MeanSquares, intraclass, mean_squares};
pub use placing::{LEAST_DF, LandmarkPlacing, Placing};
pub use quantity::{Component, MeasurementName, Quantity};
pub use scatter::{Dahlberg, Within, dahlberg, smallest_detectable_change, within};
pub use sitting::{NotComparable, OBSERVER_KEY, SITTING_KEY, Signed, Sitting, Target, signed};
pub use stated::{Bounded, Stated, Withheld};
