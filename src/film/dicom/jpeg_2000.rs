//! JPEG 2000: what a code stream says of itself, compared with the data set before its decoder takes memory for it, and
//! its decoding by the codec of the DICOM crates.

use super::encapsulated::agrees;
use super::layout::Layout;
use super::{FilmError, Format};
use dicom_encoding::adapters::{PixelDataObject, RawPixelData};
use dicom_encoding::transfer_syntax::{Codec, TransferSyntax, TransferSyntaxIndex as _};
use dicom_transfer_syntax_registry::TransferSyntaxRegistry;
use std::borrow::Cow;

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

/// What a JPEG 2000 code stream says of its samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct About2000 {
    pub(super) signed: bool,
    pub(super) precision: u8,
    /// Whether the decoder turns the first three components into red, green and blue.
    pub(super) transformed: bool,
}

const SIZ: u8 = 0x51;
const COD: u8 = 0x52;
const COC: u8 = 0x53;
const SOT: u8 = 0x90;
const SOD: u8 = 0x93;
/// More tiles, or precincts in all of them, than a film is cut into; a decoder takes memory for each.
const MOST_TILES: u64 = 4096;
const MOST_PRECINCTS: u64 = 1 << 20;

/// Checks the headers of a JPEG 2000 code stream (ITU-T T.800, annex A), those of its tiles too.
pub(super) fn check_jpeg_2000(bytes: &[u8], layout: &Layout) -> Result<About2000, FilmError> {
    let bare = bytes
        .strip_prefix(&[0xff, 0x4f])
        .ok_or_else(|| damaged("no JPEG 2000 code stream begins where its picture should"))?;
    let mut about: Option<(About2000, u64)> = None;
    let mut at = 0;
    let mut tile_start = None;
    while let Some(&[0xff, marker, high, low]) = bare.get(at..).and_then(|rest| rest.first_chunk::<4>()) {
        if marker == SOD || marker == 0xd9 {
            let Some(next) = tile_start.take().filter(|next| *next > at) else { break };
            at = next;
            continue;
        }
        let length = usize::from(u16::from_be_bytes([high, low]));
        let content = length.checked_sub(2).and_then(|length| bare.get(at + 4..at + 4 + length));
        let content = content.ok_or(FilmError::Truncated(Format::Dicom))?;
        match (marker, &mut about) {
            (SIZ, None) => about = Some(size(content, layout)?),
            (COD | COC, Some((about, tiles))) => coding_style(marker, content, layout, *tiles, about)?,
            (SOT, _) => {
                // Part of the tile's index; its length from the marker on, 0 for: to the end.
                let length = content.get(2..6).and_then(|four| four.first_chunk()).copied();
                let length = u32::from_be_bytes(length.unwrap_or_default()) as usize;
                tile_start = Some(at + length);
            }
            (_, None) => return Err(damaged("its JPEG 2000 code stream does not begin with its size")),
            _ => {}
        }
        at += 2 + length;
    }
    about.map(|(about, _)| about).ok_or(FilmError::Truncated(Format::Dicom))
}

/// The size segment (A.5.1), with the number of tiles.
fn size(content: &[u8], layout: &Layout) -> Result<(About2000, u64), FilmError> {
    let short = || damaged("its JPEG 2000 code stream has a short header");
    let (_, rest) = content.split_at_checked(2).ok_or_else(short)?;
    let (numbers, rest) = rest.split_at_checked(32).ok_or_else(short)?;
    let mut numbers = numbers.as_chunks::<4>().0.iter().map(|four| u32::from_be_bytes(*four));
    let mut next = || numbers.next().unwrap_or(0);
    let [right, bottom, left, top] = [next(), next(), next(), next()];
    let [tile_width, tile_height, tile_left, tile_top] = [next(), next(), next(), next()];
    let (count, components) = rest.split_first_chunk::<2>().ok_or_else(short)?;
    let count = usize::from(u16::from_be_bytes(*count));
    let columns = right.saturating_sub(left);
    let rows = bottom.saturating_sub(top);
    let components = components.as_chunks::<3>().0;
    let [depth, ..] = *components.first().ok_or_else(short)?;
    let precision = (depth & 0x7f) + 1;
    agrees((columns, rows, count), precision, layout)?;
    if components.len() != count || components.iter().any(|it| *it != [depth, 1, 1]) {
        return Err(super::unsupported("JPEG 2000 with colours of different kinds"));
    }
    if tile_width == 0 || tile_height == 0 || tile_left > left || tile_top > top {
        return Err(damaged("its JPEG 2000 code stream has tiles of no size"));
    }
    let across = u64::from(right - tile_left).div_ceil(u64::from(tile_width));
    let down = u64::from(bottom - tile_top).div_ceil(u64::from(tile_height));
    let tiles = across * down;
    if tiles > MOST_TILES {
        return Err(damaged(format!("its JPEG 2000 code stream has {tiles} tiles, more than {MOST_TILES}")));
    }
    let about = About2000 { signed: depth & 0x80 != 0, precision, transformed: false };
    Ok((about, tiles))
}

