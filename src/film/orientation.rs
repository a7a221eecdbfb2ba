//! The eight ways a picture can be stored and meant (EXIF 2.3, tag 274; TIFF 6.0, Orientation).

use super::Picture;
use serde::{Serialize, Serializer};
use std::fmt;

/// How the stored grid must be turned to be seen upright. The numbers are those of the EXIF tag, which says
/// where row 0 and column 0 of the stored grid belong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
#[repr(u8)]
pub enum Orientation {
    /// 1: stored upright.
    #[default]
    Upright = 1,
    /// 2: mirrored left to right.
    Mirrored = 2,
    /// 3: upside down.
    HalfTurn = 3,
    /// 4: mirrored top to bottom.
    Flipped = 4,
    /// 5: rows and columns exchanged about the diagonal from top left.
    Transposed = 5,
    /// 6: to be turned by a quarter clockwise.
    QuarterClockwise = 6,
    /// 7: rows and columns exchanged about the diagonal from top right.
    Transversed = 7,
    /// 8: to be turned by a quarter anticlockwise.
    QuarterAnticlockwise = 8,
}

impl Orientation {
    /// All eight, in the order of their numbers.
    pub const ALL: [Self; 8] = [
        Self::Upright,
        Self::Mirrored,
        Self::HalfTurn,
        Self::Flipped,
        Self::Transposed,
        Self::QuarterClockwise,
        Self::Transversed,
        Self::QuarterAnticlockwise,
    ];

    /// The orientation with this EXIF number, 1 to 8.
    pub fn from_exif(number: u32) -> Option<Self> {
        Self::ALL.into_iter().find(|orientation| u32::from(orientation.exif()) == number)
    }

    /// The EXIF number, 1 to 8.
    pub const fn exif(self) -> u8 {
        self as u8
    }

    /// Whether width and height (and the pitch across and down) change places.
    pub const fn swaps_axes(self) -> bool {
        self.exif() >= 5
    }

    /// The pair across and down as it is after turning.
    pub fn turned<T>(self, across: T, down: T) -> (T, T) {
        if self.swaps_axes() { (down, across) } else { (across, down) }
    }

    /// The picture turned upright.
    pub(super) fn apply(self, picture: Picture) -> Picture {
        if self == Self::Upright {
            return picture;
        }
        let (width, height) = self.turned(picture.width(), picture.height());
        let bits = picture.bits();
        let grey = self.rearrange(&picture);
        // The same values in the same number: the checks of the constructor hold as they held before.
        Picture::new(width, height, bits, grey).unwrap_or(picture)
    }

    fn rearrange(self, picture: &Picture) -> Vec<u16> {
        let mut grey = Vec::with_capacity(picture.grey().len());
        let columns = picture.width() as usize;
        let upwards = matches!(self, Self::QuarterClockwise | Self::Transversed);
        let leftwards = matches!(self, Self::Transversed | Self::QuarterAnticlockwise);
        match self {
            Self::Upright => grey.extend_from_slice(picture.grey()),
            Self::Mirrored => {
                for row in picture.rows() {
                    grey.extend(row.iter().rev());
                }
            }
            Self::HalfTurn => grey.extend(picture.grey().iter().rev()),
            Self::Flipped => {
                for row in picture.grey().rchunks_exact(columns) {
                    grey.extend_from_slice(row);
                }
            }
            // A stored column becomes a row: read upwards where the stored bottom comes to the left, and the
            // columns are taken from the right where the stored right comes to the top.
            _ => {
                for step in 0..columns {
                    let column = if leftwards { columns - 1 - step } else { step };
                    let values = picture.grey().iter().skip(column).step_by(columns);
                    if upwards { grey.extend(values.rev()) } else { grey.extend(values) }
                }
            }
        }
        grey
    }
}

impl fmt::Display for Orientation {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Upright => "upright",
            Self::Mirrored => "mirrored",
            Self::HalfTurn => "half turn",
            Self::Flipped => "flipped",
            Self::Transposed => "transposed",
            Self::QuarterClockwise => "quarter turn clockwise",
            Self::Transversed => "transversed",
            Self::QuarterAnticlockwise => "quarter turn anticlockwise",
        })
    }
}

impl Serialize for Orientation {
    /// The EXIF number.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u8(self.exif())
    }
}
