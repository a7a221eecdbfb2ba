//! Measures a root-filled tooth on a periapical film for a post, core and crown.
//!
//! The library stands in floors, and each imports only from below:
//!
//! | floor | modules |
//! |---|---|
//! | 1 | [`quantity`], [`caution`], and [`geometry`] over `quantity` |
//! | 2 | [`film`] |
//!
//! A radiograph is a two-dimensional projection. It shows the mesial and distal walls only. What this library
//! computes supports, and never replaces, examination, local rules and the judgement of a licensed clinician. It
//! is not a certified medical device.

pub mod calibration;
pub mod case;
pub mod caution;
pub mod cli;
pub mod film;
pub mod geometry;
pub mod measure;
pub mod quantity;
pub mod report;
pub mod verdict;
pub mod wording;
