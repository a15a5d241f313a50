//! Column generation: the least cost where patterns may be cut in fractions, and from the duals,
//! scaled to integers, what every plan of the node costs at least.

use super::bound::rounded_up as divided_up;
use super::certificate::Leaf;
use super::lp::{Column, Lp, Row, Share, above, count, float, ratio, rounded_up, scaled};
use super::node::{Node, Pattern};
use super::price::{Limits, Priced, Worth, price};
use super::problem::Stock;
use super::work::Work;
use std::collections::BTreeSet;

/// What a missing piece costs, in the dearest stock's cost; raised where pieces stay missing.
const SHORT: [f64; 3] = [4.0, 64.0, 1_024.0];

/// Bits that the worth of a pattern may have, and those that a dear missing piece takes.
const BITS: u32 = 61;
const SHORT_BITS: u32 = 11;

/// When to stop.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Until {
    /// The bound is as good as it gets, or a fractional plan keeps within what is known to be the
    /// least.
    Bound(i128),
    /// The bound passes this cost, or a fractional plan keeps within it.
    Cost(i64),
    /// No pattern makes it any better.
    End,
    /// The same, where the pool holds every pattern there is, and this cost is to be passed.
    Closed(i64),
}

/// Worths, and what every plan costs at least by them.
#[derive(Clone, Debug)]
pub struct Best {
    /// In steps.
    pub bound: i128,
    /// What a step is worth.
    pub unit: i64,
    /// What all pieces are worth, charges and excess of limited stock taken off.
    pub sum: i128,
    /// The worths, by place in the node.
    pub worth: Worth,
}

impl Best {
    /// What a target is worth beyond all pieces.
    pub fn spare(&self, target: i64) -> i128 {
        i128::from(target) * i128::from(self.unit) - self.sum
    }
}

/// A node's relaxation.
#[derive(Debug)]
pub struct Relaxed {
    /// What every plan costs at least, and by which worths.
    pub best: Best,
    /// The same for a certificate.
    pub leaf: Leaf,
    /// Patterns used and how often; with what is missing none.
    pub used: Vec<(Pattern, Share)>,
    /// Whether pieces are missing.
    pub missing: bool,
}

/// The unit of worth for these nodes: as fine as patterns of so many pieces allow. `None` where
/// costs are too large to be told apart.
fn unit(node: &Node) -> Option<i64> {
    let longest = node.stocks.iter().map(|stock| stock.length).max()?;
    let shortest = node.items.last()?.length.max(1);
    let pieces = node.items.iter().fold(0_u64, |sum, item| sum.saturating_add(item.demand));
    let most = u64::try_from(longest / shortest).unwrap_or(u64::MAX).min(pieces).max(1);
    let bits = BITS - SHORT_BITS - (u64::BITS - most.leading_zeros());
    let unit = (1_i64 << bits) / node.stocks.iter().map(|stock| stock.cost).max()?;
    (unit > 0).then_some(unit)
}

/// Shares of the best worths so far and of those now.
const SHARES: (i128, i128) = (1, 1);

/// Patterns of the pool that are taken up at once.
const AT_ONCE: usize = 100;

