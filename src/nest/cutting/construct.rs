//! Plans made in one go: best fit with the longest pieces first, and stocks filled one after the
//! other as full as the pieces left allow.

use super::fill::fullest;
use super::problem::{Item, Stock};
use super::solution::{Cut, Pieces, Plan, cost, held};
use super::work::Work;
use std::collections::BTreeMap;

/// Which stock is begun next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Prefer {
    /// That of the least cost for its length.
    Worth,
    /// The longest.
    Long,
    /// The shortest that takes the piece.
    Short,
}

/// Alike stocks that hold the same.
#[derive(Debug)]
struct Open {
    stock: usize,
    pieces: Pieces,
    room: i64,
    times: u64,
}

/// The best of several quick plans; `None` where none of them gets by with the stock there is.
/// Pieces are longest first.
pub fn quick(stocks: &[Stock], items: &[Item], work: &Work<'_>) -> Option<Plan> {
    let prefer: &[Prefer] = match stocks {
        [_] => &[Prefer::Worth],
        _ => &[Prefer::Worth, Prefer::Long, Prefer::Short],
    };
    let plans = prefer.iter().filter_map(|&prefer| best_fit(stocks, items, prefer, work));
    plans.map(|plan| shrunk(stocks, items, plan)).min_by_key(|plan| cost(stocks, items, plan))
}

/// As [`quick`], with more care: stock after stock is filled as full as can be.
pub fn careful(stocks: &[Stock], items: &[Item], work: &Work<'_>) -> Option<Plan> {
    let prefer: &[Prefer] = match stocks {
        [_] => &[Prefer::Worth],
        _ => &[Prefer::Worth, Prefer::Long],
    };
    let plans = prefer.iter().filter_map(|&prefer| filled(stocks, items, prefer, work));
    plans.map(|plan| shrunk(stocks, items, plan)).min_by_key(|plan| cost(stocks, items, plan))
}

/// The kind to begin next for a piece of this length.
fn begin(stocks: &[Stock], left: &[Option<u64>], length: i64, prefer: Prefer) -> Option<usize> {
    let fits =
        stocks.iter().zip(left).enumerate().filter(|(_, (stock, left))| {
            stock.length >= length && left.is_none_or(|left| left > 0)
        });
    let fits = fits.map(|(index, (stock, _))| (index, *stock));
    let worth = |a: &(usize, Stock), b: &(usize, Stock)| {
        let (of_a, of_b) = (
            i128::from(a.1.cost) * i128::from(b.1.length),
            i128::from(b.1.cost) * i128::from(a.1.length),
        );
        of_a.cmp(&of_b)
    };
    match prefer {
        Prefer::Worth => fits.min_by(worth),
        Prefer::Long => fits.min_by(|a, b| b.1.length.cmp(&a.1.length).then(worth(a, b))),
        Prefer::Short => fits.min_by(|a, b| a.1.length.cmp(&b.1.length).then(worth(a, b))),
    }
    .map(|(index, _)| index)
}

/// Takes `times` of a kind off what is left, or as many as there are.
fn take(left: &mut [Option<u64>], stock: usize, times: u64) -> u64 {
    match left.get_mut(stock) {
        Some(Some(left)) => {
            let taken = times.min(*left);
            *left -= taken;
            taken
        }
        Some(None) => times,
        None => 0,
    }
}

fn best_fit(stocks: &[Stock], items: &[Item], prefer: Prefer, work: &Work<'_>) -> Option<Plan> {
    let mut left: Vec<Option<u64>> = stocks.iter().map(|stock| stock.count).collect();
    let mut open: BTreeMap<i64, Vec<Open>> = BTreeMap::new();
    let mut full = Plan::default();
    let shortest = items.iter().rev().find(|item| item.demand > 0).map_or(0, |item| item.length);
    for (index, item) in items.iter().enumerate() {
        let Ok(index) = u32::try_from(index) else { return None };
        let mut wanted = item.demand;
        while wanted > 0 {
            work.spend(64);
            let fits = open.range(item.length..).next().map(|(&room, _)| room);
            let group = match fits {
                Some(room) => {
                    let groups = open.get_mut(&room);
                    let group = groups.and_then(Vec::pop);
                    if open.get(&room).is_some_and(Vec::is_empty) {
                        open.remove(&room);
                    }
                    group
                }
                None => {
                    let stock = begin(stocks, &left, item.length, prefer)?;
                    let room = stocks.get(stock).map_or(0, |stock| stock.length);
                    let each = u64::try_from(room / item.length).unwrap_or(1).max(1);
                    let times = take(&mut left, stock, wanted.div_ceil(each));
                    Some(Open { stock, pieces: Vec::new(), room, times })
                }
            };
            let Some(group) = group else { continue };
            let fit = u64::try_from(group.room / item.length).unwrap_or(1);
            let each = fit.clamp(1, u64::from(u32::MAX));
            // As many as fit on all, or on some; the last of them takes what is left over.
            let whole = (wanted / each).min(group.times);
            let over = if whole < group.times { wanted - whole * each } else { 0 };
            for (count, times) in [(each, whole), (over, u64::from(over > 0))] {
                if times == 0 {
                    continue;
                }
                let mut pieces = group.pieces.clone();
                pieces.push((index, u32::try_from(count).unwrap_or(u32::MAX)));
                let used = i64::try_from(count).unwrap_or(0) * item.length;
                let (stock, room) = (group.stock, group.room - used);
                wanted -= count * times;
                if room < shortest {
                    full.cuts.push(Cut { stock, pieces, times });
                } else {
                    open.entry(room).or_default().push(Open { stock, pieces, room, times });
                }
            }
            let rest = group.times - whole - u64::from(over > 0);
            if rest > 0 {
                open.entry(group.room).or_default().push(Open { times: rest, ..group });
            }
        }
    }
    for group in open.into_values().flatten().filter(|group| !group.pieces.is_empty()) {
        full.cuts.push(Cut { stock: group.stock, pieces: group.pieces, times: group.times });
    }
    Some(full)
}

