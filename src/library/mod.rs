//! The shop's library: what TOML describes. [`model`] holds the values; the files beside it read
//! them, each mistake located at its line.

pub mod model;
pub mod reading;
