//! The command line: the only room (with the ledger) that touches files, clock, environment and
//! signals. It reads, hands values to the pure rooms, and writes what they give back: products to
//! stdout or into a folder, findings and progress to stderr.
//!
//! Each command has a file of its own with the table of its options and one `run`.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "somebody has to touch the world: this room, so that no other needs to"
)]

mod args;
mod bounds;
mod carry;
mod choices;
mod commands;
mod console;
mod cutting;
mod difference;
mod disk;
mod examples;
mod exit;
mod folder;
mod fresh;
mod halted;
mod imported;
mod inches;
mod interrupt;
mod judged;
mod listed;
mod log;
mod manifest;
mod members;
mod output;
mod papers;
mod planned;
mod progress;
mod rest;
mod shop;
mod starter;
mod survey;
mod told;

use clap::Parser;
use std::process::ExitCode;

/// Everything the commands share: how to speak, and whether to stop.
#[derive(Debug)]
struct Session {
    console: console::Console,
    interrupt: interrupt::Interrupt,
    threads: usize,
}

/// Runs the command that the process was started with.
pub fn main() -> ExitCode {
    let args = match args::Coilwright::try_parse() {
        Ok(args) => args,
        Err(error) => {
            // Help and version are a product and end clean; clap says so by its own code.
            let _reader_gone = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let session = Session {
        console: console::Console::new(&args.global),
        interrupt: interrupt::Interrupt::listen(),
        threads: args.global.threads,
    };
    args.command.run(&session).into()
}
