//! Where the strip stops, and which strokes share a stop.
//!
//! Right-endpoint greedy with one stroke per station and stop (each station's earliest right end
//! first) gives the fewest stops for fixed cuts; every cut is a stop anyway. Greedy leaves
//! strokes at the edge of their tolerance, so each group is then moved to where its worst stroke
//! is nearest to nominal: same stops, better members.

use super::at_once;
use super::sharing::Sharing;
use crate::library::model::{Firing, Line, StationId};
use crate::quantity::Length;
use crate::tooling::Geometry;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A stroke that is due somewhere in a window of steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Due {
    /// Which tool.
    pub tool: crate::library::model::ToolId,
    /// Where that is mounted.
    pub station: StationId,
    /// First step.
    pub lo: i64,
    /// Last step.
    pub hi: i64,
    /// Where the drawing has it, in advance.
    pub nominal: Length,
    /// Position of its piece in the run.
    pub piece: u32,
}

impl Due {
    /// No stroke at all.
    pub const NONE: Due = Due {
        tool: crate::library::model::ToolId(0),
        station: StationId(0),
        lo: 0,
        hi: 0,
        nominal: Length::ZERO,
        piece: 0,
    };
}

/// A stop, a cut, or both.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Standstill {
    /// Where, in steps.
    pub at: i64,
    /// Strokes, as indices into the dues.
    pub strokes: Vec<u32>,
    /// Whether the shear cuts.
    pub cut: bool,
}

/// A stroke for which no stop is left.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Crowded {
    /// Index into the dues.
    pub due: u32,
}

/// Chooses stops for strokes and fixed cuts (ascending, distinct), and re-centres them.
pub fn stops(geometry: &Geometry, dues: &[Due], cuts: &[i64]) -> Result<Vec<Standstill>, Crowded> {
    let groups = gather(dues, cuts)?;
    Ok(recentre(geometry, dues, groups, Sharing::by_stations(dues), |group| group.at))
}

/// The same on a line, which may fire all tools of a stop at once; `work` is what may be spent on
/// each group of windows there.
pub(super) fn stops_on(
    line: &Line,
    geometry: &Geometry,
    dues: &[Due],
    cuts: &[i64],
    work: u64,
) -> Result<Vec<Standstill>, Crowded> {
    match line.firing {
        Firing::InPhases => stops(geometry, dues, cuts),
        Firing::AtOnce => {
            let groups = at_once::gather(line, dues, cuts, work)?;
            let last = |group: &Standstill| first_closing(dues, &group.strokes);
            Ok(recentre(geometry, dues, groups, Sharing::on(line, dues), last))
        }
    }
}

fn index(i: usize) -> u32 {
    u32::try_from(i).unwrap_or(u32::MAX)
}

/// The latest step at which each stroke may fire so that every station, firing once per step,
/// still manages all of its strokes: the schedule from the last step backward that gives each
/// step to the stroke whose window opens last. It exists whenever any schedule does.
fn deadlines(dues: &[Due], by_end: &[u32]) -> Result<Vec<i64>, Crowded> {
    let mut deadlines: Vec<i64> = dues.iter().map(|d| d.hi).collect();
    let stations = dues.iter().map(|d| usize::from(d.station.0) + 1).max().unwrap_or(0);
    let mut of_station: Vec<Vec<u32>> = vec![Vec::new(); stations];
    for &i in by_end.iter().rev() {
        let station = dues.get(i as usize).map_or(0, |d| usize::from(d.station.0));
        if let Some(list) = of_station.get_mut(station) {
            list.push(i);
        }
    }
    for latest_first in of_station {
        let mut open: BinaryHeap<(i64, u32)> = BinaryHeap::new();
        let mut rest = latest_first.into_iter().peekable();
        let end = |i: u32| dues.get(i as usize).map_or(0, |d| d.hi);
        let mut step = i64::MAX;
        loop {
            if open.is_empty() {
                match rest.peek() {
                    Some(&i) => step = step.min(end(i)),
                    None => break,
                }
            }
            while let Some(i) = rest.next_if(|&i| end(i) >= step) {
                open.push((dues.get(i as usize).map_or(0, |d| d.lo), i));
            }
            let Some((lo, i)) = open.pop() else { break };
            if lo > step {
                return Err(Crowded { due: i });
            }
            if let Some(deadline) = deadlines.get_mut(i as usize) {
                *deadline = step;
            }
            step -= 1;
        }
    }
    Ok(deadlines)
}

