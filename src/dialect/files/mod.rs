//! A run as the files it goes to the controller in: how many, what is in each, what each is
//! called; and read as one again.
//!
//! A run that is longer than the controller takes is split at cuts. Each file is a program of its
//! own, with an identity of its own: it begins with the strip threaded right behind the cut that
//! the file before ends with, and its advances count from there. Nothing is lost between two
//! files: read together they are the run again, to the event.

mod join;
mod name;
mod split;

pub use name::clash;

use super::Printed;
use std::sync::Arc;

/// One file of a run.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RunFile {
    /// Identity of the program in it.
    pub id: Arc<str>,
    /// What it is called, without its folder.
    pub name: String,
    /// What is in it.
    pub printed: Printed,
}

/// The number of a file among those of its run.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Part {
    /// From 1.
    number: usize,
    /// As many digits as the last file of the run has: lists in order of names, as most controllers
    /// show them, are then in the order they are run.
    digits: usize,
}

impl Part {
    /// Of a run that is one file.
    const WHOLE: Part = Part { number: 1, digits: 1 };

    /// Of a run of so many files.
    fn of(number: usize, all: usize) -> Part {
        Part { number, digits: all.to_string().len() }
    }
}

impl std::fmt::Display for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:0digits$}", self.number, digits = self.digits)
    }
}

/// The identity of a part of a program that is split.
fn part_id(id: &str, part: Part) -> Arc<str> {
    format!("{id}.{part}").into()
}
