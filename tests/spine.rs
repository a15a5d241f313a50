//! Random members on random lines: compiled and proved, or refused in words. Nothing in between.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;
#[path = "common/dice.rs"]
mod dice;
mod halted_runs;
#[path = "spine/members.rs"]
mod members;
mod mutants;
mod mutants_of_plans;

use coilwright::diagnostic::any_error;
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::plan::{self, Inputs, Options, Plan, Run};
use coilwright::program::{Event, Program};
use coilwright::quantity::*;
use coilwright::replay::{Ending, Situation};
use common::*;
use std::collections::BTreeMap;
use std::sync::Arc;

struct Shop {
    library: Library,
    line: Line,
    calibration: Calibration,
    stock: Stock,
    batch: Batch,
    jobs: Vec<Job>,
}

const HOLE: FeatureTypeId = FeatureTypeId(0);
const DIMPLE: FeatureTypeId = FeatureTypeId(1);
const NOTCH: FeatureTypeId = FeatureTypeId(2);
const SWAGE: FeatureTypeId = FeatureTypeId(3);
const LIP_CUT: FeatureTypeId = FeatureTypeId(4);

fn feature_type(
    name: &str,
    form: Form,
    outline: OutlineForm,
    faces: Faces,
    purpose: Purpose,
) -> FeatureType {
    FeatureType {
        name: name.into(),
        form,
        outline,
        allowed: faces,
        default_faces: faces,
        across: Length::ZERO,
        across_tolerance: Tolerance::even(mm(1)),
        tolerance: None,
        purpose,
        span: SPAN,
    }
}

fn rectangle(length: Length, width: Length) -> Outline {
    Outline::Rectangle { length, width }
}

fn shop(seed: u64) -> Shop {
    let mut dice = Dice(seed);
    let open = OutlineForm::Rectangle { length: None, width: None };
    let library = Library {
        features: vec![
            feature_type(
                "hole",
                Form::Point,
                OutlineForm::Circle { diameter: None },
                Faces::WEB,
                Purpose::Joint,
            ),
            feature_type(
                "dimple",
                Form::Point,
                OutlineForm::Circle { diameter: None },
                Faces::FLANGES,
                Purpose::Joint,
            ),
            feature_type("lip-notch", Form::Range, open, Faces::LIPS, Purpose::Joint),
            feature_type("swage", Form::End, open, Faces::FLANGES | Faces::WEB, Purpose::End),
            feature_type("lip-cut", Form::End, open, Faces::LIPS, Purpose::End),
        ],
        profiles: vec![profile()],
        rule_sets: Vec::new(),
    };
    let line = line(&mut dice);
    let mut calibration = calibration(&mut dice, &line);
    let stock = stock(&mut dice);
    let mut line = line;
    let mut jobs = jobs(&mut dice);
    slope_some(&mut Dice(seed ^ 0x510E), &mut line, &mut jobs);
    fire_at_once(&mut Dice(seed ^ 0xA70C), &mut line);
    count_by_encoder(&mut Dice(seed ^ 0xE5C0), &mut line, &mut calibration);
    let batch = Batch {
        name: "B1".into(),
        bundling: match dice.below(4) {
            0 => Bundling::None,
            1 => Bundling::Open(1 + dice.below(3) as usize),
            _ => Bundling::Frame,
        },
        order: match dice.below(4) {
            0 | 1 => JobOrder::AsListed,
            2 => JobOrder::Window(1),
            _ => JobOrder::Free,
        },
        keep: mm(dice.between(500, 20_000)),
        change_worth: mm(dice.between(0, 5_000)),
        effort: Effort::QUICK,
        at_end: if dice.below(2) == 0 { AtEnd::Unload } else { AtEnd::StayThreaded },
        set_up_now: None,
        mark_text: "{mark}".into(),
        shift: None,
        units: Units::Millimetres,
        done: Done::default(),
        labels: LabelLayouts::default(),
    };
    Shop { library, line, calibration, stock, batch, jobs }
}

