//! Labels for pieces and tickets for bundles, made from the report: what stands on each
//! ([`Label`]), and one file a format.
//!
//! A bundle is what a crew finds strapped together: the pieces of one copy of a frame and one
//! profile. Bundles lie on each other in the order they are finished, the first at the bottom.

mod bundle;
mod code;
mod fit;
mod list;
mod made;
pub mod pdf;
mod table;

pub use bundle::{Bundle, bundles};
pub use code::code_text;
pub use made::{Label, Line, Of, labels};
pub use table::print as csv;
