//! The judge's yardstick on everything a line can do: planned programs of random shops (patterns
//! over the cut and beside it, bites, stamps, turned pieces, presses, clashes, stations below the
//! shear, parting shears, bars, gaps) spoiled in every way, and judged by a second judge too.
#![allow(clippy::float_arithmetic)]

use super::{compile, shop, situation};
use crate::mutants::naive::Naive;
use crate::mutants::{Bench, Count, Dice, KINDS, Piece, table};
use coilwright::diagnostic::{Diagnostic, any_error};
use coilwright::library::model::*;
use coilwright::program::{Event, Program};
use coilwright::quantity::{Length, Time};
use coilwright::replay::{Expected, MachineTime, judge, replay};
use std::collections::BTreeMap;

/// What a kind of mutant is refused or accepted for, whatever else it does: in no case taken.
const NEVER_TAKEN: [&str; 5] = [
    "let tools that fire at once fire in turn",
    "fire clashing tools together",
    "overload a press",
    "move a stamp out of its window",
    "misprint a mark",
];

/// Strokes of each sort in the honest programs: what the mutants had to work on.
fn met(
    bench: &Bench<'_>,
    program: &Program,
    turned: usize,
    met: &mut BTreeMap<&'static str, usize>,
) {
    let mut add = |what, n: usize| *met.entry(what).or_default() += n;
    add("turned pieces", turned);
    add("parting shears", usize::from(bench.line.shear.slug == Length::ZERO));
    add("warm strips", usize::from(program.warm));
    let good = |e: &Event| matches!(e, Event::Cut { piece: Some(_), .. });
    let sloped = |e: &&Event| matches!(e, Event::Cut { slope, .. } if !slope.is_square());
    add("sloped cuts", program.events.iter().filter(sloped).count());
    let first = program.events.iter().position(good).unwrap_or(0);
    let scrap = |e: &&Event| matches!(e, Event::Cut { piece: None, .. });
    add("gaps", program.events.iter().skip(first).filter(scrap).count());
    for event in &program.events {
        match event {
            Event::Stop { strokes, .. } => {
                add("stops in phases", usize::from(strokes.iter().any(|s| s.phase > 0)));
                for tool in strokes.iter().filter_map(|s| bench.line.tool(s.tool)) {
                    let below =
                        bench.line.stations[usize::from(tool.station.0)].offset.is_negative();
                    add("downstream strokes", usize::from(below));
                    match (tool.how, tool.also.is_empty()) {
                        (How::Nibble { .. }, _) => add("bites", 1),
                        (How::Straddle, false) => add("patterns over a cut", 1),
                        (How::Straddle, true) => add("strokes over a cut", 1),
                        (_, false) => add("patterns", 1),
                        _ => {}
                    }
                }
            }
            Event::Mark { .. } => {
                let stamp = bench.line.marker.as_ref().and_then(|marker| marker.stamp);
                match stamp.map(|stamp| stamp.slack == Length::ZERO) {
                    None => add("ink", 1),
                    Some(true) => add("stamps in a fixed place", 1),
                    Some(false) => add("stamps in a window", 1),
                }
            }
            Event::Cut { .. } => {}
        }
    }
}

/// On some lines whatever fires at one stop has to fire in phases; on some a stamp has no slack.
fn crowd(line: &mut Line, seed: u64) {
    let tools = (0..line.tools.len()).map(|n| ToolId(n as u16));
    match seed % 5 {
        0 | 1 => {
            let pairs = |a: ToolId| tools.clone().filter(move |b| a < *b).map(move |b| (a, b));
            line.clashes = tools.clone().flat_map(pairs).collect();
        }
        2 | 3 => {
            line.presses = vec![Press {
                name: "one for all".into(),
                stations: (0..line.stations.len()).map(|n| StationId(n as u16)).collect(),
                force: line.tools.iter().map(|tool| tool.force).max(),
                recovery: Time::from_ms(if seed.is_multiple_of(2) { 700 } else { 0 }),
                span: line.span,
            }];
        }
        _ => {
            if let Some(stamp) = line.marker.as_mut().and_then(|marker| marker.stamp.as_mut()) {
                stamp.slack = Length::ZERO;
            }
        }
    }
}

