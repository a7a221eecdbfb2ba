//! From cells to grey values: bits masked, signs offset, colours weighted.

use super::encapsulated::{self, Decoded, Samples};
use super::layout::{Layout, Photometric};
use super::palette;
use super::part10::{Body, Coding};
use super::walk::{DataSet, Value};
use super::{Bounds, FilmError, Format};
use crate::caution::Caution;
use crate::film::Picture;
use crate::film::samples::{Gathering, Meaning};
use crate::film::stored::finish;
use crate::film::wanted::Wanted;
use dicom_dictionary_std::tags;

/// Where in a cell a value lies, and how it becomes a grey value (PS3.5, 8.1.1).
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Bits below the value.
    shift: u32,
    /// The bits of the value, once it is shifted down.
    mask: u16,
    /// The sign bit of a signed value: turning it over adds half the range.
    turn: u16,
    /// Bits a shorter signed value is moved up and down by to spread its sign.
    spread: u32,
}

impl Place {
    fn new(layout: &Layout, shift: u32) -> Self {
        let stored = u32::from(layout.stored);
        let mask = u16::MAX >> (16 - stored);
        Self { shift, mask, turn: if layout.signed { 1 << (stored - 1) } else { 0 }, spread: 0 }
    }

    fn of_cells(layout: &Layout) -> Self {
        Self::new(layout, u32::from(layout.high + 1 - layout.stored))
    }

    /// A code stream holds values alone, except where it has all the bits of a cell whose values lie high.
    fn of_code_stream(layout: &Layout, decoded: &Decoded) -> Self {
        let Some(precision) = decoded.precision else { return Self::of_cells(layout) };
        let mut place = if precision > layout.high { Self::of_cells(layout) } else { Self::new(layout, 0) };
        // An unsigned code stream of fewer bits than are stored lacks the sign's repetition.
        if layout.signed && !decoded.signed && precision < layout.stored {
            place.spread = 16 - u32::from(precision);
        }
        place
    }

    #[inline]
    fn value(self, cell: u16) -> u16 {
        ((cell >> self.shift) & self.mask) ^ self.turn
    }

    /// The value of a cell that was shorter than its place.
    #[inline]
    fn spread_value(self, cell: u16) -> u16 {
        self.value(((cell << self.spread).cast_signed() >> self.spread).cast_unsigned())
    }

    fn values(self, cells: impl Iterator<Item = u16>) -> Vec<u16> {
        if self.spread == 0 {
            cells.map(|cell| self.value(cell)).collect()
        } else {
            cells.map(|cell| self.spread_value(cell)).collect()
        }
    }
}

