//! A small line in code, for tests of the judge: seven stations, flat ones 3–6 m upstream, formed
//! ones near the shear, one that straddles the cut, one past the shear; an ink marker.
#![allow(dead_code)] // each test file uses a part of it

pub mod compile;

use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{Advance, FileId, Grid, Length, MassPerLength, Span, Time, Tolerance};
use coilwright::replay::{Ending, Expected, Products, Situation, Verdict, judge, replay};
use std::sync::Arc;

pub const DIMPLE: FeatureTypeId = FeatureTypeId(0);
pub const HOLE: FeatureTypeId = FeatureTypeId(1);
pub const SERVICE: FeatureTypeId = FeatureTypeId(2);
pub const LIP_NOTCH: FeatureTypeId = FeatureTypeId(3);
pub const SWAGE: FeatureTypeId = FeatureTypeId(4);
pub const FLANGE_CUT: FeatureTypeId = FeatureTypeId(5);
pub const ANCHOR: FeatureTypeId = FeatureTypeId(6);
pub const TAB: FeatureTypeId = FeatureTypeId(7);

pub const T_DIMPLE: ToolId = ToolId(0);
pub const T_HOLE: ToolId = ToolId(1);
pub const T_WIDE_HOLE: ToolId = ToolId(2);
pub const T_SERVICE: ToolId = ToolId(3);
pub const T_FLANGE_CUT: ToolId = ToolId(4);
pub const T_LIP: ToolId = ToolId(5);
pub const T_SWAGE: ToolId = ToolId(6);
pub const T_TAB: ToolId = ToolId(7);

pub fn nowhere() -> Span {
    Span::new(FileId(0), 0, 0)
}
pub fn mm(x: i64) -> Length {
    Length::from_mm(x)
}
pub fn um(x: i64) -> Length {
    Length::from_um(x)
}
pub fn at(x: i64) -> Advance {
    Advance::at(mm(x))
}
pub fn at_um(x: i64) -> Advance {
    Advance::at(um(x))
}

fn kind(
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
        across_tolerance: Tolerance::even(um(500)),
        tolerance: Some(Tolerance::even(mm(1))),
        purpose,
        span: nowhere(),
    }
}

pub fn library() -> Library {
    let rectangle = OutlineForm::Rectangle { length: None, width: None };
    let features = vec![
        kind(
            "dimple",
            Form::Point,
            OutlineForm::Circle { diameter: Some(mm(10)) },
            Faces::FLANGES,
            Purpose::Joint,
        ),
        kind(
            "hole",
            Form::Point,
            OutlineForm::Circle { diameter: None },
            Faces::WEB,
            Purpose::Joint,
        ),
        kind(
            "service-hole",
            Form::Point,
            OutlineForm::Slot { length: Some(mm(60)), width: Some(mm(30)) },
            Faces::WEB,
            Purpose::Service,
        ),
        kind("lip-notch", Form::Range, rectangle, Faces::LIPS, Purpose::Joint),
        kind("swage", Form::End, rectangle, Faces::FLANGES, Purpose::End),
        kind("flange-cut", Form::End, rectangle, Faces::LEFT_FLANGE, Purpose::End),
        kind(
            "anchor",
            Form::Point,
            OutlineForm::Circle { diameter: None },
            Faces::WEB,
            Purpose::Anchor,
        ),
        kind(
            "tab",
            Form::Point,
            OutlineForm::Rectangle { length: Some(mm(8)), width: Some(mm(6)) },
            Faces::WEB,
            Purpose::Joint,
        ),
    ];
    let profile = Profile {
        name: "C90".into(),
        section: Section::LippedChannel,
        web: mm(90),
        left_flange: mm(40),
        right_flange: mm(40),
        left_lip: mm(12),
        right_lip: mm(12),
        thickness: um(750),
        radius: mm(1),
        coating: Coating { name: "Z275".into(), grams_per_square_metre: 275, thickness: um(40) },
        grade: "G550".into(),
        strip_width: mm(180),
        length_tolerance: Some(Tolerance::even(mm(1))),
        coated_mass: MassPerLength::from_ug_per_m(0),
        span: nowhere(),
    };
    Library { features, profiles: vec![profile], rule_sets: Vec::new() }
}

pub fn tool(
    name: &str,
    station: u16,
    kinds: &[FeatureTypeId],
    faces: Faces,
    outline: Outline,
    how: How,
    footprint: i64,
) -> Tool {
    Tool {
        name: name.into(),
        station: StationId(station),
        makes: Made { kinds: kinds.to_vec(), faces, across: Length::ZERO, outline },
        how,
        also: Vec::new(),
        force: 0,
        footprint: mm(footprint),
        refire: mm(footprint),
        time: Time::from_ms(200),
        accuracy: um(50),
        span: nowhere(),
    }
}

