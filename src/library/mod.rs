//! The shop's library: what TOML describes. [`model`] holds the values; the files beside it read
//! them, each mistake located at its line.

mod dialect;
pub mod model;
pub mod reading;

pub use dialect::{DialectFile, load_dialect, read_dialect};
