//! JPEG (ITU-T T.81) in JFIF and EXIF files, by the `zune-jpeg` crate in its strict mode: the lenient one fills
//! what is missing with grey and says nothing, and the strict one still does so at the end of a scan.

use super::exif::ExifNotes;
use super::jpeg_markers::{Frame, Markers, end_of_image};
use super::samples::{Gathering, Meaning};
use super::stored::{Further, Reader, Stored, StoredSize, finish};
use super::wanted::Wanted;
use super::{Bounds, FilmError, Format, Polarity};
use crate::caution::{Caution, CautionKind};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

pub(super) const READER: Reader = Reader { size, decode };

const SAVE_ANEW: &str = "save it as 8-bit JPEG in grey or RGB, or better as PNG";

fn size(bytes: &[u8], _bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let markers = Markers::read(bytes)?;
    let frame = markers.frame;
    let orientation = markers.exif.map(ExifNotes::read).unwrap_or_default().orientation;
    Ok(StoredSize { width: u32::from(frame.width), height: u32::from(frame.height), orientation })
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Stored, FilmError> {
    let markers = Markers::read(bytes)?;
    let frame = markers.frame;
    if !frame.huffman_dct() {
        return Err(FilmError::unsupported(Format::Jpeg, frame.process(), SAVE_ANEW));
    }
    if frame.precision != 8 {
        return Err(FilmError::unsupported(Format::Jpeg, format!("{} bits", frame.precision), SAVE_ANEW));
    }
    let (meaning, samples, colours) = match frame.components {
        1 => (Meaning::Grey, 1, ColorSpace::Luma),
        3 => (Meaning::Colour, 3, ColorSpace::RGB),
        4 => return Err(FilmError::unsupported(Format::Jpeg, "four inks, CMYK", SAVE_ANEW)),
        other => return Err(FilmError::unsupported(Format::Jpeg, format!("{other} components"), SAVE_ANEW)),
    };
    let (width, height) = (u32::from(frame.width), u32::from(frame.height));
    // A progressive picture's coefficients, 16 bits each, are all held at once.
    let held = if frame.progressive() { 3 } else { 1 };
    bounds.check_picture(width, height, held * samples as u64)?;
    let pixels = width as usize * height as usize;
    let buffer = whole_samples(bytes, frame, colours, pixels * samples, wanted)?;
    let mut gathering = Gathering::new(Format::Jpeg, meaning, samples, pixels, wanted);
    let mut line = Vec::new();
    for row in buffer.chunks_exact(width as usize * samples) {
        gathering.byte_row(row, &mut line)?;
    }
    let mut cautions = vec![Caution::general(CautionKind::LossyCompression)];
    let exif = markers.exif.map(ExifNotes::read).unwrap_or_default();
    Ok(Stored {
        picture: finish(Format::Jpeg, (width, height, 8), gathering, &mut cautions)?,
        orientation: exif.orientation,
        polarity: Polarity::BlackIsZero,
        statements: markers.density.into_iter().chain(exif.resolution).collect(),
        frames: 1,
        further: Further { date: exif.date, ..Further::default() },
        cautions,
    })
}

/// The samples of all pixels, `length` of them, of a picture that is all there.
pub(super) fn whole_samples(
    bytes: &[u8],
    frame: Frame,
    colours: ColorSpace,
    length: usize,
    wanted: Wanted<'_>,
) -> Result<Vec<u8>, FilmError> {
    // Every block takes at least one bit, so fewer bytes than that cannot hold the picture announced.
    let blocks = u64::from(frame.width.div_ceil(8)) * u64::from(frame.height.div_ceil(8));
    let end = end_of_image(bytes).filter(|_| blocks / 8 <= bytes.len() as u64);
    let (before, after) =
        end.and_then(|end| bytes.split_at_checked(end)).ok_or(FilmError::Truncated(Format::Jpeg))?;
    wanted.check()?;
    let buffer = samples_of(bytes, frame, colours, length)?;
    wanted.check()?;
    // Even in its strict mode the decoder goes on with zeros where a scan ends before its last block. What it
    // makes of a whole picture does not depend on bytes put before the end marker; of one that lacks more than
    // part of its last block, it does.
    // Bytes of 0xFF before a marker are none of the data (B.1.1.2).
    let data = before.iter().rposition(|byte| *byte != 0xff).and_then(|last| before.get(..=last));
    if samples_of(&[data.unwrap_or_default(), &FILLING, after].concat(), frame, colours, length)? != buffer {
        return Err(FilmError::damaged(Format::Jpeg, "its coded data end before its last block"));
    }
    Ok(buffer)
}

/// Coded data of no picture: they begin with a bit that is set, and hold no marker.
const FILLING: [u8; 32] = [0xb5; 32];

fn samples_of(bytes: &[u8], frame: Frame, colours: ColorSpace, length: usize) -> Result<Vec<u8>, FilmError> {
    let (width, height) = (usize::from(frame.width), usize::from(frame.height));
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(width)
        .set_max_height(height)
        .jpeg_set_out_colorspace(colours);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(|error| FilmError::damaged(Format::Jpeg, error))?;
    if decoder.dimensions() != Some((width, height)) {
        return Err(FilmError::damaged(Format::Jpeg, "it states two sizes"));
    }
    if decoder.output_buffer_size() != Some(length) {
        return Err(FilmError::damaged(Format::Jpeg, "it states two kinds of colour"));
    }
    let mut buffer = vec![0; length];
    decoder.decode_into(&mut buffer).map_err(|error| FilmError::damaged(Format::Jpeg, error))?;
    Ok(buffer)
}
