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

mod replay_shop;

use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{Advance, Length};
use replay_shop::compile::*;
use replay_shop::*;
use std::collections::BTreeMap;

/// What lies on one face of one piece, in millimetres of finished member.
struct Naive<'a> {
    shop: &'a Shop,
    program: &'a Program,
}

fn f(length: Length) -> f64 {
    length.nm() as f64 / 1e6
}

impl Naive<'_> {
    fn stretch(&self) -> f64 {
        match self.shop.calibration.profiles.first() {
            Some((_, factor)) => 1.0 + *factor as f64 / 1e9,
            None => 1.0,
        }
    }
    fn offset(&self, station: StationId) -> f64 {
        let nominal = f(self.shop.line.stations[usize::from(station.0)].offset);
        let corrected = self.shop.calibration.stations.iter().find(|c| c.station == station);
        corrected.map_or(nominal, |c| nominal * (1.0 + c.factor as f64 / 1e9) + f(c.shift))
    }
    /// Every cut that meets strip: serial, start, cut, index of its event.
    fn pieces(&self) -> Vec<(Option<Serial>, f64, f64, usize)> {
        let mut pieces = Vec::new();
        let mut edge = 0.0;
        for (index, event) in self.program.events.iter().enumerate() {
            if let Event::Cut { at, piece, .. } = event {
                let at = f(at.distance());
                if at >= edge - 1e-9 {
                    pieces.push((*piece, edge, at, index));
                    edge = at + f(self.shop.line.shear.slug);
                }
            }
        }
        pieces
    }
    /// What one stroke sweeps of the strip.
    fn sweep(&self, at: Advance, tool: &Tool) -> (f64, f64) {
        let c = f(at.distance()) + self.offset(tool.station);
        let reach = f(tool.makes.outline.length()) * self.stretch();
        match tool.how {
            How::Straddle => (c - reach, c + f(self.shop.line.shear.slug) + reach),
            _ => (c - reach / 2.0, c + reach / 2.0),
        }
    }
    /// Whether every wanted piece drops once and is within tolerance, and why not.
    fn judge(&self, wanted: &[Wanted]) -> Result<(), String> {
        let pieces = self.pieces();
        for piece in &pieces {
            if let Some(serial) = piece.0
                && !wanted.iter().any(|w| w.serial == serial)
            {
                return Err(format!("{serial} is nobody's"));
            }
        }
        for one in wanted {
            let mut mine = pieces.iter().filter(|p| p.0 == Some(one.serial));
            let piece = mine.next().ok_or(format!("{} never drops", one.serial))?;
            if mine.next().is_some() {
                return Err(format!("{} drops twice", one.serial));
            }
            self.piece(one, piece)?;
        }
        Ok(())
    }
    fn piece(
        &self,
        one: &Wanted,
        &(_, start, cut, dropped): &(Option<Serial>, f64, f64, usize),
    ) -> Result<(), String> {
        let serial = one.serial;
        let finished = |u: f64| (u - start) / self.stretch();
        let length = finished(cut);
        let off = length - f(one.shape.length);
        if off.abs() > f(one.shape.length_tolerance.plus) + 1e-5 {
            return Err(format!("{serial} is {off} off its length"));
        }
        let mut texts = Vec::new();
        let mut swept: Vec<(&Tool, f64, f64)> = Vec::new();
        // What is done after the piece has dropped does not reach it any more.
        for event in &self.program.events[..dropped] {
            match event {
                Event::Mark { at, text } => {
                    let Some(marker) = &self.shop.line.marker else { continue };
                    let from = f(at.distance()) + f(marker.offset);
                    let to = from + f(marker.pitch) * text.chars().count() as f64;
                    if from < cut && to > start {
                        texts.push((from >= start - 1e-6 && to <= cut + 1e-6, &**text));
                    }
                }
                Event::Stop { at, strokes } => {
                    for stroke in strokes {
                        let Some(tool) = self.shop.line.tool(stroke.tool) else { continue };
                        let (from, to) = self.sweep(*at, tool);
                        let (from, to) = (from.max(start), to.min(cut));
                        if to - from > 1e-6 {
                            swept.push((tool, finished(from), finished(to)));
                        }
                    }
                }
                Event::Cut { .. } => {}
            }
        }
        if self.shop.line.marker.is_some() && texts != [(true, &*one.mark_text)] {
            return Err(format!("{serial} carries {texts:?}"));
        }
        for (face, name) in Faces::NAMES {
            let mut unclaimed: Vec<(&Tool, f64, f64)> =
                swept.iter().filter(|m| m.0.makes.faces.contains(face)).copied().collect();
            for feature in one.shape.features.iter().filter(|w| w.faces.contains(face)) {
                self.claim(feature, length, &mut unclaimed)
                    .map_err(|why| format!("{serial}, {name}: {why}"))?;
            }
            if let Some((tool, from, to)) = unclaimed.first() {
                return Err(format!("{serial}, {name}: `{}` at {from}..{to}", tool.name));
            }
        }
        Ok(())
    }
    /// Takes the marks that are this feature: features of these members lie so far apart that no
    /// mark is near two of one kind.
    fn claim(
        &self,
        feature: &Feature,
        length: f64,
        marks: &mut Vec<(&Tool, f64, f64)>,
    ) -> Result<(), String> {
        let at = |position: Position| {
            f(position.offset)
                + match position.datum {
                    Datum::Start => 0.0,
                    Datum::Middle => length / 2.0,
                    Datum::End => length,
                }
        };
        let drawn = feature.outline;
        let reach = f(drawn.length());
        let (from, to, tolerance) = match feature.place {
            Place::Point { at: position, tolerance } => {
                (at(position) - reach / 2.0, at(position) + reach / 2.0, f(tolerance.plus))
            }
            Place::Range { from, to, from_tolerance, .. } => {
                (at(from), at(to), f(from_tolerance.plus))
            }
            Place::End { end: End::Start, tolerance } => (0.0, reach, f(tolerance.plus)),
            Place::End { end: End::End, tolerance } => (length - reach, length, f(tolerance.plus)),
        };
        let tolerance = tolerance + 1e-5;
        let point = matches!(feature.place, Place::Point { .. });
        let mut mine: Vec<(f64, f64)> = Vec::new();
        marks.retain(|(tool, a, b)| {
            let made = tool.makes.outline;
            let kind = tool.makes.kinds.contains(&feature.kind)
                && std::mem::discriminant(&made) == std::mem::discriminant(&drawn)
                && made.width() == drawn.width()
                && (!point || made.length() == drawn.length());
            let takes = kind && *a >= from - tolerance && *b <= to + tolerance;
            if takes {
                mine.push((*a, *b));
            }
            !takes
        });
        if point && mine.len() != 1 {
            return Err(format!("{} strokes for the one at {from}..{to}", mine.len()));
        }
        mine.sort_by(|x, y| x.0.total_cmp(&y.0));
        let Some(&(first, mut reached)) = mine.first() else {
            return Err(format!("nothing from {from} to {to}"));
        };
        for (a, b) in &mine {
            if *a > reached {
                return Err("swept in parts".into());
            }
            reached = reached.max(*b);
        }
        if first > from + tolerance || reached < to - tolerance {
            return Err(format!("swept {first}..{reached} for {from}..{to}"));
        }
        Ok(())
    }
}

