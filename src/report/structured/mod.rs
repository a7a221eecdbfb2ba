//! The measurements as a DICOM structured report: a Comprehensive SR (PS3.3, A.35.3) by the template of measurement
//! reports (PS3.16, TID 1500), explicit little endian.
//!
//! Attributes of the patient stay empty: whoever files it fills them in from the order. Unique identifiers are `2.25.`
//! and 128 bits of a digest of what the report says and its day, so the same report is the same object; of the film only
//! its own identifiers are taken.

mod codes;
mod item;

use super::subject::{PictureFailed, Subject};
use super::text::SAFETY;
use super::words::{NO_SCALE, all_about_words, claim_words, measurement_name, scale_words};
use crate::case::{MeasurementRow, Root, State};
use crate::film::Sha256;
use crate::film::dicom::FilmIdentifiers;
use crate::measure::spans;
use crate::quantity::Day;
use crate::quantity::Unit;
use codes::private;
use dicom_core::value::PrimitiveValue;
use dicom_core::{DataElement, Tag, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::meta::FileMetaTableBuilder;
use item::{Element, Holds, Item, Object, referenced, sequence, text};

const CONTAINS: &str = "CONTAINS";
const CONTEXT: &str = "HAS OBS CONTEXT";
const MODIFIER: &str = "HAS CONCEPT MOD";
const PROPERTIES: &str = "HAS PROPERTIES";
const INFERRED: &str = "INFERRED FROM";

/// What a structured report lacks beside what it has, for whoever asked for it.
pub fn missing_in_structured_report(film: Option<&FilmIdentifiers>) -> Vec<&'static str> {
    let mut missing =
        vec!["the patient's attributes are empty: fill them in from the order when the report is filed"];
    if film.is_none() {
        missing.push(
            "the film is no DICOM object: no image is referenced, no coordinates are given, and the study is a new one",
        );
    }
    missing
}

/// The bytes of a structured report. `film` are the identifiers of the film, where it is a DICOM object.
///
/// # Errors
/// The encoder will not have it.
pub fn structured_report(
    subject: &Subject<'_>,
    date: Day,
    film: Option<&FilmIdentifiers>,
) -> Result<Vec<u8>, PictureFailed> {
    let failed = |error: &dyn std::error::Error| PictureFailed::Encoder(error.to_string());
    let rows = serde_json::to_string(&crate::case::Document {
        case: subject.case,
        derived: Some(subject.derived),
        case_file: None,
    })
    .map_err(|error| failed(&error))?;
    let digest = Sha256::of(format!("{rows} {date} {film:?}").as_bytes());
    let made = Made { subject, film, uid: |role: &str| identifier(&format!("{role} {digest}")) };
    let mut elements = made.head(date);
    elements.extend(made.root().elements(film));
    let object = Object::from_element_iter(elements)
        .with_meta(FileMetaTableBuilder::new().transfer_syntax(uids::EXPLICIT_VR_LITTLE_ENDIAN))
        .map_err(|error| failed(&error))?;
    let mut bytes = Vec::new();
    object.write_all(&mut bytes).map_err(|error| failed(&error))?;
    Ok(bytes)
}

/// An identifier of the form `2.25.` and 128 bits (PS3.5, B.2).
fn identifier(stated: &str) -> String {
    let digest = Sha256::of(format!("crestgauge report {stated}").as_bytes());
    let first = digest.bytes().first_chunk::<16>().copied().unwrap_or_default();
    format!("2.25.{}", u128::from_be_bytes(first))
}

struct Made<'a, 'c, F: Fn(&str) -> String> {
    subject: &'a Subject<'c>,
    film: Option<&'a FilmIdentifiers>,
    uid: F,
}