fn line(dice: &mut Dice) -> Line {
    let mut line = bare_line();
    // Every third line has a drive that limits jerk.
    line.feed.jerk = dice.0.is_multiple_of(3).then_some(60_000_000);
    line.grid = Grid::new(um([10, 50, 100, 125, 250][dice.below(5) as usize])).unwrap();
    line.accuracy = um(dice.between(0, 100));
    line.shear.slug = [Length::ZERO, mm(4), um(3_175), mm(6)][dice.below(4) as usize];
    line.shear.least_drop = mm(dice.between(0, 60));
    line.head.first_advance = mm(-dice.between(0, 600));
    line.head.least = mm(dice.between(5, 60));
    line.tail = mm(dice.between(0, 3_000));
    line.parting = mm(dice.between(0, 5_000));
    line.marker = (dice.below(3) > 0).then(|| Marker {
        offset: mm(dice.between(100, 4_000)),
        pitch: mm(dice.between(3, 8)),
        from_start: mm(dice.between(10, 120)),
        most: 30,
        stamp: None,
    });
    let mut other = Dice(dice.0 ^ 0xBA25);
    line.bars = (other.below(3) > 0).then(|| Bars {
        head: line.shear.slug + mm(other.between(0, 30)),
        tail: mm(other.between(0, 1_500)),
        change: Time::from_ms(60_000),
    });
    let mut at = |lo, hi| mm(dice.between(lo, hi));
    let web = station(&mut line, "web", at(4_000, 5_500), Works::Flat);
    let flange = station(&mut line, "flange", at(3_000, 3_900), Works::Flat);
    let flange_two = station(&mut line, "flange 2", at(5_600, 6_000), Works::Flat);
    let lip = station(&mut line, "lip", at(600, 950), Works::Formed);
    let end = station(&mut line, "end", at(300, 550), Works::Formed);
    let straddle = station(&mut line, "straddle", at(0, 250), Works::Formed);
    let below = -at(100, 400);
    let downstream = station(&mut line, "below", below, Works::Formed);
    let round = |d| Outline::Circle { diameter: mm(d) };
    tool(&mut line, "hole 12", web, HOLE, Faces::WEB, round(12), How::Point);
    tool(&mut line, "hole 30", web, HOLE, Faces::WEB, round(30), How::Point);
    tool(&mut line, "hole 8", downstream, HOLE, Faces::WEB, round(8), How::Point);
    let dimple = tool(&mut line, "dimples", flange, DIMPLE, Faces::FLANGES, round(10), How::Point);
    let left = tool(
        &mut line,
        "left dimple",
        flange_two,
        DIMPLE,
        Faces::LEFT_FLANGE,
        round(10),
        How::Point,
    );
    tool(&mut line, "notch 48", lip, NOTCH, Faces::LIPS, rectangle(mm(48), mm(12)), How::Point);
    let swage = tool(
        &mut line,
        "swage",
        end,
        SWAGE,
        Faces::FLANGES | Faces::WEB,
        rectangle(mm(60), mm(40)),
        How::End,
    );
    let lips = tool(
        &mut line,
        "lip ends",
        straddle,
        LIP_CUT,
        Faces::LIPS,
        rectangle(mm(45), mm(12)),
        How::Straddle,
    );
    let slug = line.shear.slug;
    line.tools[usize::from(lips.0)].footprint = mm(50) + slug;
    if let Some(marker) = line.marker.as_mut()
        && dice.below(3) == 0
    {
        let time = Time::from_ms(dice.between(100, 600));
        marker.stamp = Some(Stamp { time, slack: mm(dice.between(0, 300)) });
        if dice.below(4) == 0 {
            marker.offset = -mm(dice.between(50, 300));
        }
    }
    specials(&mut line, dice, lip, flange, straddle);
    for tool in &mut line.tools {
        tool.accuracy = um(dice.between(0, 80));
        if dice.below(60) == 0 {
            tool.refire = mm(dice.between(100, 2_500));
        }
    }
    line.overlaps = vec![
        OverlapOrder { first: dimple, then: swage },
        OverlapOrder { first: left, then: swage },
    ];
    line
}

