//! From the samples of a row as stored to grey values: bits unpacked, colour weighted, palettes looked up.

use super::wanted::Wanted;
use super::{FilmError, Format};

/// The grey of a colour: 0.299 R + 0.587 G + 0.114 B (ITU-R BT.601), rounded, halves upwards. In whole
/// thousandths, so that three equal samples give exactly that sample.
pub(super) fn weighted(red: u16, green: u16, blue: u16) -> u16 {
    let thousandths = 299 * u32::from(red) + 587 * u32::from(green) + 114 * u32::from(blue);
    // At most 65535: the weights add up to one thousand.
    u16::try_from((thousandths + 500) / 1000).unwrap_or(u16::MAX)
}

/// The colour of Y, Cb and Cr (JFIF 1.02, conversion to and from RGB), rounded and held to 8 bits, in whole
/// millionths. It goes by way of RGB, not straight to Y, so that a colour too strong for RGB gets the same grey
/// here as from any program that shows it.
fn rgb(luma: u16, blue_less_luma: u16, red_less_luma: u16) -> [u16; 3] {
    let (luma, b, r) = (i64::from(luma), i64::from(blue_less_luma) - 128, i64::from(red_less_luma) - 128);
    let millionths = [1_402_000 * r, -344_136 * b - 714_136 * r, 1_772_000 * b];
    millionths.map(|difference| {
        let value = (luma * 1_000_000 + difference + 500_000).div_euclid(1_000_000);
        // Held to 8 bits.
        u16::try_from(value.clamp(0, 255)).unwrap_or(0)
    })
}

/// One entry of a palette, already grey.
#[derive(Debug, Clone, Copy)]
pub(super) struct PaletteEntry {
    grey: u16,
    coloured: bool,
}

impl PaletteEntry {
    /// The entry of this colour.
    pub(super) fn new(red: u16, green: u16, blue: u16) -> Self {
        Self { grey: weighted(red, green, blue), coloured: red != green || green != blue }
    }
}

/// What the samples of one pixel mean. Samples after those named are left out.
#[derive(Debug)]
pub(super) enum Meaning {
    /// The first is grey.
    Grey,
    /// The first three are red, green and blue.
    Colour,
    /// The first three are Y, Cb and Cr of 8 bits, full range, as JFIF 1.02 defines them.
    YCbCr,
    /// The first is an index.
    Palette(Vec<PaletteEntry>),
}

/// Gathers rows of samples into grey values.
#[derive(Debug)]
pub(super) struct Gathering<'a> {
    wanted: Wanted<'a>,
    format: Format,
    meaning: Meaning,
    samples: usize,
    grey: Vec<u16>,
    coloured: bool,
}

impl<'a> Gathering<'a> {
    /// Expects `pixels` pixels of `samples` samples each, for as long as they are wanted.
    pub(super) fn new(
        format: Format,
        meaning: Meaning,
        samples: usize,
        pixels: usize,
        wanted: Wanted<'a>,
    ) -> Self {
        Self {
            wanted,
            format,
            meaning,
            samples: samples.max(1),
            grey: Vec::with_capacity(pixels),
            coloured: false,
        }
    }

    /// Takes one row of whole pixels of 16-bit samples in big-endian order.
    pub(super) fn big_endian_row(&mut self, row: &[u8], line: &mut Vec<u16>) -> Result<(), FilmError> {
        self.wanted.check()?;
        let values = row.as_chunks::<2>().0.iter().map(|pair| u16::from_be_bytes(*pair));
        if self.samples == 1 && matches!(self.meaning, Meaning::Grey) {
            self.grey.extend(values);
            return Ok(());
        }
        line.clear();
        line.extend(values);
        self.row(line)
    }

    /// Takes one row of whole pixels of 8-bit samples.
    pub(super) fn byte_row(&mut self, row: &[u8], line: &mut Vec<u16>) -> Result<(), FilmError> {
        self.wanted.check()?;
        if self.samples == 1 && matches!(self.meaning, Meaning::Grey) {
            self.grey.extend(row.iter().map(|byte| u16::from(*byte)));
            return Ok(());
        }
        line.clear();
        line.extend(row.iter().map(|byte| u16::from(*byte)));
        self.row(line)
    }

    /// Takes one row of whole pixels.
    pub(super) fn row(&mut self, samples: &[u16]) -> Result<(), FilmError> {
        self.wanted.check()?;
        if self.samples == 1 && matches!(self.meaning, Meaning::Grey) {
            self.grey.extend_from_slice(samples);
            return Ok(());
        }
        let pixels = samples.chunks_exact(self.samples);
        match &self.meaning {
            Meaning::Grey => self.grey.extend(pixels.filter_map(|pixel| pixel.first())),
            Meaning::Colour => {
                for pixel in pixels {
                    let [red, green, blue, ..] = *pixel else { continue };
                    self.coloured |= red != green || green != blue;
                    self.grey.push(weighted(red, green, blue));
                }
            }
            Meaning::YCbCr => {
                for pixel in pixels {
                    let [luma, blue_less_luma, red_less_luma, ..] = *pixel else { continue };
                    let [red, green, blue] = rgb(luma, blue_less_luma, red_less_luma);
                    self.coloured |= red != green || green != blue;
                    self.grey.push(weighted(red, green, blue));
                }
            }
            Meaning::Palette(palette) => {
                for index in pixels.filter_map(|pixel| pixel.first()) {
                    let Some(entry) = palette.get(usize::from(*index)) else {
                        let what = format!("colour {index} of a palette of {}", palette.len());
                        return Err(FilmError::damaged(self.format, what));
                    };
                    self.coloured |= entry.coloured;
                    self.grey.push(entry.grey);
                }
            }
        }
        Ok(())
    }

    /// The grey values, and whether any pixel was of a colour other than grey.
    pub(super) fn finish(self) -> (Vec<u16>, bool) {
        (self.grey, self.coloured)
    }
}

/// Unpacks `count` samples of 1 to 16 bits, the first in the highest bits, as PNG, TIFF (`FillOrder` 1) and BMP
/// pack them. Fewer where the bytes end before.
pub(super) fn unpack(bytes: &[u8], bits: u8, count: usize, line: &mut Vec<u16>) {
    line.clear();
    let mut held: u32 = 0;
    let mut held_bits: u8 = 0;
    let mask = (1_u32 << bits) - 1;
    for byte in bytes {
        held = held << 8 | u32::from(*byte);
        held_bits += 8;
        while held_bits >= bits {
            if line.len() == count {
                return;
            }
            held_bits -= bits;
            // Masked to at most sixteen bits.
            line.push(u16::try_from(held >> held_bits & mask).unwrap_or(u16::MAX));
        }
        // At most fifteen bits stay behind; what was used must not be shifted out of the top later.
        held &= (1 << held_bits) - 1;
    }
}