/// Indices of the events of one sort.
fn of(program: &Program, sort: fn(&Event) -> bool) -> Vec<usize> {
    (0..program.events.len()).filter(|&i| sort(&program.events[i])).collect()
}
fn is_stop(event: &Event) -> bool {
    matches!(event, Event::Stop { .. })
}
fn is_cut(event: &Event) -> bool {
    matches!(event, Event::Cut { .. })
}
fn is_good(event: &Event) -> bool {
    matches!(event, Event::Cut { piece: Some(_), .. })
}
fn is_mark(event: &Event) -> bool {
    matches!(event, Event::Mark { .. })
}
fn pick(dice: &mut Dice, from: &[usize]) -> Option<usize> {
    if from.is_empty() { None } else { Some(from[dice.below(from.len())]) }
}
fn move_to(event: &mut Event, to: Advance) {
    match event {
        Event::Stop { at, .. } | Event::Cut { at, .. } | Event::Mark { at, .. } => *at = to,
    }
}
fn strokes(event: &mut Event) -> &mut Vec<Stroke> {
    match event {
        Event::Stop { strokes, .. } => strokes,
        _ => panic!("not a stop"),
    }
}
fn sort(program: &mut Program) {
    program.events.sort_by_key(|event| (event.at(), is_cut(event)));
    program.end = program.end.max(program.events.last().map_or(program.end, Event::at));
}
/// A whole number of increments, 0.1 to 50 mm either way.
fn some_way(dice: &mut Dice, shop: &Shop) -> Length {
    let step = shop.line.grid.increment();
    let reach = [um(100), um(300), mm(1), mm(5), mm(50)][dice.below(5)].nm() / step.nm();
    let steps = dice.between(1, reach.max(1));
    if dice.one_in(2) { step.times(steps) } else { -step.times(steps) }
}

type Mutate = fn(&mut Dice, &Shop, &mut Program) -> Option<()>;