/// Nibbling and pattern tools, presses and clashes, on some lines.
fn specials(
    line: &mut Line,
    dice: &mut Dice,
    lip: StationId,
    flange: StationId,
    straddle: StationId,
) {
    if dice.below(2) == 0 {
        let how = How::Nibble { overlap: mm(2), least_bite: mm(dice.between(2, 6)) };
        let id = tool(line, "nibble", lip, NOTCH, Faces::LIPS, rectangle(mm(40), mm(12)), how);
        line.tools[usize::from(id.0)].refire = Length::ZERO;
    }
    if dice.below(2) == 0 {
        // The same hole at another station, clamping less.
        let round = Outline::Circle { diameter: mm(12) };
        let id = tool(line, "slim 12", flange, HOLE, Faces::WEB, round, How::Point);
        line.tools[usize::from(id.0)].footprint = mm(8);
    }
    let dimple = |at: i64| PatternPart {
        makes: Made {
            kinds: vec![DIMPLE],
            faces: Faces::FLANGES,
            across: Length::ZERO,
            outline: Outline::Circle { diameter: mm(10) },
        },
        at: mm(at),
    };
    if dice.below(2) == 0 {
        let round = Outline::Circle { diameter: mm(10) };
        let id = tool(line, "three dimples", flange, DIMPLE, Faces::FLANGES, round, How::Point);
        let tool = &mut line.tools[usize::from(id.0)];
        tool.also = vec![dimple(-30), dimple(30)];
        tool.footprint = mm(40);
    }
    if dice.below(2) == 0 {
        let lips = rectangle(mm(45), mm(12));
        let how = How::Straddle;
        let id = tool(line, "lips and dimples", straddle, LIP_CUT, Faces::LIPS, lips, how);
        let slug = line.shear.slug;
        let tool = &mut line.tools[usize::from(id.0)];
        tool.also = vec![dimple(20)];
        tool.footprint = mm(50) + slug;
    }
    for tool in &mut line.tools {
        tool.force = dice.between(20, 60) * 1_000;
    }
    if dice.below(2) == 0 {
        line.presses = vec![
            Press {
                name: "front".into(),
                stations: vec![StationId(0), flange, lip],
                force: Some(dice.between(60, 110) * 1_000),
                recovery: Time::from_ms(dice.between(0, 800)),
                span: SPAN,
            },
            Press {
                name: "rear".into(),
                stations: vec![straddle],
                force: None,
                recovery: Time::from_ms(dice.between(0, 300)),
                span: SPAN,
            },
        ];
    }
    if dice.below(2) == 0 {
        line.clashes = vec![(ToolId(0), ToolId(3)), (ToolId(3), ToolId(5))];
    }
}

/// Every fourth shop turns its shear and has members with sloped ends, some of them more than that
/// shear can make. The dice are their own: other shops stay as they were.
fn slope_some(dice: &mut Dice, line: &mut Line, jobs: &mut [Job]) {
    if dice.below(4) > 0 {
        return;
    }
    let slope = |rise, run| Slope::new(rise, run).unwrap();
    line.shear.slope_time = Time::from_ms(dice.between(0, 8_000));
    line.shear.slopes.listed = vec![slope(1, 3), slope(5, 12)];
    if dice.below(2) == 0 {
        let range = SlopeRange { step: slope(1, 24), steepest: slope(1, 1) };
        line.shear.slopes.range = Some(range);
    }
    let few = line.shear.slopes.range.is_none() && dice.below(8) > 0;
    for member in jobs.iter_mut().flat_map(|j| &mut j.frames).flat_map(|f| &mut f.members) {
        let end = |dice: &mut Dice| {
            let sign = if dice.below(2) == 0 { 1 } else { -1 };
            match dice.below(if few { 4 } else { 7 }) {
                0 => EndShape::Square,
                1 | 2 => EndShape::Slope { rise: sign, run: 3 },
                3 => EndShape::Slope { rise: 5 * sign, run: 12 },
                _ => {
                    let most = if dice.below(30) == 0 { 40 } else { 24 };
                    let steps = dice.between(1, most);
                    let slope = slope(sign * steps as i32, 24);
                    EndShape::Slope { rise: slope.rise, run: slope.run }
                }
            }
        };
        let (start, end) = (end(dice), end(dice));
        let mut shape = Shape { start, end, ..(*member.shape).clone() };
        // Tools for ends make no sloped ones: but now and then somebody draws it.
        if dice.below(20) > 0 {
            let square = |which| [start, end][usize::from(which == End::End)] == EndShape::Square;
            shape.features.retain(|feature| match feature.place {
                Place::End { end, .. } => square(end),
                Place::Point { at, .. } => at.offset.abs() != mm(20),
                Place::Range { .. } => true,
            });
        }
        member.shape = Arc::new(shape);
    }
}

