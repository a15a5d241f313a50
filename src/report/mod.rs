//! What a plan comes to, for people and for scripts: one model ([`model`]), one file per format.
//!
//! Every figure is taken from the plan's own accounts; nothing is computed twice. Outputs carry
//! no dates, seconds of the clock or paths of a machine: the same plan gives the same bytes.

mod allot;
mod bars;
pub mod bounds;
pub mod continues;
mod csv;
pub mod drawing;
mod drops;
pub mod json;
pub mod labels;
mod made_by;
pub mod mark_table;
mod markdown;
pub mod model;
mod origin;
pub mod page;
pub mod papers;
pub mod pdf;
pub mod preview;
pub mod preview_text;
mod profiles;
pub mod run_sheet;
pub mod schedule;
pub mod sheet;
pub mod units;
mod unrolled;
pub mod what_if;
pub mod what_if_text;
pub mod words;

pub use bars::BarReport;
pub use bounds::BoundReport;
pub use drops::DropReport;
pub use model::{Report, Source, in_folder};
pub use origin::OriginReport;
pub use preview::Preview;
pub use profiles::SetUpReport;
pub use what_if::WhatIf;
