//! A ticket's list: rows of four cells, in as many columns as have room.

use super::fit::{Room, line_height, shortened};
use super::made::Entry;
use crate::report::pdf::{At, Page, Pt, Style};
use crate::report::words::count;

/// A list that is set.
pub struct Set {
    size: Pt,
    /// Widths of the cells of a row.
    widths: [Pt; 4],
    /// Rows of a column.
    rows: usize,
    /// Entries shown.
    shown: usize,
    /// Whether cells were shortened.
    pub shortened: bool,
    /// Entries that have no room.
    pub left_out: usize,
}

/// Space between cells, and between columns.
fn gaps(size: Pt) -> (Pt, Pt) {
    (size.part(6, 10), size.times(2))
}

/// Marks stand out.
const fn style(cell: usize, size: Pt) -> Style {
    if cell == 1 { Style::bold(size) } else { Style::book(size) }
}

/// The largest letters in which all of it has room; the least ones where it has in none.
pub fn set(list: &[Entry], room: Room) -> Set {
    let (largest, least) = room.sizes;
    let mut size = largest;
    loop {
        let set = at(list, room, size);
        if set.left_out == 0 && !set.shortened || size <= least {
            return set;
        }
        size = size.part(95, 100).max(least);
    }
}

fn at(list: &[Entry], room: Room, size: Pt) -> Set {
    let (gap, between) = gaps(size);
    let mut widths = [Pt::ZERO; 4];
    for entry in list {
        for (cell, (width, words)) in widths.iter_mut().zip(entry).enumerate() {
            *width = (*width).max(style(cell, size).width(words));
        }
    }
    let [number, mark, usage, length] = widths;
    // What is too wide for a single column is taken from mark and usage.
    let left = room.width - number - length - gap.times(3);
    let is_cut = mark + usage > left;
    let mark = if is_cut { mark.min((left - usage).max(left.part(6, 10))) } else { mark };
    let usage = usage.min((left - mark).max(Pt::ZERO));
    let widths = [number, mark, usage, length];
    let row = widths.into_iter().sum::<Pt>() + gap.times(3);
    let many = |room: Pt, each: Pt| {
        usize::try_from(room.thousandths() / each.thousandths().max(1)).unwrap_or(0)
    };
    let columns = many(room.width + between, row + between).max(1);
    let rows = many(room.height, line_height(size)).max(1);
    let places = columns.saturating_mul(rows);
    // The last place says how many are left out.
    let shown = if list.len() <= places { list.len() } else { places - 1 };
    Set { size, widths, rows, shown, shortened: is_cut, left_out: list.len() - shown }
}

impl Set {
    /// Draws it below and right of this corner.
    pub fn draw(&self, page: &mut Page, corner: At, list: &[Entry], counts: &[usize]) {
        let (gap, between) = gaps(self.size);
        let row = self.widths.iter().copied().sum::<Pt>() + gap.times(3);
        let place = |n: usize| {
            let times = |n: usize| i64::try_from(n).unwrap_or(0);
            At {
                x: corner.x + (row + between).times(times(n / self.rows)),
                y: corner.y
                    + line_height(self.size).times(times(n % self.rows))
                    + self.size.part(92, 100),
            }
        };
        for (n, entry) in list.iter().take(self.shown).enumerate() {
            let At { mut x, y } = place(n);
            for (cell, (words, width)) in entry.iter().zip(self.widths).enumerate() {
                let style = style(cell, self.size);
                let words = shortened(words, style, width);
                // Numbers and lengths stand flush right.
                let flush =
                    if cell == 0 || cell == 3 { width - style.width(&words) } else { Pt::ZERO };
                page.text(At { x: x + flush, y }, style, &words);
                x += width + gap;
            }
        }
        if self.left_out > 0 {
            let pieces = counts.iter().skip(self.shown).sum();
            let words = format!("… {} more", count(self.left_out, "mark"));
            let words = format!("{words}, {}", count(pieces, "piece"));
            let style = Style::bold(self.size);
            let words = shortened(&words, style, row);
            page.text(place(self.shown), style, &words);
        }
    }
}
