//! The attributes that are read, and nothing else: this list is what keeps identity out.

use super::walk::{DataSet, Element, Value};
use dicom_core::Tag;
use dicom_dictionary_std::tags;

/// What is kept of a data set. No name, number, date of birth, identifier or free text is among them, and no private
/// element.
pub(super) const WANTED: &[Tag] = &[
    tags::ACQUISITION_DATE,
    tags::CONTENT_DATE,
    tags::DISTANCE_SOURCE_TO_DETECTOR,
    tags::DISTANCE_SOURCE_TO_PATIENT,
    tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
    tags::IMAGER_PIXEL_SPACING,
    tags::NOMINAL_SCANNED_PIXEL_SPACING,
    tags::SAMPLES_PER_PIXEL,
    tags::PHOTOMETRIC_INTERPRETATION,
    tags::PLANAR_CONFIGURATION,
    tags::NUMBER_OF_FRAMES,
    tags::ROWS,
    tags::COLUMNS,
    tags::PIXEL_SPACING,
    tags::PIXEL_ASPECT_RATIO,
    tags::BITS_ALLOCATED,
    tags::BITS_STORED,
    tags::HIGH_BIT,
    tags::PIXEL_REPRESENTATION,
    tags::PIXEL_PADDING_VALUE,
    tags::PIXEL_PADDING_RANGE_LIMIT,
    tags::BURNED_IN_ANNOTATION,
    tags::PIXEL_SPACING_CALIBRATION_TYPE,
    tags::WINDOW_CENTER,
    tags::WINDOW_WIDTH,
    tags::RESCALE_INTERCEPT,
    tags::RESCALE_SLOPE,
    tags::VOILUT_FUNCTION,
    tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
    tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
    tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
    tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    tags::SEGMENTED_RED_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    tags::LOSSY_IMAGE_COMPRESSION,
    tags::MODALITY_LUT_SEQUENCE,
    tags::VOILUT_SEQUENCE,
    tags::PRESENTATION_LUT_SHAPE,
    tags::PIXEL_DATA,
];

/// The sequences whose items are looked into.
pub(super) const LUT_SEQUENCES: &[Tag] = &[tags::MODALITY_LUT_SEQUENCE, tags::VOILUT_SEQUENCE];

/// What is kept of their items.
pub(super) const INSIDE_LUT_SEQUENCES: &[Tag] = &[tags::LUT_DESCRIPTOR, tags::LUT_DATA];

/// What a file states in numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stated<T> {
    /// Not there, or empty.
    Nothing,
    /// There, and not what the standard wants.
    Malformed,
    /// As wanted.
    Value(T),
}

impl<'a> DataSet<'a> {
    pub(super) fn element(&self, tag: Tag) -> Option<&Element<'a>> {
        self.elements.iter().find(|element| element.tag == tag)
    }

    /// The bytes of an element that has some.
    pub(super) fn bytes(&self, tag: Tag) -> Option<&'a [u8]> {
        match self.element(tag)?.value {
            Value::Bytes(bytes) => Some(bytes).filter(|bytes| !bytes.is_empty()),
            Value::Items(_) | Value::Fragments(_) => None,
        }
    }

    /// The items of a sequence.
    pub(super) fn items(&self, tag: Tag) -> &[DataSet<'a>] {
        match self.element(tag).map(|element| &element.value) {
            Some(Value::Items(items)) => items,
            _ => &[],
        }
    }

    /// Text of letters, digits and signs, without the blanks and zeros it was padded with.
    pub(super) fn text(&self, tag: Tag) -> Option<&'a str> {
        let text = std::str::from_utf8(self.bytes(tag)?).ok()?;
        Some(text.trim_matches([' ', '\0'])).filter(|text| !text.is_empty())
    }

    /// The first of several texts.
    pub(super) fn first_text(&self, tag: Tag) -> Option<&'a str> {
        self.text(tag)?.split('\\').next().map(str::trim)
    }

    /// 16-bit numbers.
    pub(super) fn shorts(&self, tag: Tag) -> Option<Vec<u16>> {
        let pairs = self.bytes(tag)?.as_chunks::<2>().0.iter();
        let big = self.big;
        Some(
            pairs
                .map(|pair| if big { u16::from_be_bytes(*pair) } else { u16::from_le_bytes(*pair) })
                .collect(),
        )
    }

    /// The first 16-bit number.
    pub(super) fn short(&self, tag: Tag) -> Option<u16> {
        self.shorts(tag)?.first().copied()
    }

    /// Decimal or integer strings, each finite.
    pub(super) fn decimals(&self, tag: Tag) -> Stated<Vec<f64>> {
        let Some(bytes) = self.bytes(tag) else { return Stated::Nothing };
        let Ok(text) = std::str::from_utf8(bytes) else { return Stated::Malformed };
        let text = text.trim_matches([' ', '\0']);
        if text.is_empty() {
            return Stated::Nothing;
        }
        text.split('\\').map(decimal).collect::<Option<_>>().map_or(Stated::Malformed, Stated::Value)
    }

    /// A single decimal string.
    pub(super) fn decimal(&self, tag: Tag) -> Stated<f64> {
        match self.decimals(tag) {
            Stated::Nothing => Stated::Nothing,
            Stated::Value(values) if values.len() == 1 => {
                values.first().map_or(Stated::Malformed, |value| Stated::Value(*value))
            }
            _ => Stated::Malformed,
        }
    }
}

/// A number of the characters PS3.5 allows in a decimal string (6.2), so neither "nan" nor "inf".
fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let allowed = |letter: char| letter.is_ascii_digit() || matches!(letter, '+' | '-' | '.' | 'e' | 'E');
    text.chars().all(allowed).then(|| text.parse().ok()).flatten().filter(|value: &f64| value.is_finite())
}