/// A coding style segment (A.6.1, A.6.2): what matters is how many precincts it makes, and the colour transform.
fn coding_style(
    marker: u8,
    content: &[u8],
    layout: &Layout,
    tiles: u64,
    about: &mut About2000,
) -> Result<(), FilmError> {
    let short = || damaged("its JPEG 2000 code stream has a short header");
    // COD: style, progression, layers (2), transform; COC: component, style. Then both: levels, and four more.
    let (style, rest) = if marker == COD {
        let [style, _, _, _, transform, rest @ ..] = content else { return Err(short()) };
        about.transformed |= *transform == 1 && layout.samples == 3;
        (style, rest)
    } else {
        let [_, style, rest @ ..] = content else { return Err(short()) };
        (style, rest)
    };
    let [levels, _, _, _, _, precincts @ ..] = rest else { return Err(short()) };
    if *levels > 32 {
        return Err(damaged("its JPEG 2000 code stream has more levels than there can be"));
    }
    if style & 1 == 0 {
        return Ok(());
    }
    let mut total = 0_u64;
    for (level, size) in (0..=*levels).rev().zip(precincts) {
        let count = |pixels: u32, exponent: u8| {
            // Each tile can have one more than its share.
            (u64::from(pixels) >> level >> exponent) + 1
        };
        total += count(layout.columns, size & 15) * count(layout.rows, size >> 4) + tiles;
    }
    if total > MOST_PRECINCTS {
        return Err(damaged(format!("its JPEG 2000 code stream has more than {MOST_PRECINCTS} precincts")));
    }
    Ok(())
}

/// What the codec may see of a file: one code stream and what describes it.
struct OneFrame<'a> {
    bytes: &'a [u8],
    layout: &'a Layout,
    syntax: &'a str,
}

/// The cells of a picture, lowest byte first.
pub(super) fn decode_jpeg_2000(bytes: &[u8], layout: &Layout, syntax: &str) -> Result<Vec<u8>, FilmError> {
    let codec = TransferSyntaxRegistry.get(syntax).map(TransferSyntax::codec);
    let Some(Codec::EncapsulatedPixelData(Some(reader), _)) = codec else {
        return Err(super::unsupported("JPEG 2000"));
    };
    let mut cells = Vec::new();
    // The decoder's own words may be long and name nothing a user knows.
    reader
        .decode_frame(&OneFrame { bytes, layout, syntax }, 0, &mut cells)
        .map_err(|_| damaged("its JPEG 2000 code stream cannot be decoded"))?;
    Ok(cells)
}

impl PixelDataObject for OneFrame<'_> {
    fn transfer_syntax_uid(&self) -> &str {
        self.syntax
    }

    fn rows(&self) -> Option<u16> {
        u16::try_from(self.layout.rows).ok()
    }

    fn cols(&self) -> Option<u16> {
        u16::try_from(self.layout.columns).ok()
    }

    fn samples_per_pixel(&self) -> Option<u16> {
        u16::try_from(self.layout.samples).ok()
    }

    fn bits_allocated(&self) -> Option<u16> {
        Some(u16::from(self.layout.allocated))
    }

    fn bits_stored(&self) -> Option<u16> {
        Some(u16::from(self.layout.allocated))
    }

    fn photometric_interpretation(&self) -> Option<&str> {
        Some(if self.layout.samples == 1 { "MONOCHROME2" } else { "RGB" })
    }

    fn number_of_frames(&self) -> Option<u32> {
        Some(1)
    }

    fn number_of_fragments(&self) -> Option<u32> {
        Some(1)
    }

    fn fragment(&self, fragment: usize) -> Option<Cow<'_, [u8]>> {
        (fragment == 0).then_some(Cow::Borrowed(self.bytes))
    }

    fn offset_table(&self) -> Option<Cow<'_, [u32]>> {
        None
    }

    fn raw_pixel_data(&self) -> Option<RawPixelData> {
        Some(RawPixelData { fragments: vec![self.bytes.to_vec()].into(), offset_table: Vec::new().into() })
    }
}
