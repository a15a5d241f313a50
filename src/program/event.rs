use crate::library::model::{Slope, ToolId};
use crate::quantity::{Advance, Length};
use std::fmt;
use std::sync::Arc;

/// Number of a piece, unique in its batch, used once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Serial(pub u32);

impl fmt::Display for Serial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// One firing of one tool, in a phase of its stop. Phases fire one after the other without
/// moving; strokes of one phase fire together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Stroke {
    /// Phase, from 0.
    pub phase: u8,
    /// Tool.
    pub tool: ToolId,
}

/// Something that happens at an advance.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Event {
    /// The strip stands at `at`; tools fire, in order of phase, then tool.
    Stop {
        /// Where.
        at: Advance,
        /// What fires; never empty, sorted.
        strokes: Vec<Stroke>,
    },
    /// The strip stands at `at` and the shear cuts. Strokes at the same advance come in a `Stop`
    /// just before: one standstill.
    Cut {
        /// Where.
        at: Advance,
        /// The piece that drops; `None` for scrap.
        piece: Option<Serial>,
        /// How the blade is turned: it crosses the middle of the web at `at`.
        slope: Slope,
    },
    /// The marker begins to print at `at`, while the strip moves on.
    Mark {
        /// Where the text begins.
        at: Advance,
        /// What is printed.
        text: Arc<str>,
    },
}

impl Event {
    /// The advance at which it happens.
    pub const fn at(&self) -> Advance {
        match self {
            Event::Stop { at, .. } | Event::Cut { at, .. } | Event::Mark { at, .. } => *at,
        }
    }

    /// The same event so much further on.
    pub fn moved(&self, by: Length) -> Event {
        let mut event = self.clone();
        match &mut event {
            Event::Stop { at, .. } | Event::Cut { at, .. } | Event::Mark { at, .. } => {
                *at = Advance::at(at.distance() + by);
            }
        }
        event
    }
}

/// The events of one run: ordered members on one coil after one thread-up.
///
/// Thread-up is the program's beginning and its end is the end of the events; both are records
/// of their own in a dialect. Advances never fall. Advance 0 has the strip's leading edge at the
/// shear.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Program {
    /// Identity, unique among a batch's programs: on the run sheet and in the file.
    pub id: Arc<str>,
    /// Batch it belongs to.
    pub batch: Arc<str>,
    /// Line it is for.
    pub line: Arc<str>,
    /// Profile it makes.
    pub profile: Arc<str>,
    /// Coil it runs on.
    pub coil: Arc<str>,
    /// Whether the strip is already threaded, with a clean cut at the shear.
    pub warm: bool,
    /// What happens, in order.
    pub events: Vec<Event>,
    /// Advance at the end: at or past the last event.
    pub end: Advance,
}
