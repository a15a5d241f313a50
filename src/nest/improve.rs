use super::construct;
use super::instance::Instance;
use super::solution::Solution;
use crate::library::model::Bundling;
use std::collections::BTreeSet;

/// A small linear congruential generator (Knuth's MMIX constants, from memory): only spreads
/// tries, decides nothing.
pub struct Spread(u64);

impl Default for Spread {
    fn default() -> Spread {
        Spread(0x5EED)
    }
}

impl Spread {
    /// A number less than `n`.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from((self.0 >> 33) % (n.max(1) as u64)).unwrap_or(0)
    }
}

/// Coils in the orders remembered, all together: 128 MB on a machine of 64 bits. Beyond that an
/// order may be tried twice.
const MOST_SEEN: usize = 16_000_000;

/// Tries other orders of coils while work lasts, keeping the best. A tick is a bundle placed, or
/// an order met again.
pub(super) fn improve(
    instance: &Instance,
    first: Solution,
    mut work: u64,
    stop: &dyn Fn() -> bool,
) -> Solution {
    let coils = instance.coils.len();
    // To copy and compare an order of a long rack is work too: of 64 coils, as much as a bundle.
    let mut price = instance.bundles.len() as u64 + 1 + coils as u64 / 64;
    if let Bundling::Open(_) = instance.policy.bundling {
        // The end of each coil is filled from a longer list.
        price += 64 * first.loads.len() as u64;
    }
    if coils < 3 {
        return first;
    }
    let mut order: Vec<usize> = first.loads.iter().map(|load| load.coil).collect();
    let unused: Vec<usize> = (0..coils).filter(|i| !order.contains(i)).collect();
    order.extend(unused);
    // A coil in the line is used first or not at all: whatever else is threaded takes it out.
    let threaded = |i: &usize| instance.coils.get(*i).is_some_and(|c| c.threaded);
    order.sort_by_key(|i| !threaded(i));
    let fixed = order.iter().filter(|i| threaded(i)).count().min(coils - 1);
    // There are only so many orders: when all are tried, more effort finds nothing.
    let movable = u64::try_from(coils - fixed).unwrap_or(u64::MAX);
    let orders = (1..=movable).try_fold(1_u64, u64::checked_mul).unwrap_or(u64::MAX);
    let mut seen: BTreeSet<Vec<usize>> = BTreeSet::from([order.clone()]);
    let mut best = first;
    let mut best_cost = best.cost(instance);
    let mut spread = Spread::default();
    while work >= price && (seen.len() as u64) < orders && !stop() {
        let mut tried = order.clone();
        let a = fixed + spread.below(coils - fixed);
        let b = fixed + spread.below(coils - fixed);
        if spread.below(2) == 0 {
            tried.swap(a, b);
        } else {
            let moved = tried.remove(a);
            tried.insert(b.min(tried.len()), moved);
        }
        if seen.contains(&tried) {
            work -= 1;
            continue;
        }
        if seen.len() * coils < MOST_SEEN {
            seen.insert(tried.clone());
        }
        work -= price;
        let solution = construct::fill(instance, &tried);
        let cost = solution.cost(instance);
        if cost <= best_cost {
            order = tried;
        }
        if cost < best_cost {
            best_cost = cost;
            best = solution;
        }
    }
    best
}
