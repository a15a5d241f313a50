//! From the records of a description to steps that printer and reader both follow, checked one
//! by one: fields in place, each once, each in a format of its kind.

use super::code::{self, Codes};
use super::number::Number;
use super::text::{Text, Unspelled, shown, unwritable};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{
    Dialect, Field, Line, NumberFormat, Part, Scope, TextFormat, Unit, Written,
};
use crate::quantity::Span;
use std::sync::Arc;

/// One step of a record.
#[derive(Clone, Debug)]
pub(super) struct Step {
    pub(super) op: Op,
    /// Where it is described.
    pub(super) span: Span,
}

/// What a step writes.
#[derive(Clone, Debug)]
pub(super) enum Op {
    /// Fixed text; two never stand side by side.
    Literal(Box<str>),
    /// A value.
    Field(Field, Coding),
    /// The strokes of a stop.
    Strokes {
        /// Between two of them.
        separator: Box<str>,
    },
}

/// How a value is written.
#[derive(Clone, Debug)]
pub(super) enum Coding {
    Number(Number),
    Text(Arc<Text>),
    /// A code as it stands.
    Code(Arc<Codes>),
    /// A code inside a text format.
    Quoted(Arc<Text>, Arc<Codes>),
}

/// The formats of a dialect, each proved by itself.
pub(super) struct Formats {
    numbers: Vec<Option<Number>>,
    texts: Vec<Option<Arc<Text>>>,
    tools: Option<Arc<Codes>>,
}

impl Formats {
    /// Proves each format; one that fails is reported once and then counts as unknown.
    pub(super) fn prove(dialect: &Dialect, line: &Line, found: &mut Vec<Diagnostic>) -> Formats {
        // What figures of members are made of: advances, distances, what a cut takes.
        let off_grid = || {
            let marker = line.marker.iter().flat_map(|marker| [marker.offset, marker.from_start]);
            let stations = line.stations.iter().map(|station| station.offset);
            stations.chain(marker).chain([line.shear.slug, line.grid.increment()])
        };
        let exact = |step: i128| off_grid().all(|length| i128::from(length.nm()) % step == 0);
        let number = |format: &NumberFormat| match dialect.level.controller() {
            Some(controller) if format.unit.nm().is_some() => {
                Number::figures(format, line.grid, controller.snapping, exact)
            }
            _ => Number::prove(format, line.grid),
        };
        let numbers = dialect
            .numbers
            .iter()
            .map(|format| number(format).map_err(|d| found.push(*d)).ok())
            .collect();
        let texts = dialect
            .texts
            .iter()
            .map(|format| {
                let proved = Text::prove(format, dialect.characters);
                proved.map(Arc::new).map_err(|mut d| found.append(&mut d)).ok()
            })
            .collect();
        let tools = code::tools(dialect, line);
        let tools = tools.map(Arc::new).map_err(|mut d| found.append(&mut d)).ok();
        Formats { numbers, texts, tools }
    }
}

/// The steps of one record; `None` for a field that cannot be written, which is then reported.
/// Every record but a stroke in a list ends its line.
pub(super) fn record(
    dialect: &Dialect,
    formats: &Formats,
    scope: Scope,
    ends_line: bool,
    found: &mut Vec<Diagnostic>,
) -> Vec<Option<Step>> {
    let Some(record) = dialect.records.of(scope) else { return Vec::new() };
    let mut steps = Steps::default();
    for part in &record.parts {
        match part {
            Part::Literal { text, span } => {
                literal(dialect, text, *span, found);
                steps.literal(&native(dialect, text), *span);
            }
            Part::Strokes { separator, span } => {
                literal(dialect, separator, *span, found);
                let separator = native(dialect, separator).into();
                steps.push(Op::Strokes { separator }, *span);
            }
            Part::Field { field, written, span } => {
                match coding(dialect, formats, *field, written, *span) {
                    Ok((None, coding)) => steps.push(Op::Field(*field, coding), *span),
                    Ok((Some(quote), coding)) => {
                        let quote = quote.to_string();
                        steps.literal(&quote, *span);
                        steps.push(Op::Field(*field, coding), *span);
                        steps.literal(&quote, *span);
                    }
                    Err(mut why) => {
                        found.append(&mut why);
                        steps.list.push(None);
                    }
                }
            }
        }
    }
    if ends_line {
        steps.literal(dialect.line_end.text(), record.span.after());
    }
    steps.list
}

#[derive(Default)]
struct Steps {
    list: Vec<Option<Step>>,
}

impl Steps {
    fn literal(&mut self, text: &str, span: Span) {
        if let Some(Some(Step { op: Op::Literal(before), span: from })) = self.list.last_mut() {
            *before = format!("{before}{text}").into();
            *from = from.to(span);
        } else if !text.is_empty() {
            self.push(Op::Literal(text.into()), span);
        }
    }
    fn push(&mut self, op: Op, span: Span) {
        self.list.push(Some(Step { op, span }));
    }
}

/// A fixed text with the dialect's own line ends.
fn native(dialect: &Dialect, text: &str) -> String {
    text.replace('\n', dialect.line_end.text())
}

fn literal(dialect: &Dialect, text: &str, span: Span, found: &mut Vec<Diagnostic>) {
    if let Some(bad) = unwritable(text, dialect.characters, true) {
        let help = match bad {
            '\r' => "write `\\n` for a line end; `line-end` says how it is written".to_string(),
            _ => format!("use characters of {} only", dialect.characters.word()),
        };
        found.push(
            Diagnostic::new(&codes::E0714, format!("a fixed text holds {}", shown(bad)))
                .at(span, "cannot be written")
                .help(help),
        );
    }
}

