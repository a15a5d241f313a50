//! Where members were imported from.

use crate::member::model::{Origin, OriginAt};
use schemars::JsonSchema;
use serde::Serialize;

/// The place in a list or model of the drawing office that a member was imported from.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OriginReport {
    /// Name of the file.
    pub file: String,
    /// Row of a list or line of another text, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<u32>,
    /// Number of the instance in a model.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instance: Option<u64>,
    /// Whether the members file has been changed by hand since: the piece need not be what stands
    /// at that place.
    pub changed_since: bool,
}

impl OriginReport {
    /// Of a member's.
    pub fn of(origin: &Origin) -> OriginReport {
        let (row, instance) = match origin.at {
            Some(OriginAt::Row(row)) => (Some(row), None),
            Some(OriginAt::Instance(number)) => (None, Some(number)),
            None => (None, None),
        };
        OriginReport { file: origin.file.to_string(), row, instance, changed_since: origin.changed }
    }
}
