//! Branching on pairs of pieces: in one stock, where they are joined to one piece, or in no stock
//! together (Ryan and Foster's rule, from memory; pieces wanted more than once are joined one by
//! one). A node whose bound passes the target is an end of the tree, and its duals go into the
//! certificate.

use super::certificate::Certificate;
use super::construct::quick;
use super::dive::Dive;
use super::node::{Node, Pattern, moved};
use super::relax::{Relaxed, Until, relax};
use super::solution::{Plan, cost};
use super::spread::Spread;
use super::threes::{at_places, broken};
use super::work::Work;
use std::collections::BTreeMap;

/// A whole share, in millionths.
const ONE: u64 = 1_000_000;

/// How near to whole a share is whole.
const NEAR: u64 = 100;

/// Depth at which a tree is given up.
pub const DEEPEST: usize = 2_000;

/// What a case came to.
pub enum Branched {
    /// A plan within the target.
    Found(Plan),
    /// There is none.
    Refuted(Certificate),
    /// Work was over first.
    Over,
}

/// A search of the tree for a plan of at most `target` steps of cost.
pub struct Branch<'a> {
    pub work: &'a Work<'a>,
    pub target: i64,
    /// Nodes that may still be looked at.
    pub nodes: u64,
    /// Rounds of cuts on three pieces at a node.
    pub rounds: usize,
}

/// Cuts that are added in a round, and most that a node has.
const CUTS: usize = 15;
const MOST_CUTS: usize = 90;

impl Branch<'_> {
    /// Looks at a node and those below it, until there is a plan or there is none. The first `hot`
    /// patterns of the pool are likely to be used; `threes` holds for the node.
    pub fn search(
        &mut self,
        node: &Node,
        mut pool: Vec<Pattern>,
        mut hot: usize,
        mut threes: Vec<[u32; 3]>,
        depth: usize,
    ) -> Branched {
        if self.work.over() || depth > DEEPEST || self.nodes == 0 {
            return Branched::Over;
        }
        self.nodes -= 1;
        let until = Until::Cost(self.target);
        let mut rounds = self.rounds;
        let relaxed = loop {
            let Some(relaxed) = relax(node, &mut pool, hot, &threes, until, self.work) else {
                return Branched::Over;
            };
            if relaxed.best.bound > i128::from(self.target) {
                return Branched::Refuted(Certificate::Leaf(relaxed.leaf));
            }
            if self.work.over() {
                return Branched::Over;
            }
            if rounds == 0 || threes.len() >= MOST_CUTS {
                break relaxed;
            }
            rounds -= 1;
            let cuts = broken(node, &relaxed.used, &threes, CUTS);
            if cuts.is_empty() {
                break relaxed;
            }
            threes.extend(cuts);
            hot = relaxed.used.len();
            pool.splice(0..0, relaxed.used.into_iter().map(|(pattern, _)| pattern));
        };
        if let Some(plan) = plan_here(node, &relaxed, &pool, self.target, depth, self.work) {
            return Branched::Found(plan);
        }
        let Some((a, b)) = pair(node, &relaxed) else { return Branched::Over };
        let Some((joined, places, own)) = node.joined(a, b) else { return Branched::Over };
        let used: Vec<Pattern> = relaxed.used.into_iter().map(|(pattern, _)| pattern).collect();
        let (below, hot) = hot_first(&used, &pool, |p| join(p, &joined, (a, b), &places, own));
        let kept = threes.iter().filter_map(|three| at_places(three, &places)).collect();
        let together = match self.search(&joined, below, hot, kept, depth + 1) {
            Branched::Refuted(certificate) => Box::new(certificate),
            other => return other,
        };
        let parted = node.parted(a, b);
        let (below, hot) = hot_first(&used, &pool, |p| part(p, &parted, b));
        drop(pool);
        let pair = node.labelled(a, b);
        match self.search(&parted, below, hot, threes, depth + 1) {
            Branched::Refuted(apart) => {
                Branched::Refuted(Certificate::Split { pair, together, apart: Box::new(apart) })
            }
            other => other,
        }
    }
}

/// A plan that shows itself: the relaxation is whole, or what is joined falls into place.
fn plan_here(
    node: &Node,
    relaxed: &Relaxed,
    pool: &[Pattern],
    target: i64,
    depth: usize,
    work: &Work<'_>,
) -> Option<Plan> {
    if let Some(plan) = whole_plan(node, relaxed, target) {
        return Some(plan);
    }
    let within = |plan: &Plan| cost(&node.stocks, &node.items, plan) <= i128::from(target);
    if let Some(plan) = quick(&node.stocks, &node.items, work).filter(within) {
        return Some(node.whole(plan));
    }
    if depth > 0 && depth.is_multiple_of(10) {
        let mut dive = Dive { work, spread: Spread::new(depth as u64), chance: 0, patience: 2 };
        return dive.search(node, pool, 0, target);
    }
    None
}