const KINDS: &[(&str, Mutate)] = &[
    ("delete a stroke", |dice, _, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let gone = dice.below(fired.len());
        fired.remove(gone);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        Some(())
    }),
    ("duplicate an event", |dice, _, program| {
        let index = dice.below(program.events.len());
        let copy = program.events[index].clone();
        program.events.insert(index + 1, copy);
        Some(())
    }),
    ("repeat an event elsewhere", |dice, shop, program| {
        let mut copy = program.events[dice.below(program.events.len())].clone();
        let way = some_way(dice, shop);
        let to = copy.at() + way;
        move_to(&mut copy, to);
        program.events.push(copy);
        sort(program);
        Some(())
    }),
    ("shift a stop", |dice, shop, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let to = program.events[stop].at() + some_way(dice, shop);
        move_to(&mut program.events[stop], to);
        sort(program);
        Some(())
    }),
    ("shift one stroke of a stop", |dice, shop, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let moved = fired.remove(dice.below(fired.len()));
        let to = at + some_way(dice, shop);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        program.events.push(Event::Stop { at: to, strokes: vec![moved] });
        sort(program);
        Some(())
    }),
    ("swap a tool", |dice, shop, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        let tool = ToolId(dice.below(shop.line.tools.len()) as u16);
        if fired[which].tool == tool {
            return None;
        }
        fired[which].tool = tool;
        fired.sort_unstable();
        Some(())
    }),
    ("change a tool id", |dice, shop, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        let count = shop.line.tools.len() as i64;
        fired[which].tool = ToolId(dice.between(0, count * 2) as u16);
        Some(())
    }),
    ("swap the tools of two stops", |dice, _, program| {
        let stops = of(program, is_stop);
        let (a, b) = (pick(dice, &stops)?, pick(dice, &stops)?);
        let first = strokes(&mut program.events[a]).clone();
        let second = std::mem::replace(strokes(&mut program.events[b]), first);
        *strokes(&mut program.events[a]) = second;
        (a != b).then_some(())
    }),
    ("swap two marks", |dice, _, program| {
        let marks = of(program, is_mark);
        let (a, b) = (pick(dice, &marks)?, pick(dice, &marks)?);
        let (x, y) = (program.events[a].at(), program.events[b].at());
        program.events.swap(a, b);
        move_to(&mut program.events[a], x);
        move_to(&mut program.events[b], y);
        (a != b).then_some(())
    }),
    ("drop a mark", |dice, _, program| {
        let mark = pick(dice, &of(program, is_mark))?;
        program.events.remove(mark);
        Some(())
    }),
    ("shift a mark", |dice, shop, program| {
        let mark = pick(dice, &of(program, is_mark))?;
        let way = some_way(dice, shop).times(dice.between(1, 20));
        let to = program.events[mark].at() + way;
        move_to(&mut program.events[mark], to);
        sort(program);
        Some(())
    }),
    ("misprint a mark", |dice, _, program| {
        let mark = pick(dice, &of(program, is_mark))?;
        let Event::Mark { text, .. } = &mut program.events[mark] else { return None };
        let other: String = text.chars().rev().collect();
        *text = if dice.one_in(2) { other.into() } else { text[1..].into() };
        Some(())
    }),
    ("reorder two events", |dice, _, program| {
        let index = dice.below(program.events.len() - 1);
        program.events.swap(index, index + 1);
        Some(())
    }),
    ("move an event", |dice, _, program| {
        let event = program.events.remove(dice.below(program.events.len()));
        let to = dice.below(program.events.len() + 1);
        program.events.insert(to, event);
        Some(())
    }),
    ("drop a cut", |dice, _, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        program.events.remove(cut);
        Some(())
    }),
    ("double a cut", |dice, shop, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let slug = shop.line.grid.ceil(Advance::at(shop.line.shear.slug)).distance();
        let by = [mm(0), shop.line.grid.increment(), slug, slug + mm(40)][dice.below(4)];
        let mut copy = program.events[cut].clone();
        let to = copy.at() + by;
        move_to(&mut copy, to);
        if let (Event::Cut { piece, .. }, true) = (&mut copy, dice.one_in(2)) {
            *piece = None;
        }
        program.events.insert(cut + 1, copy);
        sort(program);
        Some(())
    }),
    ("cut early or late", |dice, shop, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let to = program.events[cut].at() + some_way(dice, shop);
        move_to(&mut program.events[cut], to);
        sort(program);
        Some(())
    }),
    ("nudge a cut by one increment", |dice, shop, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let step = shop.line.grid.increment();
        let at = program.events[cut].at();
        move_to(&mut program.events[cut], if dice.one_in(2) { at + step } else { at - step });
        sort(program);
        Some(())
    }),
    ("shift an event by half an increment", |dice, shop, program| {
        let index = dice.below(program.events.len());
        let half = shop.line.grid.increment().half();
        let at = program.events[index].at();
        move_to(&mut program.events[index], at + half);
        sort(program);
        Some(())
    }),
    ("change a serial", |dice, _, program| {
        let cut = pick(dice, &of(program, is_good))?;
        let Event::Cut { piece, .. } = &mut program.events[cut] else { return None };
        *piece = Some(Serial(dice.between(98, 110) as u32));
        Some(())
    }),
    ("swap two serials", |dice, _, program| {
        let cuts = of(program, is_good);
        let (a, b) = (pick(dice, &cuts)?, pick(dice, &cuts)?);
        let (x, y) = (program.events[a].at(), program.events[b].at());
        program.events.swap(a, b);
        move_to(&mut program.events[a], x);
        move_to(&mut program.events[b], y);
        (a != b).then_some(())
    }),
    ("call a piece scrap", |dice, _, program| {
        let cut = pick(dice, &of(program, is_good))?;
        let Event::Cut { piece, .. } = &mut program.events[cut] else { return None };
        *piece = None;
        Some(())
    }),
    ("call scrap a piece", |dice, _, program| {
        let scrap = of(program, |e| matches!(e, Event::Cut { piece: None, .. }));
        let cut = pick(dice, &scrap)?;
        let Event::Cut { piece, .. } = &mut program.events[cut] else { return None };
        *piece = Some(Serial(dice.between(98, 110) as u32));
        Some(())
    }),
    ("shift the rest of the program", |dice, shop, program| {
        let from = dice.below(program.events.len());
        let way = some_way(dice, shop);
        for event in &mut program.events[from..] {
            let to = event.at() + way;
            move_to(event, to);
        }
        program.end = program.end + way;
        sort(program);
        Some(())
    }),
    ("drop the rest of the program", |dice, _, program| {
        program.events.truncate(dice.below(program.events.len()));
        Some(())
    }),
    ("insert a stray stroke", |dice, shop, program| {
        let last = program.end.distance().nm() / shop.line.grid.increment().nm();
        let at = Advance::at(shop.line.grid.increment().times(dice.between(0, last)));
        let tool = ToolId(dice.below(shop.line.tools.len()) as u16);
        program.events.push(stop_at(at, &[tool]));
        sort(program);
        Some(())
    }),
    ("fire in another phase", |dice, _, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        fired[which].phase = dice.between(0, 3) as u8;
        Some(())
    }),
    ("part a stop in two records", |dice, _, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let second = fired.split_off(fired.len() / 2);
        program.events.insert(stop + 1, Event::Stop { at, strokes: second });
        Some(())
    }),
    ("cut before the strokes of a standstill", |dice, shop, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let at = program.events[cut].at();
        let tool = ToolId(dice.below(shop.line.tools.len()) as u16);
        program.events.insert(cut + 1, stop_at(at, &[tool]));
        Some(())
    }),
];

