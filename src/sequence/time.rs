//! How long a program takes on its line.

use crate::library::model::Line;
use crate::program::{Event, Program, move_time};
use crate::quantity::{Advance, Time};

/// Machine time of one run, by cause.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct TimeBreakdown {
    /// Strip moving.
    pub moves: Time,
    /// Coming to rest.
    pub settle: Time,
    /// Tools firing, the slowest of each phase.
    pub strokes: Time,
    /// Shear.
    pub cuts: Time,
    /// Clearing pieces from the run-out.
    pub unloading: Time,
    /// Threading the coil.
    pub coil_change: Time,
    /// Setting the line up for the profile.
    pub set_up: Time,
}

impl TimeBreakdown {
    /// All of it.
    pub fn total(&self) -> Time {
        self.moves
            + self.settle
            + self.strokes
            + self.cuts
            + self.unloading
            + self.coil_change
            + self.set_up
    }
    /// Sum of two.
    #[must_use]
    pub fn plus(&self, other: &TimeBreakdown) -> TimeBreakdown {
        TimeBreakdown {
            moves: self.moves + other.moves,
            settle: self.settle + other.settle,
            strokes: self.strokes + other.strokes,
            cuts: self.cuts + other.cuts,
            unloading: self.unloading + other.unloading,
            coil_change: self.coil_change + other.coil_change,
            set_up: self.set_up + other.set_up,
        }
    }
}

/// Time of a program, its moves rest to rest between standstills, from where the strip is threaded
/// to; thread-up and set-up apart.
pub fn time_of(line: &Line, program: &Program) -> TimeBreakdown {
    let mut time = TimeBreakdown::default();
    let mut stood = if program.warm { Advance::ZERO } else { Advance::at(line.head.first_advance) };
    for event in &program.events {
        let at = match event {
            Event::Mark { .. } => continue,
            Event::Stop { at, .. } | Event::Cut { at, .. } => *at,
        };
        if at != stood {
            time.moves += move_time(&line.feed, at - stood);
            time.settle += line.feed.settle;
            stood = at;
        }
        match event {
            Event::Stop { strokes, .. } => {
                let mut phase = None;
                let mut slowest = Time::ZERO;
                for stroke in strokes {
                    if phase != Some(stroke.phase) {
                        time.strokes += slowest;
                        slowest = Time::ZERO;
                        phase = Some(stroke.phase);
                    }
                    slowest = slowest.max(line.tool(stroke.tool).map_or(Time::ZERO, |t| t.time));
                }
                time.strokes += slowest;
            }
            Event::Cut { piece, .. } => {
                time.cuts += line.shear.time;
                if piece.is_some() {
                    time.unloading += line.unloading;
                }
            }
            Event::Mark { .. } => {}
        }
    }
    time
}
