//! Blocks down the pages, one below the other.

use super::Laid;
use super::edges::Head;
use super::look::{
    BODY, BOTTOM, CELL, GAP, INDENT, SIDE, TITLE, TO_SIGN, WHOLE_LINES, baseline, leading, paper,
};
use super::set::{Set, entry, gap, head_height, row_height, tall};
use super::table::Shared;
use super::wrap::{Line, Part, lines};
use crate::report::pdf::{
    Area, At, Bookmark, Document, Page, Paint, Paper, Pen, Pt, Runs, Shade, Style,
};
use crate::report::sheet::model::{Block, Sheet, Words, bold};

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

/// Pages as far as they are laid out.
pub(super) struct Flow {
    pub(super) laid: Laid,
    paper: Paper,
    head: Option<Head>,
    /// Where the content of this page begins.
    top: Pt,
    /// Where the next block begins.
    pub(super) y: Pt,
    /// What the section is about, said again where it goes on.
    about: Option<String>,
    /// Tables so far.
    pub(super) tables: usize,
}

impl Flow {
    fn width(&self) -> Pt {
        self.paper.width - SIDE.times(2)
    }
    pub(super) fn bottom(&self) -> Pt {
        self.paper.height - BOTTOM
    }
    /// All the room a page has.
    pub(super) fn room(&self) -> Pt {
        self.bottom() - self.top
    }
    pub(super) fn page(&mut self) -> Option<&mut Page> {
        self.laid.document.pages.last_mut()
    }
    pub(super) fn page_number(&self) -> usize {
        self.laid.document.pages.len().saturating_sub(1)
    }

    /// A new page.
    pub(super) fn turn(&mut self) {
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
    pub(super) fn need(&mut self, height: Pt) {
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
        let title = words.text();
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
