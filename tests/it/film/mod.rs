//! Films: every expected value comes from outside the decoders under test.

mod exact;
mod make;
