//! Columns of a table: how wide each is, and what stands in its cells.

use super::look::{CELL, HEAD, PADDING};
use super::wrap::{Line, lines, room, widths};
use crate::report::pdf::Pt;
use crate::report::sheet::model::{Block, Cell, Column, Sheet, Table, Words};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// A cell's width is never asked to hold a longer word than this whole.
const LONGEST_WORD: Pt = Pt::new(110);
/// A column of no more than this is never broken into lines while others can be.
const SHORT: Pt = Pt::new(84);
/// What a column gets at most beyond what it needs.
const AIR: Pt = Pt::new(14);
/// What a column to write in gets at most.
const TO_WRITE: Pt = Pt::new(110);

/// A table as it is laid out.
pub struct Laid<'a> {
    pub columns: &'a [Column],
    /// Of cells, padding and all.
    pub widths: Vec<Pt>,
    /// Lines of the heads; none where there are no heads.
    pub head: Vec<Vec<Line>>,
    pub rows: Vec<Row>,
}

/// A row as it is laid out.
pub struct Row {
    /// Lines of each cell.
    pub cells: Vec<Vec<Line>>,
    /// The same where the row it repeats is not on its page.
    pub afresh: Vec<Vec<Line>>,
    /// Number of the row above that says what this one leaves out.
    pub said: Option<usize>,
}

impl Row {
    /// Its cells, whole or without what stands above.
    pub fn cells(&self, afresh: bool) -> &[Vec<Line>] {
        if afresh { &self.afresh } else { &self.cells }
    }
    /// Lines of its tallest cell, whole or not.
    pub fn lines(&self) -> usize {
        let all = self.cells.iter().chain(&self.afresh);
        all.map(Vec::len).max().unwrap_or(1).max(1)
    }
}

impl<'a> Laid<'a> {
    /// In so much room.
    pub fn new(table: &'a Table, room: Pt, shared: &Shared<'_>) -> Laid<'a> {
        let widths = column_widths(table, room, shared);
        let inner: Vec<Pt> = widths.iter().map(|width| *width - PADDING.times(2)).collect();
        let row = |words: &dyn Fn(usize) -> Words, style| -> Vec<Vec<Line>> {
            inner.iter().enumerate().map(|(i, w)| lines(&words(i), style, *w)).collect()
        };
        let head_of =
            |i: usize| Words::from(table.columns.get(i).map_or("", |column| &*column.head));
        let rows = table
            .rows
            .iter()
            .enumerate()
            .map(|(number, cells)| {
                let words = |i: usize, afresh: bool| match cells.get(i) {
                    Some(Cell { again: true, .. }) if !afresh => Words::default(),
                    Some(cell) => cell.words.clone(),
                    None => Words::default(),
                };
                let set = row(&|i| words(i, false), CELL);
                let again = cells.iter().any(|cell| cell.again);
                let afresh = if again { row(&|i| words(i, true), CELL) } else { set.clone() };
                let said = cells.iter().position(|cell| cell.again).and_then(|column| {
                    let above = table.rows.get(..number).unwrap_or_default();
                    above.iter().rposition(|row| {
                        let says = |cell: &Cell| {
                            !cell.again && Some(&cell.words) == cells.get(column).map(|c| &c.words)
                        };
                        row.get(column).is_some_and(says)
                    })
                });
                Row { cells: set, afresh, said }
            })
            .collect();
        let head = if table.is_headless() { Vec::new() } else { row(&head_of, HEAD) };
        Laid { columns: &table.columns, widths, head, rows }
    }

    /// Across.
    pub fn width(&self) -> Pt {
        self.widths.iter().copied().sum()
    }
}

/// What a column needs: on one line, and with words whole.
type Need = (Pt, Pt);

/// What the columns of tables with the same heads need, over a whole paper: such tables look
/// alike, one below the other.
#[derive(Default)]
pub struct Shared<'a>(BTreeMap<Vec<&'a str>, Vec<Need>>);

