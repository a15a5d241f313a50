//! The proof that each line of a log is read in one way only.

use super::super::number::Number;
use super::super::text::{Text, alike};
use super::{LogReader, Step};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Happening, LogField, LogFormat, LogPart, Written};
use crate::quantity::Span;
use std::sync::Arc;

impl LogReader {
    /// Proves that each line is read in one way only, or says why not, each reason at its place.
    pub fn prove(format: &LogFormat) -> Result<LogReader, Vec<Diagnostic>> {
        let mut found = Vec::new();
        let formats = Formats::prove(format, &mut found);
        let before = formats.steps(&format.before);
        check_ends(&format.before, &before, &mut found);
        let mut lines = Vec::new();
        for (happening, parts, span) in &format.lines {
            check_fields(*happening, parts, *span, &mut found);
            let steps = formats.steps(parts);
            check_ends(parts, &steps, &mut found);
            lines.push((*happening, steps.into_iter().flatten().collect()));
        }
        for part in &format.before {
            if let LogPart::Field { field, span, .. } = part {
                found.push(
                    Diagnostic::new(
                        &codes::E0703,
                        format!("what stands before each line has no `{field}`"),
                    )
                    .at(*span, "of which line?")
                    .help("move it into the lines it belongs to, and pass over it here"),
                );
            }
        }
        check_leads(format, &mut found);
        if !found.is_empty() {
            return Err(found);
        }
        Ok(LogReader {
            name: Arc::clone(&format.name),
            characters: format.characters,
            before: before.into_iter().flatten().collect(),
            lines,
            ignored: format.ignored.iter().map(|(text, _)| Arc::clone(text)).collect(),
        })
    }
}

/// The formats, each proved by itself; what fails is reported once.
struct Formats {
    numbers: Vec<Option<Number>>,
    texts: Vec<Option<Text>>,
}

impl Formats {
    fn prove(format: &LogFormat, found: &mut Vec<Diagnostic>) -> Formats {
        let numbers = format.numbers.iter();
        let texts = format.texts.iter();
        Formats {
            numbers: numbers
                .map(|number| Number::to_be_read(number).map_err(|why| found.push(*why)).ok())
                .collect(),
            texts: texts
                .map(|text| {
                    let proved = Text::prove(text, format.characters);
                    proved.map_err(|mut why| found.append(&mut why)).ok()
                })
                .collect(),
        }
    }

    /// `None` for a part whose format was reported.
    fn steps(&self, parts: &[LogPart]) -> Vec<Option<Step>> {
        let one = |part: &LogPart| match part {
            LogPart::Literal { text, .. } => Some(Step::Literal(Arc::clone(text))),
            LogPart::Skip { characters, .. } => Some(Step::Skip(*characters)),
            LogPart::SkipTo { text, .. } => Some(Step::SkipTo(Arc::clone(text))),
            LogPart::Field { field, written: Written::Number(index), .. } => {
                let number = self.numbers.get(*index)?.clone()?;
                Some(Step::Number(*field, number))
            }
            LogPart::Field { field, written: Written::Text(index), .. } => {
                Some(Step::Text(*field, Box::new(self.texts.get(*index)?.clone()?)))
            }
            LogPart::Field { .. } => None,
        };
        parts.iter().map(one).collect()
    }
}

