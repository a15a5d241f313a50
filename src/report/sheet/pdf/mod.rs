//! A paper in PDF: A4 or Letter, words in lines, tables over pages with their heads again, job,
//! batch and number on every page.

mod edges;
mod flow;
mod grid;
mod look;
mod set;
mod table;
mod wrap;

use super::model::Sheet;
use crate::report::pdf::{Area, Document};

/// A paper on its pages.
pub struct Laid {
    /// The pages.
    pub document: Document,
    /// Every cell of every table, from left to right and from top to bottom.
    pub cells: Vec<LaidCell>,
}

/// A cell of a table on its page. One that goes on on the next page is one there too.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LaidCell {
    /// Number of its page, from 0.
    pub page: usize,
    /// Its box, which its words keep within.
    pub area: Area,
    /// Which table of the paper it is in, from 0.
    pub table: usize,
    /// Which column, from 0.
    pub column: usize,
    /// Whether it stands at the head of its column.
    pub head: bool,
    /// What is written in it here.
    pub text: String,
}

/// Lays a paper out.
pub fn lay(sheet: &Sheet) -> Laid {
    let mut laid = flow::lay(sheet);
    edges::number(&mut laid.document);
    laid
}

#[cfg(test)]
mod tests {
    use super::super::model::{Block, Cell, Section, Table, Words};
    use super::*;
    use crate::library::model::Units;

    fn laid(blocks: Vec<Block>, batch: &str) -> Laid {
        let jobs = (0..300).map(|i| format!("JOB-{i}")).collect();
        let sections = vec![Section { jobs, own_page: true, blocks }];
        let units = Units::Millimetres;
        lay(&Sheet { kind: "Run sheet", batch: batch.to_string(), units, sections })
    }

    /// A cell that no page holds goes on on the next: nothing of it is lost, and nothing stands
    /// below the page's edge.
    #[test]
    fn a_cell_taller_than_a_page_goes_on() {
        let long: String = (0..4000).map(|i| format!("word{i} ")).collect();
        let rows: Vec<Vec<Cell>> = vec![
            vec!["before".into(), "x".into()],
            vec!["long".into(), long.as_str().into()],
            vec![Cell::again("long"), "y".into()],
        ];
        let laid = laid(vec![Block::Table(Table::new(&["a", "b"], &[], rows))], "b");
        let column = |column: usize| -> Vec<&str> {
            let cells = laid.cells.iter().filter(|c| c.column == column && !c.head);
            cells.map(|cell| &*cell.text).collect()
        };
        let told = column(1).join(" ");
        assert_eq!(told.replace(' ', ""), format!("x{long}y").replace(' ', ""));
        assert!(laid.document.pages.len() > 3);
        for cell in &laid.cells {
            let page = &laid.document.pages[cell.page];
            assert!(cell.area.bottom() <= page.paper.height - look::BOTTOM, "{cell:?}");
        }
        // Heads stand on every page of the table, and the last row says what it belongs to.
        let pages: std::collections::BTreeSet<usize> = laid.cells.iter().map(|c| c.page).collect();
        assert_eq!(laid.cells.iter().filter(|c| c.head && c.column == 0).count(), pages.len());
        assert_eq!(column(0).last(), Some(&"long"));
    }

    /// Whatever is longer than a page, the paper comes to an end.
    #[test]
    fn what_is_longer_than_a_page_is_parted() {
        let long = "a long word of it ".repeat(900);
        let words = || Words::from(long.as_str());
        for block in [
            Block::Heading(2, words()),
            Block::Prose(words()),
            Block::Caption(words()),
            Block::Item(words()),
            Block::SignOff(words()),
            Block::Cautions(vec![words(), words(), "short".into()]),
            Block::Cautions(Vec::new()),
            Block::Table(Table::new(&[], &[], Vec::new())),
        ] {
            let pages =
                laid(vec![block.clone(), block], &"batch-".repeat(500)).document.pages.len();
            assert!((1..60).contains(&pages), "{pages}");
        }
        let empty = Sheet {
            kind: "Run sheet",
            batch: String::new(),
            units: Units::Inches,
            sections: Vec::new(),
        };
        assert!(lay(&empty).document.bytes().starts_with(b"%PDF"));
    }
}
