//! Writing a film as PNG or TIFF, its grey values as they are and its pitch stated. DICOM is written by
//! [`dicom::encode`](super::dicom::encode).

use super::dicom::{NewFilm, WriteError};
use crate::quantity::Millimetres;
use ::png::chunk::ChunkType;
use ::png::{BitDepth, ColorType, Compression, Encoder, PixelDimensions, Unit};
use ::tiff::encoder::{Rational, TiffEncoder, colortype};
use ::tiff::tags::{ResolutionUnit, Tag};
use std::fmt::Display;
use std::io::Cursor;

/// The bytes of a PNG of 8 or 16 bits; a depth between is stated by sBIT (third edition, 11.3.2.7), the pitch by pHYs.
///
/// # Errors
/// Where the pitch is none.
pub fn encode_png(film: &NewFilm<'_>) -> Result<Vec<u8>, WriteError> {
    let (picture, bits) = (film.picture, film.picture.bits());
    let per_metre = |pitch: Millimetres| whole(1000.0 / pitch.get(), pitch);
    let dimensions =
        PixelDimensions { xppu: per_metre(film.across)?, yppu: per_metre(film.down)?, unit: Unit::Meter };
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(ColorType::Grayscale);
    encoder.set_depth(if bits > 8 { BitDepth::Sixteen } else { BitDepth::Eight });
    encoder.set_compression(Compression::Fast);
    encoder.set_pixel_dims(Some(dimensions));
    let mut writer = encoder.write_header().map_err(failed)?;
    if bits != 8 && bits != 16 {
        writer.write_chunk(ChunkType(*b"sBIT"), &[bits]).map_err(failed)?;
    }
    let samples: Vec<u8> = if bits > 8 {
        picture.grey().iter().flat_map(|value| value.to_be_bytes()).collect()
    } else {
        picture.grey().iter().map(|value| value.to_le_bytes()[0]).collect()
    };
    writer.write_image_data(&samples).map_err(failed)?;
    writer.finish().map_err(failed)?;
    Ok(bytes)
}

/// The bytes of a TIFF of 8 or 16 bits, not compressed. It has no place for a depth between: give values of the whole range.
///
/// # Errors
/// Where the pitch is none.
pub fn encode_tiff(film: &NewFilm<'_>) -> Result<Vec<u8>, WriteError> {
    let picture = film.picture;
    let (width, height) = (picture.width(), picture.height());
    let resolution =
        |pitch: Millimetres| Ok(Rational { n: whole(1e5 * 10.0 / pitch.get(), pitch)?, d: 100_000 });
    let (across, down) = (resolution(film.across)?, resolution(film.down)?);
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes).map_err(failed)?;
    macro_rules! write {
        ($kind:ty, $samples:expr) => {{
            let mut image = encoder.new_image::<$kind>(width, height).map_err(failed)?;
            image.resolution_unit(ResolutionUnit::Centimeter);
            image.encoder().write_tag(Tag::XResolution, across).map_err(failed)?;
            image.encoder().write_tag(Tag::YResolution, down).map_err(failed)?;
            image.write_data($samples).map_err(failed)?;
        }};
    }
    if picture.bits() > 8 {
        write!(colortype::Gray16, picture.grey());
    } else {
        let samples: Vec<u8> = picture.grey().iter().map(|value| value.to_le_bytes()[0]).collect();
        write!(colortype::Gray8, &samples);
    }
    Ok(bytes.into_inner())
}

/// A count of pixels for a length, where the pitch allows one.
fn whole(count: f64, pitch: Millimetres) -> Result<u32, WriteError> {
    if !(1.0..=4e9).contains(&count) {
        return Err(WriteError::Number(pitch.get(), "distance of pixels"));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "just held to the range")]
    Ok(count.round() as u32)
}

fn failed(error: impl Display) -> WriteError {
    WriteError::Encoder(error.to_string())
}
