//! Which of its ways each piece of a run is made, where the line offers several: fewest stops,
//! then least time.
//!
//! In general that is NP-hard (vertex cover), and over metres of strip many strokes are due at a
//! time. So it is a local search: piece by piece, one choice changed at a time, kept where the
//! stops around the piece become fewer, or take less time. What is laid out stays: ways that would
//! need another head or another gap are left alone.

use super::at_once;
use super::events::{Marking, dues, standstills};
use super::layout::{Laid, bear_each_other};
use crate::library::model::Line;
use crate::program::move_time;
use crate::quantity::{Length, Time};
use crate::tooling::{Alternatives, BoundShape, Geometry, Picks};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How often the whole run is gone through at most; mostly the second time changes little.
const PASSES: usize = 3;

/// A laid-out run whose pieces may be made in several ways.
pub struct Choosing<'a> {
    /// The line.
    pub line: &'a Line,
    /// Its figures for the profile.
    pub geometry: &'a Geometry,
    /// Where each piece lies.
    pub laid: &'a Laid,
    /// How each is made where nothing is changed.
    pub shapes: &'a [&'a BoundShape],
    /// What each offers, as an index into the offers.
    pub offer_of: &'a [Option<u32>],
    /// The members' other ways.
    pub offers: &'a [Alternatives<'a>],
    /// Marks to stamp, in the order of their pieces; none where ink is printed.
    pub stamped: &'a [Marking],
    /// Whether the strip is warm.
    pub warm: bool,
}

/// Standstills and their time.
type Cost = (usize, Time);

/// Pieces made another way than the usual one, by their position in the run.
pub type Chosen = BTreeMap<usize, Arc<BoundShape>>;

/// Looks for pieces that are better made another way.
pub fn choose(choosing: &Choosing<'_>) -> Chosen {
    let count = choosing.shapes.len();
    let mut search = Search {
        of: choosing,
        reach: choosing.reach(),
        picks: (0..count).map(|i| Some(choosing.offer(i)?.base().clone())).collect(),
        chosen: Chosen::new(),
        made: BTreeMap::new(),
        looks: 0,
        looked_at: vec![0; count],
        changed_at: vec![0; count],
    };
    for _ in 0..PASSES {
        let mut changed = false;
        for piece in 0..count {
            changed |= search.look(piece);
        }
        if !changed {
            break;
        }
    }
    let Search { chosen, .. } = search;
    if chosen.is_empty() {
        return chosen;
    }
    // What is better around each piece is looked at once more as a whole.
    let cost =
        |chosen: &Chosen| choosing.cost(0, count, &choosing.made(0, count, chosen), usize::MAX);
    match (cost(&Chosen::new()), cost(&chosen)) {
        (Some(usual), Some(other)) if other < usual => chosen,
        (None, Some(_)) => chosen,
        _ => Chosen::new(),
    }
}

impl<'a> Choosing<'a> {
    fn offer(&self, piece: usize) -> Option<&'a Alternatives<'a>> {
        self.offers.get((*self.offer_of.get(piece)?)? as usize)
    }

    /// Pieces `from..to` as they are made.
    fn made<'s>(&'s self, from: usize, to: usize, chosen: &'s Chosen) -> Vec<&'s BoundShape> {
        let usual = self.shapes.get(from..to).unwrap_or_default();
        let place = |(i, usual): (usize, &&'s BoundShape)| {
            chosen.get(&(from + i)).map_or(*usual, |other| other)
        };
        usual.iter().enumerate().map(place).collect()
    }

    /// What pieces `from..to` come to on their own; `None` where they cannot be made so, or with
    /// more than `most` stops.
    fn cost(&self, from: usize, to: usize, shapes: &[&BoundShape], most: usize) -> Option<Cost> {
        let (line, geometry) = (self.line, self.geometry);
        let bases = self.laid.bases.get(from..to)?;
        let last = bases.last()? + shapes.last()?.pitch;
        let scrap = self.laid.scrap.iter().map(|scrap| scrap.at);
        let inside = |at: &i64| bases.first().is_some_and(|first| first <= at) && *at < last;
        let mut cuts: Vec<i64> = scrap.filter(inside).collect();
        cuts.extend(bases.iter().zip(shapes).map(|(base, shape)| base + shape.pitch));
        cuts.sort_unstable();
        let (mut dues, ranges) = dues(line, geometry, bases, shapes, self.warm);
        let first = self.stamped.partition_point(|mark| mark.piece < from);
        let upto = self.stamped.partition_point(|mark| mark.piece < to);
        let stamped = self.stamped.get(first..upto)?;
        let work = at_once::COMPARED;
        let stands = standstills(line, geometry, &mut dues, &ranges, stamped, &cuts, work).ok()?;
        if stands.len() > most {
            return None;
        }
        let mut time = Time::ZERO;
        let mut stood: Option<i64> = None;
        for stand in &stands {
            let struck = stand.strokes.iter().filter_map(|i| dues.get(*i as usize));
            let slowest = struck.filter_map(|due| line.tool(due.tool)).map(|tool| tool.time).max();
            time += slowest.unwrap_or(Time::ZERO) + line.feed.settle;
            if let Some(stood) = stood {
                time += move_time(&line.feed, geometry.length(stand.at - stood));
            }
            stood = Some(stand.at);
        }
        Some((stands.len(), time))
    }

