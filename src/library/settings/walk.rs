use super::Setting;
use crate::library::Loaded;
use crate::library::reading::Node;
use crate::quantity::{FileId, Span};
use ::toml::de::{DeTable, DeValue};
use serde_json::Value;

/// Keys that a table of a list is called by.
const NAMES: [&str; 4] = ["name", "id", "profile", "serial"];

/// One file being gone through, its schema beside it.
pub(super) struct Walk<'a> {
    pub file: FileId,
    pub text: &'a str,
    pub schema: &'a Value,
    pub all: &'a mut Vec<Setting>,
    pub loaded: &'a Loaded,
}

impl<'a> Walk<'a> {
    /// Lists the file's settings, their keys behind `prefix`.
    pub fn file(mut self, prefix: &str) {
        let Ok(root) = DeTable::parse(self.text) else { return };
        let root = root.into_inner();
        // A rule set is called by its name.
        let prefix = match (prefix, root.get("name").map(|node| node.get_ref())) {
            ("rules", Some(DeValue::String(name))) => joined(prefix, name),
            _ => prefix.to_string(),
        };
        self.table(&root, Some(self.schema), &prefix, false);
    }

    /// A table: what it says, what it leaves out, then the tables in it. In a list only what has a
    /// default counts as left out: a punch has no use for most keys a tool may have.
    fn table(&mut self, table: &DeTable<'_>, schema: Option<&'a Value>, at: &str, listed: bool) {
        let mut entries: Vec<_> = table.iter().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        let (tables, said): (Vec<_>, Vec<_>) =
            entries.into_iter().partition(|(_, node)| self.is_open(node));
        for (key, node) in said {
            let value = match node.get_ref() {
                DeValue::String(text) => text.to_string(),
                _ => one_line(self.text.get(node.span()).unwrap_or("")),
            };
            let said = Some(self.span(key.span().start, node.span().end));
            self.all.push(Setting { key: joined(at, key.get_ref()), value: Some(value), said });
        }
        for (key, about) in left_out(schema, table) {
            let value = ["default", "x-left-out"].iter().find_map(|word| about.get(word));
            let value = value.map(|value| match value {
                Value::String(text) => text.clone(),
                other => other.to_string(),
            });
            if value.is_some() || !listed {
                self.all.push(Setting { key: joined(at, key), value, said: None });
            }
        }
        for (key, node) in tables {
            let below = schema.and_then(|schema| schema.get("properties")?.get(&**key.get_ref()));
            let at = joined(at, key.get_ref());
            match node.get_ref() {
                DeValue::Table(inner) => {
                    let below = below.or_else(|| schema?.get("additionalProperties"));
                    self.table(inner, self.object(below), &at, listed);
                }
                DeValue::Array(items) => {
                    let below = below.and_then(|list| self.resolved(list).get("items"));
                    let below = self.object(below);
                    for (number, item) in items.iter().enumerate() {
                        let DeValue::Table(inner) = item.get_ref() else { continue };
                        let name =
                            NAMES.iter().find_map(|name| match inner.get(*name)?.get_ref() {
                                DeValue::String(name) => Some(name.to_string()),
                                DeValue::Integer(number) => Some(number.to_string()),
                                _ => None,
                            });
                        let name = name.unwrap_or_else(|| (number + 1).to_string());
                        if self.in_force(key.get_ref(), &name) {
                            self.table(inner, below, &joined(&at, &name), true);
                        }
                    }
                }
                _ => {}
            }
        }
    }

    /// Whether the feature type of this name is this file's, and not another's in its place.
    fn in_force(&self, key: &str, name: &str) -> bool {
        let features = &self.loaded.library.features;
        key != "feature" || features.iter().any(|of| *of.name == *name && of.span.file == self.file)
    }

    /// Whether a value has lines of its own: `[table]` and `[[list item]]`, not `{ … }`.
    fn is_open(&self, node: &Node<'_>) -> bool {
        let begins = |node: &Node<'_>, with| {
            self.text.get(node.span()).is_some_and(|text| text.starts_with(with))
        };
        match node.get_ref() {
            DeValue::Table(_) => !begins(node, '{'),
            DeValue::Array(items) => items.iter().next().is_some_and(|first| {
                matches!(first.get_ref(), DeValue::Table(_)) && !begins(first, '{')
            }),
            _ => false,
        }
    }

    fn span(&self, start: usize, end: usize) -> Span {
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Span::new(self.file, place(start), place(end))
    }

    /// What a schema refers to.
    fn resolved(&self, schema: &'a Value) -> &'a Value {
        let name = schema.get("$ref").and_then(|name| name.as_str()?.strip_prefix("#/$defs/"));
        name.and_then(|name| self.schema.get("$defs")?.get(name)).unwrap_or(schema)
    }

    /// The table among the choices of a schema.
    fn object(&self, schema: Option<&'a Value>) -> Option<&'a Value> {
        let schema = self.resolved(schema?);
        if schema.get("properties").is_some() || schema.get("additionalProperties").is_some() {
            return Some(schema);
        }
        let choices = schema.get("anyOf")?.as_array()?;
        choices
            .iter()
            .map(|choice| self.resolved(choice))
            .find(|choice| choice.get("properties").is_some())
    }
}

/// Keys that a table may have and has not.
fn left_out<'a>(
    schema: Option<&'a Value>,
    table: &DeTable<'_>,
) -> impl Iterator<Item = (&'a str, &'a Value)> {
    let properties = schema.and_then(|schema| schema.get("properties")?.as_object());
    let required = schema.and_then(|schema| schema.get("required")?.as_array());
    let keys = properties.into_iter().flatten().map(|(key, about)| (key.as_str(), about));
    let absent =
        keys.filter(move |(key, _)| !required.is_some_and(|list| list.iter().any(|of| of == key)));
    let left: Vec<_> = absent.filter(|(key, _)| table.get(*key).is_none()).collect();
    left.into_iter()
}

/// A key below another, in quotes where TOML wants them.
fn joined(at: &str, key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let key = if !key.is_empty() && key.chars().all(bare) {
        key.to_string()
    } else {
        format!("\"{}\"", key.escape_debug())
    };
    if at.is_empty() { key } else { format!("{at}.{key}") }
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
