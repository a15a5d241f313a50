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
    /// Every cell of every table: its page and its box, which its words keep within.
    pub cells: Vec<(usize, Area)>,
}

/// Lays a paper out.
pub fn lay(sheet: &Sheet) -> Laid {
    let mut laid = flow::lay(sheet);
    edges::number(&mut laid.document);
    laid
}
