//! Lists: comma separated values through a map.

mod cell;
mod feature;
mod layout;

use super::answer::Answer;
use super::drawn::{DrawnFrame, DrawnJob, DrawnMember};
use super::map::{self, Code, Decimal, Map, Rows};
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Code as Kind, Diagnostic, closest};
use crate::member::model::{EndShape, FrameKind, Usage};
use crate::quantity::{FileId, Length, Sources, Span};
use ::csv::{ByteRecord, ReaderBuilder};
use cell::{Figures, Wrong, cells};
use layout::{Header, Layout};
use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasherDefault, DefaultHasher};
use std::sync::Arc;

type Table<K, V> = HashMap<K, V, BuildHasherDefault<DefaultHasher>>;

/// Findings after which reading stops: a list with more is a list read the wrong way.
const MOST_FINDINGS: usize = 2_000;

/// Reads a list through a map.
pub fn read(
    sources: &Sources,
    file: FileId,
    map: &Map,
) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let text = sources.get(file).map(|source| source.text().clone()).unwrap_or_default();
    let mut found = Vec::new();
    let source = sources.get(file);
    let line = map.table.as_ref().and_then(|t| t.header_line.as_ref()).map_or(1, |at| at.value);
    let line = u32::try_from(line).unwrap_or(1);
    let start = source.map_or(0, |source| source.line_start(line)) as usize;
    let first = text.get(start..).unwrap_or("");
    let header_end = header_end(first);
    let header = Header {
        file,
        len: text.len(),
        text: first.get(..header_end).unwrap_or("").trim_end_matches(['\r', '\n']),
        start,
    };
    let Some(layout) = layout::layout(map, &header, &mut found) else {
        return (None, found);
    };
    let body = start + header_end;
    let mut reader = Reader {
        map,
        layout: &layout,
        file,
        name: map::short_name(sources, file),
        text: &text,
        figures: Figures {
            decimal: map.table.as_ref().and_then(|t| t.decimal).unwrap_or(Decimal::Point),
            unit: map.table.as_ref().and_then(|t| t.unit),
        },
        by_feature: map.table.as_ref().and_then(|t| t.rows) == Some(Rows::Feature),
        codes: map
            .code
            .iter()
            .flatten()
            .map(|code| {
                let kind = code.feature.as_ref().map_or("", |at| at.value.as_str());
                (code.code.value.as_str(), (code, Arc::from(kind)))
            })
            .collect(),
        profiles: Table::default(),
        row: Row { start: body, end: body, line: u64::from(line) },
        frames: Vec::new(),
        by_name: Table::default(),
        entry_text: None,
        last: None,
        found,
        unknown: BTreeMap::new(),
        answer: Answer::default(),
    };
    reader.answer.file.clone_from(&reader.name);
    for column in &layout.ignored {
        reader.answer.leave_out(format!("column {column}"));
    }
    let rows = reader.rows(body, line);
    reader.finish(rows)
}

/// Where the record of names ends, its line end included: names may stand in quotation marks.
fn header_end(text: &str) -> usize {
    let mut quoted = false;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' if !quoted => return at + 1,
            _ => {}
        }
    }
    // An open quotation mark: the first line is all there is to show.
    text.find('\n').map_or(text.len(), |at| at + 1)
}

/// The row being read.
#[derive(Clone, Copy)]
struct Row {
    start: usize,
    end: usize,
    line: u64,
}

/// A frame being filled, with the places of its marks.
struct Frame {
    drawn: DrawnFrame,
    marks: Table<String, usize>,
}

struct Reader<'a> {
    map: &'a Map,
    layout: &'a Layout<'a>,
    file: FileId,
    name: String,
    text: &'a str,
    figures: Figures,
    by_feature: bool,
    codes: Table<&'a str, (&'a Code, Arc<str>)>,
    profiles: Table<String, Arc<str>>,
    row: Row,
    frames: Vec<Frame>,
    by_name: Table<String, usize>,
    /// The entry being read, of a cell that holds several.
    entry_text: Option<String>,
    /// Frame and member of the row before.
    last: Option<(usize, usize)>,
    found: Vec<Diagnostic>,
    /// Words that no table of the map has: table and word, with the first place and how often.
    unknown: BTreeMap<(&'static str, String), (Span, usize)>,
    answer: Answer,
}

