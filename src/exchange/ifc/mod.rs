//! IFC models (ISO 16739-1; IFC4 and IFC4X3) as STEP files: members in, members out.
//!
//! A member is read from its straight extrusion: section, length, openings. Where it stands in the
//! building is followed only to see where its openings lie on it: members text has no places of
//! members in frames yet.

mod fixed;
mod form;
mod model;
mod opening;
mod own;
mod read;
mod section;
mod write;

pub use read::read;
pub(in crate::exchange) use write::middle;
pub use write::write;
