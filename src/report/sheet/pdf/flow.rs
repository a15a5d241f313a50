//! Blocks down the pages, one below the other.

use super::edges::Head;
use super::look::{
    BODY, BOTTOM, CELL, GAP, HEAD, INDENT, PADDING, PART, ROW_AIR, SECTION, SIDE, TITLE, TO_SIGN,
    TO_SIGN_MORE, WHOLE_LINES, baseline, leading, paper,
};
use super::table::{self, Shared};
use super::wrap::{Line, Part, lines};
use super::{Laid, LaidCell};
use crate::report::pdf::{
    Area, At, Bookmark, Document, Page, Paint, Paper, Pen, Pt, Runs, Shade, Style,
};
use crate::report::sheet::model::{Block, Sheet, Word, Words, bold};

/// Lays the sections out.
pub fn lay(sheet: &Sheet) -> Laid {
    let mut flow = Flow {
        laid: Laid { document: Document::new(&sheet.title()), cells: Vec::new() },
        paper: paper(sheet.units),
        head: None,
        top: Pt::ZERO,
        y: Pt::ZERO,
        about: None,
        tables: 0,
    };
    let shared = Shared::of(sheet);
    for (i, section) in sheet.sections.iter().enumerate() {
        flow.head = Some(Head::new(sheet, section, flow.paper));
        if section.own_page || i == 0 {
            flow.about = None;
            flow.turn();
        }
        if i == 0 {
            flow.write(&lines(&bold(sheet.title()), TITLE, flow.width()), TITLE, Pt::ZERO);
            flow.y += GAP;
        }
        let set = |block| Set::new(block, flow.width(), &shared);
        let blocks: Vec<Set<'_>> = section.blocks.iter().map(set).collect();
        for (i, set) in blocks.iter().enumerate() {
            if matches!(set.block, Block::Heading(2, _)) {
                // What comes is about something else: nothing goes on.
                flow.about = None;
            }
            flow.need(flow.together(blocks.get(i..).unwrap_or_default()));
            flow.block(set);
            flow.y += gap(set.block, blocks.get(i + 1).map(|next| next.block));
        }
    }
    flow.laid
}

/// A block with its words in lines.
struct Set<'a> {
    block: &'a Block,
    style: Style,
    lines: Vec<Line>,
    /// Entries of a box of cautions.
    items: Vec<Vec<Line>>,
    table: Option<table::Laid<'a>>,
}

impl<'a> Set<'a> {
    fn new(block: &'a Block, width: Pt, shared: &Shared<'_>) -> Set<'a> {
        let mut set = Set { block, style: BODY, lines: Vec::new(), items: Vec::new(), table: None };
        match block {
            Block::Heading(depth, words) => {
                set.style = if *depth <= 2 { SECTION } else { PART };
                set.lines = lines(&in_bold(words), set.style, width);
            }
            Block::Prose(words) | Block::Caption(words) => set.lines = lines(words, BODY, width),
            Block::SignOff(words) => {
                set.lines = lines(words, BODY, width);
                set.lines.iter_mut().for_each(|line| lengthen(line, width));
            }
            Block::Item(words) => set.lines = lines(words, BODY, width - INDENT),
            Block::Cautions(items) => {
                let room = width - INDENT.times(3);
                set.items = items.iter().map(|words| lines(words, BODY, room)).collect();
            }
            Block::Table(of) => set.table = Some(table::Laid::new(of, width, shared)),
        }
        set
    }

    /// How tall it is.
    fn height(&self) -> Pt {
        match (self.block, &self.table) {
            (Block::Heading(2, _), _) => tall(self.lines.len(), self.style) + Pt::new(12),
            (Block::Heading(..), _) => tall(self.lines.len(), self.style) + Pt::new(6),
            (Block::SignOff(_), _) => (leading(BODY) + TO_SIGN).times(many(self.lines.len())),
            (Block::Cautions(_), _) => {
                self.items.iter().map(|lines| entry(lines)).sum::<Pt>() + GAP.times(2)
            }
            (_, Some(table)) => {
                head_height(table) + table.rows.iter().map(|row| row_height(row.lines())).sum()
            }
            _ => tall(self.lines.len(), self.style),
        }
    }
}

