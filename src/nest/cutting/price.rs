//! Patterns worth more than their stock costs, exactly, in integers. A table over what is left of
//! the list and of the stock bounds every way to go on; a search with this bound finds the best
//! pattern that begins with each item, heeding pieces that are apart, cuts on three pieces and
//! what may be left over. Many patterns come out of one table, and the most that any stock can
//! hold.

use super::node::{Node, Pattern};
use super::problem::{Item, Stock};
use super::solution::Pieces;
use super::work::Work;

/// Most cells of the table; beyond, lengths are rounded down to a coarser quantum.
const CELLS: usize = 4_000_000;

/// Less than anything, with room to add to.
const NEVER: i64 = i64::MIN / 4;

/// Steps of a search that begins with one item.
const STEPS: u64 = 40_000;

/// What pieces are worth.
#[derive(Clone, Default, Debug)]
pub struct Worth {
    /// Of each item of the node.
    pub values: Vec<i64>,
    /// Three items, and what a stock that holds two or three of them is charged.
    pub threes: Vec<([u32; 3], i64)>,
}

impl Worth {
    /// What a pattern is worth, charges taken off.
    pub fn of(&self, pieces: &[(u32, u32)]) -> i64 {
        let value = |&(item, number): &(u32, u32)| {
            self.values.get(item as usize).copied().unwrap_or(0) * i64::from(number)
        };
        let charge = |(three, price): &([u32; 3], i64)| {
            let held = pieces.iter().filter(|(item, _)| three.contains(item));
            i64::from(held.map(|&(_, number)| number).sum::<u32>() / 2) * price
        };
        let charged = self.threes.iter().filter(|(_, price)| *price > 0).map(charge);
        pieces.iter().map(value).sum::<i64>() - charged.sum::<i64>()
    }
}

/// What one pricing came to.
#[derive(Debug)]
pub struct Priced {
    /// Patterns worth more than their stock's limit, best of each first item.
    pub patterns: Vec<Pattern>,
    /// How much more than it costs each kind of stock can hold at most, or its limit where that
    /// is more.
    pub over: Vec<i64>,
}

/// What patterns are compared with.
#[derive(Debug)]
pub struct Limits {
    /// What a step of cost is worth.
    pub unit: i64,
    /// By kind of stock: how much more than it costs a pattern must be worth.
    pub over: Vec<i64>,
}

/// Prices all kinds of stock of a node, each against its limit.
pub fn price(node: &Node, worth: &Worth, limits: &Limits, work: &Work<'_>) -> Priced {
    let mut priced = Priced { patterns: Vec::new(), over: limits.over.clone() };
    let full: Vec<Option<Way>> =
        node.stocks.iter().map(|stock| Some((stock.length, stock.cost))).collect();
    each(node, worth, limits, &full, &mut priced, work);
    if node.stocks.iter().any(|stock| stock.kept.is_some()) {
        // What is cut from stock that is kept has to be worth its length besides.
        let value = |(item, &value): (&Item, &i64)| (value - item.length * limits.unit).max(0);
        let values = node.items.iter().zip(&worth.values).map(value).collect();
        let worth = Worth { values, threes: worth.threes.clone() };
        let kept = |stock: &Stock| stock.kept.map(|kept| (kept.room, kept.cost));
        let kept: Vec<Option<Way>> = node.stocks.iter().map(kept).collect();
        each(node, &worth, limits, &kept, &mut priced, work);
    }
    priced
}

/// How much a stock takes, and what it costs beside what the worths count.
type Way = (i64, i64);

/// Prices each kind of stock in one of the ways it may be used.
fn each(
    node: &Node,
    worth: &Worth,
    limits: &Limits,
    ways: &[Option<Way>],
    priced: &mut Priced,
    work: &Work<'_>,
) {
    let longest = ways.iter().flatten().map(|(length, _)| *length).max().unwrap_or(0);
    let table = Table::new(node, worth, longest, work);
    for (stock, kind) in node.stocks.iter().enumerate().filter(|(_, kind)| kind.count != Some(0)) {
        let Some(&Some((length, cost))) = ways.get(stock) else { continue };
        let limit = cost * limits.unit + limits.over.get(stock).copied().unwrap_or(0);
        debug_assert!(length <= kind.length);
        let mut most = limit;
        let mut search = Search::new(node, worth, &table);
        for first in 0..table.rows() {
            if table.best(first, length) <= limit {
                break;
            }
            if work.over() {
                // What was not looked at may hold as much as the table says.
                most = most.max(table.best(first, length));
                break;
            }
            let (pieces, value) = search.beginning_with(first, length, limit);
            work.spend(search.steps);
            search.steps = 0;
            most = most.max(value);
            priced.patterns.extend(pieces.map(|pieces| (stock, pieces)));
        }
        if let Some(over) = priced.over.get_mut(stock) {
            *over = (*over).max(most - cost * limits.unit);
        }
    }
}

