//! A second judge, written naively in floating point from the events alone, and ways to spoil a
//! program. Every mutant that the judge takes has to make, for the second one too, the same
//! products or others within tolerance.
#![allow(dead_code, reason = "each test uses its half")]
#![allow(clippy::float_arithmetic, clippy::panic, clippy::indexing_slicing, clippy::print_stdout)]

pub mod naive;

pub use crate::dice::Dice;
use coilwright::library::model::*;
use coilwright::member::model::{ProfileId, Shape};
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{Advance, Length, Time};

/// What a program runs on.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    pub line: &'a Line,
    pub library: &'a Library,
    pub calibration: &'a Calibration,
    pub profile: ProfileId,
}

/// A piece that is wanted.
#[derive(Clone, Copy)]
pub struct Piece<'a> {
    pub serial: Serial,
    pub mark_text: &'a str,
    pub shape: &'a Shape,
}

impl Bench<'_> {
    /// Where a station really stands, for placing what a mutant moves.
    fn offset(&self, station: StationId) -> Length {
        let nominal = self.line.stations[usize::from(station.0)].offset;
        self.calibration.offset(station, nominal, self.profile)
    }
    fn nibbles(&self, tool: ToolId) -> bool {
        self.line.tool(tool).is_some_and(|tool| matches!(tool.how, How::Nibble { .. }))
    }
}

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}
fn um(um: i64) -> Length {
    Length::from_um(um)
}
fn stop_at(at: Advance, tools: &[ToolId]) -> Event {
    let strokes = tools.iter().map(|&tool| Stroke { phase: 0, tool }).collect();
    Event::Stop { at, strokes }
}
/// A stroke of this sort: its event and its place there.
fn pick_stroke(
    dice: &mut Dice,
    program: &Program,
    sort: impl Fn(&Stroke) -> bool,
) -> Option<(usize, usize)> {
    let mut all = Vec::new();
    for (i, event) in program.events.iter().enumerate() {
        if let Event::Stop { strokes, .. } = event {
            all.extend(strokes.iter().enumerate().filter(|(_, s)| sort(s)).map(|(n, _)| (i, n)));
        }
    }
    (!all.is_empty()).then(|| all[dice.below(all.len())])
}

/// What became of the mutants of one kind.
#[derive(Default, Clone, Copy)]
pub struct Count {
    pub made: usize,
    pub refused: usize,
    pub faulted: usize,
    pub same: usize,
    pub within: usize,
}

