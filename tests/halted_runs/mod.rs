//! Runs of random shops, stopped anywhere: what is begun is finished as it was begun, what is left
//! is compiled anew with another calibration, and old and new make every piece once.

use super::{compile, shop};
use crate::common::*;
use coilwright::diagnostic::any_error;
use coilwright::halt::{Standing, joined, stand};
use coilwright::library::model::*;
use coilwright::plan::{Plan, Run};
use coilwright::program::{Event, Program, Serial};
use coilwright::quantity::*;
use coilwright::replay::{Ending, Expected, Situation, judge, replay};
use std::collections::{BTreeMap, BTreeSet};

fn situation<'a>(shop: &'a super::Shop, run: &'a Run) -> Situation<'a> {
    let ending = Ending { keep: shop.batch.keep, at_end: AtEnd::StayThreaded };
    Situation { ending, ..super::situation(shop, run) }
}

/// Where strokes of these events lie, in figures of the program: from, to.
fn struck<'a>(
    shop: &'a super::Shop,
    run: &Run,
    events: &'a [Event],
) -> impl Iterator<Item = (Length, Length)> + 'a {
    let factor = shop.calibration.strip_factor(run.profile);
    let profile = run.profile;
    events.iter().flat_map(move |event| {
        let Event::Stop { at, strokes } = event else { return Vec::new() };
        let marks = strokes.iter().flat_map(|stroke| {
            let tool = shop.line.tool(stroke.tool).unwrap();
            let station = shop.line.station(tool.station).unwrap();
            let c = at.distance() + shop.calibration.offset(tool.station, station.offset, profile);
            let own = tool.makes.outline.length().stretched(factor);
            let slug = shop.line.shear.slug;
            let straddles = tool.how == How::Straddle;
            let mut marks = match straddles {
                true => vec![(c - own, c + slug + own)],
                false => vec![(c - own.half(), c + own.half())],
            };
            for part in &tool.also {
                let (at, half) = (
                    part.at.stretched(factor),
                    part.makes.outline.length().stretched(factor).half(),
                );
                let places = if straddles { vec![c + slug + at, c - at] } else { vec![c + at] };
                marks.extend(places.into_iter().map(|place| (place - half, place + half)));
            }
            marks
        });
        marks.collect()
    })
}

/// The pieces of a plan by what the drawing calls them, with their serials.
fn named(shop: &super::Shop, run: &Run) -> Vec<DonePiece> {
    run.pieces
        .iter()
        .map(|piece| {
            let (job, frame, member) = piece.member.of(&shop.jobs).unwrap();
            DonePiece {
                serial: piece.serial.0,
                job: job.name.clone(),
                frame: frame.name.clone(),
                copy: piece.member.copy + 1,
                mark: member.mark.clone(),
                span: SPAN,
            }
        })
        .collect()
}

fn counted(pieces: &[DonePiece]) -> BTreeMap<(&str, &str, u32, &str), u32> {
    let mut counted = BTreeMap::new();
    for p in pieces {
        *counted.entry((&*p.job, &*p.frame, p.copy, &*p.mark)).or_default() += 1;
    }
    counted
}

/// What was cut, begun and left is told apart by where strokes really lie.
fn told_apart(
    shop: &super::Shop,
    run: &Run,
    halt: &Halt,
    standing: &Standing,
    next: usize,
    seed: u64,
) {
    let serials: Vec<Serial> =
        standing.cut.iter().chain(&standing.begun).chain(&standing.left).copied().collect();
    let all: Vec<Serial> = run.pieces.iter().map(|piece| piece.serial).collect();
    assert_eq!(serials, all, "seed {seed}");
    assert_eq!(standing.cut.last(), Some(&Serial(halt.after)), "seed {seed}");
    let until = if halt.kept { standing.done } else { next };
    for piece in run.pieces.iter().filter(|piece| standing.left.contains(&piece.serial)) {
        for (from, to) in struck(shop, run, &run.program.events[..until]) {
            let clear = to <= piece.start.distance() || from >= piece.cut.distance();
            assert!(clear, "seed {seed}: piece {} bears a stroke", piece.serial);
        }
    }
}

/// The last piece that is begun bears a stroke or a mark: no more are finished than have to be.
fn not_too_many(shop: &super::Shop, run: &Run, standing: &Standing, until: usize, seed: u64) {
    let last = run.pieces.iter().find(|piece| Some(&piece.serial) == standing.begun.last());
    let Some(last) = last.filter(|piece| run.coil.bar.is_none() && piece.mark.is_none()) else {
        return;
    };
    let near = um(200);
    let (from, to) = (last.start.distance() - near, last.cut.distance() + near);
    // A scrap piece behind it may be what bears the last one.
    let beside = shop.line.shear.slug + mm(400);
    let touched = struck(shop, run, &run.program.events[..until])
        .any(|(begins, ends)| begins < to + beside && ends > from);
    assert!(touched, "seed {seed}: piece {} bears nothing", last.serial);
}

