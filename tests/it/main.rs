//! Integration tests, one binary.

// In a test a panic is how a failure is said.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod check_cases;
mod command_line;
mod documents;
mod film;
mod films_truth;
mod oracles;
mod support;