/// The first frame as a picture.
pub(super) fn picture(
    set: &DataSet<'_>,
    body: &Body<'_>,
    layout: &Layout,
    (bounds, wanted): (&Bounds, Wanted<'_>),
    cautions: &mut Vec<Caution>,
) -> Result<Picture, FilmError> {
    let element = set.element(tags::PIXEL_DATA).ok_or(FilmError::Truncated(Format::Dicom))?;
    bounds.check_picture(layout.columns, layout.rows, held_per_pixel(layout, body.coding))?;
    let (samples, photometric, planar) = match &element.value {
        Value::Bytes(bytes) if body.coding == Coding::Native => {
            // Words of another byte order hold pairs of 8-bit cells the other way round (PS3.5, 8.2).
            let swapped = set.big && element.representation == Some(*b"OW");
            (native(bytes, layout, set.big, swapped)?, layout.photometric, layout.planar)
        }
        Value::Bytes(_) => {
            let what = "its pixel data are in one piece, which its transfer syntax has not";
            return Err(FilmError::damaged(Format::Dicom, what));
        }
        Value::Items(_) => return Err(FilmError::damaged(Format::Dicom, "its pixel data are a sequence")),
        Value::Fragments(fragments) => {
            let stream = encapsulated::first_frame(fragments, layout, body.coding)?;
            let decoded = encapsulated::decode(&stream, layout, body, wanted)?;
            let place = Place::of_code_stream(layout, &decoded);
            let samples = match &decoded.samples {
                Samples::Bytes(bytes) => place.values(bytes.iter().map(|byte| u16::from(*byte))),
                Samples::Shorts(shorts) => place.values(shorts.iter().copied()),
                Samples::Cells(cells) if layout.cell_bytes() == 1 => {
                    place.values(cells.iter().map(|byte| u16::from(*byte)))
                }
                Samples::Cells(cells) => {
                    place.values(cells.as_chunks().0.iter().map(|pair| u16::from_le_bytes(*pair)))
                }
            };
            (samples, decoded.photometric, false)
        }
    };
    let (columns, rows) = (layout.columns, layout.rows);
    let (meaning, samples, bits) = match photometric {
        Photometric::Monochrome1 | Photometric::Monochrome2 => {
            return Picture::new(columns, rows, layout.stored, samples)
                .map_err(|error| FilmError::damaged(Format::Dicom, error));
        }
        Photometric::Palette => {
            let (entries, bits) = palette::read(set, layout)?;
            (Meaning::Palette(entries), samples, bits)
        }
        Photometric::Rgb | Photometric::YbrOfJpeg2000 => {
            (Meaning::Colour, in_turn(samples, planar), layout.stored)
        }
        Photometric::YbrFull => (Meaning::YCbCr, in_turn(samples, planar), layout.stored),
        Photometric::YbrFull422 => (Meaning::YCbCr, full_resolution(&samples), layout.stored),
    };
    let mut gathering = Gathering::new(Format::Dicom, meaning, layout.samples, layout.pixels(), wanted);
    gathering.row(&samples)?;
    finish(Format::Dicom, (columns, rows, bits), gathering, cautions)
}

/// The bytes that decoding holds of one pixel beside its grey value.
fn held_per_pixel(layout: &Layout, coding: Coding) -> u64 {
    let samples = layout.samples as u64;
    let gathered =
        if layout.samples == 1 && layout.photometric != Photometric::Palette { 0 } else { 2 * samples };
    gathered
        + match coding {
            Coding::Native => 0,
            Coding::RunLengths => samples * (2 + layout.cell_bytes() as u64),
            Coding::Jpeg | Coding::JpegLossless => 2 * samples,
            // Coefficients and samples of 32 bits, and the cells.
            Coding::Jpeg2000 => samples * (8 + layout.cell_bytes() as u64),
        }
}

/// The values of the first frame of plain cells.
fn native(bytes: &[u8], layout: &Layout, big: bool, swapped: bool) -> Result<Vec<u16>, FilmError> {
    let needed = layout.frame_bytes();
    let frame = bytes.get(..needed).ok_or_else(|| {
        let what = format!(
            "{} x {} pixels need {needed} bytes and its pixel data have {}",
            layout.columns,
            layout.rows,
            bytes.len()
        );
        FilmError::damaged(Format::Dicom, what)
    })?;
    let place = Place::of_cells(layout);
    if layout.cell_bytes() == 2 {
        let pairs = frame.as_chunks::<2>().0.iter();
        return Ok(if big {
            place.values(pairs.map(|pair| u16::from_be_bytes(*pair)))
        } else {
            place.values(pairs.map(|pair| u16::from_le_bytes(*pair)))
        });
    }
    if swapped {
        // The last cell of an odd number has its word completed by filling.
        let words = bytes.as_chunks::<2>().0.iter().flat_map(|[one, two]| [*two, *one]);
        return Ok(place.values(words.take(needed).map(u16::from)));
    }
    Ok(place.values(frame.iter().map(|byte| u16::from(*byte))))
}

/// The colours of each pixel in turn, out of one plane a colour.
fn in_turn(samples: Vec<u16>, planar: bool) -> Vec<u16> {
    if !planar {
        return samples;
    }
    let pixels = samples.len() / 3;
    let (red, rest) = samples.split_at(pixels);
    let (green, blue) = rest.split_at(pixels);
    red.iter().zip(green).zip(blue).flat_map(|((red, green), blue)| [*red, *green, *blue]).collect()
}

/// Y, Cb and Cr of every pixel, out of two Y, one Cb and one Cr for every two (PS3.3, C.7.6.3.1.2).
fn full_resolution(samples: &[u16]) -> Vec<u16> {
    let pairs = samples.as_chunks::<4>().0.iter();
    pairs.flat_map(|[first, second, blue, red]| [*first, *blue, *red, *second, *blue, *red]).collect()
}
