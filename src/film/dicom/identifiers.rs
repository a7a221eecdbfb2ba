//! The unique identifiers of a film, for a report that refers to it. Nothing else of a film's identity is read, and
//! nothing here is read but when such a report is written.

use super::part10;
use super::walk;
use crate::film::{Bounds, FilmError};
use dicom_dictionary_std::tags;

/// By what an archive knows a film.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilmIdentifiers {
    /// The class of the object.
    pub class: String,
    /// The object itself.
    pub instance: String,
    /// The study it belongs to.
    pub study: String,
    /// The series it belongs to.
    pub series: String,
}

/// The longest an identifier can be (PS3.5, 9.1).
const LONGEST: usize = 64;

/// The identifiers of a film in the bytes of a DICOM file; `None` where it lacks one of them, or one of them is none.
///
/// # Errors
/// It is no DICOM file, or a damaged one.
pub fn identifiers(bytes: &[u8], bounds: &Bounds) -> Result<Option<FilmIdentifiers>, FilmError> {
    let wanted =
        [tags::SOP_CLASS_UID, tags::SOP_INSTANCE_UID, tags::STUDY_INSTANCE_UID, tags::SERIES_INSTANCE_UID];
    let body = part10::body(bytes, bounds)?;
    let set = walk::data_set(&body.bytes, body.encoding, &wanted)?;
    let of = |tag| {
        let is_one =
            |text: &&str| text.len() <= LONGEST && text.bytes().all(|it| it.is_ascii_digit() || it == b'.');
        set.text(tag).filter(is_one).map(str::to_owned)
    };
    let [class, instance, study, series] = wanted.map(of);
    Ok(class
        .zip(instance)
        .zip(study.zip(series))
        .map(|((class, instance), (study, series))| FilmIdentifiers { class, instance, study, series }))
}
