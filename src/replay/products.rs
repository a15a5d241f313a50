use super::Situation;
use super::clock::MachineTime;
use super::machine::Fitted;
use crate::library::model::{Line, Slope, ToolId};
use crate::member::model::ProfileId;
use crate::program::{Serial, StripAccount};
use crate::quantity::{Advance, Length, Span, Strip};
use std::ops::Range;
use std::sync::Arc;

/// A stroke that touches a piece, if only when the line is as far off as it may be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Swept {
    /// By which tool.
    pub tool: ToolId,
    /// Index of its event.
    pub event: usize,
    /// Its reference point, from the piece's long point at the start, on the strip; for a straddling tool the
    /// cut it was meant for, otherwise the centre of its mark.
    pub at: Length,
}

/// A text printed on a piece.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Text {
    /// What.
    pub text: Arc<str>,
    /// Index of its event.
    pub event: usize,
    /// Where it begins, from the piece's start, its short point, on the strip.
    pub at: Length,
}

/// What a cut dropped.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Piece {
    /// The piece the program says it is; `None` for scrap.
    pub serial: Option<Serial>,
    /// Where it begins on the strip, along the middle of the web.
    pub start: Strip,
    /// Where it was cut off, along the middle of the web.
    pub cut: Strip,
    /// Slopes of the cuts it begins and ends at.
    pub slopes: (Slope, Slope),
    /// From its long point at the start to that at the end.
    pub long: (Strip, Strip),
    /// From its short point at the start to that at the end: whole steel lies between.
    pub short: (Strip, Strip),
    /// Index of the cutting event.
    pub event: usize,
    /// Its strokes, in [`Products::swept`].
    pub swept: Range<usize>,
    /// Its printed texts with their events, in [`Products::texts`].
    pub texts: Range<usize>,
}

/// Everything that came off, with the books of the strip and the clock.
#[derive(Clone, Debug)]
pub struct Products<'a> {
    /// Pieces and scrap, in the order they dropped.
    pub pieces: Vec<Piece>,
    /// Strokes of all pieces.
    pub swept: Vec<Swept>,
    /// Texts of all pieces.
    pub texts: Vec<Text>,
    /// Where the strip went.
    pub account: StripAccount,
    /// How far the strip that is left bears strokes or print, the line as far off as it may be:
    /// its edge or before where it bears none.
    pub marked: Strip,
    /// Machine time.
    pub time: MachineTime,
    /// The line it was made on.
    pub line: &'a Line,
    /// The profile it was rolled in.
    pub profile: ProfileId,
    /// Flat strip per finished length, parts per 10⁹ over 1.
    pub factor: i64,
    /// The first advance at which anything can be printed.
    pub(super) start: Advance,
    pub(super) tools: Vec<Fitted>,
    pub(super) spans: Option<&'a [Span]>,
}

impl<'a> Products<'a> {
    /// Before anything came off.
    pub(super) fn empty(spans: Option<&'a [Span]>, situation: &Situation<'a>) -> Products<'a> {
        let strip = situation.coil.length;
        Products {
            pieces: Vec::new(),
            swept: Vec::new(),
            texts: Vec::new(),
            account: StripAccount { strip, remnant: strip, ..StripAccount::default() },
            marked: Strip::ZERO,
            time: MachineTime::default(),
            line: situation.line,
            profile: situation.profile,
            factor: situation.calibration.strip_factor(situation.profile),
            start: Advance::ZERO,
            tools: Vec::new(),
            spans,
        }
    }
    /// The strokes of one piece.
    pub fn swept_on(&self, piece: &Piece) -> &[Swept] {
        self.swept.get(piece.swept.clone()).unwrap_or_default()
    }
    /// The texts on one piece.
    pub fn texts_on(&self, piece: &Piece) -> &[Text] {
        self.texts.get(piece.texts.clone()).unwrap_or_default()
    }
}
