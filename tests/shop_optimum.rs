//! Whole batches on small mixed racks against every plan there is: coils with defects and bars,
//! slugs, heads, tails, remnants that go back, changes of coils, frames that stay together. The
//! brute force counts strip by an arithmetic of its own, from the figures of the line as written in
//! the fixture. No bound passes the best plan, no plan beats it, and what is called proved is it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    clippy::print_stdout,
    missing_docs
)]

mod common;

use coilwright::plan::{self, Least, Options, Plan};
use common::Dice;
use common::small_shop::{STRIP, small_shop};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Of the fixture's line, in mm.
const SLUG: i64 = 4;
const DROP: i64 = 30;
const HEAD: i64 = 10;

/// A coil or bar, in mm.
#[derive(Clone, Debug)]
struct Strip {
    length: i64,
    defect: Option<(i64, i64)>,
    tail: i64,
    parting: i64,
    /// What loading it counts.
    worth: i64,
}

/// Frames of pieces, in mm, on a rack.
#[derive(Debug)]
struct Case {
    frames: Vec<Vec<i64>>,
    strips: Vec<Strip>,
    keep: i64,
    /// What a change of coils counts.
    worth: i64,
    whole: bool,
}

fn random(dice: &mut Dice) -> Case {
    let bars = dice.below(3) == 0;
    let worth = [0, 0, 700][dice.below(3) as usize];
    let strip = |dice: &mut Dice| {
        let length = dice.between(2_400, 7_000);
        let from = dice.between(1, length - 1);
        let to = (from + dice.between(1, 500)).min(length);
        Strip {
            length,
            defect: (dice.below(3) == 0).then_some((from, to)),
            tail: 1_200,
            parting: 500,
            worth,
        }
    };
    let mut strips: Vec<Strip> = (0..dice.between(1, 3)).map(|_| strip(dice)).collect();
    if bars {
        let length = dice.between(1_500, 4_000);
        // 90 s of the 600 that a coil takes.
        let bar = Strip { length, defect: None, tail: 40, parting: 0, worth: worth * 90 / 600 };
        strips.extend(vec![bar; dice.between(1, 2) as usize]);
    }
    let frames = (0..dice.between(1, 4))
        .map(|_| (0..dice.between(1, 2)).map(|_| dice.between(200, 1_400)).collect())
        .collect();
    let keep = [300, 1_000, 9_000][dice.below(3) as usize];
    Case { frames, strips, keep, worth, whole: dice.below(2) == 0 }
}

/// What a strip loses to these pieces in this order, if they fit.
fn used(case: &Case, strip: &Strip, order: &[i64]) -> Option<i64> {
    // Where the cut lies that the next piece begins behind.
    let mut base = HEAD - SLUG;
    for (place, length) in order.iter().enumerate() {
        if let Some((from, to)) = strip.defect
            && base + SLUG < to
            && base + SLUG + length > from
        {
            // The head takes it, or a piece of scrap that drops.
            base = if place == 0 { to - SLUG } else { (to - SLUG).max(base + SLUG + DROP) };
        }
        base += SLUG + length;
    }
    if base > strip.length - strip.tail {
        return None;
    }
    let rest = (strip.length - base - SLUG).max(0);
    let parted = strip.parting.min(rest);
    Some(if rest - parted >= case.keep { strip.length - rest + parted } else { strip.length })
}

