//! What can go wrong with a film file, each in one line that says what would mend it.

use super::Format;
use std::fmt;
use std::io;

/// Why a film could not be read. Each reads as one line after the file's name.
#[derive(Debug, thiserror::Error)]
pub enum FilmError {
    /// The operating system would not give the bytes.
    #[error("cannot be read ({0}): check the name and that you may read it")]
    Unreadable(#[source] io::Error),
    /// A directory.
    #[error("is a directory, not a picture: name a file inside it")]
    Directory,
    /// No bytes at all.
    #[error("is empty: copy it again from where it came")]
    Empty,
    /// More bytes in the file than the bound allows.
    #[error("has {size} bytes, more than the {limit} allowed: raise --max-bytes if you trust the file")]
    FileTooLarge {
        /// Bytes in the file.
        size: u64,
        /// The bound.
        limit: u64,
    },
    /// The header announces more pixels than the bound allows.
    #[error(
        "says it is {width} x {height} pixels, more than the {limit} allowed: raise --max-pixels if you trust the file"
    )]
    TooManyPixels {
        /// Width in the header.
        width: u32,
        /// Height in the header.
        height: u32,
        /// The bound.
        limit: u64,
    },
    /// Decoding would take more memory than the bound allows.
    #[error(
        "needs {needed} bytes decoded, more than the {limit} allowed: raise --max-bytes if you trust the file"
    )]
    TooManyBytes {
        /// Bytes the decoded picture takes.
        needed: u64,
        /// The bound.
        limit: u64,
    },
    /// The file ends before its picture does.
    #[error("ends before its {0} picture does: copy it again from where it came")]
    Truncated(Format),
    /// The file contradicts itself or its format.
    #[error("is a damaged {format} ({what}): copy it again from where it came, or save it anew as PNG")]
    Damaged {
        /// What the file begins as.
        format: Format,
        /// What is wrong with it.
        what: String,
    },
    /// A rare kind of a known format that cannot be read exactly.
    #[error("is a {format} of a kind that cannot be read exactly ({what}): {mend}")]
    Unsupported {
        /// The format.
        format: Format,
        /// The kind.
        what: String,
        /// What would mend it.
        mend: &'static str,
    },
    /// Nobody waits for it any more.
    #[error("was given up before it was read: open it again")]
    GivenUp,
    /// A file of another type, recognised.
    #[error("is {0}")]
    Foreign(Foreign),
    /// Bytes of no type known here.
    #[error("is no picture in a format known here: export it as PNG, TIFF, JPEG or BMP")]
    Unknown,
}

/// A file type that is recognised and is no film.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foreign {
    /// A DICOM directory.
    DicomDirectory,
    /// A DICOM structured report.
    DicomReport,
    /// Another DICOM object without a picture.
    DicomWithoutPixels,
    /// PDF.
    Pdf,
    /// Rich Text Format.
    Rtf,
    /// GIF.
    Gif,
    /// WebP.
    WebP,
    /// HEIF and its relatives.
    Heif,
    /// JPEG 2000, JPEG XL or JPEG-LS on their own.
    OtherJpeg,
    /// A ZIP archive, or one of the documents that are ZIP archives inside.
    Zip,
    /// JSON text.
    Json,
    /// Other text.
    Text,
}

impl fmt::Display for Foreign {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::DicomDirectory => {
                "a DICOMDIR, which lists films and holds none: name one of the films it lists"
            }
            Self::DicomReport => {
                "a DICOM structured report, which holds findings and no film: name the film it is about"
            }
            Self::DicomWithoutPixels => {
                "a DICOM object without pixel data, so no film: name the file with the radiograph in it"
            }
            Self::Pdf => "a PDF document, not a picture: export the radiograph in it as PNG or TIFF",
            Self::Rtf => "an RTF document, not a picture: export the radiograph in it as PNG or TIFF",
            Self::Gif => "a GIF picture, which is not read: save it as PNG",
            Self::WebP => "a WebP picture, which is not read: save it as PNG",
            Self::Heif => "an HEIF or AVIF picture, which is not read: save it as PNG or TIFF",
            Self::OtherJpeg => {
                "a JPEG 2000, JPEG XL or JPEG-LS picture, which is not read: save it as PNG or TIFF"
            }
            Self::Zip => "a ZIP archive or an office document, not a picture: unpack it and name the picture",
            Self::Json => "JSON text, not a picture: if it is a case, use `crestgauge measure`",
            Self::Text => "text, not a picture: name the film itself",
        })
    }
}

impl FilmError {
    /// A damaged file, with a decoder's own words brought onto one line.
    pub(super) fn damaged(format: Format, what: impl fmt::Display) -> Self {
        Self::Damaged { format, what: one_line(&what.to_string()) }
    }

    /// A kind of file that cannot be read exactly.
    pub(super) fn unsupported(format: Format, what: impl fmt::Display, mend: &'static str) -> Self {
        Self::Unsupported { format, what: one_line(&what.to_string()), mend }
    }
}

/// Control characters become blanks and long texts are cut: what a file holds must not break up a terminal.
fn one_line(text: &str) -> String {
    const LONGEST: usize = 120;
    text.chars().take(LONGEST).map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}