/// Every fourth shop has a controller that knows no phases. The dice are their own here too.
fn fire_at_once(dice: &mut Dice, line: &mut Line) {
    if dice.below(4) == 0 {
        line.firing = Firing::AtOnce;
    }
}

/// Every third shop counts behind the rolls, every sixth says that it counts before them.
fn count_by_encoder(dice: &mut Dice, line: &mut Line, calibration: &mut Calibration) {
    match dice.below(6) {
        0 => line.encoder = Some(mm(dice.between(2_500, 6_500))),
        1 | 2 => {
            let at = mm(dice.between(0, 600));
            line.encoder = Some(at);
            line.head.first_advance = line.head.first_advance.max(-at);
        }
        _ => {}
    }
    calibration.counted = line.counted();
}

fn calibration(dice: &mut Dice, line: &Line) -> Calibration {
    let mut calibration = no_calibration();
    if dice.below(2) == 0 {
        calibration.profiles = vec![(ProfileId(0), dice.between(-2_000_000, 2_000_000))];
        calibration.stations = (0..line.stations.len() as u16)
            .map(|s| StationCorrection {
                station: StationId(s),
                factor: dice.between(-500_000, 500_000),
                shift: um(dice.between(-800, 800)),
            })
            .collect();
    }
    if dice.below(4) == 0 {
        calibration.applied_by = AppliedBy::Controller;
    }
    calibration
}

fn stock(dice: &mut Dice) -> Stock {
    let coils = (0..dice.between(1, 4))
        .map(|i| {
            let length = mm(dice.between(8_000, 150_000));
            let mut coil = coil(&format!("K{i}"), length);
            let near = if dice.below(3) == 0 { 200 } else { 20_000 };
            let mut at = mm(dice.between(0, near));
            for _ in 0..dice.below(3) {
                let end = at + mm(dice.between(1, 900));
                if end < length {
                    coil.defects.push((at, end));
                }
                at = end + mm(dice.between(1, 30_000));
            }
            coil.part_used = dice.below(2) == 0;
            coil.threaded = i == 0 && dice.below(3) == 0;
            coil
        })
        .collect();
    let mut coils: Vec<Coil> = coils;
    // Dice of their own: what else is rolled stays as it was.
    let mut dice = Dice(dice.0 ^ 0xBA25);
    if dice.below(3) == 0 {
        if dice.below(3) == 0 {
            coils.clear();
        }
        let length = mm(dice.between(4_000, 13_000));
        for i in 1..=dice.between(1, 30) {
            let bar = Some("B".into());
            coils.push(Coil { bar, ..coil(&format!("B.{i}"), length) });
        }
    }
    Stock { coils }
}

fn jobs(dice: &mut Dice) -> Vec<Job> {
    (0..dice.between(1, 3))
        .map(|j| Job {
            name: format!("J{j}").into(),
            title: "".into(),
            revision: "A".into(),
            frames: (0..dice.between(1, 4))
                .map(|f| Frame {
                    name: format!("N{f}").into(),
                    kind: FrameKind::Wall,
                    title: "".into(),
                    quantity: dice.between(1, 2) as u32,
                    members: (0..dice.between(1, 6))
                        .map(|m| Member {
                            mark: format!("S{m}").into(),
                            mark_text: format!("J{j} N{f} S{m}").into(),
                            usage: Usage::Stud,
                            quantity: dice.between(1, 3) as u32,
                            shape: Arc::new(shape(dice)),
                            span: SPAN,
                            origin: None,
                        })
                        .collect(),
                    span: SPAN,
                })
                .collect(),
            waivers: Vec::new(),
            whole: true,
            span: SPAN,
        })
        .collect()
}

