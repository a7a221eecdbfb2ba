//! Encapsulated pixel data: which fragments are the first frame's (PS3.5, A.4), and their decoding.

use super::jpeg_2000::{check_jpeg_2000, decode_jpeg_2000};
use super::layout::{Layout, Photometric};
use super::part10::{Body, Coding};
use super::{FilmError, Format, unsupported};
use super::{jpeg_lossless, run_lengths};
use crate::film::jpeg::whole_samples;
use crate::film::jpeg_markers::{Markers, Segments};
use crate::film::wanted::Wanted;
use std::borrow::Cow;
use zune_jpeg::zune_core::colorspace::ColorSpace;

/// Samples out of a code stream, the colours of a pixel in turn.
pub(super) enum Samples {
    /// Of 8 bits.
    Bytes(Vec<u8>),
    /// Of up to 16 bits.
    Shorts(Vec<u16>),
    /// As plain cells, lowest byte first.
    Cells(Vec<u8>),
}

/// What came out of a code stream.
pub(super) struct Decoded {
    pub(super) samples: Samples,
    /// Bits of the code stream's samples; `None` where it holds whole cells.
    pub(super) precision: Option<u8>,
    /// Whether the samples came out with their sign, whatever the data set says.
    pub(super) signed: bool,
    /// What the samples mean after decoding.
    pub(super) photometric: Photometric,
}

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

/// Refuses a code stream of another size than the data set's.
pub(super) fn agrees(
    (columns, rows, samples): (u32, u32, usize),
    precision: u8,
    layout: &Layout,
) -> Result<(), FilmError> {
    if (columns, rows, samples) != (layout.columns, layout.rows, layout.samples) {
        return Err(damaged(format!(
            "its code stream is {columns} x {rows} pixels of {samples} samples, its data set says {} x {} of {}",
            layout.columns, layout.rows, layout.samples
        )));
    }
    if precision > layout.allocated {
        let what =
            format!("its code stream has {precision} bits, its data set room for {}", layout.allocated);
        return Err(damaged(what));
    }
    Ok(())
}

/// The code stream of the first frame out of all fragments, the offset table first.
pub(super) fn first_frame<'a>(
    fragments: &[&'a [u8]],
    layout: &Layout,
    coding: Coding,
) -> Result<Cow<'a, [u8]>, FilmError> {
    let (table, fragments) = fragments.split_first().ok_or(FilmError::Truncated(Format::Dicom))?;
    let first = *fragments.first().ok_or(FilmError::Truncated(Format::Dicom))?;
    // The offset of the second frame counts from the first fragment's item tag.
    let second = table.as_chunks::<4>().0.get(1).map(|four| u32::from_le_bytes(*four) as usize);
    let count = if layout.frames == 1 {
        fragments.len()
    } else if coding == Coding::RunLengths || fragments.len() == layout.frames as usize {
        1
    } else if let Some(second) = second {
        let mut at = 0;
        fragments
            .iter()
            .take_while(|fragment| {
                let before = at < second;
                at += fragment.len() + 8;
                before
            })
            .count()
    } else {
        // Without a table, a frame goes on until a code stream begins.
        let begins: &[u8] = if coding == Coding::Jpeg2000 { &[0xff, 0x4f] } else { &[0xff, 0xd8] };
        1 + fragments.iter().skip(1).take_while(|fragment| !fragment.starts_with(begins)).count()
    };
    Ok(match fragments.get(..count) {
        Some([_, _, ..]) => Cow::Owned(fragments.get(..count).unwrap_or_default().concat()),
        _ => Cow::Borrowed(first),
    })
}

