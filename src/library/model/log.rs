use super::dialect::{Characters, NumberFormat, TextFormat, Written};
use crate::quantity::Span;
use std::fmt;
use std::sync::Arc;

/// How one controller writes its log, a line each time something happens.
///
/// A description, not yet a promise: `dialect::LogReader` proves that each line is read in one
/// way only.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogFormat {
    /// Its name.
    pub name: Arc<str>,
    /// Characters a log may hold.
    pub characters: Characters,
    /// How numbers are written.
    pub numbers: Vec<NumberFormat>,
    /// How texts are written.
    pub texts: Vec<TextFormat>,
    /// What each line begins with, such as a time of day.
    pub before: Vec<LogPart>,
    /// What is written when.
    pub lines: Vec<(Happening, Vec<LogPart>, Span)>,
    /// How lines begin that say nothing about what was made.
    pub ignored: Vec<(Arc<str>, Span)>,
    /// Where it is described.
    pub span: Span,
}

/// What a line of a log tells.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Happening {
    /// A program was started, from its beginning.
    Started,
    /// A piece dropped.
    Piece,
    /// Scrap dropped. Where no line tells it, scrap leaves no trace in the log.
    Scrap,
    /// A piece that had dropped was found to be no good.
    Rejected,
    /// The strip came to rest, and nothing goes on by itself.
    Stopped,
    /// The program was over.
    Ended,
}

impl Happening {
    /// All of them.
    pub const ALL: [Happening; 6] = [
        Happening::Started,
        Happening::Piece,
        Happening::Scrap,
        Happening::Rejected,
        Happening::Stopped,
        Happening::Ended,
    ];
    /// Its name in a description.
    pub const fn word(self) -> &'static str {
        match self {
            Happening::Started => "started",
            Happening::Piece => "piece",
            Happening::Scrap => "scrap",
            Happening::Rejected => "rejected",
            Happening::Stopped => "stopped",
            Happening::Ended => "ended",
        }
    }
    /// Whether its line may hold this field.
    pub const fn takes(self, field: LogField) -> bool {
        match field {
            LogField::Program | LogField::File => {
                matches!(self, Happening::Started | Happening::Ended)
            }
            LogField::Serial => matches!(self, Happening::Piece | Happening::Rejected),
            LogField::Made => {
                matches!(self, Happening::Piece | Happening::Stopped | Happening::Ended)
            }
            LogField::At => {
                matches!(self, Happening::Piece | Happening::Scrap | Happening::Stopped)
            }
        }
    }
    /// Fields without one of which nothing can be made of its line.
    pub const fn needs(self) -> &'static [LogField] {
        match self {
            Happening::Started => &[LogField::Program, LogField::File],
            Happening::Rejected => &[LogField::Serial],
            Happening::Piece | Happening::Scrap | Happening::Stopped | Happening::Ended => &[],
        }
    }
}

impl fmt::Display for Happening {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A value that a line of a log holds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum LogField {
    /// Identity of the program; of a run that lies in several files, that of the file's own.
    Program,
    /// Name of the program's file, with its ending or without.
    File,
    /// Serial of the piece.
    Serial,
    /// How many pieces this run has made by now.
    Made,
    /// Advance.
    At,
}

impl LogField {
    /// All of them.
    pub const ALL: [LogField; 5] =
        [LogField::Program, LogField::File, LogField::Serial, LogField::Made, LogField::At];
    /// Its name in a description.
    pub const fn word(self) -> &'static str {
        match self {
            LogField::Program => "program",
            LogField::File => "file",
            LogField::Serial => "serial",
            LogField::Made => "made",
            LogField::At => "at",
        }
    }
}

impl fmt::Display for LogField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// One part of a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum LogPart {
    /// Text that stands there always.
    Literal {
        /// The text.
        text: Arc<str>,
        /// Where it is described.
        span: Span,
    },
    /// A value.
    Field {
        /// Which.
        field: LogField,
        /// As a number or as a text.
        written: Written,
        /// Where it is described.
        span: Span,
    },
    /// So many characters of no interest.
    Skip {
        /// How many.
        characters: usize,
        /// Where it is described.
        span: Span,
    },
    /// Whatever stands before this text, and the text; with an empty one the rest of the line.
    SkipTo {
        /// The text.
        text: Arc<str>,
        /// Where it is described.
        span: Span,
    },
}
