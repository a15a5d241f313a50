//! Lists: comma separated values through a map.

mod cell;
mod feature;
mod layout;
mod load;
mod member;
mod record;
mod told;

use super::MOST_FINDINGS;
use super::answer::Answer;
use super::drawn::{DrawnFrame, DrawnJob};
use super::map::{self, Code, Decimal, Map, Rows};
use super::merged::FrameSaid;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::quantity::{FileId, Sources, Span};
use ::csv::{ByteRecord, ReaderBuilder};
use cell::{Figures, System};
use layout::{Header, Layout};
use record::{head, record};
use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasherDefault, DefaultHasher};
use std::sync::Arc;

pub use load::load;

type Table<K, V> = HashMap<K, V, BuildHasherDefault<DefaultHasher>>;

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
    let head = head(first, map.table.as_ref().and_then(|table| table.separator));
    let header = Header {
        file,
        len: text.len(),
        text: first.get(..head.end).unwrap_or(""),
        start,
        separator: head.separator,
    };
    let line_number = usize::try_from(line).unwrap_or(1);
    if let Some(refusal) = layout::not_its_names(map, &header, line_number, &text) {
        return (None, vec![refusal]);
    }
    let Some(layout) = layout::layout(map, &header, &mut found) else {
        return (None, found);
    };
    let body = start + head.next;
    // Names in quotation marks may run over lines.
    let over = first.get(..head.end).map_or(0, |head| head.matches('\n').count());
    let rows_from = line.saturating_add(u32::try_from(over).unwrap_or(u32::MAX));
    let mut reader = Reader {
        map,
        layout: &layout,
        file,
        name: map::short_name(sources, file),
        text: &text,
        figures: Figures {
            decimal: map.table.as_ref().and_then(|t| t.decimal).unwrap_or(Decimal::Point),
            unit: map.table.as_ref().and_then(|t| t.unit),
            mixed: map
                .table
                .as_ref()
                .and_then(|t| t.mixed_units.as_ref())
                .is_some_and(|at| at.value),
        },
        systems: BTreeMap::new(),
        other_units: None,
        no_unit: None,
        unsaid: BTreeMap::new(),
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
        row: Row { start: body, end: body, line: u64::from(rows_from) },
        frames: Vec::new(),
        by_name: Table::default(),
        entry_text: None,
        last: None,
        found,
        unknown: BTreeMap::new(),
        stopped: None,
        answer: Answer::default(),
    };
    reader.answer.file.clone_from(&reader.name);
    if line > 1 {
        let above =
            if line == 2 { "line 1".to_string() } else { format!("lines 1 to {}", line - 1) };
        reader.answer.leave_out(format!("{above}, above the names of the columns"));
    }
    for column in &layout.ignored {
        reader.answer.leave_out(format!("column {column}"));
    }
    let rows = reader.rows(body, rows_from);
    reader.finish(rows)
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
    /// The row it begins with, the first that says of which kind it is, and its title.
    said: FrameSaid,
}

struct Reader<'a> {
    map: &'a Map,
    layout: &'a Layout<'a>,
    file: FileId,
    name: String,
    text: &'a str,
    figures: Figures,
    /// In which units a column's figures are that say their own: those of its first one.
    systems: BTreeMap<usize, (System, Span)>,
    /// The first line with a figure in another unit than the list's or its column's, and how
    /// many there are, where the map lets them be mixed.
    other_units: Option<(u64, usize)>,
    /// Figures of which nothing says the unit: the first, where it stands, and how many.
    no_unit: Option<(String, Span, usize)>,
    /// What cells leave to the map or to the usual: what, what was taken, and how often.
    unsaid: BTreeMap<(&'static str, String), usize>,
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
    /// The line at which reading stopped because there was too much to tell.
    stopped: Option<u64>,
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
                self.stopped = Some(self.row.line);
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
        if self.is_spoilt(&cell) {
            return;
        }
        let Some(place) = self.member(&cell) else { return };
        let layout = self.layout;
        for columns in &layout.features {
            self.features(place, columns, &cell);
        }
    }

    /// Whether a cell would be read as less than stands in it.
    fn is_spoilt<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> bool {
        if let Some(column) = self.layout.nameless.filter(|&column| !cell(column).is_empty()) {
            let message = format!("line {} has a cell under no name", self.row.line);
            let help = "give the column a name where the list is made, or clear the cell";
            self.at_cell(column, &codes::E1116, message, "no column", help);
            return true;
        }
        let raw = self.text.get(self.row.start..self.row.end).unwrap_or("");
        if !raw.contains('"') {
            return false;
        }
        let (ranges, _) = cells_of(raw, self.layout.separator);
        let Some(column) = ranges
            .iter()
            .position(|range| raw.get(range.clone()).is_some_and(|cell| !is_whole(cell)))
        else {
            return false;
        };
        let help = "write a quotation mark inside a quoted cell twice";
        let message = "something stands after the quotation mark that closes this cell".to_string();
        self.at_cell(column, &codes::E1120, message, "in this cell", help);
        true
    }
}

/// Cells of the record at the head of a text that may begin with the line end before it.
fn cells_of(text: &str, separator: u8) -> (Vec<std::ops::Range<usize>>, bool) {
    let blank = text.len() - text.trim_start_matches(['\r', '\n']).len();
    let found = record(text.get(blank..).unwrap_or(""), separator);
    (found.cells.into_iter().map(|r| r.start + blank..r.end + blank).collect(), found.open)
}

/// Whether a cell that opens with a quotation mark ends with the one that closes it.
fn is_whole(cell: &str) -> bool {
    let Some(inside) = cell.strip_prefix('"') else { return true };
    let beyond = inside.replace("\"\"", "");
    match beyond.split_once('"') {
        Some((_, after)) => after.is_empty(),
        // Open to the end of the file: told apart.
        None => true,
    }
}