/// For each item and each room: the most that this and later items can be worth in it, pieces
/// apart and charges left out.
struct Table {
    /// Items of the node that take part, longest first.
    items: Vec<u32>,
    cells: Vec<i64>,
    width: usize,
    quantum: i64,
}

impl Table {
    fn new(node: &Node, worth: &Worth, longest: i64, work: &Work<'_>) -> Table {
        // What is worth nothing fills a stock only where it must be full.
        let takes = |item: &u32| {
            node.waste.is_some() || worth.values.get(*item as usize).is_some_and(|&value| value > 0)
        };
        let items: Vec<u32> = (0_u32..).take(node.items.len()).filter(takes).collect();
        let widest = (CELLS / (items.len() + 1)).max(64);
        let quantum = match usize::try_from(longest) {
            Ok(length) if length < widest => 1,
            _ => longest / i64::try_from(widest).unwrap_or(1) + 1,
        };
        let width = usize::try_from(longest / quantum).unwrap_or(0) + 1;
        let mut cells = vec![NEVER; width * (items.len() + 1)];
        let waste = match node.waste {
            Some(waste) if quantum == 1 => usize::try_from(waste).unwrap_or(width),
            _ => width,
        };
        let start = cells.len() - width;
        for cell in cells.iter_mut().skip(start).take(waste.saturating_add(1)) {
            *cell = 0;
        }
        for (row, &item) in items.iter().enumerate().rev() {
            let (upper, lower) = cells.split_at_mut((row + 1) * width);
            let (Some(now), Some(next)) = (upper.get_mut(row * width..), lower.get(..width)) else {
                break;
            };
            let value = worth.values.get(item as usize).copied().unwrap_or(0);
            let weight = usize::try_from(node.length(item) / quantum).unwrap_or(width);
            let most = if node.are_apart(item, item) { 1 } else { node.demand(item) };
            fill(now, next, weight, value, most);
        }
        work.spend(cells.len() as u64);
        Table { items, cells, width, quantum }
    }
    fn rows(&self) -> usize {
        self.items.len()
    }
    /// The most from the row on in this room.
    fn best(&self, row: usize, room: i64) -> i64 {
        let room = usize::try_from(room / self.quantum).unwrap_or(0);
        self.cells.get(row * self.width + room).copied().unwrap_or(NEVER)
    }
}

/// A row from the next: up to `most` more of this weight and value.
fn fill(now: &mut [i64], next: &[i64], weight: usize, value: i64, most: u64) {
    now.copy_from_slice(next);
    let width = next.len();
    if weight == 0 {
        // Lighter than the quantum: all of them, wherever.
        let most = most.min(width as u64 * 4);
        let all = i64::try_from(most).unwrap_or(0).saturating_mul(value);
        for cell in now {
            *cell = cell.saturating_add(all);
        }
        return;
    }
    if weight >= width {
        return;
    }
    let fit = ((width - 1) / weight) as u64;
    if most >= fit || most > 8 {
        // As many as fit, or nearly: more is no harm in a bound.
        for room in weight..width {
            let with = now.get(room - weight).copied().unwrap_or(NEVER).wrapping_add(value);
            if let Some(cell) = now.get_mut(room)
                && with > *cell
            {
                *cell = with;
            }
        }
        return;
    }
    for times in 1..=usize::try_from(most).unwrap_or(1) {
        let all = i64::try_from(times).unwrap_or(1).wrapping_mul(value);
        for (cell, with) in now.iter_mut().skip(weight * times).zip(next) {
            *cell = (*cell).max(with.wrapping_add(all));
        }
    }
}

struct Search<'a> {
    node: &'a Node,
    worth: &'a Worth,
    table: &'a Table,
    /// How many chosen items forbid each item.
    blocked: Vec<u32>,
    /// How many of each three are chosen, and which threes each item is of.
    counts: Vec<u32>,
    of: Vec<Vec<u32>>,
    chosen: Pieces,
    best: i64,
    found: Option<Pieces>,
    steps: u64,
    left: u64,
}

