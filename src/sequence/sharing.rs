//! What may share a stop.

use super::stops::Due;
use crate::library::model::{Firing, Line};

/// Whether strokes may join others at a stop: a station fires once there, and where all fire at
/// one moment no two may clash and each press needs the force.
#[derive(Clone, Copy)]
pub(super) struct Sharing<'a> {
    dues: &'a [Due],
    /// The line, where it fires all at once.
    at_once: Option<&'a Line>,
}

impl<'a> Sharing<'a> {
    /// Among these strokes, with stations alone in the way.
    pub(super) fn by_stations(dues: &'a [Due]) -> Sharing<'a> {
        Sharing { dues, at_once: None }
    }
    /// Among these strokes on a line.
    pub(super) fn on(line: &'a Line, dues: &'a [Due]) -> Sharing<'a> {
        Sharing { dues, at_once: Some(line).filter(|line| line.firing == Firing::AtOnce) }
    }
    /// Whether all of these may fire at one stop, none of a group being in the way of its own.
    pub(super) fn may(&self, there: &[u32], joining: &[u32]) -> bool {
        let of = |i: &u32| self.dues.get(*i as usize);
        let free = |new: &Due| {
            there.iter().filter_map(of).all(|old| {
                old.station != new.station
                    && self.at_once.is_none_or(|line| !line.clash(old.tool, new.tool))
            })
        };
        joining.iter().filter_map(of).all(free)
            && self.at_once.is_none_or(|line| {
                let all = || there.iter().chain(joining).filter_map(of);
                (0..line.presses.len()).all(|press| forces_fit(line, press, all()))
            })
    }
}

/// Whether a press has the force for those of these strokes that it drives.
fn forces_fit<'d>(line: &Line, press: usize, dues: impl Iterator<Item = &'d Due>) -> bool {
    let Some(most) = line.presses.get(press).and_then(|press| press.force) else { return true };
    let driven = dues.filter(|due| line.press_of(due.station) == Some(press));
    let force = |due: &Due| line.tool(due.tool).map_or(0, |tool| tool.force);
    driven.fold(0_i64, |sum, due| sum.saturating_add(force(due))) <= most
}
