//! TIFF 6.0 and `BigTIFF`, by the `tiff` crate, on samples as stored.

use super::jpeg_markers::{Markers, complete};
use super::samples::{Gathering, Meaning, PaletteEntry, unpack};
use super::stored::{Reader, Stored, StoredSize, finish, first_of};
use super::tiff_patch::patched;
use super::tiff_tags::{
    JPEG_COMPRESSION, Opened, Photometric, SampleLayout, failed, opened, orientation, resolution, unsupported,
};
use super::{Bounds, FilmError, Format, Polarity};
use crate::caution::{Caution, CautionKind};
use ::tiff::decoder::ChunkType;
use ::tiff::tags::Tag;

pub(super) const READER: Reader = Reader { size, decode };

fn size(bytes: &[u8], bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let mut decoder = opened(bytes, bounds.byte_limit())?;
    let (width, height) = decoder.dimensions().map_err(failed)?;
    Ok(StoredSize { width, height, orientation: orientation(&mut decoder) })
}

fn decode(bytes: &[u8], bounds: &Bounds) -> Result<Stored, FilmError> {
    let mut decoder = opened(bytes, bounds.byte_limit())?;
    let layout = SampleLayout::read(&mut decoder)?;
    let pixel_bits = u64::from(layout.samples) * u64::from(layout.bits);
    bounds.check_picture(layout.width, layout.height, pixel_bits.div_ceil(8))?;
    let mut cautions = Vec::new();
    if layout.compression == JPEG_COMPRESSION {
        check_inner_jpegs(bytes, &mut decoder, layout)?;
        cautions.push(Caution::general(CautionKind::LossyCompression));
    }
    if layout.extra {
        cautions.push(Caution::general(CautionKind::TransparencyIgnored));
    }
    if layout.photometric == Photometric::YCbCr {
        cautions.push(Caution::general(CautionKind::ColourFilm));
    }
    let meaning = meaning(&mut decoder, layout)?;
    let depth = if matches!(meaning, Meaning::Palette(_)) { 16 } else { layout.bits };
    let gathering = gather(bytes, bounds, layout, meaning)?;
    let orientation = orientation(&mut decoder);
    let statements = resolution(&mut decoder).into_iter().collect();
    let frames = pages(&mut decoder);
    cautions.extend(first_of(frames));
    let polarity = if layout.photometric == Photometric::WhiteIsZero {
        Polarity::WhiteIsZero
    } else {
        Polarity::BlackIsZero
    };
    let size = (layout.width, layout.height, depth);
    let picture = finish(Format::Tiff, size, gathering, &mut cautions)?;
    Ok(Stored { picture, orientation, polarity, statements, frames, cautions })
}

/// The grey of YCbCr colour is its Y: put the three weights of BT.601 into the transform that defines Y, and Cb
/// and Cr cancel.
fn meaning(decoder: &mut Opened<'_>, layout: SampleLayout) -> Result<Meaning, FilmError> {
    Ok(match layout.photometric {
        Photometric::WhiteIsZero | Photometric::BlackIsZero | Photometric::YCbCr => Meaning::Grey,
        Photometric::Rgb => Meaning::Colour,
        Photometric::Palette => {
            let map: Vec<u16> = decoder
                .find_tag_unsigned_vec(Tag::ColorMap)
                .map_err(failed)?
                .ok_or_else(|| FilmError::damaged(Format::Tiff, "no colour map"))?;
            let colours = 1_usize << layout.bits;
            let (red, rest) = map.split_at_checked(colours).unwrap_or_default();
            let (green, blue) = rest.split_at_checked(colours).unwrap_or_default();
            if blue.len() != colours {
                let what = format!("a colour map of {} values for {} bits", map.len(), layout.bits);
                return Err(FilmError::damaged(Format::Tiff, what));
            }
            let colours = red.iter().zip(green).zip(blue);
            Meaning::Palette(
                colours.map(|((red, green), blue)| PaletteEntry::new(*red, *green, *blue)).collect(),
            )
        }
    })
}

