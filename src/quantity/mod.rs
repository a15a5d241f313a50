//! Exact quantities, and the places in source text they come from.
//!
//! Everything that decides something is an integer: lengths in nanometres, times in
//! nanoseconds, masses in milligrams. Arithmetic of the member language is exact rational
//! until a value is stored as a length.

mod coordinate;
mod files;
mod length;
mod mass;
mod rational;
mod source;
mod time;

pub use coordinate::{Advance, Finished, Grid, Strip, Window};
pub use files::{Files, MemoryFiles, ReadFault, join};
pub use length::{Length, Tolerance};
pub use mass::{Mass, MassPerLength};
pub use rational::{Rational, common_divisor};
pub use source::{FileId, LineColumn, SourceFile, Sources, Span};
pub use time::Time;
