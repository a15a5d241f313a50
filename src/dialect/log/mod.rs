//! What a controller writes while it runs: lines of a log, read by a description of their own.
//!
//! [`LogReader::prove`] shows that each line is read in one way only: what lines begin with tells
//! them apart, and every value ends where it is seen to. [`follow`] holds what the log says
//! against the programs that were to be run: it is believed as far as it agrees with them, and
//! the first line that does not is told.

mod follow;
mod prove;
mod read;

pub use follow::{Given, Logged, follow};

use super::number::Number;
use super::text::Text;
use crate::library::model::{Characters, Happening, LogField};
use crate::quantity::{Length, Span};
use std::sync::Arc;

/// A description of a log that is proved to be read in one way only.
#[derive(Clone, Debug)]
pub struct LogReader {
    name: Arc<str>,
    characters: Characters,
    before: Vec<Step>,
    lines: Vec<(Happening, Vec<Step>)>,
    ignored: Vec<Arc<str>>,
}

#[derive(Clone, Debug)]
enum Step {
    Literal(Arc<str>),
    Number(LogField, Number),
    /// The program's id, or its file.
    Text(LogField, Box<Text>),
    Skip(usize),
    SkipTo(Arc<str>),
}

/// One line of a log.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Entry {
    /// What it tells.
    pub happening: Happening,
    /// The program that was started or is over, if it says which.
    pub program: Option<Arc<str>>,
    /// The file of it, if it says which.
    pub file: Option<Arc<str>>,
    /// The piece, if it says which.
    pub serial: Option<u32>,
    /// How many pieces the run has made, if it says so.
    pub made: Option<u32>,
    /// Where the strip stood, if it says so.
    pub at: Option<Place>,
    /// Where it stands.
    pub span: Span,
}

/// An advance as a log writes it: rounded, often more coarsely than the line stops.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    /// What is written.
    pub at: Length,
    /// The value of its last decimal.
    pub step: Length,
}

impl Place {
    /// Whether an advance may be written so: it is off by less than a last decimal, rounded or
    /// cut off.
    pub fn may_be(self, exact: Length) -> bool {
        (self.at - exact).abs() < self.step.max(Length::from_nm(1))
    }
}

impl LogReader {
    /// The description's name.
    pub fn name(&self) -> &Arc<str> {
        &self.name
    }
    /// Whether a line of the log would tell this.
    pub fn tells(&self, happening: Happening) -> bool {
        self.lines.iter().any(|(had, _)| *had == happening)
    }
}
