use crate::library::model::{Feed, Line, Press, Shear, Slope};
use crate::program::move_time;
use crate::quantity::{Advance, Time};

/// Machine time of a program, from the strip threaded to the end of the events. Thread-up,
/// set-up and coil changes are not in it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct MachineTime {
    /// Feeding, rest to rest.
    pub moves: Time,
    /// Coming to rest, once for every move that ends in a standstill.
    pub settle: Time,
    /// Strokes: for each phase of a stop its slowest tool, with the wait for presses that have
    /// not recovered.
    pub strokes: Time,
    /// Cuts.
    pub cuts: Time,
    /// Turning the shear from one slope to another, and square again at the end.
    pub slopes: Time,
    /// Clearing good pieces from the run-out.
    pub unloading: Time,
    /// Number of standstills.
    pub standstills: u32,
}

impl MachineTime {
    /// All of it.
    pub fn total(&self) -> Time {
        [self.moves, self.settle, self.strokes, self.cuts, self.slopes, self.unloading]
            .into_iter()
            .fold(Time::ZERO, plus)
    }
}

/// A sum that stays at its most instead of overflowing: a hostile line file may move a
/// micrometre an hour.
fn plus(a: Time, b: Time) -> Time {
    Time::from_ns(a.ns().saturating_add(b.ns()))
}

/// Where the strip stands and how long it took so far.
pub(super) struct Clock<'a> {
    feed: &'a Feed,
    presses: &'a [Press],
    /// When the last stroke of each press ended, if it has struck.
    struck: Vec<Option<Time>>,
    at: Advance,
    standing: bool,
    /// How the shear is turned.
    slope: Slope,
    pub time: MachineTime,
}

impl<'a> Clock<'a> {
    pub(super) fn new(line: &'a Line, start: Advance) -> Clock<'a> {
        Clock {
            feed: &line.feed,
            presses: &line.presses,
            struck: vec![None; line.presses.len()],
            at: start,
            standing: false,
            slope: Slope::SQUARE,
            time: MachineTime::default(),
        }
    }
    /// Comes to rest here; one standstill however many events happen at it.
    pub(super) fn stand(&mut self, at: Advance) {
        if at != self.at {
            self.run_to(at);
            self.time.settle = plus(self.time.settle, self.feed.settle);
            self.standing = false;
        }
        if !self.standing {
            self.standing = true;
            self.time.standstills = self.time.standstills.saturating_add(1);
        }
    }
    /// Feeds on, nothing fires there.
    pub(super) fn run_to(&mut self, at: Advance) {
        self.time.moves = plus(self.time.moves, move_time(self.feed, at - self.at));
        self.at = at;
    }
    /// One phase whose slowest tool takes `slowest`, with strokes of these presses.
    pub(super) fn phase(&mut self, slowest: Time, presses: &[usize]) {
        let now = self.time.total();
        let mut wait = Time::ZERO;
        for &press in presses {
            let (Some(of), Some(&Some(last))) = (self.presses.get(press), self.struck.get(press))
            else {
                continue;
            };
            let rested = now.ns().saturating_sub(last.ns());
            let lacking = of.recovery.ns().saturating_sub(rested).max(0);
            wait = wait.max(Time::from_ns(lacking));
        }
        self.time.strokes = plus(self.time.strokes, plus(wait, slowest));
        let over = self.time.total();
        for &press in presses {
            if let Some(struck) = self.struck.get_mut(press) {
                *struck = Some(over);
            }
        }
    }
    /// Turns the shear, with the strip standing.
    pub(super) fn turn(&mut self, shear: &Shear, to: Slope) {
        if to != self.slope {
            self.slope = to;
            self.time.slopes = plus(self.time.slopes, shear.slope_time);
        }
    }
    pub(super) fn cut(&mut self, shear: &Shear, unloading: Time, good: bool) {
        self.time.cuts = plus(self.time.cuts, shear.time);
        if good {
            self.time.unloading = plus(self.time.unloading, unloading);
        }
    }
}
