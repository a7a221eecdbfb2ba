//! The marker segments of a JPEG (ITU-T T.81, annex B): the frame header, the JFIF density and the EXIF data,
//! none of which the decoder hands out in full, and all of which are wanted before anything is allocated.

use super::pitch::{PerLength, PitchFrom, Statement};
use super::{FilmError, Format};

/// The frame header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Frame {
    /// The second byte of its marker, 0xC0 to 0xCF.
    process: u8,
    pub(super) precision: u8,
    pub(super) width: u16,
    pub(super) height: u16,
    pub(super) components: u8,
}

impl Frame {
    /// Whether it is baseline, extended or progressive, Huffman coded.
    pub(super) const fn huffman_dct(self) -> bool {
        matches!(self.process, 0xc0..=0xc2)
    }

    /// Whether it comes in several scans of growing detail.
    pub(super) const fn progressive(self) -> bool {
        self.process == 0xc2
    }

    /// The coding process in words.
    pub(super) const fn process(self) -> &'static str {
        match self.process {
            0xc0 => "baseline",
            0xc1 => "extended",
            0xc2 => "progressive",
            0xc3 | 0xcb => "lossless",
            0xc5..=0xc7 | 0xcd..=0xcf => "hierarchical",
            _ => "arithmetic coding",
        }
    }
}

/// What the segments before the first scan say.
#[derive(Debug, Clone, Copy)]
pub(super) struct Markers<'a> {
    pub(super) frame: Frame,
    pub(super) density: Option<Statement>,
    pub(super) exif: Option<&'a [u8]>,
}

impl<'a> Markers<'a> {
    /// Reads the segments up to the first scan.
    pub(super) fn read(bytes: &'a [u8]) -> Result<Self, FilmError> {
        let mut frame = None;
        let mut density = None;
        let mut exif = None;
        for (marker, content) in Segments::of(bytes) {
            match marker {
                0xe0 if density.is_none() => density = jfif(content),
                0xe1 if exif.is_none() => exif = content.strip_prefix(b"Exif\0\0"),
                0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => {
                    if frame.is_some() {
                        return Err(FilmError::damaged(Format::Jpeg, "it has two frame headers"));
                    }
                    frame = Some(frame_header(marker, content)?);
                }
                _ => {}
            }
        }
        let frame = frame.ok_or(FilmError::Truncated(Format::Jpeg))?;
        Ok(Self { frame, density, exif })
    }
}

fn frame_header(process: u8, content: &[u8]) -> Result<Frame, FilmError> {
    let [precision, high, low, left, right, components, ..] = *content else {
        return Err(FilmError::damaged(Format::Jpeg, "its frame header is too short"));
    };
    let (height, width) = (u16::from_be_bytes([high, low]), u16::from_be_bytes([left, right]));
    if width == 0 || height == 0 {
        let what = format!("it says it is {width} x {height} pixels");
        return Err(FilmError::damaged(Format::Jpeg, what));
    }
    Ok(Frame { process, precision, width, height, components })
}

/// The density of a JFIF header (JFIF 1.02); `None` where it states an aspect only.
fn jfif(content: &[u8]) -> Option<Statement> {
    let [_, _, unit, across_high, across_low, down_high, down_low, ..] = *content.strip_prefix(b"JFIF\0")?
    else {
        return None;
    };
    let unit = match unit {
        1 => PerLength::Inch,
        2 => PerLength::Centimetre,
        _ => return None,
    };
    let across = Some(f64::from(u16::from_be_bytes([across_high, across_low])));
    let down = Some(f64::from(u16::from_be_bytes([down_high, down_low])));
    Some(Statement { from: PitchFrom::JfifDensity, unit, across, down })
}

/// Marker segments in turn, each as its marker's second byte and its content, until a scan begins or what
/// follows is none.
pub(super) struct Segments<'a> {
    rest: &'a [u8],
}

impl<'a> Segments<'a> {
    /// Those that follow the marker a JPEG begins with.
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        Self { rest: bytes.get(2..).unwrap_or_default() }
    }

    /// The header of the scan that begins where the segments end, and what follows it; `None` where none does.
    pub(super) fn scan_begun(&self) -> Option<(&'a [u8], &'a [u8])> {
        let start = self.rest.iter().position(|byte| *byte != 0xff).filter(|start| *start > 0)?;
        let rest = self.rest.get(start..)?.strip_prefix(&[0xda])?;
        let length = usize::from(u16::from_be_bytes(*rest.first_chunk()?));
        Some((rest.get(2..length)?, rest.get(length..)?))
    }

    /// Those that follow a scan.
    pub(super) const fn after_scan(rest: &'a [u8]) -> Self {
        Self { rest }
    }
}

impl<'a> Iterator for Segments<'a> {
    type Item = (u8, &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        // Any number of 0xFF bytes may stand before a marker (B.1.1.2).
        let start = self.rest.iter().position(|byte| *byte != 0xff)?;
        let (marker, rest) = self.rest.get(start..)?.split_first()?;
        if start == 0 || matches!(marker, 0xda | 0xd9 | 0) {
            return None;
        }
        let (length, _) = rest.split_first_chunk::<2>()?;
        let length = usize::from(u16::from_be_bytes(*length));
        let content = rest.get(2..length)?;
        self.rest = rest.get(length..)?;
        Some((*marker, content))
    }
}

/// Where the end of image marker stands to which the segments and scans lead; `None` where the file ends first.
pub(super) fn end_of_image(bytes: &[u8]) -> Option<usize> {
    let mut at = 2;
    loop {
        // In a scan, 0xFF is data when 0 follows, and a restart marker has no content; all else is a segment.
        at += bytes.get(at..)?.iter().position(|byte| *byte == 0xff)?;
        match bytes.get(at + 1)? {
            0xd9 => return Some(at),
            0xff => at += 1,
            0 | 1 | 0xd0..=0xd8 => at += 2,
            _ => {
                let length = bytes.get(at + 2..)?.first_chunk::<2>()?;
                at += 2 + usize::from(u16::from_be_bytes(*length));
            }
        }
    }
}