/// Decodes the samples as stored, by a view of the directory that the decoder leaves alone.
fn gather(
    bytes: &[u8],
    bounds: &Bounds,
    layout: SampleLayout,
    meaning: Meaning,
) -> Result<Gathering, FilmError> {
    const BLACK_IS_ZERO: (u16, u32) = (262, 1);
    let as_is = match layout.photometric {
        Photometric::BlackIsZero => !layout.packed(),
        Photometric::Rgb => !layout.packed() && !layout.extra,
        _ => false,
    };
    let copy = if as_is {
        None
    } else {
        let mut values = vec![BLACK_IS_ZERO];
        let mut hidden = Vec::new();
        if layout.packed() {
            values.extend(byte_view(layout)?);
            hidden.push(Tag::ExtraSamples.to_u16());
        }
        let copy = patched(bytes, &values, &hidden);
        Some(copy.ok_or_else(|| FilmError::damaged(Format::Tiff, "its directory ends early"))?)
    };
    let mut decoder = opened(copy.as_deref().unwrap_or(bytes), bounds.byte_limit())?;
    let buffer_layout = decoder.image_buffer_layout().map_err(failed)?;
    if buffer_layout.complete_len > bounds.byte_limit() {
        let needed = buffer_layout.complete_len as u64;
        return Err(FilmError::TooManyBytes { needed, limit: bounds.max_bytes });
    }
    let mut buffer = vec![0; buffer_layout.complete_len];
    decoder.read_image_bytes(&mut buffer).map_err(failed)?;
    let (Some(stride), Some(plane)) = (buffer_layout.row_stride, buffer_layout.plane_stride) else {
        return Err(FilmError::damaged(Format::Tiff, "rows without bytes"));
    };
    let wanted = if matches!(meaning, Meaning::Colour) { 3 } else { 1 };
    let planes = if layout.planar { wanted } else { 1 };
    let pixels = layout.width as usize * layout.height as usize;
    let samples = if layout.planar { wanted } else { usize::from(layout.samples) };
    let mut gathering = Gathering::new(Format::Tiff, meaning, samples, pixels);
    let count = layout.width as usize * samples / planes;
    let (mut line, mut part) = (Vec::new(), Vec::new());
    let sign = if layout.signed { 1 << (layout.bits - 1) } else { 0 };
    for row in 0..layout.height as usize {
        line.clear();
        line.resize(count * planes, 0);
        for index in 0..planes {
            let start = index * plane.get() + row * stride.get();
            let stored = buffer.get(start..start + stride.get()).unwrap_or_default();
            row_samples(stored, layout.bits, count, &mut part);
            // Signed values are offset by half the range, which turns the sign bit over.
            for (sample, value) in line.iter_mut().skip(index).step_by(planes).zip(&part) {
                *sample = value ^ sign;
            }
        }
        gathering.row(&line)?;
    }
    Ok(gathering)
}

/// The values of tags that make rows of packed samples into rows of bytes.
fn byte_view(layout: SampleLayout) -> Result<Vec<(u16, u32)>, FilmError> {
    let odd =
        || unsupported(format!("tiles or rows of {} bits a sample that end within a byte", layout.bits));
    let mut values = vec![
        (Tag::ImageWidth.to_u16(), layout.row_bytes().ok_or_else(odd)?),
        (Tag::BitsPerSample.to_u16(), 8),
    ];
    if !layout.planar {
        values.push((Tag::SamplesPerPixel.to_u16(), 1));
    }
    if let Some(width) = layout.tile_width {
        values.push((Tag::TileWidth.to_u16(), layout.whole_bytes(width).ok_or_else(odd)?));
    }
    Ok(values)
}

/// The samples of a row as the decoder left it: 16 bits in this machine's order, others as stored.
fn row_samples(stored: &[u8], bits: u8, count: usize, line: &mut Vec<u16>) {
    match bits {
        8 => {
            line.clear();
            line.extend(stored.iter().take(count).map(|byte| u16::from(*byte)));
        }
        16 => {
            line.clear();
            line.extend(stored.as_chunks::<2>().0.iter().take(count).map(|pair| u16::from_ne_bytes(*pair)));
        }
        _ => unpack(stored, bits, count, line),
    }
}

/// A strip or tile of JPEG has a size of its own, which the decoder would believe.
fn check_inner_jpegs(bytes: &[u8], decoder: &mut Opened<'_>, layout: SampleLayout) -> Result<(), FilmError> {
    let (at, lengths) = match decoder.get_chunk_type() {
        ChunkType::Strip => (Tag::StripOffsets, Tag::StripByteCounts),
        ChunkType::Tile => (Tag::TileOffsets, Tag::TileByteCounts),
    };
    let mut numbers = |tag| {
        Ok::<Vec<u64>, FilmError>(decoder.find_tag_unsigned_vec(tag).map_err(failed)?.unwrap_or_default())
    };
    let (offsets, lengths) = (numbers(at)?, numbers(lengths)?);
    let (width, height) = decoder.chunk_dimensions();
    let height =
        if decoder.get_chunk_type() == ChunkType::Strip { height.min(layout.height) } else { height };
    for (offset, length) in offsets.iter().zip(lengths) {
        let (Ok(start), Ok(length)) = (usize::try_from(*offset), usize::try_from(length)) else {
            return Err(FilmError::Truncated(Format::Tiff));
        };
        let part = bytes.get(start..).and_then(|rest| rest.get(..length));
        let part = part.ok_or(FilmError::Truncated(Format::Tiff))?;
        let frame = Markers::read(part).map_err(|error| FilmError::damaged(Format::Tiff, error))?.frame;
        if u32::from(frame.width) > width || u32::from(frame.height) > height {
            return Err(FilmError::damaged(Format::Tiff, "a JPEG inside it is larger than its place"));
        }
        if !complete(part) {
            return Err(FilmError::Truncated(Format::Tiff));
        }
    }
    Ok(())
}

/// How many pictures the file holds. Counting stops at one that is damaged, and at a number no film has.
fn pages(decoder: &mut Opened<'_>) -> u32 {
    const ENOUGH: u32 = 10_000;
    let mut pages = 1;
    while pages < ENOUGH && decoder.more_images() && decoder.next_image().is_ok() {
        pages += 1;
    }
    pages
}
