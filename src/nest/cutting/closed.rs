//! Where the relaxation leaves little to spare, few patterns can be in a plan within the target:
//! what a stock holds less than it costs, by the duals, comes off the little there is to spare.
//! They are listed, all of them, and the tree is searched on the list alone; every node shortens
//! it again by its own duals.

use super::branch::{Branched, DEEPEST, join, pair, whole_plan};
use super::certificate::Certificate;
use super::node::{Node, Pattern, moved};
use super::relax::{Best, Until, relax};
use super::threes::{at_places, broken};
use super::work::Work;
use std::collections::BTreeSet;

/// Longest list.
const MOST: usize = 20_000;

/// Steps of making one.
const STEPS: u64 = 60_000_000;

/// Rounds of cuts at the first node (those below inherit what still charges), cuts in a round, and
/// most of a node.
const FIRST_ROUNDS: usize = 12;
const CUTS: usize = 15;
const MOST_CUTS: usize = 60;

/// A search on a list that is whole.
pub struct Closed<'a> {
    pub work: &'a Work<'a>,
    pub target: i64,
}

/// All patterns of a node with a single kind of stock that can be in a plan within the target;
/// `None` where they are too many.
pub fn all(node: &Node, best: &Best, target: i64, work: &Work<'_>) -> Option<Vec<Pattern>> {
    let [stock] = node.stocks.as_slice() else { return None };
    let values = &best.worth.values;
    let least = i128::from(stock.cost) * i128::from(best.unit) - best.spare(target);
    let least = i64::try_from(least).ok()?;
    let width = usize::try_from(stock.length).ok()?.checked_add(1)?;
    if width.checked_mul(node.items.len() + 1)? > 8_000_000 {
        return None;
    }
    // The most that items from a place on are worth in a room.
    let mut rows: Vec<Vec<i64>> = vec![vec![0; width]];
    for (item, &value) in node.items.iter().zip(values).rev() {
        let below = rows.last()?;
        let mut row = below.clone();
        let length = usize::try_from(item.length).ok()?;
        for times in 1..=item.demand.min((width / length) as u64) {
            let (times, worth) = (usize::try_from(times).ok()?, value * i64::try_from(times).ok()?);
            for (cell, before) in row.iter_mut().skip(length * times).zip(below) {
                *cell = (*cell).max(before + worth);
            }
        }
        rows.push(row);
    }
    rows.reverse();
    work.spend((width * rows.len()) as u64);
    let mut listing = Listing {
        node,
        values,
        rows: &rows,
        least,
        chosen: Vec::new(),
        found: Vec::new(),
        steps: 0,
    };
    let whole = listing.from(0, stock.length, 0);
    work.spend(listing.steps);
    (whole && listing.found.len() <= MOST).then_some(listing.found)
}

struct Listing<'a> {
    node: &'a Node,
    values: &'a [i64],
    rows: &'a [Vec<i64>],
    least: i64,
    chosen: Vec<(u32, u32)>,
    found: Vec<Pattern>,
    steps: u64,
}

impl Listing<'_> {
    /// Lists what begins with the items chosen; whether all of it.
    fn from(&mut self, place: usize, room: i64, value: i64) -> bool {
        if self.found.len() > MOST || self.steps > STEPS {
            return false;
        }
        if value >= self.least && self.node.waste.is_none_or(|waste| room <= waste) {
            self.found.push((0, self.chosen.clone()));
        }
        for next in place..self.node.items.len() {
            self.steps += 4;
            let promise = |row: usize, room: i64| -> i64 {
                let room = usize::try_from(room).unwrap_or(0);
                self.rows.get(row).and_then(|row| row.get(room)).copied().unwrap_or(0)
            };
            if value + promise(next, room) < self.least {
                return true;
            }
            let Some(item) = self.node.items.get(next) else { return true };
            let each = self.values.get(next).copied().unwrap_or(0);
            let fit = u64::try_from(room / item.length).unwrap_or(0).min(item.demand);
            for times in 1..=u32::try_from(fit).unwrap_or(u32::MAX) {
                let left = room - item.length * i64::from(times);
                let with = value + each * i64::from(times);
                let rows = self
                    .rows
                    .get(next + 1)
                    .and_then(|row| row.get(usize::try_from(left).unwrap_or(0)));
                if with + rows.copied().unwrap_or(0) < self.least {
                    continue;
                }
                self.chosen.push((u32::try_from(next).unwrap_or(u32::MAX), times));
                let whole = self.from(next + 1, left, with);
                self.chosen.pop();
                if !whole {
                    return false;
                }
            }
        }
        true
    }
}

