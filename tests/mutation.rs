//! The judge's yardstick: programs of a simple reference compiler pass, and of thousands of
//! mutants every one that survives makes the same products or others within tolerance, shown by
//! a second judge written here, naively, in floating point, from the events alone.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_arithmetic,
    clippy::print_stdout,
    missing_docs
)]

#[path = "common/dice.rs"]
mod dice;
mod mutants;
mod replay_shop;

use coilwright::member::model::ProfileId;
use mutants::naive::Naive;
use mutants::{Bench, Count, Piece, table};
use replay_shop::compile::*;
use replay_shop::*;
use std::collections::BTreeMap;

#[test]
fn every_mutant_that_survives_makes_products_within_tolerance() {
    let mut counts: BTreeMap<&str, Count> = BTreeMap::new();
    let mut programs = 0;
    for seed in 1..=60_u64 {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let mut shop = random_shop(&mut dice);
        let count = 3 + dice.below(7);
        let wanted = random_members(&mut dice, &shop, count);
        let Some(program) = compile(&mut shop, &wanted) else { continue };
        programs += 1;
        let outcome = run(&shop, &program, &wanted);
        assert!(
            outcome.accepted(),
            "seed {seed}: the honest program fails: {:?} {:?}",
            outcome.refused,
            outcome.faults
        );
        assert_eq!(outcome.verdict.right, wanted.len());
        let bench = Bench {
            line: &shop.line,
            library: &shop.library,
            calibration: &shop.calibration,
            profile: ProfileId(0),
        };
        let pieces: Vec<Piece<'_>> = wanted
            .iter()
            .map(|w| Piece { serial: w.serial, mark_text: &w.mark_text, shape: &w.shape })
            .collect();
        let naive = Naive { bench, program: &program, strict: true };
        assert_eq!(naive.judge(&pieces), Ok(()), "seed {seed}: the naive judge");
        let mut dice = mutants::Dice(dice.0);

        for &(kind, mutate) in mutants::KINDS {
            for turn in 0..6 {
                let mut mutant = program.clone();
                if mutate(&mut dice, &bench, &mut mutant).is_none() {
                    continue;
                }
                let count = counts.entry(kind).or_default();
                count.made += 1;
                let outcome = run(&shop, &mutant, &wanted);
                let naive = Naive { bench, program: &mutant, strict: true }.judge(&pieces);
                let told = || format!("seed {seed}, {kind} {turn}");
                if outcome.accepted() {
                    assert_eq!(naive, Ok(()), "{} survives", told());
                    if mutant == program {
                        count.same += 1;
                    } else {
                        count.within += 1;
                    }
                } else if !outcome.refused.is_empty() {
                    count.refused += 1;
                } else {
                    count.faulted += 1;
                    // What is faulted is really wrong, if only where the line is as far off as
                    // it may be.
                    assert!(naive.is_err(), "{}: {:?}", told(), outcome.faults);
                }
            }
        }
    }
    println!("{programs} programs");
    let total = table(&counts);
    assert!(programs >= 50, "{programs} programs are too few");
    // What this line has no tools for is met on random shops (`tests/mutants_of_plans`).
    assert_eq!(counts.len(), 31, "kinds met");
    assert!(total.made >= 8_000, "{} mutants", total.made);
    // A mutation that is never caught proves nothing, but for those that change nothing real:
    // records and phases of a stop whose strokes do not meet, and an increment, which is at most
    // half of any length tolerance here.
    let harmless =
        ["part a stop in two records", "fire in another phase", "nudge a cut by one increment"];
    for (kind, c) in &counts {
        let caught = c.refused + c.faulted;
        assert!(caught > 0 || harmless.contains(kind), "{kind}: never caught");
    }
}