fn orders<T: Clone>(list: &[T]) -> Vec<Vec<T>> {
    if list.is_empty() {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (i, first) in list.iter().enumerate() {
        let mut rest = list.to_vec();
        rest.remove(i);
        for mut order in orders(&rest) {
            order.insert(0, first.clone());
            all.push(order);
        }
    }
    all
}

/// The least strip used, and the least with changes counted, over every plan.
fn best(case: &Case) -> Option<(i64, i64)> {
    let bundles: Vec<Vec<i64>> = match case.whole {
        true => case.frames.clone(),
        false => case.frames.iter().flatten().map(|&length| vec![length]).collect(),
    };
    let n = bundles.len();
    // What each set of bundles costs on each strip.
    let mut on: Vec<BTreeMap<usize, i64>> = vec![BTreeMap::new(); case.strips.len()];
    for set in 1..1_usize << n {
        let chosen: Vec<&Vec<i64>> =
            (0..n).filter(|i| set >> i & 1 == 1).map(|i| &bundles[i]).collect();
        let sum: i64 = chosen.iter().flat_map(|b| b.iter()).map(|length| length + SLUG).sum();
        for (strip, on) in case.strips.iter().zip(&mut on) {
            if sum > strip.length {
                continue;
            }
            // Without a defect every order comes to the same.
            let tried = if strip.defect.is_none() { vec![chosen.clone()] } else { orders(&chosen) };
            let within = tried.iter().flat_map(|order| {
                order.iter().fold(vec![Vec::new()], |before: Vec<Vec<i64>>, bundle| {
                    let each =
                        if strip.defect.is_none() { vec![bundle.to_vec()] } else { orders(bundle) };
                    let with = |order: &Vec<i64>| {
                        let order = order.clone();
                        each.iter().map(move |more| [&order[..], more].concat()).collect::<Vec<_>>()
                    };
                    before.iter().flat_map(with).collect()
                })
            });
            if let Some(least) = within.filter_map(|order| used(case, strip, &order)).min() {
                on.insert(set, least);
            }
        }
    }
    let mut reached: BTreeMap<usize, (i64, i64)> = BTreeMap::from([(0, (0, 0))]);
    for (strip, on) in case.strips.iter().zip(&on) {
        let before = reached.clone();
        for (set, (used, worth)) in before {
            for (more, cost) in on.iter().filter(|(more, _)| *more & set == 0) {
                let with = (used + cost, worth + cost + strip.worth);
                let known = reached.entry(set | more).or_insert(with);
                *known = (known.0.min(with.0), known.1.min(with.1));
            }
        }
    }
    reached.get(&((1 << n) - 1)).copied()
}

fn planned(case: &Case) -> Option<Plan> {
    let mut job = String::new();
    for (f, frame) in case.frames.iter().enumerate() {
        let _ = writeln!(job, "frame F{f} wall profile C90 {{");
        for (m, length) in frame.iter().enumerate() {
            let _ = writeln!(job, "member M{m} stud length {length}");
        }
        job.push_str("}\n");
    }
    let mut stock = String::new();
    for (s, strip) in case.strips.iter().enumerate() {
        let length = strip.length;
        if strip.parting == 0 {
            let _ = writeln!(
                stock,
                "[[bar]]\nid = \"B{s}\"\nlength = \"{length} mm\"\ncount = 1\n{STRIP}"
            );
            continue;
        }
        let defects = strip.defect.map_or(String::new(), |(from, to)| {
            format!("defects = [{{ from = \"{from} mm\", to = \"{to} mm\" }}]\n")
        });
        let _ = writeln!(
            stock,
            "[[coil]]\nid = \"K{s}\"\nlength = \"{length} mm\"\nuncertainty = \"0 %\"\n{defects}{STRIP}"
        );
    }
    let keep = format!("keep = \"{} mm\"", case.keep);
    let worth = format!("coil-change-worth = \"{} mm\"", case.worth);
    let mut batch = vec![
        ("keep = \"2 m\"", keep.as_str()),
        ("coil-change-worth = \"5 m\"", worth.as_str()),
        ("order = \"as-listed\"", "order = \"free\""),
    ];
    if !case.whole {
        batch.push(("bundling = \"frame\"", "bundling = \"none\""));
    }
    let shop = small_shop(&[&job], &stock, &batch);
    let options = Options { ticks: 20_000, threads: 1 };
    let (plan, found) = plan::plan(&shop.inputs(), &options, &());
    assert!(found.iter().all(|found| found.code.number != "E0604"), "{case:?} {found:#?}");
    plan.filter(|plan| plan.profiles[0].shortage.is_none())
}

#[test]
fn no_plan_beats_every_plan_and_no_bound_passes_them() {
    let mut dice = Dice(51);
    let rounds = match std::env::var("COILWRIGHT_RACKS") {
        Ok(text) => text.parse().unwrap(),
        Err(_) => 600,
    };
    let (mut possible, mut made, mut least, mut proved, mut defects) = (0, 0, 0, 0, 0);
    let (mut over, mut total) = (0, 0);
    for round in 0..rounds {
        let case = random(&mut dice);
        let Some((strip, worth)) = best(&case) else {
            // A frame that no strip takes whole is parted: then there may be a plan.
            assert!(case.whole || planned(&case).is_none(), "{round}: {case:?}");
            continue;
        };
        possible += 1;
        let Some(plan) = planned(&case) else { continue };
        made += 1;
        defects += usize::from(plan.runs.iter().any(|run| !run.coil.defects.is_empty()));
        let of = &plan.profiles[0];
        let mm = |nm: i64| {
            assert_eq!(nm % 1_000_000, 0, "{round}: {case:?}");
            nm / 1_000_000
        };
        let used = mm(of.used.nm());
        let bound = of.bound.unwrap().nm();
        let shown = || format!("{round}: {case:?} used {used}, best {strip} {worth}, {of:?}");
        // What bars and coils are worth together; nought where nothing is.
        let counted = of.worth.map_or(used, |worth| mm(worth.plan.nm()));
        assert!(used >= strip && counted >= worth, "a plan that cannot be: {}", shown());
        assert!(bound <= strip * 1_000_000, "a bound that is passed: {}", shown());
        if let Some(bounded) = of.worth {
            assert!(bounded.bound.nm() <= worth * 1_000_000, "a bound that is passed: {}", shown());
        }
        for proof in &of.proofs {
            let (comes_to, can) = match proof.least {
                Least::Strip => (used, strip),
                Least::Worth => (counted, worth),
            };
            if proof.strip().nm() == comes_to * 1_000_000 {
                proved += 1;
                assert_eq!(comes_to, can, "proved and wrong: {}", shown());
            }
        }
        least += usize::from(counted == worth);
        over += counted - worth;
        total += worth;
    }
    println!(
        "of {rounds}, {possible} possible, {made} made, {least} of these at the least, {proved} \
         times proved, {defects} with defects; over the least by {over} of {total} mm"
    );
    assert!(made * 100 >= possible * 97 && least * 100 >= made * 90, "{made} {least}");
    assert!(proved * 2 > made && defects * 6 > made, "{proved} {defects}");
}