impl<'a> Shared<'a> {
    /// Of a paper.
    pub fn of(sheet: &'a Sheet) -> Shared<'a> {
        let mut shared = Shared::default();
        for block in sheet.sections.iter().flat_map(|section| &section.blocks) {
            if let Block::Table(table) = block {
                let columns = 0..table.columns.len();
                let needs: Vec<Need> = columns.map(|i| needs(table, i)).collect();
                match shared.0.entry(heads(table)) {
                    Entry::Vacant(entry) => drop(entry.insert(needs)),
                    Entry::Occupied(mut entry) => {
                        for (most, need) in entry.get_mut().iter_mut().zip(needs) {
                            *most = (most.0.max(need.0), most.1.max(need.1));
                        }
                    }
                }
            }
        }
        shared
    }
}

fn heads(table: &Table) -> Vec<&str> {
    table.columns.iter().map(|column| &*column.head).collect()
}

fn needs(table: &Table, i: usize) -> Need {
    let column = table.columns.get(i);
    let head = column.map_or("", |column| &*column.head);
    let of_head = widths(&head.into(), HEAD);
    let cells = table.rows.iter().filter_map(|row| row.get(i));
    let (whole, word) = cells
        .map(|cell| widths(&cell.words, CELL))
        .fold(of_head, |a, b| (a.0.max(b.0), a.1.max(b.1)));
    let to_write = column.map_or(Pt::ZERO, |column| room(column.room, CELL.size));
    let word = word.min(LONGEST_WORD).max(to_write);
    let around = PADDING.times(2);
    (whole.max(word) + around, word + around)
}

fn column_widths(table: &Table, room: Pt, shared: &Shared<'_>) -> Vec<Pt> {
    let needs = shared.0.get(&heads(table)).map_or(&[][..], Vec::as_slice);
    let sum = |of: fn(&Need) -> Pt| needs.iter().map(of).sum::<Pt>();
    if sum(|need| need.0) <= room {
        return with_air(table, needs.iter().map(|need| need.0).collect(), room);
    }
    // Short texts stay on one line where that can be, words whole where it cannot.
    for least in [|need: &Need| if need.0 <= SHORT { need.0 } else { need.1 }, |need: &Need| need.1]
    {
        if sum(least) <= room {
            let widths = needs.iter().map(|need| (need.0, least(need)));
            return alike(&widths.collect::<Vec<_>>(), room);
        }
    }
    let words = sum(|need| need.1).thousandths();
    needs.iter().map(|need| need.1.part(room.thousandths(), words)).collect()
}

/// Widths of columns that need so much at least: what is left goes where it makes all of them
/// about as many lines tall.
fn alike(needs: &[Need], room: Pt) -> Vec<Pt> {
    // Every column is its whole width over so many thousandths of a line, never below its least.
    let at = |lines: i64| -> Vec<Pt> {
        needs.iter().map(|(whole, least)| whole.part(1000, lines).max(*least)).collect()
    };
    let fits = |lines: i64| at(lines).into_iter().sum::<Pt>() <= room;
    let (mut tight, mut loose) = (1000, 1_000_000_000);
    while loose - tight > 1 {
        let middle = tight + (loose - tight) / 2;
        if fits(middle) { loose = middle } else { tight = middle }
    }
    at(loose)
}

/// Room that is left over: to columns that are written in, then a little to each.
fn with_air(table: &Table, mut widths: Vec<Pt>, room: Pt) -> Vec<Pt> {
    let mut left = room - widths.iter().copied().sum();
    for (width, column) in widths.iter_mut().zip(&table.columns) {
        if column.room > 0 {
            let more = left.min((TO_WRITE - *width).max(Pt::ZERO));
            *width += more;
            left -= more;
        }
    }
    let columns = i64::try_from(widths.len()).unwrap_or(i64::MAX).max(1);
    let each = left.part(1, columns).min(AIR);
    widths.iter().map(|width| *width + each).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::Units;
    use crate::report::sheet::model::Section;

    fn table(cells: &[&str]) -> Table {
        let heads: Vec<&str> = cells.iter().map(|_| "head").collect();
        Table::new(&heads, &[], vec![cells.iter().map(|cell| Cell::from(*cell)).collect()])
    }

    fn sheet(tables: Vec<Table>) -> Sheet {
        let blocks = tables.into_iter().map(Block::Table).collect();
        let section = Section { jobs: Vec::new(), own_page: true, blocks };
        let (batch, units) = (String::new(), Units::Millimetres);
        Sheet { kind: "Run sheet", batch, units, sections: vec![section] }
    }

    #[test]
    fn columns_share_the_room_and_never_more() {
        let room = Pt::new(515);
        let long = "a title of a frame that goes on well past any line there is room for on paper ";
        for cells in [
            &["1", "KP26 N1", "stud"][..],
            &["1", &long.repeat(3), "x"],
            &["unbrokenunbrokenunbrokenunbroken"; 9],
            &[""],
            &[],
        ] {
            let sheet = sheet(vec![table(cells)]);
            let Block::Table(of) = &sheet.sections[0].blocks[0] else { panic!() };
            let laid = Laid::new(of, room, &Shared::of(&sheet));
            assert!(laid.width() <= room, "{cells:?}: {:?}", laid.widths);
            let fits = |lines: &Vec<Line>, width: &Pt| {
                lines.iter().all(|line| line.width + PADDING.times(2) <= *width)
            };
            let row = &laid.rows[0];
            assert!(row.cells.iter().zip(&laid.widths).all(|(lines, w)| fits(lines, w)));
        }
    }

    #[test]
    fn tables_of_one_kind_are_as_wide_and_what_is_written_in_has_room() {
        let tables = [["a", ""], ["a much longer one", ""]].map(|row| table(&row).with_room(1, 10));
        let sheet = sheet(tables.to_vec());
        let shared = Shared::of(&sheet);
        let widths = tables.map(|of| Laid::new(&of, Pt::new(300), &shared).widths);
        assert_eq!(widths[0], widths[1]);
        assert!(widths[0][1] >= Pt::new(60));
    }
}