fn shape(dice: &mut Dice) -> Shape {
    let length = um(dice.between(300_000, 4_000_000));
    let tolerance = |dice: &mut Dice| Tolerance {
        minus: um(dice.between(250, 1_000)),
        plus: um(dice.between(250, 1_000)),
    };
    let position = |dice: &mut Dice, inset: i64| {
        let offset = um(dice.between(inset * 1000, length.nm() / 1000 - inset * 1000));
        match dice.below(3) {
            0 => Position::from_start(offset),
            1 => Position::from_end(offset - length),
            _ => Position { datum: Datum::Middle, offset: offset - length.half() },
        }
    };
    let mut features = Vec::new();
    let mut add = |kind, faces, place, outline| {
        features.push(Feature {
            kind,
            faces,
            place,
            across: Length::ZERO,
            across_tolerance: Tolerance::even(mm(1)),
            outline,
            span: SPAN,
        });
    };
    for _ in 0..dice.below(4) {
        let diameter = mm([12, 12, 30, 12, 12, 12, 12, 8][dice.below(8) as usize]);
        let place = Place::Point { at: position(dice, 60), tolerance: tolerance(dice) };
        add(HOLE, Faces::WEB, place, Outline::Circle { diameter });
    }
    for _ in 0..dice.below(3) {
        let faces = if dice.below(4) == 0 { Faces::LEFT_FLANGE } else { Faces::FLANGES };
        let place = Place::Point { at: position(dice, 22), tolerance: tolerance(dice) };
        add(DIMPLE, faces, place, Outline::Circle { diameter: mm(10) });
    }
    if dice.below(2) == 0 {
        let from = position(dice, 110);
        let from = Position { offset: from.offset, datum: from.datum };
        let length = if dice.below(8) > 0 { mm(48) } else { um(dice.between(40_000, 200_000)) };
        let to = Position { offset: from.offset + length, ..from };
        let (a, b) = (tolerance(dice), tolerance(dice));
        let place = Place::Range { from, from_tolerance: a, to, to_tolerance: b };
        add(NOTCH, Faces::LIPS, place, rectangle(length, mm(12)));
    }
    // What the pattern tools make: three dimples in a row, and one with each shaped end.
    if dice.below(4) == 0 {
        let at = position(dice, 130);
        for off in [-30, 0, 30] {
            let at = Position { offset: at.offset + mm(off), ..at };
            let place = Place::Point { at, tolerance: tolerance(dice) };
            add(DIMPLE, Faces::FLANGES, place, Outline::Circle { diameter: mm(10) });
        }
    }
    let swaged = dice.below(3) == 0;
    for end in [End::Start, End::End] {
        if swaged {
            let place = Place::End { end, tolerance: tolerance(dice) };
            add(SWAGE, Faces::FLANGES | Faces::WEB, place, rectangle(mm(60), mm(40)));
        } else if dice.below(2) == 0 {
            let place = Place::End { end, tolerance: tolerance(dice) };
            add(LIP_CUT, Faces::LIPS, place, rectangle(mm(45), mm(12)));
            if dice.below(2) == 0 {
                let at = match end {
                    End::Start => Position::from_start(mm(20)),
                    End::End => Position::from_end(-mm(20)),
                };
                let place = Place::Point { at, tolerance: tolerance(dice) };
                add(DIMPLE, Faces::FLANGES, place, Outline::Circle { diameter: mm(10) });
            }
        }
    }
    Shape {
        profile: ProfileId(0),
        length,
        length_tolerance: tolerance(dice),
        start: EndShape::Square,
        end: EndShape::Square,
        turnable: dice.below(2) == 0,
        features,
    }
}

fn stop_list(line: &Line) -> Invertible {
    let mut sources = Sources::default();
    let files = MemoryFiles::default();
    let name = if line.shear.slopes.is_empty() { "stop-list" } else { "sloped-stop-list" };
    let name = format!("shipped:{name}");
    let (dialect, found) = load_dialect(&files, &mut sources, &name, None);
    assert!(found.is_empty(), "{found:?}");
    Invertible::prove(&dialect.unwrap(), line).unwrap()
}

fn compile(shop: &Shop, threads: usize) -> (Option<Plan>, Vec<coilwright::diagnostic::Diagnostic>) {
    compile_for(shop, &stop_list(&shop.line), threads)
}

fn compile_for(
    shop: &Shop,
    dialect: &Invertible,
    threads: usize,
) -> (Option<Plan>, Vec<coilwright::diagnostic::Diagnostic>) {
    let inputs = Inputs {
        batch: &shop.batch,
        library: &shop.library,
        line: &shop.line,
        calibration: &shop.calibration,
        stock: &shop.stock,
        dialect,
        jobs: &shop.jobs,
    };
    plan::plan(&inputs, &Options { ticks: 2_000, threads }, &())
}

