//! Descriptions of logs: TOML to [`LogFormat`].

use super::wire::{CharactersWord, NumberTable, TextTable};
use super::{Kind, Meaning};
use crate::diagnostic::{Diagnostic, any_error, codes, codes::dialect as e, load};
use crate::library::model::{
    Happening, LogField, LogFormat, LogPart, NumberFormat, TextFormat, Written,
};
use crate::library::reading::{self, At, Entries, Figure, Node, Reader, Wire, wire};
use crate::quantity::{FileId, Files, Sources, Span};
use ::toml::de::DeValue;
use schemars::JsonSchema;

wire! {
    /// How one controller writes its log.
    pub struct LogFile {
        /// Its name.
        name: At<String>,
        /// Characters a log may hold.
        characters: CharactersWord,
        /// Number formats by name.
        numbers: Option<Entries<NumberTable>>,
        /// Text formats by name.
        texts: Option<Entries<TextTable>>,
        /// What each line begins with, such as a time of day; nothing if left out.
        before: Option<Vec<LogPartEntry>>,
        /// How lines begin that say nothing about what was made.
        ignore: Option<Vec<At<String>>>,
        /// What is written when.
        lines: LinesTable,
    }
    /// What is written when. A line may hold more behind its parts only where a `skip-to` says so.
    pub struct LinesTable {
        /// When a program is started.
        started: Option<At<Vec<LogPartEntry>>>,
        /// When a piece drops; may be left out where `stopped` says how many there are.
        piece: Option<At<Vec<LogPartEntry>>>,
        /// When scrap drops, if the log tells that.
        scrap: Option<At<Vec<LogPartEntry>>>,
        /// When a piece that had dropped is found to be no good.
        rejected: Option<At<Vec<LogPartEntry>>>,
        /// When the strip comes to rest and nothing goes on by itself.
        stopped: Option<At<Vec<LogPartEntry>>>,
        /// When the program is over.
        ended: Option<At<Vec<LogPartEntry>>>,
    }
    /// A value.
    pub struct LogFieldPart {
        /// Which.
        field: LogFieldWord,
        /// Its number or text format.
        format: At<String>,
    }
    /// Characters of no interest.
    pub struct SkipPart {
        /// How many.
        skip: At<Figure>,
    }
    /// Text of no interest.
    pub struct SkipToPart {
        /// The text that ends it, which is passed over too; empty for the rest of the line.
        skip_to: At<String>,
    }
}

/// A field's name.
#[derive(Clone, Copy, Debug)]
pub struct LogFieldWord(pub LogField);

impl Wire for LogFieldWord {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<LogFieldWord> {
        let words: Vec<&'static str> = LogField::ALL.iter().map(|field| field.word()).collect();
        let word = reader.word(node, key, &words)?;
        LogField::ALL.iter().copied().find(|field| field.word() == word).map(LogFieldWord)
    }
    fn expected() -> &'static str {
        "the name of a field"
    }
}
impl JsonSchema for LogFieldWord {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "LogFieldWord".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let words: Vec<&str> = LogField::ALL.iter().map(|field| field.word()).collect();
        schemars::json_schema!({ "type": "string", "enum": words })
    }
}

/// A part of a line: fixed text, a value, or what is passed over.
#[derive(Clone, Debug, JsonSchema)]
#[schemars(untagged)]
pub enum LogPartEntry {
    Literal(At<String>),
    Field(LogFieldPart),
    Skip(SkipPart),
    SkipTo(SkipToPart),
}