/// How the field is written, with the quote around it; or why it cannot be. An empty error is
/// one that is already reported.
fn coding(
    dialect: &Dialect,
    formats: &Formats,
    field: Field,
    written: &Written,
    span: Span,
) -> Result<(Option<char>, Coding), Vec<Diagnostic>> {
    let number = |index: usize| {
        let format = dialect.numbers.get(index).ok_or_else(|| unknown(field, span))?;
        fits(field, format, span)?;
        match formats.numbers.get(index) {
            Some(Some(number)) => Ok((None, Coding::Number(number.clone()))),
            _ => Err(Vec::new()),
        }
    };
    let text = |index: usize| -> Result<(&TextFormat, Arc<Text>), Vec<Diagnostic>> {
        let format = dialect.texts.get(index).ok_or_else(|| unknown(field, span))?;
        match formats.texts.get(index) {
            Some(Some(text)) => Ok((format, text.clone())),
            _ => Err(Vec::new()),
        }
    };
    match (field, written) {
        (field, Written::Number(index)) if field.is_number() => number(*index),
        (Field::Tool, Written::Code) => {
            let tools = formats.tools.clone().ok_or_else(Vec::new)?;
            Ok((None, Coding::Code(tools)))
        }
        (Field::Tool, Written::Text(index)) => {
            let (format, text) = text(*index)?;
            let tools = formats.tools.clone().ok_or_else(Vec::new)?;
            let mut scratch = String::new();
            let bad = tools
                .words()
                .find_map(|word| text.write(word, &mut scratch).err().map(|why| (word, why)));
            if let Some((word, why)) = bad {
                let (what, help) = match why {
                    Unspelled::Character(character) => (
                        format!(
                            "holds {}, which text format `{}` refuses",
                            shown(character),
                            format.name
                        ),
                        "give the tool another code, or the character an escape",
                    ),
                    Unspelled::Long(long) => (
                        format!(
                            "has {long} characters, and text format `{}` {}",
                            format.name,
                            text.width()
                        ),
                        "give the tool a shorter code, or the format more `width`",
                    ),
                    Unspelled::Blank => (
                        format!(
                            "has a blank where text format `{}` fills with blanks",
                            format.name
                        ),
                        "give the tool a code without it",
                    ),
                };
                return Err(vec![
                    Diagnostic::new(&codes::E0713, format!("the code `{word}` {what}"))
                        .at(span, "tools are written here")
                        .at(format.span, "in this format")
                        .help(help),
                ]);
            }
            Ok((format.quote, Coding::Quoted(text, tools)))
        }
        (Field::Warm, Written::Choice { yes, no }) => {
            let words = code::choice(yes, no, span, dialect.characters)?;
            Ok((None, Coding::Code(Arc::new(words))))
        }
        (
            Field::Program
            | Field::Batch
            | Field::Line
            | Field::Profile
            | Field::Coil
            | Field::Text,
            Written::Text(index),
        ) => {
            let (format, text) = text(*index)?;
            Ok((format.quote, Coding::Text(text)))
        }
        _ => Err(vec![does_not_fit(field, span)]),
    }
}

/// Advances are lengths, dwells times; phases, quantities, serials and the two figures of a slope
/// are counted.
fn fits(field: Field, format: &NumberFormat, span: Span) -> Result<(), Vec<Diagnostic>> {
    let wants_length = field.is_length();
    let fits = match field {
        field if field.is_length() => format.unit.nm().is_some(),
        Field::Dwell | Field::Settle => format.unit.ns().is_some(),
        _ => format.unit == Unit::Count,
    };
    if !fits {
        return Err(vec![does_not_fit(field, span).at(format.span, "this format")]);
    }
    if format.relative && !wants_length {
        return Err(vec![
            Diagnostic::new(
                &codes::E0706,
                format!("`{field}` is no advance, and its format counts from the event before"),
            )
            .at(span, "steps from what?")
            .at(format.span, "this format")
            .help("name a number format without `advance`"),
        ]);
    }
    Ok(())
}

fn does_not_fit(field: Field, span: Span) -> Diagnostic {
    let (is, help) = match field {
        Field::At | Field::End => ("an advance", "name a number format with a unit of length"),
        Field::Length => ("a length", "name a number format with a unit of length"),
        Field::Phase | Field::Quantity | Field::Serial | Field::Rise | Field::Run => {
            ("counted", "name a number format with `unit = \"count\"`")
        }
        Field::Dwell | Field::Settle => {
            ("a time", "name a number format with `unit = \"s\"` or `unit = \"ms\"`")
        }
        Field::Warm => ("yes or no", "give the two words: `yes = \"...\", no = \"...\"`"),
        Field::Tool => ("a tool", "name a text format, or none to write its code as it stands"),
        _ => ("a text", "name a text format"),
    };
    Diagnostic::new(&codes::E0706, format!("`{field}` is {is}, and is not written as such"))
        .at(span, "format of another kind")
        .help(help)
}

fn unknown(field: Field, span: Span) -> Vec<Diagnostic> {
    vec![
        Diagnostic::new(&codes::E0702, format!("`{field}` names a format that is not described"))
            .at(span, "here")
            .help("describe the format under `[numbers]` or `[texts]`"),
    ]
}