/// How many shops to try: more of them with `COILWRIGHT_SHOPS`.
#[allow(clippy::disallowed_methods, reason = "a test may ask the environment")]
fn shops(usually: u64) -> u64 {
    std::env::var("COILWRIGHT_SHOPS").ok().and_then(|n| n.parse().ok()).unwrap_or(usually)
}

/// Where the run was judged.
fn situation<'a>(shop: &'a Shop, run: &'a Run) -> Situation<'a> {
    Situation {
        line: &shop.line,
        calibration: &shop.calibration,
        profile: run.profile,
        library: &shop.library,
        coil: &run.coil,
        ending: Ending {
            keep: shop.batch.keep,
            at_end: if run.stays { AtEnd::StayThreaded } else { AtEnd::Unload },
        },
    }
}

/// Nothing in a planned program is superfluous: whatever is left out is missed.
#[test]
fn nothing_of_a_program_can_be_left_out() {
    let mut left_out = 0;
    for seed in 0..400 {
        let shop = shop(seed);
        let (Some(plan), found) = compile(&shop, 1) else { continue };
        if any_error(&found) {
            continue;
        }
        let mut dice = Dice(seed + 1);
        for run in &plan.runs {
            let right = |p: &Program| is_right(&shop.jobs, run, p, &situation(&shop, run));
            assert!(right(&run.program), "seed {seed}: the program itself");
            for _ in 0..8 {
                let mut program = run.program.clone();
                let at = dice.below(program.events.len() as i64) as usize;
                let what = match &mut program.events[at] {
                    Event::Stop { strokes, .. } if strokes.len() > 1 => {
                        let stroke = dice.below(strokes.len() as i64) as usize;
                        format!("{:?}", strokes.remove(stroke))
                    }
                    _ => format!("{:?}", program.events.remove(at)),
                };
                assert!(!right(&program), "seed {seed}: without {what}");
                left_out += 1;
            }
        }
    }
    assert!(left_out > 500, "{left_out}");
}

/// A program neither stops less often nor takes less time than its bound says.
fn under_no_bound(run: &coilwright::plan::Run, seed: u64) {
    assert!(run.bound.stops as usize <= run.stops, "seed {seed}: {:?}", run.bound);
    let bound = run.bound.time.total() + run.time.coil_change + run.time.set_up;
    assert!(bound <= run.time.total(), "seed {seed}: {:?} {:?}", run.bound.time, run.time);
}

/// Where the controller stretches advances, members keep off defects in strip, not in figures.
fn keeps_off_defects(shop: &Shop, run: &Run, seed: u64) {
    let factor = shop.calibration.controller_factor(run.profile);
    let strip = |at: Length| i128::from(at.nm()) * (1_000_000_000 + i128::from(factor));
    for piece in &run.pieces {
        // To the long points.
        let half = |slope: Slope| {
            slope.at_left(mm(90)).abs().stretched(shop.calibration.strip_factor(run.profile))
        };
        let made =
            if piece.turned { piece.shape.turned().unwrap() } else { (*piece.shape).clone() };
        let from = strip(piece.start.distance() - half(Slope::of_start(made.start)));
        let to = strip(piece.cut.distance() + half(Slope::of_end(made.end)));
        for (begins, ends) in &run.coil.defects {
            let (begins, ends) = (i128::from(begins.nm()), i128::from(ends.nm()));
            let apart = to <= begins * 1_000_000_000 || from >= ends * 1_000_000_000;
            assert!(apart, "seed {seed}: piece {} lies on a defect", piece.serial);
        }
        assert!(to <= i128::from(run.coil.length.nm()) * 1_000_000_000, "seed {seed}");
    }
}

