//! Coilwright compiles light steel frame members into proved punch-and-cut programs for
//! coil-fed roll-forming lines.

pub mod check;
pub mod cli;
pub mod diagnostic;
pub mod dialect;
pub mod estimate;
pub mod language;
pub mod library;
pub mod member;
pub mod nest;
pub mod plan;
pub mod program;
pub mod quantity;
pub mod replay;
pub mod report;
pub mod sequence;
pub mod tooling;
