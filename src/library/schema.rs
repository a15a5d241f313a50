//! JSON Schemas of the TOML kinds, generated from the wire types.

use super::dialect::{DialectFile, LogFile};
use super::{
    batch, calibration, done, feature, label, line, measured, profile, rule, shelf, stock,
};
use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde_json::Value;

/// Every kind of TOML file that has a schema, in the order of the alphabet.
pub const KINDS: [&str; 13] = [
    "batch",
    "calibration",
    "dialect",
    "done",
    "features",
    "labels",
    "library",
    "line",
    "log",
    "measured",
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
        "done" => of::<done::Done>(),
        "features" => of::<feature::FeatureFile>(),
        "labels" => of::<label::Labels>(),
        "library" => of::<shelf::LibraryList>(),
        "line" => of::<line::Line>(),
        "log" => of::<LogFile>(),
        "measured" => of::<measured::Measured>(),
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
    SchemaSettings::draft2020_12()
        .for_deserialize()
        .with_transform(RecursiveTransform(as_in_toml))
        .into_generator()
        .into_root_schema_for::<T>()
}

/// TOML has no null: what may be left out is just not required. Descriptions are paragraphs, not
/// lines.
fn as_in_toml(schema: &mut Schema) {
    let Some(object) = schema.as_object_mut() else { return };
    if let Some(Value::String(text)) = object.get_mut("description") {
        *text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    }
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|name| name != "null");
        if let [single] = types.as_slice() {
            let single = single.clone();
            object.insert("type".into(), single);
        }
    }
    if let Some(Value::Array(choices)) = object.get_mut("anyOf") {
        choices.retain(|choice| choice.get("type").is_none_or(|name| name != "null"));
        if let [Value::Object(single)] = choices.as_slice() {
            let single = single.clone();
            object.remove("anyOf");
            for (key, value) in single {
                object.entry(key).or_insert(value);
            }
        }
    }
}
