//! Codes of a structured report. Those of the standard's own scheme (DCM) and of SNOMED CT (SCT) are as the dictionary
//! of `pydicom` 3.0.2 has them, which is made from PS3.16; what is from memory says so. What no standard has is private,
//! under [`PRIVATE`].

use crate::case::Fdi;
use crate::quantity::Unit;
use std::borrow::Cow;

/// The designator of private codes, which begin with 99 (PS3.16, 8.2).
pub(super) const PRIVATE: &str = "99CRESTGAUGE";

/// A coded concept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Code {
    pub(super) value: Cow<'static, str>,
    pub(super) scheme: &'static str,
    pub(super) meaning: Cow<'static, str>,
}

const fn code(value: &'static str, scheme: &'static str, meaning: &'static str) -> Code {
    Code { value: Cow::Borrowed(value), scheme, meaning: Cow::Borrowed(meaning) }
}

const fn dcm(value: &'static str, meaning: &'static str) -> Code {
    code(value, "DCM", meaning)
}

const fn sct(value: &'static str, meaning: &'static str) -> Code {
    code(value, "SCT", meaning)
}

/// A code of our own.
pub(super) fn private(value: impl Into<Cow<'static, str>>, meaning: impl Into<Cow<'static, str>>) -> Code {
    let mut meaning = meaning.into();
    // A meaning has at most 64 letters (PS3.5, 6.2, LO).
    if meaning.chars().count() > 64 {
        meaning = meaning.chars().take(63).chain(['…']).collect::<String>().into();
    }
    Code { value: value.into(), scheme: PRIVATE, meaning }
}

pub(super) const REPORT: Code = dcm("126000", "Imaging Measurement Report");
pub(super) const LANGUAGE: Code = dcm("121049", "Language of Content Item and Descendants");
pub(super) const ENGLISH: Code = code("en", "RFC5646", "English");
pub(super) const OBSERVER_TYPE: Code = dcm("121005", "Observer Type");
pub(super) const DEVICE: Code = dcm("121007", "Device");
pub(super) const DEVICE_UID: Code = dcm("121012", "Device Observer UID");
pub(super) const DEVICE_NAME: Code = dcm("121013", "Device Observer Name");
pub(super) const DEVICE_MODEL: Code = dcm("121015", "Device Observer Model Name");
pub(super) const PROCEDURE: Code = dcm("121058", "Procedure reported");
pub(super) const DENTAL_RADIOGRAPHY: Code = sct("1290849002", "Dental radiography");
pub(super) const LIBRARY: Code = dcm("111028", "Image Library");
pub(super) const LIBRARY_GROUP: Code = dcm("126200", "Image Library Group");
pub(super) const MODALITY: Code = dcm("121139", "Modality");
pub(super) const MEASUREMENTS: Code = dcm("126010", "Imaging Measurements");
pub(super) const GROUP: Code = dcm("125007", "Measurement Group");
pub(super) const TRACKING: Code = dcm("112039", "Tracking Identifier");
pub(super) const TRACKING_UID: Code = dcm("112040", "Tracking Unique Identifier");
pub(super) const FINDING_SITE: Code = sct("363698007", "Finding Site");
pub(super) const TOPOGRAPHY: Code = sct("106233006", "Topographical modifier");
pub(super) const SOURCE: Code = dcm("121112", "Source of Measurement");
pub(super) const COMMENT: Code = dcm("121106", "Comment");
pub(super) const DEVIATION: Code = sct("386136009", "Standard Deviation");
/// As `highdicom` 0.28.2 has them for TID 310.
pub(super) const ABOVE: Code = sct("371886008", "+, range of upper measurement uncertainty");
pub(super) const BELOW: Code = sct("371885007", "-, range of lower measurement uncertainty");
/// From memory.
pub(super) const EVALUATIONS: Code = code("C0034375", "UMLS", "Qualitative Evaluations");

/// The unit of a measurement (UCUM).
pub(super) const fn unit(unit: Unit) -> Code {
    let meaning = match unit {
        Unit::Millimetre => "millimeter",
        Unit::One => "no units",
        Unit::Degree => "degree",
    };
    code(unit.code(), "UCUM", meaning)
}

/// The kind of a film, by the class of its object (PS3.6, annex A).
pub(super) fn modality(class: &str) -> Code {
    match class {
        "1.2.840.10008.5.1.4.1.1.1" => dcm("CR", "Computed Radiography"),
        "1.2.840.10008.5.1.4.1.1.1.1" | "1.2.840.10008.5.1.4.1.1.1.1.1" => dcm("DX", "Digital Radiography"),
        "1.2.840.10008.5.1.4.1.1.1.3" | "1.2.840.10008.5.1.4.1.1.1.3.1" => {
            dcm("IO", "Intra-oral Radiography")
        }
        _ => dcm("OT", "Other"),
    }
}

/// A tooth of the permanent dentition by SNOMED CT, as PS3.16 lists it in CID 4018.
pub(super) fn tooth(fdi: Fdi) -> Option<Code> {
    // From the midline outwards.
    const TEETH: [[&str; 8]; 4] = [
        ["422653006", "424877001", "860767006", "57826002", "36492000", "865995000", "863902006", "68085002"],
        ["424399000", "423185002", "860780009", "61897005", "23226009", "865988009", "863901004", "87704003"],
        ["425106001", "423331005", "860782001", "2400006", "24573005", "866006002", "863898000", "74344005"],
        ["424575004", "423937004", "860785004", "80140008", "8873007", "866005003", "863899008", "38994002"],
    ];
    const KINDS: [&str; 8] = [
        "central incisor",
        "lateral incisor",
        "canine",
        "first premolar",
        "second premolar",
        "first molar",
        "second molar",
        "third molar",
    ];
    let quadrant = usize::from(fdi.quadrant().checked_sub(1)?);
    let position = usize::from(fdi.position().checked_sub(1)?);
    let side =
        ["Permanent maxillary right", "Permanent maxillary left", "Mandibular left", "Mandibular right"]
            .get(quadrant)?;
    let meaning = format!("{side} {} tooth", KINDS.get(position)?);
    let value = *TEETH.get(quadrant)?.get(position)?;
    Some(Code { value: value.into(), scheme: "SCT", meaning: meaning.into() })
}
