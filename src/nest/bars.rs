//! Bars: many short stocks, most of them alike. The longest bundle left goes on the next bar, and
//! those that fill it best go with it; other orders of the bundles are tried while work lasts.

use super::construct::coil_orders;
use super::fill::best_subset;
use super::improve::Spread;
use super::instance::{CoilSpace, Instance};
use super::solution::{Cost, Load, Solution};
use crate::quantity::Length;
use std::cmp::Reverse;

/// Most bundles that are looked through for those that fill a bar.
const LOOK_AHEAD: usize = 256;

/// What filling one bar costs, in ticks.
const BAR: u64 = 64;

fn length(instance: &Instance, bundle: usize) -> Length {
    instance.bundles.get(bundle).map_or(Length::ZERO, |b| b.length)
}

fn rank(instance: &Instance, bundle: usize) -> usize {
    instance.bundles.get(bundle).map_or(0, |b| b.rank)
}

fn total(instance: &Instance, bundles: &[usize]) -> Length {
    bundles.iter().map(|&b| length(instance, b)).sum()
}

/// A bundle, and of the others those that fill the room it leaves best.
fn with_others(instance: &Instance, first: usize, others: &[usize], room: Length) -> Vec<usize> {
    let lengths: Vec<Length> = others.iter().map(|&b| length(instance, b)).collect();
    let picked = best_subset(&lengths, room);
    let mut chosen = vec![first];
    chosen.extend(others.iter().zip(&picked).filter(|(_, p)| **p).map(|(b, _)| *b));
    chosen
}

/// Fills coils and bars in this order; of the bundles that may be made the first comes first.
fn fill(instance: &Instance, order: &[usize], priority: &[usize]) -> Solution {
    let mut left: Vec<usize> = priority.to_vec();
    let mut solution = Solution::default();
    for &coil in order {
        let Some(space) = instance.coils.get(coil) else { continue };
        let mut room = space.capacity();
        let mut bundles: Vec<usize> = Vec::new();
        while let Some(oldest) = left.iter().map(|&b| rank(instance, b)).min() {
            let allowed = |b: &usize| instance.policy.order.allows(rank(instance, *b), oldest);
            let open: Vec<usize> = left.iter().copied().filter(allowed).take(LOOK_AHEAD).collect();
            let over = |more: &[usize]| {
                let all = bundles.iter().chain(more).filter_map(|&b| instance.bundles.get(b));
                instance.over_bar(space, all.flat_map(|b| b.pieces.iter().copied()))
            };
            let fits = |more: &[usize]| over(more) == Length::ZERO;
            let first = open.iter().copied().find(|&b| length(instance, b) <= room && fits(&[b]));
            let Some(first) = first else { break };
            let left_over = room - length(instance, first);
            let others: Vec<usize> = open.iter().copied().filter(|&b| b != first).collect();
            let mut chosen = with_others(instance, first, &others, left_over);
            let excess = over(&chosen);
            if excess > Length::ZERO {
                // The tools ask for more head than was thought: fill less, or one by one.
                chosen = with_others(instance, first, &others, left_over - excess);
                let mut one_by_one = vec![first];
                let mut rest = left_over;
                for &b in &others {
                    one_by_one.push(b);
                    if length(instance, b) <= rest && fits(&one_by_one) {
                        rest -= length(instance, b);
                    } else {
                        one_by_one.pop();
                    }
                }
                if !fits(&chosen) || total(instance, &chosen) < total(instance, &one_by_one) {
                    chosen = one_by_one;
                }
            }
            room -= total(instance, &chosen);
            chosen.sort_by_key(|&b| (rank(instance, b), b));
            left.retain(|b| !chosen.contains(b));
            let all = chosen.len() == open.len();
            bundles.extend(chosen);
            // What is left of the jobs that may be begun does not fit: this one is full.
            if !all {
                break;
            }
        }
        if !bundles.is_empty() {
            solution.loads.push(Load { coil, bundles });
        }
        if left.is_empty() {
            break;
        }
    }
    left.sort_unstable();
    solution.short = left;
    solution
}

