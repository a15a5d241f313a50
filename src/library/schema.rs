//! JSON Schemas of the TOML kinds, generated from the wire types.

use super::dialect::DialectFile;
use super::{batch, calibration, feature, line, profile, rule, shelf, stock};
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema};

/// Every kind of TOML file that has a schema, in the order of the alphabet.
pub const KINDS: [&str; 9] = [
    "batch",
    "calibration",
    "dialect",
    "features",
    "library",
    "line",
    "profiles",
    "rules",
    "stock",
];

/// The JSON Schema of a kind, as text with a final line end; `None` for an unknown kind.
pub fn schema(kind: &str) -> Option<String> {
    let schema = match kind {
        "batch" => of::<batch::Batch>(),
        "calibration" => of::<calibration::Calibration>(),
        "dialect" => of::<DialectFile>(),
        "features" => of::<feature::FeatureFile>(),
        "library" => of::<shelf::LibraryList>(),
        "line" => of::<line::Line>(),
        "profiles" => of::<profile::ProfileFile>(),
        "rules" => of::<rule::RuleFile>(),
        "stock" => of::<stock::Stock>(),
        _ => return None,
    };
    let mut text = serde_json::to_string_pretty(&schema).ok()?;
    text.push('\n');
    Some(text)
}

/// The schema of a wire type, for files to be read.
pub fn of<T: JsonSchema>() -> Schema {
    SchemaSettings::draft2020_12().for_deserialize().into_generator().into_root_schema_for::<T>()
}
