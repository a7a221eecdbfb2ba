//! SHA-256 of a film's bytes and of its grey values.

use serde::{Serialize, Serializer};
use sha2::Digest as _;
use std::fmt;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// How much is hashed at a time.
const PORTION: usize = 1 << 16;

/// A SHA-256 digest (FIPS 180-4). Prints as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Sha256([u8; 32]);

impl Sha256 {
    /// The digest of some bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// The digest of values written as 16-bit little endian.
    pub fn of_values(values: &[u16]) -> Self {
        let mut state = sha2::Sha256::new();
        let mut bytes = Vec::with_capacity(PORTION);
        for portion in values.chunks(PORTION / 2) {
            bytes.clear();
            bytes.extend(portion.iter().flat_map(|value| value.to_le_bytes()));
            state.update(&bytes);
        }
        Self(state.finalize().into())
    }

    /// The 32 bytes of the digest.
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for Sha256 {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

impl fmt::Debug for Sha256 {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, formatter)
    }
}

impl Serialize for Sha256 {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// The digest of a file's bytes, read in portions, so that a file of any size takes no memory.
///
/// # Errors
/// Where the file cannot be read.
pub fn content_hash(path: &Path) -> io::Result<Sha256> {
    let mut file = File::open(path)?;
    let mut state = sha2::Sha256::new();
    let mut portion = vec![0; PORTION];
    loop {
        match file.read(&mut portion) {
            Ok(0) => return Ok(Sha256(state.finalize().into())),
            Ok(count) => state.update(portion.get(..count).unwrap_or_default()),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}