/// Slug 4, increment 0.1, accuracy 0.1 (tools 0.05 more), head at least 20, tail 900, parting 250.
pub fn line() -> Line {
    let station = |name: &str, offset: i64, works: Works| Station {
        name: name.into(),
        offset: mm(offset),
        works,
        span: nowhere(),
    };
    let circle = |d: i64| Outline::Circle { diameter: mm(d) };
    let rectangle = |l: i64, w: i64| Outline::Rectangle { length: mm(l), width: mm(w) };
    Line {
        name: "line 1".into(),
        grid: Grid::new(um(100)).unwrap(),
        accuracy: um(100),
        feed: Feed {
            speed: 1_000_000,
            acceleration: 5_000_000,
            deceleration: 5_000_000,
            jerk: None,
            settle: Time::from_ms(30),
        },
        shear: Shear {
            slug: mm(4),
            time: Time::from_ms(400),
            least_drop: mm(30),
            slopes: Slopes::default(),
            slope_time: Time::ZERO,
        },
        forming: (mm(3000), mm(1000)),
        head: Head { first_advance: Length::ZERO, least: mm(20) },
        tail: mm(900),
        parting: mm(250),
        shortest: mm(150),
        longest: mm(6000),
        unloading: Time::from_ms(1000),
        availability: 800,
        coil_change: Time::from_ms(600_000),
        bars: None,
        set_ups: vec![SetUp {
            profile: ProfileId(0),
            time: Time::from_ms(1_200_000),
            without: Vec::new(),
        }],
        change_overs: Vec::new(),
        marker: Some(Marker {
            offset: mm(5600),
            pitch: mm(4),
            from_start: mm(60),
            most: 24,
            stamp: None,
        }),
        stations: vec![
            station("dimples", 4350, Works::Flat),
            station("holes", 3900, Works::Flat),
            station("service", 5200, Works::Flat),
            station("flange cut", 3400, Works::Flat),
            station("lips", 820, Works::Formed),
            station("swage", 310, Works::Formed),
            station("tab", -120, Works::Formed),
        ],
        tools: vec![
            tool("dimple", 0, &[DIMPLE], Faces::FLANGES, circle(10), How::Point, 15),
            tool("hole 12", 1, &[HOLE, ANCHOR], Faces::WEB, circle(12), How::Point, 18),
            tool("hole 16", 1, &[HOLE, ANCHOR], Faces::WEB, circle(16), How::Point, 20),
            tool(
                "service",
                2,
                &[SERVICE],
                Faces::WEB,
                Outline::Slot { length: mm(60), width: mm(30) },
                How::Point,
                45,
            ),
            // Reaches 50 in from an end, and 2 over it.
            tool(
                "flange cut",
                3,
                &[FLANGE_CUT],
                Faces::LEFT_FLANGE,
                rectangle(52, 40),
                How::End,
                40,
            ),
            tool("lip", 4, &[LIP_NOTCH], Faces::LIPS, rectangle(48, 12), How::Point, 34),
            tool("swage", 5, &[SWAGE], Faces::FLANGES, rectangle(40, 40), How::Straddle, 60),
            tool("tab", 6, &[TAB], Faces::WEB, rectangle(8, 6), How::Point, 12),
        ],
        presses: Vec::new(),
        clashes: Vec::new(),
        encoder: None,
        firing: Firing::InPhases,
        overlaps: vec![
            // A dimple may lie under the swage, but has to be there first.
            OverlapOrder { first: T_DIMPLE, then: T_SWAGE },
            OverlapOrder { first: T_FLANGE_CUT, then: T_SWAGE },
        ],
        span: nowhere(),
    }
}

pub fn calibration() -> Calibration {
    Calibration {
        date: "2026-11-20".into(),
        applied_by: AppliedBy::Coilwright,
        profiles: Vec::new(),
        stations: Vec::new(),
        counted: Counted::Strip,
    }
}

pub fn coil() -> Coil {
    Coil {
        id: "K-17".into(),
        bar: None,
        heat: "".into(),
        certificate: "".into(),
        docket: "".into(),
        strip_width: mm(180),
        thickness: um(750),
        grade: "G550".into(),
        coating: "Z275".into(),
        length: mm(12_000),
        basis: LengthBasis::Measured,
        uncertainty: 0,
        defects: Vec::new(),
        part_used: false,
        threaded: false,
        cost: None,
        mass: None,
        span: nowhere(),
    }
}

/// Everything a program runs on, owned.
#[derive(Clone)]
pub struct Shop {
    pub library: Library,
    pub line: Line,
    pub calibration: Calibration,
    pub coil: Coil,
    pub ending: Ending,
}

impl Shop {
    pub fn new() -> Shop {
        Shop {
            library: library(),
            line: line(),
            calibration: calibration(),
            coil: coil(),
            ending: Ending { keep: mm(1000), at_end: AtEnd::Unload },
        }
    }
    pub fn situation(&self) -> Situation<'_> {
        Situation {
            line: &self.line,
            calibration: &self.calibration,
            profile: ProfileId(0),
            library: &self.library,
            coil: &self.coil,
            ending: self.ending,
        }
    }
    pub fn program(&self, events: Vec<Event>) -> Program {
        let end = events.last().map_or(Advance::ZERO, Event::at);
        Program {
            id: "P1".into(),
            batch: "hand".into(),
            line: self.line.name.clone(),
            profile: "C90".into(),
            coil: self.coil.id.clone(),
            warm: false,
            events,
            end,
        }
    }
}

