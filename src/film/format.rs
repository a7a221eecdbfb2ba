//! What a file is, decided by its content and never by the ending of its name.

use super::dicom;
use super::error::{FilmError, Foreign};
use serde::Serialize;
use std::fmt;

/// A picture format read here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum Format {
    /// Portable Network Graphics (W3C, third edition).
    #[serde(rename = "PNG")]
    Png,
    /// JPEG (ITU-T T.81), bare, in JFIF or in EXIF.
    #[serde(rename = "JPEG")]
    Jpeg,
    /// TIFF 6.0, and `BigTIFF`.
    #[serde(rename = "TIFF")]
    Tiff,
    /// Windows bitmap.
    #[serde(rename = "BMP")]
    Bmp,
    /// DICOM (PS3.10), also without its preamble.
    #[serde(rename = "DICOM")]
    Dicom,
}

impl fmt::Display for Format {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Tiff => "TIFF",
            Self::Bmp => "BMP",
            Self::Dicom => "DICOM",
        })
    }
}

/// The first bytes that name a format.
const PICTURES: &[(&[u8], Format)] = &[
    (b"\x89PNG\r\n\x1a\n", Format::Png),
    (b"\xff\xd8\xff", Format::Jpeg),
    (b"II*\0", Format::Tiff),
    (b"MM\0*", Format::Tiff),
    (b"II+\0", Format::Tiff),
    (b"MM\0+", Format::Tiff),
    (b"BM", Format::Bmp),
];

/// Where in the file which bytes name a type that is no film.
const FOREIGN: &[(usize, &[u8], Foreign)] = &[
    (0, b"%PDF", Foreign::Pdf),
    (0, b"{\\rtf", Foreign::Rtf),
    (0, b"GIF8", Foreign::Gif),
    (8, b"WEBP", Foreign::WebP),
    (4, b"ftyphei", Foreign::Heif),
    (4, b"ftyphev", Foreign::Heif),
    (4, b"ftypmif1", Foreign::Heif),
    (4, b"ftypmsf1", Foreign::Heif),
    (4, b"ftypavi", Foreign::Heif),
    (0, b"\0\0\0\x0cjP  ", Foreign::OtherJpeg),
    (0, b"\xff\x4f\xff\x51", Foreign::OtherJpeg),
    (0, b"\0\0\0\x0cJXL ", Foreign::OtherJpeg),
    (0, b"\xff\x0a", Foreign::OtherJpeg),
    (0, b"\xff\xd8\xff\xf7", Foreign::OtherJpeg),
    (0, b"PK\x03\x04", Foreign::Zip),
    (0, b"PK\x05\x06", Foreign::Zip),
];

/// Names the format of a file by its first bytes.
pub(super) fn sniff(bytes: &[u8]) -> Result<Format, FilmError> {
    if bytes.is_empty() {
        return Err(FilmError::Empty);
    }
    // DICOM comes first: its preamble of 128 bytes may hold another format's magic, even a TIFF's.
    if dicom::recognised(bytes) {
        return Ok(Format::Dicom);
    }
    let foreign =
        FOREIGN.iter().find(|(at, magic, _)| bytes.get(*at..).is_some_and(|rest| rest.starts_with(magic)));
    if let Some((_, _, foreign)) = foreign {
        return Err(FilmError::Foreign(*foreign));
    }
    if let Some((_, format)) = PICTURES.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Ok(*format);
    }
    Err(text(bytes).map_or(FilmError::Unknown, FilmError::Foreign))
}

/// Whether the bytes begin as text, and whether that text is JSON.
fn text(bytes: &[u8]) -> Option<Foreign> {
    const ENOUGH: usize = 512;
    let start = bytes.get(..bytes.len().min(ENOUGH))?;
    let start = start.strip_prefix(b"\xef\xbb\xbf").unwrap_or(start);
    let readable = match std::str::from_utf8(start) {
        Ok(text) => text,
        // A letter cut in two at the end of the sample is still text.
        Err(error) if error.error_len().is_none() => {
            std::str::from_utf8(start.get(..error.valid_up_to())?).ok()?
        }
        Err(_) => return None,
    };
    if readable.is_empty() || readable.chars().any(|letter| letter.is_control() && !letter.is_whitespace()) {
        return None;
    }
    Some(if readable.trim_start().starts_with(['{', '[']) { Foreign::Json } else { Foreign::Text })
}