struct Flow {
    laid: Laid,
    paper: Paper,
    head: Option<Head>,
    /// Where the content of this page begins.
    top: Pt,
    /// Where the next block begins.
    y: Pt,
    /// What the section is about, said again where it goes on.
    about: Option<String>,
    /// Tables so far.
    tables: usize,
}

impl Flow {
    fn width(&self) -> Pt {
        self.paper.width - SIDE.times(2)
    }
    fn bottom(&self) -> Pt {
        self.paper.height - BOTTOM
    }
    /// All the room a page has.
    fn room(&self) -> Pt {
        self.bottom() - self.top
    }
    fn page(&mut self) -> Option<&mut Page> {
        self.laid.document.pages.last_mut()
    }
    fn page_number(&self) -> usize {
        self.laid.document.pages.len().saturating_sub(1)
    }

    /// A new page.
    fn turn(&mut self) {
        let mut page = Page::new(self.paper);
        if let Some(head) = &self.head {
            head.draw(&mut page);
            self.y = head.bottom();
        }
        self.laid.document.pages.push(page);
        if let Some(about) = self.about.clone() {
            let words = Words::default().bold(about).plain(", continued");
            self.write(&lines(&words, CELL, self.width()), CELL, Pt::ZERO);
            self.y += Pt::new(4);
        }
        self.top = self.y;
    }

    /// A new page unless so much room is left, or the page has nothing on it yet.
    fn need(&mut self, height: Pt) {
        if self.y + height > self.bottom() && self.y > self.top {
            self.turn();
        }
    }

