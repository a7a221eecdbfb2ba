//! A tree of content items, and the tree as elements of a data set (PS3.3, C.17.3).

use super::codes::Code;
use crate::film::dicom::FilmIdentifiers;
use dicom_core::value::{DataSetSequence, PrimitiveValue};
use dicom_core::{DataElement, Tag, VR};
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;

pub(super) type Object = InMemDicomObject;
pub(super) type Element = DataElement<Object>;

/// What an item holds.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Holds {
    /// Other items; the template they follow, where it is named.
    Container(Option<&'static str>),
    Code(Code),
    Text(String),
    Uid(String),
    Number {
        value: f64,
        unit: Code,
    },
    /// The film itself.
    Image,
    /// Lines on the film, stored pixels from the outer corner of the first (PS3.3, C.18.6).
    Polyline(Vec<[f64; 2]>),
}

/// A content item.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    relation: &'static str,
    name: Option<Code>,
    holds: Holds,
    items: Vec<Self>,
}

impl Item {
    pub(super) const fn new(relation: &'static str, name: Code, holds: Holds) -> Self {
        Self { relation, name: Some(name), holds, items: Vec::new() }
    }

    /// One without a name of its own.
    pub(super) const fn unnamed(relation: &'static str, holds: Holds) -> Self {
        Self { relation, name: None, holds, items: Vec::new() }
    }

    pub(super) fn with(mut self, items: impl IntoIterator<Item = Self>) -> Self {
        self.items.extend(items);
        self
    }

    /// As an item of a sequence; of the root without its relation.
    pub(super) fn elements(&self, film: Option<&FilmIdentifiers>) -> Vec<Element> {
        let mut elements = Vec::new();
        if !self.relation.is_empty() {
            elements.push(text(tags::RELATIONSHIP_TYPE, VR::CS, self.relation));
        }
        elements.push(text(tags::VALUE_TYPE, VR::CS, self.holds.kind()));
        if let Some(name) = &self.name {
            elements.push(sequence(tags::CONCEPT_NAME_CODE_SEQUENCE, vec![coded(name)]));
        }
        elements.extend(self.holds.elements(film));
        if !self.items.is_empty() {
            let items = self.items.iter().map(|item| Object::from_element_iter(item.elements(film)));
            elements.push(sequence(tags::CONTENT_SEQUENCE, items.collect()));
        }
        elements
    }
}

impl Holds {
    const fn kind(&self) -> &'static str {
        match self {
            Self::Container(_) => "CONTAINER",
            Self::Code(_) => "CODE",
            Self::Text(_) => "TEXT",
            Self::Uid(_) => "UIDREF",
            Self::Number { .. } => "NUM",
            Self::Image => "IMAGE",
            Self::Polyline(_) => "SCOORD",
        }
    }

    fn elements(&self, film: Option<&FilmIdentifiers>) -> Vec<Element> {
        match self {
            Self::Container(template) => {
                let mut elements = vec![text(tags::CONTINUITY_OF_CONTENT, VR::CS, "SEPARATE")];
                elements.extend(template.map(|template| {
                    let item = Object::from_element_iter([
                        text(tags::MAPPING_RESOURCE, VR::CS, "DCMR"),
                        text(tags::TEMPLATE_IDENTIFIER, VR::CS, template),
                    ]);
                    sequence(tags::CONTENT_TEMPLATE_SEQUENCE, vec![item])
                }));
                elements
            }
            Self::Code(code) => vec![sequence(tags::CONCEPT_CODE_SEQUENCE, vec![coded(code)])],
            Self::Text(words) => vec![text(tags::TEXT_VALUE, VR::UT, words)],
            Self::Uid(uid) => vec![text(tags::UID, VR::UI, uid)],
            Self::Number { value, unit } => {
                let item = Object::from_element_iter([
                    text(tags::NUMERIC_VALUE, VR::DS, &decimal_string(*value)),
                    // A decimal string has 16 characters; this is the value itself.
                    DataElement::new(tags::FLOATING_POINT_VALUE, VR::FD, PrimitiveValue::from(*value)),
                    sequence(tags::MEASUREMENT_UNITS_CODE_SEQUENCE, vec![coded(unit)]),
                ]);
                vec![sequence(tags::MEASURED_VALUE_SEQUENCE, vec![item])]
            }
            Self::Image => film.map_or_else(Vec::new, |film| {
                vec![sequence(tags::REFERENCED_SOP_SEQUENCE, vec![referenced(film)])]
            }),
            Self::Polyline(points) => {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "the standard's coordinates are of single precision"
                )]
                let data: Vec<f32> = points.iter().flatten().map(|value| *value as f32).collect();
                vec![
                    text(tags::GRAPHIC_TYPE, VR::CS, "POLYLINE"),
                    DataElement::new(tags::GRAPHIC_DATA, VR::FL, PrimitiveValue::F32(data.into())),
                ]
            }
        }
    }
}

pub(super) fn text(tag: Tag, representation: VR, value: &str) -> Element {
    DataElement::new(tag, representation, PrimitiveValue::from(value))
}

pub(super) fn sequence(tag: Tag, items: Vec<Object>) -> Element {
    DataElement::new(tag, VR::SQ, DataSetSequence::from(items))
}

/// A code as an item. One longer than 16 letters has an attribute of its own (PS3.3, 8.8).
fn coded(code: &Code) -> Object {
    let value = if code.value.len() <= 16 {
        text(tags::CODE_VALUE, VR::SH, &code.value)
    } else {
        text(tags::LONG_CODE_VALUE, VR::UC, &code.value)
    };
    Object::from_element_iter([
        value,
        text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, code.scheme),
        text(tags::CODE_MEANING, VR::LO, &code.meaning),
    ])
}

/// A film by class and instance.
pub(super) fn referenced(film: &FilmIdentifiers) -> Object {
    Object::from_element_iter([
        text(tags::REFERENCED_SOP_CLASS_UID, VR::UI, &film.class),
        text(tags::REFERENCED_SOP_INSTANCE_UID, VR::UI, &film.instance),
    ])
}

/// A number in the 16 characters of a decimal string (PS3.5, 6.2), as exact as they allow.
fn decimal_string(value: f64) -> String {
    let shortest = value.to_string();
    if shortest.len() <= 16 {
        return shortest;
    }
    // Sign, point, exponent and what stands before the point leave nine digits in every case.
    let plain = format!("{value:.10}");
    let plain = plain.trim_end_matches('0').trim_end_matches('.').to_owned();
    if plain.len() <= 16 && value.abs() >= 1e-3 { plain } else { format!("{value:.8e}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_decimal_string_fits_and_says_the_number(value in prop_oneof![-1e3..1e3_f64, -1e-6..1e-6_f64, any::<f64>()]) {
            prop_assume!(value.is_finite());
            let text = decimal_string(value);
            prop_assert!(text.len() <= 16, "{text}");
            let back: f64 = text.parse().unwrap();
            prop_assert!((back - value).abs() <= 1e-8 * value.abs(), "{text} for {value}");
        }
    }
}
