//! The `crestgauge` program.

fn main() {}