/// Generates columns for a node; those found are added to `pool`, which may hold patterns that the
/// node does not allow. The first `hot` of them are likely to be used: it begins with these.
pub fn relax(
    node: &Node,
    pool: &mut Vec<Pattern>,
    hot: usize,
    threes: &[[u32; 3]],
    until: Until,
    work: &Work<'_>,
) -> Option<Relaxed> {
    let unit = unit(node)?;
    let dearest = node.stocks.iter().map(|stock| stock.cost).max()?;
    let mut rows: Vec<(Row, f64)> =
        node.items.iter().map(|item| (Row::AtLeast, count(item.demand))).collect();
    // The row of each limited kind of stock.
    let mut stock_rows: Vec<Option<u32>> = Vec::with_capacity(node.stocks.len());
    for stock in &node.stocks {
        let row = u32::try_from(rows.len()).ok()?;
        stock_rows.push(stock.count.map(|_| row));
        rows.extend(stock.count.map(|number| (Row::AtMost, count(number))));
    }
    let first_three = rows.len();
    let mut three_rights: Vec<u64> = Vec::with_capacity(threes.len());
    for three in threes {
        let right = three.iter().map(|&item| node.demand(item)).sum::<u64>() / 2;
        three_rights.push(right);
        rows.push((Row::AtMost, count(right)));
    }
    let mut lp = Lp::new(&rows, SHORT.first().copied()?);
    let column = |pattern: &Pattern| {
        let (stock, pieces) = pattern;
        let mut entries: Vec<(u32, f64)> =
            pieces.iter().map(|&(item, number)| (item, count(u64::from(number)))).collect();
        let row = stock_rows.get(*stock).copied().flatten();
        entries.extend(row.map(|row| (row, 1.0)));
        for (row, three) in (first_three..).zip(threes) {
            let held = pieces.iter().filter(|(item, _)| three.contains(item));
            let held: u32 = held.map(|&(_, number)| number).sum();
            if held >= 2 {
                entries.push((u32::try_from(row).unwrap_or(0), count(u64::from(held / 2))));
            }
        }
        Column { entries, cost: ratio(node.cost(pattern), dearest) }
    };
    let mut known: BTreeSet<Pattern> = BTreeSet::new();
    let mut columns: Vec<Pattern> = Vec::new();
    let mut waiting: Vec<(Pattern, Column)> = Vec::new();
    for (place, pattern) in pool.iter().enumerate().filter(|(_, pattern)| node.allows(pattern)) {
        if !known.insert(pattern.clone()) {
            continue;
        }
        if place < hot {
            lp.add(column(pattern));
            columns.push(pattern.clone());
        } else {
            waiting.push((pattern.clone(), column(pattern)));
        }
    }
    let mut best = Best { bound: 0, unit, sum: 0, worth: Worth::default() };
    let (mut raised, mut exactly) = (0, false);
    loop {
        let mut solved = lp.solve(work);
        while solved && !waiting.is_empty() && !work.over() {
            work.spend(waiting.len() as u64 * 4);
            let taken = lp.best_of(waiting.iter().map(|(_, column)| column), AT_ONCE);
            if taken.is_empty() {
                break;
            }
            for &place in taken.iter().rev() {
                let (pattern, column) = waiting.swap_remove(place);
                lp.add(column);
                columns.push(pattern);
            }
            solved = lp.solve(work);
        }
        let cost = lp.cost();
        let missing = lp.missing() > 1e-5;
        let done = |best: Best, lp: &Lp, columns: &[Pattern]| {
            let used = |(number, share): (usize, Share)| {
                columns.get(number).map(|pattern| (pattern.clone(), share))
            };
            let used = lp.used().into_iter().filter_map(used).collect();
            Some(Relaxed { leaf: leaf(node, &best), best, used, missing })
        };
        let enough = match until {
            Until::Cost(target) => Some(i128::from(target)),
            Until::Bound(known) => Some(known),
            Until::End | Until::Closed(_) => None,
        };
        if enough.is_some_and(|enough| !missing && !above(cost, float(dearest), enough)) {
            return done(best, &lp, &columns);
        }
        if work.over() {
            return done(best, &lp, &columns);
        }
        let scale = unit.checked_mul(dearest)?;
        let duals = lp.duals();
        let worth = Worth {
            values: duals
                .iter()
                .take(node.items.len())
                .map(|&d| scaled(Row::AtLeast, d, scale))
                .collect(),
            threes: threes
                .iter()
                .zip(duals.iter().skip(first_three))
                .map(|(three, &dual)| (*three, scaled(Row::AtMost, dual, scale)))
                .collect(),
        };
        let limit = |row: &Option<u32>| {
            let dual = row.and_then(|row| duals.get(row as usize)).copied().unwrap_or(0.0);
            scaled(Row::AtMost, dual, scale)
        };
        let limits = Limits { unit, over: stock_rows.iter().map(limit).collect() };
        // Half way to the best worths so far: fractional plans swing less, and fewer rounds do.
        let calm = first_three == rows.len() && node.items.len() == rows.len();
        let mixed =
            calm && !exactly && best.sum > 0 && matches!(until, Until::Bound(_) | Until::End);
        let worth = if mixed { halfway(&best, worth, unit) } else { worth };
        let priced = match until {
            Until::Closed(_) => {
                let patterns = columns.iter().chain(waiting.iter().map(|(pattern, _)| pattern));
                listed(node, &worth, &limits, patterns)
            }
            _ => price(node, &worth, &limits, work),
        };
        let found = least(node, worth, &three_rights, &priced.over, unit);
        if found.bound >= best.bound {
            best = found;
        }
        let enough = match until {
            Until::Cost(target) | Until::Closed(target) => best.bound > i128::from(target),
            Until::End => false,
            Until::Bound(_) => !missing && best.bound >= rounded_up(cost, float(dearest)),
        };
        if enough || !solved {
            return done(best, &lp, &columns);
        }
        let mut added = false;
        for pattern in priced.patterns {
            if known.insert(pattern.clone()) {
                added = true;
                lp.add(column(&pattern));
                columns.push(pattern.clone());
                pool.push(pattern);
            }
        }
        if !added && mixed {
            exactly = true;
            continue;
        }
        exactly = false;
        if !added {
            raised += 1;
            match SHORT.get(raised) {
                Some(&short) if missing => lp.set_short(short),
                _ => return done(best, &lp, &columns),
            }
        }
    }
}

