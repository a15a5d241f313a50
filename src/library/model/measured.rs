use crate::member::model::{End, Faces};
use crate::quantity::{Length, Rational, Span};
use std::sync::Arc;

/// What was taped on the first pieces off.
#[derive(Clone, Debug)]
pub struct Measured {
    /// The output folder the line ran, as the file names it, and where.
    pub output: (Arc<str>, Span),
    /// When it was taped: text from the file, `2026-11-26`.
    pub date: (Arc<str>, Span),
    /// Who did.
    pub by: Arc<str>,
    /// How well the tape is read.
    pub tape: Tape,
    /// The pieces; none where only the rest of a run is to be compiled.
    pub pieces: Vec<TapedPiece>,
    /// How far the run has come, where the rest of it is to be compiled. Where a log says it,
    /// `after` is 0 until the log is read, unless the file says it too.
    pub halt: Option<Halt>,
    /// The controller's log that says how far the run has come.
    pub log: Option<LogNamed>,
}

/// A controller's log, as a file or a command names it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogNamed {
    /// Its files, in the order they were written.
    pub files: Vec<(Arc<str>, Option<Span>)>,
    /// The description it is read by.
    pub read_as: (Arc<str>, Option<Span>),
    /// What the file says itself of the last good piece, and where.
    pub after: Option<(u32, Span)>,
}

/// How far a run has come, in the operator's words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Halt {
    /// The last good piece on the run-out table.
    pub after: u32,
    /// Whether the strip stands right after its cut, and nothing has moved or fired since: said
    /// by somebody. Otherwise the position is lost.
    pub kept: bool,
    /// Whether pieces that are begun are finished by the old program; otherwise scrapped.
    pub finish: bool,
    /// Pieces cut that are no good: made again under new serials.
    pub again: Vec<u32>,
    /// What was measured to be left of the coil, if it was.
    pub left: Option<Length>,
    /// Where this is written.
    pub span: Span,
}

/// How well a tape is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Tape {
    /// How far a reading may be off, at `coverage`.
    pub uncertainty: Length,
    /// How many standard uncertainties that is: 1 to 3.
    pub coverage: Rational,
}

impl Tape {
    /// Half a millimetre, 19 readings of 20: what a file that taped nothing need not say.
    pub const USUAL: Tape =
        Tape { uncertainty: Length::from_um(500), coverage: Rational::whole(2) };
}

/// One piece with its readings.
#[derive(Clone, Debug)]
pub struct TapedPiece {
    /// Which piece.
    pub name: PieceName,
    /// Its length over all, and where that is written.
    pub length: Option<(Length, Span)>,
    /// Its features.
    pub features: Vec<TapedFeature>,
    /// Where it is written.
    pub span: Span,
}

/// How a piece is named.
#[derive(Clone, Debug)]
pub enum PieceName {
    /// By its number.
    Serial(u32),
    /// By what the drawing calls it; its job only where two jobs have such a frame.
    Member {
        /// Job, if written.
        job: Option<Arc<str>>,
        /// Frame.
        frame: Arc<str>,
        /// Which copy of the frame, from 1.
        copy: u32,
        /// Mark.
        mark: Arc<str>,
    },
}

/// Which of a piece's features of one type.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Which {
    /// The one nearest the start.
    First,
    /// The one nearest the end.
    Last,
    /// The one drawn here, counted as the reading is.
    Drawn(Length),
}

/// To which point of a feature the tape was read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Edge {
    /// Its centre.
    Centre,
    /// The edge nearer to the end the tape hangs from.
    Near,
    /// The edge away from it.
    Far,
}

/// One reading of a feature.
#[derive(Clone, Debug)]
pub struct TapedFeature {
    /// The feature's type, and where it is written.
    pub kind: (Arc<str>, Span),
    /// Faces it may be on; all when none were written.
    pub faces: Faces,
    /// Where across the face it is, if written.
    pub across: Option<Length>,
    /// Which of its type.
    pub which: Which,
    /// The end of the member that the tape hangs from.
    pub from: End,
    /// To which point; `None` when not written.
    pub to: Option<Edge>,
    /// What the tape reads.
    pub at: Length,
    /// Where that is written.
    pub span: Span,
}
