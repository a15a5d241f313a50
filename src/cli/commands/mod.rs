//! One file per command: its table of options and its `run`.

pub mod check;
pub mod compare;
pub mod compile;
pub mod completions;
pub mod config;
pub mod cut;
pub mod dialect;
pub mod estimate;
pub mod explain;
pub mod export;
pub mod first_off;
pub mod fmt;
pub mod import;
pub mod man;
pub mod new;
pub mod preview;
pub mod schema;
pub mod verify;

use super::exit::Exit;
use clap::CommandFactory;
use clap::error::ErrorKind;

/// A complaint about the command line, in clap's form.
fn usage(kind: ErrorKind, message: &str) -> Exit {
    let error = super::args::Coilwright::command().error(kind, message);
    let _reader_gone = error.print();
    Exit::Outside
}