/// Worths between these and the best so far, counted in the same unit.
fn halfway(best: &Best, worth: Worth, unit: i64) -> Worth {
    let between = |(&known, now): (&i64, i64)| {
        let known = i128::from(known) * i128::from(unit) / i128::from(best.unit.max(1));
        i64::try_from((known * SHARES.0 + i128::from(now) * SHARES.1) / (SHARES.0 + SHARES.1))
            .unwrap_or(now)
    };
    Worth { values: best.worth.values.iter().zip(worth.values).map(between).collect(), ..worth }
}

/// What each kind of stock can hold at most of these patterns.
fn listed<'a>(
    node: &Node,
    worth: &Worth,
    limits: &Limits,
    patterns: impl Iterator<Item = &'a Pattern>,
) -> Priced {
    let mut over = limits.over.clone();
    for pattern in patterns {
        let value = worth.of(&pattern.1) - node.cost(pattern) * limits.unit;
        if let Some(over) = over.get_mut(pattern.0) {
            *over = (*over).max(value);
        }
    }
    Priced { patterns: Vec::new(), over }
}

/// What every plan costs at least, in steps, and the unit of worth it is counted in: the least at
/// which no stock of an unlimited kind holds more than it costs. What a limited kind holds beyond
/// its cost is taken off, as often as there is one.
fn least(node: &Node, worth: Worth, three_rights: &[u64], over: &[i64], unit: i64) -> Best {
    // What one costs at least: what is kept costs more, the more of it is cut.
    let cost = |stock: &Stock| stock.kept.map_or(stock.cost, |kept| kept.cost.clamp(1, stock.cost));
    let mut exact = unit;
    for (stock, &over) in node.stocks.iter().zip(over) {
        if stock.count.is_none() {
            exact = exact.max(unit - (-over).div_euclid(cost(stock)));
        }
    }
    let mut sum: i128 = node
        .items
        .iter()
        .zip(&worth.values)
        .map(|(item, &value)| i128::from(value) * i128::from(item.demand))
        .sum();
    for ((_, price), &right) in worth.threes.iter().zip(three_rights) {
        sum -= i128::from(*price) * i128::from(right);
    }
    for (stock, &over) in node.stocks.iter().zip(over) {
        if let Some(number) = stock.count {
            let over = i128::from(over) - i128::from(cost(stock)) * i128::from(exact - unit);
            sum -= over.max(0) * i128::from(number);
        }
    }
    Best { bound: divided_up(sum, i128::from(exact)), unit: exact, sum, worth }
}

fn leaf(node: &Node, best: &Best) -> Leaf {
    let (worth, unit) = (&best.worth, best.unit);
    let label = |item: u32| node.labels.get(item as usize).copied().unwrap_or(u32::MAX);
    let values = node.labels.iter().zip(&worth.values).filter(|(_, value)| **value > 0);
    let mut values: Vec<(u32, i64)> = values.map(|(&label, &value)| (label, value)).collect();
    values.sort_unstable();
    let threes = worth.threes.iter().filter(|(_, price)| *price > 0);
    Leaf { unit, values, threes: threes.map(|&(three, price)| (three.map(label), price)).collect() }
}
