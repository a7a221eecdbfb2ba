//! DICOM films (PS3.5, PS3.10): the values as stored, what the file says of its pitch and of its first display, and
//! nothing about anybody.
//!
//! `walk` follows the whole data set within the bytes that are there and keeps the few elements that
//! `attributes` lists; no other value is ever looked at. `layout` and `jpeg_2000` compare what the pixels
//! are said to be with the bounds before memory is taken. JPEG 2000 is decoded by the codec that `dicom-pixeldata`
//! uses, JPEG by cosine transform by the decoder of JPEG films; `run_lengths` and `jpeg_lossless` are ours.

mod attributes;
mod display;
mod encapsulated;
mod huffman;
mod identifiers;
mod jpeg_2000;
mod jpeg_lossless;
mod layout;
mod palette;
mod part10;
mod pixels;
mod run_lengths;
mod spacing;
mod walk;
mod write;

pub use display::{FirstDisplay, LookUp, Modality, Voi, Window, WindowShape};
pub use identifiers::{FilmIdentifiers, identifiers};
pub(super) use part10::recognised;
pub use write::{NewFilm, WriteError, encode};

use super::day::calendar_day;
use super::stored::{Further, Reader, Stored, StoredSize, first_of};
use super::wanted::Wanted;
use super::{Bounds, FilmError, Foreign, Format, Orientation, Polarity};
use crate::caution::{Caution, CautionKind};
use dicom_dictionary_std::{tags, uids};
use layout::Layout;
use part10::Body;
use std::fmt;
use walk::DataSet;

pub(super) const READER: Reader = Reader { size, decode };

/// A kind that cannot be read exactly.
fn unsupported(what: impl fmt::Display) -> FilmError {
    const MEND: &str = "export it without compression, or as 16-bit PNG or TIFF";
    FilmError::unsupported(Format::Dicom, what, MEND)
}

fn size(bytes: &[u8], bounds: &Bounds) -> Result<StoredSize, FilmError> {
    let body = part10::body(bytes, bounds)?;
    let set = film_of(&body)?;
    let layout = Layout::read(&set)?;
    Ok(StoredSize { width: layout.columns, height: layout.rows, orientation: Orientation::default() })
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Stored, FilmError> {
    let body = part10::body(bytes, bounds)?;
    let set = film_of(&body)?;
    let layout = Layout::read(&set)?;
    let mut cautions = Vec::new();
    if body.lossy || set.text(tags::LOSSY_IMAGE_COMPRESSION) == Some("01") {
        cautions.push(Caution::general(CautionKind::LossyCompression));
    }
    if set.text(tags::BURNED_IN_ANNOTATION) == Some("YES") {
        cautions.push(Caution::general(CautionKind::BurnedInAnnotation));
    }
    cautions.extend(first_of(layout.frames));
    let picture = pixels::picture(&set, &body, &layout, (bounds, wanted), &mut cautions)?;
    let spacing = spacing::judge(&set, &layout, &mut cautions);
    let display = display::read(&set, &layout, picture.bits(), &mut cautions);
    let polarity = if display.inverted { Polarity::WhiteIsZero } else { Polarity::BlackIsZero };
    Ok(Stored {
        picture,
        orientation: Orientation::default(),
        polarity,
        statements: Vec::new(),
        frames: layout.frames,
        further: Further {
            pitch: spacing.pitch,
            magnification: spacing.magnification,
            pixel_aspect: spacing.aspect,
            date: date(&set),
            first_display: Some(display),
        },
        cautions,
    })
}

/// The elements kept of a data set that has pixel data, and not those of a directory or report.
fn film_of<'a>(body: &'a Body<'_>) -> Result<DataSet<'a>, FilmError> {
    const REPORTS: &str = "1.2.840.10008.5.1.4.1.1.88.";
    let class = body.class.as_deref().unwrap_or_default();
    if class == uids::MEDIA_STORAGE_DIRECTORY_STORAGE {
        return Err(FilmError::Foreign(Foreign::DicomDirectory));
    }
    if class.starts_with(REPORTS) {
        return Err(FilmError::Foreign(Foreign::DicomReport));
    }
    let set = walk::data_set(&body.bytes, body.encoding, attributes::WANTED)?;
    if set.element(tags::PIXEL_DATA).is_none() {
        return Err(FilmError::Foreign(Foreign::DicomWithoutPixels));
    }
    Ok(set)
}

/// The day the film was taken, or else its content was made, where the file has it as the eight digits of PS3.5, 6.2.
fn date(set: &DataSet<'_>) -> Option<String> {
    [tags::ACQUISITION_DATE, tags::CONTENT_DATE].into_iter().find_map(|tag| calendar_day(set.text(tag)?))
}
