//! How large a film may be before anything is allocated for it.

use super::FilmError;

/// What a film may need at most. A file that needs more is refused before memory is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// The most pixels a picture may have.
    pub max_pixels: u64,
    /// The most bytes the file may have, and the most its decoded samples may take.
    pub max_bytes: u64,
}

impl Default for Bounds {
    /// 200 million pixels and 1 GiB: many times the largest intra-oral film, and within an office computer.
    fn default() -> Self {
        Self { max_pixels: 200_000_000, max_bytes: 1 << 30 }
    }
}

impl Bounds {
    /// Refuses a file of more bytes than allowed.
    pub(super) fn check_file(&self, size: u64) -> Result<(), FilmError> {
        if size > self.max_bytes {
            return Err(FilmError::FileTooLarge { size, limit: self.max_bytes });
        }
        Ok(())
    }

    /// Refuses a picture of more pixels or decoded bytes than allowed. `bytes_per_pixel` is what the decoder
    /// holds of one pixel; the grey value kept in the end takes two more.
    pub(super) fn check_picture(
        &self,
        width: u32,
        height: u32,
        bytes_per_pixel: u64,
    ) -> Result<(), FilmError> {
        let pixels = u64::from(width) * u64::from(height);
        if pixels > self.max_pixels {
            return Err(FilmError::TooManyPixels { width, height, limit: self.max_pixels });
        }
        let needed = pixels.saturating_mul(bytes_per_pixel.saturating_add(2));
        if needed > self.max_bytes || usize::try_from(needed).is_err() {
            return Err(FilmError::TooManyBytes { needed, limit: self.max_bytes });
        }
        Ok(())
    }

    /// The byte bound as decoders want it.
    pub(super) fn byte_limit(&self) -> usize {
        usize::try_from(self.max_bytes).unwrap_or(usize::MAX)
    }
}
