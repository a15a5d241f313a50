//! Cutting stock: against brute force on small random cases, against published optima where the
//! shared collection is there, and certificates that were tampered with.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, missing_docs)]

use coilwright::nest::cutting::{self, Certificate, Item, Problem, Stock};
use coilwright::plan::{proved, reason};
use coilwright::proof::{self, Reason};
use std::collections::BTreeMap;
use std::path::Path;

/// Enough for any small case.
const TICKS: u64 = 5_000_000;

struct Roll(u64);

impl Roll {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963);
        (self.0 >> 33) % n
    }
    fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.below(high - low + 1)
    }
}

/// Least cost by trying every way: of the longest piece left, every kind of stock and every set
/// of others that goes with it.
fn brute(problem: &Problem) -> Option<i64> {
    type Seen = BTreeMap<(Vec<u64>, Vec<u64>), Option<i64>>;
    fn rest(problem: &Problem, wanted: &[u64], stock: &[u64], seen: &mut Seen) -> Option<i64> {
        let Some(first) = wanted.iter().position(|&n| n > 0) else { return Some(0) };
        let key = (wanted.to_vec(), stock.to_vec());
        if let Some(&known) = seen.get(&key) {
            return known;
        }
        let mut best: Option<i64> = None;
        for (kind, s) in problem.stocks().iter().enumerate() {
            let length = problem.items()[first].length;
            if stock[kind] == 0 || length > s.length {
                continue;
            }
            let mut left = wanted.to_vec();
            left[first] -= 1;
            let mut stock = stock.to_vec();
            stock[kind] -= 1;
            fill(problem, first, s.length - length, &mut left, &mut |left| {
                if let Some(cost) = rest(problem, left, &stock, seen) {
                    let cost = cost + s.cost;
                    best = Some(best.map_or(cost, |b| b.min(cost)));
                }
            });
        }
        seen.insert(key, best);
        best
    }
    fn fill(
        problem: &Problem,
        from: usize,
        room: i64,
        left: &mut Vec<u64>,
        then: &mut dyn FnMut(&[u64]),
    ) {
        if from == left.len() {
            return then(left);
        }
        let length = problem.items()[from].length;
        let most = left[from].min((room / length) as u64);
        for taken in 0..=most {
            left[from] -= taken;
            fill(problem, from + 1, room - length * taken as i64, left, then);
            left[from] += taken;
        }
    }
    let wanted: Vec<u64> = problem.items().iter().map(|item| item.demand).collect();
    let stock: Vec<u64> =
        problem.stocks().iter().map(|s| s.count.unwrap_or(problem.pieces())).collect();
    rest(problem, &wanted, &stock, &mut BTreeMap::new())
}

/// A few pieces of a few lengths, from one to three kinds of stock.
fn random(roll: &mut Roll) -> Option<Problem> {
    let longest = roll.between(8, 40) as i64;
    let kinds = roll.between(1, 3);
    let stocks: Vec<Stock> = (0..kinds)
        .map(|kind| {
            let length = if kind == 0 { longest } else { roll.between(4, longest as u64) as i64 };
            let count = (roll.below(2) == 0).then(|| roll.between(1, 4));
            let cost = match roll.below(3) {
                0 => 1,
                1 => length,
                _ => roll.between(1, 30) as i64,
            };
            Stock { length, count, cost }
        })
        .collect();
    let mut pieces = roll.between(1, 9);
    let mut items = Vec::new();
    while pieces > 0 {
        let demand = roll.between(1, pieces.min(3));
        pieces -= demand;
        items.push(Item { length: roll.between(1, longest as u64) as i64, demand });
    }
    Problem::new(stocks, &items).ok()
}

#[test]
fn as_good_as_trying_every_way() {
    let count = match std::env::var("COILWRIGHT_CUTS") {
        Ok(text) => text.parse().unwrap(),
        Err(_) => 400,
    };
    let mut roll = Roll(3);
    let (mut possible, mut several, mut impossible) = (0, 0, 0);
    for case in 0..count {
        let Some(problem) = random(&mut roll) else { continue };
        let outcome = cutting::solve(&problem, TICKS, &|| false);
        let Some(best) = brute(&problem) else {
            assert!(outcome.plan.is_none(), "case {case}: {problem:?}");
            impossible += 1;
            // That there is none is proved too: a plan would cost more than all stock.
            assert!(outcome.bound > problem.dearest(), "case {case}: {problem:?} {outcome:?}");
            let told = proved(&problem, outcome.bound, &outcome.certificate, &|| false);
            assert_eq!(told, Ok(()), "case {case}: {problem:?} {outcome:?}");
            continue;
        };
        let shown = || format!("case {case}: {problem:?}\n{outcome:?}");
        possible += 1;
        several += usize::from(problem.stocks().len() > 1);
        let plan = outcome.plan.as_ref().unwrap_or_else(|| panic!("{}", shown()));
        assert!(cutting::verify(&problem, plan), "{}", shown());
        assert_eq!(plan.cost(&problem), i128::from(best), "{}", shown());
        assert_eq!(outcome.bound, i128::from(best), "{}", shown());
        assert_eq!(
            proved(&problem, outcome.bound, &outcome.certificate, &|| false),
            Ok(()),
            "{}",
            shown()
        );
        let more = proved(&problem, outcome.bound + 1, &outcome.certificate, &|| false);
        assert!(more.is_err(), "proves too much: {}", shown());
    }
    assert!(impossible > 0 && possible * 2 > count && several * 4 > count, "{possible}, {several} of {count}");
}
