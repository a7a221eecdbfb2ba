//! What the first directory of a TIFF says about its samples (TIFF 6.0, sections 3 to 7 and 18), and whether
//! they can be read exactly.

use super::pitch::{PerLength, PitchFrom, Statement};
use super::wanted::{Bytes, Wanted};
use super::{FilmError, Format, Orientation};
use ::tiff::decoder::ifd::Value;
use ::tiff::decoder::{Decoder, Limits};
use ::tiff::tags::Tag;
use ::tiff::{TiffError, TiffResult};
use std::io::ErrorKind;

/// A decoder over the bytes of a file.
pub(super) type Opened<'a> = Decoder<Bytes<'a>>;

/// Compression 7, JPEG (TIFF Technical Note 2).
pub(super) const JPEG_COMPRESSION: u16 = 7;

/// Photometric interpretations that can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Photometric {
    WhiteIsZero,
    BlackIsZero,
    Rgb,
    Palette,
    /// Y first, then two differences of colour.
    YCbCr,
}

/// How the samples of the first picture are stored.
#[derive(Debug, Clone, Copy)]
pub(super) struct SampleLayout {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) bits: u8,
    pub(super) samples: u16,
    pub(super) signed: bool,
    pub(super) planar: bool,
    pub(super) compression: u16,
    pub(super) photometric: Photometric,
    /// Samples beyond those that make the colour: transparency and the like.
    pub(super) extra: bool,
    pub(super) tile_width: Option<u32>,
}

/// Opens a file whose decoded picture may take `limit` bytes.
pub(super) fn opened<'a>(bytes: &'a [u8], limit: usize, wanted: Wanted<'a>) -> Result<Opened<'a>, FilmError> {
    const DIRECTORY_VALUE: usize = 1 << 24;
    let mut limits = Limits::default();
    limits.decoding_buffer_size = limit;
    limits.intermediate_buffer_size = limit;
    limits.ifd_value_size = limit.min(DIRECTORY_VALUE);
    Ok(Decoder::new(wanted.bytes(bytes)).map_err(failed)?.with_limits(limits))
}

pub(super) fn failed(error: TiffError) -> FilmError {
    match error {
        TiffError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            FilmError::Truncated(Format::Tiff)
        }
        TiffError::UnsupportedError(error) => unsupported(error),
        error => FilmError::damaged(Format::Tiff, error),
    }
}

pub(super) fn unsupported(what: impl std::fmt::Display) -> FilmError {
    const SAVE_ANEW: &str = "save it as grey or RGB TIFF of 8 or 16 bits, or as PNG";
    FilmError::unsupported(Format::Tiff, what, SAVE_ANEW)
}

