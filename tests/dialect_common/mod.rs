//! A small line, a small program, and a plain description for the dialect tests.
#![allow(dead_code)] // each test crate uses its part

use coilwright::diagnostic::Diagnostic;
use coilwright::library::model::{
    Dialect, Feed, Head, How, Line, Made, Shear, Slope, Slopes, StationId, Tool, ToolId,
};
use coilwright::library::{load_dialect, read_dialect};
use coilwright::member::model::{Faces, Outline};
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{
    Advance, FileId, Grid, Length, MemoryFiles, SourceFile, Sources, Span, Time,
};

pub const NOWHERE: Span = Span::new(FileId(0), 0, 0);

/// A line of this increment with tools of these names; nothing else of it matters to a dialect.
pub fn line(increment: Length, tools: &[&str]) -> Line {
    let tool = |name: &&str| Tool {
        name: (*name).into(),
        station: StationId(0),
        makes: made(),
        how: How::Point,
        also: Vec::new(),
        force: 0,
        footprint: Length::ZERO,
        refire: Length::ZERO,
        time: Time::ZERO,
        accuracy: Length::ZERO,
        span: NOWHERE,
    };
    Line {
        name: "shed line".into(),
        grid: Grid::new(increment).unwrap(),
        accuracy: Length::ZERO,
        feed: Feed { speed: 1, acceleration: 1, deceleration: 1, jerk: None, settle: Time::ZERO },
        shear: Shear {
            slug: Length::ZERO,
            time: Time::ZERO,
            least_drop: Length::ZERO,
            slopes: Slopes::default(),
            slope_time: Time::ZERO,
        },
        forming: (Length::ZERO, Length::ZERO),
        head: Head { first_advance: Length::ZERO, least: Length::ZERO },
        tail: Length::ZERO,
        parting: Length::ZERO,
        shortest: Length::ZERO,
        longest: Length::LIMIT,
        unloading: Time::ZERO,
        availability: 1000,
        coil_change: Time::ZERO,
        bars: None,
        set_ups: Vec::new(),
        change_overs: Vec::new(),
        marker: None,
        stations: Vec::new(),
        tools: tools.iter().map(tool).collect(),
        presses: Vec::new(),
        clashes: Vec::new(),
        encoder: None,
        firing: coilwright::library::model::Firing::InPhases,
        overlaps: Vec::new(),
        span: NOWHERE,
    }
}

fn made() -> Made {
    Made {
        kinds: Vec::new(),
        faces: Faces::WEB,
        across: Length::ZERO,
        outline: Outline::Circle { diameter: Length::from_mm(12) },
    }
}

/// The line most tests use: 0.1 mm, three tools.
pub fn shed_line() -> Line {
    line(Length::from_um(100), &["swage", "dimple", "lip-notch"])
}

pub fn at(um: i64) -> Advance {
    Advance::at(Length::from_um(um))
}

pub fn stop(um: i64, strokes: &[(u8, u16)]) -> Event {
    let strokes =
        strokes.iter().map(|&(phase, tool)| Stroke { phase, tool: ToolId(tool) }).collect();
    Event::Stop { at: at(um), strokes }
}

pub fn cut(um: i64, serial: u32) -> Event {
    Event::Cut { at: at(um), piece: Some(Serial(serial)), slope: Slope::SQUARE }
}

pub fn trim(um: i64) -> Event {
    Event::Cut { at: at(um), piece: None, slope: Slope::SQUARE }
}

pub fn mark(um: i64, text: &str) -> Event {
    Event::Mark { at: at(um), text: text.into() }
}

/// Two studs behind a trimmed head.
pub fn small_program() -> Program {
    Program {
        id: "KP07-1".into(),
        batch: "boatshed north".into(),
        line: "shed line".into(),
        profile: "C90x40-0.75".into(),
        coil: "K-311".into(),
        warm: false,
        events: vec![
            mark(-20_000, "N1 S1"),
            stop(8_500, &[(0, 0)]),
            trim(12_000),
            stop(450_300, &[(0, 1), (0, 2), (1, 0)]),
            stop(2_402_000, &[(0, 0)]),
            cut(2_402_000, 1),
            mark(2_426_000, "N1 S2"),
            cut(4_792_100, 2),
        ],
        end: at(4_796_100),
    }
}

/// The description in a text, which must be free of mistakes.
pub fn described(text: &str) -> Dialect {
    let (dialect, found) = try_described(text);
    assert!(found.is_empty(), "{found:#?}");
    dialect.unwrap()
}

pub fn try_described(text: &str) -> (Option<Dialect>, Vec<Diagnostic>) {
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new("dialect.toml", text));
    read_dialect(&sources, file)
}

/// The description that comes with the program.
pub fn shipped() -> Dialect {
    let files = MemoryFiles::default();
    let (dialect, found) =
        load_dialect(&files, &mut Sources::default(), "shop/shipped:stop-list", None);
    assert!(found.is_empty(), "{found:#?}");
    dialect.unwrap()
}

/// The plain description of the diagnostics' fixtures.
pub const PLAIN: &str = include_str!("../../fixtures/diagnostics/base/dialect.toml");
