//! The fewest stops where strokes that share a stop get in each other's way: one stroke per
//! station, at most so many tools, press force and clashes with a single phase, a least feed
//! between stops, and strokes that several stations can make. In this generality NP-hard (bin
//! packing, colouring, vertex cover are special cases), yet few strokes are due at a time: the
//! strip is swept once, and what is kept of the past is which of the strokes now due have fired.
//!
//! Why it is exact. Take a plan with the fewest stops and move each stop, the last first, as late
//! as its strokes, the stop after it and the next cut allow: it then stands at the end of a
//! window, or a whole number of least feeds before such an end or before a cut, with a stop at
//! each of these. Only such places are tried. At a stop it is enough to try sets of strokes to
//! which none can be added: firing a stroke early takes nothing from the rest of the plan. Of two
//! pasts that end here, one with no more stops, no later last stop and no fewer strokes fired is
//! all that need be kept.

use super::sweep::{Past, Slot, Strokes, Trail, Work, mask};
use crate::quantity::Time;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// One way to make a stroke.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Way {
    /// The tool; clashes are between tools.
    pub tool: u16,
    /// Where it is mounted: fires once per stop.
    pub station: u16,
    /// Force it takes of its press.
    pub force: i64,
    /// The press that drives it, among those with a limit.
    pub press: Option<u16>,
    /// Time of the stroke.
    pub time: Time,
    /// First step.
    pub lo: i64,
    /// Last step.
    pub hi: i64,
}

/// Strokes, and what keeps them from sharing a stop.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Instance {
    /// For each stroke the ways to make it: one of them is to be used.
    pub strokes: Vec<Vec<Way>>,
    /// Where the shear cuts anyway: ascending, distinct. Strokes may fire there too.
    pub cuts: Vec<i64>,
    /// Tools that may not fire at one stop.
    pub clashes: Vec<(u16, u16)>,
    /// Most force of each press at one stop.
    pub presses: Vec<i64>,
    /// Most strokes at one stop.
    pub most: usize,
    /// Least steps from a stop to the next stop or cut; 1 or more. Between cuts it is not asked.
    pub least_feed: i64,
}

/// A standstill of a plan.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Halt {
    /// Where.
    pub at: i64,
    /// Strokes with the way each is made, as indices into the instance.
    pub strokes: Vec<(u32, u32)>,
    /// Whether the shear cuts.
    pub cut: bool,
}

/// What was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Found {
    /// A plan with the fewest stops.
    Fewest(Vec<Halt>),
    /// There is no plan.
    Impossible,
    /// The work was spent before the end: a sound plan that may have too many stops.
    Greedy(Vec<Halt>),
    /// The work was spent before the end, and the greedy way found no plan; there may be one.
    Unknown,
}

/// Finds the fewest stops with at most about `work` steps of search, and says so when that was
/// not enough. Then as many steps again go into a sweep that keeps only the best pasts.
pub fn exact(instance: &Instance, work: u64) -> Found {
    let greedy = greedy(instance);
    let extra = |plan: &[Halt]| u32::try_from(plan.iter().filter(|h| !h.cut).count()).ok();
    let below = greedy.as_deref().and_then(extra).unwrap_or(u32::MAX);
    let sweep = |narrow| {
        let trail = Trail::default();
        Sweep { instance, work: Work(work), trail, below, narrow, tried: 0 }.run()
    };
    match (sweep(false), greedy) {
        (Some(Some(plan)), _) | (Some(None), Some(plan)) => Found::Fewest(plan),
        (Some(None), None) => Found::Impossible,
        (None, greedy) => match sweep(true).flatten().or(greedy) {
            Some(plan) => Found::Greedy(plan),
            None => Found::Unknown,
        },
    }
}

/// How many pasts a narrow sweep keeps from one place to the next.
const KEPT: usize = 16;

/// How many sets of strokes a narrow sweep looks at for one stop, once it has one.
const TRIED: u32 = 1_000;