/// The plan of a relaxation that cuts every pattern whole times.
pub fn whole_plan(node: &Node, relaxed: &Relaxed, target: i64) -> Option<Plan> {
    if relaxed.missing || relaxed.used.iter().any(|(_, share)| share.millionths > 0) {
        return None;
    }
    let mut left: Vec<u64> = node.items.iter().map(|item| item.demand).collect();
    let mut cuts: Vec<(Pattern, u64)> = Vec::new();
    // One by one, so that what is cut beyond the demand is left out.
    for ((stock, pieces), share) in &relaxed.used {
        for _ in 0..share.whole {
            let mut kept = Vec::with_capacity(pieces.len());
            for &(item, count) in pieces {
                let Some(left) = left.get_mut(item as usize) else { continue };
                let taken = u64::from(count).min(*left);
                *left -= taken;
                if taken > 0 {
                    kept.push((item, u32::try_from(taken).unwrap_or(u32::MAX)));
                }
            }
            cuts.push(((*stock, kept), 1));
        }
    }
    // Counted in the node's pieces: the plan's are the problem's, of other lengths at their places.
    let costs: i128 = cuts.iter().map(|(pattern, _)| i128::from(node.cost(pattern))).sum();
    let within = costs <= i128::from(target);
    (within && left.iter().all(|&left| left == 0)).then(|| node.plan(&cuts))
}

/// The pair that the fractional plan is least sure of: of those cut together in parts, the one
/// that takes most length.
pub fn pair(node: &Node, relaxed: &Relaxed) -> Option<(u32, u32)> {
    let mut together: BTreeMap<(u32, u32), u64> = BTreeMap::new();
    for ((_, pieces), share) in &relaxed.used {
        let share = share.whole * ONE + u64::from(share.millionths);
        for (place, &(item, count)) in pieces.iter().enumerate() {
            if count >= 2 {
                *together.entry((item, item)).or_default() += share;
            }
            for &(other, _) in pieces.iter().skip(place + 1) {
                *together.entry((item, other)).or_default() += share;
            }
        }
    }
    let score = |(&(a, b), &share): (&(u32, u32), &u64)| {
        let part = share % ONE;
        let part = part.min(ONE - part);
        let length = node.length(a) + node.length(b);
        // Surely undecided ones first, of these the longest.
        (part > NEAR, part > ONE / 3, length, part)
    };
    let best = together.iter().max_by_key(|&entry| score(entry))?;
    Some(*best.0)
}

/// A pattern in the node where `a` and `b` are joined to `own`, if it can be used there.
pub fn join(
    pattern: &Pattern,
    joined: &Node,
    (a, b): (u32, u32),
    places: &[Option<u32>],
    own: u32,
) -> Option<Pattern> {
    let (stock, mut pieces) = pattern.clone();
    let mut has = [a, b].map(|wanted| pieces.iter().any(|&(item, _)| item == wanted));
    if a == b {
        has = [pieces.iter().any(|&(item, count)| item == a && count >= 2); 2];
    }
    let both = has == [true, true];
    if both {
        for wanted in [a, b] {
            if let Some((_, count)) = pieces.iter_mut().find(|(item, _)| *item == wanted) {
                *count -= 1;
            }
        }
        pieces.retain(|(_, count)| *count > 0);
    }
    let mut moved = moved(&pieces, joined, places);
    if both {
        moved.push((own, 1));
        moved.sort_unstable();
    }
    let pattern = (stock, moved);
    (!pattern.1.is_empty() && joined.allows(&pattern)).then_some(pattern)
}

/// A pattern in the node where `b` must not share a stock with another of it: without `b`, if
/// need be.
fn part(pattern: &Pattern, parted: &Node, b: u32) -> Option<Pattern> {
    if parted.allows(pattern) {
        return Some(pattern.clone());
    }
    let (stock, mut pieces) = pattern.clone();
    pieces.retain(|&(item, _)| item != b);
    let pattern = (stock, pieces);
    (!pattern.1.is_empty() && parted.allows(&pattern)).then_some(pattern)
}

/// The patterns used and then those of the pool, as far as they can be used below; how many of
/// them were used.
fn hot_first(
    used: &[Pattern],
    pool: &[Pattern],
    below: impl Fn(&Pattern) -> Option<Pattern>,
) -> (Vec<Pattern>, usize) {
    let mut patterns: Vec<Pattern> = used.iter().filter_map(&below).collect();
    let hot = patterns.len();
    patterns.extend(pool.iter().filter_map(below));
    (patterns, hot)
}
