//! Measures a root-filled tooth on a periapical film for a post, core and crown.
//!
//! From a case file to its verdicts: [`case::read`], then [`verdict::assess`]; [`film::read`] reads a film.
//!
//! The library stands in floors, and each imports only from below (a test checks it):
//!
//! | floor | modules |
//! |---|---|
//! | 8 | [`cli`], `viewer` (feature `viewer`) |
//! | 7 | [`editor`], [`report`] |
//! | 6 | [`agreement`], [`phantom`], [`practice`] |
//! | 6 | [`plan`] |
//! | 5 | [`verdict`] |
//! | 4 | [`measure`] |
//! | 3 | [`case`] |
//! | 2 | [`calibration`], [`film`] |
//! | 1 | [`geometry`], over [`quantity`], [`caution`], [`wording`] |
//!
//! A radiograph is a two-dimensional projection. It shows the mesial and distal walls only. What this library
//! computes supports, and never replaces, examination, local rules and the judgement of a licensed clinician. It
//! is not a certified medical device.

pub mod agreement;
pub mod calibration;
pub mod case;
pub mod caution;
pub mod cli;
pub mod editor;
pub mod film;
pub mod geometry;
pub mod measure;
pub mod phantom;
pub mod plan;
pub mod practice;
pub mod quantity;
pub mod report;
pub mod verdict;
#[cfg(feature = "viewer")]
pub mod viewer;
pub mod wording;
