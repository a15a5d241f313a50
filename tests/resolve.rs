//! From members files to jobs: text in, members out.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::float_arithmetic, missing_docs)]

#[path = "resolve/bad_input.rs"]
mod bad_input;
#[path = "resolve/cases.rs"]
mod cases;
mod fixture;
#[path = "resolve/fixtures.rs"]
mod fixtures;
#[path = "resolve/plain.rs"]
mod plain;
#[path = "resolve/random.rs"]
mod random;
#[path = "resolve/setting.rs"]
mod setting;
