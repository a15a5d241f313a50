//! The command line from outside: the program is started as a user starts it, on a small shop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

#[path = "cli/bad_input.rs"]
mod bad_input;
#[path = "cli/bad_members.rs"]
mod bad_members;
#[path = "cli/bounds.rs"]
mod bounds;
#[path = "cli/compare.rs"]
mod compare;
#[path = "cli/config.rs"]
mod config;
#[path = "cli/cut.rs"]
mod cut;
#[path = "cli/dialect.rs"]
mod dialect;
#[path = "cli/drawings.rs"]
mod drawings;
#[path = "cli/estimate.rs"]
mod estimate;
#[path = "cli/exchange.rs"]
mod exchange;
#[path = "cli/files.rs"]
mod files;
#[path = "cli/first_off.rs"]
mod first_off;
#[path = "cli/fmt.rs"]
mod fmt;
#[path = "cli/labels.rs"]
mod labels;
#[path = "cli/log.rs"]
mod log;
#[path = "cli/new.rs"]
mod new;
#[path = "cli/output.rs"]
mod output;
#[path = "cli/papers.rs"]
mod papers;
#[path = "cli/sarif.rs"]
mod sarif;
#[path = "cli/shop.rs"]
mod shop;
#[path = "cli/speech.rs"]
mod speech;
#[path = "cli/stop.rs"]
mod stop;
#[path = "cli/verify.rs"]
mod verify;
#[path = "cli/what_if.rs"]
mod what_if;
