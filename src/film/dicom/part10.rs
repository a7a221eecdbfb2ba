//! The file around a data set: preamble, file meta information, transfer syntax, and the deflated kind inflated.

use super::walk::{self, EXPLICIT_BIG, EXPLICIT_LITTLE, Encoding, IMPLICIT_LITTLE};
use super::{Bounds, FilmError, Format, unsupported};
use dicom_core::Tag;
use dicom_dictionary_std::{tags, uids};
use dicom_encoding::TransferSyntaxIndex as _;
use dicom_transfer_syntax_registry::TransferSyntaxRegistry;
use flate2::read::DeflateDecoder;
use std::borrow::Cow;
use std::io::Read as _;

/// How the pixels of a data set are coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// As plain cells.
    Native,
    /// Run lengths.
    RunLengths,
    /// JPEG by cosine transform.
    Jpeg,
    /// JPEG lossless, process 14.
    JpegLossless,
    /// JPEG 2000.
    Jpeg2000,
}

/// The data set of a file.
#[derive(Debug)]
pub(super) struct Body<'a> {
    pub(super) bytes: Cow<'a, [u8]>,
    pub(super) encoding: Encoding,
    /// The transfer syntax, out of our own table.
    pub(super) syntax: &'static str,
    pub(super) coding: Coding,
    /// Whether the syntax can only hold what has lost something.
    pub(super) lossy: bool,
    /// The class of the object, as the file meta information states it.
    pub(super) class: Option<String>,
}

const MAGIC: &[u8] = b"DICM";
const PREAMBLE: usize = 128;
const META_GROUP: u16 = 2;
const META: &[Tag] = &[tags::TRANSFER_SYNTAX_UID, tags::MEDIA_STORAGE_SOP_CLASS_UID];

/// The transfer syntaxes that are read: how the data set is written, how its pixels are coded, whether that loses.
const SYNTAXES: &[(&str, Encoding, Coding, bool)] = &[
    (uids::IMPLICIT_VR_LITTLE_ENDIAN, IMPLICIT_LITTLE, Coding::Native, false),
    (uids::EXPLICIT_VR_LITTLE_ENDIAN, EXPLICIT_LITTLE, Coding::Native, false),
    (DEFLATED, EXPLICIT_LITTLE, Coding::Native, false),
    (EXPLICIT_BIG_ENDIAN, EXPLICIT_BIG, Coding::Native, false),
    (uids::RLE_LOSSLESS, EXPLICIT_LITTLE, Coding::RunLengths, false),
    (uids::JPEG_BASELINE8_BIT, EXPLICIT_LITTLE, Coding::Jpeg, true),
    (uids::JPEG_EXTENDED12_BIT, EXPLICIT_LITTLE, Coding::Jpeg, true),
    (uids::JPEG_LOSSLESS, EXPLICIT_LITTLE, Coding::JpegLossless, false),
    (uids::JPEG_LOSSLESS_SV1, EXPLICIT_LITTLE, Coding::JpegLossless, false),
    (uids::JPEG2000_LOSSLESS, EXPLICIT_LITTLE, Coding::Jpeg2000, false),
    (uids::JPEG2000, EXPLICIT_LITTLE, Coding::Jpeg2000, false),
];
const DEFLATED: &str = uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN;
/// Retired, and so not among the dictionary's.
const EXPLICIT_BIG_ENDIAN: &str = "1.2.840.10008.1.2.2";

/// Whether the bytes are a DICOM file, also one that lacks the preamble: then its first element gives it away, which is
/// of the file meta information, or of the group that begins every data set.
pub(in crate::film) fn recognised(bytes: &[u8]) -> bool {
    bytes.get(PREAMBLE..).is_some_and(|rest| rest.starts_with(MAGIC))
        || bytes.starts_with(MAGIC)
        || guessed(bytes).is_some()
}

