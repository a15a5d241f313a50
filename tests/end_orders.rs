//! Orders that lose least by end shapes, against every order of small cases and the shared
//! vectors.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::sequence::ends::{
    Placed, cycle_cost, gilmore_gomory, pairs, path_cost, shown, trails,
};
use common::{Dice, shared_vectors};

/// Every order of `pieces`, each also with every choice of turned ones.
fn every_order(pieces: usize, turning: bool, look: &mut dyn FnMut(&[Placed])) {
    fn on(
        order: &mut Vec<Placed>,
        left: &mut Vec<usize>,
        turning: bool,
        look: &mut dyn FnMut(&[Placed]),
    ) {
        if left.is_empty() {
            return look(order);
        }
        for at in 0..left.len() {
            let piece = left.remove(at);
            for turned in [false, true].into_iter().take(if turning { 2 } else { 1 }) {
                order.push(Placed { piece, turned });
                on(order, left, turning, look);
                order.pop();
            }
            left.insert(at, piece);
        }
    }
    on(&mut Vec::new(), &mut (0..pieces).collect(), turning, look);
}

fn is_an_order(pieces: usize, order: &[Placed], turning: bool) {
    let mut seen: Vec<usize> = order.iter().map(|placed| placed.piece).collect();
    seen.sort_unstable();
    assert_eq!(seen, (0..pieces).collect::<Vec<_>>());
    assert!(turning || order.iter().all(|placed| !placed.turned));
}

type Cost = fn(&[(i64, i64)], &[Placed]) -> i64;

fn least(pieces: &[(i64, i64)], turning: bool, cost: Cost) -> i64 {
    let mut best = i64::MAX;
    every_order(pieces.len(), turning, &mut |order| best = best.min(cost(pieces, order)));
    best
}

fn random(dice: &mut Dice, most: i64) -> Vec<(i64, i64)> {
    let (count, values) = (dice.between(1, most), dice.between(1, 9));
    (0..count).map(|_| (dice.between(-values, values), dice.between(-values, values))).collect()
}

#[test]
fn orders_cost_as_little_as_the_best_of_all() {
    let mut dice = Dice(64);
    for case in 0..3_000 {
        let turning = case % 2 == 0;
        let pieces = random(&mut dice, if turning { 5 } else { 6 });
        let (round, path) = if turning {
            (pairs::cycle(&pieces), pairs::path(&pieces, None))
        } else {
            (gilmore_gomory::cycle(&pieces), gilmore_gomory::path(&pieces, None))
        };
        is_an_order(pieces.len(), &round, turning);
        is_an_order(pieces.len(), &path, turning);
        assert_eq!(cycle_cost(&pieces, &round), least(&pieces, turning, cycle_cost), "{pieces:?}");
        assert_eq!(path_cost(&pieces, &path), least(&pieces, turning, path_cost), "{pieces:?}");
        // After an end that is there already: a first piece that stays first.
        let from = dice.between(-9, 9);
        let after = |order: &[Placed]| {
            path_cost(&pieces, order) + (from - shown(&pieces, order[0]).0).abs()
        };
        let mut best = i64::MAX;
        every_order(pieces.len(), turning, &mut |order| best = best.min(after(order)));
        let path = match turning {
            true => pairs::path(&pieces, Some(from)),
            false => gilmore_gomory::path(&pieces, Some(from)),
        };
        is_an_order(pieces.len(), &path, turning);
        assert_eq!(after(&path), best, "{pieces:?} after {from}");
    }
}

/// Cuts in this order that are not shared, and one: runs.
fn runs_of(pieces: &[(i64, i64)], order: &[Placed]) -> i64 {
    let apart = |w: &&[Placed]| shown(pieces, w[0]).1 != shown(pieces, w[1]).0;
    1 + order.windows(2).filter(apart).count() as i64
}

#[test]
fn runs_are_as_few_as_in_the_best_of_all_orders() {
    let mut dice = Dice(1736);
    for case in 0..3_000 {
        let turning = case % 2 == 0;
        let pieces = random(&mut dice, if turning { 5 } else { 6 });
        let runs = trails::runs(&pieces, turning);
        let order: Vec<Placed> = runs.iter().flatten().copied().collect();
        is_an_order(pieces.len(), &order, turning);
        for run in &runs {
            assert_eq!(runs_of(&pieces, run), 1, "a run with a cut that is not shared: {pieces:?}");
        }
        assert_eq!(runs.len() as i64, least(&pieces, turning, runs_of), "{pieces:?}");
    }
    assert!(trails::runs(&[], true).is_empty() && pairs::path(&[], None).is_empty());
    assert!(gilmore_gomory::path(&[], Some(3)).is_empty() && gilmore_gomory::cycle(&[]).is_empty());
}

fn numbers(value: &serde_json::Value) -> Vec<i64> {
    value.as_array().unwrap().iter().map(|n| n.as_i64().unwrap()).collect()
}

fn from_to(row: &serde_json::Value) -> Vec<(i64, i64)> {
    numbers(&row["a"]).into_iter().zip(numbers(&row["b"])).collect()
}

#[test]
fn orders_cost_what_the_shared_vectors_say() {
    let Some(rows) = shared_vectors("psp_flip_cycle") else { return };
    assert!(rows.len() >= 3, "the file holds fewer vectors than it did");
    for row in rows {
        let pieces: Vec<(i64, i64)> = row["pairs"]
            .as_array()
            .unwrap()
            .iter()
            .map(|pair| (pair[0].as_i64().unwrap(), pair[1].as_i64().unwrap()))
            .collect();
        assert_eq!(Some(cycle_cost(&pieces, &pairs::cycle(&pieces))), row["cost"].as_i64());
    }
    let rows = shared_vectors("gg_noflip_cycle").unwrap();
    assert!(rows.len() >= 3, "the file holds fewer vectors than it did");
    for row in rows {
        let pieces = from_to(&row);
        assert_eq!(
            Some(cycle_cost(&pieces, &gilmore_gomory::cycle(&pieces))),
            row["cost"].as_i64()
        );
    }
    let rows = shared_vectors("euler_trails").unwrap();
    assert!(rows.len() >= 3, "the file holds fewer vectors than it did");
    for row in rows {
        let runs = trails::runs(&from_to(&row), true);
        assert_eq!(Some(runs.len() as i64), row["trails"].as_i64());
    }
}

/// Ten thousand pieces of nine shapes: the orders stay whole, and as good as their bounds.
#[test]
fn many_pieces_are_ordered_too() {
    let mut dice = Dice(9);
    let pieces: Vec<(i64, i64)> =
        (0..10_000).map(|_| (dice.between(-4, 4), dice.between(-4, 4))).collect();
    // Every shape meets every other: nothing is lost but at odd ends.
    let runs = trails::runs(&pieces, true);
    let mut degree = [0_i64; 9];
    for (a, b) in &pieces {
        degree[(a + 4) as usize] += 1;
        degree[(b + 4) as usize] += 1;
    }
    let odd = degree.iter().filter(|d| *d % 2 != 0).count();
    assert_eq!(runs.len(), (odd / 2).max(1));
    let order = pairs::cycle(&pieces);
    is_an_order(pieces.len(), &order, true);
    let order = gilmore_gomory::cycle(&pieces);
    is_an_order(pieces.len(), &order, false);
}
