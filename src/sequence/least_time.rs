//! The least time of small cases, exactly: where to stop and what to fire there so that moves,
//! settling and strokes take least together. Planning aims at the fewest stops; this says what
//! that costs in time.
//!
//! Without a jerk the time of a move is concave in its length. In a plan of least time the strokes
//! of each stop may keep their stop and the stop may move: the time is concave in its place, so
//! one of the ends of what is open to it is as good. It then stands at an end of a window, or a
//! whole number of least feeds from such an end or from a cut, either way. With a jerk the time
//! is not concave, and every step of every window is tried.
//!
//! To the rounding of move times: less than a nanosecond for each move.

use super::exact::{Company, Halt, Instance, open};
use super::sweep::{Past, Slot, Strokes, Trail, Work};
use crate::library::model::Feed;
use crate::program::move_time;
use crate::quantity::{Length, Time};
use std::collections::{BTreeMap, BTreeSet};

/// How the strip moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pace {
    /// Limits and settling.
    pub feed: Feed,
    /// Length of a step.
    pub increment: Length,
    /// Where it stands at first: no stop or cut is before.
    pub start: i64,
}

/// What was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Timed {
    /// The least time of moves, settling and strokes, and a plan that takes it.
    Least(Time, Vec<Halt>),
    /// There is no plan.
    Impossible,
    /// The work was spent before the end.
    Unknown,
}

/// Finds the least time with at most about `work` steps of search.
pub fn least_time(instance: &Instance, pace: &Pace, work: u64) -> Timed {
    let mut sweep = Sweep { instance, pace, work: Work(work), trail: Trail::default() };
    match sweep.run() {
        Some(Some((time, plan))) => Timed::Least(time, plan),
        Some(None) => Timed::Impossible,
        None => Timed::Unknown,
    }
}

#[derive(Clone, Copy)]
struct State {
    /// Bits of the strokes now due that have fired, by their slots.
    fired: u128,
    time: Time,
    last: i64,
    /// Whether the last was a cut, or the start: the next cut may be near.
    cut: bool,
    /// Whether it has stood anywhere yet.
    node: Option<u32>,
}

impl Past for State {
    fn fired(&mut self) -> &mut u128 {
        &mut self.fired
    }
}

struct Sweep<'a> {
    instance: &'a Instance,
    pace: &'a Pace,
    work: Work,
    trail: Trail,
}

impl Sweep<'_> {
    fn run(&mut self) -> Option<Option<(Time, Vec<Halt>)>> {
        let Some(mut strokes) = Strokes::of(self.instance) else { return Some(None) };
        let start =
            State { fired: 0, time: Time::ZERO, last: self.pace.start, cut: true, node: None };
        let mut states = vec![start];
        for at in self.places()? {
            if !strokes.go_to(at, &mut states)? {
                return Some(None);
            }
            states = self.step(&states, &strokes.due, at)?;
        }
        let best = strokes.whole(states).into_iter().min_by_key(|state| state.time);
        Some(best.map(|state| (state.time, self.trail.back_from(state.node))))
    }

    /// Cuts, and every place worth a stop.
    fn places(&mut self) -> Option<BTreeSet<i64>> {
        let feed = self.instance.least_feed.max(1);
        let start = self.pace.start;
        let ways: Vec<(i64, i64)> =
            self.instance.strokes.iter().flatten().map(|w| (w.lo.max(start), w.hi)).collect();
        let mut places: BTreeSet<i64> = self.instance.cuts.iter().copied().collect();
        if self.pace.feed.jerk.is_some() {
            for (lo, hi) in ways {
                for at in lo..=hi {
                    self.work.spend(1)?;
                    places.insert(at);
                }
            }
            return Some(places);
        }
        let mut ends = places.clone();
        ends.extend(ways.iter().flat_map(|&(lo, hi)| [lo, hi]));
        ends.insert(start);
        // No more stops in a chain than there are strokes.
        let most = i64::try_from(self.instance.strokes.len()).unwrap_or(i64::MAX);
        for end in ends {
            for n in -most..=most {
                self.work.spend(1)?;
                let at = end.saturating_add(n.saturating_mul(feed));
                if ways.iter().any(|&(lo, hi)| lo <= at && at <= hi) {
                    places.insert(at);
                }
            }
        }
        Some(places)
    }

    fn step(&mut self, states: &[State], due: &[Slot], at: i64) -> Option<Vec<State>> {
        let feed = self.instance.least_feed.max(1);
        let is_cut = self.instance.cuts.binary_search(&at).is_ok();
        let companies = self.companies(due, at)?;
        let mut next: Vec<State> = Vec::new();
        for state in states {
            if !is_cut {
                next.push(*state);
            }
            let near = at.saturating_sub(state.last) < feed;
            let start = state.node.is_none();
            if at < state.last || (near && !(is_cut && state.cut) && !start) {
                continue;
            }
            let moved = at != state.last;
            let length = self.pace.increment.times(at - state.last);
            let settle = if moved { self.pace.feed.settle } else { Time::ZERO };
            let arrived = state.time + move_time(&self.pace.feed, length) + settle;
            for (&fired, (slowest, company)) in &companies {
                if fired & state.fired != 0 || (!is_cut && fired == 0) {
                    continue;
                }
                self.work.spend(1)?;
                let halt = Halt { at, strokes: company.strokes.clone(), cut: is_cut };
                let node = self.trail.push(state.node, halt);
                next.push(State {
                    fired: state.fired | fired,
                    time: arrived + *slowest,
                    last: at,
                    cut: is_cut,
                    node: Some(node),
                });
            }
        }
        self.prune(next)
    }

    /// Every set of strokes that may share a stop here, each with the ways that are over soonest.
    fn companies(&mut self, due: &[Slot], at: i64) -> Option<BTreeMap<u128, (Time, Company)>> {
        let mut all: BTreeMap<u128, (Time, Company)> = BTreeMap::new();
        let mut open_ends = vec![(0_u128, Time::ZERO, Company::default(), due)];
        while let Some((mask, slowest, company, rest)) = open_ends.pop() {
            self.work.spend(1)?;
            let Some((slot, rest)) = rest.split_first() else {
                match all.get(&mask) {
                    Some((time, _)) if *time <= slowest => {}
                    _ => {
                        all.insert(mask, (slowest, company));
                    }
                }
                continue;
            };
            for (i, way) in open(self.instance, slot.stroke, at) {
                if company.takes(self.instance, way) {
                    let more = company.with(slot.stroke, i, way);
                    open_ends.push((mask | 1 << slot.bit, slowest.max(way.time), more, rest));
                }
            }
            open_ends.push((mask, slowest, company, rest));
        }
        Some(all)
    }

    /// Leaves out pasts that another one, standing in the same place, is as good as.
    fn prune(&mut self, mut states: Vec<State>) -> Option<Vec<State>> {
        let key = |s: &State| (s.last, s.node.is_some());
        states.sort_by_key(|s| (key(s), s.time, std::cmp::Reverse(s.fired.count_ones()), s.fired));
        let mut kept: Vec<State> = Vec::new();
        for state in states {
            self.work.spend(kept.len() + 1)?;
            let beaten = kept
                .iter()
                .any(|other| key(other) == key(&state) && other.fired & state.fired == state.fired);
            if !beaten {
                kept.push(state);
            }
        }
        Some(kept)
    }
}
