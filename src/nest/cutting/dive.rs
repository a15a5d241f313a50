//! Diving: what the fractional plan cuts whole is cut, then what it cuts most; what is left is
//! relaxed again with new columns. Where that leads nowhere the next best is tried, and from the
//! top again with some chance in the choice.

use super::construct::{careful, quick};
use super::lp::Share;
use super::node::{Node, Pattern, fitted};
use super::relax::{Relaxed, Until, relax};
use super::solution::{Plan, cost};
use super::spread::Spread;
use super::work::Work;

/// Pieces that are left when stocks are filled with care at every step.
const FEW: u64 = 60;

/// Ways that are tried at a step.
const WAYS: usize = 3;

/// A millionth share from which several are cut at once.
const NEARLY: u32 = 700_000;

/// A search for a plan of at most a certain cost.
pub struct Dive<'a> {
    pub work: &'a Work<'a>,
    pub spread: Spread,
    /// How much chance there is in the choice, in millionths of a share.
    pub chance: usize,
    /// Steps that may still lead nowhere.
    pub patience: u32,
}

impl Dive<'_> {
    /// A plan of what is wanted in `node` for at most `target` steps of cost.
    pub fn search(
        &mut self,
        node: &Node,
        pool: &[Pattern],
        hot: usize,
        target: i64,
    ) -> Option<Plan> {
        if node.items.is_empty() {
            // What was cut last may have cost more than there was left.
            return (target >= 0).then(Plan::default);
        }
        let aimed = node.aimed(target);
        let Some(node) = aimed.filter(|_| target > 0 && !self.work.over()) else {
            self.patience = self.patience.saturating_sub(1);
            return None;
        };
        if let Some(plan) = self.at_once(&node, target) {
            return Some(plan);
        }
        let mut pool = pool.to_vec();
        let relaxed = relax(&node, &mut pool, hot, &[], Until::Cost(target), self.work)?;
        if relaxed.missing || relaxed.best.bound > i128::from(target) {
            self.patience = self.patience.saturating_sub(1);
            return None;
        }
        for way in self.ways(&node, &relaxed) {
            let Some((rest, places)) = node.without(&way) else { continue };
            let spent = way.iter().map(|(pattern, times)| {
                node.cost(pattern).saturating_mul(i64::try_from(*times).unwrap_or(i64::MAX))
            });
            let left = target.saturating_sub(spent.fold(0, i64::saturating_add));
            let used = relaxed.used.iter().map(|(pattern, _)| pattern);
            let mut below: Vec<Pattern> = used.filter_map(|p| fitted(p, &rest, &places)).collect();
            let hot = below.len();
            below.extend(pool.iter().filter_map(|p| fitted(p, &rest, &places)));
            if let Some(mut plan) = self.search(&rest, &below, hot, left) {
                plan.cuts.extend(node.plan(&way).cuts);
                return Some(plan);
            }
            if self.patience == 0 || self.work.over() {
                return None;
            }
        }
        None
    }

    fn at_once(&self, node: &Node, target: i64) -> Option<Plan> {
        let within = |plan: &Plan| cost(&node.stocks, &node.items, plan) <= i128::from(target);
        let pieces: u64 = node.items.iter().map(|item| item.demand).sum();
        let plan = quick(&node.stocks, &node.items, self.work).filter(within).or_else(|| {
            let few = pieces <= FEW;
            let plan = if few { careful(&node.stocks, &node.items, self.work) } else { None };
            plan.filter(within)
        })?;
        Some(node.whole(plan))
    }

    /// What to cut next, best first; each way a set of patterns that can be cut together.
    fn ways(&mut self, node: &Node, relaxed: &Relaxed) -> Vec<Vec<(Pattern, u64)>> {
        let mut left: Vec<u64> = node.items.iter().map(|item| item.demand).collect();
        let mut counts: Vec<Option<u64>> = node.stocks.iter().map(|stock| stock.count).collect();
        let mut take = |(stock, pieces): &Pattern, times: u64| {
            let fits = pieces.iter().map(|&(item, count)| {
                left.get(item as usize).map_or(0, |left| left / u64::from(count.max(1)))
            });
            let there = counts.get(*stock).copied().flatten().unwrap_or(u64::MAX);
            let times = fits.min().unwrap_or(0).min(times).min(there);
            for &(item, count) in pieces {
                if let Some(left) = left.get_mut(item as usize) {
                    *left -= u64::from(count) * times;
                }
            }
            if let Some(Some(count)) = counts.get_mut(*stock) {
                *count -= times;
            }
            times
        };
        let whole: Vec<(Pattern, u64)> = relaxed
            .used
            .iter()
            .filter(|(_, share)| share.whole > 0)
            .map(|(pattern, share)| (pattern.clone(), take(pattern, share.whole)))
            .filter(|(_, times)| *times > 0)
            .collect();
        if !whole.is_empty() {
            return vec![whole];
        }
        let mut ranked: Vec<(u32, &Pattern)> = relaxed
            .used
            .iter()
            .map(|(pattern, share): &(Pattern, Share)| {
                let chance = if self.chance > 0 { self.spread.below(self.chance) } else { 0 };
                (share.millionths + u32::try_from(chance).unwrap_or(0), pattern)
            })
            .collect();
        ranked.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
        let mut first: Vec<(Pattern, u64)> = Vec::new();
        for (place, (share, pattern)) in ranked.iter().enumerate() {
            if (place == 0 || *share >= NEARLY) && take(pattern, 1) > 0 {
                first.push(((*pattern).clone(), 1));
            }
        }
        let mut ways = vec![first];
        for (_, pattern) in ranked.iter().skip(1).take(WAYS - 1) {
            ways.push(vec![((*pattern).clone(), 1)]);
        }
        ways
    }
}
