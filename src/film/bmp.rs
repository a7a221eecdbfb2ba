//! Windows bitmaps, by the `image` crate. The header is read here first, for the resolution, and to refuse what
//! the decoder would narrow or allocate unasked.

use super::pitch::{PerLength, PitchFrom, Statement};
use super::samples::{Gathering, Meaning};
use super::stored::{Further, Reader, Stored, StoredSize, finish};
use super::wanted::Wanted;
use super::{Bounds, FilmError, Format, Orientation, Polarity};
use crate::caution::{Caution, CautionKind};
use image::codecs::bmp::BmpDecoder;
use image::{ColorType, ImageDecoder as _, ImageError};
use std::io::ErrorKind;

pub(super) const READER: Reader = Reader { size, decode };

const SAVE_ANEW: &str = "save it as PNG";

/// The bitmap header (from memory: BITMAPFILEHEADER, BITMAPCOREHEADER, BITMAPINFOHEADER and its successors).
struct BmpHeader {
    width: u32,
    height: u32,
    bits: u16,
    compression: u32,
    pixels_at: u32,
    per_metre: Option<(i32, i32)>,
    masks: [u32; 3],
}

impl BmpHeader {
    fn read(bytes: &[u8]) -> Result<Self, FilmError> {
        let truncated = || FilmError::Truncated(Format::Bmp);
        let array = |at: usize| bytes.get(at..)?.first_chunk::<4>().copied();
        let long = |at| array(at).map(u32::from_le_bytes).ok_or_else(truncated);
        let signed = |at| array(at).map(i32::from_le_bytes).ok_or_else(truncated);
        let word = |at: usize| Some(u16::from_le_bytes(*bytes.get(at..)?.first_chunk::<2>()?));
        let pixels_at = long(10)?;
        if long(14)? == 12 {
            let field = |at| word(at).ok_or_else(truncated);
            return Ok(Self {
                width: u32::from(field(18)?),
                height: u32::from(field(20)?),
                bits: field(24)?,
                compression: 0,
                pixels_at,
                per_metre: None,
                masks: [0; 3],
            });
        }
        let width = u32::try_from(signed(18)?)
            .map_err(|_| FilmError::damaged(Format::Bmp, "its width is negative"))?;
        Ok(Self {
            width,
            // A negative height says that the rows run top down.
            height: signed(22)?.unsigned_abs(),
            bits: word(28).ok_or_else(truncated)?,
            compression: long(30)?,
            pixels_at,
            per_metre: Some((signed(38)?, signed(42)?)),
            masks: [54, 58, 62].map(|at| array(at).map_or(0, u32::from_le_bytes)),
        })
    }

    /// Bytes of the rows as stored, each filled up to four; `None` where run lengths make it unforeseeable.
    fn stored_bytes(&self) -> Option<u64> {
        let row = (u64::from(self.width) * u64::from(self.bits)).div_ceil(32) * 4;
        matches!(self.compression, 0 | 3 | 6).then_some(row.saturating_mul(u64::from(self.height)))
    }

    /// Both zero is how writers say that they do not know.
    fn resolution(&self) -> Option<Statement> {
        let (across, down) = self.per_metre.filter(|stated| *stated != (0, 0))?;
        let (across, down) = (Some(f64::from(across)), Some(f64::from(down)));
        Some(Statement { from: PitchFrom::BmpResolution, unit: PerLength::Metre, across, down })
    }
}

fn size(bytes: &[u8], _bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let header = BmpHeader::read(bytes)?;
    Ok(StoredSize { width: header.width, height: header.height, orientation: Orientation::Upright })
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Stored, FilmError> {
    let header = BmpHeader::read(bytes)?;
    bounds.check_picture(header.width, header.height, 4)?;
    if matches!(header.compression, 4 | 5) {
        return Err(FilmError::unsupported(Format::Bmp, "a JPEG or PNG inside", SAVE_ANEW));
    }
    if matches!(header.compression, 3 | 6) && header.masks.iter().any(|mask| mask.count_ones() > 8) {
        return Err(FilmError::unsupported(Format::Bmp, "more than 8 bits a colour", SAVE_ANEW));
    }
    let available = (bytes.len() as u64).saturating_sub(u64::from(header.pixels_at));
    if header.stored_bytes().is_some_and(|needed| needed > available) {
        return Err(FilmError::Truncated(Format::Bmp));
    }
    let decoder = BmpDecoder::new(wanted.bytes(bytes)).map_err(failed)?;
    if decoder.dimensions() != (header.width, header.height) {
        return Err(FilmError::damaged(Format::Bmp, "it states two sizes"));
    }
    let mut cautions = Vec::new();
    let samples = match decoder.color_type() {
        ColorType::Rgba8 => {
            cautions.push(Caution::general(CautionKind::TransparencyIgnored));
            4
        }
        ColorType::Rgb8 => 3,
        other => return Err(FilmError::unsupported(Format::Bmp, format!("{other:?}"), SAVE_ANEW)),
    };
    let pixels = header.width as usize * header.height as usize;
    let mut buffer = vec![0; pixels * samples];
    decoder.read_image(&mut buffer).map_err(failed)?;
    let mut gathering = Gathering::new(Format::Bmp, Meaning::Colour, samples, pixels, wanted);
    let mut line = Vec::new();
    for row in buffer.chunks_exact(header.width.max(1) as usize * samples) {
        gathering.byte_row(row, &mut line)?;
    }
    Ok(Stored {
        picture: finish(Format::Bmp, (header.width, header.height, 8), gathering, &mut cautions)?,
        orientation: Orientation::Upright,
        polarity: Polarity::BlackIsZero,
        statements: header.resolution().into_iter().collect(),
        frames: 1,
        further: Further::default(),
        cautions,
    })
}

fn failed(error: ImageError) -> FilmError {
    match error {
        ImageError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            FilmError::Truncated(Format::Bmp)
        }
        ImageError::Unsupported(error) => FilmError::unsupported(Format::Bmp, error, SAVE_ANEW),
        error => FilmError::damaged(Format::Bmp, error),
    }
}
