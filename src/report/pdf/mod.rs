//! Papers in PDF, from the page up: distances ([`Pt`]), the font and how wide it is ([`Style`]),
//! a page to draw on ([`Page`]), the document ([`Document`]), and its bytes.
//!
//! ```
//! use coilwright::report::pdf::{At, Document, Paper, Pt, Style};
//! let mut document = Document::new("Run sheet");
//! if let Some(page) = document.add(Paper::A4) {
//!     page.text(At { x: Pt::new(40), y: Pt::new(50) }, Style::bold(Pt::new(14)), "Run 1");
//! }
//! assert!(document.bytes().starts_with(b"%PDF-1.7"));
//! ```
//!
//! What a paper uses of the font is embedded with it, with the characters its letters stand for,
//! so that text can be searched and taken out. There is no date and no random identity in it.

mod document;
mod font;
mod page;
mod unit;
mod write;

pub use document::{Bookmark, Document};
pub use font::{Style, Weight, can_set, settable};
pub use page::{Area, At, Page, Paint, Paper, Pen, Runs, Shade};
pub use unit::Pt;
