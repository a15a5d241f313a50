//! Dialect descriptions: TOML to [`Dialect`].

mod level;
mod log;
mod naming;
mod wire;

use super::model;
use super::model::{
    Characters, Dialect, Escape, Field, HexEscape, Level, LineEnd, NumberFormat, Padding, Part,
    Record, Records, Scope, Sign, TextFormat, ToolCode, ToolNames, TypeCode, Unit, Written,
};
use super::reading::{self, At, Entries, Figure, one_of};
use crate::diagnostic::{Diagnostic, any_error, codes, load};
use crate::quantity::{FileId, Files, SourceFile, Sources, Span};

use codes::dialect as e;
use wire::{
    AdvanceWord, CharactersWord, FieldPart, FieldWord, LineEndWord, ListPart, ListWord,
    NumberTable, PaddingWord, PartEntry, RecordsTable, SignWord, TextTable, TypeTable, UnitWord,
    ZerosWord,
};

pub use level::name_types;
pub use log::{LogFile, load_log_format, read_log_format};
pub use wire::DialectFile;

/// Before the name of a description that comes with the program.
const SHIPPED: &str = "shipped:";

/// Descriptions that come with the program.
const ALL_SHIPPED: [(&str, &str); 4] = [
    ("stop-list", include_str!("../../fixtures/dialects/stop-list.toml")),
    ("sloped-stop-list", include_str!("../../fixtures/dialects/sloped-stop-list.toml")),
    ("rs-274", include_str!("../../fixtures/dialects/rs-274.toml")),
    ("member-table", include_str!("../../fixtures/dialects/member-table.toml")),
];

fn single(text: &str) -> Option<char> {
    let mut chars = text.chars();
    chars.next().filter(|_| chars.next().is_none())
}

/// Reads a dialect's description. `shipped:NAME` is one that comes with the program. `named_at`
/// is where another file asks for it.
pub fn load_dialect(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    named_at: Option<Span>,
) -> (Option<Dialect>, Vec<Diagnostic>) {
    // Paths come joined to the folder of the file that names them.
    let file = match path.rsplit('/').next().and_then(|last| last.strip_prefix(SHIPPED)) {
        Some(name) => shipped(sources, name, named_at),
        None => load(files, sources, path, named_at),
    };
    match file {
        Ok(file) => read_dialect(sources, file),
        Err(diagnostic) => (None, vec![*diagnostic]),
    }
}

/// Reads a dialect's description that is already in `sources`.
pub fn read_dialect(sources: &Sources, file: FileId) -> (Option<Dialect>, Vec<Diagnostic>) {
    let (read, mut found) = reading::read::<DialectFile>(sources, file);
    let Some(read) = read else { return (None, found) };
    let dialect = Meaning { found: &mut found }.dialect(read);
    (dialect.filter(|_| !any_error(&found)), found)
}

/// The name that a dialect's file goes by in the sources.
pub(super) fn source_name(path: &str) -> String {
    match path.rsplit('/').next().filter(|last| last.starts_with(SHIPPED)) {
        Some(shipped) => shipped.to_string(),
        None => path.to_string(),
    }
}

fn shipped(
    sources: &mut Sources,
    name: &str,
    named_at: Option<Span>,
) -> Result<FileId, Box<Diagnostic>> {
    match ALL_SHIPPED.iter().find(|(shipped, _)| *shipped == name) {
        Some((_, text)) => Ok(sources.add(SourceFile::new(format!("{SHIPPED}{name}"), *text))),
        None => {
            let found = Diagnostic::new(
                &codes::files::E0901,
                format!("no dialect `{name}` comes with the program"),
            )
            .help(one_of(name, ALL_SHIPPED.iter().map(|(shipped, _)| *shipped)));
            Err(Box::new(match named_at {
                Some(span) => found.at(span, "named here"),
                None => found,
            }))
        }
    }
}

impl CharactersWord {
    fn meant(self) -> Characters {
        match self {
            CharactersWord::Ascii => Characters::Ascii,
            CharactersWord::Latin1 => Characters::Latin1,
            CharactersWord::Utf8 => Characters::Utf8,
        }
    }
}

/// From what the file says to what it means.
struct Meaning<'a> {
    found: &'a mut Vec<Diagnostic>,
}

