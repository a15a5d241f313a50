//! Dialect descriptions: TOML to [`Dialect`].

mod formats;
mod level;
mod log;
mod naming;
mod tools;
mod wire;

use super::model;
use super::model::{
    Characters, Dialect, Field, Level, LineEnd, NumberFormat, Part, Record, Records, Scope,
    TextFormat, Written,
};
use super::reading::{self, At, Entries, Figure, one_of};
use crate::diagnostic::{Diagnostic, any_error, codes, load};
use crate::quantity::{FileId, Files, SourceFile, Sources, Span};

use codes::dialect as e;
use wire::{
    CharactersWord, FieldPart, FieldWord, LineEndWord, ListPart, ListWord, PartEntry, RecordsTable,
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

/// A record without parts: its line would be empty, and could be any other's.
fn nothing_in(scope: Scope, span: Span) -> Diagnostic {
    let found = Diagnostic::new(&e::E0707, format!("record `{scope}` is empty"))
        .at(span, "nothing would be written")
        .note("the reader would not know what its line stands for");
    match scope {
        Scope::Wait | Scope::Release | Scope::Scrap => found.help(format!(
            "write its parts, a fixed text first; or leave `{scope}` out where the controller has \
             no such record"
        )),
        _ => found.help("write its parts, a fixed text first"),
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
        let tools = self.tool_names(
            file.tools,
            file.tool_numbers_from,
            file.tool_numbers_width,
            file.feature,
        )?;
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
        // Strokes that say where they are need no record of their stop.
        let says_at = |part: &PartEntry| {
            matches!(part, PartEntry::Field(FieldPart { field: FieldWord(Field::At), .. }))
        };
        let strokes = described.iter().find(|(scope, _)| *scope == Scope::Stroke);
        let alone = strokes.is_some_and(|(_, parts)| {
            parts.as_ref().is_some_and(|parts| parts.value.iter().any(says_at))
        });
        let mut records = Vec::new();
        let mut whole = true;
        for (scope, parts) in described {
            if let Some(parts) = parts.as_ref().filter(|_| !scope.is_of(level)) {
                self.found.push(level::of_another_level(scope, level, parts.span));
                whole = false;
                continue;
            }
            match parts.map(|parts| self.record(scope, parts, numbers, texts)) {
                Some(Some(record)) => records.push((scope, record)),
                Some(None) => whole = false,
                None if scope.is_needed(level) && !(scope == Scope::Stop && alone) => {
                    whole = false;
                    // A misspelt key was taken for it, and told.
                    if self.found.iter().any(|found| found.code == &codes::library::E0302) {
                        continue;
                    }
                    self.found.push(
                        Diagnostic::new(&codes::library::E0303, format!("`{scope}` is missing"))
                            .at(span, format!("needs `{scope}`"))
                            .help(match scope {
                                Scope::Stop => "add `stop = […]`: the parts of that record; where \
                                    the controller has none, give `stroke` the field `at`"
                                    .to_string(),
                                _ => format!("add `{scope} = […]`: the parts of that record"),
                            }),
                    );
                }
                None => {}
            }
        }
        whole.then_some(Records(records))
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
        scope: Scope,
        parts: At<Vec<PartEntry>>,
        numbers: &[NumberFormat],
        texts: &[TextFormat],
    ) -> Option<Record> {
        if parts.value.is_empty() {
            self.found.push(nothing_in(scope, parts.span));
            return None;
        }
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
                let others = texts.iter().map(|format| &*format.name);
                Written::Number(self.format(&name, (field.word(), Kind::Number), names, others)?)
            }
            (_, Some(name), None, None) if field != Field::Warm => {
                let names = texts.iter().map(|format| &*format.name);
                let others = numbers.iter().map(|format| &*format.name);
                Written::Text(self.format(&name, (field.word(), Kind::Text), names, others)?)
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

    /// The index of a named format, for a value of this name. `others` are of the other kind.
    fn format<'n>(
        &mut self,
        name: &At<String>,
        (field, kind): (&str, Kind),
        mut names: impl Iterator<Item = &'n str> + Clone,
        mut others: impl Iterator<Item = &'n str>,
    ) -> Option<usize> {
        let all: Vec<&str> = names.clone().collect();
        let index = names.position(|format| format == name.value);
        if index.is_none() {
            let quoted = &name.value;
            let (is, kind, other) = match kind {
                Kind::Number => ("a number", "number", "text"),
                Kind::Text => ("a text", "text", "number"),
            };
            let found = Diagnostic::new(&e::E0702, format!("there is no {kind} format `{quoted}`"));
            let is_other = others.any(|other| other == quoted);
            let (label, mut help) = match is_other {
                true => (
                    "of the other kind",
                    format!("`{field}` is {is}, and `{quoted}` is a {other} format"),
                ),
                false => ("not described", one_of(quoted, all.iter().copied())),
            };
            if is_other && !all.is_empty() {
                let all: Vec<String> = all.iter().map(|name| format!("`{name}`")).collect();
                help.push_str(&format!(": name a {kind} format, {}", all.join(" or ")));
            } else if is_other {
                help.push_str(&format!(": describe one under `[{kind}s.NAME]` and name it"));
            }
            if is_other && field == Field::Tool.word() {
                help.push_str("; or leave `format` out to write the code alone");
            }
            self.found.push(found.at(name.span, label).help(help));
        }
        index
    }
}

/// The two kinds of formats.
#[derive(Clone, Copy)]
enum Kind {
    Number,
    Text,
}