/// Strokes sharing a stop so far.
#[derive(Clone, Default)]
pub(super) struct Company {
    pub(super) ways: Vec<Way>,
    pub(super) strokes: Vec<(u32, u32)>,
}

impl Company {
    pub(super) fn takes(&self, instance: &Instance, way: &Way) -> bool {
        self.ways.len() < instance.most
            && way.press.is_none_or(|press| {
                let same = self.ways.iter().filter(|other| other.press == way.press);
                let taken = same.fold(way.force, |sum, other| sum.saturating_add(other.force));
                instance.presses.get(usize::from(press)).is_none_or(|most| taken <= *most)
            })
            && self.ways.iter().all(|other| {
                let pair = (other.tool, way.tool);
                other.station != way.station
                    && !instance.clashes.iter().any(|&(a, b)| pair == (a, b) || pair == (b, a))
            })
    }
    fn add(&mut self, stroke: u32, index: u32, way: &Way) {
        self.ways.push(*way);
        self.strokes.push((stroke, index));
    }
    pub(super) fn with(&self, stroke: u32, index: u32, way: &Way) -> Company {
        let mut more = self.clone();
        more.add(stroke, index, way);
        more
    }
}

pub(super) fn index(i: usize) -> u32 {
    u32::try_from(i).unwrap_or(u32::MAX)
}

/// The ways of a stroke that are open at a place.
pub(super) fn open(instance: &Instance, stroke: u32, at: i64) -> impl Iterator<Item = (u32, &Way)> {
    let ways = instance.strokes.get(stroke as usize).map_or(&[][..], Vec::as_slice);
    ways.iter()
        .enumerate()
        .filter(move |(_, way)| way.lo <= at && at <= way.hi)
        .map(|(i, way)| (index(i), way))
}

/// First and last step of a stroke over all its ways.
pub(super) fn span(ways: &[Way]) -> (i64, i64) {
    let usable = ways.iter().filter(|way| way.lo <= way.hi);
    usable.fold((i64::MAX, i64::MIN), |(lo, hi), way| (lo.min(way.lo), hi.max(way.hi)))
}

/// Stops as late as the most urgent stroke allows and fires what fits with it, most urgent first.
/// Not exact: what the sweep has to beat, and what is left when its work is spent.
fn greedy(instance: &Instance) -> Option<Vec<Halt>> {
    let feed = instance.least_feed.max(1);
    let spans: Vec<(i64, i64)> = instance.strokes.iter().map(|ways| span(ways)).collect();
    let mut urgent: Vec<u32> = (0..instance.strokes.len()).map(index).collect();
    urgent.sort_by_key(|&i| spans.get(i as usize).map(|s| (s.1, s.0)));
    let mut cuts = instance.cuts.iter().copied().peekable();
    let mut plan: Vec<Halt> = Vec::new();
    let mut free_from = i64::MIN;
    loop {
        let due = urgent.first().and_then(|&i| spans.get(i as usize));
        let cut = cuts.peek().copied();
        let (at, is_cut) = match (due, cut) {
            (None, None) => return Some(plan),
            (Some(due), None) => (due.1, false),
            (None, Some(cut)) => (cut, true),
            (Some(due), Some(cut)) if due.1 >= cut => (cut, true),
            (Some(due), Some(cut)) => (due.1.min(cut.saturating_sub(feed)), false),
        };
        // A cut stands where it stands; what was too near before it is found here.
        if at < free_from && !(is_cut && plan.last().is_none_or(|last| last.cut)) {
            return None;
        }
        let mut company = Company::default();
        urgent.retain(|&i| {
            let way = open(instance, i, at).find(|(_, way)| company.takes(instance, way));
            let Some((index, way)) = way else { return true };
            company.add(i, index, way);
            false
        });
        if !is_cut && company.strokes.is_empty() {
            return None;
        }
        if urgent.iter().any(|&i| spans.get(i as usize).is_none_or(|s| s.1 <= at)) {
            return None;
        }
        if is_cut {
            cuts.next();
        }
        free_from = at.saturating_add(feed);
        plan.push(Halt { at, strokes: company.strokes, cut: is_cut });
    }
}

