//! Writing a film as DICOM: a digital intra-oral X-ray image for presentation (PS3.3, A.27), explicit little endian.
//!
//! Its unique identifiers are derived from its content, so the same film is the same file. What a film from nobody
//! cannot know stays empty where the standard allows that.

use crate::film::{Picture, Sha256};
use crate::quantity::Millimetres;
use dicom_core::value::{DataSetSequence, PrimitiveValue};
use dicom_core::{DataElement, Tag, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::InMemDicomObject;
use dicom_object::meta::FileMetaTableBuilder;

/// A film to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewFilm<'a> {
    /// Its grey values, of 6 to 16 bits.
    pub picture: &'a Picture,
    /// The distance from column to column at the receptor.
    pub across: Millimetres,
    /// The distance from row to row at the receptor.
    pub down: Millimetres,
    /// How much larger the tooth is projected onto the receptor, where known; at least 1.
    pub magnification: Option<f64>,
    /// Whether small values are bright.
    pub inverted: bool,
}

/// Why a film cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WriteError {
    /// More rows or columns than the format can number.
    #[error("a DICOM film has at most 65535 rows and columns, not {width} x {height}")]
    TooLarge {
        /// Columns.
        width: u32,
        /// Rows.
        height: u32,
    },
    /// A depth that the kind of film does not have.
    #[error("a digital X-ray film has 6 to 16 bits, not {0}")]
    Depth(u8),
    /// A pitch or magnification that is none.
    #[error("{0} is no {1}")]
    Number(f64, &'static str),
    /// The encoder would not have it.
    #[error("the film could not be encoded: {0}")]
    Encoder(String),
}

type Object = InMemDicomObject;
type Element = DataElement<Object>;

/// The bytes of the film's file.
///
/// # Errors
/// Where the numbers given are none, or no such film can be.
pub fn encode(film: &NewFilm<'_>) -> Result<Vec<u8>, WriteError> {
    let picture = film.picture;
    let (width, height, bits) = (picture.width(), picture.height(), picture.bits());
    let (Ok(columns), Ok(rows)) = (u16::try_from(width), u16::try_from(height)) else {
        return Err(WriteError::TooLarge { width, height });
    };
    if !(6..=16).contains(&bits) {
        return Err(WriteError::Depth(bits));
    }
    let pitch = |value: Millimetres| {
        let value = value.get();
        if (1e-6..=1e3).contains(&value) {
            Ok(value)
        } else {
            Err(WriteError::Number(value, "distance of pixels"))
        }
    };
    let spacing = format!("{}\\{}", decimal_string(pitch(film.down)?), decimal_string(pitch(film.across)?));
    let magnification = match film.magnification {
        Some(value) if !(1.0..=10.0).contains(&value) => {
            return Err(WriteError::Number(value, "magnification, which is 1 to 10"));
        }
        other => other.map(decimal_string),
    };
    let digest = picture.digest();
    let stated = format!("{digest} {width} {height} {bits} {spacing} {magnification:?} {}", film.inverted);
    let mut elements = nobody();
    elements.extend(identifiers(&stated));
    elements.extend(kind(film.inverted, bits));
    elements.push(text(tags::IMAGER_PIXEL_SPACING, VR::DS, &spacing));
    if let Some(magnification) = magnification {
        elements.push(text(tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR, VR::DS, &magnification));
    }
    elements.extend([
        number(tags::SAMPLES_PER_PIXEL, 1),
        number(tags::ROWS, rows),
        number(tags::COLUMNS, columns),
        number(tags::BITS_ALLOCATED, if bits <= 8 { 8 } else { 16 }),
        number(tags::BITS_STORED, u16::from(bits)),
        number(tags::HIGH_BIT, u16::from(bits) - 1),
        number(tags::PIXEL_REPRESENTATION, 0),
        pixel_data(picture),
    ]);
    let encoder = |error: &dyn std::error::Error| WriteError::Encoder(error.to_string());
    let object = Object::from_element_iter(elements)
        .with_meta(FileMetaTableBuilder::new().transfer_syntax(uids::EXPLICIT_VR_LITTLE_ENDIAN))
        .map_err(|error| encoder(&error))?;
    let mut bytes = Vec::with_capacity(picture.grey().len() * 2 + 2048);
    object.write_all(&mut bytes).map_err(|error| encoder(&error))?;
    Ok(bytes)
}

fn text(tag: Tag, representation: VR, value: &str) -> Element {
    DataElement::new(tag, representation, PrimitiveValue::from(value))
}

fn number(tag: Tag, value: u16) -> Element {
    DataElement::new(tag, VR::US, PrimitiveValue::from(value))
}

/// Cells of 8 bits come in bytes, an odd number of them with one of filling.
fn pixel_data(picture: &Picture) -> Element {
    if picture.bits() > 8 {
        return DataElement::new(tags::PIXEL_DATA, VR::OW, PrimitiveValue::U16(picture.grey().into()));
    }
    let mut bytes: Vec<u8> = picture.grey().iter().map(|value| value.to_le_bytes()[0]).collect();
    if !bytes.len().is_multiple_of(2) {
        bytes.push(0);
    }
    DataElement::new(tags::PIXEL_DATA, VR::OB, PrimitiveValue::U8(bytes.into()))
}

