//! Order of jobs and open bundles: the verifier against the definition, nesting against every
//! plan there is, on small racks.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::library::model::{Bundling, JobOrder};
use coilwright::nest::solution::Cost;
use coilwright::nest::{Bundle, CoilSpace, Instance, Load, Policy, Solution, nest, verify};
use coilwright::quantity::Length;
use common::{Dice, mm};

fn instance(dice: &mut Dice, bundles: i64, jobs: i64) -> Instance {
    let mut ranks: Vec<usize> = (0..bundles).map(|_| dice.below(jobs) as usize).collect();
    ranks.sort_unstable();
    let pitches: Vec<Length> = ranks.iter().map(|_| mm(dice.between(4, 30))).collect();
    let material: i64 = pitches.iter().map(|l| l.nm() / 1_000_000).sum();
    let coils = dice.between(1, 3);
    Instance {
        bundles: (0_u32..)
            .zip(ranks.iter().zip(&pitches))
            .map(|(i, (&rank, &length))| Bundle {
                gaps: 0,
                in_gaps: Length::ZERO,
                rank,
                length,
                pieces: vec![i],
                frame: i as usize,
            })
            .collect(),
        pitches,
        heads: Vec::new(),
        coils: (0..coils)
            .map(|i| CoilSpace {
                coil: i as usize,
                length: mm(dice.between(material / coils + 2, material / coils + 40)),
                reserve: mm(dice.between(0, 3)),
                tail: Length::ZERO,
                part_used: dice.below(2) == 0,
                threaded: i == 0 && dice.below(4) == 0,
                parting: mm(2),
                opening: mm(dice.between(0, 5)),
                head: Length::ZERO,
                bar: None,
            })
            .collect(),
        policy: Policy {
            bundling: Bundling::Frame,
            order: JobOrder::Free,
            keep: mm(12),
            last_stays: dice.below(2) == 0,
        },
    }
}

/// Every order of the numbers below `n`.
fn orders(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for shorter in orders(n - 1) {
        for place in 0..n {
            let mut order = shorter.clone();
            order.insert(place, n - 1);
            all.push(order);
        }
    }
    all
}

/// As the documentation has it: a job of rank r may not begin before every job of a rank less
/// than r − N is done.
fn in_window(instance: &Instance, order: &[usize], places: i64) -> bool {
    let rank = |b: usize| instance.bundles[b].rank as i64;
    order.iter().enumerate().all(|(at, &b)| {
        (0..instance.bundles.len())
            .filter(|&other| rank(other) < rank(b) - places)
            .all(|other| order[..at].contains(&other))
    })
}

fn one_load(order: &[usize], all: usize) -> Solution {
    let short = (0..all).filter(|b| !order.contains(b)).collect();
    Solution { loads: vec![Load { coil: 0, bundles: order.to_vec() }], short }
}

#[test]
fn the_verifier_knows_the_window() {
    let mut dice = Dice(11);
    let (mut right, mut wrong) = (0, 0);
    for _ in 0..60 {
        let mut instance = instance(&mut dice, 5, 4);
        instance.coils[0].length = mm(1_000);
        instance.coils[0].reserve = Length::ZERO;
        for places in 0..3 {
            let word = if places == 0 { JobOrder::AsListed } else { JobOrder::Window(0) };
            let order = if places < 2 { word } else { JobOrder::Window(places) };
            instance.policy.order = order;
            let places = order.reach().unwrap() as i64;
            for mut tried in orders(5) {
                // Now and then some are short.
                tried.truncate(5 - dice.below(2) as usize * dice.below(3) as usize);
                let meant = in_window(&instance, &tried, places);
                let verdict = verify(&instance, &one_load(&tried, 5));
                assert_eq!(verdict.is_ok(), meant, "{order:?} {tried:?} {verdict:?}");
                *(if meant { &mut right } else { &mut wrong }) += 1;
            }
        }
    }
    assert!(right > 1_000 && wrong > 1_000, "{right} right, {wrong} wrong");
}

/// The least cost of all plans that make everything: every order, cut onto coils in every order.
fn best_of_all(instance: &Instance) -> Option<Cost> {
    let n = instance.bundles.len();
    let mut best = None;
    for order in orders(n) {
        for coils in orders(instance.coils.len()) {
            for cuts in 0..1_usize << (n - 1) {
                if cuts.count_ones() as usize >= coils.len() {
                    continue;
                }
                let mut loads = vec![Load { coil: coils[0], bundles: Vec::new() }];
                for (i, &b) in order.iter().enumerate() {
                    if i > 0 && cuts >> (i - 1) & 1 == 1 {
                        loads.push(Load { coil: coils[loads.len()], bundles: Vec::new() });
                    }
                    loads.last_mut().unwrap().bundles.push(b);
                }
                let solution = Solution { loads, short: Vec::new() };
                if verify(instance, &solution).is_ok() {
                    let cost = solution.cost(instance);
                    best = Some(best.map_or(cost, |b: Cost| b.min(cost)));
                }
            }
        }
    }
    best
}

