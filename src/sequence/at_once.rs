//! Stops of a line whose controller fires all tools of a stop at one moment: force, clashes and
//! stations say what may share a stop.
//!
//! Windows that hang together by overlaps are a group; what is done in one leaves the others as
//! they are, so each is searched by itself: exactly ([`exact`](super::exact)) where its work
//! suffices, by a narrow sweep of the same kind where not. The fewest stops of groups that are
//! done exactly add up with the bound by stretches of the others to a bound for the whole.

use super::bound::{Need, stops_bound};
use super::exact::{Found, Instance, Way, exact};
use super::stops::{Crowded, Due, Standstill};
use crate::library::model::{Line, ToolId};
use crate::quantity::Time;

/// Steps of search for each group where the stops are settled.
pub(super) const SETTLED: u64 = 300_000;

/// Steps of search for each group where ways are only compared.
pub(super) const COMPARED: u64 = 5_000;

/// Stops in order, every cut among them, at the last places that serve them.
pub(super) fn gather(
    line: &Line,
    dues: &[Due],
    cuts: &[i64],
    work: u64,
) -> Result<Vec<Standstill>, Crowded> {
    let mut stands: Vec<Standstill> =
        cuts.iter().map(|&at| Standstill { at, strokes: Vec::new(), cut: true }).collect();
    for group in groups(dues) {
        let plan = match exact(&instance(line, dues, &group, cuts), work) {
            Found::Fewest(plan) | Found::Greedy(plan) => plan,
            Found::Impossible | Found::Unknown => return Err(tightest(dues, &group)),
        };
        for halt in plan {
            let strokes =
                halt.strokes.iter().filter_map(|&(n, _)| group.members.get(n as usize)).copied();
            match cuts.binary_search(&halt.at) {
                Ok(cut) => {
                    if let Some(stand) = stands.get_mut(cut) {
                        stand.strokes.extend(strokes);
                    }
                }
                Err(_) => {
                    stands.push(Standstill { at: halt.at, strokes: strokes.collect(), cut: false })
                }
            }
        }
    }
    stands.sort_by_key(|stand| stand.at);
    Ok(stands)
}

/// How many stops besides the cuts these strokes need at least.
pub(super) fn at_least(line: &Line, dues: &[Due], cuts: &[i64], work: u64) -> u32 {
    let mut sum = 0_usize;
    for group in groups(dues) {
        let instance = instance(line, dues, &group, cuts);
        sum += match exact(&instance, work) {
            Found::Fewest(plan) => plan.iter().filter(|halt| !halt.cut).count(),
            _ => {
                let needs: Vec<Need> = group.dues(dues).map(need).collect();
                let stops = stops_bound(&needs, &instance.cuts).stops as usize;
                stops.saturating_sub(instance.cuts.len())
            }
        };
    }
    u32::try_from(sum).unwrap_or(u32::MAX)
}

fn need(due: &Due) -> Need {
    Need { station: Some(due.station), lo: due.lo, hi: due.hi, time: Time::ZERO }
}

/// Strokes whose windows hang together.
struct Group {
    /// Indices into the dues.
    members: Vec<u32>,
    lo: i64,
    hi: i64,
}

impl Group {
    fn dues<'a>(&self, dues: &'a [Due]) -> impl Iterator<Item = &'a Due> {
        self.members.iter().filter_map(|&i| dues.get(i as usize))
    }
}

fn groups(dues: &[Due]) -> Vec<Group> {
    let mut order: Vec<(u32, &Due)> = (0..).zip(dues).collect();
    order.sort_by_key(|(i, due)| (due.lo, due.hi, *i));
    let mut groups: Vec<Group> = Vec::new();
    for (i, due) in order {
        match groups.last_mut() {
            Some(group) if due.lo <= group.hi => {
                group.members.push(i);
                group.hi = group.hi.max(due.hi);
            }
            _ => groups.push(Group { members: vec![i], lo: due.lo, hi: due.hi }),
        }
    }
    groups
}

fn instance(line: &Line, dues: &[Due], group: &Group, cuts: &[i64]) -> Instance {
    let from = cuts.partition_point(|cut| *cut < group.lo);
    let upto = cuts.partition_point(|cut| *cut <= group.hi);
    // Only the clashes of tools that are here.
    let here = |tool: ToolId| group.dues(dues).any(|due| due.tool == tool);
    let clashes = line.clashes.iter().filter(|(a, b)| here(*a) && here(*b));
    Instance {
        strokes: group.dues(dues).map(|due| vec![way(line, due)]).collect(),
        cuts: cuts.get(from..upto).unwrap_or_default().to_vec(),
        clashes: clashes.map(|(a, b)| (a.0, b.0)).collect(),
        presses: line.presses.iter().map(|press| press.force.unwrap_or(i64::MAX)).collect(),
        most: usize::MAX,
        least_feed: 1,
    }
}

fn way(line: &Line, due: &Due) -> Way {
    let tool = line.tool(due.tool);
    Way {
        tool: due.tool.0,
        station: due.station.0,
        force: tool.map_or(0, |tool| tool.force),
        press: line.press_of(due.station).and_then(|press| u16::try_from(press).ok()),
        time: tool.map_or(Time::ZERO, |tool| tool.time),
        lo: due.lo,
        hi: due.hi,
    }
}

/// Whom to name where a group has no place for all: who has the least room.
fn tightest(dues: &[Due], group: &Group) -> Crowded {
    let room = |i: &u32| dues.get(*i as usize).map(|due| due.hi.saturating_sub(due.lo));
    Crowded { due: group.members.iter().copied().min_by_key(room).unwrap_or(0) }
}
