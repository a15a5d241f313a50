//! Where cells and records of a list begin and end: the one rule of quotation marks, which is that
//! of the reader of rows too. A quotation mark opens a cell where it stands first in it; inside,
//! two are one, and a single one closes.

use crate::exchange::map::Separator;
use std::ops::Range;

/// A record.
#[derive(PartialEq, Eq, Debug)]
pub(super) struct Record {
    /// Its cells, quotation marks and all.
    pub cells: Vec<Range<usize>>,
    /// Whether it runs to the end of the text inside quotation marks.
    pub open: bool,
    /// Where it ends, without its line end.
    pub end: usize,
}

/// The record that a text begins with.
pub(super) fn record(text: &str, separator: u8) -> Record {
    let byte = |at: usize| text.as_bytes().get(at).copied();
    let mut cells = Vec::new();
    let (mut start, mut at, mut open) = (0, 0, false);
    while let Some(b) = byte(at) {
        if open {
            if b == b'"' {
                if byte(at + 1) == Some(b'"') {
                    at += 1;
                } else {
                    open = false;
                }
            }
        } else if b == b'"' && at == start {
            open = true;
        } else if b == separator {
            cells.push(start..at);
            start = at + 1;
        } else if b == b'\n' || b == b'\r' {
            break;
        }
        at += 1;
    }
    let end = at.min(text.len());
    cells.push(start..end);
    Record { cells, open, end }
}

/// The record of the columns' names.
#[derive(PartialEq, Eq, Debug)]
pub(super) struct Head {
    pub separator: u8,
    /// Where it ends, without its line end.
    pub end: usize,
    /// Where the next record begins.
    pub next: usize,
}

/// The record of names that a text begins with: parted as the map says, or by what parts it into
/// most names.
pub(super) fn head(text: &str, separator: Option<Separator>) -> Head {
    let separator = match separator {
        Some(Separator::Comma) => b',',
        Some(Separator::Semicolon) => b';',
        Some(Separator::Tab) => b'\t',
        None => {
            let names = |separator: &u8| named(text, *separator).cells.len();
            // Of equally many the last.
            [b',', b'\t', b';'].into_iter().max_by_key(names).unwrap_or(b';')
        }
    };
    let end = named(text, separator).end;
    let rest = text.get(end..).unwrap_or("");
    let line_end = match rest.as_bytes() {
        [b'\r', b'\n', ..] => 2,
        [_, ..] => 1,
        [] => 0,
    };
    Head { separator, end, next: end + line_end }
}

/// As a record; of one that is never closed the first line is all there is to show.
fn named(text: &str, separator: u8) -> Record {
    let whole = record(text, separator);
    match whole.open {
        false => whole,
        true => record(text.lines().next().unwrap_or(""), separator),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_found_with_their_quotes() {
        let found = record("a;\"b;\"\"c\";3\" d\r\n", b';');
        assert_eq!(found.cells, [0..1, 2..9, 10..14]);
        assert_eq!((found.open, found.end), (false, 14));
        assert!(record("a,\"b\nc", b',').open);
    }

    #[test]
    fn names_with_marks_of_inches_end_at_their_line() {
        // A mark that does not stand first in its cell is a letter like any other.
        let text = "Mark,Hole 3\",Length\nS1,\"x\",5\n";
        assert_eq!(head(text, None), Head { separator: b',', end: 19, next: 20 });
        let text = "Mark;\"Hole\n3\"\";,,,\";Length\r\nS1;;5";
        assert_eq!(head(text, None), Head { separator: b';', end: 26, next: 28 });
        assert_eq!(head("\"Mark,Length\nS1,5\n", None).end, 12);
        assert_eq!(head("Mark", None), Head { separator: b';', end: 4, next: 4 });
        assert_eq!(head("", Some(Separator::Tab)), Head { separator: b'\t', end: 0, next: 0 });
    }

    /// The reader of rows finds the same cells.
    #[test]
    fn rows_are_read_by_the_same_rule() {
        use ::csv::{ByteRecord, ReaderBuilder};
        let alphabet = ["\"", ",", "a", "\n", "\r\n", " "];
        for number in 0..6_usize.pow(6) {
            let text: String =
                (0..6).map(|place| alphabet[number / 6_usize.pow(place) % 6]).collect();
            if text.starts_with(['\n', '\r']) {
                continue;
            }
            let mut rows =
                ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let mut row = ByteRecord::new();
            assert!(rows.read_byte_record(&mut row).unwrap());
            let found = record(&text, b',');
            assert_eq!(found.cells.len(), row.len(), "{text:?}");
            let next = usize::try_from(rows.position().byte()).unwrap();
            assert!(found.end <= next && text[found.end..next].trim().is_empty(), "{text:?}");
        }
    }
}
