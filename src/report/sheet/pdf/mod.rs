//! A paper in PDF: A4 or Letter, words in lines, tables over pages with their heads again, job,
//! batch and number on every page.

mod edges;
mod flow;
mod look;
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
