//! The shop's library: what TOML describes. [`model`] holds the values; the files beside it read
//! them, one file a kind, each mistake located at its line.

mod batch;
mod calibration;
mod common;
mod dialect;
mod done;
mod feature;
pub mod formula;
mod label;
mod line;
mod load;
mod measured;
pub mod model;
mod profile;
pub mod reading;
pub mod rewrite;
mod rule;
mod schema;
mod settings;
mod shelf;
mod stock;

pub use batch::MARK_TEXT;
pub(crate) use common::Face;
pub use dialect::{load_dialect, load_log_format, name_types, read_dialect, read_log_format};
pub use label::{load_labels, plain_layout};
pub use load::{Loaded, load_batch, load_library, load_line, load_stock};
pub use measured::load_measured;
pub use schema::{KINDS, of as schema_of, schema};
pub use settings::{Setting, settings};
pub use shelf::{SHIPPED, Shipped};