/// Whether no two strokes of a station have the same last step: each may then wait for its own.
fn ends_differ(dues: &[Due], by_end: &[u32]) -> bool {
    let due = |i: u32| dues.get(i as usize);
    let end = |i: &u32| due(*i).map(|d| d.hi);
    by_end.chunk_by(|a, b| end(a) == end(b)).all(|alike| {
        let station = |i: &u32| due(*i).map(|d| d.station);
        let others = |(n, i): (usize, &u32)| {
            alike.iter().skip(n + 1).all(|other| station(other) != station(i))
        };
        alike.iter().enumerate().all(others)
    })
}

fn gather(dues: &[Due], cuts: &[i64]) -> Result<Vec<Standstill>, Crowded> {
    let mut by_end: Vec<u32> = (0..dues.len()).map(index).collect();
    by_end.sort_unstable_by_key(|&i| dues.get(i as usize).map(|d| (d.hi, d.lo, i)));
    let deadlines = match ends_differ(dues, &by_end) {
        true => dues.iter().map(|due| due.hi).collect(),
        false => deadlines(dues, &by_end)?,
    };
    let deadline = |i: u32| deadlines.get(i as usize).copied().unwrap_or(i64::MAX);
    by_end.sort_by_key(|&i| deadline(i));
    let mut by_start: Vec<u32> = (0..dues.len()).map(index).collect();
    by_start.sort_unstable_by_key(|&i| dues.get(i as usize).map(|d| (d.lo, i)));
    let stations = dues.iter().map(|d| usize::from(d.station.0) + 1).max().unwrap_or(0);
    let mut waiting: Vec<BinaryHeap<Reverse<(i64, u32)>>> = vec![BinaryHeap::new(); stations];
    let mut fired = vec![false; dues.len()];
    let mut standstills: Vec<Standstill> = Vec::with_capacity(dues.len() / 2 + cuts.len());
    let (mut ends, mut starts, mut cuts) = (
        by_end.iter().copied().peekable(),
        by_start.iter().copied().peekable(),
        cuts.iter().copied().peekable(),
    );
    loop {
        while ends.next_if(|&i| fired.get(i as usize) == Some(&true)).is_some() {}
        let urgent = ends.peek().map(|&i| (deadline(i), i));
        let cut = cuts.peek().copied();
        let at = match (urgent, cut) {
            (None, None) => return Ok(standstills),
            (Some((end, _)), None) => end,
            (None, Some(cut)) => cut,
            (Some((end, _)), Some(cut)) => end.min(cut),
        };
        let is_cut = cut == Some(at);
        if is_cut {
            cuts.next();
        }
        while let Some(i) = starts.next_if(|&i| dues.get(i as usize).is_some_and(|d| d.lo <= at)) {
            let station = dues.get(i as usize).map_or(0, |d| usize::from(d.station.0));
            if let Some(heap) = waiting.get_mut(station) {
                heap.push(Reverse((deadline(i), i)));
            }
        }
        let mut strokes = Vec::new();
        for heap in &mut waiting {
            if let Some(Reverse((end, i))) = heap.pop() {
                if end < at {
                    return Err(Crowded { due: i });
                }
                if let Some(flag) = fired.get_mut(i as usize) {
                    *flag = true;
                }
                strokes.push(i);
            }
        }
        // The urgent stroke fires here unless its own window opens later: then there is no stop.
        if let Some((end, i)) = urgent
            && end == at
            && fired.get(i as usize) != Some(&true)
        {
            return Err(Crowded { due: i });
        }
        standstills.push(Standstill { at, strokes, cut: is_cut });
    }
}

