//! Findings as JSON, for editors and scripts. The wire types are apart from the model; their
//! schema is committed under `grammar/schemas/` and a test holds it fresh.

use super::Arranged;
use crate::quantity::{FileId, Sources, Span};
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the format; it changes when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

/// Findings of one run.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// Version of this format.
    version: u32,
    /// The findings: by file, place, code.
    diagnostics: Vec<Finding>,
    /// How many there are, shown or not.
    counts: Numbers,
    /// How many of them are left out of `diagnostics`.
    hidden: usize,
}

/// Numbers of findings.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
struct Numbers {
    errors: usize,
    warnings: usize,
    notes: usize,
}

/// One finding.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
struct Finding {
    /// Stable code, such as `E0401`; `coilwright explain` has its text.
    code: String,
    /// The code in words.
    slug: String,
    severity: Severity,
    /// What is wrong, with the numbers.
    message: String,
    /// Where; the first is the place it is reported at. Empty where there is no source.
    labels: Vec<Label>,
    /// Why it matters.
    notes: Vec<String>,
    /// What to write or do instead.
    help: Option<String>,
}

/// How grave a finding is.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(rename_all = "lowercase")]
enum Severity {
    /// Nothing is made.
    Error,
    /// Someone should look.
    Warning,
    /// Worth knowing.
    Note,
}

/// A place in a file.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
struct Label {
    /// Name of the file as the user gave it.
    file: String,
    start: Place,
    /// One past the last byte.
    end: Place,
    /// What to see there; may be empty.
    text: String,
}

/// A point in a file. A byte order mark is not counted.
#[derive(Serialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
struct Place {
    /// Offset in bytes, from 0.
    byte: u32,
    /// Line, from 1.
    line: u32,
    /// Column in characters, from 1.
    column: u32,
}

/// These findings as one JSON document with a line feed at its end.
pub fn report(found: &Arranged, sources: &Sources) -> String {
    let mut columns = Columns::default();
    let diagnostics = found
        .shown
        .iter()
        .map(|d| Finding {
            code: d.code.number.to_string(),
            slug: d.code.slug.to_string(),
            severity: match d.severity {
                super::Severity::Error => Severity::Error,
                super::Severity::Warning => Severity::Warning,
                super::Severity::Note => Severity::Note,
            },
            message: d.message.clone(),
            labels: d
                .labels
                .iter()
                .filter_map(|label| columns.label(label.span, &label.text, sources))
                .collect(),
            notes: d.notes.clone(),
            help: d.help.clone(),
        })
        .collect();
    let counts = Numbers {
        errors: found.counts.errors,
        warnings: found.counts.warnings,
        notes: found.counts.notes,
    };
    let report = Report { version: VERSION, diagnostics, counts, hidden: found.hidden };
    // Plain structs with string keys cannot fail to serialise.
    let mut text = serde_json::to_string_pretty(&report).unwrap_or_default();
    text.push('\n');
    text
}

/// The schema of [`report`], as JSON with a line feed at its end.
pub fn schema() -> String {
    let schema = schemars::schema_for!(Report);
    let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    text.push('\n');
    text
}

/// Counts columns from the last place asked for where that is on the same line: findings come in
/// order, and a line may be ten megabytes long.
#[derive(Default)]
struct Columns {
    last: Option<(FileId, Place)>,
}

impl Columns {
    fn label(&mut self, span: Span, text: &str, sources: &Sources) -> Option<Label> {
        let name = sources.get(span.file)?.name().to_string();
        let start = self.place(span.file, span.start, sources)?;
        let end = self.place(span.file, span.end, sources)?;
        Some(Label { file: name, start, end, text: text.to_string() })
    }

    fn place(&mut self, file: FileId, byte: u32, sources: &Sources) -> Option<Place> {
        let source = sources.get(file)?;
        let near = self.last.as_ref().filter(|(f, last)| *f == file && last.byte <= byte);
        let counted = near.and_then(|(_, last)| {
            let between = source.text().get(last.byte as usize..byte as usize)?;
            let more = u32::try_from(between.chars().count()).ok()?;
            (!between.contains('\n')).then_some((last.line, last.column.saturating_add(more)))
        });
        let (line, column) = counted.unwrap_or_else(|| {
            let at = source.position(byte);
            (at.line, at.column)
        });
        self.last = Some((file, Place { byte, line, column }));
        Some(Place { byte, line, column })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::codes::files::E0904;
    use crate::diagnostic::{Diagnostic, arrange};
    use crate::quantity::SourceFile;

    #[test]
    fn says_everything_a_finding_holds_and_is_valid_against_its_schema() {
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("a.members", "é1\nöäü x\n"));
        let found = vec![
            Diagnostic::new(&E0904, "m")
                .at(Span::new(file, 4, 6), "here")
                .at(Span::new(file, 6, 11), "")
                .note("n")
                .help("h"),
            Diagnostic::new(&E0904, "no place").severity(crate::diagnostic::Severity::Note),
        ];
        let value: serde_json::Value =
            serde_json::from_str(&report(&arrange(found, 0), &sources)).unwrap();
        assert_eq!(
            value,
            serde_json::json!({
                "version": 1,
                "diagnostics": [
                    {
                        "code": "E0904", "slug": "unreadable-file", "severity": "error",
                        "message": "m",
                        "labels": [
                            { "file": "a.members", "text": "here",
                              "start": { "byte": 4, "line": 2, "column": 1 },
                              "end": { "byte": 6, "line": 2, "column": 2 } },
                            { "file": "a.members", "text": "",
                              "start": { "byte": 6, "line": 2, "column": 2 },
                              "end": { "byte": 11, "line": 2, "column": 5 } },
                        ],
                        "notes": ["n"], "help": "h",
                    },
                    {
                        "code": "E0904", "slug": "unreadable-file", "severity": "note",
                        "message": "no place", "labels": [], "notes": [], "help": null,
                    },
                ],
                "counts": { "errors": 1, "warnings": 0, "notes": 1 },
                "hidden": 0,
            })
        );
        let schema: serde_json::Value = serde_json::from_str(&schema()).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        assert!(validator.is_valid(&value));
        let mut wrong = value;
        wrong["diagnostics"][0]["severity"] = "fatal".into();
        assert!(!validator.is_valid(&wrong));
    }

    #[test]
    fn columns_counted_on_are_the_columns_counted_afresh() {
        let text = "aé b\n\nüü x y\nz";
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("a", text));
        let source = sources.get(file).unwrap();
        for from in 0..=text.len() + 1 {
            for to in 0..=text.len() + 1 {
                let mut columns = Columns::default();
                for byte in [from, to] {
                    let byte = u32::try_from(byte).unwrap();
                    let place = columns.place(file, byte, &sources).unwrap();
                    let afresh = source.position(byte);
                    assert_eq!((place.line, place.column), (afresh.line, afresh.column), "{byte}");
                }
            }
        }
    }
}
