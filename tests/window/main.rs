//! The window, driven by pointer, keyboard and accessible names. Most of it needs no display: the harness draws
//! nothing but where a picture is wanted. It panics on a control without a name and on a letter no font has.

// In a test a panic is how a failure is said.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod agreement;
mod commands;
mod contrast;
mod desk;
mod empty;
mod guide;
mod help;
mod holding;
mod looking;
mod names;
mod pictures;
mod placing;
mod planning;
mod pointing;
mod practice;
mod practice_kept;
mod questions;
mod real;
mod reports;
mod rounds;
mod seeing;
mod settings;
mod sizes;
mod states;
mod whole_case;
