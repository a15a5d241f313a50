//! Coilwright compiles light steel frame members into proved punch-and-cut programs for
//! coil-fed roll-forming lines.

pub mod diagnostic;
pub mod dialect;
pub mod library;
pub mod member;
pub mod nest;
pub mod program;
pub mod quantity;
pub mod replay;
pub mod sequence;
pub mod tooling;
