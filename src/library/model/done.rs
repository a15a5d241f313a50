use crate::quantity::Span;
use std::sync::Arc;

/// What of a batch need not be made any more.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Done {
    /// The highest serial used before: new pieces count on from there.
    pub last_serial: u32,
    /// Pieces that are made, or that a program before this batch will finish.
    pub pieces: Vec<DonePiece>,
}

/// One such piece.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DonePiece {
    /// Its number.
    pub serial: u32,
    /// Job.
    pub job: Arc<str>,
    /// Frame.
    pub frame: Arc<str>,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Mark.
    pub mark: Arc<str>,
    /// Where it is written.
    pub span: Span,
}
