//! Figures and words of JSON members: text, in the spelling of the language.

use crate::exchange::figure;
use crate::exchange::words::{usage_help, usage_of, usage_words};
use crate::language::{FRAME_KINDS, USAGES, frame_kind_word};
use crate::library::reading::length_text;
use crate::member::model;
use crate::quantity::Length;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

/// A length, as text with its unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figure(pub Length);
impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&format_args!("{} mm", self.0))
    }
}
impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Figure, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        let refuse = |(what, help): (String, String)| D::Error::custom(format!("{what}; {help}"));
        let spelled = figure::spelled(&text).map_err(refuse)?;
        length_text(&spelled).map(Figure).map_err(|fault| {
            let (what, help) = fault.tell();
            refuse((format!("`{text}`: {what}"), help))
        })
    }
}
impl JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Length".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A length with its unit, such as \"2396 mm\" or \"3/32 in\".",
            "type": "string",
        })
    }
}

/// One of the language's words, in the model's terms.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind(pub model::FrameKind);
impl Serialize for Kind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(frame_kind_word(self.0))
    }
}
impl<'de> Deserialize<'de> for Kind {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Kind, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        let known = FRAME_KINDS.iter().find(|(word, _)| *word == text);
        known.map(|(_, kind)| Kind(*kind)).ok_or_else(|| {
            D::Error::custom(format!(
                "there is no kind of frame `{text}`; write wall, floor, truss, roof or loose"
            ))
        })
    }
}
impl JsonSchema for Kind {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "Kind".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words: Vec<&str> = FRAME_KINDS.iter().map(|(word, _)| *word).collect();
        json_schema!({ "enum": words })
    }
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Usage(pub model::Usage);
impl Serialize for Usage {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&usage_words(self.0))
    }
}
impl<'de> Deserialize<'de> for Usage {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Usage, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        usage_of(&text).map(Usage).ok_or_else(|| {
            D::Error::custom(format!("there is no usage `{text}`; {}", usage_help(&text)))
        })
    }
}
impl JsonSchema for Usage {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "Usage".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words: Vec<String> = USAGES.iter().map(|(words, _)| words.join(" ")).collect();
        json_schema!({ "enum": words })
    }
}