impl Closed<'_> {
    /// Looks at a node whose list is `list`, and those below it, until there is a plan or none.
    pub fn search(
        &mut self,
        node: &Node,
        mut list: Vec<Pattern>,
        mut hot: usize,
        mut threes: Vec<[u32; 3]>,
        depth: usize,
    ) -> Branched {
        if self.work.over() || depth > DEEPEST {
            return Branched::Over;
        }
        let until = Until::Closed(self.target);
        let mut rounds = if depth == 0 { FIRST_ROUNDS } else { 0 };
        let relaxed = loop {
            let Some(relaxed) = relax(node, &mut list, hot, &threes, until, self.work) else {
                return Branched::Over;
            };
            if relaxed.best.bound > i128::from(self.target) {
                return Branched::Refuted(Certificate::Leaf(relaxed.leaf));
            }
            if self.work.over() {
                return Branched::Over;
            }
            // Charges that charge nothing are dropped.
            let charged = relaxed.best.worth.threes.iter().filter(|(_, price)| *price > 0);
            threes = charged.map(|&(three, _)| three).collect();
            let cuts = broken(node, &relaxed.used, &threes, CUTS);
            if rounds == 0 || cuts.is_empty() || threes.len() >= MOST_CUTS {
                break relaxed;
            }
            rounds -= 1;
            threes.extend(cuts);
            let used: BTreeSet<&Pattern> =
                relaxed.used.iter().map(|(pattern, _)| pattern).collect();
            hot = used.len();
            list.sort_by_key(|pattern| !used.contains(pattern));
        };
        if let Some(plan) = whole_plan(node, &relaxed, self.target) {
            return Branched::Found(plan);
        }
        let Some((a, b)) = pair(node, &relaxed) else { return Branched::Over };
        let Some((joined, places, own)) = node.joined(a, b) else { return Branched::Over };
        let list = shortened(node, &relaxed.best, self.target, list);
        self.work.spend(list.len() as u64 * 16);
        let used: Vec<Pattern> = relaxed.used.into_iter().map(|(pattern, _)| pattern).collect();
        let (below, hot) = hot_first(&used, &list, |p| {
            let mut ways: Vec<Pattern> = Vec::new();
            if p.1.iter().all(|&(item, n)| still(&joined, &places, item) >= u64::from(n)) {
                ways.push((p.0, moved(&p.1, &joined, &places)));
            }
            if p.1.iter().any(|&(item, _)| item == a) && p.1.iter().any(|&(item, _)| item == b) {
                ways.extend(join(p, &joined, (a, b), &places, own));
            }
            ways
        });
        let kept = threes.iter().filter_map(|three| at_places(three, &places)).collect();
        let together = match self.search(&joined, below, hot, kept, depth + 1) {
            Branched::Refuted(certificate) => Box::new(certificate),
            other => return other,
        };
        let parted = node.parted(a, b);
        let (below, hot) =
            hot_first(&used, &list, |p| parted.allows(p).then(|| p.clone()).into_iter().collect());
        let pair = node.labelled(a, b);
        match self.search(&parted, below, hot, threes, depth + 1) {
            Branched::Refuted(apart) => {
                let split = Certificate::Split { pair, together, apart: Box::new(apart) };
                Branched::Refuted(Certificate::Sieve { leaf: relaxed.leaf, then: Box::new(split) })
            }
            other => other,
        }
    }
}

/// How many of an item are wanted in the node below.
fn still(below: &Node, places: &[Option<u32>], item: u32) -> u64 {
    places.get(item as usize).copied().flatten().map_or(0, |place| below.demand(place))
}

/// Without the patterns that lack more worth than is to spare.
fn shortened(node: &Node, best: &Best, target: i64, list: Vec<Pattern>) -> Vec<Pattern> {
    let spare = best.spare(target);
    let kept = |(stock, pieces): &Pattern| {
        let cost = node.stocks.get(*stock).map_or(0, |stock| stock.cost);
        let allowed = i128::from(cost) * i128::from(best.unit);
        allowed - i128::from(best.worth.of(pieces)) <= spare
    };
    list.into_iter().filter(kept).collect()
}

/// What the patterns used and then all of the list come to below, each once; how many of them are
/// of those used.
fn hot_first(
    used: &[Pattern],
    list: &[Pattern],
    below: impl Fn(&Pattern) -> Vec<Pattern>,
) -> (Vec<Pattern>, usize) {
    let used: BTreeSet<&Pattern> = used.iter().collect();
    let (first, rest): (Vec<&Pattern>, Vec<&Pattern>) =
        list.iter().partition(|pattern| used.contains(pattern));
    let mut patterns: Vec<Pattern> = first.into_iter().flat_map(&below).collect();
    let hot = patterns.len();
    patterns.extend(rest.into_iter().flat_map(below));
    (patterns, hot)
}
