//! The JSON Schema (2020-12) of a case file, from the same types and tables that read and write it.

use super::clinical::{Clinical, Reading};
use super::derived::Derived;
use super::document::{Calibration, Film, Root, Tooth, Uncertainty};
use super::first_look::{Answers, Finding};
use super::landmark::{LandmarkId, Owner};
use super::marks::{Landmarks, Mark};
use super::tooth::Site;
use super::{FORMAT, VERSION};
use schemars::{JsonSchema, Schema, SchemaGenerator, generate::SchemaSettings, json_schema};
use serde_json::{Map, Value, json};

/// The shape of a case file, for the schema only: [`Case`](super::Case) and [`Derived`] side by side.
#[derive(JsonSchema)]
#[allow(clippy::struct_field_names)] // the file's own keys
#[allow(dead_code)] // read by the schema generator, never built
struct CaseFile {
    /// What kind of file this is.
    #[schemars(schema_with = "format")]
    format: String,
    /// The version of the format.
    #[schemars(schema_with = "version")]
    version: u64,
    /// The film.
    #[schemars(default)]
    film: Film,
    /// The tooth.
    #[schemars(default)]
    tooth: Tooth,
    /// Free text; no patient name is wanted.
    label: Option<String>,
    /// What gives the scale.
    #[schemars(default)]
    calibration: Calibration,
    /// Uncertainties that win over the defaults.
    #[schemars(default)]
    uncertainty: Uncertainty,
    /// Landmarks of the tooth.
    #[schemars(schema_with = "tooth_landmarks", default)]
    landmarks: Landmarks,
    /// Roots.
    #[schemars(default)]
    roots: Vec<Root>,
    /// What was read at the chair.
    #[schemars(default)]
    clinical: Clinical,
    /// What was computed: written on saving, never trusted on reading.
    #[schemars(flatten)]
    derived: Option<Derived>,
    /// The case's own file name, as `measure --json` adds it.
    case_file: Option<String>,
}

/// The schema of a case file, as a JSON value.
pub fn schema() -> Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<CaseFile>();
    schema.insert("title".to_owned(), json!("crestgauge case"));
    schema.insert(
        "description".to_owned(),
        json!("One tooth on one film: its landmarks, what gives the scale, and what was computed from them."),
    );
    schema.to_value()
}

pub(super) use crate::calibration::closed;

fn format(_: &mut SchemaGenerator) -> Schema {
    json_schema!({"const": FORMAT})
}

fn version(_: &mut SchemaGenerator) -> Schema {
    json_schema!({"const": VERSION})
}

fn tooth_landmarks(generator: &mut SchemaGenerator) -> Schema {
    landmarks(generator, Owner::Tooth)
}

pub(super) fn root_landmarks(generator: &mut SchemaGenerator) -> Schema {
    landmarks(generator, Owner::Root)
}

fn landmarks(generator: &mut SchemaGenerator, owner: Owner) -> Schema {
    let mark = generator.subschema_for::<Mark>();
    let properties: Map<String, Value> = LandmarkId::points(owner)
        .map(|id| {
            let meaning = id.landmark().declaration().meaning;
            (id.key().to_owned(), json!({"description": meaning, "allOf": [mark]}))
        })
        .collect();
    json_schema!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
        "patternProperties": {"^x-": true}
    })
}

pub(super) fn reading(generator: &mut SchemaGenerator) -> Schema {
    let stated = generator.subschema_for::<Reading>();
    json_schema!({"anyOf": [{"type": "number", "minimum": 0, "maximum": 60}, stated]})
}

pub(super) fn probed_sites(generator: &mut SchemaGenerator) -> Schema {
    sites(generator, &Site::PROBED)
}

pub(super) fn all_sites(generator: &mut SchemaGenerator) -> Schema {
    sites(generator, &Site::ALL)
}

fn sites(generator: &mut SchemaGenerator, sites: &[Site]) -> Schema {
    let reading = reading(generator);
    let properties: Map<String, Value> =
        sites.iter().map(|site| (site.word().to_owned(), reading.clone().to_value())).collect();
    json_schema!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
        "patternProperties": {"^x-": true}
    })
}

/// The first look: each finding with the words, numbers or reading it is answered by.
pub(super) fn first_look(generator: &mut SchemaGenerator) -> Schema {
    let depth = reading(generator);
    let properties: Map<String, Value> = Finding::ALL
        .iter()
        .map(|finding| {
            let declaration = finding.declaration();
            let mut answer = match declaration.answers {
                Answers::Words(choices) => {
                    json!({"enum": choices.iter().map(|choice| choice.word).collect::<Vec<_>>()})
                }
                Answers::Count { most, .. } => json!({"type": "integer", "minimum": 0, "maximum": most}),
                Answers::Depth => depth.clone().to_value(),
            };
            if let Some(answer) = answer.as_object_mut() {
                answer.insert("description".to_owned(), json!(declaration.question));
            }
            (declaration.key.to_owned(), answer)
        })
        .collect();
    json_schema!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
        "patternProperties": {"^x-": true}
    })
}