/// The program that finishes what is begun does, on the strip as the old one left it.
fn finished(shop: &super::Shop, run: &Run, standing: &Standing, seed: u64) {
    let Some(finish) = &standing.finish else {
        assert!(standing.begun.is_empty(), "seed {seed}: nothing finishes them");
        return;
    };
    let whole: Program = joined(&run.program, standing.done, Some(finish));
    let mut situation = situation(shop, run);
    if run.coil.bar.is_some() {
        situation.ending.at_end = AtEnd::Unload;
    }
    let (products, found) = replay(&whole, None, &situation);
    assert!(!any_error(&found), "seed {seed}: {found:#?}");
    let made: BTreeSet<Serial> = standing.cut.iter().chain(&standing.begun).copied().collect();
    let expected: Vec<Expected<'_>> = run
        .pieces
        .iter()
        .filter(|piece| made.contains(&piece.serial))
        .map(|piece| {
            let (_, _, member) = piece.member.of(&shop.jobs).unwrap();
            Expected { serial: piece.serial, mark_text: &member.mark_text, shape: &member.shape }
        })
        .collect();
    let (verdict, found) = judge(&products, &expected, &shop.library);
    assert!(!any_error(&found), "seed {seed}: {found:#?}");
    assert_eq!(verdict.right, made.len(), "seed {seed}");
    // Unless nothing more can be driven.
    let coil = &standing.coil;
    let used_up = coil.bar.is_some() || coil.length <= shop.line.tail + mm(200);
    assert!(standing.marked == Length::ZERO || used_up, "seed {seed}: the edge is clean");
    // What is printed is read back the same.
    super::stop_list(&shop.line).print(&Program { id: "B1-00".into(), ..finish.clone() }).unwrap();
}

/// Marks of ink whose text lies partly before and partly behind the marker where the strip stands.
fn half_printed(shop: &super::Shop, run: &Run, standing: &Standing, seed: u64) -> usize {
    let events = &run.program.events;
    let stands = events[standing.done - 1].at().distance();
    let mut half = Vec::new();
    if let Some(marker) = shop.line.marker.as_ref().filter(|marker| marker.stamp.is_none()) {
        for event in &events[..standing.done] {
            let Event::Mark { at, text } = event else { continue };
            let from = at.distance() + marker.offset;
            let to = from + marker.pitch.times(text.chars().count() as i64);
            if to > stands + marker.offset {
                let on = |p: &&coilwright::plan::PlannedPiece| {
                    p.start.distance() <= from && to <= p.cut.distance()
                };
                half.extend(run.pieces.iter().find(on).map(|piece| piece.serial));
            }
        }
    }
    assert_eq!(standing.half_printed, half, "seed {seed}");
    half.len()
}

/// Wherever between two cuts the position was lost, strokes lie within the zone.
fn passed(shop: &super::Shop, run: &Run, standing: &Standing, next: usize, seed: u64) {
    let events = &run.program.events;
    let edge = events[standing.done - 1].at().distance() + shop.line.shear.slug;
    let factor = shop.calibration.controller_factor(run.profile);
    for done in standing.done..=next {
        let Some(furthest) = struck(shop, run, &events[..done]).map(|(_, to)| to).max() else {
            continue;
        };
        let reaches = (furthest - edge).stretched(factor).min(standing.coil.length);
        assert!(reaches <= standing.marked, "seed {seed}: {reaches} {}", standing.marked);
    }
}

/// The stock when the rest begins.
fn rack(shop: &super::Shop, plan: &Plan, number: usize, standing: &Standing) -> Vec<Coil> {
    let mut rack = shop.stock.coils.clone();
    for (i, run) in plan.runs.iter().take(number + 1).enumerate() {
        let factor = shop.calibration.controller_factor(run.profile);
        let now = match i == number {
            true => standing.coil.clone(),
            false => run.coil.after_counted(run.account.consumed(), false, factor),
        };
        for coil in &mut rack {
            *coil = match coil.id == now.id {
                true => now.clone(),
                false => coil.out_of_the_line(shop.line.parting),
            };
        }
    }
    rack.retain(|coil| coil.length > Length::ZERO);
    rack
}