#[derive(Default)]
struct Count {
    made: usize,
    refused: usize,
    faulted: usize,
    same: usize,
    within: usize,
}

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
        let naive = Naive { shop: &shop, program: &program };
        assert_eq!(naive.judge(&wanted), Ok(()), "seed {seed}: the naive judge");

        for &(kind, mutate) in KINDS {
            for turn in 0..6 {
                let mut mutant = program.clone();
                if mutate(&mut dice, &shop, &mut mutant).is_none() {
                    continue;
                }
                let count = counts.entry(kind).or_default();
                count.made += 1;
                let outcome = run(&shop, &mutant, &wanted);
                let naive = Naive { shop: &shop, program: &mutant }.judge(&wanted);
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
                    // What is faulted for more than the line's accuracy is really wrong.
                    if outcome.faulted_as().iter().any(|&code| code != "E0850") {
                        assert!(naive.is_err(), "{}: {:?}", told(), outcome.faults);
                    }
                }
            }
        }
    }
    let mut total = Count::default();
    println!("{programs} programs");
    println!(
        "{:40} {:>6} {:>8} {:>8} {:>6} {:>7}",
        "mutant", "made", "refused", "faulted", "same", "within"
    );
    for (kind, c) in &counts {
        println!(
            "{kind:40} {:>6} {:>8} {:>8} {:>6} {:>7}",
            c.made, c.refused, c.faulted, c.same, c.within
        );
        total.made += c.made;
        total.refused += c.refused;
        total.faulted += c.faulted;
        total.same += c.same;
        total.within += c.within;
    }
    println!(
        "{:40} {:>6} {:>8} {:>8} {:>6} {:>7}",
        "all", total.made, total.refused, total.faulted, total.same, total.within
    );
    assert!(programs >= 50, "{programs} programs are too few");
    assert_eq!(counts.len(), KINDS.len(), "every kind is met");
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