impl Meaning<'_> {
    fn dialect(&mut self, file: DialectFile) -> Option<Dialect> {
        let level = self.level(&file.level, &file.controller);
        let numbers = self.all(file.numbers, Self::number)?;
        let texts = self.all(file.texts, Self::text)?;
        let tools = self.tool_names(file.tools, file.tool_numbers_from, file.feature)?;
        let limits = match file.limits {
            None => model::Limits::default(),
            Some(limits) => {
                let bytes = "how many bytes the controller takes";
                let count =
                    self.limit(limits.count, "how many members one record may stand for")?;
                model::Limits {
                    line: self.limit(limits.line, bytes)?,
                    field: self.limit(limits.field, bytes)?,
                    count: count
                        .map(|(most, span)| (u32::try_from(most).unwrap_or(u32::MAX), span)),
                    members: self.limit(limits.members, "how many pieces a file may make")?,
                    lines: self.limit(limits.lines, "how many lines a file may have")?,
                    bytes: self.limit(limits.bytes, "how many bytes a file may have")?,
                }
            }
        };
        let files = match file.files {
            Some(table) => Some(self.naming(table, &limits)?),
            None => None,
        };
        let level = level?;
        let records = self.records(file.records, &level, &numbers, &texts)?;
        Some(Dialect {
            name: file.name.value.into(),
            level,
            characters: file.characters.meant(),
            line_end: match file.line_end {
                LineEndWord::Lf => LineEnd::Lf,
                LineEndWord::CrLf => LineEnd::CrLf,
            },
            limits,
            files,
            numbers,
            texts,
            tools,
            records,
            span: file.name.span,
        })
    }

    /// Every record that is described, and a finding for each that has to be.
    fn records(
        &mut self,
        file: RecordsTable,
        level: &Level,
        numbers: &[NumberFormat],
        texts: &[TextFormat],
    ) -> Option<Records> {
        let span = file.span;
        let described = [
            (Scope::RunBegin, file.run_begin),
            (Scope::Stop, file.stop),
            (Scope::Stroke, file.stroke),
            (Scope::Wait, file.wait),
            (Scope::Release, file.release),
            (Scope::Member, file.member),
            (Scope::Scrap, file.scrap),
            (Scope::Feature, file.feature),
            (Scope::CutPiece, file.cut_piece),
            (Scope::CutScrap, file.cut_scrap),
            (Scope::Mark, file.mark),
            (Scope::RunEnd, file.run_end),
        ];
        let mut records = Vec::new();
        let mut whole = true;
        for (scope, parts) in described {
            if let Some(parts) = parts.as_ref().filter(|_| !scope.is_of(level)) {
                self.found.push(level::of_another_level(scope, level, parts.span));
                whole = false;
                continue;
            }
            match parts.map(|parts| self.record(parts, numbers, texts)) {
                Some(Some(record)) => records.push((scope, record)),
                Some(None) => whole = false,
                None if scope.is_needed(level) => {
                    whole = false;
                    // A misspelt key was taken for it, and told.
                    if self.found.iter().any(|found| found.code == &codes::library::E0302) {
                        continue;
                    }
                    self.found.push(
                        Diagnostic::new(&codes::library::E0303, format!("`{scope}` is missing"))
                            .at(span, format!("needs `{scope}`"))
                            .help(format!("add `{scope} = […]`: the parts of that record")),
                    );
                }
                None => {}
            }
        }
        whole.then_some(Records(records))
    }

    fn tool_names(
        &mut self,
        table: Option<Entries<At<String>>>,
        numbers_from: Option<At<Figure>>,
        types: Option<Vec<TypeTable>>,
    ) -> Option<ToolNames> {
        let types = types.filter(|types| !types.is_empty());
        let second = match (&table, &numbers_from, &types) {
            (Some(_), Some(At { span, .. }), _) => Some(*span),
            (Some(_), _, Some(types)) | (_, Some(_), Some(types)) => {
                types.first().map(|table| table.span)
            }
            _ => None,
        };
        if let Some(span) = second {
            self.found.push(
                Diagnostic::new(&e::E0720, "tools are named in two ways")
                    .at(span, "the second one")
                    .note("the program would not say which tool a code means")
                    .help("keep one of the table `[tools]`, `tool-numbers-from` and `[[feature]]`"),
            );
            return None;
        }
        if let Some(types) = types {
            return Some(ToolNames::Types(self.types(types)));
        }
        if let Some(Entries(tools)) = table {
            let code = |(tool, code): (At<String>, At<String>)| ToolCode {
                tool: tool.value.into(),
                code: code.value.into(),
                span: tool.span.to(code.span),
            };
            return Some(ToolNames::Codes(tools.into_iter().map(code).collect()));
        }
        let Some(At { value, span }) = numbers_from else { return Some(ToolNames::Own) };
        match u16::try_from(value) {
            Ok(first @ ..10_000) => Some(ToolNames::NumbersFrom(first)),
            _ => {
                self.found.push(
                    Diagnostic::new(
                        &codes::library::E0306,
                        format!("tools cannot be numbered from {value}"),
                    )
                    .at(span, "impossible")
                    .help("write a number from 0 to 9999"),
                );
                None
            }
        }
    }

    fn types(&mut self, tables: Vec<TypeTable>) -> Vec<TypeCode> {
        let one = |table: TypeTable| {
            let faces = table.faces.map(|list| super::common::faces(self.found, "faces", &list));
            TypeCode {
                span: table.name.span,
                kind: table.name.value.into(),
                id: None,
                faces,
                code: table.code.value.into(),
            }
        };
        tables.into_iter().map(one).collect()
    }

    /// Every entry by `one`, so that every mistake is told.
    fn all<W, T>(
        &mut self,
        entries: Option<Entries<W>>,
        one: fn(&mut Self, At<String>, W) -> Option<T>,
    ) -> Option<Vec<T>> {
        let entries = entries.map(|Entries(list)| list).unwrap_or_default();
        let read: Vec<Option<T>> =
            entries.into_iter().map(|(name, table)| one(self, name, table)).collect();
        read.into_iter().collect()
    }

    fn number(&mut self, name: At<String>, table: NumberTable) -> Option<NumberFormat> {
        let mut figure = |figure: &Option<At<Figure>>, what: &str, most: i64| match figure {
            Some(At { value, span }) if !(0..=most).contains(value) => {
                self.found.push(
                    Diagnostic::new(
                        &e::E0718,
                        format!("number format `{}` has {value} {what}", name.value),
                    )
                    .at(*span, "impossible")
                    .help(format!("write a number from 0 to {most}")),
                );
                None
            }
            Some(At { value, .. }) => Some(Some(*value)),
            None => Some(None),
        };
        let decimals = figure(&table.decimals, "decimals", 9);
        let width = figure(&table.width, "characters of width", 40);
        if let (Some(padding), None) = (&table.padding, &table.width) {
            self.found.push(
                Diagnostic::new(
                    &e::E0718,
                    format!("number format `{}` is padded to no width", name.value),
                )
                .at(padding.span, "up to which width?")
                .help("add `width = …`, or leave `padding` out"),
            );
        }
        Some(NumberFormat {
            unit: match table.unit {
                UnitWord::Nanometre => Unit::Nanometre,
                UnitWord::Micrometre => Unit::Micrometre,
                UnitWord::Millimetre => Unit::Millimetre,
                UnitWord::Inch => Unit::Inch,
                UnitWord::Millisecond => Unit::Millisecond,
                UnitWord::Second => Unit::Second,
                UnitWord::Count => Unit::Count,
            },
            decimals: u8::try_from(decimals?.unwrap_or(0)).ok()?,
            point: table.point.map_or('.', |letter| letter.0),
            short: table.trailing_zeros == Some(ZerosWord::Drop),
            width: width?.map(usize::try_from).transpose().ok()?,
            padding: match table.padding.map(|padding| padding.value) {
                Some(PaddingWord::Blank) => Padding::Blank,
                Some(PaddingWord::Zero) | None => Padding::Zero,
            },
            sign: match table.sign {
                Some(SignWord::Never) => Sign::Never,
                Some(SignWord::Always) => Sign::Always,
                Some(SignWord::Minus) | None => Sign::Minus,
            },
            relative: table.advance == Some(AdvanceWord::Relative),
            name: name.value.into(),
            span: name.span,
        })
    }

    fn text(&mut self, name: At<String>, table: TextTable) -> Option<TextFormat> {
        let mut escapes = Vec::new();
        for (character, text) in table.escapes.map(|Entries(list)| list).unwrap_or_default() {
            match single(&character.value) {
                Some(letter) => escapes.push(Escape {
                    character: letter,
                    text: text.value.into(),
                    span: character.span.to(text.span),
                }),
                None => self.found.push(
                    Diagnostic::new(
                        &codes::library::E0304,
                        format!(
                            "an escape stands for one character, not for `{}`",
                            character.value
                        ),
                    )
                    .at(character.span, "not one character")
                    .help("write the character, in quotes, and what is written for it"),
                ),
            }
        }
        let hex = match table.control {
            None => None,
            Some(control) => match u8::try_from(control.digits.value) {
                Ok(digits @ 2..=8) => {
                    Some(HexEscape { before: control.before.into(), digits, span: control.span })
                }
                _ => {
                    self.found.push(
                        Diagnostic::new(
                            &codes::library::E0306,
                            format!("{} digits cannot write a code point", control.digits.value),
                        )
                        .at(control.digits.span, "impossible")
                        .help("write a number from 2 to 8"),
                    );
                    return None;
                }
            },
        };
        Some(TextFormat {
            quote: table.quote.map(|letter| letter.0),
            escapes,
            hex,
            refused: table.refuse.unwrap_or_default().chars().collect(),
            name: name.value.into(),
            span: name.span,
        })
    }

    fn limit(&mut self, limit: Option<At<Figure>>, what: &str) -> Option<Option<(usize, Span)>> {
        let Some(At { value, span }) = limit else { return Some(None) };
        match usize::try_from(value) {
            Ok(most @ 1..) => Some(Some((most, span))),
            _ => {
                self.found.push(
                    Diagnostic::new(&codes::library::E0306, format!("a limit of {value}"))
                        .at(span, "nothing fits")
                        .help(format!("write {what}, or leave it out")),
                );
                None
            }
        }
    }

    fn record(
        &mut self,
        parts: At<Vec<PartEntry>>,
        numbers: &[NumberFormat],
        texts: &[TextFormat],
    ) -> Option<Record> {
        let mut span = None;
        let parts: Vec<Option<Part>> = parts
            .value
            .into_iter()
            .map(|part| {
                let part = match part {
                    PartEntry::Literal(At { value, span }) => {
                        Some(Part::Literal { text: value.into(), span })
                    }
                    PartEntry::List(ListPart { list: ListWord::Strokes, separator, span }) => {
                        Some(Part::Strokes { separator: separator.into(), span })
                    }
                    PartEntry::Field(part) => self.field(part, numbers, texts),
                };
                let place = match &part {
                    Some(Part::Literal { span, .. })
                    | Some(Part::Field { span, .. } | Part::Strokes { span, .. }) => Some(*span),
                    None => None,
                };
                span = span.or(place);
                part
            })
            .collect();
        // A record is pointed at where it begins: all of it would fill the screen.
        let parts: Option<Vec<Part>> = parts.into_iter().collect();
        Some(Record { parts: parts?, span: span? })
    }

    fn field(
        &mut self,
        part: FieldPart,
        numbers: &[NumberFormat],
        texts: &[TextFormat],
    ) -> Option<Part> {
        let FieldPart { field: FieldWord(field), format, yes, no, span } = part;
        let written = match (field, format, yes, no) {
            (Field::Warm, None, Some(yes), Some(no)) => {
                Written::Choice { yes: yes.into(), no: no.into() }
            }
            (Field::Tool, None, None, None) => Written::Code,
            (field, Some(name), None, None) if field.is_number() => {
                let names = numbers.iter().map(|format| &*format.name);
                Written::Number(self.format(&name, "number", names)?)
            }
            (_, Some(name), None, None) if field != Field::Warm => {
                let names = texts.iter().map(|format| &*format.name);
                Written::Text(self.format(&name, "text", names)?)
            }
            _ => {
                let help = match field {
                    Field::Warm => "write `{ field = \"warm\", yes = \"...\", no = \"...\" }`",
                    Field::At | Field::End | Field::Length => {
                        "add `format = \"...\"`: a number format of lengths"
                    }
                    Field::Phase | Field::Quantity | Field::Serial | Field::Rise | Field::Run => {
                        "add `format = \"...\"`: a number format of counts"
                    }
                    Field::Dwell | Field::Settle => {
                        "add `format = \"...\"`: a number format of times"
                    }
                    Field::Tool => {
                        "name a text format, or leave `format` out to write its code alone"
                    }
                    _ => "add `format = \"...\"`: a text format",
                };
                self.found.push(
                    Diagnostic::new(&e::E0706, format!("this does not say how to write `{field}`"))
                        .at(span, "how is it written?")
                        .help(help),
                );
                return None;
            }
        };
        Some(Part::Field { field, written, span })
    }

    /// The index of a named format.
    fn format<'n>(
        &mut self,
        name: &At<String>,
        kind: &str,
        mut names: impl Iterator<Item = &'n str> + Clone,
    ) -> Option<usize> {
        let all = names.clone();
        let index = names.position(|format| format == name.value);
        if index.is_none() {
            let quoted = &name.value;
            self.found.push(
                Diagnostic::new(&e::E0702, format!("there is no {kind} format `{quoted}`"))
                    .at(name.span, "not described")
                    .help(one_of(quoted, all)),
            );
        }
        index
    }
}