    /// What of these blocks has to stand on the page on which the first begins.
    fn together(&self, blocks: &[Set<'_>]) -> Pt {
        let Some((first, rest)) = blocks.split_first() else { return Pt::ZERO };
        let own = first.height();
        let least = match (first.block, &first.table) {
            (Block::Heading(..) | Block::Caption(_), _) => own + GAP + self.together(rest),
            (_, Some(table)) if own > self.room().half() => {
                let rows = table.rows.iter().take(3).map(|row| row_height(row.lines()));
                head_height(table) + rows.sum()
            }
            (Block::Prose(_) | Block::Item(_), _) if first.lines.len() > WHOLE_LINES => {
                tall(WHOLE_LINES, BODY)
            }
            _ => own,
        };
        least.min(self.room())
    }

    fn block(&mut self, set: &Set<'_>) {
        match set.block {
            Block::Heading(depth, words) => self.heading(*depth, words, set),
            Block::Prose(_) | Block::Caption(_) => self.write(&set.lines, BODY, Pt::ZERO),
            Block::Item(_) => self.entry(&set.lines, Pt::ZERO),
            Block::SignOff(_) => {
                for line in &set.lines {
                    self.need(leading(BODY) + TO_SIGN);
                    self.y += TO_SIGN;
                    self.write(std::slice::from_ref(line), BODY, Pt::ZERO);
                }
            }
            Block::Cautions(_) => self.cautions(&set.items),
            Block::Table(_) => {
                if let Some(laid) = &set.table {
                    self.table(laid);
                    self.tables += 1;
                }
            }
        }
    }

    fn heading(&mut self, depth: u8, words: &Words, set: &Set<'_>) {
        let title = plain(words);
        let (page, y) = (self.page_number(), self.y);
        let bookmark = usize::from(depth.saturating_sub(2));
        self.laid.document.bookmarks.push(Bookmark {
            depth: bookmark,
            title: title.clone(),
            page,
            y,
        });
        self.y += if depth <= 2 { Pt::new(6) } else { Pt::new(4) };
        self.write(&set.lines, set.style, Pt::ZERO);
        if depth <= 2 {
            self.about = Some(title);
            let (y, right) = (self.y + Pt::new(1), self.paper.width - SIDE);
            if let Some(page) = self.page() {
                page.line(At { x: SIDE, y }, At { x: right, y }, Pen::ink(Pt::mil(1_500)));
            }
            self.y += Pt::new(4);
        }
    }

    /// Lines one below the other, on the next page where this one ends.
    fn write(&mut self, lines: &[Line], style: Style, indent: Pt) {
        for line in lines {
            self.need(leading(style));
            let at = At { x: SIDE + indent, y: self.y + baseline(style) };
            if let Some(page) = self.page() {
                put(page, line, at);
            }
            self.y += leading(style);
        }
    }

    /// An entry of a list.
    fn entry(&mut self, lines: &[Line], indent: Pt) {
        self.need(leading(BODY));
        let centre = At {
            x: SIDE + indent + Pt::new(4),
            y: self.y + baseline(BODY) - BODY.capital().part(45, 100),
        };
        if let Some(page) = self.page() {
            page.circle(centre, Pt::mil(1_600), Paint::Fill(Shade::Ink));
        }
        self.write(lines, BODY, indent + INDENT);
    }

    /// Entries in a box with a heavy edge, one box a page.
    fn cautions(&mut self, items: &[Vec<Line>]) {
        let mut from = self.y;
        self.y += GAP;
        for lines in items {
            let height = entry(lines).min(self.room() - GAP.times(3));
            if self.y + height + GAP > self.bottom() && self.y > from + GAP {
                self.frame(from);
                self.turn();
                from = self.y;
                self.y += GAP;
            }
            self.entry(lines, INDENT);
            self.y += Pt::new(2);
        }
        self.y += GAP - Pt::new(2);
        self.frame(from);
    }

    fn frame(&mut self, from: Pt) {
        let height = self.y.min(self.bottom() + GAP) - from;
        let area = Area { x: SIDE, y: from, width: self.width(), height };
        if let Some(page) = self.page() {
            page.area(area, Paint::Line(Pen::ink(Pt::mil(1_800))));
        }
    }

    fn table(&mut self, laid: &table::Laid<'_>) {
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

/// Draws a line whose baseline begins there.
pub fn put(page: &mut Page, line: &Line, at: At) {
    for placed in &line.parts {
        let x = at.x + placed.x;
        match &placed.part {
            Part::Text(style, text) => {
                page.say(At { x, ..at }, *style, Shade::Ink, Runs::Across, text)
            }
            Part::Blank => {
                let y = at.y + Pt::new(1);
                page.line(At { x, y }, At { x: x + placed.width, y }, Pen::ink(Pt::mil(600)));
            }
        }
    }
}

/// Room to write in at the end of a line takes what there is.
fn lengthen(line: &mut Line, width: Pt) {
    let more = (width - line.width).min(TO_SIGN_MORE);
    if let Some(last) = line.parts.last_mut().filter(|last| last.part == Part::Blank) {
        last.width += more;
        line.width += more;
    }
}

/// From a block to the next.
fn gap(block: &Block, next: Option<&Block>) -> Pt {
    match (block, next) {
        (Block::Item(_), Some(Block::Item(_))) | (Block::Caption(_), _) => Pt::new(2),
        (Block::Table(_), _) => GAP + Pt::new(3),
        _ => GAP,
    }
}

fn many(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}
fn tall(lines: usize, style: Style) -> Pt {
    leading(style).times(many(lines))
}
fn entry(lines: &[Line]) -> Pt {
    tall(lines.len(), BODY) + Pt::new(2)
}
fn row_height(lines: usize) -> Pt {
    tall(lines, CELL) + ROW_AIR.times(2)
}
fn head_height(laid: &table::Laid<'_>) -> Pt {
    laid.head.iter().map(Vec::len).max().map_or(Pt::ZERO, row_height)
}

fn plain(words: &Words) -> String {
    let texts = words.0.iter().map(|word| match word {
        Word::Plain(text) | Word::Bold(text) | Word::Italic(text) | Word::Code(text) => &**text,
        Word::Blank(_) => "",
    });
    texts.collect()
}
fn in_bold(words: &Words) -> Words {
    bold(plain(words))
}