/// What must be there and is not known of anybody: patient, study, series, equipment.
fn nobody() -> Vec<Element> {
    [
        (tags::STUDY_DATE, VR::DA),
        (tags::STUDY_TIME, VR::TM),
        (tags::ACCESSION_NUMBER, VR::SH),
        (tags::MANUFACTURER, VR::LO),
        (tags::REFERRING_PHYSICIAN_NAME, VR::PN),
        (tags::PATIENT_NAME, VR::PN),
        (tags::PATIENT_ID, VR::LO),
        (tags::PATIENT_BIRTH_DATE, VR::DA),
        (tags::PATIENT_SEX, VR::CS),
        (tags::DETECTOR_TYPE, VR::CS),
        (tags::POSITIONER_TYPE, VR::CS),
        (tags::STUDY_ID, VR::SH),
        (tags::SERIES_NUMBER, VR::IS),
        (tags::INSTANCE_NUMBER, VR::IS),
        (tags::PATIENT_ORIENTATION, VR::CS),
        (tags::ACQUISITION_CONTEXT_SEQUENCE, VR::SQ),
    ]
    .map(|(tag, representation)| match representation {
        VR::SQ => DataElement::new(tag, VR::SQ, DataSetSequence::<Object>::from(Vec::new())),
        _ => DataElement::new(tag, representation, PrimitiveValue::Empty),
    })
    .into()
}

/// Identifiers of the form `2.25.` and 128 bits (PS3.5, B.2), out of the digest of what the file states.
fn identifiers(stated: &str) -> [Element; 4] {
    let derived = |role: &str| {
        let digest = Sha256::of(format!("crestgauge {role} {stated}").as_bytes());
        let first = digest.bytes().first_chunk::<16>().copied().unwrap_or_default();
        format!("2.25.{}", u128::from_be_bytes(first))
    };
    [
        text(tags::SOP_CLASS_UID, VR::UI, uids::DIGITAL_INTRA_ORAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION),
        text(tags::SOP_INSTANCE_UID, VR::UI, &derived("film")),
        text(tags::STUDY_INSTANCE_UID, VR::UI, &derived("study")),
        text(tags::SERIES_INSTANCE_UID, VR::UI, &derived("series")),
    ]
}

/// What kind of film it is and how it is shown.
fn kind(inverted: bool, bits: u8) -> Vec<Element> {
    let range = 1_u32 << bits;
    let jaw = Object::from_element_iter([
        text(tags::CODE_VALUE, VR::SH, "661005"),
        text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, "SCT"),
        text(tags::CODE_MEANING, VR::LO, "Jaw region"),
    ]);
    let (photometric, shape, sign) =
        if inverted { ("MONOCHROME1", "INVERSE", 1_i16) } else { ("MONOCHROME2", "IDENTITY", -1) };
    vec![
        text(tags::SPECIFIC_CHARACTER_SET, VR::CS, "ISO_IR 192"),
        text(tags::IMAGE_TYPE, VR::CS, "DERIVED\\PRIMARY"),
        text(tags::MODALITY, VR::CS, "IO"),
        text(tags::PRESENTATION_INTENT_TYPE, VR::CS, "FOR PRESENTATION"),
        DataElement::new(tags::ANATOMIC_REGION_SEQUENCE, VR::SQ, DataSetSequence::from(vec![jaw])),
        text(tags::IMAGE_LATERALITY, VR::CS, "U"),
        text(tags::PHOTOMETRIC_INTERPRETATION, VR::CS, photometric),
        text(tags::BURNED_IN_ANNOTATION, VR::CS, "NO"),
        text(tags::PIXEL_INTENSITY_RELATIONSHIP, VR::CS, "LIN"),
        // Metal is bright in either: large values, or small ones that are shown bright, mean few rays.
        DataElement::new(tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN, VR::SS, PrimitiveValue::from(sign)),
        text(tags::WINDOW_CENTER, VR::DS, &(range / 2).to_string()),
        text(tags::WINDOW_WIDTH, VR::DS, &range.to_string()),
        text(tags::RESCALE_INTERCEPT, VR::DS, "0"),
        text(tags::RESCALE_SLOPE, VR::DS, "1"),
        text(tags::RESCALE_TYPE, VR::LO, "US"),
        text(tags::LOSSY_IMAGE_COMPRESSION, VR::CS, "00"),
        text(tags::PRESENTATION_LUT_SHAPE, VR::CS, shape),
    ]
}

/// A number in the 16 characters of a decimal string (PS3.5, 6.2), as exact as they allow.
fn decimal_string(value: f64) -> String {
    let shortest = value.to_string();
    if shortest.len() <= 16 {
        return shortest;
    }
    // At most 1000, so eleven digits behind the point fit.
    format!("{value:.11}")
}
