//! TIFF 6.0 and `BigTIFF`, by the `tiff` crate, on samples as stored.

use super::jpeg_markers::{Markers, end_of_image};
use super::samples::{Gathering, Meaning, PaletteEntry, unpack};
use super::stored::{Further, Reader, Stored, StoredSize, finish, first_of};
use super::tiff_patch::View;
use super::tiff_tags::{
    JPEG_COMPRESSION, Opened, Photometric, SampleLayout, failed, opened, orientation, resolution, unsupported,
};
use super::wanted::Wanted;
use super::{Bounds, FilmError, Format, Polarity};
use crate::caution::{Caution, CautionKind};
use ::tiff::decoder::ChunkType;
use ::tiff::tags::Tag;

pub(super) const READER: Reader = Reader { size, decode };

fn size(bytes: &[u8], bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let mut decoder = opened(bytes, bounds.byte_limit(), Wanted::default())?;
    let (width, height) = decoder.dimensions().map_err(failed)?;
    Ok(StoredSize { width, height, orientation: orientation(&mut decoder) })
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Stored, FilmError> {
    let mut decoder = opened(bytes, bounds.byte_limit(), wanted)?;
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
    let meaning = meaning(&mut decoder, layout)?;
    let depth = if matches!(meaning, Meaning::Palette(_)) { 16 } else { layout.bits };
    let gathering = gather(bytes, bounds, layout, meaning, wanted)?;
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
    Ok(Stored { picture, orientation, polarity, statements, frames, further: Further::default(), cautions })
}

fn meaning(decoder: &mut Opened<'_>, layout: SampleLayout) -> Result<Meaning, FilmError> {
    Ok(match layout.photometric {
        Photometric::WhiteIsZero | Photometric::BlackIsZero => Meaning::Grey,
        Photometric::YCbCr => Meaning::YCbCr,
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

/// Gathers the samples of all rows, from one plane or from as many as the colour has.
fn gather<'a>(
    bytes: &[u8],
    bounds: &Bounds,
    layout: SampleLayout,
    meaning: Meaning,
    wanted: Wanted<'a>,
) -> Result<Gathering<'a>, FilmError> {
    let colours = if matches!(meaning, Meaning::Colour | Meaning::YCbCr) { 3 } else { 1 };
    let planes = if layout.planar { colours } else { 1 };
    let (buffers, strides): (Vec<_>, Vec<_>) =
        (0..planes).map(|plane| decoded(bytes, bounds, layout, plane, wanted)).collect::<Result<_, _>>()?;
    let samples = if layout.planar { colours } else { usize::from(layout.samples) };
    let pixels = layout.width as usize * layout.height as usize;
    let mut gathering = Gathering::new(Format::Tiff, meaning, samples, pixels, wanted);
    let count = layout.width as usize * samples / planes;
    let (mut line, mut part) = (vec![0; if planes == 1 { 0 } else { count * planes }], Vec::new());
    for row in 0..layout.height as usize {
        for (plane, (buffer, stride)) in buffers.iter().zip(&strides).enumerate() {
            let stored = buffer.get(row * stride..(row + 1) * stride).unwrap_or_default();
            row_samples(stored, layout.bits, count, &mut part);
            if layout.signed {
                // Signed values are offset by half the range, which turns the sign bit over.
                for value in &mut part {
                    *value ^= 1 << (layout.bits - 1);
                }
            }
            if planes > 1 {
                let places = line.iter_mut().skip(plane).step_by(planes);
                places.zip(&part).for_each(|(sample, value)| *sample = *value);
            }
        }
        // Samples of one plane lie in order already.
        gathering.row(if planes == 1 { &part } else { &line })?;
    }
    Ok(gathering)
}

/// Decodes the samples of one plane as stored, and says how many bytes a row of them has, by a view of the
/// directory that makes the decoder leave them alone.
fn decoded(
    bytes: &[u8],
    bounds: &Bounds,
    layout: SampleLayout,
    plane: usize,
    wanted: Wanted<'_>,
) -> Result<(Vec<u8>, usize), FilmError> {
    let plain = match layout.photometric {
        Photometric::BlackIsZero => true,
        Photometric::Rgb => !layout.extra,
        _ => false,
    };
    let copy = if plain && !layout.packed() && !layout.planar {
        None
    } else {
        let view = view(layout, plane)?;
        Some(view.of(bytes).ok_or_else(|| FilmError::damaged(Format::Tiff, "its directory is damaged"))?)
    };
    let mut decoder = opened(copy.as_deref().unwrap_or(bytes), bounds.byte_limit(), wanted)?;
    let needed = decoder.image_buffer_layout().map_err(failed)?;
    if needed.complete_len > bounds.byte_limit() {
        return Err(FilmError::TooManyBytes {
            needed: u64::try_from(needed.complete_len).unwrap_or(u64::MAX),
            limit: bounds.max_bytes,
        });
    }
    let stride = needed.row_stride.ok_or_else(|| FilmError::damaged(Format::Tiff, "rows without bytes"))?;
    let mut buffer = vec![0; needed.complete_len];
    decoder.read_image_bytes(&mut buffer).map_err(failed)?;
    Ok((buffer, stride.get()))
}

/// The view in which samples are plain grey, and packed ones plain bytes.
fn view(layout: SampleLayout, plane: usize) -> Result<View, FilmError> {
    const BLACK_IS_ZERO: u32 = 1;
    const CHUNKY: u32 = 1;
    let mut view = View::default();
    view.values.push((Tag::PhotometricInterpretation, BLACK_IS_ZERO));
    if layout.planar {
        view.values.push((Tag::PlanarConfiguration, CHUNKY));
        view.plane = Some((plane, usize::from(layout.samples)));
    }
    if layout.planar || layout.packed() {
        view.values.push((Tag::SamplesPerPixel, 1));
        view.values.push((Tag::BitsPerSample, if layout.packed() { 8 } else { u32::from(layout.bits) }));
        view.hidden.push(Tag::ExtraSamples);
    }
    if layout.packed() {
        let what = || unsupported(format!("tiles of {} bits a sample that end within a byte", layout.bits));
        view.values.push((Tag::ImageWidth, layout.row_bytes().ok_or_else(what)?));
        if let Some(width) = layout.tile_width {
            view.values.push((Tag::TileWidth, layout.whole_bytes(width).ok_or_else(what)?));
        }
    }
    Ok(view)
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
        if end_of_image(part).is_none() {
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
