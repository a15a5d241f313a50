//! Blocks with their words in lines, and how tall they are.

use super::look::{
    BODY, CELL, GAP, INDENT, PART, ROW_AIR, SECTION, TO_SIGN, TO_SIGN_MORE, leading,
};
use super::table::{self, Shared};
use super::wrap::{Line, Part, lines};
use crate::report::pdf::{Pt, Style};
use crate::report::sheet::model::{Block, bold};

/// A block with its words in lines.
pub struct Set<'a> {
    pub block: &'a Block,
    pub style: Style,
    pub lines: Vec<Line>,
    /// Entries of a box of cautions.
    pub items: Vec<Vec<Line>>,
    pub table: Option<table::Laid<'a>>,
}

impl<'a> Set<'a> {
    /// In lines of this width.
    pub fn new(block: &'a Block, width: Pt, shared: &Shared<'_>) -> Set<'a> {
        let mut set = Set { block, style: BODY, lines: Vec::new(), items: Vec::new(), table: None };
        match block {
            Block::Heading(depth, words) => {
                set.style = if *depth <= 2 { SECTION } else { PART };
                set.lines = lines(&bold(words.text()), set.style, width);
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
    pub fn height(&self) -> Pt {
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

/// Room to write in at the end of a line takes what there is.
fn lengthen(line: &mut Line, width: Pt) {
    let more = (width - line.width).min(TO_SIGN_MORE);
    if let Some(last) = line.parts.last_mut().filter(|last| last.part == Part::Blank) {
        last.width += more;
        line.width += more;
    }
}

/// From a block to the next.
pub fn gap(block: &Block, next: Option<&Block>) -> Pt {
    match (block, next) {
        (Block::Item(_), Some(Block::Item(_))) | (Block::Caption(_), _) => Pt::new(2),
        (Block::Table(_), _) => GAP + Pt::new(3),
        _ => GAP,
    }
}

fn many(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}
/// How tall lines are.
pub fn tall(lines: usize, style: Style) -> Pt {
    leading(style).times(many(lines))
}
/// How tall an entry of a list is.
pub fn entry(lines: &[Line]) -> Pt {
    tall(lines.len(), BODY) + Pt::new(2)
}
/// How tall a row of so many lines is.
pub fn row_height(lines: usize) -> Pt {
    tall(lines, CELL) + ROW_AIR.times(2)
}
/// How tall the heads of a table are.
pub fn head_height(laid: &table::Laid<'_>) -> Pt {
    laid.head.iter().map(Vec::len).max().map_or(Pt::ZERO, row_height)
}
