//! The one kind of picture everything else works on: 16-bit grey values with their true depth.

use super::hash::Sha256;

/// Grey values as the file stores them, rows top down, never stretched: an 8-bit picture holds 0 to 255.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    width: u32,
    height: u32,
    bits: u8,
    grey: Vec<u16>,
}

/// Why grey values make no picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PictureError {
    /// No width or no height.
    #[error("a picture needs at least one row and one column")]
    NoPixels,
    /// The number of values is not width times height.
    #[error("{values} grey values do not fill {width} x {height} pixels")]
    WrongCount {
        /// Values given.
        values: usize,
        /// Width stated.
        width: u32,
        /// Height stated.
        height: u32,
    },
    /// A depth that is not 1 to 16 bits.
    #[error("a depth of {0} bits is not 1 to 16")]
    WrongDepth(u8),
    /// A value above what the depth can hold.
    #[error("grey value {value} does not fit into {bits} bits")]
    ValueTooLarge {
        /// The largest value.
        value: u16,
        /// Depth stated.
        bits: u8,
    },
}

impl Picture {
    /// A picture of `width` times `height` grey values, rows top down, none above 2^`bits` − 1.
    ///
    /// # Errors
    /// Where the numbers contradict each other.
    pub fn new(width: u32, height: u32, bits: u8, grey: Vec<u16>) -> Result<Self, PictureError> {
        if width == 0 || height == 0 {
            return Err(PictureError::NoPixels);
        }
        if u64::from(width) * u64::from(height) != grey.len() as u64 {
            return Err(PictureError::WrongCount { values: grey.len(), width, height });
        }
        if !(1..=16).contains(&bits) {
            return Err(PictureError::WrongDepth(bits));
        }
        let value = grey.iter().copied().max().unwrap_or(0);
        if value > largest(bits) {
            return Err(PictureError::ValueTooLarge { value, bits });
        }
        Ok(Self { width, height, bits, grey })
    }

    /// The same picture with the depth a file declares beside the container's, where every value fits into it.
    /// Where one does not, the values are spread over the container, whose depth is then the true range.
    pub(super) fn with_significant_bits(mut self, bits: Option<u8>) -> Self {
        if let Some(bits) = bits.filter(|bits| (1..self.bits).contains(bits))
            && self.grey.iter().all(|value| *value <= largest(bits))
        {
            self.bits = bits;
        }
        self
    }

    /// The same picture spread over 16 bits, its bits repeated below, so that black stays black and white white.
    pub fn spread_over_16_bits(&self) -> Self {
        let spread = |value: &u16| {
            let largest = u32::from(self.largest_possible());
            u16::try_from((u32::from(*value) * u32::from(u16::MAX) + largest / 2) / largest)
                .unwrap_or(u16::MAX)
        };
        Self { bits: 16, grey: self.grey.iter().map(spread).collect(), ..*self }
    }

    /// Columns.
    pub const fn width(&self) -> u32 {
        self.width
    }

    /// Rows.
    pub const fn height(&self) -> u32 {
        self.height
    }

    /// Bits of depth: values lie in 0 to 2^bits − 1.
    pub const fn bits(&self) -> u8 {
        self.bits
    }

    /// The largest value the depth can hold, 2^bits − 1.
    pub const fn largest_possible(&self) -> u16 {
        largest(self.bits)
    }

    /// All values, rows top down without gaps.
    pub fn grey(&self) -> &[u16] {
        &self.grey
    }

    /// The values themselves, without a copy.
    pub fn into_grey(self) -> Vec<u16> {
        self.grey
    }

    /// The value in column `x` of row `y`; `None` outside.
    pub fn at(&self, x: u32, y: u32) -> Option<u16> {
        self.row(y)?.get(x as usize).copied()
    }

    /// Row `y`; `None` outside.
    pub fn row(&self, y: u32) -> Option<&[u16]> {
        let start = (y as usize).checked_mul(self.width as usize)?;
        self.grey.get(start..start.checked_add(self.width as usize)?)
    }

    /// All rows, top down.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = &[u16]> {
        self.grey.chunks_exact(self.width as usize)
    }

    /// The digest of the values as 16-bit little endian, rows top down.
    pub fn digest(&self) -> Sha256 {
        Sha256::of_values(&self.grey)
    }
}

/// 2^`bits` − 1 for a depth of 1 to 16.
const fn largest(bits: u8) -> u16 {
    if bits >= 16 { u16::MAX } else { (1 << bits) - 1 }
}