fn clocks_agree(naive: &Naive<'_>, time: &MachineTime, told: &dyn Fn() -> String) {
    let (strokes, all) = naive.clock();
    let (judged, total) = (time.strokes.ns() as f64 / 1e9, time.total().ns() as f64 / 1e9);
    assert!((strokes - judged).abs() < 1e-6, "{}: strokes take {strokes} s or {judged} s", told());
    assert!((all - total).abs() < 1e-6, "{}: {all} s or {total} s", told());
}

#[test]
fn every_mutant_of_a_plan_that_survives_makes_products_within_tolerance() {
    let mut counts: BTreeMap<&str, Count> = BTreeMap::new();
    let mut sorts: BTreeMap<&'static str, usize> = BTreeMap::new();
    let (mut programs, mut on_bars) = (0, 0);
    for seed in 0..super::shops(3_000) {
        let mut shop = shop(seed);
        crowd(&mut shop.line, seed);
        let (Some(plan), found) = compile(&shop, 1) else { continue };
        if any_error(&found) {
            continue;
        }
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for run in &plan.runs {
            programs += 1;
            on_bars += usize::from(run.coil.bar.is_some());
            let bench = Bench {
                line: &shop.line,
                library: &shop.library,
                calibration: &shop.calibration,
                profile: run.profile,
            };
            let members =
                || run.pieces.iter().map(|p| (p.serial, p.member.of(&shop.jobs).unwrap().2));
            let pieces: Vec<Piece<'_>> = members()
                .map(|(serial, m)| Piece { serial, mark_text: &m.mark_text, shape: &m.shape })
                .collect();
            let expected: Vec<Expected<'_>> = members()
                .map(|(serial, m)| Expected { serial, mark_text: &m.mark_text, shape: &m.shape })
                .collect();
            let on = situation(&shop, run);
            let judged = |program: &Program| {
                let (products, refused) = replay(program, None, &on);
                let (_, faults) = judge(&products, &expected, &shop.library);
                (products.time, refused, faults)
            };
            let (time, refused, faults) = judged(&run.program);
            assert!(!any_error(&refused) && !any_error(&faults), "seed {seed}");
            let naive = Naive { bench, program: &run.program, strict: true };
            assert_eq!(naive.judge(&pieces), Ok(()), "seed {seed}: the naive judge");
            clocks_agree(&naive, &time, &|| format!("seed {seed}"));
            let turned = run.pieces.iter().filter(|piece| piece.turned).count();
            met(&bench, &run.program, turned, &mut sorts);

            for &(kind, mutate) in KINDS {
                let mut mutant = run.program.clone();
                if mutate(&mut dice, &bench, &mut mutant).is_none() {
                    continue;
                }
                let count = counts.entry(kind).or_default();
                count.made += 1;
                let (time, refused, faults) = judged(&mutant);
                let naive = Naive { bench, program: &mutant, strict: true };
                let verdict = naive.judge(&pieces);
                let told = || format!("seed {seed}, {}, {kind}", run.program.id);
                let wrong = |of: &[Diagnostic]| of.iter().any(Diagnostic::is_error);
                if wrong(&refused) {
                    count.refused += 1;
                    continue;
                }
                clocks_agree(&naive, &time, &told);
                if wrong(&faults) {
                    count.faulted += 1;
                    // What is faulted is really wrong, if only where the line is as far off as
                    // it may be.
                    assert!(verdict.is_err(), "{}: {faults:?}", told());
                    continue;
                }
                assert_eq!(verdict, Ok(()), "{} survives", told());
                assert!(mutant == run.program || !NEVER_TAKEN.contains(&kind), "{}", told());
                *(if mutant == run.program { &mut count.same } else { &mut count.within }) += 1;
            }
        }
    }
    println!("{programs} programs, {on_bars} on bars; {sorts:?}");
    let total = table(&counts);
    let missed: Vec<&str> =
        KINDS.iter().map(|(kind, _)| *kind).filter(|kind| !counts.contains_key(kind)).collect();
    assert!(missed.is_empty(), "never met: {missed:?}");
    assert!(sorts.len() == 14 && sorts.values().all(|n| *n > 20) && on_bars > 20, "{sorts:?}");
    assert!(total.made >= 8_000, "{} mutants", total.made);
    // These change nothing but the records or the time.
    let harmless = [
        "part a stop in two records",
        "fire in another phase",
        "nudge a cut by one increment",
        "fire before a press has recovered",
    ];
    for (kind, c) in &counts {
        let caught = c.refused + c.faulted;
        assert!(caught > 0 || harmless.contains(kind), "{kind}: never caught");
    }
}