/// A better solution than `best`, if one is found within `work`.
pub(super) fn improve(
    instance: &Instance,
    mut best: Solution,
    mut work: u64,
    stop: &dyn Fn() -> bool,
) -> Solution {
    // What did not look at the heads the tools ask for may be too long.
    let too_long = |load: &Load| {
        let bundles = load.bundles.iter().filter_map(|&b| instance.bundles.get(b));
        let pieces = bundles.flat_map(|bundle| bundle.pieces.iter().copied());
        let space = instance.coils.get(load.coil);
        space.is_some_and(|space| instance.over_bar(space, pieces) > Length::ZERO)
    };
    if best.loads.iter().any(too_long) {
        best = Solution { loads: Vec::new(), short: (0..instance.bundles.len()).collect() };
    }
    let mut best_cost = best.cost(instance);
    let mut priority: Vec<usize> = (0..instance.bundles.len()).collect();
    priority.sort_by_key(|&b| (Reverse(length(instance, b)), b));
    let mut start: Option<(Cost, Vec<usize>)> = None;
    let price =
        |solution: &Solution| instance.bundles.len() as u64 + 1 + BAR * solution.loads.len() as u64;
    for order in coil_orders(instance) {
        if start.is_some() && (work == 0 || stop()) {
            break;
        }
        let solution = fill(instance, &order, &priority);
        work = work.saturating_sub(price(&solution));
        let cost = solution.cost(instance);
        if start.as_ref().is_none_or(|(least, _)| cost < *least) {
            start = Some((cost, order));
        }
        if cost < best_cost {
            (best, best_cost) = (solution, cost);
        }
    }
    let Some((mut current, mut order)) = start else { return best };
    let (bundles, coils) = (priority.len(), order.len());
    // A coil in the line is used first or not at all.
    let fixed = usize::from(instance.coils.iter().any(|coil| coil.threaded));
    let alike =
        instance.coils.iter().all(|coil| Some(coil.bar) == instance.coils.first().map(|c| c.bar));
    let mut spread = Spread::default();
    while work > 0 && bundles > 1 && !is_least(instance, &best, best_cost) && !stop() {
        let (mut tried, mut tried_order) = (priority.clone(), order.clone());
        if alike || coils <= fixed + 1 || spread.below(4) > 0 {
            let (a, b) = (spread.below(bundles), spread.below(bundles));
            if spread.below(2) == 0 {
                tried.swap(a, b);
            } else {
                let moved = tried.remove(a);
                tried.insert(b, moved);
            }
        } else {
            let (a, b) = (spread.below(coils - fixed), spread.below(coils - fixed));
            tried_order.swap(fixed + a, fixed + b);
        }
        let solution = fill(instance, &tried_order, &tried);
        work = work.saturating_sub(price(&solution));
        let cost = solution.cost(instance);
        if cost <= current {
            current = cost;
            (priority, order) = (tried, tried_order);
        }
        if cost < best_cost {
            (best, best_cost) = (solution, cost);
        }
    }
    best
}

/// Whether bars that are all alike are so few, and lose so little, that no plan does better.
fn is_least(instance: &Instance, solution: &Solution, cost: Cost) -> bool {
    let Some(first) = instance.coils.first() else { return false };
    let capacity = first.capacity();
    let material: Length = instance.bundles.iter().map(|b| b.length).sum();
    let loads = i64::try_from(solution.loads.len()).unwrap_or(i64::MAX / 2);
    let fewer = i128::from(capacity.nm()) * i128::from(loads - 1);
    let opened = i128::from(first.opening.nm()) * i128::from(loads);
    cost.short == Length::ZERO
        && i128::from(material.nm()) > fewer
        && (instance.policy.keep > capacity || i128::from(cost.lost.nm()) == opened)
        && all_alike(instance)
}

/// Whether there are only bars, and each is as good as any other.
pub(super) fn all_alike(instance: &Instance) -> bool {
    let what = |coil: &CoilSpace| (coil.bar, coil.capacity(), coil.opening, coil.part_used);
    let first = instance.coils.first().map(what);
    instance.coils.iter().all(|coil| coil.bar.is_some() && Some(what(coil)) == first)
}

/// Of bars that are alike the first ones are used, in their order: which of them a load is on
/// makes no difference but to whoever looks for it on the rack.
pub(super) fn in_listed_order(instance: &Instance, solution: &mut Solution) {
    let alike = |a: usize, b: usize| match (instance.coils.get(a), instance.coils.get(b)) {
        (Some(a), Some(b)) => {
            a.bar.is_some()
                && (a.bar, a.length, a.reserve, a.part_used, a.opening)
                    == (b.bar, b.length, b.reserve, b.part_used, b.opening)
        }
        _ => false,
    };
    let mut taken = vec![false; instance.coils.len()];
    for load in &mut solution.loads {
        let first = (0..instance.coils.len())
            .find(|&other| alike(load.coil, other) && taken.get(other) == Some(&false));
        load.coil = first.unwrap_or(load.coil);
        if let Some(taken) = taken.get_mut(load.coil) {
            *taken = true;
        }
    }
}