/// The table of what became of them, and their sum.
pub fn table(counts: &std::collections::BTreeMap<&str, Count>) -> Count {
    let mut total = Count::default();
    let row = |kind: &str, c: &Count| {
        println!(
            "{kind:40} {:>6} {:>8} {:>8} {:>6} {:>7}",
            c.made, c.refused, c.faulted, c.same, c.within
        );
    };
    println!(
        "{:40} {:>6} {:>8} {:>8} {:>6} {:>7}",
        "mutant", "made", "refused", "faulted", "same", "within"
    );
    for (kind, c) in counts {
        row(kind, c);
        total.made += c.made;
        total.refused += c.refused;
        total.faulted += c.faulted;
        total.same += c.same;
        total.within += c.within;
    }
    row("all", &total);
    total
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
fn some_way(dice: &mut Dice, bench: &Bench<'_>) -> Length {
    let step = bench.line.grid.increment();
    let reach = [um(100), um(300), mm(1), mm(5), mm(50)][dice.below(5)].nm() / step.nm();
    let steps = dice.between(1, reach.max(1));
    if dice.one_in(2) { step.times(steps) } else { -step.times(steps) }
}

/// Changes a program in one way; `None` where it has nothing of the kind.
pub type Mutate = fn(&mut Dice, &Bench<'_>, &mut Program) -> Option<()>;

pub const KINDS: &[(&str, Mutate)] = &[
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
    ("turn a cut", |dice, bench, program| {
        let cuts = of(program, is_cut);
        let which = dice.below(cuts.len());
        let slope = |program: &Program, at: usize| match program.events[at] {
            Event::Cut { slope, .. } => slope,
            _ => Slope::SQUARE,
        };
        let (at, was) = (*cuts.get(which)?, slope(program, *cuts.get(which)?));
        let listed = bench.line.shear.slopes.listed.first().copied();
        let other = match dice.below(4) {
            0 => was.opposite(),
            1 => Slope::SQUARE,
            2 => cuts.get(which + 1).map_or(was, |next| slope(program, *next)),
            _ => listed.unwrap_or(Slope { rise: 1, run: 3 }),
        };
        if other == was {
            return None;
        }
        let Event::Cut { slope, .. } = &mut program.events[at] else { return None };
        *slope = other;
        Some(())
    }),
    ("duplicate an event", |dice, _, program| {
        let index = dice.below(program.events.len());
        let copy = program.events[index].clone();
        program.events.insert(index + 1, copy);
        Some(())
    }),
    ("repeat an event elsewhere", |dice, bench, program| {
        let mut copy = program.events[dice.below(program.events.len())].clone();
        let way = some_way(dice, bench);
        let to = copy.at() + way;
        move_to(&mut copy, to);
        program.events.push(copy);
        sort(program);
        Some(())
    }),
    ("shift a stop", |dice, bench, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let to = program.events[stop].at() + some_way(dice, bench);
        move_to(&mut program.events[stop], to);
        sort(program);
        Some(())
    }),
    ("shift one stroke of a stop", |dice, bench, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let moved = fired.remove(dice.below(fired.len()));
        let to = at + some_way(dice, bench);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        program.events.push(Event::Stop { at: to, strokes: vec![moved] });
        sort(program);
        Some(())
    }),
    ("swap a tool", |dice, bench, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        let tool = ToolId(dice.below(bench.line.tools.len()) as u16);
        if fired[which].tool == tool {
            return None;
        }
        fired[which].tool = tool;
        fired.sort_unstable();
        Some(())
    }),
    ("change a tool id", |dice, bench, program| {
        let stop = pick(dice, &of(program, is_stop))?;
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        let count = bench.line.tools.len() as i64;
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
    ("shift a mark", |dice, bench, program| {
        let mark = pick(dice, &of(program, is_mark))?;
        let way = some_way(dice, bench).times(dice.between(1, 20));
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
        let last = program.events.len().checked_sub(2)?;
        let index = dice.below(last + 1);
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
    ("double a cut", |dice, bench, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let slug = bench.line.grid.ceil(Advance::at(bench.line.shear.slug)).distance();
        let by = [mm(0), bench.line.grid.increment(), slug, slug + mm(40)][dice.below(4)];
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
    ("cut early or late", |dice, bench, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let to = program.events[cut].at() + some_way(dice, bench);
        move_to(&mut program.events[cut], to);
        sort(program);
        Some(())
    }),
    ("nudge a cut by one increment", |dice, bench, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let step = bench.line.grid.increment();
        let at = program.events[cut].at();
        move_to(&mut program.events[cut], if dice.one_in(2) { at + step } else { at - step });
        sort(program);
        Some(())
    }),
    ("shift an event by half an increment", |dice, bench, program| {
        let index = dice.below(program.events.len());
        let half = bench.line.grid.increment().half();
        let at = program.events[index].at();
        move_to(&mut program.events[index], at + half);
        sort(program);
        Some(())
    }),
    ("change a serial", |dice, _, program| {
        let cut = pick(dice, &of(program, is_good))?;
        let Event::Cut { piece, .. } = &mut program.events[cut] else { return None };
        let Serial(serial) = (*piece)?;
        *piece = Some(Serial((i64::from(serial) + dice.between(-3, 3)).max(1) as u32));
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
        let other = pick(dice, &of(program, is_good))?;
        let Event::Cut { piece: Some(Serial(serial)), .. } = program.events[other] else {
            return None;
        };
        let Event::Cut { piece, .. } = &mut program.events[cut] else { return None };
        *piece = Some(Serial((i64::from(serial) + dice.between(0, 3)) as u32));
        Some(())
    }),
    ("shift the rest of the program", |dice, bench, program| {
        let from = dice.below(program.events.len());
        let way = some_way(dice, bench);
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
    ("insert a stray stroke", |dice, bench, program| {
        let last = program.end.distance().nm() / bench.line.grid.increment().nm();
        let at = Advance::at(bench.line.grid.increment().times(dice.between(0, last)));
        let tool = ToolId(dice.below(bench.line.tools.len()) as u16);
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
    // Where all tools of a stop fire at once there is no second moment.
    ("let tools that fire at once fire in turn", |dice, bench, program| {
        let shared = |&i: &usize| match &program.events[i] {
            Event::Stop { strokes, .. } => strokes.len() > 1,
            _ => false,
        };
        let stops: Vec<usize> = of(program, is_stop).into_iter().filter(shared).collect();
        let stop = pick(dice, &stops).filter(|_| bench.line.firing == Firing::AtOnce)?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let which = dice.below(fired.len());
        if dice.one_in(2) {
            fired[which].phase += 1;
            fired.sort_unstable();
        } else {
            let later = fired.remove(which);
            program.events.insert(stop + 1, Event::Stop { at, strokes: vec![later] });
        }
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
    ("cut before the strokes of a standstill", |dice, bench, program| {
        let cut = pick(dice, &of(program, is_cut))?;
        let at = program.events[cut].at();
        let tool = ToolId(dice.below(bench.line.tools.len()) as u16);
        program.events.insert(cut + 1, stop_at(at, &[tool]));
        Some(())
    }),
    ("make a pattern with its plain tool", |dice, bench, program| {
        let pattern = |s: &Stroke| bench.line.tool(s.tool).is_some_and(|t| !t.also.is_empty());
        let (stop, which) = pick_stroke(dice, program, pattern)?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let of = &bench.line.tools[usize::from(fired[which].tool.0)];
        let plain: Vec<ToolId> = bench
            .line
            .tools()
            .filter(|(_, t)| t.also.is_empty() && t.how == of.how && t.makes == of.makes)
            .map(|(id, _)| id)
            .collect();
        let plain = *plain.get(dice.below(plain.len()))?;
        let moved =
            bench.offset(of.station) - bench.offset(bench.line.tools[usize::from(plain.0)].station);
        let to = bench.line.grid.nearest(at + moved);
        fired.remove(which);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        program.events.push(stop_at(to, &[plain]));
        sort(program);
        Some(())
    }),
    ("drop a bite", |dice, bench, program| {
        let (stop, which) = pick_stroke(dice, program, |s| bench.nibbles(s.tool))?;
        let fired = strokes(&mut program.events[stop]);
        fired.remove(which);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        Some(())
    }),
    ("shift a bite", |dice, bench, program| {
        let (stop, which) = pick_stroke(dice, program, |s| bench.nibbles(s.tool))?;
        let at = program.events[stop].at();
        let fired = strokes(&mut program.events[stop]);
        let bite = fired.remove(which);
        let to = at + some_way(dice, bench);
        if fired.is_empty() {
            program.events.remove(stop);
        }
        program.events.push(Event::Stop { at: to, strokes: vec![bite] });
        sort(program);
        Some(())
    }),
    ("move a stamp out of its window", |dice, bench, program| {
        let stamp = bench.line.marker.as_ref()?.stamp?;
        let mark = pick(dice, &of(program, is_mark))?;
        let further =
            stamp.slack.times(2) + bench.line.grid.increment().times(dice.between(2, 400));
        let further = bench.line.grid.ceil(Advance::at(further)).distance();
        let at = program.events[mark].at();
        move_to(
            &mut program.events[mark],
            if dice.one_in(2) { at + further } else { at - further },
        );
        sort(program);
        Some(())
    }),
    ("turn a piece", |dice, bench, program| {
        let cuts = of(program, is_cut);
        let cut = pick(dice, &of(program, is_good))?;
        let to = program.events[cut].at().distance();
        let before = cuts.iter().take_while(|&&i| i < cut).last()?;
        let from = program.events[*before].at().distance() + bench.line.shear.slug;
        let mut moved = Vec::new();
        for event in &mut program.events {
            let Event::Stop { at, strokes } = event else { continue };
            let at = *at;
            strokes.retain(|stroke| {
                let Some(tool) = bench.line.tool(stroke.tool) else { return true };
                let u = at.distance() + bench.offset(tool.station);
                let mine = tool.how != How::Straddle && u > from && u < to;
                if mine {
                    let due = Advance::at(from + (to - u) - bench.offset(tool.station));
                    moved.push(stop_at(bench.line.grid.nearest(due), &[stroke.tool]));
                }
                !mine
            });
        }
        if moved.is_empty() {
            return None;
        }
        program.events.retain(|e| !matches!(e, Event::Stop { strokes, .. } if strokes.is_empty()));
        program.events.extend(moved);
        sort(program);
        Some(())
    }),
    ("fire clashing tools together", |dice, bench, program| {
        let stops: Vec<usize> = of(program, is_stop)
            .into_iter()
            .filter(|&i| {
                let Event::Stop { strokes, .. } = &program.events[i] else { return false };
                bench.line.clashes.iter().any(|(a, b)| {
                    strokes.iter().any(|s| s.tool == *a) && strokes.iter().any(|s| s.tool == *b)
                })
            })
            .collect();
        let stop = pick(dice, &stops)?;
        for stroke in strokes(&mut program.events[stop]) {
            stroke.phase = 0;
        }
        strokes(&mut program.events[stop]).sort_unstable();
        Some(())
    }),
    ("overload a press", |dice, bench, program| {
        let stops: Vec<usize> = of(program, is_stop)
            .into_iter()
            .filter(|&i| {
                let Event::Stop { strokes, .. } = &program.events[i] else { return false };
                bench.line.presses.iter().any(|press| {
                    let asked = strokes
                        .iter()
                        .filter_map(|s| bench.line.tool(s.tool))
                        .filter(|tool| press.stations.contains(&tool.station))
                        .map(|tool| tool.force)
                        .sum::<i64>();
                    press.force.is_some_and(|most| asked > most)
                })
            })
            .collect();
        let stop = pick(dice, &stops)?;
        for stroke in strokes(&mut program.events[stop]) {
            stroke.phase = 0;
        }
        strokes(&mut program.events[stop]).sort_unstable();
        Some(())
    }),
    // The machine waits for its press: the clocks have to agree how long.
    ("fire before a press has recovered", |dice, bench, program| {
        let slow = |s: &Stroke| {
            let station = bench.line.tool(s.tool).map(|tool| tool.station);
            let press = station.and_then(|station| bench.line.press_of(station));
            press.is_some_and(|press| bench.line.presses[press].recovery > Time::ZERO)
        };
        let (stop, which) = pick_stroke(dice, program, slow)?;
        let fired = strokes(&mut program.events[stop]);
        let last = fired.iter().map(|s| s.phase).max()?;
        fired[which].phase = last + 1;
        fired.sort_unstable();
        Some(())
    }),
];
