//! Films of known truth: physics against closed forms and published tables, anatomy against itself.

mod anatomy;
mod projection;