/// The encoding that the first element is written in, where the bytes begin with one of group 2 or 8.
fn guessed(bytes: &[u8]) -> Option<Encoding> {
    let [group_one, group_two, element_one, element_two, letters @ .., _, _] = *bytes.first_chunk::<8>()?;
    let begins = |group: u16, element: u16| matches!((group, element), (2 | 8, 0..=0xff));
    let explicit = walk::is_representation(letters);
    if begins(u16::from_be_bytes([group_one, group_two]), u16::from_be_bytes([element_one, element_two])) {
        return explicit.then_some(EXPLICIT_BIG);
    }
    if !begins(u16::from_le_bytes([group_one, group_two]), u16::from_le_bytes([element_one, element_two])) {
        return None;
    }
    if explicit {
        return Some(EXPLICIT_LITTLE);
    }
    // Without letters, a length that leaves room for another element has to do.
    let length = u32::from_le_bytes(bytes.get(4..8)?.first_chunk().copied()?);
    let next = 8_usize.checked_add(usize::try_from(length).ok()?)?;
    (length < 0x100 && bytes.len() > next).then_some(IMPLICIT_LITTLE)
}

/// Finds the data set of a file.
pub(super) fn body<'a>(bytes: &'a [u8], bounds: &Bounds) -> Result<Body<'a>, FilmError> {
    let after_preamble = bytes.get(PREAMBLE..).and_then(|rest| rest.strip_prefix(MAGIC));
    let rest = after_preamble.or_else(|| bytes.strip_prefix(MAGIC)).unwrap_or(bytes);
    let (meta, at) = walk::group(rest, META_GROUP, META)?;
    let rest = rest.get(at..).unwrap_or_default();
    let class = meta.text(tags::MEDIA_STORAGE_SOP_CLASS_UID).map(str::to_owned);
    let (syntax, encoding, coding, lossy) = match meta.text(tags::TRANSFER_SYNTAX_UID) {
        Some(stated) => *SYNTAXES
            .iter()
            .find(|(syntax, ..)| *syntax == stated)
            .ok_or_else(|| unsupported(syntax_name(stated)))?,
        // PS3.10 wants one; older files have neither it nor a preamble.
        None => ("", guessed(rest).unwrap_or(IMPLICIT_LITTLE), Coding::Native, false),
    };
    // Some writers change the transfer syntax and leave the data set without representations.
    let implicit =
        encoding == EXPLICIT_LITTLE && syntax != DEFLATED && guessed(rest) == Some(IMPLICIT_LITTLE);
    let encoding = if implicit { IMPLICIT_LITTLE } else { encoding };
    let bytes = if syntax == DEFLATED { Cow::Owned(inflated(rest, bounds)?) } else { Cow::Borrowed(rest) };
    Ok(Body { bytes, encoding, syntax, coding, lossy, class })
}

/// The name of a transfer syntax that is not read. Its number is not shown: no number out of a file is.
fn syntax_name(stated: &str) -> String {
    TransferSyntaxRegistry.get(stated).map_or_else(
        || "a private or unknown transfer syntax".to_owned(),
        |syntax| format!("transfer syntax {}", syntax.name()),
    )
}

/// The data set of the deflated syntax (PS3.5, A.5), no larger than a film may be.
fn inflated(bytes: &[u8], bounds: &Bounds) -> Result<Vec<u8>, FilmError> {
    let mut inflated = Vec::new();
    let mut decoder = DeflateDecoder::new(bytes).take(bounds.max_bytes.saturating_add(1));
    decoder.read_to_end(&mut inflated).map_err(|error| {
        if error.kind() == std::io::ErrorKind::UnexpectedEof {
            FilmError::Truncated(Format::Dicom)
        } else {
            FilmError::damaged(Format::Dicom, "its deflated data set cannot be inflated")
        }
    })?;
    let size = inflated.len() as u64;
    if size > bounds.max_bytes {
        return Err(FilmError::TooManyBytes { needed: size, limit: bounds.max_bytes });
    }
    Ok(inflated)
}
