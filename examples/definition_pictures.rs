//! Draws the pictures of landmarks anew: `cargo run --no-default-features --example definition_pictures`. Look at each afterwards.

use crestgauge::phantom::DEFINITIONS;
use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/definitions");
    std::fs::create_dir_all(&folder)?;
    for definition in DEFINITIONS {
        std::fs::write(folder.join(format!("{}.png", definition.name)), definition.png()?)?;
    }
    Ok(())
}
