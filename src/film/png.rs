//! PNG (W3C, third edition), by the `png` crate, without any of its transformations.

use super::exif::ExifNotes;
use super::pitch::{PerLength, PitchFrom, Statement};
use super::samples::{Gathering, Meaning, PaletteEntry, unpack};
use super::stored::{Further, Reader, Stored, StoredSize, finish, first_of};
use super::wanted::{Bytes, Wanted};
use super::{Bounds, FilmError, Format, Polarity};
use crate::caution::{Caution, CautionKind};
use ::png::{ColorType, Decoder, DecodingError, Info, Limits, Unit};
use std::io::ErrorKind;

pub(super) const READER: Reader = Reader { size, decode };

/// Deflate cannot make more than this many bytes of one (RFC 1951: 258 bytes from two bits).
const DEFLATE_AT_MOST: u64 = 1032;

fn opened<'a>(bytes: &'a [u8], bounds: &Bounds, wanted: Wanted<'a>) -> Decoder<Bytes<'a>> {
    let mut decoder = Decoder::new_with_limits(wanted.bytes(bytes), Limits { bytes: bounds.byte_limit() });
    // Neither is used, and both can be made to unpack into a great many bytes.
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_ignore_text_chunk(true);
    decoder
}

/// Width and height stand in the first chunk, but the orientation may stand in any, so the chunks are walked.
fn size(bytes: &[u8], bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let mut decoder = opened(bytes, bounds, Wanted::default());
    let (width, height) = decoder.read_header_info().map_err(failed)?.size();
    let orientation = exif_chunk(bytes).map(ExifNotes::read).unwrap_or_default().orientation;
    Ok(StoredSize { width, height, orientation })
}

/// The content of the first eXIf chunk (third edition, 11.3.4.5), found by the lengths of the chunks before it.
fn exif_chunk(bytes: &[u8]) -> Option<&[u8]> {
    const SIGNATURE: usize = 8;
    let mut rest = bytes.get(SIGNATURE..)?;
    loop {
        let (length, after) = rest.split_first_chunk::<4>()?;
        let (kind, after) = after.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let content = after.get(..length)?;
        if kind == b"eXIf" {
            return Some(content);
        }
        rest = after.get(length.checked_add(4)?..)?;
    }
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Stored, FilmError> {
    let mut decoder = opened(bytes, bounds, wanted);
    let (width, height) = decoder.read_header_info().map_err(failed)?.size();
    // The grey values first, then what one row or, interlaced, the whole picture takes as samples.
    bounds.check_picture(width, height, 0)?;
    let mut reader = decoder.read_info().map_err(failed)?;
    let info = reader.info();
    let (samples, bits, interlaced) = (info.color_type.samples(), info.bit_depth as u8, info.interlaced);
    let row_bytes = info.raw_row_length() - 1;
    let whole = row_bytes as u64 * u64::from(height);
    if interlaced {
        bounds.check_picture(width, height, (samples as u64 * u64::from(bits)).div_ceil(8))?;
    }
    if whole / DEFLATE_AT_MOST > bytes.len() as u64 {
        return Err(FilmError::Truncated(Format::Png));
    }
    let mut cautions = Vec::new();
    if matches!(info.color_type, ColorType::GrayscaleAlpha | ColorType::Rgba) || info.trns.is_some() {
        cautions.push(Caution::general(CautionKind::TransparencyIgnored));
    }
    let row_samples = width as usize * samples;
    let mut gathering =
        Gathering::new(Format::Png, meaning(info)?, samples, width as usize * height as usize, wanted);
    let mut line = Vec::new();
    let mut take = |row: &[u8]| match bits {
        16 => gathering.big_endian_row(row, &mut line),
        8 => gathering.byte_row(row, &mut line),
        _ => {
            unpack(row, bits, row_samples, &mut line);
            gathering.row(&line)
        }
    };
    if interlaced {
        let mut buffer = vec![0; row_bytes * height as usize];
        reader.next_frame(&mut buffer).map_err(failed)?;
        buffer.chunks_exact(row_bytes).try_for_each(&mut take)?;
    } else {
        let mut row = vec![0; row_bytes];
        for _ in 0..height {
            reader.read_row(&mut row).map_err(failed)?;
            take(&row)?;
        }
    }
    // To the end, because the orientation may stand after the picture, and to see that there is an end.
    reader.finish().map_err(failed)?;
    let info = reader.info();
    let exif = info.exif_metadata.as_deref().map(ExifNotes::read).unwrap_or_default();
    let statements = physical(info).into_iter().chain(exif.resolution).collect();
    let frames = info.animation_control().map_or(1, |animation| animation.num_frames.max(1));
    cautions.extend(first_of(frames));
    let depth = if info.palette.is_some() && info.color_type == ColorType::Indexed { 8 } else { bits };
    let significant = info.sbit.as_deref().and_then(|bits| bits.iter().copied().max());
    let picture = finish(Format::Png, (width, height, depth), gathering, &mut cautions)?;
    let picture = picture.with_significant_bits(significant);
    Ok(Stored {
        picture,
        orientation: exif.orientation,
        polarity: Polarity::BlackIsZero,
        statements,
        frames,
        further: Further { date: exif.date, ..Further::default() },
        cautions,
    })
}

fn meaning(info: &Info<'_>) -> Result<Meaning, FilmError> {
    Ok(match info.color_type {
        ColorType::Grayscale | ColorType::GrayscaleAlpha => Meaning::Grey,
        ColorType::Rgb | ColorType::Rgba => Meaning::Colour,
        ColorType::Indexed => {
            let palette =
                info.palette.as_deref().ok_or_else(|| FilmError::damaged(Format::Png, "no palette"))?;
            let entry = |[red, green, blue]: &[u8; 3]| {
                PaletteEntry::new(u16::from(*red), u16::from(*green), u16::from(*blue))
            };
            Meaning::Palette(palette.as_chunks().0.iter().map(entry).collect())
        }
    })
}

/// pHYs (third edition, 11.3.4.3). Without the metre it states an aspect only.
fn physical(info: &Info<'_>) -> Option<Statement> {
    let stated = info.pixel_dims.filter(|stated| stated.unit == Unit::Meter)?;
    let (across, down) = (Some(f64::from(stated.xppu)), Some(f64::from(stated.yppu)));
    Some(Statement { from: PitchFrom::PngPhys, unit: PerLength::Metre, across, down })
}

fn failed(error: DecodingError) -> FilmError {
    match &error {
        DecodingError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            FilmError::Truncated(Format::Png)
        }
        _ => FilmError::damaged(Format::Png, error),
    }
}