impl SampleLayout {
    /// Reads the layout, or says what about it cannot be read exactly.
    pub(super) fn read(decoder: &mut Opened<'_>) -> Result<Self, FilmError> {
        let (width, height) = decoder.dimensions().map_err(failed)?;
        let one = |decoder: &mut Opened<'_>, tag, default: u16| {
            Ok::<_, FilmError>(first(decoder.find_tag_unsigned_vec(tag)).map_err(failed)?.unwrap_or(default))
        };
        let bits = one(decoder, Tag::BitsPerSample, 1)?;
        let samples = one(decoder, Tag::SamplesPerPixel, 1)?;
        let compression = one(decoder, Tag::Compression, 1)?;
        let signed = match one(decoder, Tag::SampleFormat, 1)? {
            // Undefined data (4) are read as what they most often are.
            1 | 4 => false,
            2 => true,
            3 => return Err(unsupported(format!("floating point samples of {bits} bits"))),
            other => return Err(unsupported(format!("sample format {other}"))),
        };
        let photometric = match one(decoder, Tag::PhotometricInterpretation, u16::MAX)? {
            0 => Photometric::WhiteIsZero,
            1 => Photometric::BlackIsZero,
            2 => Photometric::Rgb,
            3 => Photometric::Palette,
            5 => return Err(unsupported("four inks, CMYK")),
            6 if compression == JPEG_COMPRESSION => Photometric::YCbCr,
            6 => return Err(unsupported("YCbCr colour without JPEG compression")),
            8..=10 => return Err(unsupported("L*a*b* colour")),
            other => return Err(unsupported(format!("photometric interpretation {other}"))),
        };
        let Some(bits) = u8::try_from(bits).ok().filter(|bits| (1..=16).contains(bits)) else {
            return Err(unsupported(format!("{bits} bits a sample")));
        };
        if one(decoder, Tag::FillOrder, 1)? != 1 {
            return Err(unsupported("bits in reversed order, FillOrder 2"));
        }
        let colours = if matches!(photometric, Photometric::Rgb | Photometric::YCbCr) { 3 } else { 1 };
        if samples < colours {
            return Err(FilmError::damaged(Format::Tiff, format!("colour of {samples} samples")));
        }
        let layout = Self {
            width,
            height,
            bits,
            samples,
            signed,
            planar: one(decoder, Tag::PlanarConfiguration, 1)? == 2,
            compression,
            photometric,
            extra: samples > colours,
            tile_width: decoder.find_tag_unsigned(Tag::TileWidth).map_err(failed)?,
        };
        let predicted = one(decoder, Tag::Predictor, 1)? != 1;
        if layout.packed() && (predicted || layout.compression == JPEG_COMPRESSION) {
            return Err(unsupported(format!("{bits} bits a sample with a predictor or JPEG compression")));
        }
        Ok(layout)
    }

    /// Whether samples lie across the borders of bytes in a way the decoder does not unpack.
    pub(super) const fn packed(self) -> bool {
        !matches!(self.bits, 1 | 2 | 4 | 8 | 16)
    }

    /// Samples that lie side by side in a row.
    pub(super) const fn row_samples(self) -> u64 {
        if self.planar { 1 } else { self.samples as u64 }
    }

    /// Bytes that so many pixels side by side take; `None` where they end within one.
    pub(super) fn whole_bytes(self, pixels: u32) -> Option<u32> {
        let bits = u64::from(pixels) * self.row_samples() * u64::from(self.bits);
        bits.is_multiple_of(8).then_some(u32::try_from(bits / 8).ok()?)
    }

    /// Bytes of a row as stored.
    pub(super) fn row_bytes(self) -> Option<u32> {
        let bits = u64::from(self.width) * self.row_samples() * u64::from(self.bits);
        u32::try_from(bits.div_ceil(8)).ok()
    }
}

fn first(values: TiffResult<Option<Vec<u16>>>) -> TiffResult<Option<u16>> {
    Ok(values?.and_then(|values| values.first().copied()))
}

/// The Orientation tag; a malformed one says nothing.
pub(super) fn orientation(decoder: &mut Opened<'_>) -> Orientation {
    let number: Option<u32> = decoder.find_tag_unsigned(Tag::Orientation).ok().flatten();
    number.and_then(Orientation::from_exif).unwrap_or_default()
}

/// `XResolution` and `YResolution`. Unit 2 is the inch, which is also the default; 3 is the centimetre; 1 states
/// an aspect only.
pub(super) fn resolution(decoder: &mut Opened<'_>) -> Option<Statement> {
    let unit: u16 = decoder.find_tag_unsigned(Tag::ResolutionUnit).ok().flatten().unwrap_or(2);
    let unit = match unit {
        2 => PerLength::Inch,
        3 => PerLength::Centimetre,
        _ => return None,
    };
    // A tag that is there and cannot be read is malformed, not missing.
    let mut count = |tag| match decoder.find_tag(tag) {
        Ok(value) => value.map(|value| ratio(&value)),
        Err(_) => Some(None),
    };
    let (across, down) = (count(Tag::XResolution), count(Tag::YResolution));
    if across.is_none() && down.is_none() {
        return None;
    }
    let from = PitchFrom::TiffResolution;
    Some(Statement { from, unit, across: across.flatten(), down: down.flatten() })
}

fn ratio(value: &Value) -> Option<f64> {
    let ratio = match *value {
        Value::Rational(over, under) => f64::from(over) / f64::from(under),
        Value::Float(value) => f64::from(value),
        Value::Double(value) => value,
        Value::Short(value) => f64::from(value),
        Value::Unsigned(value) => f64::from(value),
        _ => return None,
    };
    ratio.is_finite().then_some(ratio)
}
