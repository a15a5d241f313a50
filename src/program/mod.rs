//! The canonical program: a list of events on one strip. Between planning and text stands this,
//! and only this: planning makes it, dialects print and read it, replay executes it.

mod account;
mod event;
mod motion;

pub use account::StripAccount;
pub use event::{Event, Program, Serial, Stroke};
pub use motion::move_time;