impl<'a> Search<'a> {
    fn new(node: &'a Node, worth: &'a Worth, table: &'a Table) -> Search<'a> {
        let mut of = vec![Vec::new(); node.items.len()];
        for (number, (three, _)) in (0_u32..).zip(&worth.threes) {
            for &item in three {
                if let Some(list) = of.get_mut(item as usize) {
                    list.push(number);
                }
            }
        }
        Search {
            node,
            worth,
            table,
            blocked: vec![0; node.items.len()],
            counts: vec![0; worth.threes.len()],
            of,
            chosen: Vec::new(),
            best: 0,
            found: None,
            steps: 0,
            left: 0,
        }
    }

    /// The best pattern whose first item is that of the row, if it is worth more than `limit`,
    /// and what such a pattern can be worth at most.
    fn beginning_with(&mut self, row: usize, room: i64, limit: i64) -> (Option<Pieces>, i64) {
        let Some(&item) = self.table.items.get(row) else { return (None, limit) };
        if self.node.length(item) > room {
            return (None, limit);
        }
        let mut bound = NEVER;
        let value = self.worth.values.get(item as usize).copied().unwrap_or(0);
        for times in (1..=self.fitting(item, room)).rev() {
            let left = room - self.node.length(item) * i64::from(times);
            bound = bound.max(self.table.best(row + 1, left) + value * i64::from(times));
        }
        if bound <= limit {
            return (None, limit);
        }
        // What the table promises is mostly there: look for nothing less first.
        for (least, steps) in [(bound - 1, STEPS / 100), (limit, STEPS)] {
            self.best = least.max(limit);
            self.found = None;
            self.left = steps;
            self.with(row, item, room, 0);
            if self.found.is_some() && least > limit {
                return (self.found.take(), self.best);
            }
            if self.left > 0 && least <= limit {
                // Looked through to the end.
                return (self.found.take(), self.best);
            }
        }
        (self.found.take(), bound)
    }

    fn fitting(&self, item: u32, room: i64) -> u32 {
        let fit = u64::try_from(room / self.node.length(item).max(1)).unwrap_or(0);
        let most = if self.node.are_apart(item, item) { 1 } else { self.node.demand(item) };
        u32::try_from(fit.min(most)).unwrap_or(u32::MAX)
    }

    /// Goes on with some of one item, most first.
    fn with(&mut self, row: usize, item: u32, room: i64, value: i64) {
        let each = self.worth.values.get(item as usize).copied().unwrap_or(0);
        for times in (1..=self.fitting(item, room)).rev() {
            let left = room - self.node.length(item) * i64::from(times);
            let with = value + each * i64::from(times);
            if with + self.table.best(row + 1, left) <= self.best {
                continue;
            }
            let with = with - self.charge(item, times);
            if with + self.table.best(row + 1, left) > self.best {
                self.chosen.push((item, times));
                self.block(item, true);
                self.on(row + 1, left, with);
                self.block(item, false);
                self.chosen.pop();
            }
            self.release(item, times);
        }
    }

    /// Ends here, or goes on with any later item.
    fn on(&mut self, from: usize, room: i64, value: i64) {
        if value > self.best && self.node.waste.is_none_or(|waste| room <= waste) {
            self.best = value;
            self.found = Some(self.chosen.clone());
        }
        for row in from..self.table.rows() {
            self.steps += 2;
            if self.left == 0 || value + self.table.best(row, room) <= self.best {
                return;
            }
            self.left -= 1;
            let Some(&item) = self.table.items.get(row) else { return };
            let blocked = self.blocked.get(item as usize).is_some_and(|&by| by > 0);
            if !blocked && self.node.length(item) <= room {
                self.steps += 8;
                self.with(row, item, room, value);
            }
        }
    }

    fn block(&mut self, item: u32, on: bool) {
        for &other in self.node.apart.get(item as usize).into_iter().flatten() {
            if let Some(by) = self.blocked.get_mut(other as usize) {
                *by = if on { *by + 1 } else { *by - 1 };
            }
        }
    }

    /// Counts an item into its threes; what they charge for it.
    fn charge(&mut self, item: u32, times: u32) -> i64 {
        let mut charge = 0;
        for &three in self.of.get(item as usize).into_iter().flatten() {
            let Some(count) = self.counts.get_mut(three as usize) else { continue };
            let before = *count / 2;
            *count += times;
            let more = *count / 2 - before;
            let price = self.worth.threes.get(three as usize).map_or(0, |&(_, price)| price);
            charge += price * i64::from(more);
        }
        charge
    }

    fn release(&mut self, item: u32, times: u32) {
        for &three in self.of.get(item as usize).into_iter().flatten() {
            if let Some(count) = self.counts.get_mut(three as usize) {
                *count -= times;
            }
        }
    }
}
