//! Sizes of a paper: read at arm's length, printed in black.

use crate::library::model::Units;
use crate::report::pdf::{Paper, Pt, Style};

/// What a batch in these units is printed on.
pub const fn paper(units: Units) -> Paper {
    match units {
        Units::Millimetres => Paper::A4,
        Units::Inches => Paper::LETTER,
    }
}

/// Blank edges: left and right, top, bottom. Printers leave out about 6 mm.
pub const SIDE: Pt = Pt::new(40);
pub const TOP: Pt = Pt::new(32);
pub const BOTTOM: Pt = Pt::new(50);

/// The paper's title.
pub const TITLE: Style = Style::bold(Pt::new(18));
/// What a section is about, and a part of it.
pub const SECTION: Style = Style::bold(Pt::new(14));
pub const PART: Style = Style::bold(Pt::mil(11_500));
/// Prose and lists.
pub const BODY: Style = Style::book(Pt::mil(10_500));
/// Cells and heads of tables.
pub const CELL: Style = Style::book(Pt::mil(9_500));
pub const HEAD: Style = Style::bold(Pt::mil(9_500));
/// What stands on every page.
pub const EDGE: Style = Style::book(Pt::new(9));
pub const EDGE_BOLD: Style = Style::bold(Pt::new(9));

/// From one baseline to the next.
pub fn leading(style: Style) -> Pt {
    style.size.part(132, 100)
}

/// From the top of a line to its baseline.
pub fn baseline(style: Style) -> Pt {
    (leading(style) - style.ascent() - style.descent()).half() + style.ascent()
}

/// Between a cell's text and its edges, across and down.
pub const PADDING: Pt = Pt::new(5);
pub const ROW_AIR: Pt = Pt::mil(2_500);
/// Between blocks.
pub const GAP: Pt = Pt::new(7);
/// Between a text and the line to sign on above the next.
pub const TO_SIGN: Pt = Pt::new(12);
/// What room at the end of a line may take besides.
pub const TO_SIGN_MORE: Pt = Pt::new(160);
/// How far entries of a list stand in.
pub const INDENT: Pt = Pt::new(12);
/// Prose of at most so many lines is never parted.
pub const WHOLE_LINES: usize = 8;