/// Old pieces and new ones are those that are wanted, each once, and no serial is used twice.
fn each_once(shop: &super::Shop, done: &[DonePiece], rest: &Plan, used: u32, seed: u64) {
    let mut all: Vec<DonePiece> = done.to_vec();
    for run in &rest.runs {
        let new = named(shop, run);
        assert!(new.iter().all(|piece| piece.serial > used), "seed {seed}");
        all.extend(new);
    }
    let serials: BTreeSet<u32> = all.iter().map(|piece| piece.serial).collect();
    assert_eq!(serials.len(), all.len(), "seed {seed}: a serial is used twice");
    let mut wanted = BTreeMap::new();
    for job in &shop.jobs {
        for (frame, member) in job.members() {
            for copy in 1..=frame.quantity {
                let key = (&*job.name, &*frame.name, copy, &*member.mark);
                wanted.insert(key, member.quantity);
            }
        }
    }
    assert_eq!(counted(&all), wanted, "seed {seed}");
}

#[test]
fn stopped_runs_are_gone_on_with() {
    let mut dice = Dice(77);
    let mut told: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in 0..super::shops(6_000) {
        let mut shop = shop(seed);
        let (Some(plan), found) = compile(&shop, 1) else { continue };
        if any_error(&found) {
            continue;
        }
        let number = dice.below(plan.runs.len() as i64) as usize;
        let run = &plan.runs[number];
        let after = run.pieces[dice.below(run.pieces.len() as i64) as usize].serial;
        let events = &run.program.events;
        let cut = |e: &Event| matches!(e, Event::Cut { piece, .. } if *piece == Some(after));
        let at = events.iter().position(cut).unwrap();
        let next = (at + 1..events.len())
            .find(|&i| matches!(events[i], Event::Cut { .. }))
            .unwrap_or(events.len());
        let way = dice.below(3);
        let again = named(&shop, run)[0].serial;
        let again = (dice.below(3) == 0 && again != after.0).then_some(again);
        let (kept, finish) = (way < 2, way == 0);
        let halt = Halt {
            after: after.0,
            kept,
            finish,
            again: again.into_iter().collect(),
            left: None,
            span: SPAN,
        };
        let standing = stand(&run.program, &situation(&shop, run), &halt).unwrap();
        assert_eq!(standing.done, at + 1, "seed {seed}");
        told_apart(&shop, run, &halt, &standing, next, seed);
        not_too_many(&shop, run, &standing, if kept { standing.done } else { next }, seed);
        match way {
            0 => finished(&shop, run, &standing, seed),
            1 => passed(&shop, run, &standing, at + 1, seed),
            _ => passed(&shop, run, &standing, next, seed),
        }
        *told.entry(["finished", "scrapped", "lost"][way as usize]).or_default() += 1;
        *told.entry("half printed").or_default() += half_printed(&shop, run, &standing, seed);
        *told.entry("pieces begun").or_default() += standing.begun.len();
        if standing.finish.is_some() && standing.left.is_empty() && !standing.begun.is_empty() {
            *told.entry("ended with the finishing program").or_default() += 1;
        }
        // The rest, with another calibration.
        let mut done: Vec<DonePiece> =
            plan.runs[..number].iter().flat_map(|r| named(&shop, r)).collect();
        let good = |piece: &DonePiece| {
            let serial = Serial(piece.serial);
            !halt.again.contains(&piece.serial)
                && (standing.cut.contains(&serial) || finish && standing.begun.contains(&serial))
        };
        done.extend(named(&shop, run).into_iter().filter(good));
        let used = plan.runs.iter().flat_map(|r| &r.pieces).map(|p| p.serial.0).max().unwrap();
        let stock = Stock { coils: rack(&shop, &plan, number, &standing) };
        let profile = run.profile;
        shop.stock = stock;
        shop.batch.done = Done { last_serial: used, pieces: done.clone() };
        shop.batch.set_up_now = Some(profile);
        for station in &mut shop.calibration.stations {
            station.shift += um(dice.between(-500, 500));
        }
        let (rest, found) = compile(&shop, 1);
        if any_error(&found) {
            let short = found
                .iter()
                .any(|d| d.code.number.starts_with("E06") || d.code.number.starts_with("E05"));
            assert!(short, "seed {seed}: {found:#?}");
            assert!(found.iter().all(|d| d.code.number != "E0604"), "seed {seed}: {found:#?}");
            *told.entry("rest short of strip or refused").or_default() += 1;
            continue;
        }
        let rest = rest.unwrap();
        each_once(&shop, &done, &rest, used, seed);
        *told.entry("rests made").or_default() += 1;
        *told.entry("rests that begin in the line").or_default() +=
            usize::from(rest.runs.first().is_some_and(|run| run.program.warm));
    }
    println!("{told:?}");
    for what in ["finished", "scrapped", "lost", "rests made", "rests that begin in the line"] {
        assert!(told.get(what).is_some_and(|n| *n > 40), "{what}: {told:?}");
    }
}
