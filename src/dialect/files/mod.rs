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

/// The identity of part `number`, from 1, of a program that is split.
fn part_id(id: &str, number: usize) -> Arc<str> {
    format!("{id}.{number}").into()
}
