//! Coilwright compiles light steel frame members into proved punch-and-cut programs for
//! coil-fed roll-forming lines.

pub mod diagnostic;
pub mod language;
pub mod library;
pub mod member;
pub mod program;
pub mod quantity;
