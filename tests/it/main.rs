//! Integration tests, one binary.

// In a test a panic is how a failure is said.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod case_files;
mod cautions;
mod change;
mod check_cases;
mod command_line;
mod derivatives;
mod documents;
mod draws;
mod editor;
mod film;
mod films_truth;
mod floors;
mod oracles;
mod phantom;
mod plan;
mod properties;
mod repeats;
mod report;
mod spans;
mod support;
mod validation;
#[cfg(feature = "viewer")]
mod viewer_session;