impl<F: Fn(&str) -> String> Made<'_, '_, F> {
    /// What stands around the content.
    fn head(&self, date: Day) -> Vec<Element> {
        let day = date.to_string().replace('-', "");
        let program = &self.subject.derived.computed.program;
        let study = self.film.map_or_else(|| (self.uid)("study"), |film| film.study.clone());
        let scheme = Object::from_element_iter([
            text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, codes::PRIVATE),
            text(tags::CODING_SCHEME_NAME, VR::ST, "Names of crestgauge: measurements, criteria, verdicts"),
            text(tags::CODING_SCHEME_RESPONSIBLE_ORGANIZATION, VR::ST, "crestgauge"),
        ]);
        let mut elements = vec![
            text(tags::SPECIFIC_CHARACTER_SET, VR::CS, "ISO_IR 192"),
            text(tags::SOP_CLASS_UID, VR::UI, uids::COMPREHENSIVE_SR_STORAGE),
            text(tags::SOP_INSTANCE_UID, VR::UI, &(self.uid)("instance")),
            text(tags::STUDY_INSTANCE_UID, VR::UI, &study),
            text(tags::SERIES_INSTANCE_UID, VR::UI, &(self.uid)("series")),
            text(tags::MODALITY, VR::CS, "SR"),
            text(tags::MANUFACTURER, VR::LO, "crestgauge"),
            text(tags::MANUFACTURER_MODEL_NAME, VR::LO, "crestgauge"),
            text(tags::SOFTWARE_VERSIONS, VR::LO, program),
            text(tags::SERIES_NUMBER, VR::IS, "1"),
            text(tags::INSTANCE_NUMBER, VR::IS, "1"),
            text(tags::CONTENT_DATE, VR::DA, &day),
            text(tags::CONTENT_TIME, VR::TM, "000000"),
            // Nobody has signed it, and it holds what could be measured.
            text(tags::COMPLETION_FLAG, VR::CS, "PARTIAL"),
            text(tags::VERIFICATION_FLAG, VR::CS, "UNVERIFIED"),
            sequence(tags::CODING_SCHEME_IDENTIFICATION_SEQUENCE, vec![scheme]),
        ];
        elements.extend(NOBODY.map(|(tag, representation)| match representation {
            VR::SQ => sequence(tag, Vec::new()),
            _ => DataElement::new(tag, representation, PrimitiveValue::Empty),
        }));
        if let Some(film) = self.film {
            let series = Object::from_element_iter([
                text(tags::SERIES_INSTANCE_UID, VR::UI, &film.series),
                sequence(tags::REFERENCED_SOP_SEQUENCE, vec![referenced(film)]),
            ]);
            let study = Object::from_element_iter([
                text(tags::STUDY_INSTANCE_UID, VR::UI, &film.study),
                sequence(tags::REFERENCED_SERIES_SEQUENCE, vec![series]),
            ]);
            elements.push(sequence(tags::CURRENT_REQUESTED_PROCEDURE_EVIDENCE_SEQUENCE, vec![study]));
        }
        elements
    }

    fn root(&self) -> Item {
        let program = &self.subject.derived.computed.program;
        let device = identifier(&format!("device {program}"));
        let mut root = Item::new("", codes::REPORT, Holds::Container(Some("1500"))).with([
            Item::new(MODIFIER, codes::LANGUAGE, Holds::Code(codes::ENGLISH)),
            Item::new(CONTEXT, codes::OBSERVER_TYPE, Holds::Code(codes::DEVICE)),
            Item::new(CONTEXT, codes::DEVICE_UID, Holds::Uid(device)),
            Item::new(CONTEXT, codes::DEVICE_NAME, Holds::Text(program.clone())),
            Item::new(CONTEXT, codes::DEVICE_MODEL, Holds::Text("crestgauge".to_owned())),
            Item::new(MODIFIER, codes::PROCEDURE, Holds::Code(codes::DENTAL_RADIOGRAPHY)),
        ]);
        if let Some(film) = self.film {
            let modality =
                Item::new("HAS ACQ CONTEXT", codes::MODALITY, Holds::Code(codes::modality(&film.class)));
            let group = Item::new(CONTAINS, codes::LIBRARY_GROUP, Holds::Container(None))
                .with([modality, Item::unnamed(CONTAINS, Holds::Image)]);
            root = root.with([Item::new(CONTAINS, codes::LIBRARY, Holds::Container(None)).with([group])]);
        }
        let roots = self.subject.case.roots.iter().map(Some);
        let groups: Vec<Item> =
            std::iter::once(None).chain(roots).filter_map(|root| self.group(root)).collect();
        let measurements = Item::new(CONTAINS, codes::MEASUREMENTS, Holds::Container(None)).with(groups);
        root.with([measurements, self.evaluations()])
    }

    /// The measurements of the tooth, or of one of its roots.
    fn group(&self, root: Option<&Root>) -> Option<Item> {
        let name = root.map(|root| root.name.word());
        let rows = self.subject.derived.measurements.iter().filter(|row| row.of.root.as_deref() == name);
        let numbers: Vec<Item> = rows.filter_map(|row| self.number(row)).collect();
        if numbers.is_empty() {
            return None;
        }
        let fdi = self.subject.case.tooth.fdi;
        let tooth = fdi.map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
        let whose = name.map_or(tooth.clone(), |root| format!("{tooth}, {root} root"));
        let mut group = Item::new(CONTAINS, codes::GROUP, Holds::Container(Some("1501"))).with([
            Item::new(CONTEXT, codes::TRACKING, Holds::Text(whose.clone())),
            Item::new(CONTEXT, codes::TRACKING_UID, Holds::Uid((self.uid)(&whose))),
        ]);
        if let Some(code) = fdi.and_then(codes::tooth) {
            let root = name.map(|root| {
                let root = private(format!("root.{root}"), format!("{root} root"));
                Item::new(MODIFIER, codes::TOPOGRAPHY, Holds::Code(root))
            });
            group = group.with([Item::new(MODIFIER, codes::FINDING_SITE, Holds::Code(code)).with(root)]);
        }
        Some(group.with(numbers))
    }

    fn number(&self, row: &MeasurementRow) -> Option<Item> {
        let (value, [low, high]) = (row.value?, row.interval?);
        let name = measurement_name(self.subject.case, &row.of);
        let unit = codes::unit(row.unit);
        let number = |value: f64| Holds::Number { value, unit: unit.clone() };
        let state = row.state.unwrap_or(State::Present);
        let mut item = Item::new(CONTAINS, private(row.of.id.clone(), name), number(value)).with([
            Item::new(MODIFIER, private("state", "State"), Holds::Code(private(state.word(), state.word()))),
            Item::new(PROPERTIES, codes::ABOVE, number(high - value)),
            Item::new(PROPERTIES, codes::BELOW, number(value - low)),
        ]);
        item = item.with(row.sd.map(|sd| Item::new(PROPERTIES, codes::DEVIATION, number(sd))));
        Some(item.with(self.lines(row)))
    }

    /// Where on the film it was measured.
    fn lines(&self, row: &MeasurementRow) -> Vec<Item> {
        let Subject { case, measured, .. } = self.subject;
        let of = |it: &&crate::measure::Measurement| it.of == row.of;
        let Some(measurement) = self.film.and_then(|_| measured.measurements.iter().find(of)) else {
            return Vec::new();
        };
        let spans = spans(case, measured, measurement).into_iter().filter(|span| span.line.len() > 1);
        spans
            .map(|span| {
                let points = span.line.iter().map(|place| [place.x, place.y]).collect();
                let image = Item::unnamed("SELECTED FROM", Holds::Image);
                Item::new(INFERRED, codes::SOURCE, Holds::Polyline(points)).with([image])
            })
            .collect()
    }

    /// Verdicts, cautions, and what the numbers are worth.
    fn evaluations(&self) -> Item {
        let Subject { case, derived, criteria, .. } = self.subject;
        let mut items = Vec::new();
        for verdict in &derived.verdicts {
            let Some(criterion) = criteria.list.iter().find(|it| it.id == verdict.criterion) else {
                continue;
            };
            let Some(word) = verdict.verdict.filter(|_| verdict.probability.is_some()) else { continue };
            let claim = claim_words(verdict, criterion);
            let name = private(verdict.criterion.clone(), claim);
            let value = private(word.words().replace(' ', "_"), word.words());
            let state = verdict.state.unwrap_or(State::Present);
            let mut item = Item::new(CONTAINS, name, Holds::Code(value)).with([Item::new(
                MODIFIER,
                private("state", "State"),
                Holds::Code(private(state.word(), state.word())),
            )]);
            if let Some(value) = verdict.probability {
                let probability = private("probability", "Probability of the bound");
                let holds = Holds::Number { value, unit: codes::unit(Unit::One) };
                item = item.with([Item::new(PROPERTIES, probability, holds)]);
            }
            items.push(item);
        }
        let scale = derived.computed.scale.as_ref().map_or_else(|| NO_SCALE.to_owned(), scale_words);
        let mut comments = vec![format!("scale: {scale}")];
        comments.extend(case.label.as_ref().map(|label| format!("label: {label}")));
        comments.extend(case.film.sha256.as_ref().map(|digest| format!("film, SHA-256: {digest}")));
        comments.extend(derived.cautions.iter().map(|caution| {
            let about = all_about_words(case, &caution.about);
            let lead = if about.is_empty() { String::new() } else { format!("{about}: ") };
            format!("caution: {lead}{}", caution.text)
        }));
        let computed = &derived.computed;
        comments.push(format!("criteria: {}, SHA-256 {}", computed.criteria, computed.criteria_sha256));
        comments.push(SAFETY.to_owned());
        items.extend(
            comments.into_iter().map(|words| Item::new(CONTAINS, codes::COMMENT, Holds::Text(words))),
        );
        Item::new(CONTAINS, codes::EVALUATIONS, Holds::Container(None)).with(items)
    }
}

/// What must be there and is nobody's to say here: the patient, the study's order, the steps performed.
const NOBODY: [(Tag, VR); 11] = [
    (tags::STUDY_DATE, VR::DA),
    (tags::STUDY_TIME, VR::TM),
    (tags::ACCESSION_NUMBER, VR::SH),
    (tags::REFERRING_PHYSICIAN_NAME, VR::PN),
    (tags::PATIENT_NAME, VR::PN),
    (tags::PATIENT_ID, VR::LO),
    (tags::PATIENT_BIRTH_DATE, VR::DA),
    (tags::PATIENT_SEX, VR::CS),
    (tags::STUDY_ID, VR::SH),
    (tags::REFERENCED_PERFORMED_PROCEDURE_STEP_SEQUENCE, VR::SQ),
    (tags::PERFORMED_PROCEDURE_CODE_SEQUENCE, VR::SQ),
];
