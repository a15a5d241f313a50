//! How long a program takes on its line.

use crate::library::model::{Line, Slope};
use crate::program::{Event, Program, Stroke, move_time};
use crate::quantity::{Advance, Time};

/// Machine time of one run, by cause.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct TimeBreakdown {
    /// Strip moving.
    pub moves: Time,
    /// Coming to rest.
    pub settle: Time,
    /// Tools firing, the slowest of each phase, and waiting for presses to recover.
    pub strokes: Time,
    /// Shear.
    pub cuts: Time,
    /// Turning the shear from one slope to another, and square again at the end.
    pub slopes: Time,
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
            + self.slopes
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
            slopes: self.slopes + other.slopes,
            unloading: self.unloading + other.unloading,
            coil_change: self.coil_change + other.coil_change,
            set_up: self.set_up + other.set_up,
        }
    }
}

/// One event of a program that the strip stands for, on the program's clock.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Moment {
    /// Which event, from 0.
    pub event: usize,
    /// When the strip leaves for it: the end of the one before.
    pub leaves: Time,
    /// When it has come there and to rest; the same where it stands there already.
    pub stands: Time,
    /// When it is done.
    pub done: Time,
}

/// Time of a program, its moves rest to rest between standstills, from where the strip is threaded
/// to; thread-up and set-up apart.
pub fn time_of(line: &Line, program: &Program) -> TimeBreakdown {
    run_through(line, program, &mut |_| {})
}

/// When each event happens that the strip stands for, on the clock of [`time_of`].
pub fn moments(line: &Line, program: &Program) -> Vec<Moment> {
    let mut moments = Vec::with_capacity(program.events.len());
    run_through(line, program, &mut |moment| moments.push(moment));
    moments
}

fn run_through(line: &Line, program: &Program, tell: &mut dyn FnMut(Moment)) -> TimeBreakdown {
    let mut time = TimeBreakdown::default();
    let stamp = line.marker.as_ref().and_then(|marker| marker.stamp);
    let mut presses = Presses { ready: vec![Time::ZERO; line.presses.len()], line };
    let mut stood = if program.warm { Advance::ZERO } else { Advance::at(line.head.first_advance) };
    let mut turned = Slope::SQUARE;
    for (number, event) in program.events.iter().enumerate() {
        let leaves = time.total();
        let at = match event {
            Event::Mark { .. } if stamp.is_none() => continue,
            Event::Mark { at, .. } | Event::Stop { at, .. } | Event::Cut { at, .. } => *at,
        };
        if at != stood {
            time.moves += move_time(&line.feed, at - stood);
            time.settle += line.feed.settle;
            stood = at;
        }
        let stands = time.total();
        match event {
            Event::Stop { strokes, .. } => {
                for phase in strokes.chunk_by(|a, b| a.phase == b.phase) {
                    time.strokes += presses.phase(phase, time.total());
                }
            }
            Event::Cut { piece, slope, .. } => {
                if *slope != turned {
                    time.slopes += line.shear.slope_time;
                    turned = *slope;
                }
                time.cuts += line.shear.time;
                if piece.is_some() {
                    time.unloading += line.unloading;
                }
            }
            Event::Mark { .. } => time.strokes += stamp.map_or(Time::ZERO, |stamp| stamp.time),
        }
        tell(Moment { event: number, leaves, stands, done: time.total() });
    }
    if !turned.is_square() {
        time.slopes += line.shear.slope_time;
    }
    time
}

/// When each press may strike again.
struct Presses<'a> {
    line: &'a Line,
    ready: Vec<Time>,
}

impl Presses<'_> {
    /// How long a phase takes that comes due `now`: its slowest tool, after the last of its
    /// presses has recovered.
    fn phase(&mut self, strokes: &[Stroke], now: Time) -> Time {
        let tools = || strokes.iter().filter_map(|stroke| self.line.tool(stroke.tool));
        let slowest = tools().map(|tool| tool.time).max().unwrap_or(Time::ZERO);
        let driven: Vec<usize> = tools().filter_map(|t| self.line.press_of(t.station)).collect();
        let ready = driven.iter().filter_map(|&press| self.ready.get(press)).max();
        let begins = ready.copied().unwrap_or(Time::ZERO).max(now);
        let ends = begins + slowest;
        for press in driven {
            if let (Some(at), Some(of)) = (self.ready.get_mut(press), self.line.presses.get(press))
            {
                *at = ends + of.recovery;
            }
        }
        Time::from_ns(ends.ns() - now.ns())
    }
}