/// Each field once, where it belongs, and what a line cannot do without.
fn check_fields(happening: Happening, parts: &[LogPart], at: Span, found: &mut Vec<Diagnostic>) {
    let mut seen: Vec<(LogField, Span)> = Vec::new();
    for part in parts {
        let LogPart::Field { field, span, .. } = part else { continue };
        if !happening.takes(*field) {
            let takers: Vec<String> = Happening::ALL
                .iter()
                .filter(|line| line.takes(*field))
                .map(|line| format!("`{line}`"))
                .collect();
            found.push(
                Diagnostic::new(&codes::E0703, format!("line `{happening}` has no `{field}`"))
                    .at(*span, "no value here")
                    .help(format!("`{field}` belongs to {}", takers.join(" or "))),
            );
        }
        match seen.iter().find(|(had, _)| had == field) {
            Some((_, first)) => found.push(
                Diagnostic::new(&codes::E0705, format!("`{field}` stands twice"))
                    .at(*span, "again")
                    .at(*first, "first")
                    .help("keep one of them, and pass over the other with `skip` or `skip-to`"),
            ),
            None => seen.push((*field, *span)),
        }
    }
    let needs = happening.needs();
    if let (Some(field), false) =
        (needs.first(), needs.iter().any(|field| seen.iter().any(|(had, _)| had == field)))
    {
        let all: Vec<String> = needs.iter().map(|field| format!("`{field}`")).collect();
        found.push(
            Diagnostic::new(
                &codes::E0704,
                format!("line `{happening}` does not say {}", all.join(" or ")),
            )
            .at(at, "not in here")
            .note("without it nothing can be made of the line")
            .help(format!("add `{{ field = \"{field}\" }}` with its format")),
        );
    }
}

/// Lines are told apart by what they begin with, those that say nothing among them.
fn check_leads(format: &LogFormat, found: &mut Vec<Diagnostic>) {
    let mut leads: Vec<(String, &str, Span)> = Vec::new();
    for (happening, parts, span) in &format.lines {
        match parts.first() {
            Some(LogPart::Literal { text, span }) if !text.is_empty() => {
                leads.push((format!("line `{happening}`"), text, *span));
            }
            _ => found.push(
                Diagnostic::new(
                    &codes::E0707,
                    format!("line `{happening}` does not begin with a fixed text"),
                )
                .at(*span, "begins here")
                .note("the reader could take it for another line: a stop for a piece")
                .help(
                    "begin it with a text of its own; what stands before it in every line, such as \
                     a time of day, belongs to `before`",
                ),
            ),
        }
    }
    for (text, span) in &format.ignored {
        if text.is_empty() {
            found.push(
                Diagnostic::new(&codes::E0707, "every line would be passed over")
                    .at(*span, "an empty text")
                    .help("write what such lines begin with"),
            );
        } else {
            leads.push(("a line to be passed over".to_string(), text, *span));
        }
    }
    for (index, (what, text, span)) in leads.iter().enumerate() {
        for (other, other_text, other_span) in leads.iter().take(index) {
            if alike(text, other_text) {
                found.push(
                    Diagnostic::new(
                        &codes::E0708,
                        format!("{other} and {what} begin alike: `{other_text}` and `{text}`"),
                    )
                    .at(*span, "this one")
                    .at(*other_span, "and this one")
                    .note("a piece that was made could be passed over, or counted twice")
                    .help("let them differ before their first value"),
                );
            }
        }
    }
}

/// Every value ends where the reader can see it: at a text that cannot continue it, or with the
/// line.
fn check_ends(parts: &[LogPart], steps: &[Option<Step>], found: &mut Vec<Diagnostic>) {
    for (index, (part, step)) in parts.iter().zip(steps).enumerate() {
        let (LogPart::Field { field, span, .. }, Some(step)) = (part, step) else { continue };
        let next = match parts.get(index + 1) {
            None => Some("\n"),
            Some(LogPart::Literal { text, .. }) => Some(&**text),
            // Whatever follows is passed over, so that the value must show its end itself.
            Some(_) => None,
        };
        let first = next.and_then(|text| text.chars().next());
        let ends = match step {
            Step::Number(_, number) => {
                number.is_fixed() || first.is_some_and(|first| !number.may_hold(first))
            }
            Step::Text(_, text) => {
                text.is_fixed() || next.is_some_and(|next| text.ends_before(next))
            }
            Step::Literal(_) | Step::Skip(_) | Step::SkipTo(_) => true,
        };
        if !ends {
            found.push(
                Diagnostic::new(&codes::E0709, format!("it cannot be seen where `{field}` ends"))
                    .at(*span, "where does it end?")
                    .note("17 and 3 could be read as 173: pieces nobody has made")
                    .help(
                        "put a text behind it that begins with a character it cannot hold; for a \
                         text, list that character under `refuse`",
                    ),
            );
        }
    }
}