impl<'a> Reader<'a> {
    /// Reads every row; how many.
    fn rows(&mut self, body: usize, header_line: u32) -> usize {
        let bytes = self.text.as_bytes().get(body..).unwrap_or(&[]);
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.layout.separator)
            .buffer_capacity(1 << 16)
            .from_reader(bytes);
        let mut record = ByteRecord::new();
        let mut rows = 0;
        // Reading from memory cannot fail, and any bytes are records to it.
        while let Ok(true) = reader.read_byte_record(&mut record) {
            let at = |byte: u64| body + usize::try_from(byte).unwrap_or(0);
            let position = record.position();
            let start = position.map_or(body, |p| at(p.byte()));
            // A record's place is before the empty lines that are passed over on the way to it.
            let ahead = self.text.as_bytes().get(start..).unwrap_or(&[]);
            let blank = ahead.iter().take_while(|b| matches!(b, b'\n' | b'\r'));
            let (mut passed, mut lines) = (0, 0);
            for byte in blank {
                passed += 1;
                lines += u64::from(*byte == b'\n');
            }
            self.row = Row {
                start: start + passed,
                end: at(reader.position().byte()),
                line: position.map_or(0, ::csv::Position::line) + u64::from(header_line) + lines,
            };
            rows += 1;
            if self.found.len() + self.unknown.len() >= MOST_FINDINGS {
                if let Some(last) = self.found.last_mut() {
                    last.notes.push(format!(
                        "reading stopped here, at line {}: there is too much to tell",
                        self.row.line
                    ));
                }
                return rows;
            }
            self.record(&record);
        }
        let last = self.text.get(self.row.start..).unwrap_or("");
        let (ranges, open) = cells_of(last, self.layout.separator);
        if open {
            let cell = ranges.last().cloned().unwrap_or(0..1);
            let span = self.span(self.row.start + cell.start, self.row.start + cell.start + 1);
            // That its last row is too short comes of the same.
            let row = u32::try_from(self.row.start).unwrap_or(u32::MAX);
            self.found
                .retain(|d| d.code != &codes::E1116 || d.span().is_none_or(|s| s.start != row));
            self.found.push(
                Diagnostic::new(&codes::E1120, "this quotation mark is never closed")
                    .at(span, "everything after it was read as one cell")
                    .help("close it, or write it twice where it is part of the text"),
            );
        }
        rows
    }

    fn record(&mut self, record: &ByteRecord) {
        let cell =
            |i: usize| record.get(i).and_then(|b| std::str::from_utf8(b).ok()).unwrap_or("").trim();
        if record.iter().all(|b| b.iter().all(u8::is_ascii_whitespace)) {
            self.answer.leave_out("empty row");
            return;
        }
        for (column, words, name) in &self.layout.skip {
            let said = cell(*column);
            if words.iter().any(|word| word == said) {
                self.answer.leave_out(format!("row with `{said}` in column {name}"));
                return;
            }
        }
        if record.len() != self.layout.width {
            let (row, width) = (self.row, self.layout.width);
            let text = self.text.get(row.start..row.end).unwrap_or("");
            let span = self.span(row.start, row.start + text.trim_end().len());
            self.found.push(
                Diagnostic::new(
                    &codes::E1116,
                    format!(
                        "line {} has {} cells, and there are {width} columns",
                        row.line,
                        record.len()
                    ),
                )
                .at(span, "this row")
                .note("every cell after the slip would be taken for its neighbour")
                .help(
                    "put text that holds the separator into quotation marks, or complete the row",
                ),
            );
            return;
        }
        let Some(place) = self.member(&cell) else { return };
        let layout = self.layout;
        for columns in &layout.features {
            self.features(place, columns, &cell);
        }
    }

    /// The member this row is of: frame and place in it.
    fn member<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> Option<(usize, usize)> {
        let layout = self.layout;
        let mark = self.needed(layout.mark, cell, "mark")?;
        let default = self.map.default.as_ref();
        let frame_name = match layout.frame {
            Some(column) => self.needed(column, cell, "frame")?,
            None => default.and_then(|d| d.frame.as_ref()).map_or("1", |at| at.value.as_str()),
        };
        // Rows of one member mostly follow each other.
        let same = self.last.filter(|&(f, m)| {
            self.frames.get(f).is_some_and(|frame| {
                frame.drawn.name == frame_name
                    && frame.drawn.members.get(m).is_some_and(|m| m.mark == mark)
            })
        });
        let known = same.or_else(|| {
            let f = *self.by_name.get(frame_name)?;
            Some((f, *self.frames.get(f)?.marks.get(mark)?))
        });
        if let Some(place) = known {
            self.last = Some(place);
            if !self.by_feature {
                let frame = frame_name.to_string();
                let message = format!("mark {mark} is twice in frame {frame}");
                self.at_cell(layout.mark, &codes::E1119, message, "again here", "give it another mark; with a row for each feature, say `rows = \"feature\"` in [table] of the map");
                return None;
            }
            self.again(place, cell);
            return Some(place);
        }
        let kind =
            match layout.kind.map(|column| (column, cell(column))).filter(|(_, c)| !c.is_empty()) {
                Some((column, word)) => match self.map.kind(word) {
                    Some(kind) => kind,
                    None => {
                        self.unknown("kinds", word, column);
                        FrameKind::Wall
                    }
                },
                None => self.map.default_kind(),
            };
        let title = layout.title.map_or("", cell).to_string();
        let usage = self.usage(cell).unwrap_or_else(|| self.map.default_usage());
        let profile = match layout.profile {
            Some(column) => {
                let word = self.needed(column, cell, "profile")?;
                self.profile(word, column)
            }
            None => default
                .and_then(|d| d.profile.as_ref())
                .map_or_else(|| Arc::from(""), |at| Arc::from(at.value.as_str())),
        };
        self.needed(layout.length, cell, "length")?;
        let length = self.length(layout.length, cell(layout.length));
        if length.is_some_and(|length| length <= Length::ZERO) {
            let message = "a length is above nought".to_string();
            let help = "write how long the member is";
            self.at_cell(layout.length, &codes::E1115, message, "not above nought", help);
        }
        let length = length.unwrap_or(Length::ZERO);
        let quantity = self.quantity(cell);
        let f = match self.by_name.get(frame_name) {
            Some(&f) => f,
            None => {
                let drawn = DrawnFrame {
                    name: frame_name.to_string(),
                    kind,
                    title,
                    quantity: 1,
                    members: Vec::new(),
                };
                self.frames.push(Frame { drawn, marks: Table::default() });
                self.by_name.insert(frame_name.to_string(), self.frames.len() - 1);
                self.frames.len() - 1
            }
        };
        let source = format!("{}:{}", self.name, self.row.line);
        let frame = self.frames.get_mut(f)?;
        frame.marks.insert(mark.to_string(), frame.drawn.members.len());
        frame.drawn.members.push(DrawnMember {
            mark: mark.to_string(),
            usage,
            quantity: quantity.unwrap_or(1),
            profile,
            length,
            length_tolerance: None,
            start: EndShape::Square,
            end: EndShape::Square,
            turnable: false,
            mark_text: None,
            features: Vec::new(),
            source,
        });
        let place = (f, frame.drawn.members.len() - 1);
        self.last = Some(place);
        Some(place)
    }

    /// A further row of a member: what it says must be what its first row said.
    fn again<'r>(&mut self, (f, m): (usize, usize), cell: &impl Fn(usize) -> &'r str) {
        let layout = self.layout;
        let Some(member) = self.frames.get(f).and_then(|frame| frame.drawn.members.get(m)) else {
            return;
        };
        let (mark, length, usage, profile, quantity, source) = (
            member.mark.clone(),
            member.length,
            member.usage,
            Arc::clone(&member.profile),
            member.quantity,
            member.source.clone(),
        );
        let differs = |reader: &mut Self, column: usize, what: &str| {
            let message =
                format!("this row says another {what} of member {mark} than {source} does");
            reader.at_cell(
                column,
                &codes::E1118,
                message,
                "differs",
                "correct the one that is wrong, or give the member another mark",
            );
        };
        if !cell(layout.length).is_empty()
            && self.length(layout.length, cell(layout.length)).is_some_and(|l| l != length)
        {
            differs(self, layout.length, "length");
        }
        if let Some(column) = layout.usage.filter(|&column| !cell(column).is_empty())
            && self.usage(cell).is_some_and(|u| u != usage)
        {
            differs(self, column, "usage");
        }
        if let Some(column) = layout.profile.filter(|&column| !cell(column).is_empty())
            && self.profile(cell(column), column) != profile
        {
            differs(self, column, "profile");
        }
        if let Some(column) = layout.quantity.filter(|&column| !cell(column).is_empty())
            && self.quantity(cell).is_some_and(|q| q != quantity)
        {
            differs(self, column, "quantity");
        }
    }

    fn usage<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> Option<Usage> {
        let column = self.layout.usage?;
        let word = cell(column);
        if word.is_empty() {
            return None;
        }
        let usage = self.map.usage(word);
        if usage.is_none() {
            self.unknown("usages", word, column);
        }
        usage
    }

    fn profile(&mut self, word: &str, column: usize) -> Arc<str> {
        if let Some(known) = self.profiles.get(word) {
            return Arc::clone(known);
        }
        match self.map.profile(word) {
            Some(profile) => {
                let profile: Arc<str> = Arc::from(profile);
                self.profiles.insert(word.to_string(), Arc::clone(&profile));
                profile
            }
            None => {
                self.unknown("profiles", word, column);
                Arc::from("")
            }
        }
    }

    fn quantity<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> Option<u32> {
        let column = self.layout.quantity?;
        let text = cell(column);
        if text.is_empty() {
            return None;
        }
        match text.parse::<u32>().ok().filter(|&n| n > 0) {
            Some(n) => Some(n),
            None => {
                self.at_cell(
                    column,
                    &codes::E1115,
                    format!("`{text}` is no number of members"),
                    "not a whole number above nought",
                    "write how many are wanted; take the row out if none is",
                );
                None
            }
        }
    }

    fn length(&mut self, column: usize, text: &str) -> Option<Length> {
        match self.figures.length(text) {
            Ok(length) => Some(length),
            Err(Wrong::Figure(what, help)) => {
                self.at_cell(column, &codes::E1115, what, "no figure", &help);
                None
            }
            Err(Wrong::Unit(what)) => {
                let unit = self.figures.unit.map_or("", |unit| unit.word());
                let message = format!("{what}, as the map says of this list");
                self.at_cell(column, &codes::E1117, message, "another unit", &format!("write it in {unit}; or take `unit` out of the map if every figure says its own"));
                None
            }
        }
    }

    fn needed<'r>(
        &mut self,
        column: usize,
        cell: &impl Fn(usize) -> &'r str,
        what: &str,
    ) -> Option<&'r str> {
        let text = cell(column);
        if text.is_empty() {
            self.at_cell(
                column,
                &codes::E1114,
                format!("line {} has no {what}", self.row.line),
                "empty",
                "fill it in; a row that is no member is put aside by a [[skip]] of the map",
            );
            return None;
        }
        Some(text)
    }

    fn unknown(&mut self, table: &'static str, word: &str, column: usize) {
        let span = self.cell_span(column);
        let entry = self.unknown.entry((table, word.to_string())).or_insert((span, 0));
        entry.1 += 1;
    }

    fn at_cell(
        &mut self,
        column: usize,
        code: &'static Kind,
        message: String,
        label: &str,
        help: &str,
    ) {
        let span = self.cell_span(column);
        self.found.push(Diagnostic::new(code, message).at(span, label).help(help));
    }

    fn cell_span(&self, column: usize) -> Span {
        let record = self.text.get(self.row.start..self.row.end).unwrap_or("");
        let (ranges, _) = cells_of(record, self.layout.separator);
        let range = ranges.get(column).cloned().unwrap_or(0..1);
        let within = record.get(range.clone()).unwrap_or("");
        let entry = self.entry_text.as_deref();
        let range = match entry.and_then(|entry| Some((within.find(entry)?, entry.len()))) {
            Some((at, len)) => range.start + at..range.start + at + len,
            None => range,
        };
        let start = self.row.start + range.start;
        // An empty cell is shown by the separator beside it.
        self.span(start, (self.row.start + range.end).max(start + 1))
    }

    fn span(&self, start: usize, end: usize) -> Span {
        let place = |at: usize| u32::try_from(at.min(self.text.len())).unwrap_or(u32::MAX);
        Span::new(self.file, place(start), place(end))
    }

    fn finish(mut self, rows: usize) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
        for ((table, word), (span, count)) in std::mem::take(&mut self.unknown) {
            let (what, words): (&str, Vec<&str>) = match table {
                "profiles" => (
                    "profile",
                    self.map
                        .profiles
                        .iter()
                        .flat_map(|e| &e.0)
                        .map(|(n, _)| n.value.as_str())
                        .collect(),
                ),
                "usages" => (
                    "usage",
                    self.map
                        .usages
                        .iter()
                        .flat_map(|e| &e.0)
                        .map(|(n, _)| n.value.as_str())
                        .collect(),
                ),
                "kinds" => (
                    "kind of frame",
                    self.map
                        .kinds
                        .iter()
                        .flat_map(|e| &e.0)
                        .map(|(n, _)| n.value.as_str())
                        .collect(),
                ),
                "faces" => (
                    "face",
                    self.map
                        .faces
                        .iter()
                        .flat_map(|e| &e.0)
                        .map(|(n, _)| n.value.as_str())
                        .collect(),
                ),
                _ => (
                    "code",
                    self.map.code.iter().flatten().map(|c| c.code.value.as_str()).collect(),
                ),
            };
            let add = match table {
                "code" => "add it as a [[code]] with its `feature`, or with `leave-out = true`"
                    .to_string(),
                table => format!("add `\"{word}\" = \"…\"` to [{table}] of the map"),
            };
            // Of codes of a letter or two any is like any other.
            let near = closest(&word, words).filter(|_| word.chars().count() > 2);
            let help = match near {
                Some(near) => format!("did you mean `{near}`? else {add}"),
                None => add,
            };
            let often = if count == 1 { String::new() } else { format!(" ({count} times)") };
            self.found.push(
                Diagnostic::new(&codes::E1113, format!("the map knows no {what} `{word}`{often}"))
                    .at(span, if count == 1 { "here" } else { "the first" })
                    .help(help),
            );
        }
        let job = self.map.job.as_ref();
        if job.is_none() && self.found.is_empty() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1103,
                    "the map does not say which job these members are of",
                )
                .at(self.map.span, "in this map")
                .help("add [job] with `name`, and `title` and `revision` where there are"),
            );
        }
        let drawn = DrawnJob {
            name: job.map_or("", |j| &j.name.value).to_string(),
            title: job.and_then(|j| j.title.as_ref()).map_or("", |at| &at.value).to_string(),
            revision: job.and_then(|j| j.revision.as_ref()).map_or("", |at| &at.value).to_string(),
            frames: std::mem::take(&mut self.frames).into_iter().map(|frame| frame.drawn).collect(),
            waivers: Vec::new(),
        };
        if drawn.frames.is_empty() && self.found.is_empty() {
            self.found.push(
                Diagnostic::new(&codes::E1104, "there is no member in this list")
                    .at(self.span(0, 1), "read to its end")
                    .help("check that it is the right file, and that the map's [[skip]] does not put all rows aside"),
            );
        }
        self.answer.read = format!("{rows} row{}", if rows == 1 { "" } else { "s" });
        match self.found.is_empty() {
            true => (Some((drawn, self.answer)), self.found),
            false => (None, self.found),
        }
    }
}

/// Cells of the record at the head of a text that may begin with the line end before it.
fn cells_of(text: &str, separator: u8) -> (Vec<std::ops::Range<usize>>, bool) {
    let blank = text.len() - text.trim_start_matches(['\r', '\n']).len();
    let (ranges, open) = cells(text.get(blank..).unwrap_or(""), separator);
    (ranges.into_iter().map(|r| r.start + blank..r.end + blank).collect(), open)
}
