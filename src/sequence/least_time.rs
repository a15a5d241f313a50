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

use super::exact::{Company, Halt, Instance, Slot, index, open, span};
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
    let mut sweep = Sweep { instance, pace, work, arena: Vec::new() };
    match sweep.run() {
        Some(Some((time, plan))) => Timed::Least(time, plan),
        Some(None) => Timed::Impossible,
        None => Timed::Unknown,
    }
}

struct Node {
    before: Option<u32>,
    halt: Halt,
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

struct Sweep<'a> {
    instance: &'a Instance,
    pace: &'a Pace,
    work: u64,
    arena: Vec<Node>,
}

impl Sweep<'_> {
    fn spend(&mut self, work: usize) -> Option<()> {
        self.work = self.work.checked_sub(u64::try_from(work).unwrap_or(u64::MAX))?;
        Some(())
    }

    fn run(&mut self) -> Option<Option<(Time, Vec<Halt>)>> {
        let spans: Vec<(i64, i64)> = self.instance.strokes.iter().map(|ways| span(ways)).collect();
        if spans.iter().any(|(lo, hi)| lo > hi) {
            return Some(None);
        }
        let mut coming: Vec<u32> = (0..spans.len()).map(index).collect();
        coming.sort_by_key(|&i| spans.get(i as usize).map(|s| (s.0, s.1)));
        let mut coming = coming.into_iter().peekable();
        let of = |i: u32| spans.get(i as usize).copied().unwrap_or((i64::MAX, i64::MIN));
        let mut due: Vec<Slot> = Vec::new();
        let start =
            State { fired: 0, time: Time::ZERO, last: self.pace.start, cut: true, node: None };
        let mut states = vec![start];
        for at in self.places()? {
            for slot in due.extract_if(.., |slot| of(slot.stroke).1 < at) {
                states.retain(|state| state.fired >> slot.bit & 1 == 1);
                for state in &mut states {
                    state.fired &= !(1 << slot.bit);
                }
            }
            while let Some(stroke) = coming.next_if(|&i| of(i).0 <= at) {
                if of(stroke).1 < at {
                    return Some(None);
                }
                let bit = (0..128).find(|bit| due.iter().all(|slot| slot.bit != *bit))?;
                due.push(Slot { bit, stroke });
            }
            states = self.step(&states, &due, at)?;
        }
        let all = due.iter().fold(0_u128, |all, slot| all | 1 << slot.bit);
        if coming.peek().is_some() {
            return Some(None);
        }
        let best = states.into_iter().filter(|s| s.fired == all).min_by_key(|s| s.time);
        Some(best.map(|state| (state.time, self.unwind(state.node))))
    }

    fn unwind(&self, mut node: Option<u32>) -> Vec<Halt> {
        let mut plan = Vec::new();
        while let Some(here) = node.and_then(|i| self.arena.get(i as usize)) {
            plan.push(here.halt.clone());
            node = here.before;
        }
        plan.reverse();
        plan
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
                    self.spend(1)?;
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
                self.spend(1)?;
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
                self.spend(1)?;
                let halt = Halt { at, strokes: company.strokes.clone(), cut: is_cut };
                let node = index(self.arena.len());
                self.arena.push(Node { before: state.node, halt });
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
            self.spend(1)?;
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
            self.spend(kept.len() + 1)?;
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
