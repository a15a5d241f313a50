use crate::quantity::{Length, Span};
use std::sync::Arc;

/// What labels are printed on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LabelPaper {
    /// Sheets with rows of labels.
    Sheet {
        /// Of the sheet.
        height: Length,
        /// Rows of labels on it.
        rows: u32,
        /// From its upper edge to the first row.
        top: Length,
        /// Between two rows.
        gap_down: Length,
    },
    /// A roll: a page is one row of labels and as high as they are; what lies between two rows is
    /// the printer's to find.
    Roll,
}

/// Layouts that a batch names; plain paper to be cut where it names none.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct LabelLayouts {
    /// Of labels for members.
    pub labels: Option<LabelLayout>,
    /// Of tickets for bundles.
    pub tickets: Option<LabelLayout>,
}

/// Where labels lie on their paper, and what has room on one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LabelLayout {
    /// What it is called.
    pub name: Arc<str>,
    /// What it is for.
    pub paper: LabelPaper,
    /// Width of the sheet or of the roll.
    pub paper_width: Length,
    /// Labels side by side.
    pub columns: u32,
    /// From the left edge to the first of them.
    pub left: Length,
    /// Between two side by side.
    pub gap_across: Length,
    /// Of a label.
    pub width: Length,
    /// Of a label.
    pub height: Length,
    /// Kept free along each of a label's edges.
    pub inset: Length,
    /// Side of the code with the white that belongs to it; none is printed without.
    pub code: Option<Length>,
    /// Highest capitals.
    pub largest: Length,
    /// Lowest capitals: what does not fit so is shortened.
    pub least: Length,
    /// Whether the edges of labels are drawn, for paper that is cut by hand.
    pub outline: bool,
    /// Where a label is described.
    pub span: Span,
}

impl LabelLayout {
    /// Parts of a ticket's height, of a hundred: its head at least, and, of what is below the head,
    /// its place in the stack.
    pub const TICKET_HEAD: i64 = 28;
    /// See [`LabelLayout::TICKET_HEAD`].
    pub const TICKET_PLACE: i64 = 25;

    /// Whether head, place and four rows of a list have room on a ticket, in the least letters.
    pub fn holds_tickets(&self) -> bool {
        let high = self.height - self.inset.times(2);
        // Capitals are 0.729 of an em, lines 1.17 em apart.
        let line = self.least.scaled(1_605, 1_000);
        let head = self.code.unwrap_or_default().max(high.scaled(Self::TICKET_HEAD, 100));
        let left = high - head;
        let place = left.scaled(Self::TICKET_PLACE, 100);
        head.scaled(21, 100) >= line
            && place.scaled(33, 100) >= line
            && left - place >= line.times(4)
    }
    /// Rows on a page.
    pub const fn rows(&self) -> u32 {
        match self.paper {
            LabelPaper::Sheet { rows, .. } => rows,
            LabelPaper::Roll => 1,
        }
    }
    /// Labels on a page.
    pub const fn on_a_page(&self) -> usize {
        self.rows() as usize * self.columns as usize
    }
    /// Width and height of a page.
    pub const fn page(&self) -> (Length, Length) {
        match self.paper {
            LabelPaper::Sheet { height, .. } => (self.paper_width, height),
            LabelPaper::Roll => (self.paper_width, self.height),
        }
    }
    /// Upper left corner of a label, by its number from 0, across first and then down.
    pub fn corner(&self, number: usize) -> (Length, Length) {
        let columns = self.columns.max(1) as usize;
        let (row, column) = (number / columns, number % columns);
        let (top, gap_down) = match self.paper {
            LabelPaper::Sheet { top, gap_down, .. } => (top, gap_down),
            LabelPaper::Roll => (Length::ZERO, Length::ZERO),
        };
        let times = |n: usize| i64::try_from(n).unwrap_or(0);
        (
            self.left + (self.width + self.gap_across).times(times(column)),
            top + (self.height + gap_down).times(times(row)),
        )
    }
}