/// Moves each stop that is not a cut to where its worst stroke is nearest to nominal, as a share
/// of its window, keeping stops apart and in order. Stops that meet a cut merge with it where
/// their strokes may share it. `latest` says how far a stop may move on.
fn recentre(
    geometry: &Geometry,
    dues: &[Due],
    groups: Vec<Standstill>,
    sharing: Sharing<'_>,
    latest: impl Fn(&Standstill) -> i64,
) -> Vec<Standstill> {
    let cuts: Vec<(i64, Vec<u32>)> =
        groups.iter().filter(|g| g.cut).map(|g| (g.at, g.strokes.clone())).collect();
    let mut at_cut: Vec<Vec<u32>> = cuts.iter().map(|(_, strokes)| strokes.clone()).collect();
    let mut floating: Vec<Standstill> = Vec::new();
    let mut last = i64::MIN;
    let mut between = groups.into_iter().filter(|g| !g.cut).peekable();
    while let Some(group) = between.next() {
        let next = between.peek().map_or(i64::MAX, |next| next.at);
        let hi = group.at.max(latest(&group).min(next.saturating_sub(1)));
        let lo = latest_opening(dues, &group.strokes).max(last.saturating_add(1));
        let wanted = best_point(geometry, dues, &group.strokes, lo, hi);
        let free = |at: i64| match cuts.binary_search_by_key(&at, |(cut, _)| *cut) {
            Err(_) => true,
            Ok(i) => at_cut.get(i).is_none_or(|there| sharing.may(there, &group.strokes)),
        };
        // The place it was given is free: it is not a cut, and it is in the window.
        let at = (0..=(hi - lo).max(0))
            .flat_map(|off| [wanted + off, wanted - off])
            .find(|&at| lo <= at && at <= hi && free(at))
            .unwrap_or(group.at);
        last = at;
        match cuts.binary_search_by_key(&at, |(cut, _)| *cut) {
            Ok(i) => {
                if let Some(there) = at_cut.get_mut(i) {
                    there.extend(&group.strokes);
                }
            }
            Err(_) => floating.push(Standstill { at, ..group }),
        }
    }
    let mut all = floating;
    all.extend(cuts.into_iter().zip(at_cut).map(|((at, _), strokes)| Standstill {
        at,
        strokes,
        cut: true,
    }));
    all.sort_by_key(|s| s.at);
    all
}

fn latest_opening(dues: &[Due], strokes: &[u32]) -> i64 {
    strokes.iter().filter_map(|i| dues.get(*i as usize)).map(|d| d.lo).max().unwrap_or(i64::MIN)
}

fn first_closing(dues: &[Due], strokes: &[u32]) -> i64 {
    strokes.iter().filter_map(|i| dues.get(*i as usize)).map(|d| d.hi).min().unwrap_or(i64::MAX)
}

/// The step in `[lo, hi]` at which the largest |off nominal| / window is least: a convex function
/// of the step, searched by thirds, compared exactly.
fn best_point(geometry: &Geometry, dues: &[Due], strokes: &[u32], lo: i64, hi: i64) -> i64 {
    let step = i128::from(geometry.grid.increment().nm());
    // Worst stroke at a step, as the fraction off / width.
    let worst = |at: i64| {
        let mut worst = (0_i128, 1_i128);
        for due in strokes.iter().filter_map(|i| dues.get(*i as usize)) {
            let off = (i128::from(at) * step - i128::from(due.nominal.nm())).abs();
            let width = (i128::from(due.hi - due.lo) * step).max(step);
            if off * worst.1 > worst.0 * width {
                worst = (off, width);
            }
        }
        worst
    };
    let less = |a: (i128, i128), b: (i128, i128)| a.0 * b.1 < b.0 * a.1;
    if let [only] = strokes {
        let nominal = dues.get(*only as usize).map_or(Length::ZERO, |d| d.nominal);
        let near = geometry.grid.nearest(crate::quantity::Advance::at(nominal));
        return geometry.floor_steps(near.distance()).clamp(lo, hi.max(lo));
    }
    let (mut lo, mut hi) = (lo, hi);
    while hi - lo > 2 {
        let third = (hi - lo) / 3;
        let (a, b) = (lo + third, hi - third);
        // On equality the least lies between or the function is flat at its least: either will do.
        if less(worst(b), worst(a)) { lo = a + 1 } else { hi = b }
    }
    (lo..=hi.max(lo))
        .min_by(|&a, &b| {
            let (wa, wb) = (worst(a), worst(b));
            (wa.0 * wb.1).cmp(&(wb.0 * wa.1)).then(a.cmp(&b))
        })
        .unwrap_or(lo)
}
