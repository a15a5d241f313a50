//! A line, what it makes with a calibration of its own, and what a tape reads on that.

use crate::common::made::*;
use crate::common::*;
use coilwright::calibrate::{Cause, Proposal, Ran, propose};
use coilwright::diagnostic::{Diagnostic, any_error};
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::plan::{self, Inputs, Options, Plan};
use coilwright::quantity::*;
use coilwright::replay::{Ending, Situation, replay};
use std::sync::Arc;

pub const HOLE: FeatureTypeId = FeatureTypeId(0);
pub const DIMPLE: FeatureTypeId = FeatureTypeId(1);
pub const NOTCH: FeatureTypeId = FeatureTypeId(2);
pub const SWAGE: FeatureTypeId = FeatureTypeId(3);
pub const LIP_CUT: FeatureTypeId = FeatureTypeId(4);

pub fn rectangle(length: i64, width: i64) -> Outline {
    Outline::Rectangle { length: mm(length), width: mm(width) }
}

pub fn library() -> Library {
    let whole = OutlineForm::Rectangle { length: None, width: None };
    let round = OutlineForm::Circle { diameter: None };
    let kinds = [
        ("hole", Form::Point, round, Faces::WEB, Purpose::Joint),
        ("dimple", Form::Point, round, Faces::FLANGES, Purpose::Joint),
        ("lip-notch", Form::Range, whole, Faces::LIPS, Purpose::Joint),
        ("swage", Form::End, whole, Faces::FLANGES, Purpose::End),
        ("lip-cut", Form::End, whole, Faces::LIPS, Purpose::End),
    ];
    let features = kinds
        .into_iter()
        .map(|(name, form, outline, faces, purpose)| FeatureType {
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
        })
        .collect();
    Library { features, profiles: vec![profile()], rule_sets: Vec::new() }
}

/// Five stations: two on flat strip, three on the section, one of those over the cut.
pub fn line() -> Line {
    let mut line = bare_line();
    line.accuracy = um(100);
    line.head.first_advance = mm(-5_000);
    let web = station(&mut line, "web", mm(4_200), Works::Flat);
    let flange = station(&mut line, "flange", mm(3_400), Works::Flat);
    let lip = station(&mut line, "lip", mm(800), Works::Formed);
    let end = station(&mut line, "end", mm(500), Works::Formed);
    let straddle = station(&mut line, "straddle", mm(200), Works::Formed);
    let round = |d| Outline::Circle { diameter: mm(d) };
    tool(&mut line, "hole 12", web, HOLE, Faces::WEB, round(12), How::Point);
    tool(&mut line, "dimples", flange, DIMPLE, Faces::FLANGES, round(10), How::Point);
    tool(&mut line, "notch 48", lip, NOTCH, Faces::LIPS, rectangle(48, 12), How::Point);
    tool(&mut line, "swage", end, SWAGE, Faces::FLANGES, rectangle(60, 40), How::End);
    let over = tool(
        &mut line,
        "lip ends",
        straddle,
        LIP_CUT,
        Faces::LIPS,
        rectangle(45, 12),
        How::Straddle,
    );
    line.tools[usize::from(over.0)].footprint = mm(56);
    line
}

pub fn feature(kind: FeatureTypeId, faces: Faces, place: Place, outline: Outline) -> Feature {
    Feature {
        kind,
        faces,
        place,
        across: Length::ZERO,
        across_tolerance: Tolerance::even(mm(1)),
        outline,
        span: SPAN,
    }
}

/// A member with two features of each type, its ends swaged or cut.
pub fn shape(length: i64, swaged: bool) -> Shape {
    let even = Tolerance::even(um(800));
    let point = |offset| Place::Point { at: Position::from_start(mm(offset)), tolerance: even };
    let round = |d| Outline::Circle { diameter: mm(d) };
    let mut features = Vec::new();
    for at in [150, length - 170] {
        features.push(feature(HOLE, Faces::WEB, point(at), round(12)));
    }
    for at in [90, length - 95] {
        features.push(feature(DIMPLE, Faces::FLANGES, point(at), round(10)));
    }
    for at in [210, length - 260] {
        let (from, to) = (Position::from_start(mm(at)), Position::from_start(mm(at + 48)));
        let place = Place::Range { from, from_tolerance: even, to, to_tolerance: even };
        features.push(feature(NOTCH, Faces::LIPS, place, rectangle(48, 12)));
    }
    for end in [End::Start, End::End] {
        let place = Place::End { end, tolerance: even };
        features.push(if swaged {
            feature(SWAGE, Faces::FLANGES, place, rectangle(60, 40))
        } else {
            feature(LIP_CUT, Faces::LIPS, place, rectangle(45, 12))
        });
    }
    Shape {
        profile: ProfileId(0),
        length: mm(length),
        length_tolerance: Tolerance::even(um(900)),
        start: EndShape::Square,
        end: EndShape::Square,
        turnable: false,
        features,
    }
}

pub const LENGTHS: [i64; 8] = [720, 1_150, 1_800, 2_400, 2_396, 3_300, 4_100, 4_800];

