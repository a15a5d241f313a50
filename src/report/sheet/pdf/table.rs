//! Columns of a table: how wide each is, and what stands in its cells.

use super::look::{CELL, HEAD, PADDING};
use super::wrap::{Line, lines, room, widths};
use crate::report::pdf::Pt;
use crate::report::sheet::model::{Cell, Column, Table, Words};

/// A cell's width is never asked to hold a longer word than this whole.
const LONGEST_WORD: Pt = Pt::new(110);
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
    /// The same where the row begins a page.
    pub afresh: Vec<Vec<Line>>,
}

impl Row {
    /// Lines of its tallest cell.
    pub fn lines(&self, afresh: bool) -> usize {
        let cells = if afresh { &self.afresh } else { &self.cells };
        cells.iter().map(Vec::len).max().unwrap_or(1).max(1)
    }
}

impl<'a> Laid<'a> {
    /// In so much room.
    pub fn new(table: &'a Table, room: Pt) -> Laid<'a> {
        let widths = column_widths(table, room);
        let inner: Vec<Pt> = widths.iter().map(|width| *width - PADDING.times(2)).collect();
        let row = |words: &dyn Fn(usize) -> Words, style| -> Vec<Vec<Line>> {
            inner.iter().enumerate().map(|(i, w)| lines(&words(i), style, *w)).collect()
        };
        let head_of =
            |i: usize| Words::from(table.columns.get(i).map_or("", |column| &*column.head));
        let rows = table
            .rows
            .iter()
            .map(|cells| {
                let words = |i: usize, afresh: bool| match cells.get(i) {
                    Some(Cell { again: true, .. }) if !afresh => Words::default(),
                    Some(cell) => cell.words.clone(),
                    None => Words::default(),
                };
                let set = row(&|i| words(i, false), CELL);
                let again = cells.iter().any(|cell| cell.again);
                let afresh = if again { row(&|i| words(i, true), CELL) } else { set.clone() };
                Row { cells: set, afresh }
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
fn needs(table: &Table, i: usize) -> (Pt, Pt) {
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

fn column_widths(table: &Table, room: Pt) -> Vec<Pt> {
    let needs: Vec<(Pt, Pt)> = (0..table.columns.len()).map(|i| needs(table, i)).collect();
    let whole: Pt = needs.iter().map(|need| need.0).sum();
    let words: Pt = needs.iter().map(|need| need.1).sum();
    if whole <= room {
        return with_air(table, needs.iter().map(|need| need.0).collect(), room - whole);
    }
    if words <= room {
        // Each has its words whole; what is left goes where lines would be broken.
        let (left, wanted) = (room - words, whole - words);
        let share = |(whole, word): &(Pt, Pt)| {
            *word + (*whole - *word).part(left.thousandths(), wanted.thousandths())
        };
        return needs.iter().map(share).collect();
    }
    needs.iter().map(|(_, word)| word.part(room.thousandths(), words.thousandths())).collect()
}

/// Room that is left over: to columns that are written in, then a little to each.
fn with_air(table: &Table, mut widths: Vec<Pt>, mut left: Pt) -> Vec<Pt> {
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

    fn table(cells: &[&str]) -> Table {
        let heads: Vec<&str> = cells.iter().map(|_| "head").collect();
        Table::new(&heads, &[], vec![cells.iter().map(|cell| Cell::from(*cell)).collect()])
    }

    #[test]
    fn columns_share_the_room_and_never_more() {
        let room = Pt::new(515);
        for cells in [
            &["1", "KP26 N1", "stud"][..],
            &[
                "1",
                "a long title of a frame that goes on and on, well past any line there is room for on a page of paper",
                "x",
            ],
            &["unbrokenunbrokenunbrokenunbroken"; 9],
            &[""],
            &[],
        ] {
            let table = table(cells);
            let laid = Laid::new(&table, room);
            assert!(laid.width() <= room, "{cells:?}: {:?}", laid.widths);
            let fits = |lines: &Vec<Line>, width: &Pt| {
                lines.iter().all(|line| line.width + PADDING.times(2) <= *width)
            };
            let row = &laid.rows[0];
            assert!(row.cells.iter().zip(&laid.widths).all(|(lines, w)| fits(lines, w)));
        }
    }

    #[test]
    fn a_column_to_write_in_has_room() {
        let table = table(&["a", ""]).with_room(1, 10);
        assert!(Laid::new(&table, Pt::new(300)).widths[1] >= Pt::new(60));
    }
}