impl Wire for LogPartEntry {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<LogPartEntry> {
        match node.get_ref() {
            DeValue::String(_) => At::read(node, key, reader).map(LogPartEntry::Literal),
            DeValue::Table(table) if table.contains_key("skip") => {
                SkipPart::read(node, key, reader).map(LogPartEntry::Skip)
            }
            DeValue::Table(table) if table.contains_key("skip-to") => {
                SkipToPart::read(node, key, reader).map(LogPartEntry::SkipTo)
            }
            DeValue::Table(_) => LogFieldPart::read(node, key, reader).map(LogPartEntry::Field),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "a text, or a table such as { field = \"serial\", format = \"count\" } or { skip = 8 }"
    }
}

/// Reads the description of a log. `named_at` is where another file asks for it.
pub fn load_log_format(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    named_at: Option<Span>,
) -> (Option<LogFormat>, Vec<Diagnostic>) {
    match load(files, sources, path, named_at) {
        Ok(file) => read_log_format(sources, file),
        Err(diagnostic) => (None, vec![*diagnostic]),
    }
}

/// Reads the description of a log that is already in `sources`.
pub fn read_log_format(sources: &Sources, file: FileId) -> (Option<LogFormat>, Vec<Diagnostic>) {
    let (read, mut found) = reading::read::<LogFile>(sources, file);
    let Some(read) = read else { return (None, found) };
    let format = Meaning { found: &mut found }.log(read);
    (format.filter(|_| !any_error(&found)), found)
}

impl Meaning<'_> {
    fn log(&mut self, file: LogFile) -> Option<LogFormat> {
        let numbers = self.all(file.numbers, Self::number)?;
        let texts = self.all(file.texts, Self::text)?;
        let before = self.log_parts(file.before.unwrap_or_default(), &numbers, &texts)?;
        let span = file.lines.span;
        let described = [
            (Happening::Started, file.lines.started),
            (Happening::Piece, file.lines.piece),
            (Happening::Scrap, file.lines.scrap),
            (Happening::Rejected, file.lines.rejected),
            (Happening::Stopped, file.lines.stopped),
            (Happening::Ended, file.lines.ended),
        ];
        let mut lines = Vec::new();
        for (happening, parts) in described {
            match parts {
                Some(parts) => {
                    let read = self.log_parts(parts.value, &numbers, &texts)?;
                    lines.push((happening, read, parts.span));
                }
                None if happening == Happening::Started => {
                    self.log_lacks(
                        span,
                        "`started` is missing",
                        "add `started = […]`: the line that names the program",
                    );
                    return None;
                }
                None => {}
            }
        }
        let counts = |(_, parts, _): &(Happening, Vec<LogPart>, Span)| {
            let made =
                |part: &LogPart| matches!(part, LogPart::Field { field: LogField::Made, .. });
            parts.iter().any(made)
        };
        let described = |happening| lines.iter().find(|(had, ..)| *had == happening);
        if described(Happening::Piece).is_none()
            && !described(Happening::Stopped).is_some_and(counts)
        {
            self.log_lacks(
                span,
                "no line says how many pieces there are",
                "describe `piece`, or let `stopped` say `{ field = \"made\" }`",
            );
            return None;
        }
        Some(LogFormat {
            name: file.name.value.into(),
            characters: file.characters.meant(),
            numbers,
            texts,
            before,
            lines,
            ignored: file
                .ignore
                .unwrap_or_default()
                .into_iter()
                .map(|text| (text.value.into(), text.span))
                .collect(),
            span: file.name.span,
        })
    }

    fn log_lacks(&mut self, span: Span, what: &str, help: &str) {
        self.found
            .push(Diagnostic::new(&codes::library::E0303, what).at(span, "not in here").help(help));
    }

    fn log_parts(
        &mut self,
        parts: Vec<LogPartEntry>,
        numbers: &[NumberFormat],
        texts: &[TextFormat],
    ) -> Option<Vec<LogPart>> {
        let mut one = |part: LogPartEntry| match part {
            LogPartEntry::Literal(At { value, span }) => {
                Some(LogPart::Literal { text: value.into(), span })
            }
            LogPartEntry::SkipTo(SkipToPart { skip_to: At { value, .. }, span }) => {
                Some(LogPart::SkipTo { text: value.into(), span })
            }
            LogPartEntry::Skip(SkipPart { skip: At { value, .. }, span }) => {
                match usize::try_from(value) {
                    Ok(characters @ 1..=1_000) => Some(LogPart::Skip { characters, span }),
                    _ => {
                        self.found.push(
                            Diagnostic::new(
                                &codes::library::E0306,
                                format!("{value} characters cannot be passed over"),
                            )
                            .at(span, "impossible")
                            .help(
                                "write a number from 1 to 1000, or `skip-to` with what ends them",
                            ),
                        );
                        None
                    }
                }
            }
            LogPartEntry::Field(LogFieldPart { field: LogFieldWord(field), format, span }) => {
                let written = match field {
                    LogField::Program | LogField::File => {
                        let names = texts.iter().map(|format| &*format.name);
                        let others = numbers.iter().map(|format| &*format.name);
                        let what = (field.word(), Kind::Text);
                        Written::Text(self.format(&format, what, names, others)?)
                    }
                    LogField::Serial | LogField::Made | LogField::At => {
                        let names = numbers.iter().map(|format| &*format.name);
                        let others = texts.iter().map(|format| &*format.name);
                        let what = (field.word(), Kind::Number);
                        let index = self.format(&format, what, names, others)?;
                        let is_length = numbers.get(index).is_some_and(|n| n.unit.nm().is_some());
                        if is_length != (field == LogField::At) {
                            self.found.push(
                                Diagnostic::new(
                                    &e::E0706,
                                    format!("`{field}` is not written in such a number"),
                                )
                                .at(span, "format of another kind")
                                .help(match field {
                                    LogField::At => "name a number format with a unit of length",
                                    _ => "name a number format with `unit = \"count\"`",
                                }),
                            );
                            return None;
                        }
                        Written::Number(index)
                    }
                };
                Some(LogPart::Field { field, written, span })
            }
        };
        let read: Vec<Option<LogPart>> = parts.into_iter().map(&mut one).collect();
        read.into_iter().collect()
    }
}