/// A finding, short: its code and its message.
pub type Found = (&'static str, String);

/// What replay and judge say about a program.
pub struct Outcome<'a> {
    pub products: Products<'a>,
    pub refused: Vec<Found>,
    pub verdict: Verdict,
    pub faults: Vec<Found>,
}

impl Outcome<'_> {
    pub fn accepted(&self) -> bool {
        self.refused.is_empty() && self.faults.is_empty()
    }
    pub fn refused_as(&self) -> Vec<&'static str> {
        self.refused.iter().map(|f| f.0).collect()
    }
    pub fn faulted_as(&self) -> Vec<&'static str> {
        self.faults.iter().map(|f| f.0).collect()
    }
}

pub fn run<'a>(shop: &'a Shop, program: &Program, wanted: &[Wanted]) -> Outcome<'a> {
    let (products, refused) = replay(program, None, &shop.situation());
    let expected: Vec<Expected> = wanted.iter().map(Wanted::expected).collect();
    let (verdict, faults) = judge(&products, &expected, &shop.library);
    let short = |all: Vec<coilwright::diagnostic::Diagnostic>| -> Vec<Found> {
        all.into_iter()
            .map(|d| {
                assert!(d.help.as_ref().is_some_and(|h| !h.is_empty()), "{}: no help", d.message);
                assert!(!d.message.is_empty());
                (d.code.number, d.message)
            })
            .collect()
    };
    assert!(products.account.closes(), "{:?}", products.account);
    Outcome { products, refused: short(refused), verdict, faults: short(faults) }
}

/// A wanted piece, owned.
#[derive(Clone, Debug)]
pub struct Wanted {
    pub serial: Serial,
    pub mark_text: Arc<str>,
    pub shape: Shape,
}

impl Wanted {
    pub fn expected(&self) -> Expected<'_> {
        Expected { serial: self.serial, mark_text: &self.mark_text, shape: &self.shape }
    }
}

pub fn shape(length: Length, features: Vec<Feature>) -> Shape {
    Shape {
        profile: ProfileId(0),
        length,
        length_tolerance: Tolerance::even(um(500)),
        start: EndShape::Square,
        end: EndShape::Square,
        turnable: false,
        features,
    }
}

fn feature(kind: FeatureTypeId, faces: Faces, place: Place, outline: Outline) -> Feature {
    Feature {
        kind,
        faces,
        place,
        across: Length::ZERO,
        across_tolerance: Tolerance::even(um(500)),
        outline,
        span: nowhere(),
    }
}
pub fn point(kind: FeatureTypeId, at: Position, tolerance: Length) -> Feature {
    let (faces, outline) = match kind {
        DIMPLE => (Faces::FLANGES, Outline::Circle { diameter: mm(10) }),
        SERVICE => (Faces::WEB, Outline::Slot { length: mm(60), width: mm(30) }),
        TAB => (Faces::WEB, Outline::Rectangle { length: mm(8), width: mm(6) }),
        _ => (Faces::WEB, Outline::Circle { diameter: mm(12) }),
    };
    feature(kind, faces, Place::Point { at, tolerance: Tolerance::even(tolerance) }, outline)
}
pub fn notch(from: Length, to: Length, tolerance: Length) -> Feature {
    feature(
        LIP_NOTCH,
        Faces::LIPS,
        Place::Range {
            from: Position::from_start(from),
            from_tolerance: Tolerance::even(tolerance),
            to: Position::from_start(to),
            to_tolerance: Tolerance::even(tolerance),
        },
        Outline::Rectangle { length: to - from, width: mm(12) },
    )
}
pub fn swage(end: End) -> Feature {
    feature(
        SWAGE,
        Faces::FLANGES,
        Place::End { end, tolerance: Tolerance::even(mm(1)) },
        Outline::Rectangle { length: mm(40), width: mm(40) },
    )
}
pub fn flange_cut(end: End) -> Feature {
    feature(
        FLANGE_CUT,
        Faces::LEFT_FLANGE,
        Place::End { end, tolerance: Tolerance::even(mm(1)) },
        Outline::Rectangle { length: mm(50), width: mm(40) },
    )
}

pub fn stop(x: i64, tools: &[ToolId]) -> Event {
    stop_at(at(x), tools)
}
pub fn stop_at(at: Advance, tools: &[ToolId]) -> Event {
    Event::Stop { at, strokes: tools.iter().map(|&tool| Stroke { phase: 0, tool }).collect() }
}
pub fn cut(x: i64, serial: Option<u32>) -> Event {
    Event::Cut { at: at(x), piece: serial.map(Serial), slope: Slope::SQUARE }
}
pub fn mark(x: i64, text: &str) -> Event {
    Event::Mark { at: at(x), text: text.into() }
}