pub struct Shop {
    pub library: Library,
    pub line: Line,
    pub jobs: Vec<Job>,
}

pub fn shop() -> Shop {
    let shapes = LENGTHS.iter().enumerate();
    let members = shapes.map(|(i, &l)| member_of("S", i, Usage::Stud, shape(l, i % 2 == 0)));
    let job = job_of("J", "", FrameKind::Wall, members.collect());
    Shop { library: library(), line: line(), jobs: vec![job] }
}

/// The same with ends on all sorts of slopes, and nothing that shapes them.
pub fn sloped_shop() -> Shop {
    let mut shop = shop();
    shop.line.shear.slopes.listed = vec![Slope { rise: 1, run: 3 }, Slope { rise: 1, run: 1 }];
    let ends = [
        EndShape::Square,
        EndShape::Slope { rise: 1, run: 3 },
        EndShape::Slope { rise: -1, run: 1 },
        EndShape::Slope { rise: -1, run: 3 },
    ];
    for (i, member) in shop.jobs[0].frames[0].members.iter_mut().enumerate() {
        let mut shape = (*member.shape).clone();
        shape.features.retain(|feature| !matches!(feature.place, Place::End { .. }));
        (shape.start, shape.end) = (ends[i % 4], ends[(i / 2 + 1) % 4]);
        // Dimples keep off the slopes too.
        for feature in &mut shape.features {
            if feature.kind == DIMPLE
                && let Place::Point { at, .. } = &mut feature.place
            {
                at.offset += if at.offset < mm(100) { mm(35) } else { -mm(35) };
            }
        }
        member.shape = Arc::new(shape);
    }
    shop
}

pub fn calibration(factor: i64, shifts: [i64; 5]) -> Calibration {
    Calibration {
        profiles: vec![(ProfileId(0), factor)],
        stations: shifts
            .iter()
            .enumerate()
            .map(|(i, &shift)| StationCorrection {
                station: StationId(i as u16),
                factor: if i == 1 { 50_000 } else { 0 },
                shift: um(shift),
            })
            .collect(),
        ..no_calibration()
    }
}

pub fn compile(shop: &Shop, calibration: &Calibration) -> Plan {
    let mut sources = Sources::default();
    let name = match shop.line.shear.slopes.is_empty() {
        true => "shipped:stop-list",
        false => "shipped:sloped-stop-list",
    };
    let (dialect, _) = load_dialect(&MemoryFiles::default(), &mut sources, name, None);
    let dialect = Invertible::prove(&dialect.unwrap(), &shop.line).unwrap();
    let batch = Batch {
        name: "B1".into(),
        bundling: Bundling::Frame,
        order: JobOrder::AsListed,
        set_up_now: None,
        keep: mm(1_000),
        change_worth: mm(1_000),
        effort: Effort::QUICK,
        at_end: AtEnd::Unload,
        mark_text: "{mark}".into(),
        shift: None,
        units: Units::Millimetres,
        done: Done::default(),
        labels: LabelLayouts::default(),
    };
    let inputs = Inputs {
        batch: &batch,
        library: &shop.library,
        line: &shop.line,
        calibration,
        stock: &Stock { coils: vec![coil("K1", mm(60_000))] },
        dialect: &dialect,
        jobs: &shop.jobs,
    };
    let (plan, found) = plan::plan(&inputs, &Options { ticks: 2_000, threads: 1 }, &());
    assert!(!any_error(&found), "{found:#?}");
    plan.unwrap()
}

/// A mark on a made piece: its type, and from the piece's real start, in finished millimetres,
/// its centre and the extent of its mark.
pub struct Mark {
    pub kind: FeatureTypeId,
    pub centre: f64,
    pub from: f64,
    pub to: f64,
}

/// A made piece: its serial, its length, its marks.
pub struct Piece {
    pub serial: u32,
    pub length: f64,
    pub marks: Vec<Mark>,
}

/// Makes the pieces of a plan on a line of this calibration and slug.
pub fn make(shop: &Shop, plan: &Plan, truth: &Calibration, slug: Length) -> Vec<Piece> {
    let mut line = shop.line.clone();
    line.shear.slug = slug;
    let mut made = Vec::new();
    for run in &plan.runs {
        let situation = Situation {
            line: &line,
            calibration: truth,
            profile: run.profile,
            library: &shop.library,
            coil: &run.coil,
            ending: Ending { keep: mm(1_000), at_end: AtEnd::Unload },
        };
        let (products, _) = replay(&run.program, None, &situation);
        let finished =
            |strip: Length| strip.nm() as f64 / 1e6 / (1.0 + products.factor as f64 / 1e9);
        for piece in products.pieces.iter().filter(|piece| piece.serial.is_some()) {
            let marks = products
                .swept_on(piece)
                .iter()
                .map(|swept| {
                    let tool = line.tool(swept.tool).unwrap();
                    let length = tool.makes.outline.length().nm() as f64 / 1e6;
                    let at = finished(swept.at);
                    let (from, to) = match tool.how {
                        // Made for the slug the line states, whatever the blade takes.
                        How::Straddle => {
                            (at - length, at + finished(shop.line.shear.slug) + length)
                        }
                        _ => (at - length / 2.0, at + length / 2.0),
                    };
                    Mark { kind: tool.makes.kinds[0], centre: at, from, to }
                })
                .collect();
            // To the long points.
            let length = finished(piece.long.1 - piece.long.0);
            made.push(Piece { serial: piece.serial.unwrap().0, length, marks });
        }
    }
    made
}