    /// How far apart on the strip strokes of one stop may lie, or of one tool be too near: steps.
    fn reach(&self) -> i64 {
        let offsets = || self.line.stations.iter().map(|station| station.offset);
        let refire = self.line.tools.iter().map(|tool| tool.refire).max();
        let span =
            offsets().min().zip(offsets().max()).map_or(Length::ZERO, |(near, far)| far - near);
        self.geometry.ceil_steps(span.max(refire.unwrap_or(Length::ZERO)))
    }

    /// The pieces within reach of this one.
    fn around(&self, piece: usize, reach: i64) -> (usize, usize) {
        let bases = &self.laid.bases;
        let base = bases.get(piece).copied().unwrap_or(0);
        let cut = base + self.shapes.get(piece).map_or(0, |shape| shape.pitch);
        let from = bases.partition_point(|at| *at < base - reach).saturating_sub(1);
        let to = bases.partition_point(|at| *at <= cut + reach);
        (from, to.max(piece + 1))
    }

    /// Whether a piece can be made so where it lies.
    fn fits(&self, piece: usize, other: &BoundShape) -> bool {
        let Some((usual, base)) = self.shapes.get(piece).zip(self.laid.bases.get(piece)) else {
            return false;
        };
        let warmth =
            if self.warm { self.geometry.ceil_steps(self.line.head.first_advance) } else { 0 };
        // What lies before the first piece and behind the last one is made for their ends.
        let ends = (piece > 0 || other.start == usual.start)
            && (piece + 1 < self.shapes.len() || other.end == usual.end);
        other.pitch == usual.pitch && other.head - warmth <= *base && ends
    }
}

struct Search<'a, 'c> {
    of: &'c Choosing<'a>,
    /// See [`Choosing::reach`].
    reach: i64,
    picks: Vec<Option<Picks>>,
    chosen: Chosen,
    /// What each way of each offer comes to.
    made: BTreeMap<(u32, Picks), Option<Arc<BoundShape>>>,
    /// How many pieces were looked at.
    looks: usize,
    /// With which look each piece was looked at last, and with which it changed; 0 for never.
    looked_at: Vec<usize>,
    changed_at: Vec<usize>,
}

impl Search<'_, '_> {
    /// Improves a piece, unless all around it is as when that was last tried in vain.
    fn look(&mut self, piece: usize) -> bool {
        let (from, to) = self.of.around(piece, self.reach);
        let changed = self.changed_at.get(from..to).unwrap_or_default().iter().max();
        let look = self.looked_at.get(piece).copied().unwrap_or(0);
        if changed.is_some_and(|changed| *changed < look) {
            return false;
        }
        self.looks += 1;
        let improved = self.improve(piece);
        if let Some(looked) = self.looked_at.get_mut(piece) {
            *looked = self.looks;
        }
        if let Some(changed) = self.changed_at.get_mut(piece).filter(|_| improved) {
            *changed = self.looks;
        }
        improved
    }

    /// Changes one choice of a piece where that pays; says whether it did.
    fn improve(&mut self, piece: usize) -> bool {
        let of = self.of;
        let Some((offer, number)) = of.offer(piece).zip(of.offer_of.get(piece).copied().flatten())
        else {
            return false;
        };
        let Some(Some(picks)) = self.picks.get(piece).cloned() else { return false };
        let (from, to) = of.around(piece, self.reach);
        let bases = of.laid.bases.get(from..to).unwrap_or_default();
        let usual = of.made(from, to, &self.chosen);
        // What it comes to now, once something is to be compared with it.
        let mut now: Option<Option<Cost>> = None;
        let mut best: Option<(Cost, Picks, Arc<BoundShape>)> = None;
        for other in offer.near(&picks) {
            let known = self.made.entry((number, other.clone()));
            let made = known.or_insert_with(|| offer.bind(&other).map(Arc::new)).clone();
            let Some(made) = made.filter(|made| of.fits(piece, made)) else { continue };
            let mut shapes = usual.clone();
            if let Some(slot) = shapes.get_mut(piece - from) {
                *slot = &made;
            }
            if !bear_each_other(of.line, of.geometry, bases, &shapes) {
                continue;
            }
            let now = *now.get_or_insert_with(|| of.cost(from, to, &usual, usize::MAX));
            let least = best.as_ref().map(|best| best.0).or(now);
            let most = least.map_or(usize::MAX, |(stops, _)| stops);
            let Some(cost) = of.cost(from, to, &shapes, most) else { continue };
            if least.is_none_or(|least| cost < least) {
                best = Some((cost, other, made));
            }
        }
        let Some((_, picks, made)) = best else { return false };
        if let Some(slot) = self.picks.get_mut(piece) {
            *slot = Some(picks);
        }
        self.chosen.insert(piece, made);
        true
    }
}
