//! Tables down the pages.

use super::LaidCell;
use super::flow::{Flow, put};
use super::look::{CELL, HEAD, PADDING, ROW_AIR, SIDE, baseline, leading};
use super::set::{head_height, row_height};
use super::table;
use super::wrap::{Line, Part};
use crate::report::pdf::{Area, At, Paint, Pen, Pt, Shade, Style};

impl Flow {
    /// A table, its heads again on every page.
    pub(super) fn table(&mut self, laid: &table::Laid<'_>) {
        self.table_head(laid);
        // The first row on this page, and the row before it that has been said again on it.
        let (mut first, mut again) = (0, None);
        for (i, row) in laid.rows.iter().enumerate() {
            let page = self.page_number();
            self.need(row_height(row.lines()).min(self.room() - head_height(laid)));
            if self.page_number() != page {
                self.table_head(laid);
                (first, again) = (i, None);
            }
            let afresh = row.said.is_some_and(|said| said < first) && again != row.said;
            if afresh {
                again = row.said;
            }
            self.row(laid, row.cells(afresh));
            if self.page_number() != page {
                // What it says stands on the page before.
                first = i + 1;
            }
        }
    }

    fn table_head(&mut self, laid: &table::Laid<'_>) {
        let height = head_height(laid);
        if laid.head.is_empty() {
            return;
        }
        let area = Area { x: SIDE, y: self.y, width: laid.width(), height };
        if let Some(page) = self.page() {
            page.area(area, Paint::Fill(Shade::Wash));
        }
        let lines = laid.head.iter().map(Vec::len).max().unwrap_or(1);
        self.cells(laid, &laid.head, HEAD, 0, lines);
        self.rule(laid, Pen::ink(Pt::mil(800)));
    }

    /// A row; one that no page holds goes on on the next.
    fn row(&mut self, laid: &table::Laid<'_>, cells: &[Vec<Line>]) {
        let (mut from, all) = (0, cells.iter().map(Vec::len).max().unwrap_or(1).max(1));
        while from < all {
            let room = self.bottom() - self.y - ROW_AIR.times(2);
            let fit = room.thousandths() / leading(CELL).thousandths().max(1);
            let fit = usize::try_from(fit).unwrap_or(0).max(1).min(all - from);
            self.cells(laid, cells, CELL, from, fit);
            self.rule(laid, Pen::faint(Pt::mil(400)));
            from += fit;
            if from < all {
                self.turn();
                self.table_head(laid);
            }
        }
    }

    /// Lines `from` on of a row's cells, so many, and below them.
    fn cells(
        &mut self,
        laid: &table::Laid<'_>,
        cells: &[Vec<Line>],
        style: Style,
        from: usize,
        count: usize,
    ) {
        let (number, top, mut x) = (self.page_number(), self.y, SIDE);
        let height = row_height(count);
        let columns = cells.iter().zip(&laid.widths).zip(laid.columns);
        for (i, ((lines, width), column)) in columns.enumerate() {
            let area = Area { x, y: top, width: *width, height };
            let shown = || lines.iter().skip(from).take(count);
            let text = shown().map(text_of).collect::<Vec<_>>().join(" ");
            let (table, head) = (self.tables, style == HEAD);
            self.laid.cells.push(LaidCell { page: number, area, table, column: i, head, text });
            let mut y = top + ROW_AIR + baseline(style);
            for line in shown() {
                let at =
                    if column.right { area.right() - PADDING - line.width } else { x + PADDING };
                if let Some(page) = self.page() {
                    put(page, line, At { x: at, y });
                }
                y += leading(style);
            }
            x += *width;
        }
        self.y += height;
    }

    fn rule(&mut self, laid: &table::Laid<'_>, pen: Pen) {
        let (y, right) = (self.y, SIDE + laid.width());
        if let Some(page) = self.page() {
            page.line(At { x: SIDE, y }, At { x: right, y }, pen);
        }
    }
}

/// What stands on a line, spaces where there is room between its parts.
fn text_of(line: &Line) -> String {
    let (mut text, mut end) = (String::new(), Pt::ZERO);
    for placed in &line.parts {
        if placed.x > end {
            text.push(' ');
        }
        if let Part::Text(_, part) = &placed.part {
            text.push_str(part);
        }
        end = placed.x + placed.width;
    }
    text
}
