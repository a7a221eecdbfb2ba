//! The JSON Schema (2020-12) of a plan, from the types it is written from.

use super::rows::Plan;
use schemars::{JsonSchema, generate::SchemaSettings};
use serde_json::{Value, json};

/// The shape of a line of `plan --json`, for the schema only.
#[derive(JsonSchema)]
#[allow(dead_code)] // read by the schema generator, never built
struct PlanLine {
    /// The case's file name.
    case_file: Option<String>,
    /// The plan.
    #[schemars(flatten)]
    plan: Plan,
}

/// The schema of a plan, as a JSON value.
pub fn schema() -> Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<PlanLine>();
    schema.insert("title".to_owned(), json!("crestgauge plan"));
    schema.insert(
        "description".to_owned(),
        json!("What `crestgauge plan --json` prints: post depth, chairside card and ferrule recovery for one root."),
    );
    schema.to_value()
}
