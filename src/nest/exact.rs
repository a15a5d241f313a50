//! Bundles onto coils as cutting stock, where nothing says in which order they are made: the exact
//! solver looks for the plan of least cost. What it does not know, the head that tools ask for on
//! a bar, is looked at afterwards.

use super::cutting::{self, Item, Kept, Problem, Stock};
use super::instance::{CoilSpace, Instance};
use super::solution::{Load, Solution};
use crate::library::model::Bundling;
use crate::quantity::{Length, common_divisor};
use std::collections::BTreeMap;

/// Most bundles that are looked at, and most kinds of coils.
const BUNDLES: usize = 4_000;
const KINDS: usize = 200;

/// What the exact solver came to.
pub(super) struct Found {
    /// The plan.
    pub solution: Solution,
    /// Whether no plan costs less, as nesting counts it.
    pub least: bool,
    /// Work done.
    pub ticks: u64,
}

/// Whether the order of bundles is free: any may be made on any coil.
fn any_order(instance: &Instance) -> bool {
    let ranks = || instance.bundles.iter().map(|b| b.rank);
    let free = instance.policy.order.reach().is_none() || ranks().min() == ranks().max();
    free && !matches!(instance.policy.bundling, Bundling::Open(_))
}

/// The plan of least cost that is found within `ticks`, where the problem is cutting stock.
pub(super) fn solve(instance: &Instance, ticks: u64, stop: &dyn Fn() -> bool) -> Option<Found> {
    let few = (2..=BUNDLES).contains(&instance.bundles.len());
    if !few || !any_order(instance) || ticks == 0 {
        return None;
    }
    let kinds = kinds(instance);
    let (problem, unit) = problem(instance, &kinds)?;
    let outcome = cutting::solve(&problem, ticks, stop);
    let plan = outcome.plan?;
    let proved = plan.cost(&problem) == outcome.bound;
    let solution = placed(instance, &kinds, &problem, &plan, unit)?;
    let on_bars = solution.loads.iter().all(|load| {
        let pieces = load.bundles.iter().filter_map(|&b| instance.bundles.get(b));
        let pieces = pieces.flat_map(|b| b.pieces.iter().copied());
        let space = instance.coils.get(load.coil);
        space.is_some_and(|space| instance.over_bar(space, pieces) == Length::ZERO)
    });
    // The last coil may stay in the line and lose less: that is counted as if all did.
    let least = proved && !instance.policy.last_stays;
    on_bars.then_some(Found { solution, least, ticks: outcome.ticks })
}

/// Coils that are alike, each kind by its numbers.
fn kinds(instance: &Instance) -> Vec<Vec<usize>> {
    let mut kinds: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (number, coil) in instance.coils.iter().enumerate() {
        let alone = if coil.bar.is_none() { Some(number) } else { None };
        let what = (
            coil.bar,
            coil.capacity(),
            coil.parting,
            coil.opening,
            coil.part_used,
            coil.tail,
            alone,
        );
        kinds.entry(what).or_default().push(number);
    }
    kinds.into_values().collect()
}

/// As nesting counts it: a coil costs what is lost on it, what loading it is worth, and the strip
/// of what is made from it, which is the same in every plan.
fn problem(instance: &Instance, kinds: &[Vec<usize>]) -> Option<(Problem, i64)> {
    let unit =
        instance.bundles.iter().fold(0, |unit, b| common_divisor(unit, b.length.nm())).max(1);
    let up = |length: Length| (length.nm() + unit - 1) / unit;
    let stock = |numbers: &Vec<usize>| -> Option<Stock> {
        let space = instance.coils.get(*numbers.first()?)?;
        let length = space.capacity().nm() / unit;
        let opening = if space.threaded { Length::ZERO } else { space.opening };
        let parting = if instance.policy.last_stays { Length::ZERO } else { space.parting };
        let room = space.capacity() + space.tail - parting - instance.policy.keep;
        let room = room.nm().div_euclid(unit);
        Some(Stock {
            length,
            count: u64::try_from(numbers.len()).ok(),
            cost: up(space.capacity() + space.tail.max(Length::ZERO) + opening).max(1),
            kept: (room > 0).then(|| Kept { room: room.min(length), cost: up(parting + opening) }),
        })
    };
    let stocks: Option<Vec<Stock>> = kinds.iter().map(stock).collect();
    let stocks = stocks.filter(|stocks| stocks.len() <= KINDS)?;
    let items: Vec<Item> =
        instance.bundles.iter().map(|b| Item { length: b.length.nm() / unit, demand: 1 }).collect();
    Some((Problem::new(stocks, &items).ok()?, unit))
}

/// The plan with bundles in the place of lengths and coils in the place of kinds.
fn placed(
    instance: &Instance,
    kinds: &[Vec<usize>],
    problem: &Problem,
    plan: &cutting::Plan,
    unit: i64,
) -> Option<Solution> {
    let mut of_length: BTreeMap<i64, Vec<usize>> = BTreeMap::new();
    for (number, bundle) in instance.bundles.iter().enumerate().rev() {
        of_length.entry(bundle.length.nm() / unit).or_default().push(number);
    }
    let mut left: Vec<Vec<usize>> =
        kinds.iter().map(|numbers| numbers.iter().rev().copied().collect()).collect();
    let mut loads = Vec::new();
    for cut in &plan.cuts {
        for _ in 0..cut.times {
            let coil = left.get_mut(cut.stock)?.pop()?;
            let mut bundles = Vec::new();
            for &(item, count) in &cut.pieces {
                let length = problem.items().get(item as usize)?.length;
                for _ in 0..count {
                    bundles.push(of_length.get_mut(&length)?.pop()?);
                }
            }
            bundles.sort_by_key(|&b| (instance.bundles.get(b).map(|bundle| bundle.rank), b));
            loads.push(Load { coil, bundles });
        }
    }
    let threaded = |load: &Load| instance.coils.get(load.coil).is_some_and(|coil| coil.threaded);
    loads.sort_by_key(|load| (!threaded(load), load.coil));
    Some(last_one(instance, Solution { loads, short: Vec::new() }))
}

/// Where the last coil stays in the line, the one that saves most by it comes last.
fn last_one(instance: &Instance, solution: Solution) -> Solution {
    if !instance.policy.last_stays {
        return solution;
    }
    let stays = |load: &Load| {
        instance.coils.get(load.coil).is_some_and(|c: &CoilSpace| c.bar.is_none() && !c.threaded)
    };
    let with_last = |place: usize| {
        let mut tried = solution.clone();
        let load = tried.loads.remove(place);
        tried.loads.push(load);
        tried
    };
    let places = (0..solution.loads.len()).filter(|&p| solution.loads.get(p).is_some_and(stays));
    let best = places.map(with_last).min_by_key(|tried| tried.cost(instance));
    match best {
        Some(best) if best.cost(instance) < solution.cost(instance) => best,
        _ => solution,
    }
}