#[test]
fn nesting_keeps_the_window_and_never_beats_every_plan() {
    let mut dice = Dice(12);
    let (mut best, mut beaten, mut whole, mut freer) = (0, 0, 0, 0);
    for round in 0..150 {
        let mut instance = instance(&mut dice, 5, 3);
        let mut before: Option<Cost> = None;
        for order in [JobOrder::AsListed, JobOrder::Window(1), JobOrder::Free] {
            instance.policy.order = order;
            let found = nest(&instance, 2_000, &|| false);
            verify(&instance, &found).unwrap();
            let made: Vec<usize> = found.loads.iter().flat_map(|l| l.bundles.clone()).collect();
            if let Some(places) = order.reach() {
                assert!(in_window(&instance, &made, places as i64), "{round}");
            }
            let Some(least) = best_of_all(&instance) else { continue };
            // More freedom costs nothing.
            if let Some(before) = before {
                assert!(least <= before);
                freer += usize::from(least < before);
            }
            before = Some(least);
            let cost = found.cost(&instance);
            assert!(cost >= least, "{round} {order:?}: {cost:?} under {least:?}");
            whole += usize::from(found.short.is_empty());
            *(if cost.lost == least.lost { &mut best } else { &mut beaten }) += 1;
        }
    }
    println!(
        "{best} as good as any plan, {beaten} beaten, {whole} whole; more freedom paid {freer}"
    );
    // Nesting has no exhaustive search: it makes everything that can be made, and loses more than
    // the least in about four of ten of these tight racks.
    assert_eq!(whole, best + beaten);
    assert!(freer > 10 && best > beaten, "{best} {beaten} {freer}");
}

/// As the documentation has it: a frame is unfinished from its first piece to its last, and for
/// good where one of its pieces is short.
fn most_unfinished(instance: &Instance, order: &[usize]) -> usize {
    let frames: Vec<usize> = instance.bundles.iter().map(|b| b.frame).collect();
    let at = |t: usize| {
        let unfinished = |frame: &usize| {
            let begun = order[..=t].iter().any(|&b| frames[b] == *frame);
            begun && (0..frames.len()).any(|b| frames[b] == *frame && !order[..t].contains(&b))
        };
        let mut distinct = frames.clone();
        distinct.dedup();
        distinct.iter().filter(|frame| unfinished(frame)).count()
    };
    (0..order.len()).map(at).max().unwrap_or(0)
}

/// Single pieces in frames of one to three, each of one job.
fn in_frames(dice: &mut Dice, pieces: i64) -> Instance {
    let mut instance = instance(dice, pieces, 2);
    let mut first = 0;
    for b in 1..instance.bundles.len() {
        let same = instance.bundles[b].rank == instance.bundles[first].rank;
        if !same || b - first == 3 || dice.below(3) == 0 {
            first = b;
        }
        instance.bundles[b].frame = first;
    }
    instance
}

#[test]
fn the_verifier_counts_open_frames() {
    let mut dice = Dice(21);
    let (mut right, mut wrong) = (0, 0);
    for _ in 0..60 {
        let mut instance = in_frames(&mut dice, 5);
        instance.coils[0].length = mm(1_000);
        instance.coils[0].reserve = Length::ZERO;
        for most in 1..4 {
            instance.policy.bundling = Bundling::Open(most);
            for mut tried in orders(5) {
                tried.truncate(5 - dice.below(2) as usize * dice.below(3) as usize);
                let meant = most_unfinished(&instance, &tried) <= most;
                let verdict = verify(&instance, &one_load(&tried, 5));
                assert_eq!(verdict.is_ok(), meant, "{most} {tried:?} {verdict:?}");
                *(if meant { &mut right } else { &mut wrong }) += 1;
            }
        }
    }
    assert!(right > 1_000 && wrong > 1_000, "{right} right, {wrong} wrong");
}

#[test]
fn nesting_leaves_no_more_frames_open_than_may_be() {
    let mut dice = Dice(22);
    let (mut best, mut beaten, mut freer) = (0, 0, 0);
    for round in 0..150 {
        let mut instance = in_frames(&mut dice, 5);
        if dice.below(2) == 0 {
            instance.policy.order = JobOrder::AsListed;
        }
        let mut before: Option<Cost> = None;
        for most in 1..4 {
            instance.policy.bundling = Bundling::Open(most);
            let found = nest(&instance, 2_000, &|| false);
            verify(&instance, &found).unwrap();
            let made: Vec<usize> = found.loads.iter().flat_map(|l| l.bundles.clone()).collect();
            assert!(made.is_empty() || most_unfinished(&instance, &made) <= most, "{round}");
            let Some(least) = best_of_all(&instance) else { continue };
            if let Some(before) = before {
                assert!(least <= before);
                freer += usize::from(least < before);
            }
            before = Some(least);
            let cost = found.cost(&instance);
            assert!(cost >= least, "{round} {most}: {cost:?} under {least:?}");
            let same = cost.short == least.short && cost.lost == least.lost;
            *(if same { &mut best } else { &mut beaten }) += 1;
        }
    }
    println!("{best} as good as any plan, {beaten} beaten; more room paid {freer}");
    assert!(freer > 0 && best > beaten, "{best} {beaten} {freer}");
}
