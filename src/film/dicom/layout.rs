//! How the pixels of a data set lie in their cells, checked before anything is allocated (PS3.3, C.7.6.3).

use super::attributes::Stated;
use super::walk::DataSet;
use super::{FilmError, Format, unsupported};
use dicom_core::Tag;
use dicom_dictionary_std::tags;

/// What the samples of a pixel mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Photometric {
    /// Grey, small values bright.
    Monochrome1,
    /// Grey, small values dark.
    Monochrome2,
    /// An index into three tables.
    Palette,
    /// Red, green, blue.
    Rgb,
    /// Y, Cb, Cr of full range.
    YbrFull,
    /// The same, the last two for every second column only.
    YbrFull422,
    /// What JPEG 2000 makes of red, green and blue, and its decoder unmakes.
    YbrOfJpeg2000,
}

/// The pixels' place, size and meaning.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    pub(super) rows: u32,
    pub(super) columns: u32,
    pub(super) samples: usize,
    pub(super) photometric: Photometric,
    /// Bits of a cell, 8 or 16.
    pub(super) allocated: u8,
    /// Bits of a value.
    pub(super) stored: u8,
    /// The place of the highest bit of a value in its cell.
    pub(super) high: u8,
    pub(super) signed: bool,
    /// Whether each colour has a plane of its own.
    pub(super) planar: bool,
    pub(super) frames: u32,
}

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

impl Layout {
    pub(super) fn read(set: &DataSet<'_>) -> Result<Self, FilmError> {
        let needed = |tag: Tag, name: &str| {
            set.short(tag).ok_or_else(|| damaged(format!("it states no {name}, which every picture must")))
        };
        let (rows, columns) = (needed(tags::ROWS, "Rows")?, needed(tags::COLUMNS, "Columns")?);
        if rows == 0 || columns == 0 {
            return Err(damaged(format!("it says it is {columns} x {rows} pixels")));
        }
        let photometric = photometric(set)?;
        let colours = if matches!(
            photometric,
            Photometric::Monochrome1 | Photometric::Monochrome2 | Photometric::Palette
        ) {
            1
        } else {
            3
        };
        let samples = set.short(tags::SAMPLES_PER_PIXEL).unwrap_or(colours);
        if samples != colours {
            return Err(damaged(format!("its pixels have {samples} samples where their kind has {colours}")));
        }
        let allocated = match needed(tags::BITS_ALLOCATED, "Bits Allocated")? {
            8 => 8,
            16 => 16,
            other => return Err(unsupported(format!("Bits Allocated {other}, neither 8 nor 16"))),
        };
        let stored = set.short(tags::BITS_STORED).unwrap_or(u16::from(allocated));
        let high = set.short(tags::HIGH_BIT).unwrap_or_else(|| stored.saturating_sub(1));
        let fits = (1..=u16::from(allocated)).contains(&stored)
            && (stored - 1..u16::from(allocated)).contains(&high);
        let (Ok(stored), Ok(high), true) = (u8::try_from(stored), u8::try_from(high), fits) else {
            let what =
                format!("{stored} bits stored up to bit {high} do not fit into {allocated} bits allocated");
            return Err(damaged(what));
        };
        let signed = set.short(tags::PIXEL_REPRESENTATION).unwrap_or(0) == 1;
        if signed && colours == 3 {
            return Err(unsupported("colours of signed samples"));
        }
        if allocated != 8 && matches!(photometric, Photometric::YbrFull | Photometric::YbrFull422) {
            return Err(unsupported("Y, Cb, Cr of more than 8 bits"));
        }
        Ok(Self {
            rows: u32::from(rows),
            columns: u32::from(columns),
            samples: usize::from(samples),
            photometric,
            allocated,
            stored,
            high,
            signed,
            planar: colours == 3 && set.short(tags::PLANAR_CONFIGURATION).unwrap_or(0) == 1,
            frames: frames(set)?,
        })
    }

    pub(super) const fn pixels(&self) -> usize {
        self.rows as usize * self.columns as usize
    }

    pub(super) const fn cell_bytes(&self) -> usize {
        self.allocated as usize / 8
    }

    /// The bytes of one frame of plain cells.
    pub(super) fn frame_bytes(&self) -> usize {
        let samples = if self.photometric == Photometric::YbrFull422 { 2 } else { self.samples };
        self.pixels() * samples * self.cell_bytes()
    }
}

fn photometric(set: &DataSet<'_>) -> Result<Photometric, FilmError> {
    Ok(match set.text(tags::PHOTOMETRIC_INTERPRETATION) {
        Some("MONOCHROME1") => Photometric::Monochrome1,
        Some("MONOCHROME2") => Photometric::Monochrome2,
        Some("PALETTE COLOR") => Photometric::Palette,
        Some("RGB") => Photometric::Rgb,
        Some("YBR_FULL") => Photometric::YbrFull,
        Some("YBR_FULL_422") => Photometric::YbrFull422,
        Some("YBR_RCT" | "YBR_ICT") => Photometric::YbrOfJpeg2000,
        Some("YBR_PARTIAL_422" | "YBR_PARTIAL_420") => return Err(unsupported("Y, Cb, Cr of partial range")),
        // A word of the file's own is not shown.
        Some(_) => return Err(unsupported("a Photometric Interpretation that is not known here")),
        None => return Err(damaged("it states no Photometric Interpretation, which every picture must")),
    })
}

fn frames(set: &DataSet<'_>) -> Result<u32, FilmError> {
    match set.decimal(tags::NUMBER_OF_FRAMES) {
        // Zero frames are written by some for one.
        Stated::Nothing | Stated::Value(0.0) => Ok(1),
        Stated::Value(frames) if frames.fract() == 0.0 && (1.0..=f64::from(u32::MAX)).contains(&frames) => {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked just above")]
            let frames = frames as u32;
            Ok(frames)
        }
        _ => Err(damaged("its Number of Frames is no number of frames")),
    }
}