fn filled(stocks: &[Stock], items: &[Item], prefer: Prefer, work: &Work<'_>) -> Option<Plan> {
    let mut left: Vec<Option<u64>> = stocks.iter().map(|stock| stock.count).collect();
    let mut rest: Vec<Item> = items.to_vec();
    let mut plan = Plan::default();
    while let Some((first, item)) = rest.iter().copied().enumerate().find(|(_, i)| i.demand > 0) {
        if work.over() {
            return None;
        }
        let stock = begin(stocks, &left, item.length, prefer)?;
        let length = stocks.get(stock).map_or(0, |stock| stock.length);
        if let Some(item) = rest.get_mut(first) {
            item.demand -= 1;
        }
        let mut pieces = fullest(&rest, length - item.length, work)?;
        if let Some(item) = rest.get_mut(first) {
            item.demand += 1;
        }
        let first = u32::try_from(first).ok()?;
        match pieces.iter_mut().find(|(index, _)| *index == first) {
            Some((_, count)) => *count += 1,
            None => pieces.insert(0, (first, 1)),
        }
        let often = |&(index, count): &(u32, u32)| {
            rest.get(index as usize).map_or(0, |item| item.demand / u64::from(count.max(1)))
        };
        let times = take(&mut left, stock, pieces.iter().map(often).min().unwrap_or(0));
        if times == 0 {
            return None;
        }
        for &(index, count) in &pieces {
            if let Some(item) = rest.get_mut(index as usize) {
                item.demand -= u64::from(count) * times;
            }
        }
        plan.cuts.push(Cut { stock, pieces, times });
    }
    // Lengths are used up from the front, but a fill may take any: the order is by number.
    for cut in &mut plan.cuts {
        cut.pieces.sort_unstable();
    }
    Some(plan)
}

/// The same cuts from cheaper stock, where what they hold fits in it and some of it is left.
fn shrunk(stocks: &[Stock], items: &[Item], plan: Plan) -> Plan {
    if stocks.len() == 1 {
        return plan.tidied();
    }
    let mut left: Vec<Option<u64>> = stocks.iter().map(|stock| stock.count).collect();
    for cut in &plan.cuts {
        let _in_use = take(&mut left, cut.stock, cut.times);
    }
    let mut cuts = Vec::with_capacity(plan.cuts.len());
    let mut waiting = plan.cuts;
    while let Some(mut cut) = waiting.pop() {
        let needed = held(items, &cut.pieces);
        let now = stocks.get(cut.stock).map_or(0, |stock| stock.cost_of(needed));
        let free = |index: usize| left.get(index).copied().flatten().is_none_or(|left| left > 0);
        let cheaper = stocks.iter().enumerate().filter(|(index, stock)| {
            stock.length >= needed && stock.cost_of(needed) < now && free(*index)
        });
        let cheaper =
            cheaper.min_by_key(|(_, stock)| stock.cost_of(needed)).map(|(index, _)| index);
        if let Some(stock) = cheaper {
            let times = take(&mut left, stock, cut.times);
            if let Some(Some(left)) = left.get_mut(cut.stock) {
                *left += times;
            }
            if times < cut.times {
                waiting.push(Cut { times: cut.times - times, ..cut.clone() });
            }
            (cut.stock, cut.times) = (stock, times);
        }
        cuts.push(cut);
    }
    Plan { cuts }.tidied()
}