/// A tape: what a distance reads.
pub struct Taped {
    pub uncertainty: Length,
    pub read: Box<dyn FnMut(f64) -> Length>,
}

/// Rounded to half a millimetre, after an error of up to a quarter.
pub fn tape(seed: u64) -> Taped {
    let mut dice = Dice(seed);
    let read = move |mm: f64| {
        let um = (mm * 1e3) as i64 + dice.between(-250, 250);
        Length::from_um((um + 250).div_euclid(500) * 500)
    };
    Taped { uncertainty: um(500), read: Box::new(read) }
}

/// Read to a hundredth.
pub fn bench() -> Taped {
    Taped { uncertainty: um(20), read: Box::new(|mm| um((mm * 100.0).round() as i64 * 10)) }
}

/// What somebody tapes on these pieces: the length, and the first and last feature of each type.
pub fn measured(pieces: &[Piece], mut tape: Taped) -> Measured {
    let pieces = pieces
        .iter()
        .map(|piece| {
            let mut features = Vec::new();
            for (kind, name) in [
                (HOLE, "hole"),
                (DIMPLE, "dimple"),
                (NOTCH, "lip-notch"),
                (SWAGE, "swage"),
                (LIP_CUT, "lip-cut"),
            ] {
                let mut marks: Vec<&Mark> = piece.marks.iter().filter(|m| m.kind == kind).collect();
                marks.sort_by(|a, b| a.centre.total_cmp(&b.centre));
                let (Some(first), Some(last)) = (marks.first(), marks.last()) else { continue };
                let mut add = |which, from, to, at: f64| {
                    features.push(TapedFeature {
                        kind: (name.into(), SPAN),
                        faces: Faces::all(),
                        across: None,
                        which,
                        from,
                        to,
                        at: (tape.read)(at),
                        span: SPAN,
                    });
                };
                let length = piece.length;
                match kind {
                    NOTCH => {
                        let (near, far) = (Some(Edge::Near), Some(Edge::Far));
                        add(Which::First, End::Start, near, first.from);
                        add(Which::First, End::Start, far, first.to);
                        add(Which::Last, End::End, near, length - last.to);
                        add(Which::Last, End::End, far, length - last.from);
                    }
                    SWAGE | LIP_CUT => {
                        add(Which::First, End::Start, None, first.to);
                        add(Which::Last, End::End, None, length - last.from);
                        add(Which::Last, End::Start, None, last.from);
                    }
                    _ => {
                        add(Which::First, End::Start, None, first.centre);
                        add(Which::Last, End::Start, Some(Edge::Centre), last.centre);
                        add(Which::Last, End::End, None, length - last.centre);
                    }
                }
            }
            TapedPiece {
                name: PieceName::Serial(piece.serial),
                length: Some(((tape.read)(piece.length), SPAN)),
                features,
                span: SPAN,
            }
        })
        .collect();
    Measured {
        halt: None,
        log: None,
        output: ("out".into(), SPAN),
        date: ("2026-11-26".into(), SPAN),
        by: "M. Okafor".into(),
        tape: Tape { uncertainty: tape.uncertainty, coverage: Rational::whole(2) },
        pieces,
    }
}

pub fn ran<'a>(shop: &'a Shop, plan: &Plan, calibration: &'a Calibration) -> Ran<'a> {
    Ran {
        line: &shop.line,
        library: &shop.library,
        calibration,
        programs: ran_programs(&shop.jobs, plan),
    }
}

pub fn proposed(measured: &Measured, ran: &Ran<'_>) -> (Proposal, Vec<Diagnostic>) {
    let (proposal, found) = propose(measured, ran);
    (proposal.unwrap_or_else(|| panic!("{found:#?}")), found)
}

pub fn truth_of(cause: Cause, truth: &Calibration) -> i64 {
    match cause {
        Cause::Strip(_) => truth.profiles[0].1,
        Cause::Station(station) => truth.stations[usize::from(station.0)].shift.nm(),
        Cause::Cut => 0,
    }
}

/// Whether pieces of this plan are right on a line of this calibration.
pub fn right(shop: &Shop, plan: &Plan, truth: &Calibration) -> bool {
    plan.runs.iter().all(|run| {
        let situation = Situation {
            line: &shop.line,
            calibration: truth,
            profile: run.profile,
            library: &shop.library,
            coil: &run.coil,
            ending: Ending { keep: mm(1_000), at_end: AtEnd::Unload },
        };
        is_right(&shop.jobs, run, &run.program, &situation)
    })
}