/// Decodes the first frame.
pub(super) fn decode(
    bytes: &[u8],
    layout: &Layout,
    body: &Body<'_>,
    wanted: Wanted<'_>,
) -> Result<Decoded, FilmError> {
    match body.coding {
        Coding::Native => Err(damaged("its pixel data are in fragments, which its transfer syntax has not")),
        Coding::RunLengths => {
            let samples = run_lengths::decode(bytes, layout)?;
            Ok(Decoded { samples, precision: None, signed: layout.signed, photometric: layout.photometric })
        }
        Coding::Jpeg => jpeg(bytes, layout, wanted),
        Coding::JpegLossless => {
            let decoded = jpeg_lossless::decode(bytes, layout, wanted)?;
            Ok(Decoded {
                samples: Samples::Shorts(decoded.samples),
                precision: Some(decoded.precision),
                signed: false,
                photometric: plain(layout.photometric),
            })
        }
        Coding::Jpeg2000 => {
            let about = check_jpeg_2000(bytes, layout)?;
            let samples = Samples::Cells(decode_jpeg_2000(bytes, layout, body.syntax)?);
            let photometric = if about.transformed { Photometric::Rgb } else { plain(layout.photometric) };
            Ok(Decoded { samples, precision: Some(about.precision), signed: about.signed, photometric })
        }
    }
}

/// A code stream has all samples of every colour once it is decoded.
const fn plain(photometric: Photometric) -> Photometric {
    match photometric {
        Photometric::YbrFull422 => Photometric::YbrFull,
        Photometric::YbrOfJpeg2000 => Photometric::Rgb,
        other => other,
    }
}

/// JPEG by cosine transform, of 8 bits.
fn jpeg(bytes: &[u8], layout: &Layout, wanted: Wanted<'_>) -> Result<Decoded, FilmError> {
    let frame = Markers::read(bytes).map_err(in_dicom)?.frame;
    agrees(
        (u32::from(frame.width), u32::from(frame.height), usize::from(frame.components)),
        frame.precision,
        layout,
    )?;
    if !frame.huffman_dct() {
        return Err(unsupported(format!("JPEG, {}", frame.process())));
    }
    if frame.precision != 8 {
        return Err(unsupported(format!("lossy JPEG of {} bits", frame.precision)));
    }
    let colour = layout.samples == 3;
    let rgb_names = colour && has_rgb_names(bytes);
    // The decoder leaves samples alone where it is asked for the colours it takes them to be.
    let colours = match (colour, rgb_names) {
        (false, _) => ColorSpace::Luma,
        (true, true) => ColorSpace::RGB,
        (true, false) => ColorSpace::YCbCr,
    };
    let length = layout.pixels() * layout.samples;
    let samples = whole_samples(&without_adobe(bytes), frame, colours, length, wanted).map_err(in_dicom)?;
    // Component names and JFIF headers know better than the data set which writers forgot to change.
    let jfif = Segments::of(bytes).any(|(marker, content)| marker == 0xe0 && content.starts_with(b"JFIF\0"));
    let photometric = match plain(layout.photometric) {
        _ if rgb_names => Photometric::Rgb,
        Photometric::Rgb if jfif => Photometric::YbrFull,
        other => other,
    };
    Ok(Decoded { samples: Samples::Bytes(samples), precision: Some(8), signed: false, photometric })
}

/// Whether the components of a JPEG are named R, G and B.
fn has_rgb_names(bytes: &[u8]) -> bool {
    Segments::of(bytes).any(|(marker, content)| {
        let names = content.get(6..).unwrap_or_default().as_chunks::<3>().0.iter().map(|[name, ..]| *name);
        matches!(marker, 0xc0..=0xc2) && names.eq(*b"RGB")
    })
}

/// The same JPEG without the note by which decoders guess at its colours: the data set says what they are.
fn without_adobe(bytes: &[u8]) -> Cow<'_, [u8]> {
    const NOTE: u8 = 0xee;
    const OTHER: u8 = 0xef;
    let notes: Vec<usize> = bytes
        .windows(9)
        .enumerate()
        .filter(|(_, window)| window.starts_with(&[0xff, NOTE]) && window.ends_with(b"Adobe"))
        .map(|(at, _)| at + 1)
        .collect();
    if notes.is_empty() {
        return Cow::Borrowed(bytes);
    }
    let mut copy = bytes.to_vec();
    for at in notes {
        if let Some(marker) = copy.get_mut(at) {
            *marker = OTHER;
        }
    }
    Cow::Owned(copy)
}

/// An error of the JPEG reader as one of the file it stands in.
fn in_dicom(error: FilmError) -> FilmError {
    match error {
        FilmError::Truncated(_) => FilmError::Truncated(Format::Dicom),
        FilmError::Damaged { what, .. } => damaged(format!("its JPEG: {what}")),
        other => other,
    }
}