/// A past: what has fired of the strokes now due.
#[derive(Clone, Copy)]
struct State {
    /// Bits of the strokes that have fired, by their slots.
    fired: u128,
    /// Stops besides the cuts.
    stops: u32,
    /// The last standstill and whether it was a cut.
    last: i64,
    cut: bool,
    node: Option<u32>,
}

impl Past for State {
    fn fired(&mut self) -> &mut u128 {
        &mut self.fired
    }
}

struct Sweep<'a> {
    instance: &'a Instance,
    work: Work,
    trail: Trail,
    /// Plans with this many stops or more are of no use.
    below: u32,
    /// Whether only the best pasts and the first sets are kept: quick, and not exact.
    narrow: bool,
    /// Sets looked at for the present stop.
    tried: u32,
}

impl Sweep<'_> {
    /// `None` when the work is spent; `Some(None)` when no plan beats the greedy one.
    fn run(&mut self) -> Option<Option<Vec<Halt>>> {
        let Some(mut strokes) = Strokes::of(self.instance) else { return Some(None) };
        let places = self.places(strokes.spans())?;
        let start = State { fired: 0, stops: 0, last: i64::MIN / 2, cut: true, node: None };
        let mut states = vec![start];
        for (&at, &is_cut) in &places {
            if !strokes.go_to(at, &mut states)? {
                return Some(None);
            }
            states = self.step(&states, &strokes.due, at, is_cut)?;
            if states.is_empty() {
                return Some(None);
            }
        }
        let best = strokes.whole(states).into_iter().min_by_key(|state| state.stops);
        Some(best.map(|state| self.trail.back_from(state.node)))
    }

    /// Places worth a stop, and the cuts: ends of windows, and least feeds back from ends and
    /// cuts as long as there are strokes for a stop at each of them.
    fn places(&mut self, spans: &[(i64, i64)]) -> Option<BTreeMap<i64, bool>> {
        let feed = self.instance.least_feed.max(1);
        let mut ends: Vec<i64> = self.instance.strokes.iter().flatten().map(|w| w.hi).collect();
        ends.extend(&self.instance.cuts);
        ends.sort_unstable();
        ends.dedup();
        let mut by_lo: Vec<(i64, i64)> = spans.to_vec();
        by_lo.sort_unstable();
        let mut by_hi: Vec<i64> = spans.iter().map(|s| s.1).collect();
        by_hi.sort_unstable();
        let mut places = BTreeMap::new();
        for end in ends {
            let mut at = end;
            let mut stops = 0;
            loop {
                // Strokes due somewhere from here to the end.
                let opened = by_lo.partition_point(|s| s.0 <= end);
                let closed = by_hi.partition_point(|&hi| hi < at);
                if stops > opened.saturating_sub(closed) {
                    break;
                }
                self.work.spend(1)?;
                places.entry(at).or_insert(false);
                stops += 1;
                at = at.saturating_sub(feed);
            }
        }
        places.extend(self.instance.cuts.iter().map(|&cut| (cut, true)));
        Some(places)
    }

    fn step(
        &mut self,
        states: &[State],
        due: &[Slot],
        at: i64,
        is_cut: bool,
    ) -> Option<Vec<State>> {
        let feed = self.instance.least_feed.max(1);
        let mut next: Vec<State> = Vec::new();
        let mut sets: BTreeMap<u128, Vec<(u128, Company)>> = BTreeMap::new();
        let mut open_here: Vec<Slot> = due
            .iter()
            .filter(|slot| open(self.instance, slot.stroke, at).next().is_some())
            .copied()
            .collect();
        if self.narrow {
            let end = |slot: &Slot| self.instance.strokes.get(slot.stroke as usize);
            open_here.sort_by_key(|slot| end(slot).map_or(i64::MAX, |ways| span(ways).1));
        }
        let mask = mask(&open_here);
        for state in states {
            self.work.spend(1)?;
            if !is_cut {
                next.push(*state);
            }
            let free = at.saturating_sub(state.last) >= feed || (is_cut && state.cut);
            let stops = state.stops + u32::from(!is_cut);
            if !free || stops >= self.below {
                continue;
            }
            let left = mask & !state.fired;
            let sets = match sets.entry(left) {
                Entry::Occupied(found) => found.into_mut(),
                Entry::Vacant(new) => {
                    let slots = open_here.iter().filter(|slot| left >> slot.bit & 1 == 1);
                    let slots: Vec<Slot> = slots.copied().collect();
                    new.insert(self.fullest(&slots, at)?)
                }
            };
            for (fired, company) in &*sets {
                if !is_cut && *fired == 0 {
                    continue;
                }
                let halt = Halt { at, strokes: company.strokes.clone(), cut: is_cut };
                let node = self.trail.push(state.node, halt);
                let fired = state.fired | fired;
                next.push(State { fired, stops, last: at, cut: is_cut, node: Some(node) });
            }
        }
        self.prune(next, feed)
    }

    /// Every set of these strokes that may share a stop and takes no other of them.
    fn fullest(&mut self, slots: &[Slot], at: i64) -> Option<Vec<(u128, Company)>> {
        let mut all: BTreeMap<u128, Company> = BTreeMap::new();
        self.tried = 0;
        self.extend(slots, slots, at, 0, &Company::default(), &mut all)?;
        self.work.spend(all.len() * all.len())?;
        let masks: Vec<u128> = all.keys().copied().collect();
        all.retain(|mask, _| !masks.iter().any(|other| other != mask && other & mask == *mask));
        Some(all.into_iter().collect())
    }

    fn extend(
        &mut self,
        slots: &[Slot],
        rest: &[Slot],
        at: i64,
        mask: u128,
        company: &Company,
        all: &mut BTreeMap<u128, Company>,
    ) -> Option<()> {
        self.work.spend(1)?;
        self.tried += 1;
        if self.narrow && self.tried > TRIED && !all.is_empty() {
            return Some(());
        }
        let instance = self.instance;
        let Some((slot, rest)) = rest.split_first() else {
            let full = slots.iter().filter(|slot| mask >> slot.bit & 1 == 0).all(|slot| {
                open(instance, slot.stroke, at).all(|(_, way)| !company.takes(instance, way))
            });
            if full {
                all.entry(mask).or_insert_with(|| company.clone());
            }
            return Some(());
        };
        for (i, way) in open(instance, slot.stroke, at) {
            if company.takes(instance, way) {
                let more = company.with(slot.stroke, i, way);
                self.extend(slots, rest, at, mask | 1 << slot.bit, &more, all)?;
                // With nobody left out there is nothing fuller.
                if all.keys().any(|mask| mask.count_ones() as usize == slots.len()) {
                    return Some(());
                }
            }
        }
        self.extend(slots, rest, at, mask, company, all)
    }

    /// Leaves out pasts that another is as good as.
    fn prune(&mut self, mut states: Vec<State>, feed: i64) -> Option<Vec<State>> {
        // Distinct places are a step apart anyway: only a longer feed makes the last one matter.
        let last = |state: &State| if feed > 1 { (state.last, !state.cut) } else { (0, false) };
        states
            .sort_by_key(|s| (s.stops, last(s), std::cmp::Reverse(s.fired.count_ones()), s.fired));
        let mut kept: Vec<State> = Vec::new();
        for state in states {
            self.work.spend(kept.len() + 1)?;
            let beaten = kept.iter().any(|other| {
                last(other) <= last(&state) && other.fired & state.fired == state.fired
            });
            if !beaten {
                kept.push(state);
            }
            if self.narrow && kept.len() == KEPT {
                break;
            }
        }
        Some(kept)
    }
}
