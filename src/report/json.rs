//! Reports as JSON, and the schemas of all of them.

use schemars::JsonSchema;
use serde::Serialize;

/// One document with a line feed at its end.
pub fn print(value: &impl Serialize) -> String {
    // Plain structs with string keys cannot fail to serialise.
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}

/// One document on one line, for programs only.
pub fn compact(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

/// The schema of one of them, with a line feed at its end.
pub fn schema<T: JsonSchema>() -> String {
    print(&schemars::schema_for!(T))
}