/// Strokes of tools that make more than one plain feature, and phases beyond the first.
fn count_special(shop: &Shop, run: &Run, special: &mut BTreeMap<&'static str, usize>) {
    *special.entry("bars").or_default() += usize::from(run.coil.bar.is_some());
    let counted = shop.calibration.counted != Counted::Strip;
    let stretched = shop.calibration.stated_factor(run.profile) != 0;
    *special.entry("counted behind the rolls").or_default() += usize::from(counted && stretched);
    *special.entry("turned pieces").or_default() +=
        run.pieces.iter().filter(|piece| piece.turned).count();
    let slopes = run.program.events.iter().filter_map(|event| match event {
        Event::Cut { slope, .. } => Some(*slope),
        _ => None,
    });
    *special.entry("sloped cuts").or_default() += slopes.filter(|slope| !slope.is_square()).count();
    let sloped = |end: EndShape| end != EndShape::Square;
    let pieces = run.pieces.iter().filter(|p| sloped(p.shape.start) || sloped(p.shape.end));
    *special.entry("sloped pieces turned").or_default() += pieces.filter(|p| p.turned).count();
    *special.entry("gaps between slopes").or_default() +=
        usize::from(run.account.head_at_slopes > Length::ZERO);
    for event in &run.program.events {
        let Event::Stop { strokes, .. } = event else { continue };
        for stroke in strokes {
            let what = match &*shop.line.tool(stroke.tool).unwrap().name {
                "nibble" => "bites",
                "three dimples" => "patterns",
                "lips and dimples" => "straddling patterns",
                _ => continue,
            };
            *special.entry(what).or_default() += 1;
        }
        if shop.line.firing == Firing::AtOnce {
            assert!(strokes.iter().all(|stroke| stroke.phase == 0), "{strokes:?}");
            *special.entry("stops shared at once").or_default() += usize::from(strokes.len() > 1);
        }
        if strokes.iter().any(|stroke| stroke.phase > 0) {
            *special.entry("stops in phases").or_default() += 1;
        }
    }
}

/// The judge never has anything to say about what the compiler made: what cannot be made is
/// refused before, by codes of the line (E05nn) or of the stock (E06nn).
#[test]
fn random_members_compile_and_replay_or_are_refused() {
    let mut made = 0_u64;
    let mut special = BTreeMap::new();
    let mut refused: BTreeMap<&str, usize> = BTreeMap::new();
    let mut pieces = 0;
    for seed in 0..shops(9_000) {
        let shop = shop(seed);
        let (plan, found) = compile(&shop, 1);
        let errors: Vec<_> = found.iter().filter(|d| d.is_error()).collect();
        for error in &errors {
            let area = &error.code.number[..3];
            assert!(
                matches!(area, "E05" | "E06") && error.code.number != "E0604",
                "seed {seed}: {} {} {:?}",
                error.code.number,
                error.message,
                error.notes
            );
            *refused.entry(error.code.number).or_default() += 1;
        }
        if errors.is_empty() {
            let plan = plan.unwrap();
            made += 1;
            let wanted: u32 = shop
                .jobs
                .iter()
                .flat_map(|j| &j.frames)
                .map(|f| f.quantity * f.members.iter().map(|m| m.quantity).sum::<u32>())
                .sum();
            let right: usize = plan.runs.iter().map(|r| r.verdict.right).sum();
            assert_eq!(right, wanted as usize, "seed {seed}");
            pieces += right;
            for run in &plan.runs {
                assert!(run.account.closes(), "seed {seed}: {:?}", run.account);
                keeps_off_defects(&shop, run, seed);
                count_special(&shop, run, &mut special);
                under_no_bound(run, seed);
            }
            for profile in &plan.profiles {
                let bound = profile.bound.unwrap();
                assert!(bound <= profile.used, "seed {seed}: bound {bound}, used {}", profile.used);
            }
        } else {
            assert!(plan.is_none() || found.iter().any(|d| d.code.number.starts_with("E06")));
        }
    }
    println!("{made} compiled ({pieces} pieces), refused: {refused:?}");
    println!("{special:?}");
    assert!(special.values().all(|n| *n > 20) && special.len() == 11, "{special:?}");
    assert!(made * 8 > shops(9_000), "{made} compiled, refused: {refused:?}");
}

#[test]
fn threads_do_not_show() {
    let mut compared = 0;
    for seed in 0..600 {
        let shop = shop(seed);
        let (one, found_one) = compile(&shop, 1);
        let (two, found_two) = compile(&shop, 2);
        assert_eq!(found_one, found_two);
        if let (Some(one), Some(two)) = (one, two) {
            let bytes = |plan: &Plan| -> Vec<Vec<u8>> {
                plan.runs.iter().map(|r| r.printed.bytes.clone()).collect()
            };
            assert_eq!(bytes(&one), bytes(&two));
            compared += usize::from(one.runs.len() > 1);
        }
    }
    assert!(compared > 10, "{compared} plans with two runs or more");
}
