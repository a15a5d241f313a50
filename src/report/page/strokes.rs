//! A run's standstills packed in rows: how far the strip goes, how long that takes, what happens.

use crate::library::model::Line;
use crate::plan::{Plan, Run};
use crate::program::Event;
use crate::quantity::{Time, common_divisor};
use serde::Serialize;

/// Nanoseconds in the page's unit of time.
const TICK_NS: i64 = 100_000;

/// One run.
#[derive(Serialize)]
pub struct PackedRun {
    /// For each piece: serial, member, copy, 1 where turned + 2 where its mark is printed, shape,
    /// tools, start and cut in nanometres.
    pub rows: Vec<i64>,
    /// For each event the strip stands for: steps from the last, ticks of the move with coming to
    /// rest, ticks of standing, four times the strokes + what it is (0 a stop, 1 a cut that drops a
    /// piece, 2 one that drops scrap, 3 a stamp), and for each stroke sixteen times the tool +
    /// the phase.
    pub beats: Vec<i64>,
    /// Set-up and coil change before it.
    pub before_ns: i64,
}

/// The largest length that all advances are whole multiples of.
pub fn common_measure(plan: &Plan) -> i64 {
    let advances = plan.runs.iter().flat_map(|run| &run.program.events).map(|event| event.at());
    advances.fold(0, |measure, at| common_divisor(measure, at.distance().nm())).max(1)
}

/// The standstills of a run. Times are rounded where they lie on the clock, so that none drifts.
pub fn beats(line: &Line, run: &Run, step_nm: i64) -> Vec<i64> {
    let ticks = |time: Time| time.ns() / TICK_NS;
    let mut beats = Vec::new();
    let mut stood = 0;
    for moment in run.moments(line) {
        let Some(event) = run.program.events.get(moment.event) else { continue };
        let at = event.at().distance().nm() / step_nm.max(1);
        let (kind, strokes) = match event {
            Event::Stop { strokes, .. } => (0, strokes.as_slice()),
            Event::Cut { piece: Some(_), .. } => (1, &[][..]),
            Event::Cut { piece: None, .. } => (2, &[][..]),
            Event::Mark { .. } => (3, &[][..]),
        };
        let count = i64::try_from(strokes.len()).unwrap_or(0);
        beats.extend([
            at - stood,
            ticks(moment.stands) - ticks(moment.leaves),
            ticks(moment.done) - ticks(moment.stands),
            4 * count + kind,
        ]);
        let phase = |phase: u8| i64::from(phase.min(15));
        beats.extend(strokes.iter().map(|s| 16 * i64::from(s.tool.0) + phase(s.phase)));
        stood = at;
    }
    beats
}
