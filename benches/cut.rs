//! Cutting stock: a wide list, triplets without waste, and several kinds of stock.
#![allow(missing_docs)]

use coilwright::nest::cutting::{Item, Problem, Stock, solve};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

/// A sequence that looks like chance.
fn roll(seed: &mut u64, n: u64) -> i64 {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
    i64::try_from((*seed >> 33) % n).unwrap_or(0)
}

fn problem(length: i64, pieces: impl Iterator<Item = i64>) -> Option<Problem> {
    let items: Vec<Item> = pieces.map(|length| Item { length, demand: 1 }).collect();
    Problem::new(vec![Stock { length, count: None, cost: 1, kept: None }], &items).ok()
}

/// Bars of 6 m and 300 pieces of 0.4 to 3 m, in millimetres.
fn wide() -> Option<Problem> {
    let mut seed = 1;
    problem(6_000, (0..300).map(|_| 400 + roll(&mut seed, 2_600)))
}

/// Forty stocks of 1000 cut in three, with nothing left.
fn triplets() -> Option<Problem> {
    let mut seed = 2;
    let stocks = (0..40).flat_map(|_| {
        let first = 380 + roll(&mut seed, 120);
        let second = 250 + roll(&mut seed, 80);
        [first, second, 1_000 - first - second]
    });
    problem(1_000, stocks.collect::<Vec<_>>().into_iter())
}

/// Three kinds of stock, two of them limited, by cost.
fn several() -> Option<Problem> {
    let mut seed = 3;
    let items: Vec<Item> = (0..40)
        .map(|_| Item { length: 300 + roll(&mut seed, 1_500), demand: 1 + seed % 3 })
        .collect();
    let stocks = [(6_000, None, 60), (4_000, Some(6), 38), (7_500, Some(4), 70)]
        .map(|(length, count, cost)| Stock { length, count, cost, kept: None });
    Problem::new(stocks.to_vec(), &items).ok()
}

fn bench(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("cut");
    group.sample_size(10);
    for (name, problem) in [("wide", wide()), ("triplets", triplets()), ("several", several())] {
        let Some(problem) = problem else { continue };
        group.bench_function(name, |bencher| {
            bencher.iter(|| solve(black_box(&problem), 200_000, &|| false));
        });
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
